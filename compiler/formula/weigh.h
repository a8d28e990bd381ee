// From exact grams to what a balance shows: rounding, lines too light to weigh, premixes.
#pragma once

#include "formula/formula.h"

namespace scruple {

/// A line under this many divisions of the scale is known to worse than 5 % (common practice, no
/// source).
inline constexpr double kLeastDivisions = 20;

/// Fills in scale, divisions, `too_light` and premixes of a formula whose masses are known, and
/// reports at most one finding on light lines and one on a batch over the scale. Without
/// `divisions_wanted` no line is rounded to the scale.
void weigh(const Model& model, const Product& product, Formula& formula, Bag& bag, bool divisions_wanted = true);

}  // namespace scruple
