// Exact fractions for everything a maker can count: parts, drops, percentages, money.
// Numerator and denominator are 128-bit; a result overflows only if it does not fit once reduced, and that sticks.
#pragma once

#include <compare>
#include <concepts>
#include <cstdint>
#include <string>
#include <string_view>

namespace scruple {

class Rational {
public:
    __extension__ typedef __int128 Int;
    __extension__ typedef unsigned __int128 UInt;

    constexpr Rational() = default;
    constexpr Rational(long long whole) : num_(whole) {}  // NOLINT(google-explicit-constructor)
    /// A 128-bit whole number; a template so that plain integers stay unambiguous.
    template <class T>
        requires std::same_as<T, Int>
    Rational(T whole) : Rational(whole, Int{1}) {}  // NOLINT(google-explicit-constructor)
    /// A double would lose its fraction silently: see rational_from_double.
    template <std::floating_point T>
    Rational(T) = delete;
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

    /// Largest whole number not above, smallest not below, nearest (ties away from zero); 0 for an overflowed value.
    Int floor() const;
    Int ceil() const;
    Int round() const;

    /// The nearest double (ties to even); not-a-number for an overflowed value.
    double to_double() const;
    /// "6", "-2/3"; "overflow" for an overflowed value.
    std::string to_string() const;

private:
    static Rational from_reduced(bool negative, UInt num, UInt den);
    static Rational sum(const Rational& a, const Rational& b, bool subtract);
    static Rational product(bool negative, UInt a, UInt b, UInt c, UInt d);

    Int num_ = 0;  // 0 if overflowed; never the most negative number
    Int den_ = 1;  // 0 if overflowed, else positive and without a factor shared with num_
};

/// Whole number as decimal digits.
std::string to_string(Rational::Int value);

/// Greatest common divisor of the absolute values; gcd(0, 0) = 0, and 0 for the one result (2^127) that does not fit.
Rational::Int gcd(Rational::Int a, Rational::Int b);

}  // namespace scruple
