// The one look at the clock.
#pragma once

#include <string>

namespace scruple {

/// The day here and now, as 2026-05-02.
std::string today();

}  // namespace scruple
