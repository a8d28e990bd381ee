// Exact fractions for everything a maker can count: parts, drops, percentages, money.
// Numerator and denominator are 128-bit; whatever does not fit gives an overflowed value, which sticks.
#pragma once

#include <compare>
#include <cstdint>
#include <string>
#include <string_view>

namespace scruple {

class Rational {
public:
    using Int = __int128;

    constexpr Rational() = default;
    constexpr Rational(long long whole) : num_(whole) {}  // NOLINT(google-explicit-constructor)
    /// Reduced fraction; a zero denominator gives an overflowed value.
    Rational(Int num, Int den);

    /// True after any step that left the 128-bit range or divided by zero.
    bool overflowed() const { return den_ == 0; }
    bool is_zero() const { return num_ == 0 && den_ != 0; }
    bool is_whole() const { return den_ == 1; }
    int sign() const { return num_ > 0 ? 1 : num_ < 0 ? -1 : 0; }
    Int num() const { return num_; }
    Int den() const { return den_; }

    friend Rational operator+(const Rational& a, const Rational& b);
    friend Rational operator-(const Rational& a, const Rational& b);
    friend Rational operator*(const Rational& a, const Rational& b);
    friend Rational operator/(const Rational& a, const Rational& b);
    Rational operator-() const;
    Rational& operator+=(const Rational& b) { return *this = *this + b; }
    Rational& operator-=(const Rational& b) { return *this = *this - b; }
    Rational& operator*=(const Rational& b) { return *this = *this * b; }
    Rational& operator/=(const Rational& b) { return *this = *this / b; }

    /// Exact comparison (never overflows). Overflowed values equal each other and nothing else, and sort last.
    friend bool operator==(const Rational& a, const Rational& b);
    friend std::strong_ordering operator<=>(const Rational& a, const Rational& b);

    /// Largest whole number not above, smallest not below, nearest (ties away from zero).
    Int floor() const;
    Int ceil() const;
    Int round() const;

    double to_double() const;
    /// "6", "-2/3"; "overflow" for an overflowed value.
    std::string to_string() const;

private:
    Int num_ = 0;
    Int den_ = 1;
};

/// Whole number as decimal digits.
std::string to_string(Rational::Int value);

/// Greatest common divisor of the absolute values; gcd(0, 0) = 0.
Rational::Int gcd(Rational::Int a, Rational::Int b);

}  // namespace scruple
