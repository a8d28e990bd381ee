// Dates as texts: 2026-05-02, or 2026-05 for the last day of a month. Nothing here knows what day it is.
#pragma once

#include <string_view>

namespace scruple {

/// Whether a text of one of the two forms is in the Gregorian calendar.
bool valid_date(std::string_view text);

/// Whether `day` comes after `bound`; both are valid dates. A month means its last day.
bool is_after(std::string_view day, std::string_view bound);

}  // namespace scruple
