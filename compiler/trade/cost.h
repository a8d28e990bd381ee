// What a blend and a batch cost: every line's money, packaging, work and overhead, and what shops and people could be
// asked. What has no price is missing, never free, and the sum is then an `at least`.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "formula/formula.h"
#include "trade/prices.h"

namespace scruple {

/// A blend by itself.
struct BlendCost {
    struct Line {
        Price price;                      // for a gram
        std::optional<double> per_drop;   // through its density and dropper
        std::optional<double> share;      // of the blend's cost; unknown where any price is
    };
    bool asked = false;                   // the collection has prices
    std::vector<Line> lines;              // as BlendFigures::lines
    std::optional<double> per_g, per_ml;  // unknown where any line's price is
    std::optional<double> at_least_per_g;  // of the lines that have a price; per_g where all have. Unknown without shares
    std::vector<Assumption> assumptions;  // densities and droppers that the money went through
};

struct CostLine {
    enum class Kind : std::uint8_t { material, base, container };
    Kind kind = Kind::material;
    std::uint32_t id = kNone;            // MaterialId, BaseId or ContainerId
    LineRole role = LineRole::base;      // of a material
    double amount = 0;                   // g or pieces in the batch
    Price price;
    std::optional<double> money;         // for the batch
    Span span;
};

/// Money is in the price book's currency, for the batch as weighed out, with what is made over.
struct Cost {
    bool asked = false;                  // the collection has prices, or the product a budget
    bool complete = false;               // false: something that is stated has no price, and the sums are `at least`
    std::int64_t units = 1;
    std::vector<CostLine> lines;         // base, then blend, then packaging; one a material and role
    double blend = 0, base = 0, packaging = 0;
    std::optional<double> labour;        // work times the workshop's hour; nothing where neither is stated
    std::optional<double> overhead;
    bool labour_missing = false;         // one of work and hour is stated without the other, or the hour in a foreign currency
    bool packaging_stated = false;
    double hours = 0;
    double batch = 0;                    // all of it
    double unit() const { return batch / static_cast<double>(units); }
    std::optional<double> wholesale, retail;  // of each; only of a complete cost
    std::optional<double> budget;        // of each, in the workshop's currency
    bool over_budget = false;            // even what is known is over it
    std::vector<Assumption> assumptions; // densities that the money went through
    /// The line that costs most; null where none has a price.
    const CostLine* dearest() const;
};

BlendCost cost_of(const Model& model, const PriceBook& book, const BlendFigures& blend);

/// `units` is how many the formula was worked out for. An incomplete formula costs nobody knows what.
Cost cost_of(const Model& model, const PriceBook& book, const Product& product, const Formula& formula, std::int64_t units);

/// What a price lacks, in words: "no price for Vetiver".
std::string gap_text(const Model& model, const CostLine& line);

/// What is missing, old, or over budget, in the bag.
void report_cost(const Model& model, const PriceBook& book, const Product& product, const Cost& cost, std::string_view on,
                 Bag& bag);

}  // namespace scruple
