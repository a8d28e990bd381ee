// What the lists of allergens want named on a product's label: each name's share of the finished
// product at the top of every range, against the list's threshold. A list is a rule set that
// allergens stand under, or that continues one.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "formula/formula.h"
#include "library/model.h"
#include "safety/judge.h"

namespace scruple {

/// A list that the workshop goes by, or why it does not.
struct AllergenList {
    enum class State : std::uint8_t {
        holds,
        later,       // what follows the older list may still be placed on the market
        not_yet,     // the date is before the day from which it can be followed
        not_chosen,  // the workshop names other rules
        elsewhere,   // of other markets
        contained,   // all its names are on a list that holds too
    };
    RuleSetId rules = kNone;
    State state = State::holds;
    std::vector<RuleSetId> parts;  // itself and the older lists that it continues
};

/// One name on a label, or one that stays under its threshold.
struct NamedAllergen {
    const Allergen* entry = nullptr;  // with the lowest threshold, where several have this label
    double share = 0;                 // w/w of the finished product, at the top of every range
    double typical_share = 0;
    double threshold = 0;             // named over this
    std::string_view threshold_text;  // as a percentage, as written
    bool extract = false;             // a whole oil, not a constituent
    RuleSetId later = kNone;          // named only once this list holds
    Bringers bringers;                // largest first
};

struct LabelNames {
    enum class State : std::uint8_t {
        not_known,  // the formula is incomplete
        other_law,  // no cosmetic: it does not touch skin
        no_list,    // no list known here holds for the workshop
        listed,
    };
    State state = State::not_known;
    std::vector<NamedAllergen> named;  // over their thresholds, largest share first
    std::vector<NamedAllergen> under;  // present, and not over
    double unknown_share = 0;  // w/w of the product: what the compositions of its oils do not cover
    std::vector<MaterialId> unknown;  // oils of whose composition nothing is known
};

/// The lists of a run, and what each material brings towards their names. Build once a run; const
/// and safe to share.
class AllergenTable {
public:
    /// `on`: the date that decides which lists hold, as 2026-05-02 or 2026-05; empty for the
    /// longest lists.
    AllergenTable(const Model& model, std::string_view on);

    /// All lists that the model knows, in the model's order.
    const std::vector<AllergenList>& lists() const { return lists_; }
    bool is_list(RuleSetId rules) const {
        for (const AllergenList& list : lists_) {
            if (list.rules == rules) return true;
        }
        return false;
    }
    std::string_view on() const { return on_; }

    /// What to name on this product's label. Depends on nothing but its arguments and the table.
    LabelNames names(const Product& product, const Formula& formula) const;

private:
    /// All entries of one label together: what they cover is added up, and the lowest threshold
    /// counts.
    struct Name {
        std::string_view label;
        const Allergen* leave_on = nullptr;  // the entry with the lowest threshold for that contact
        const Allergen* rinse_off = nullptr;
        RuleSetId later = kNone;
        std::vector<SubstanceId> substances;
        std::vector<MaterialId> oils;
    };
    /// What one gram of a material brings towards a name.
    struct Part {
        std::uint32_t name = 0;
        double typical = 0;
        double high = 0;
    };

    void decide();
    void gather();
    void measure();
    std::uint32_t name_of(std::string_view label, RuleSetId later);
    void add_entry(Name& name, const Allergen& entry) const;

    const Model& model_;
    std::string on_;
    std::vector<AllergenList> lists_;
    bool any_holds_ = false;
    std::vector<Name> names_;
    std::vector<Part> parts_;                // of all materials, one after the other
    std::vector<std::uint32_t> parts_from_;  // by material, and one more
};

}  // namespace scruple
