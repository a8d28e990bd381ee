// What a qualified assessor covered, as the maker records it, against what a product is now: ratio, load and format. Bases,
// lots, containers and labels are not compared.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "diag/diagnostic.h"
#include "formula/formula.h"
#include "library/model.h"

namespace scruple {

/// One assessment of a product's blend, and what of the product falls outside it.
struct Coverage {
    const Assessment* assessment = nullptr;
    bool ratio_changed = false;
    bool other_format = false;
    bool over_load = false;
    bool over_date = false;                     // its time was over on the day that was given
    const Assessment::Load* load = nullptr;     // what it says of the format
    std::string fingerprint;                    // of the blend as it is

    bool covers() const { return !ratio_changed && !other_format && !over_load && !over_date; }
};

/// The assessments of the product's own blend, in the recipe's order; none for an incomplete formula. `on`: the day for which
/// it is asked, as 2026-05-02; empty: ends are not looked at.
std::vector<Coverage> coverage(const Model& model, const Product& product, const Formula& formula, std::string_view on);

/// Why it does not cover the product, in words, one a reason.
std::vector<std::string> outside_text(const Model& model, const Product& product, const Formula& formula, const Coverage& c);

/// A warning where the product's blend was assessed and nothing that was assessed covers the product.
void report_outside(const Model& model, const Product& product, const Formula& formula, std::string_view on, Bag& bag);

}  // namespace scruple
