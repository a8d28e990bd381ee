// The inside of LimitTable: for each category that a format names, every applicable limit as an
// entry, and for every material the list of entries that it counts towards. Judging is then a walk
// over flat arrays.
#pragma once

#include <cstdint>
#include <utility>
#include <vector>

#include "safety/judge.h"

namespace scruple {

/// The row that holds for one subject in one category.
struct LimitEntry {
    CheckKind kind = CheckKind::substance;  // substance, oil or prohibited
    SubstanceId substance = kNone;
    MaterialId material = kNone;
    const Limit* from = nullptr;
    const LimitRow* row = nullptr;
    CategoryId caught = kNone;
    double limit = 0;      // 0: nothing is allowed
    double per_limit = 0;  // 1 / limit
    bool soft = false;
    bool replaces_sum = false;  // holds only where lots are analysed, in the phototoxic sum's place
};

/// A phototoxic oil's strictest row.
struct PhototoxicRow {
    const Limit* from = nullptr;
    const LimitRow* row = nullptr;
    CategoryId caught = kNone;
    double limit = 0;
};

using UnstatedRow = std::pair<const Limit*, const LimitRow*>;

struct CategoryTable {
    /// What one gram of a material brings towards an entry.
    struct Part {
        std::uint32_t entry = 0;
        bool analysed = false;  // by a lot's certificate
        double typical = 0;
        double high = 0;
    };

    std::vector<LimitEntry> entries;
    std::vector<Part> parts;                // of all materials, one after the other
    std::vector<std::uint32_t> parts_from;  // by material, and one more
    std::vector<PhototoxicRow>
        phototoxic;  // by material: published rows only; limit 0 where there is none
    std::vector<PhototoxicRow> phototoxic_any;  // by material: derived rows too
    std::vector<PhototoxicRow> phototoxic_law;  // by material: what is law, whatever lots state
    std::vector<UnstatedRow> unstated;          // of all materials, one after the other
    std::vector<std::uint32_t> unstated_from;   // by material, and one more
};

struct LimitTable::Impl {
    std::vector<std::int32_t> by_category;  // index into tables, -1 where no format needs it
    std::vector<CategoryTable> tables;

    const CategoryTable* table(CategoryId category) const {
        if (category >= by_category.size() || by_category[category] < 0) return nullptr;
        return &tables[static_cast<std::size_t>(by_category[category])];
    }
};

/// The rules on one subject that hold in a category, one by one: of each rule set its tightest published row, and its tightest
/// derived one where that is tighter than every published one. For subjects whose rules are told apart, as waivers do.
std::vector<LimitEntry> entries_by_rules(const Model& model, CategoryId category, SubstanceId substance,
                                         MaterialId material);

}  // namespace scruple
