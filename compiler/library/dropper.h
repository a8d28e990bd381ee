// Exact drops and densities: how counts of drops, volumes and weights meet in one ratio.
#pragma once

#include "library/model.h"

namespace scruple {

inline constexpr int kUsualDropsPerMl = 20;  // common practice, no source

/// The dropper that applies to the material: its own, the workshop's, or the usual 20 drops/ml. Exact.
Rational dropper_of(const Model& model, MaterialId material);

/// Typical density in g/ml as an exact decimal; 0 if unknown.
Rational exact_density_of(const Model& model, MaterialId material);

/// So much of a material, in a bench's unit, as millilitres; overflowed where it can't be known (parts have no size, a
/// weight without a density).
Rational millilitres_of(const Model& model, MaterialId material, const Rational& amount, Dim unit);

}  // namespace scruple
