// Numbers as people write and read them. Reading is exact; printing loses digits only by a named rule.
// A double is rounded from its shortest decimal form, the one people see, and never from the binary digits behind it.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "num/rational.h"

namespace scruple {

/// Most significant digits that a written number may have.
inline constexpr int kMaxDigits = 40;
/// Most decimals that are ever printed.
inline constexpr int kMaxDecimals = 12;

enum class NumberError { none, not_a_number, too_many_digits, overflow };

struct ParsedNumber {
    Rational value;
    NumberError error = NumberError::none;
};

/// Reads `12`, `-18`, `0.75`, `2/3`; no exponent, no sign but '-', no bare leading or trailing point. A zero below
/// the line is no number. `overflow` if the value, reduced, leaves the 128-bit range; in `a/b` if either does.
ParsedNumber parse_number(std::string_view text);

/// How a value is brought to a number of decimals. nearest: ties away from zero; down: towards zero; up: away from
/// zero. For a double, down and up first take 15 significant digits, the most that a double always holds, so that the last
/// bit of a sum (0.30000000000000004, 2.9999999999999996) does not cost a whole step.
enum class Rounding { nearest, down, up };

/// Fixed decimals, e.g. (2/3, 2) -> "0.67". Never prints "-0.00". `decimals` 0 to 12 (others are brought to these).
/// What is no finite number gives words: "overflow" for a Rational; "not a number", "infinite", "-infinite".
std::string format_fixed(const Rational& value, int decimals, Rounding rounding = Rounding::nearest);
std::string format_fixed(double value, int decimals, Rounding rounding = Rounding::nearest);

/// Exactly if the value has at most `max_decimals` decimals ("2.5"), else rounded to them; no trailing zeros.
std::string format_trimmed(const Rational& value, int max_decimals);
std::string format_trimmed(double value, int max_decimals);

/// `digits` (at least 1) significant digits in plain notation, trailing zeros cut: 0.0001234567, 12.3457, 120000.
std::string format_significant(double value, int digits, Rounding rounding = Rounding::nearest);

/// What reading `format_significant(value, 10)` back gives, and most often without printing it.
double round_to_ten_digits(double value);

/// The shortest plain decimal that reads back to the same double (no exponent).
std::string format_shortest(double value);

/// "2.5" when the fraction ends as a decimal within 12 places (and kMaxDigits), else "2/3"; always reads back.
std::string format_exact(const Rational& value);

/// The exact value of a finite double, if it fits.
std::optional<Rational> rational_from_double(double value);

}  // namespace scruple
