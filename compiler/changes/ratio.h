// Which oils of a blend went up or down, when all numbers may have been written in another scale.
#pragma once

#include "changes/change.h"

namespace scruple::changes {

/// Sets the direction of every change that is an oil's, and its parts in a scale that both sides share: 2 : 4 : 6 and
/// 1 : 2 : 4 are read as 1 : 2 : 3 and 1 : 2 : 4. As many oils as can be keep their number.
void judge_parts(UnitChange& unit);

}  // namespace scruple::changes
