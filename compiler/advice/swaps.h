// Oils that could stand in another's place and keep the character: the same odour family or much the same constituents, a
// note no further than a step away, a strength near its own.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "advice/task.h"
#include "safety/allergens.h"

namespace scruple {

/// How alike two oils are. Rules of thumb of ours, no source.
struct Likeness {
    double shared = 0;          // of what is known of both: the sum of the smaller share of each constituent
    bool same_odour = false;
    int note_steps = 0;         // 0 to 2 between top, middle and base
    int impact_steps = 0;       // of 1 to 10
    bool keeps_character = false;
};
Likeness likeness(const Model& model, MaterialId a, MaterialId b);

/// What oils cost, by material. The money comes from whoever has price lists; where there are none, only the library's tiers
/// are known, 1 cheap to 5 very dear and 0 not known. Not known is never cheap.
struct OilPrices {
    std::string currency;
    std::vector<std::optional<double>> per_gram;
    std::vector<int> tier;
    std::vector<char> stale;        // older than prices keep
};

/// One oil in another's place, at the same amount.
struct Swap {
    MaterialId out = kNone;
    MaterialId in = kNone;
    Likeness alike;
    int tier_out = 0, tier_in = 0;
    std::optional<double> saving;   // of 100 g of the blend, in the currency of the prices; unknown where a price is
    double cost_before = 0;         // of 100 g, where the saving is known
    bool stale = false;             // a price that it rests on is old
    Trial before, after;            // in the product that the advice is about
    double top = 0, middle = 0, base = 0;  // change of the notes' shares by parts
    std::optional<double> odour_before, odour_after;  // of the oil's own share of the odour
    std::vector<std::string> allergens_gained, allergens_lost;  // on the label of that product
    std::vector<std::string> cautions_gained, cautions_lost;
    std::string variation;
};

/// For every oil of the blend its cheapest stand-in that breaks nothing which the blend keeps, those that save most first; at
/// most kMostSwaps. `variation` is left to the caller.
inline constexpr std::size_t kMostSwaps = 3;
std::vector<Swap> cheaper_swaps(const AdviceTask& task, const AllergenTable* allergens, const OilPrices& prices);

}  // namespace scruple
