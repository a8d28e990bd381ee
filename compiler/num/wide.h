// 256-bit products for the moments when a cross product of two 128-bit numbers must not be lost.
// Only num/ uses it; the loops are plain because they run only on numbers beyond everyday size.
#pragma once

#include <bit>
#include <cstdint>

namespace scruple::wide {

__extension__ typedef unsigned __int128 U128;
__extension__ typedef __int128 I128;

/// Largest magnitude that a signed 128-bit number has on both sides of zero.
inline constexpr U128 kMaxMagnitude = ~U128{0} >> 1;

inline constexpr U128 magnitude(I128 value) {
    return value < 0 ? U128{0} - static_cast<U128>(value) : static_cast<U128>(value);
}

inline constexpr std::uint64_t high(U128 value) { return static_cast<std::uint64_t>(value >> 64); }
inline constexpr std::uint64_t low(U128 value) { return static_cast<std::uint64_t>(value); }

/// Number of bits up to the highest set one; 0 for 0.
inline constexpr int bit_length(U128 value) {
    return high(value) != 0 ? 128 - std::countl_zero(high(value)) : 64 - std::countl_zero(low(value));
}

inline constexpr int trailing_zeros(U128 value) {
    return low(value) != 0 ? std::countr_zero(low(value)) : 64 + std::countr_zero(high(value));
}

inline std::uint64_t gcd(std::uint64_t a, std::uint64_t b) {
    if (a == 0) return b;
    if (b == 0) return a;
    if (a == 1 || b == 1) return 1;
    const int shift = std::countr_zero(a | b);
    a >>= std::countr_zero(a);
    do {
        b >>= std::countr_zero(b);
        if (a > b) {
            const std::uint64_t t = a;
            a = b;
            b = t;
        }
        b -= a;
    } while (b != 0);
    return a << shift;
}

inline U128 gcd(U128 a, U128 b) {
    if ((high(a) | high(b)) == 0) return gcd(low(a), low(b));
    if (a == 0) return b;
    if (b == 0) return a;
    const int shift = trailing_zeros(a | b);
    a >>= trailing_zeros(a);
    b >>= trailing_zeros(b);
    while (a != b) {
        if ((high(a) | high(b)) == 0) return U128{gcd(low(a), low(b))} << shift;
        if (a > b) {
            a -= b;
            a >>= trailing_zeros(a);
        } else {
            b -= a;
            b >>= trailing_zeros(b);
        }
    }
    return a << shift;
}

struct U256 {
    U128 hi = 0;
    U128 lo = 0;
    bool fits() const { return hi == 0 && lo <= kMaxMagnitude; }
};

inline U256 multiply(U128 a, U128 b) {
    const U128 ll = U128{low(a)} * low(b);
    const U128 lh = U128{low(a)} * high(b);
    const U128 hl = U128{high(a)} * low(b);
    const U128 hh = U128{high(a)} * high(b);
    const U128 middle = U128{high(ll)} + low(lh) + low(hl);
    return {hh + high(lh) + high(hl) + high(middle), (middle << 64) | low(ll)};
}

inline int compare(const U256& a, const U256& b) {
    if (a.hi != b.hi) return a.hi < b.hi ? -1 : 1;
    if (a.lo != b.lo) return a.lo < b.lo ? -1 : 1;
    return 0;
}

/// The sum must stay below 2^256.
inline U256 add(const U256& a, const U256& b) {
    const U128 lo = a.lo + b.lo;
    return {a.hi + b.hi + (lo < a.lo ? 1u : 0u), lo};
}

/// a must not be below b.
inline U256 subtract(const U256& a, const U256& b) {
    return {a.hi - b.hi - (a.lo < b.lo ? 1u : 0u), a.lo - b.lo};
}

struct Divided {
    U256 quotient;
    U128 remainder = 0;
};

/// Long division; 0 < divisor <= 2^127, so that a doubled remainder still fits.
inline Divided divide(const U256& a, U128 divisor) {
    if (a.hi == 0) return {{0, a.lo / divisor}, a.lo % divisor};
    Divided out;
    for (int i = 128 + bit_length(a.hi) - 1; i >= 0; --i) {
        const U128 word = i >= 128 ? a.hi : a.lo;
        out.remainder = (out.remainder << 1) | ((word >> (i & 127)) & 1u);
        out.quotient.hi = (out.quotient.hi << 1) | (out.quotient.lo >> 127);
        out.quotient.lo <<= 1;
        if (out.remainder >= divisor) {
            out.remainder -= divisor;
            out.quotient.lo |= 1u;
        }
    }
    return out;
}

/// Sign of a/b - c/d for magnitudes with positive denominators.
inline int compare_fractions(U128 a, U128 b, U128 c, U128 d) {
    if ((high(a) | high(b) | high(c) | high(d)) == 0) {
        const U128 left = a * d;
        const U128 right = c * b;
        return left < right ? -1 : left > right ? 1 : 0;
    }
    return compare(multiply(a, d), multiply(c, b));
}

}  // namespace scruple::wide
