#include "base/date.h"

#include <fmt/core.h>

#include <algorithm>
#include <array>

namespace scruple {
namespace {

struct Day {
    int year = 0;
    int month = 0;
    int day = 0;
    auto operator<=>(const Day&) const = default;
};

/// Days of a month in the Gregorian calendar.
int days_in(int year, int month) {
    static constexpr std::array<int, 12> kDays = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return month == 2 && leap ? 29 : kDays[static_cast<std::size_t>(month - 1)];
}

int digits(std::string_view text, std::size_t at, std::size_t count) {
    int value = 0;
    for (std::size_t i = at; i < at + count; ++i) value = value * 10 + (text[i] - '0');
    return value;
}

Day last_day(std::string_view text) {
    Day out{digits(text, 0, 4), digits(text, 5, 2), 0};
    out.day = text.size() >= 10 ? digits(text, 8, 2) : days_in(out.year, out.month);
    return out;
}

}  // namespace

bool valid_date(std::string_view text) {
    if (text.size() < 7) return false;
    const int year = digits(text, 0, 4);
    const int month = digits(text, 5, 2);
    if (year < 1 || month < 1 || month > 12) return false;
    if (text.size() == 7) return true;
    const int day = digits(text, 8, 2);
    return day >= 1 && day <= days_in(year, month);
}

bool is_after(std::string_view day, std::string_view bound) { return last_day(day) > last_day(bound); }

std::string months_after(std::string_view date, std::int64_t months) {
    const Day from = last_day(date);
    const std::int64_t all = std::int64_t{from.year} * 12 + from.month - 1 + months;
    if (all / 12 > 9999) return {};
    const int year = static_cast<int>(all / 12);
    const int month = static_cast<int>(all % 12) + 1;
    const int last = days_in(year, month);
    return fmt::format("{:04}-{:02}-{:02}", year, month, date.size() == 7 ? last : std::min(from.day, last));
}

}  // namespace scruple
