// The laws of fractions, over seeded random numbers from everyday size to the edge of 128 bits.
#include <catch2/catch.hpp>

#include <charconv>
#include <cmath>
#include <cstdlib>
#include <random>
#include <string>
#include <tuple>

#include "num/decimal.h"
#include "num/rational.h"

using namespace scruple;

namespace {

using Int = Rational::Int;

class RandomFractions {
public:
    explicit RandomFractions(unsigned seed) : engine_(seed) {}

    std::uint64_t bits() { return engine_(); }

    Int whole(int most_bits) {
        const int bits_wanted = static_cast<int>(bits() % static_cast<unsigned>(most_bits)) + 1;
        const auto wide = (static_cast<Rational::UInt>(bits()) << 64) | bits();
        const auto value = static_cast<Int>(wide >> (128 - bits_wanted));
        return bits() % 2 == 0 ? value : -value;
    }

    Rational fraction(int most_bits) {
        const Int den = whole(most_bits);
        return {whole(most_bits), den == 0 ? Int{1} : den};
    }

private:
    std::mt19937_64 engine_;
};

}  // namespace

TEST_CASE("rounding to ten digits is printing and reading back", "[num][property]") {
    std::mt19937_64 engine(1867);
    const auto law = [](double value) {
        const std::string text = format_significant(value, 10);
        double read = 0;
        std::from_chars(text.data(), text.data() + text.size(), read);
        INFO(text);
        REQUIRE(round_to_ten_digits(value) == read);
        REQUIRE(round_to_ten_digits(-value) == -read);
        REQUIRE(round_to_ten_digits(read) == read);
    };
    for (int round = 0; round < 200000; ++round) {
        const auto random = engine();
        const double part = 1 + static_cast<double>(random >> 12) / 4503599627370496.0;
        law(std::ldexp(part, static_cast<int>(engine() % 120) - 70));
        law(static_cast<double>(random % 100000) / 1000);                             // as people write them
        law((static_cast<double>(engine() % 10000000000) + 0.5) / 1e9);              // ties
        law(std::nextafter(std::pow(10.0, static_cast<double>(random % 30) - 15), random % 2 == 0 ? 0 : 1e30));
    }
    CHECK(round_to_ten_digits(0) == 0);
    CHECK(std::isnan(round_to_ten_digits(std::nan(""))));
}

TEST_CASE("laws of arithmetic", "[num][property]") {
    RandomFractions random(1959);
    for (int round = 0; round < 60000; ++round) {
        // 20 bits: nothing can overflow. 127: most of it does, and then both sides may say so.
        const int bits = round % 3 == 0 ? 20 : round % 3 == 1 ? 60 : 127;
        const Rational a = random.fraction(bits);
        const Rational b = random.fraction(bits);
        const Rational c = random.fraction(bits);
        INFO(a.to_string() << " " << b.to_string() << " " << c.to_string());
        const auto same = [](const Rational& x, const Rational& y) {
            return x.overflowed() || y.overflowed() || x == y;
        };
        REQUIRE(a + b == b + a);
        REQUIRE(a * b == b * a);
        REQUIRE(same((a + b) + c, a + (b + c)));
        REQUIRE(same((a * b) * c, a * (b * c)));
        REQUIRE(same(a * (b + c), a * b + a * c));
        REQUIRE(same((a + b) - b, a));
        REQUIRE((a - a).is_zero());
        REQUIRE(a - b == -(b - a));
        REQUIRE(a + 0 == a);
        REQUIRE(a * 1 == a);
        if (!b.is_zero()) {
            REQUIRE(same(a / b * b, a));
            REQUIRE(b / b == Rational(1));
            REQUIRE(Rational(1) / (Rational(1) / b) == b);
        }
        if (bits == 20) REQUIRE_FALSE((a * b + b * c).overflowed());
        const Rational sum = a + b;
        if (!sum.overflowed()) {
            REQUIRE(sum.den() > 0);
            REQUIRE(gcd(sum.num(), sum.den()) == 1);
        }
    }
}

TEST_CASE("order agrees with subtraction and is total", "[num][property]") {
    RandomFractions random(4217);
    for (int round = 0; round < 60000; ++round) {
        const int bits = round % 2 == 0 ? 30 : 127;
        const Rational a = random.fraction(bits);
        // Every other time close neighbours, where a rounded comparison would fail.
        const Rational b = round % 4 < 2 ? random.fraction(bits) : a + Rational(Int{1}, Int{1} << 62);
        if (b.overflowed()) continue;
        INFO(a.to_string() << " " << b.to_string());
        const Rational difference = a - b;
        if (!difference.overflowed()) {
            REQUIRE((a < b) == (difference.sign() < 0));
            REQUIRE((a == b) == difference.is_zero());
        }
        REQUIRE((a < b) == (b > a));
        REQUIRE(((a < b) + (a == b) + (a > b)) == 1);
        REQUIRE((-a < -b) == (a > b));
    }
}

TEST_CASE("whole parts bracket the value", "[num][property]") {
    RandomFractions random(21);
    for (int round = 0; round < 30000; ++round) {
        const Rational a = random.fraction(round % 2 == 0 ? 40 : 126);
        INFO(a.to_string());
        const Rational low(a.floor());
        const Rational high(a.ceil());
        const Rational near(a.round());
        REQUIRE(low <= a);
        REQUIRE(a <= high);
        REQUIRE(high - low == Rational(a.is_whole() ? 0 : 1));
        const Rational off = a < near ? near - a : a - near;
        REQUIRE((off.overflowed() || off <= Rational(Int{1}, Int{2})));
    }
}

TEST_CASE("the nearest double is as near as a wider type says", "[num][property]") {
    RandomFractions random(754);
    for (int round = 0; round < 30000; ++round) {
        const Rational a = random.fraction(round % 2 == 0 ? 62 : 127);
        const long double wide = static_cast<long double>(a.num()) / static_cast<long double>(a.den());
        const double got = a.to_double();
        // x86's long double has 64 bits of precision: the quotient is off by no more than a few of its last.
        INFO(a.to_string());
        REQUIRE(std::fabs(static_cast<long double>(got) - wide) <= std::fabs(wide) * 0x1.002p-53L);
    }
    for (int round = 0; round < 30000; ++round) {
        const double value = std::ldexp(static_cast<double>(static_cast<std::int64_t>(random.bits()) >> 10),
                                        static_cast<int>(random.bits() % 110) - 90);
        const auto exact = rational_from_double(value);
        if (exact) REQUIRE(exact->to_double() == value);
    }
}

TEST_CASE("what is printed exactly reads back", "[num][property]") {
    RandomFractions random(38);
    int checked = 0;
    for (int round = 0; round < 40000; ++round) {
        const Rational a = random.fraction(round % 2 == 0 ? 30 : 120);
        INFO(a.to_string());
        REQUIRE(parse_number(a.to_string()).value == a);
        REQUIRE(parse_number(format_exact(a)).value == a);
        const int decimals = static_cast<int>(random.bits() % 13);
        Rational step = 1;
        for (int i = 0; i < decimals; ++i) step /= 10;
        const auto down = parse_number(format_fixed(a, decimals, Rounding::down));
        const auto nearest = parse_number(format_fixed(a, decimals));
        const auto up = parse_number(format_fixed(a, decimals, Rounding::up));
        // More digits than a maker may write do not read back; the reference in Python sees those.
        if (down.error != NumberError::none || nearest.error != NumberError::none || up.error != NumberError::none) {
            continue;
        }
        ++checked;
        const auto& [low, near, high] = std::tie(down.value, nearest.value, up.value);
        const auto size = [](const Rational& x) { return x.sign() < 0 ? -x : x; };
        REQUIRE(size(low) <= size(a));
        REQUIRE(size(high) >= size(a));
        REQUIRE((near == low || near == high));
        REQUIRE((size(high) - size(low) == step || (low == a && high == a)));
        const auto off = size(near - a);
        if (!off.overflowed()) REQUIRE(off + off <= step);
        REQUIRE(format_trimmed(a, decimals).size() <= format_fixed(a, decimals).size());
        REQUIRE(parse_number(format_trimmed(a, decimals)).value == near);
    }
    CHECK(checked > 20000);
}

TEST_CASE("doubles print as their shortest decimal rounds", "[num][property]") {
    RandomFractions random(1991);
    for (int round = 0; round < 60000; ++round) {
        const double value = round % 2 == 0
                                 ? static_cast<double>(static_cast<std::int64_t>(random.bits()) % 10000000) / 1000.0
                                 : std::ldexp(static_cast<double>(static_cast<std::int64_t>(random.bits()) >> 11),
                                              static_cast<int>(random.bits() % 40) - 60);
        const std::string shortest = format_shortest(value);
        REQUIRE(std::strtod(shortest.c_str(), nullptr) == value);
        const auto seen = parse_number(shortest);
        if (seen.error != NumberError::none) continue;
        const int decimals = static_cast<int>(random.bits() % 13);
        INFO(shortest << " to " << decimals);
        REQUIRE(format_fixed(value, decimals) == format_fixed(seen.value, decimals));
        REQUIRE(format_trimmed(value, decimals) == format_trimmed(seen.value, decimals));
    }
}
