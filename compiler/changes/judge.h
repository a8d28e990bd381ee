// Which changes could hurt more than before, and what `--fail-on` looks for.
#pragma once

#include "changes/change.h"

namespace scruple::changes {

/// passes, accepted, unknown, warns, fails; a word of no kind counts as failing.
int verdict_order(std::string_view verdict);

/// Sets `worse` of every change of the unit.
void judge_harm(UnitChange& unit);

}  // namespace scruple::changes
