#include "advice/swaps.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <tuple>

#include "advice/rows.h"
#include "formula/balance.h"

namespace scruple {
namespace {

constexpr double kMuchShared = 0.5;
constexpr int kMostImpactSteps = 2;

/// Top, middle and base as 0, 2 and 4; -1 not known.
int note_place(Note note) {
    switch (note) {
        case Note::top: return 0;
        case Note::top_middle: return 1;
        case Note::middle: return 2;
        case Note::base: return 4;
        case Note::unknown: break;
    }
    return -1;
}

/// What 100 g of a blend cost; unknown where one price is.
std::optional<double> cost_of_100_g(const Model& model, const BlendFigures& blend, const OilPrices& prices, bool* stale = nullptr) {
    double sum = 0;
    if (!blend.complete) return std::nullopt;
    for (const auto& line : blend.lines) {
        const MaterialId id = model.unlotted(line.material);
        if (id >= prices.per_gram.size() || !prices.per_gram[id]) return std::nullopt;
        sum += 100 * line.share_ww * *prices.per_gram[id];
        if (stale && id < prices.stale.size() && prices.stale[id]) *stale = true;
    }
    return sum;
}

int tier_of(const OilPrices& prices, MaterialId id) { return id < prices.tier.size() ? prices.tier[id] : 0; }

std::vector<std::string> labels(const AdviceTask& task, const Trial& trial, const AllergenTable* table) {
    std::vector<std::string> out;
    if (!table) return out;
    for (const auto& named : table->names(task.product, trial.formula).named) out.push_back(named.entry->label);
    return out;
}

/// The cautions about what is in it, whomever they are for.
std::vector<std::string> cautions(const AdviceTask& task, const Trial& trial) {
    Bag said;
    std::vector<std::string> out;
    for (const auto& c : judge_people(*task.model, *task.cautions_of, task.product, trial.blend, trial.formula, Care::all, said).cautions) {
        if (std::find(out.begin(), out.end(), c.caution->text) == out.end()) out.push_back(c.caution->text);
    }
    return out;
}

std::vector<std::string> without(const std::vector<std::string>& all, const std::vector<std::string>& those) {
    std::vector<std::string> out;
    for (const auto& x : all) {
        if (std::find(those.begin(), those.end(), x) == those.end()) out.push_back(x);
    }
    return out;
}

std::optional<double> odour_of(const Balance& balance, MaterialId material) {
    if (!balance.all_known) return std::nullopt;
    for (const auto& oil : balance.oils) {
        if (oil.material == material && oil.odour) return oil.odour->to_double();
    }
    return std::nullopt;
}

class Swaps {
public:
    Swaps(const AdviceTask& task, const AllergenTable* allergens, const OilPrices& prices)
        : task_(task), model_(*task.model), allergens_(allergens), prices_(prices) {}

    std::vector<Swap> run() {
        const Trial before = try_blend(task_, task_.blend);
        if (!before.blend.complete || before.blend.lines.size() > kMostAdvisedOils) return {};
        const bool good = before.within(task_);
        for (const auto& line : task_.blend.lines) {
            const MaterialId out = model_.unlotted(line.material);
            auto stand_ins = candidates(out, before);
            for (auto& swap : stand_ins) {
                swap.after = with(line.material, swap.in);
                if (!swap.after.formula.complete && before.formula.complete) continue;
                if (good && !swap.after.within(task_)) continue;
                swap.before = before;
                compare(swap);
                out_.push_back(std::move(swap));
                break;
            }
        }
        std::stable_sort(out_.begin(), out_.end(), [&](const Swap& a, const Swap& b) { return gain(a) > gain(b); });
        if (out_.size() > kMostSwaps) out_.resize(kMostSwaps);
        return std::move(out_);
    }

private:
    /// Known savings first, the largest first; then tiers, each times the oil's share.
    std::pair<double, double> gain(const Swap& swap) const {
        double share = 0;
        for (const auto& line : swap.before.blend.lines) share += model_.unlotted(line.material) == swap.out ? line.share_ww : 0;
        return {swap.saving.value_or(0), share * (swap.tier_out - swap.tier_in)};
    }

    Trial with(MaterialId out, MaterialId in) const {
        Blend blend = task_.blend;
        for (auto& line : blend.lines) line.material = line.material == out ? in : line.material;
        AdviceTask task = task_;
        std::erase_if(task.product.lots, [&](const LotUse& use) { return model_.lots[use.lot].material == out; });
        return try_blend(task, blend);
    }

    /// Cheaper ones, the cheapest first.
    std::vector<Swap> candidates(MaterialId out, const Trial& before) const {
        std::vector<Swap> found;
        if (model_.materials[out].kind != MaterialKind::oil) return found;
        const auto cost = cost_of_100_g(model_, before.blend, prices_);
        for (MaterialId in = 0; in < model_.materials.size(); ++in) {
            const Material& m = model_.materials[in];
            if (in == out || m.kind != MaterialKind::oil || m.lot != kNone || m.header.broken || m.dilution) continue;
            if (std::any_of(task_.blend.lines.begin(), task_.blend.lines.end(),
                            [&](const BlendLine& l) { return model_.unlotted(l.material) == in; })) {
                continue;
            }
            Swap swap;
            swap.out = out;
            swap.in = in;
            swap.alike = likeness(model_, out, in);
            if (!swap.alike.keeps_character) continue;
            swap.tier_out = tier_of(prices_, out);
            swap.tier_in = tier_of(prices_, in);
            if (cost) {
                Blend blend = task_.blend;
                for (auto& line : blend.lines) line.material = model_.unlotted(line.material) == out ? in : line.material;
                Bag said;
                const auto other = cost_of_100_g(model_, work_out(model_, blend, said, false), prices_, &swap.stale);
                if (other) {
                    swap.saving = *cost - *other;
                    swap.cost_before = *cost;
                }
            }
            const bool cheaper = swap.saving ? *swap.saving > 0
                                             : swap.tier_in > 0 && swap.tier_out > 0 && swap.tier_in < swap.tier_out;
            if (cheaper) found.push_back(std::move(swap));
        }
        std::sort(found.begin(), found.end(), [&](const Swap& a, const Swap& b) {
            const auto key = [&](const Swap& s) {
                return std::tuple(-s.saving.value_or(0), s.saving ? 0 : s.tier_in, -std::llround(s.alike.shared * 1e9), s.alike.impact_steps,
                                  model_.materials[s.in].header.name);
            };
            return key(a) < key(b);
        });
        return found;
    }

    void compare(Swap& swap) const {
        for (int i = 0; i < 3; ++i) {
            double& change = i == 0 ? swap.top : i == 1 ? swap.middle : swap.base;
            change = swap.after.blend.note_share[i] - swap.before.blend.note_share[i];
        }
        const auto plain_oils = [&](BlendFigures figures) {
            for (auto& line : figures.lines) line.material = model_.unlotted(line.material);
            return figures;
        };
        swap.odour_before = odour_of(balance_of(model_, plain_oils(swap.before.blend)), swap.out);
        swap.odour_after = odour_of(balance_of(model_, plain_oils(swap.after.blend)), swap.in);
        const auto label_before = labels(task_, swap.before, allergens_), label_after = labels(task_, swap.after, allergens_);
        swap.allergens_gained = without(label_after, label_before);
        swap.allergens_lost = without(label_before, label_after);
        const auto care_before = cautions(task_, swap.before), care_after = cautions(task_, swap.after);
        swap.cautions_gained = without(care_after, care_before);
        swap.cautions_lost = without(care_before, care_after);
    }

    const AdviceTask& task_;
    const Model& model_;
    const AllergenTable* allergens_;
    const OilPrices& prices_;
    std::vector<Swap> out_;
};

}  // namespace

Likeness likeness(const Model& model, MaterialId a, MaterialId b) {
    const Material& x = model.materials[a];
    const Material& y = model.materials[b];
    Likeness out;
    for (const Constituent& c : x.contains) {
        if (c.substance >= model.substances.size() || model.substances[c.substance].is_group) continue;
        for (const Constituent& d : y.contains) {
            if (d.substance == c.substance) out.shared += std::min(c.fraction.typical, d.fraction.typical);
        }
    }
    out.same_odour = !x.odour.empty() && x.odour == y.odour;
    const int from = note_place(x.note), to = note_place(y.note);
    const bool notes = from >= 0 && to >= 0;
    out.note_steps = notes ? (std::abs(from - to) + 1) / 2 : 2;
    const bool impacts = x.impact && y.impact;
    out.impact_steps = impacts ? std::abs(*x.impact - *y.impact) : 9;
    out.keeps_character = notes && impacts && out.impact_steps <= kMostImpactSteps &&
                          ((out.shared >= kMuchShared && out.note_steps <= 1) || (out.same_odour && out.note_steps == 0));
    return out;
}

std::vector<Swap> cheaper_swaps(const AdviceTask& task, const AllergenTable* allergens, const OilPrices& prices) {
    return Swaps(task, allergens, prices).run();
}

}  // namespace scruple
