// The lots that a product is made from: their peroxide values against the rules on raw materials, and their dates. What a
// lot's composition changes is judged with everything else, in judge.h.
#pragma once

#include <string_view>
#include <vector>

#include "safety/judge.h"

namespace scruple {

/// Rules on what is rich in a substance say no figure for rich. An oil counts as rich in what may make up this much of it,
/// w/w: a convention of this project, no source.
inline constexpr double kRich = 0.25;

/// Peroxides count where a product touches skin; dates everywhere. `on`: as judge() has it.
std::vector<LotState> lot_states(const Model& model, const Product& product, Contact contact, std::string_view on);

/// The findings on them, each where the product names the lot.
void report_lots(const Model& model, const Product& product, const std::vector<LotState>& lots, Bag& bag);

}  // namespace scruple
