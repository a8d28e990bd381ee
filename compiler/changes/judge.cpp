#include "changes/judge.h"

#include <algorithm>
#include <array>

#include "num/decimal.h"
#include "safety/judge.h"

namespace scruple::changes {
namespace {

bool verdict_worse(const Change& c, std::string_view key = "verdict") {
    if (!c.fresh) return false;
    const int now = verdict_order(c.fresh->text(key));
    return c.old ? now > verdict_order(c.old->text(key)) : now > verdict_order("accepted");
}

bool rises(const Change& c, std::string_view key) {
    if (!c.old || !c.fresh) return false;
    const auto a = c.old->number(key);
    const auto b = c.fresh->number(key);
    return b && (!a || (*b > *a && !same_figure(*a, *b)));
}

bool becomes(const Change& c, std::string_view flag) { return c.fresh && c.fresh->flag(flag) && !(c.old && c.old->flag(flag)); }

/// A limit turned worse, or was broken before and is broken further.
bool check_worse(const Change& c) {
    if (verdict_worse(c)) return true;
    return c.fresh && c.old && verdict_order(c.fresh->text("verdict")) > verdict_order("accepted") &&
           (rises(c, "used_percent") || rises(c, "used_at_maximum_percent"));
}

bool ceiling_worse(const Change& c) {
    // A lower ceiling takes room; what is above it shows as a check. No ceiling because nothing is known is worse.
    if (!c.fresh) return false;
    const std::string now = c.fresh->text("state");
    const bool lost = now == "not_known" || now == "over_without_blend";
    return lost && !(c.old && c.old->text("state") == now);
}

bool waiver_worse(const Change& c) {
    if (!c.fresh) return false;
    if (!c.old || rises(c, "ceiling_percent")) return true;
    const std::string a = c.old->text("until");
    const std::string b = c.fresh->text("until");
    return b.empty() ? !a.empty() : !a.empty() && b > a;
}

bool assessed_worse(const Change& c) {
    if (!c.fresh) return c.old->flag("covers");
    return !c.fresh->flag("covers") && (!c.old || c.old->flag("covers"));
}

bool complete_worse(const Change& c) {
    if (!c.fresh) return false;
    const bool lost = !c.fresh->flag("complete");
    return (lost && (!c.old || c.old->flag("complete"))) || (c.old && c.old->flag("readable") && !c.fresh->flag("readable"));
}

/// A little of every oil is not known. From where the verdict itself gives up, it is worth a word.
bool much_unknown(const std::optional<Fact>& f) { return f && f->number("unknown_percent").value_or(100) > kMuchUnknown * 100; }

bool is_worse(const Change& c) {
    switch (c.what) {
        case What::assessed: return assessed_worse(c);
        case What::complete: return complete_worse(c);
        case What::verdict: return verdict_worse(c);
        case What::check: return check_worse(c);
        case What::waiver: return waiver_worse(c);
        case What::ceiling:
        case What::careful: return ceiling_worse(c);
        case What::unknown: return much_unknown(c.fresh) && (!much_unknown(c.old) || rises(c, "unknown_percent"));
        case What::unstated: return c.how == How::added;
        case What::caution: return becomes(c, "meant");
        case What::usual_dilution: return becomes(c, "over");
        case What::lot:
            return c.old ? verdict_worse(c) || becomes(c, "past_best_before") || becomes(c, "past_opened")
                         : c.fresh && (c.fresh->flag("past_best_before") || c.fresh->flag("past_opened") || verdict_worse(c));
        default: return false;
    }
}

/// Of an allergen only whether it is named.
bool on_the_label(const Change& c) {
    switch (c.what) {
        case What::allergen: return c.how != How::changed;
        case What::allergen_under: return false;
        case What::label_unknown: return c.how != How::changed;
        default: return c.rank() == Rank::label;
    }
}

bool cost_over(const UnitChange& u, double percent) {
    for (const Change& c : u.changes) {
        if (c.what != What::cost || !c.old) continue;
        const auto a = c.old->number("per_unit");
        const auto b = c.fresh ? c.fresh->number("per_unit") : std::nullopt;
        const bool other_money = c.fresh && c.fresh->text("currency") != c.old->text("currency");
        if (a && (!b || other_money)) return true;  // no longer known is not the same as no dearer
        const double most = a.value_or(0) * (1 + percent / 100);
        const double now = b.value_or(0);
        if (a && now > most && !same_figure(now, most)) return true;
    }
    return false;
}

}  // namespace

int verdict_order(std::string_view verdict) {
    constexpr std::array kWords = {"passes", "accepted", "unknown", "warns"};
    const auto at = std::find(kWords.begin(), kWords.end(), verdict);
    return static_cast<int>(at - kWords.begin());
}

void judge_harm(UnitChange& unit) {
    for (Change& c : unit.changes) c.worse = unit.state != UnitState::removed && is_worse(c);
}

std::optional<Threshold> read_threshold(std::string_view text) {
    Threshold out;
    if (text == "safety" || text == "label" || text == "any") {
        out.kind = text == "safety" ? Threshold::Kind::safety : text == "label" ? Threshold::Kind::label : Threshold::Kind::any;
        return out;
    }
    constexpr std::string_view kCost = "cost:";
    if (!text.starts_with(kCost) || !text.ends_with('%')) return std::nullopt;
    text.remove_prefix(kCost.size());
    text.remove_suffix(1);
    while (text.ends_with(' ')) text.remove_suffix(1);
    const ParsedNumber number = parse_number(text);
    if (number.error != NumberError::none || number.value.sign() < 0) return std::nullopt;
    out.kind = Threshold::Kind::cost;
    out.cost_percent = number.value.to_double();
    return out;
}

bool met(const Changes& changes, const Threshold& threshold) {
    using Kind = Threshold::Kind;
    const auto any_of_units = [&](auto&& test) { return std::any_of(changes.units.begin(), changes.units.end(), test); };
    // What can't be read can't be said to be no worse.
    if (!changes.new_errors.empty()) return true;
    switch (threshold.kind) {
        case Kind::safety: return changes.any_worse();
        case Kind::label:
            return any_of_units([](const UnitChange& u) {
                return std::any_of(u.changes.begin(), u.changes.end(), on_the_label) && u.is_product();
            });
        case Kind::cost: return any_of_units([&](const UnitChange& u) { return cost_over(u, threshold.cost_percent); });
        case Kind::any: return changes.any();
    }
    return true;
}

}  // namespace scruple::changes
