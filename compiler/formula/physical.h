// What the arithmetic takes from a material: its density, its dropper, whether it counts as a fat.
#pragma once

#include <string_view>
#include <vector>

#include "formula/formula.h"
#include "library/dropper.h"
#include "library/model.h"

namespace scruple {

/// Typical density in g/ml, 0 if unknown. A figure of the library's is an assumption; the maker's
/// own is none.
double density_of(const Model& model, MaterialId material, std::vector<Assumption>* assumptions);

/// `of fats` and `of wax` count the same roles: whatever sets or stays as fat. One place decides.
bool counts_as_fat(std::string_view role);
/// Takes up essential oils: a carrier for premixes.
bool takes_up_oils(const Material& material);

/// Remark that volumes are taken to add up when the lines are mixed.
void assume_additive_volumes(std::vector<Assumption>& assumptions);

}  // namespace scruple
