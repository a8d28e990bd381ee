// What is in a beaker so far, in money. Nothing is free: where a price, a density or a size is missing, that oil's cost is not
// known, and the sum is an `at least`.
#pragma once

#include <optional>
#include <vector>

#include "formula/bench.h"
#include "trade/prices.h"

namespace scruple {

struct BeakerCost {
    bool asked = false;                         // the collection has prices
    bool sized = true;                          // false: parts have no size, so they have no cost either
    bool complete = false;                      // every oil's cost is known
    double known = 0;                           // in the book's currency: the sum of what is known
    std::vector<std::optional<double>> lines;   // as BenchStep::lines
};

/// Through each oil's own dropper and density to grams, and from there by the price of a gram.
BeakerCost cost_so_far(const Model& model, const PriceBook& book, const Bench& bench, const BenchStep& step);

}  // namespace scruple
