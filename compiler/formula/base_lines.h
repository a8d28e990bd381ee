// A base laid out: every row's share of the finished product as an affine function of the blend's
// share.
#pragma once

#include <string>
#include <vector>

#include "formula/formula.h"

namespace scruple {

/// What a list of rows leaves over, to be checked once the load is known.
struct RestRow {
    Affine share;
    MaterialId material = kNone;
    BaseId base = kNone;
    Span span;
};

struct BaseLayout {
    std::vector<FormulaPhase> phases;  // at least one
    std::vector<FormulaLine> lines;    // by phase; one line a material in each
    std::vector<RestRow> rests;
    double of_total = 0;  // sum of the rows that are of the total
    std::uint32_t blend_phase = 0;
    bool too_long = false;  // more rows than ResourceLimits allows
};

/// Shares: a row `of base` of s takes s of what the list fills; a row `of total` is absolute;
/// `rest` is what is left. The outermost list fills 1 - w; a base inside a base fills its own row.
BaseLayout lay_out(const Model& model, const Product& product);

}  // namespace scruple
