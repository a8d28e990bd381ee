// Loads that count drops: the plan, and the blend as those drops make it.
#pragma once

#include <optional>

#include "formula/formula.h"

namespace scruple {

struct DroppedBlend {
    DropPlan plan;
    BlendFigures blend;    // shares and density as dropped
    double volume_ml = 0;  // of one unit's drops
};

/// Fits the blend's ratio into the load's drops (`up_to_drops` or `between_drops`). The amounts
/// become drops through each oil's own dropper, and by weight through its density too. Every
/// density must be known. Nullopt, with the finding in the bag, where no ratio can be made.
std::optional<DroppedBlend> drop_plan(const Model& model, const Product& product,
                                      const BlendFigures& blend, const Load& load, Bag& bag);

}  // namespace scruple
