// Waivers of a recipe: which check each one accepts, which speak up again above their ceiling, and which may not stand.
// What is law, what is prohibited, what burns in the sun and undiluted oil on skin can't be waived.
#pragma once

#include <string_view>

#include "safety/findings.h"

namespace scruple {

/// Whether a row is law rather than somebody's standard or advice: by its own source, or by its rule set's.
bool is_law(const Model& model, const Limit& limit, const LimitRow& row);

/// Gives the checks of waived subjects, which stand one a rule set, the verdicts that the waivers leave, and says of each
/// waiver what became of it. `on`: the day, or empty.
void settle_waivers(const Model& model, const Product& product, const Formula& formula, std::string_view on,
                    Judgement& judgement);

/// Waivers that accept nothing, are over, or may not stand, as errors at the recipe's own rows.
void report_waivers(const FindingContext& context, Bag& bag);

}  // namespace scruple
