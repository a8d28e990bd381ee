#include "changes/listed.h"

#include <algorithm>
#include <utility>

#include "changes/judge.h"

namespace scruple::changes {
namespace {

bool of_a_whole(const Change& c) {
    return c.what == What::verdict || c.what == What::ceiling || c.what == What::part || c.what == What::line ||
           c.what == What::load || c.what == What::allergen || c.what == What::cost || c.worse;
}

}  // namespace

bool is_minor(const Change& c) {
    if (c.worse) return false;
    const auto little = [](const std::optional<Fact>& f) {
        if (!f) return true;
        const auto most = std::max(f->number("used_at_maximum_percent").value_or(999), f->number("used_percent").value_or(999));
        return most < kMuchUsed && verdict_order(f->text("verdict")) == 0;
    };
    switch (c.what) {
        case What::check: return little(c.old) && little(c.fresh);
        case What::unknown:
        case What::unstated:
        case What::usual_dilution:
        case What::caution:
        case What::allergen_under:
        case What::label_unknown:
        case What::impact:
        case What::density:
        case What::mood:
        case What::raise:
        case What::mask:
        case What::drop_plan:
        case What::assumption: return true;
        case What::allergen: return c.how == How::changed;
        case What::careful:
        default: return false;
    }
}

bool is_small(const UnitChange& unit, const Change& c) { return is_minor(c) || (unit.state != UnitState::changed && !of_a_whole(c)); }

std::array<bool, kRanks> listed_ranks(const UnitChange& unit) {
    std::array<bool, kRanks> out{};
    for (const Change& c : unit.changes) out[static_cast<std::size_t>(c.rank())] |= !is_small(unit, c);
    out[static_cast<std::size_t>(Rank::words)] |= unit.renamed();
    return out;
}

void shorten(Changes& changes, std::size_t most) {
    if (changes.units.size() + changes.counted.size() <= most) return;
    std::array<std::size_t, kRanks> listed{};
    std::vector<UnitChange> kept;
    for (UnitChange& u : changes.units) {
        const auto ranks = listed_ranks(u);
        bool keep = false;
        for (std::size_t r = 0; r < kRanks; ++r) keep |= ranks[r] && listed[r]++ < most;
        if (keep) kept.push_back(std::move(u));
        else changes.counted.push_back({u.kind, u.worse(), ranks});
    }
    changes.units = std::move(kept);
}

}  // namespace scruple::changes
