#include "safety/limit_table.h"

#include <algorithm>

namespace scruple {

bool rules_hold(const Model& model, RuleSetId id) {
    const Workshop& workshop = model.workshop;
    if (!workshop.rules.empty()) {
        return std::find(workshop.rules.begin(), workshop.rules.end(), id) != workshop.rules.end();
    }
    if (id == kNone || workshop.market.empty()) return true;
    const auto& markets = model.rule_sets[id].markets;
    return markets.empty() ||
           std::find(markets.begin(), markets.end(), workshop.market) != markets.end();
}

namespace {

/// The rows of one subject that hold in one category, tightest kept.
struct Found {
    LimitEntry firm;
    LimitEntry soft;
    PhototoxicRow light;      // of an oil: published
    PhototoxicRow light_any;  // of an oil: derived too
    PhototoxicRow light_law;  // of an oil: law
    LimitEntry instead;       // of what may take the phototoxic sum's place
    std::vector<UnstatedRow> unstated;
};

class Builder {
public:
    Builder(const Model& model, CategoryId category) : model_(model), category_(category) {
        holds_.assign(model.categories.size(), false);
        holds_[category] = true;
        for (const auto id : model.categories[category].within) holds_[id] = true;
    }

    CategoryTable build() {
        const std::size_t materials = model_.materials.size();
        const std::size_t substances = model_.substances.size();
        table_.phototoxic.resize(materials);
        table_.phototoxic_any.resize(materials);
        table_.phototoxic_law.resize(materials);

        // Entries of substances first, then each material's own with its parts.
        std::vector<Entries> entries_of(substances);
        std::vector<std::vector<UnstatedRow>> unstated_of(substances);
        for (std::size_t s = 0; s < substances && s < model_.substance_limits.size(); ++s) {
            Found found = gather(model_.substance_limits[s], false);
            entries_of[s] = add_entries(found, static_cast<SubstanceId>(s), kNone);
            unstated_of[s] = std::move(found.unstated);
        }
        table_.parts_from.reserve(materials + 1);
        table_.unstated_from.reserve(materials + 1);
        std::vector<Found> found_of(materials);
        std::vector<Entries> own_entries(materials);
        for (std::size_t m = 0; m < materials && m < model_.material_limits.size(); ++m) {
            if (model_.material_limits[m].empty()) continue;
            found_of[m] = gather(model_.material_limits[m], true);
            own_entries[m] = add_entries(found_of[m], kNone, static_cast<MaterialId>(m));
        }
        for (std::size_t m = 0; m < materials; ++m) {
            table_.parts_from.push_back(static_cast<std::uint32_t>(table_.parts.size()));
            table_.unstated_from.push_back(static_cast<std::uint32_t>(table_.unstated.size()));
            Light oil, carrier;
            const auto count = [&](MaterialId as, double share, Light& light) {
                const Found& found = found_of[as];
                add_parts(own_entries[as], share, share, false);
                lower(light.published, found.light, share);
                lower(light.any, found.light_any.row ? found.light_any : found.light, share);
                lower(light.law, found.light_law, share);
                append(table_.unstated, found.unstated);
            };
            count(static_cast<MaterialId>(m), 1, oil);
            for (const auto& other : model_.materials[m].counts_as) {
                if (other.material < materials && other.share > 0)
                    count(other.material, other.share, is_carrier(model_.materials[m], other.material) ? carrier : oil);
            }
            table_.phototoxic[m] = together(oil.published, carrier.published);
            table_.phototoxic_any[m] = together(oil.any, carrier.any);
            table_.phototoxic_law[m] = together(oil.law, carrier.law);
            for (const auto& part : model_.materials[m].contains) {
                // What an analysis did not find is a figure too.
                if (part.substance >= substances || (!(part.fraction.high > 0) && !part.analysed)) continue;
                Entries entries = entries_of[part.substance];
                if (table_.phototoxic[m].row || table_.phototoxic_any[m].row) entries.beside = kNone;
                add_parts(entries, part.fraction.typical, part.fraction.high, part.analysed);
                if (part.fraction.high > 0) append(table_.unstated, unstated_of[part.substance]);
            }
        }
        table_.parts_from.push_back(static_cast<std::uint32_t>(table_.parts.size()));
        table_.unstated_from.push_back(static_cast<std::uint32_t>(table_.unstated.size()));
        return std::move(table_);
    }

    /// Of one subject, a rule set at a time.
    std::vector<LimitEntry> by_rules(const std::vector<std::uint32_t>& limits, SubstanceId substance, MaterialId material) {
        std::vector<LimitEntry> firm, soft;
        for (const auto index : limits) {
            const Found found = gather({index}, material != kNone);
            if (found.firm.row) firm.push_back(of_subject(found.firm, substance, material));
            if (found.instead.row) firm.push_back(of_subject(found.instead, substance, material));
            if (found.soft.row) soft.push_back(of_subject(found.soft, substance, material));
        }
        for (const LimitEntry& s : soft) {
            const bool tightest = std::all_of(firm.begin(), firm.end(), [&](const LimitEntry& f) { return f.soft || s.limit < f.limit; });
            if (tightest) firm.push_back(s);
        }
        return firm;
    }

private:
    static LimitEntry of_subject(LimitEntry entry, SubstanceId substance, MaterialId material) {
        entry.substance = substance;
        entry.material = material;
        entry.kind = entry.limit <= 0     ? CheckKind::prohibited
                     : substance != kNone ? CheckKind::substance
                                          : CheckKind::oil;
        entry.per_limit = entry.limit > 0 ? 1 / entry.limit : 0;
        return entry;
    }

    /// Of one subject: indices into the table's entries.
    struct Entries {
        std::uint32_t firm = kNone, soft = kNone;
        // Of a limit that may take the phototoxic sum's place: on all of it, and on what oils bring that the sum leaves out.
        std::uint32_t instead = kNone, beside = kNone;
    };

    /// The tighter of two phototoxic rows, the second of an oil that makes up `share` of the material.
    static void lower(PhototoxicRow& row, PhototoxicRow other, double share) {
        if (!other.row) return;
        other.limit /= share;
        if (!row.row || other.limit < row.limit) row = other;
    }

    /// The strictest rows of one kind of matter: an oil is one, whatever it counts as, and what it is dissolved in another.
    struct Light {
        PhototoxicRow published;
        PhototoxicRow any;  // derived rows too
        PhototoxicRow law;
    };

    bool is_carrier(const Material& material, MaterialId other) const {
        if (!material.dilution) return false;
        const auto& more = model_.materials[material.dilution->in].counts_as;
        return other == material.dilution->in ||
               std::any_of(more.begin(), more.end(), [&](const CountsAs& c) { return c.material == other; });
    }

    /// Both burn, so their shares of their limits add up: the tighter row with what is left of it beside the other.
    static PhototoxicRow together(const PhototoxicRow& oil, const PhototoxicRow& carrier) {
        if (!oil.row || !carrier.row) return oil.row ? oil : carrier;
        PhototoxicRow both = oil.limit <= carrier.limit ? oil : carrier;
        both.limit = 1 / (1 / oil.limit + 1 / carrier.limit);
        return both;
    }

    static void append(std::vector<UnstatedRow>& to, const std::vector<UnstatedRow>& from) {
        to.insert(to.end(), from.begin(), from.end());
    }

    /// The entry of the row's `in` list that holds here; the format's own category before a scope.
    CategoryId caught(const LimitRow& row) const {
        CategoryId found = kNone;
        for (const auto id : row.in) {
            if (id == category_) return id;
            if (found == kNone && id < holds_.size() && holds_[id]) found = id;
        }
        return found;
    }

    /// Tighter, or as tight with a better standing.
    template <class Row>
    bool tighter(const Row& old, double limit, const LimitRow& row) const {
        if (!old.row) return true;
        if (limit != old.limit) return limit < old.limit;
        return model_.standing(row.source) < model_.standing(old.row->source);
    }

    Found gather(const std::vector<std::uint32_t>& limits, bool of_material) {
        Found found;
        for (const auto index : limits) {
            const Limit& limit = model_.limits[index];
            if (!rules_hold(model_, limit.rules)) continue;
            for (const auto& row : limit.rows) {
                // A rule on the lot or on the label is no limit on the recipe.
                if (row.kind == LimitKind::purity || row.kind == LimitKind::unlimited) continue;
                if (row.effect == Effect::purity || row.effect == Effect::label) continue;
                const CategoryId where = caught(row);
                if (where == kNone) continue;
                if (row.kind == LimitKind::unstated) {
                    if (!stated_elsewhere(limits, limit)) found.unstated.emplace_back(&limit, &row);
                    continue;
                }
                add_row(found, limit, row, where, of_material);
            }
        }
        return found;
    }

    /// Whether a limit of the collection's own states, for this category, what the same rule set leaves open: somebody looked
    /// the figure up. The same record never does, nor a figure that was only worked out.
    bool stated_elsewhere(const std::vector<std::uint32_t>& limits, const Limit& open) const {
        return std::any_of(limits.begin(), limits.end(), [&](std::uint32_t index) {
            const Limit& other = model_.limits[index];
            if (&other == &open || other.rules != open.rules) return false;
            return std::any_of(other.rows.begin(), other.rows.end(), [&](const LimitRow& row) {
                return row.kind != LimitKind::unstated && row.kind != LimitKind::purity && row.effect != Effect::purity &&
                       row.effect != Effect::label && caught(row) != kNone && !is_soft(model_.standing(row.source));
            });
        });
    }

    void add_row(Found& found, const Limit& limit, const LimitRow& row, CategoryId where,
                 bool of_material) {
        const bool soft = is_soft(model_.standing(row.source));
        const double most = row.kind == LimitKind::none ? 0 : row.max_fraction;
        if (of_material && row.effect == Effect::phototoxic && most > 0) {
            const PhototoxicRow made{&limit, &row, where, most};
            if (!soft && tighter(found.light, most, row)) found.light = made;
            if (tighter(found.light_any, most, row)) found.light_any = made;
            if (model_.standing(row.source) == Standing::law && tighter(found.light_law, most, row)) found.light_law = made;
            return;
        }
        const bool instead = limit.replaces_sum && !of_material && most > 0;
        LimitEntry& entry = instead ? found.instead : soft ? found.soft : found.firm;
        if (!tighter(entry, most, row)) return;
        entry.from = &limit;
        entry.row = &row;
        entry.caught = where;
        entry.limit = most;
        entry.soft = soft;
        entry.replaces_sum = instead;
    }

    Entries add_entries(const Found& found, SubstanceId substance, MaterialId material) {
        const auto add = [&](const LimitEntry& entry) {
            table_.entries.push_back(of_subject(entry, substance, material));
            return static_cast<std::uint32_t>(table_.entries.size() - 1);
        };
        Entries made;
        if (found.firm.row) made.firm = add(found.firm);
        if (found.soft.row && (!found.firm.row || found.soft.limit < found.firm.limit))
            made.soft = add(found.soft);
        if (found.instead.row) {
            made.instead = add(found.instead);
            if (!found.firm.row || found.instead.limit < found.firm.limit) {
                LimitEntry beside = found.instead;
                beside.replaces_sum = false;
                made.beside = add(beside);
            }
        }
        return made;
    }

    void add_parts(const Entries& entries, double typical, double high, bool analysed) {
        for (const auto entry : {entries.firm, entries.soft, entries.instead, entries.beside}) {
            if (entry != kNone) table_.parts.push_back({entry, analysed, typical, high});
        }
    }

    const Model& model_;
    CategoryId category_;
    std::vector<bool> holds_;
    CategoryTable table_;
};

}  // namespace

LimitTable::LimitTable(const Model& model) : impl_(std::make_unique<Impl>()) {
    impl_->by_category.assign(model.categories.size(), -1);
    for (const auto& format : model.formats) {
        if (format.category >= model.categories.size()) continue;
        auto& index = impl_->by_category[format.category];
        if (index >= 0) continue;
        index = static_cast<std::int32_t>(impl_->tables.size());
        impl_->tables.push_back(Builder(model, format.category).build());
    }
}

LimitTable::~LimitTable() = default;

std::vector<LimitEntry> entries_by_rules(const Model& model, CategoryId category, SubstanceId substance,
                                         MaterialId material) {
    const bool of_substance = substance != kNone;
    const auto& limits = of_substance ? model.substance_limits : model.material_limits;
    const std::uint32_t subject = of_substance ? substance : material;
    if (category >= model.categories.size() || subject >= limits.size()) return {};
    return Builder(model, category).by_rules(limits[subject], substance, material);
}

}  // namespace scruple
