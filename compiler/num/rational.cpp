#include "num/rational.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "num/wide.h"

namespace scruple {

using wide::I128;
using wide::U128;
using wide::U256;

namespace {

bool small(I128 value) { return value == static_cast<std::int64_t>(value); }

/// A reduced numerator and denominator as magnitudes, or nothing that fits (den 0).
struct Reduced {
    U128 num = 0;
    U128 den = 0;
};

Reduced reduce(U128 num, U128 den) {
    if (den == 0) return {};
    if (den != 1) {
        const U128 common = wide::gcd(num, den);
        if (common != 1) {
            num /= common;
            den /= common;
        }
    }
    if (num > wide::kMaxMagnitude || den > wide::kMaxMagnitude) return {};
    return {num, den};
}

}  // namespace

Rational::Int gcd(Rational::Int a, Rational::Int b) {
    const U128 common = wide::gcd(wide::magnitude(a), wide::magnitude(b));
    return common > wide::kMaxMagnitude ? 0 : static_cast<Rational::Int>(common);
}

Rational::Rational(Int num, Int den) {
    const Reduced reduced = reduce(wide::magnitude(num), wide::magnitude(den));
    *this = from_reduced((num < 0) != (den < 0), reduced.num, reduced.den);
}

Rational Rational::from_reduced(bool negative, U128 num, U128 den) {
    Rational out;
    if (den == 0) {
        out.den_ = 0;
        return out;
    }
    out.num_ = negative ? -static_cast<Int>(num) : static_cast<Int>(num);
    out.den_ = static_cast<Int>(den);
    return out;
}

/// a + b or a - b, by Knuth's way that keeps the numbers small (The Art of Computer Programming, vol. 2, 4.5.1):
/// only the part that the denominators share can cancel.
Rational Rational::sum(const Rational& a, const Rational& b, bool subtract) {
    if (a.den_ == 0 || b.den_ == 0) return from_reduced(false, 0, 0);
    if (small(a.num_) && small(b.num_) && small(a.den_) && small(b.den_)) {
        const Int right = subtract ? -b.num_ : b.num_;
        if (a.den_ == b.den_) {
            const Int num = a.num_ + right;
            const Reduced reduced = reduce(wide::magnitude(num), static_cast<U128>(a.den_));
            return from_reduced(num < 0, reduced.num, reduced.den);
        }
        const auto bd = static_cast<std::uint64_t>(a.den_);
        const auto dd = static_cast<std::uint64_t>(b.den_);
        const std::uint64_t common = bd == 1 || dd == 1 ? 1 : wide::gcd(bd, dd);
        const Int num = a.num_ * static_cast<Int>(dd / common) + right * static_cast<Int>(bd / common);
        if (common == 1) return from_reduced(num < 0, wide::magnitude(num), U128{bd} * dd);
        const U128 left = wide::gcd(wide::magnitude(num), U128{common});
        return from_reduced(num < 0, wide::magnitude(num) / left, U128{bd / common} * (dd / wide::low(left)));
    }
    const auto bd = static_cast<U128>(a.den_);
    const auto dd = static_cast<U128>(b.den_);
    const U128 common = wide::gcd(bd, dd);
    const U256 x = wide::multiply(wide::magnitude(a.num_), dd / common);
    const U256 y = wide::multiply(wide::magnitude(b.num_), bd / common);
    const bool y_negative = subtract ? b.num_ > 0 : b.num_ < 0;
    bool negative = a.num_ < 0;
    U256 num;
    if (negative == y_negative || a.num_ == 0 || b.num_ == 0) {
        num = wide::add(x, y);
        if (a.num_ == 0) negative = y_negative;
    } else if (wide::compare(x, y) >= 0) {
        num = wide::subtract(x, y);
    } else {
        num = wide::subtract(y, x);
        negative = y_negative;
    }
    if (num.hi == 0 && num.lo == 0) return {};
    const U128 left = wide::gcd(wide::divide(num, common).remainder, common);
    const U256 top = wide::divide(num, left).quotient;
    const U256 bottom = wide::multiply(bd / common, dd / left);
    if (!top.fits() || !bottom.fits()) return from_reduced(false, 0, 0);
    return from_reduced(negative, top.lo, bottom.lo);
}

Rational operator+(const Rational& a, const Rational& b) { return Rational::sum(a, b, false); }
Rational operator-(const Rational& a, const Rational& b) { return Rational::sum(a, b, true); }

Rational Rational::product(bool negative, U128 a, U128 b, U128 c, U128 d) {
    // Both fractions are reduced, so only the crosswise pairs can share a factor.
    const U128 ad = a == 1 || d == 1 ? U128{1} : wide::gcd(a, d);
    const U128 cb = c == 1 || b == 1 ? U128{1} : wide::gcd(c, b);
    if (ad != 1) {
        a /= ad;
        d /= ad;
    }
    if (cb != 1) {
        c /= cb;
        b /= cb;
    }
    if ((wide::high(a) | wide::high(b) | wide::high(c) | wide::high(d)) == 0) {
        const U128 num = a * c;
        const U128 den = b * d;
        if (num > wide::kMaxMagnitude || den > wide::kMaxMagnitude) return from_reduced(false, 0, 0);
        return from_reduced(negative, num, den);
    }
    const U256 num = wide::multiply(a, c);
    const U256 den = wide::multiply(b, d);
    if (!num.fits() || !den.fits()) return from_reduced(false, 0, 0);
    return from_reduced(negative, num.lo, den.lo);
}

Rational operator*(const Rational& a, const Rational& b) {
    if (a.overflowed() || b.overflowed()) return Rational::from_reduced(false, 0, 0);
    return Rational::product((a.num_ < 0) != (b.num_ < 0), wide::magnitude(a.num_), static_cast<U128>(a.den_),
                             wide::magnitude(b.num_), static_cast<U128>(b.den_));
}

Rational operator/(const Rational& a, const Rational& b) {
    if (a.overflowed() || b.overflowed() || b.num_ == 0) return Rational::from_reduced(false, 0, 0);
    return Rational::product((a.num_ < 0) != (b.num_ < 0), wide::magnitude(a.num_), static_cast<U128>(a.den_),
                             static_cast<U128>(b.den_), wide::magnitude(b.num_));
}

Rational Rational::operator-() const {
    Rational out = *this;
    out.num_ = -num_;  // the most negative number is never stored
    return out;
}

bool operator==(const Rational& a, const Rational& b) { return a.num_ == b.num_ && a.den_ == b.den_; }

std::strong_ordering operator<=>(const Rational& a, const Rational& b) {
    if (a.overflowed() || b.overflowed()) return a.overflowed() <=> b.overflowed();
    if (a.den_ == b.den_) return a.num_ <=> b.num_;
    const int signs = a.sign() - b.sign();
    if (signs != 0) return signs <=> 0;
    const int order = wide::compare_fractions(wide::magnitude(a.num_), static_cast<U128>(a.den_),
                                              wide::magnitude(b.num_), static_cast<U128>(b.den_));
    return a.sign() < 0 ? 0 <=> order : order <=> 0;
}

Rational::Int Rational::floor() const {
    if (overflowed()) return 0;
    const Int quotient = num_ / den_;
    return num_ < 0 && num_ % den_ != 0 ? quotient - 1 : quotient;
}

Rational::Int Rational::ceil() const {
    if (overflowed()) return 0;
    const Int quotient = num_ / den_;
    return num_ > 0 && num_ % den_ != 0 ? quotient + 1 : quotient;
}

Rational::Int Rational::round() const {
    if (overflowed()) return 0;
    const U128 value = wide::magnitude(num_);
    const auto den = static_cast<U128>(den_);
    U128 quotient = value / den;
    const U128 rest = value % den;
    if (rest >= den - rest) ++quotient;
    return num_ < 0 ? -static_cast<Int>(quotient) : static_cast<Int>(quotient);
}

double Rational::to_double() const {
    if (overflowed()) return std::numeric_limits<double>::quiet_NaN();
    constexpr U128 kExact = U128{1} << 53;
    U128 value = wide::magnitude(num_);
    auto den = static_cast<U128>(den_);
    if (value <= kExact && den <= kExact) {
        return static_cast<double>(static_cast<std::int64_t>(num_)) / static_cast<double>(wide::low(den));
    }
    // Long division to at least 64 bits; the lowest bit remembers whether anything was left over, so the one rounding
    // is the conversion to double at the end.
    U128 quotient = value / den;
    U128 rest = value % den;
    int shift = 0;
    while (wide::bit_length(quotient) < 64 && rest != 0) {
        rest <<= 1;
        quotient <<= 1;
        if (rest >= den) {
            rest -= den;
            quotient |= 1u;
        }
        ++shift;
    }
    if (rest != 0) quotient |= 1u;
    const double out = std::ldexp(static_cast<double>(quotient), -shift);
    return num_ < 0 ? -out : out;
}

std::string to_string(Rational::Int value) {
    char buffer[40];
    char* at = buffer + sizeof buffer;
    U128 rest = wide::magnitude(value);
    do {
        *--at = static_cast<char>('0' + static_cast<int>(rest % 10));
        rest /= 10;
    } while (rest != 0);
    if (value < 0) *--at = '-';
    return {at, static_cast<std::size_t>(buffer + sizeof buffer - at)};
}

std::string Rational::to_string() const {
    if (overflowed()) return "overflow";
    std::string out = scruple::to_string(num_);
    if (den_ != 1) {
        out += '/';
        out += scruple::to_string(den_);
    }
    return out;
}

}  // namespace scruple
