#include "safety/allergens.h"

#include <algorithm>

#include "base/date.h"
#include "safety/ceiling.h"

namespace scruple {
namespace {

bool has(const std::vector<RuleSetId>& list, RuleSetId id) {
    return std::find(list.begin(), list.end(), id) != list.end();
}

}  // namespace

AllergenTable::AllergenTable(const Model& model, std::string_view on) : model_(model), on_(on) {
    decide();
    gather();
    measure();
}

/// Which rule sets are lists, and which of them hold.
void AllergenTable::decide() {
    std::vector<char> own(model_.rule_sets.size(), 0);
    for (const Allergen& a : model_.allergens) own[a.rules] = 1;
    for (RuleSetId id = 0; id < model_.rule_sets.size(); ++id) {
        AllergenList list;
        list.rules = id;
        bool any = false;
        for (RuleSetId part = id; part != kNone; part = model_.rule_sets[part].continues) {
            list.parts.push_back(part);
            any = any || own[part];
        }
        if (any) lists_.push_back(std::move(list));
    }
    using State = AllergenList::State;
    // A list that holds later leaves the older one that it continues in force until then, chosen or
    // not.
    std::vector<RuleSetId> in_force_until_then;
    for (auto it = lists_.rbegin(); it != lists_.rend(); ++it) {
        const RuleSet& rules = model_.rule_sets[it->rules];
        if (!rules_hold(model_, it->rules) && !has(in_force_until_then, it->rules)) {
            it->state = model_.workshop.rules.empty() ? State::elsewhere : State::not_chosen;
        } else if (!on_.empty() && !rules.in_force.empty() && is_after(rules.in_force, on_)) {
            it->state = State::not_yet;
        } else if (!on_.empty() && !rules.placed_until.empty() && !is_after(on_, rules.placed_until)) {
            it->state = State::later;
        } else {
            it->state = State::holds;
        }
        if (it->state == State::later || it->state == State::not_yet)
            in_force_until_then.push_back(rules.continues);
    }
    for (AllergenList& list : lists_) {
        if (list.state != State::holds) continue;
        any_holds_ = true;
        for (const AllergenList& other : lists_) {
            if (&other == &list || other.state != State::holds) continue;
            const bool all = std::all_of(list.parts.begin(), list.parts.end(), [&](RuleSetId part) {
                return !own[part] || has(other.parts, part);
            });
            // Of two with the same entries the first stays.
            const bool same =
                all && std::all_of(other.parts.begin(), other.parts.end(), [&](RuleSetId part) {
                    return !own[part] || has(list.parts, part);
                });
            if (all && (!same || &other < &list)) list.state = State::contained;
        }
    }
}

std::uint32_t AllergenTable::name_of(std::string_view label, RuleSetId later) {
    for (std::uint32_t i = 0; i < names_.size(); ++i) {
        if (names_[i].label == label && names_[i].later == later) return i;
    }
    names_.emplace_back();
    names_.back().label = label;
    names_.back().later = later;
    return static_cast<std::uint32_t>(names_.size() - 1);
}

void AllergenTable::add_entry(Name& name, const Allergen& entry) const {
    const auto tighter = [&](const Allergen*& kept, std::optional<double> Allergen::*threshold) {
        if ((entry.*threshold) && (!kept || *(entry.*threshold) < *(kept->*threshold)))
            kept = &entry;
    };
    tighter(name.leave_on, &Allergen::leave_on);
    tighter(name.rinse_off, &Allergen::rinse_off);
    const auto add = [](auto& to, const auto& from) {
        for (const auto id : from) {
            if (std::find(to.begin(), to.end(), id) == to.end()) to.push_back(id);
        }
    };
    add(name.substances, entry.substances);
    add(name.oils, entry.oils);
}

/// The names that hold now, then those that only a later list has.
void AllergenTable::gather() {
    using State = AllergenList::State;
    std::vector<RuleSetId> now;
    for (const AllergenList& list : lists_) {
        if (list.state == State::holds || list.state == State::contained)
            now.insert(now.end(), list.parts.begin(), list.parts.end());
    }
    for (const Allergen& a : model_.allergens) {
        if (has(now, a.rules)) add_entry(names_[name_of(a.label, kNone)], a);
    }
    for (const AllergenList& list : lists_) {
        if (list.state != State::later) continue;
        for (const Allergen& a : model_.allergens) {
            if (has(now, a.rules) || !has(list.parts, a.rules)) continue;
            // With whatever that name covers already.
            const std::uint32_t before = name_of(a.label, kNone);
            Name& name = names_[name_of(a.label, list.rules)];
            add_entry(name, a);
            const Name covered = names_[before];
            for (const Allergen* held : {covered.leave_on, covered.rinse_off}) {
                if (held) add_entry(name, *held);  // the lowest threshold counts
            }
            for (const SubstanceId s : covered.substances) {
                if (std::find(name.substances.begin(), name.substances.end(), s) ==
                    name.substances.end())
                    name.substances.push_back(s);
            }
            for (const MaterialId m : covered.oils) {
                if (std::find(name.oils.begin(), name.oils.end(), m) == name.oils.end())
                    name.oils.push_back(m);
            }
        }
    }
}

/// Turns the names' subjects round: by material, what it brings towards which name.
void AllergenTable::measure() {
    const std::size_t materials = model_.materials.size();
    std::vector<std::vector<std::uint32_t>> of_substance(model_.substances.size());
    std::vector<std::vector<std::uint32_t>> of_material(materials);
    for (std::uint32_t n = 0; n < names_.size(); ++n) {
        const Name& name = names_[n];
        for (const SubstanceId s : name.substances) {
            // A group's own row holds its members already.
            const auto& groups = model_.substances[s].groups;
            const bool held = std::any_of(groups.begin(), groups.end(), [&](SubstanceId g) {
                return std::find(name.substances.begin(), name.substances.end(), g) !=
                       name.substances.end();
            });
            if (!held) of_substance[s].push_back(n);
        }
        for (const MaterialId m : name.oils) of_material[m].push_back(n);
    }
    std::vector<Part> found(names_.size());
    std::vector<std::uint32_t> touched;
    const auto at = [&](std::uint32_t n) -> Part& {
        if (std::find(touched.begin(), touched.end(), n) == touched.end()) {
            touched.push_back(n);
            found[n] = {n, 0, 0};
        }
        return found[n];
    };
    parts_from_.reserve(materials + 1);
    for (std::size_t m = 0; m < materials; ++m) {
        parts_from_.push_back(static_cast<std::uint32_t>(parts_.size()));
        const Material& material = model_.materials[m];
        touched.clear();
        for (const Constituent& c : material.contains) {
            for (const auto n : of_substance[c.substance]) {
                Part& part = at(n);
                part.typical += c.fraction.typical;
                part.high += c.fraction.high;
            }
        }
        for (const auto n : touched) {
            found[n].typical = std::min(found[n].typical, 1.0);
            found[n].high = std::min(found[n].high, 1.0);
        }
        // As a whole it is no less than what it holds.
        const auto whole = [&](MaterialId id, double share) {
            for (const auto n : of_material[id]) {
                Part& part = at(n);
                part.typical = std::max(part.typical, share);
                part.high = std::max(part.high, share);
            }
        };
        whole(static_cast<MaterialId>(m), 1);
        for (const CountsAs& other : material.counts_as)
            whole(other.material, std::min(other.share, 1.0));
        std::sort(touched.begin(), touched.end());
        for (const auto n : touched) {
            if (found[n].high > 0) parts_.push_back(found[n]);
        }
    }
    parts_from_.push_back(static_cast<std::uint32_t>(parts_.size()));
}

LabelNames AllergenTable::names(const Product& product, const Formula& formula) const {
    LabelNames out;
    if (!formula.complete || product.format >= model_.formats.size()) return out;
    const Contact contact = model_.formats[product.format].contact;
    if (contact == Contact::none) {
        out.state = LabelNames::State::other_law;
        return out;
    }
    if (!any_holds_) {
        out.state = LabelNames::State::no_list;
        return out;
    }
    out.state = LabelNames::State::listed;

    struct Level {
        double typical = 0;
        double high = 0;
        std::vector<std::pair<double, MaterialId>> bringers;
    };
    std::vector<Level> levels(names_.size());
    std::vector<std::uint32_t> touched;
    for (const FormulaLine& line : formula.lines) {
        if (!(line.fraction > 0)) continue;
        for (auto p = parts_from_[line.material]; p < parts_from_[line.material + 1]; ++p) {
            const Part& part = parts_[p];
            Level& level = levels[part.name];
            if (level.bringers.empty()) touched.push_back(part.name);
            level.typical += line.fraction * part.typical;
            level.high += line.fraction * part.high;
            const auto there =
                std::find_if(level.bringers.begin(), level.bringers.end(),
                             [&](const auto& b) { return b.second == line.material; });
            if (there == level.bringers.end()) {
                level.bringers.emplace_back(line.fraction * part.high, line.material);
            } else {
                there->first += line.fraction * part.high;
            }
        }
        const Material& material = model_.materials[line.material];
        if (material.kind != MaterialKind::oil) continue;
        out.unknown_share += line.fraction * std::max(0.0, 1 - material.known_typical);
        if (!material.composition_known &&
            std::find(out.unknown.begin(), out.unknown.end(), line.material) == out.unknown.end()) {
            out.unknown.push_back(line.material);
        }
    }
    if (out.unknown_share <= 1e-12) out.unknown_share = 0;
    std::sort(touched.begin(), touched.end());  // what holds now stands before what holds later
    for (const auto n : touched) {
        const Name& name = names_[n];
        Level& level = levels[n];
        const bool stays = contact == Contact::leave_on;
        const Allergen* entry = stays ? name.leave_on : name.rinse_off;
        if (!entry) continue;
        const auto same = [&](const NamedAllergen& other) {
            return other.entry->label == name.label;
        };
        if (name.later != kNone && std::any_of(out.named.begin(), out.named.end(), same)) continue;
        NamedAllergen a;
        a.entry = entry;
        a.share = level.high;
        a.typical_share = level.typical;
        a.threshold = stays ? *entry->leave_on : *entry->rinse_off;
        a.threshold_text = stays ? entry->leave_on_text : entry->rinse_off_text;
        a.extract = name.substances.empty();
        a.later = name.later;
        std::stable_sort(level.bringers.begin(), level.bringers.end(),
                         [](const auto& x, const auto& y) { return x.first > y.first; });
        for (const auto& [amount, material] : level.bringers) a.bringers.push_back(material);
        const bool over = a.threshold > 0 ? !within_limit(a.share / a.threshold) : a.share > 0;
        // One name once: under a threshold now and over a later one is said as the latter.
        if (over) std::erase_if(out.under, same);
        if (!over && std::any_of(out.under.begin(), out.under.end(), same)) continue;
        (over ? out.named : out.under).push_back(std::move(a));
    }
    const auto larger = [](const NamedAllergen& a, const NamedAllergen& b) {
        return a.share != b.share ? a.share > b.share : a.entry->label < b.entry->label;
    };
    std::sort(out.named.begin(), out.named.end(), larger);
    std::sort(out.under.begin(), out.under.end(), larger);
    return out;
}

}  // namespace scruple
