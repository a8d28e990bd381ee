// Dates as texts: 2026-05-02, or 2026-05 for the last day of a month. Nothing here knows what day it is.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace scruple {

/// Whether a text of one of the two forms is in the Gregorian calendar.
bool valid_date(std::string_view text);

/// Whether `day` comes after `bound`; both are valid dates. A month means its last day.
bool is_after(std::string_view day, std::string_view bound);

/// So many whole months after a valid date, in days that the calendar has; empty beyond the year 9999. A month means its last
/// day.
std::string months_after(std::string_view date, std::int64_t months);

}  // namespace scruple
