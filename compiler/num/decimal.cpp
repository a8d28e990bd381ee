#include "num/decimal.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <utility>

#include "num/wide.h"

namespace scruple {

using wide::U128;

namespace {

constexpr std::array<std::uint64_t, 20> kPowersOfTen = [] {
    std::array<std::uint64_t, 20> out{};
    std::uint64_t power = 1;
    for (auto& p : out) {
        p = power;
        power *= 10;  // the last product wraps and is not used
    }
    return out;
}();

bool is_digit(char c) { return c >= '0' && c <= '9'; }

U128 power_of_ten(int exponent) {
    U128 out = 1;
    for (; exponent > 19; exponent -= 19) out *= kPowersOfTen[19];
    return out * kPowersOfTen[static_cast<std::size_t>(exponent)];
}

struct Magnitude {
    U128 num = 0;
    U128 den = 1;
    NumberError error = NumberError::none;
};

/// Appends digits to a number; false if it leaves the range.
bool append(U128& number, std::string_view digits) {
    while (!digits.empty()) {
        const std::size_t count = std::min<std::size_t>(digits.size(), 18);
        std::uint64_t part = 0;
        for (std::size_t i = 0; i < count; ++i) part = part * 10 + static_cast<std::uint64_t>(digits[i] - '0');
        if (__builtin_mul_overflow(number, U128{kPowersOfTen[count]}, &number)) return false;
        if (__builtin_add_overflow(number, U128{part}, &number)) return false;
        digits.remove_prefix(count);
    }
    return number <= wide::kMaxMagnitude;
}

/// Digits whose number, or whose power of ten, leaves the range before it is reduced: slower, and rare.
Magnitude read_long(std::string_view whole, std::string_view fraction) {
    const Magnitude beyond{0, 1, NumberError::overflow};
    // A divisor of 10^n with at most forty digits above it loses its twos or its fives, never both.
    if (fraction.size() > 126) return beyond;
    wide::U256 num;
    for (const auto part : {whole, fraction}) {
        for (const char c : part) {
            const wide::U256 low = wide::multiply(num.lo, 10);
            num = wide::add({num.hi * 10 + low.hi, low.lo}, {0, static_cast<U128>(c - '0')});
        }
    }
    auto twos = fraction.size();
    auto fives = fraction.size();
    for (const auto& [prime, left] : {std::pair{2u, &twos}, std::pair{5u, &fives}}) {
        while (*left > 0) {
            const auto divided = wide::divide(num, prime);
            if (divided.remainder != 0) break;
            num = divided.quotient;
            --*left;
        }
    }
    wide::U256 den{0, 1};
    for (std::size_t i = 0; i < twos + fives && den.fits(); ++i) den = wide::multiply(den.lo, i < twos ? 2 : 5);
    if (!num.fits() || !den.fits()) return beyond;
    return {num.lo, den.lo, NumberError::none};
}

/// `12` or `0.75`, all of the text.
Magnitude read_decimal(std::string_view text, bool point_allowed) {
    std::size_t at = 0;
    while (at < text.size() && is_digit(text[at])) ++at;
    std::string_view whole = text.substr(0, at);
    std::string_view fraction;
    if (whole.empty()) return {0, 1, NumberError::not_a_number};
    if (at < text.size()) {
        if (!point_allowed || text[at] != '.') return {0, 1, NumberError::not_a_number};
        fraction = text.substr(at + 1);
        if (fraction.empty() || !std::all_of(fraction.begin(), fraction.end(), is_digit)) {
            return {0, 1, NumberError::not_a_number};
        }
    }
    while (!whole.empty() && whole.front() == '0') whole.remove_prefix(1);
    std::size_t significant = whole.size() + fraction.size();
    if (whole.empty()) {
        for (std::size_t i = 0; i < fraction.size() && fraction[i] == '0'; ++i) --significant;
    }
    if (significant > static_cast<std::size_t>(kMaxDigits)) return {0, 1, NumberError::too_many_digits};
    while (!fraction.empty() && fraction.back() == '0') fraction.remove_suffix(1);

    Magnitude out;
    if (fraction.size() > 38 || !append(out.num, whole) || !append(out.num, fraction)) {
        return read_long(whole, fraction);
    }
    out.den = power_of_ten(static_cast<int>(fraction.size()));
    return out;
}

// A decimal on its way to print: 0.d1 d2 ... dn times 10 to the `point`; no trailing zeros, no digits for zero.
struct Decimal {
    bool negative = false;
    int count = 0;
    int point = 0;
    std::array<char, 24> digits{};

    void trim() {
        while (count > 0 && digits[static_cast<std::size_t>(count - 1)] == '0') --count;
        if (count == 0) {
            point = 0;
            negative = false;
        }
    }

    /// Keeps the first `keep` digits (which may be none, or lie left of the first).
    void round(int keep, Rounding rounding) {
        if (count == 0 || keep >= count) return;
        bool up = rounding == Rounding::up;
        if (rounding == Rounding::nearest) up = keep >= 0 && digits[static_cast<std::size_t>(keep)] >= '5';
        if (keep <= 0) {
            count = 0;
            if (up) {
                digits[0] = '1';
                count = 1;
                point = point - keep + 1;
            }
            trim();
            return;
        }
        count = keep;
        if (up) {
            int at = count - 1;
            while (at >= 0 && digits[static_cast<std::size_t>(at)] == '9') --at;
            count = at + 1;
            if (at >= 0) {
                ++digits[static_cast<std::size_t>(at)];
            } else {
                digits[0] = '1';
                count = 1;
                ++point;
            }
        }
        trim();
    }

    /// Plain notation with at least `decimals` decimals, filled with zeros.
    std::string print(int decimals) const {
        const int after = std::max(decimals, count - point);
        const int before = std::max(point, 1);
        std::string out(static_cast<std::size_t>((negative ? 1 : 0) + before + (after > 0 ? 1 + after : 0)), '0');
        char* at = out.data();
        if (negative) *at++ = '-';
        if (after > 0) at[before] = '.';
        for (int i = 0; i < count; ++i) {
            const int place = point > 0 ? i : i - point + 1;  // counted from the first digit before the point
            at[place < before ? place : place + 1] = digits[static_cast<std::size_t>(i)];
        }
        return out;
    }
};

/// The shortest digits that read back to the same double.
Decimal shortest(double value) {
    Decimal out;
    char buffer[32];
    const auto end = std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::scientific).ptr;
    const char* at = buffer;
    if (*at == '-') {
        out.negative = true;
        ++at;
    }
    for (; at != end && *at != 'e'; ++at) {
        if (*at != '.') out.digits[static_cast<std::size_t>(out.count++)] = *at;
    }
    ++at;                    // the 'e'
    if (*at == '+') ++at;    // from_chars takes no plus
    std::from_chars(at, end, out.point);
    ++out.point;             // d.ddd to 0.dddd
    out.trim();
    return out;
}

const char* not_finite(double value) {
    return std::isnan(value) ? "not a number" : value > 0 ? "infinite" : "-infinite";
}

/// See Rounding: what a sum's last bit adds is not worth a step.
void settle(Decimal& decimal, Rounding rounding) {
    if (rounding != Rounding::nearest) decimal.round(15, Rounding::nearest);
}

std::string& cut_zeros(std::string& text) {
    if (text.find('.') == std::string::npos) return text;
    while (text.back() == '0') text.pop_back();
    if (text.back() == '.') text.pop_back();
    return text;
}

char* write_backwards(char* at, U128 value) {
    constexpr std::uint64_t kStep = kPowersOfTen[18];
    while (wide::high(value) != 0) {
        auto part = static_cast<std::uint64_t>(value % kStep);
        value /= kStep;
        for (int i = 0; i < 18; ++i, part /= 10) *--at = static_cast<char>('0' + part % 10);
    }
    auto rest = wide::low(value);
    do {
        *--at = static_cast<char>('0' + rest % 10);
        rest /= 10;
    } while (rest != 0);
    return at;
}

struct Steps {
    U128 whole = 0;     // before the point
    std::uint64_t fraction = 0;  // the decimals as one number
};

/// The value in steps of 10^-decimals, rounded.
Steps steps_of(U128 num, U128 den, int decimals, Rounding rounding) {
    const std::uint64_t scale = kPowersOfTen[static_cast<std::size_t>(decimals)];
    Steps out;
    U128 rest = 0;
    if ((wide::high(num) | wide::high(den)) == 0) {
        out.whole = wide::low(num) / wide::low(den);
        rest = wide::low(num) % wide::low(den);
    } else {
        out.whole = num / den;
        rest = num % den;
    }
    if (rest == 0) return out;
    const auto divided = wide::divide(wide::multiply(rest, scale), den);
    out.fraction = wide::low(divided.quotient.lo);  // below `scale`, since rest < den
    rest = divided.remainder;
    const bool up = rounding == Rounding::up ? rest != 0 : rounding == Rounding::nearest && rest >= den - rest;
    if (up && ++out.fraction == scale) {
        out.fraction = 0;
        ++out.whole;
    }
    return out;
}

}  // namespace

ParsedNumber parse_number(std::string_view text) {
    const bool negative = !text.empty() && text.front() == '-';
    if (negative) text.remove_prefix(1);
    const auto slash = text.find('/');
    auto top = read_decimal(text.substr(0, slash), slash == std::string_view::npos);
    if (slash != std::string_view::npos) {
        const auto under = read_decimal(text.substr(slash + 1), false);
        if (under.error == NumberError::not_a_number || (under.error == NumberError::none && under.num == 0)) {
            return {{}, NumberError::not_a_number};
        }
        if (top.error == NumberError::none) top.error = under.error;
        top.den = under.num;
    }
    if (top.error != NumberError::none) return {{}, top.error};
    const auto num = static_cast<Rational::Int>(top.num);
    return {Rational(negative ? -num : num, static_cast<Rational::Int>(top.den)), NumberError::none};
}

std::string format_fixed(const Rational& value, int decimals, Rounding rounding) {
    if (value.overflowed()) return "overflow";
    decimals = std::clamp(decimals, 0, kMaxDecimals);
    const Steps steps = steps_of(wide::magnitude(value.num()), static_cast<U128>(value.den()), decimals, rounding);
    char buffer[64];
    char* const end = buffer + sizeof buffer;
    char* at = end;
    if (decimals > 0) {
        auto rest = steps.fraction;
        for (int i = 0; i < decimals; ++i, rest /= 10) *--at = static_cast<char>('0' + rest % 10);
        *--at = '.';
    }
    at = write_backwards(at, steps.whole);
    if (value.sign() < 0 && (steps.whole != 0 || steps.fraction != 0)) *--at = '-';
    return {at, static_cast<std::size_t>(end - at)};
}

std::string format_fixed(double value, int decimals, Rounding rounding) {
    if (!std::isfinite(value)) return not_finite(value);
    decimals = std::clamp(decimals, 0, kMaxDecimals);
    Decimal decimal = shortest(value);
    settle(decimal, rounding);
    decimal.round(decimal.point + decimals, rounding);
    return decimal.print(decimals);
}

std::string format_trimmed(const Rational& value, int max_decimals) {
    std::string out = format_fixed(value, max_decimals);
    return std::move(cut_zeros(out));
}

std::string format_trimmed(double value, int max_decimals) {
    if (!std::isfinite(value)) return not_finite(value);
    Decimal decimal = shortest(value);
    decimal.round(decimal.point + std::clamp(max_decimals, 0, kMaxDecimals), Rounding::nearest);
    return decimal.print(0);
}

std::string format_significant(double value, int digits, Rounding rounding) {
    if (!std::isfinite(value)) return not_finite(value);
    Decimal decimal = shortest(value);
    settle(decimal, rounding);
    decimal.round(std::max(digits, 1), rounding);
    return decimal.print(0);
}

double round_to_ten_digits(double value) {
    constexpr int kDigits = 10;
    // Up to here a power of ten is a double without error, and so is the quotient of two doubles that are whole: correctly
    // rounded, which is what reading a decimal gives (Clinger, How to read floating point numbers accurately, 1990).
    constexpr std::array<double, 23> kExact = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                               1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    constexpr double kFirst = 1e9, kPast = 1e10;
    if (value == 0 || !std::isfinite(value)) return value;
    const double size = std::fabs(value);
    int exponent = 0;
    std::frexp(size, &exponent);
    int shift = kDigits - 1 - static_cast<int>(std::floor((exponent - 1) * 0.30102999566398120));
    if (shift > 0 && shift < static_cast<int>(kExact.size()) && size * kExact[static_cast<std::size_t>(shift)] >= kPast) --shift;
    if (shift >= 0 && shift < static_cast<int>(kExact.size())) {
        const double power = kExact[static_cast<std::size_t>(shift)];
        const double scaled = size * power;
        const double whole = std::floor(scaled);
        const double rest = scaled - whole;
        // Near a half the error of the product, or the shortest form's own tie, could decide.
        if (scaled >= kFirst && scaled < kPast && std::fabs(rest - 0.5) > 1e-4) {
            return std::copysign((rest > 0.5 ? whole + 1 : whole) / power, value);
        }
    }
    const std::string text = format_significant(value, kDigits);
    double read = value;
    std::from_chars(text.data(), text.data() + text.size(), read);
    return read;
}

std::string format_shortest(double value) {
    if (!std::isfinite(value)) return not_finite(value);
    return shortest(value).print(0);
}

std::string format_exact(const Rational& value) {
    if (value.overflowed()) return "overflow";
    if (value.is_whole()) return to_string(value.num());
    // A reduced fraction ends within twelve decimals exactly if its denominator divides 10^12.
    const auto den = static_cast<U128>(value.den());
    if (den <= kPowersOfTen[kMaxDecimals] && kPowersOfTen[kMaxDecimals] % wide::low(den) == 0) {
        std::string out = format_trimmed(value, kMaxDecimals);
        // Point and sign besides the digits; with more of them it would not read back.
        if (out.size() <= static_cast<std::size_t>(kMaxDigits) + (value.sign() < 0 ? 2 : 1)) return out;
    }
    return value.to_string();
}

std::optional<Rational> rational_from_double(double value) {
    if (!std::isfinite(value)) return std::nullopt;
    if (value == 0) return Rational{};
    int exponent = 0;
    const double part = std::frexp(std::fabs(value), &exponent);
    auto digits = static_cast<U128>(std::ldexp(part, 53));  // 53 bits: a whole number
    exponent -= 53;
    const int zeros = wide::trailing_zeros(digits);
    digits >>= zeros;
    exponent += zeros;
    const int length = wide::bit_length(digits);
    if (exponent > 0 && length + exponent > 127) return std::nullopt;
    if (exponent < -126) return std::nullopt;
    const auto num = static_cast<Rational::Int>(exponent > 0 ? digits << exponent : digits);
    const auto den = exponent < 0 ? Rational::Int{1} << -exponent : Rational::Int{1};
    return Rational(value < 0 ? -num : num, den);
}

}  // namespace scruple
