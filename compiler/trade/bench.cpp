#include "trade/bench.h"

#include "library/dropper.h"

namespace scruple {
namespace {

/// Grams of so much of a material, in a bench's unit; nothing where it has no size or no density.
std::optional<double> grams_of(const Model& model, const BeakerLine& line, Dim unit) {
    if (unit == Dim::mass) return line.amount.to_double();
    const Rational grams = millilitres_of(model, line.material, line.amount, unit) * exact_density_of(model, line.material);
    if (grams.overflowed() || grams.sign() <= 0) return std::nullopt;
    return grams.to_double();
}

}  // namespace

BeakerCost cost_so_far(const Model& model, const PriceBook& book, const Bench& bench, const BenchStep& step) {
    BeakerCost cost;
    cost.asked = book.any();
    cost.lines.resize(step.lines.size());
    if (!cost.asked) return cost;
    cost.sized = bench.unit != Dim::part;
    cost.complete = cost.sized;
    for (std::size_t i = 0; i < step.lines.size() && cost.sized; ++i) {
        const auto price = book.of_material(step.lines[i].material).money;
        const auto grams = grams_of(model, step.lines[i], bench.unit);
        if (price && grams) {
            cost.lines[i] = *price * *grams;
            cost.known += *cost.lines[i];
        } else {
            cost.complete = false;
        }
    }
    return cost;
}

}  // namespace scruple
