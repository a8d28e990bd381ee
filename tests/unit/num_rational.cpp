#include <catch2/catch.hpp>

#include <cmath>
#include <type_traits>

#include "num/rational.h"
#include "num_support.h"

using namespace scruple;
using num_test::ratio;

namespace {

using Int = Rational::Int;
constexpr Int kMost = static_cast<Int>(~Rational::UInt{0} >> 1);  // 2^127 - 1
constexpr Int kLeast = -kMost - 1;

}  // namespace

TEST_CASE("fractions are reduced and their denominators positive", "[num][rational]") {
    CHECK(ratio(6, 4).to_string() == "3/2");
    CHECK(ratio(-6, 4).to_string() == "-3/2");
    CHECK(ratio(6, -4).to_string() == "-3/2");
    CHECK(ratio(-6, -4).to_string() == "3/2");
    CHECK(ratio(0, -4).to_string() == "0");
    CHECK(ratio(8, 4).to_string() == "2");
    CHECK(Rational().is_zero());
    CHECK(Rational(5).is_whole());
    CHECK_FALSE(ratio(5, 2).is_whole());
    CHECK(ratio(-5, 2).sign() == -1);
    CHECK(ratio(5, 2).sign() == 1);
    CHECK(Rational(0).sign() == 0);
    CHECK(Rational(kMost).to_string() == "170141183460469231731687303715884105727");  // 2^127 - 1
    CHECK((-Rational(kMost)).to_string() == "-170141183460469231731687303715884105727");
    // A double would be cut to a whole number without a word.
    CHECK_FALSE(std::is_constructible_v<Rational, double>);
    CHECK_FALSE(std::is_convertible_v<float, Rational>);
}

TEST_CASE("arithmetic with everyday numbers", "[num][rational]") {
    CHECK(ratio(1, 3) + ratio(1, 6) == ratio(1, 2));
    CHECK(ratio(1, 3) - ratio(1, 3) == Rational(0));
    CHECK(ratio(1, 3) - ratio(1, 2) == ratio(-1, 6));
    CHECK(ratio(2, 3) * ratio(9, 4) == ratio(3, 2));
    CHECK(ratio(2, 3) / ratio(-4, 9) == ratio(-3, 2));
    CHECK(-ratio(2, 3) == ratio(-2, 3));
    Rational sum;
    for (int i = 0; i < 10; ++i) sum += ratio(1, 10);
    CHECK(sum == Rational(1));
    sum -= 2;
    sum *= 3;
    sum /= 6;
    CHECK(sum == ratio(-1, 2));
    CHECK(ratio(1, 3) < ratio(334, 1000));
    CHECK(ratio(-1, 3) > ratio(-334, 1000));
    CHECK(ratio(-1, 3) < ratio(1, 1000));
    CHECK(ratio(2, 4) <= ratio(1, 2));
    CHECK(gcd(Int{-12}, Int{18}) == 6);
    CHECK(gcd(Int{0}, Int{-7}) == 7);
    CHECK(gcd(Int{0}, Int{0}) == 0);
    CHECK(gcd(kLeast, kLeast) == 0);
    CHECK(gcd(kLeast, Int{6}) == 2);
}

TEST_CASE("whole numbers below, above and nearest", "[num][rational]") {
    struct Row {
        long long a, b, floor, ceil, round;
    };
    for (const Row& row : {Row{7, 2, 3, 4, 4}, Row{-7, 2, -4, -3, -4}, Row{5, 2, 2, 3, 3}, Row{-5, 2, -3, -2, -3},
                           Row{7, 3, 2, 3, 2}, Row{-7, 3, -3, -2, -2}, Row{8, 3, 2, 3, 3}, Row{-8, 3, -3, -2, -3},
                           Row{4, 1, 4, 4, 4}, Row{-4, 1, -4, -4, -4}, Row{0, 1, 0, 0, 0}, Row{1, 2, 0, 1, 1},
                           Row{-1, 2, -1, 0, -1}, Row{1, 3, 0, 1, 0}, Row{-1, 3, -1, 0, 0}}) {
        const auto value = ratio(row.a, row.b);
        INFO(value.to_string());
        CHECK(value.floor() == row.floor);
        CHECK(value.ceil() == row.ceil);
        CHECK(value.round() == row.round);
    }
    CHECK(Rational(kMost, Int{2}).round() == kMost / 2 + 1);
}

TEST_CASE("an overflow sticks and is equal to nothing but itself", "[num][rational]") {
    const Rational most(kMost);
    const Rational none = most + 1;
    CHECK(none.overflowed());
    CHECK(none.sign() == 0);
    CHECK_FALSE(none.is_zero());
    CHECK_FALSE(none.is_whole());
    CHECK(none.to_string() == "overflow");
    CHECK(std::isnan(none.to_double()));
    for (const Rational& still : {none + 1, Rational(1) - none, none * 0, none / 3, Rational(0) / none, -none}) {
        CHECK(still.overflowed());
    }
    CHECK((Rational(1) / 0).overflowed());
    CHECK((Rational(0) / 0).overflowed());
    CHECK(ratio(1, 0).overflowed());
    CHECK(Rational(kLeast).overflowed());  // it has no opposite
    CHECK_FALSE(Rational(kLeast, Int{2}).overflowed());
    CHECK_FALSE(Rational(kLeast, kLeast).overflowed());
    CHECK(Rational(kLeast, kLeast) == Rational(1));
    CHECK(none == most * 2);
    CHECK(none != most);
    CHECK(none > most);
    CHECK(-most < none);
    CHECK_FALSE(none < none);
    CHECK(none.floor() == 0);
    CHECK(none.ceil() == 0);
    CHECK(none.round() == 0);
}

TEST_CASE("nothing overflows whose reduced answer fits", "[num][rational]") {
    const Rational most(kMost);
    CHECK(most - 1 + 1 == most);
    CHECK(most / kMost == Rational(1));
    CHECK(most * ratio(1, 2) * 2 == most);
    CHECK((most / 2 + most / 2) == most);
    CHECK((Rational(1) / most + Rational(1) / most) == Rational(Int{2}, kMost));
    // Numerators beyond 128 bits on the way: (2^127-1)/3 + (2^127-1)/6 is (2^127-1)/2.
    CHECK(most / 3 + most / 6 == most / 2);
    CHECK(most / 3 - most / 2 == -(most / 6));
    CHECK((most / 6 - most / 6).is_zero());
    CHECK((Rational(kMost, Int{5}) * Rational(Int{5}, kMost)) == Rational(1));
    CHECK_FALSE((Rational(Int{1}, kMost) * Rational(kMost, Int{7})).overflowed());
}

TEST_CASE("comparison is exact beyond 128 bits", "[num][rational]") {
    const Rational a(kMost, kMost - 1);
    const Rational b(kMost - 1, kMost - 2);
    CHECK(a < b);  // 1 + 1/(n-1) against 1 + 1/(n-2)
    CHECK(-a > -b);
    CHECK(Rational(kMost - 2, kMost) < Rational(kMost - 1, kMost));
    CHECK(Rational(Int{1}, kMost) > Rational(0));
    CHECK(Rational(Int{-1}, kMost) < Rational(Int{1}, kMost));
}

TEST_CASE("the nearest double", "[num][rational]") {
    CHECK(ratio(1, 10).to_double() == 0.1);
    CHECK(ratio(-2, 3).to_double() == -2.0 / 3.0);
    CHECK(Rational(0).to_double() == 0);
    CHECK(Rational(kMost).to_double() == 0x1p127);
    CHECK(Rational(Int{1}, kMost).to_double() == 0x1p-127);
    // 2^53 + 1 lies half way and goes to the even neighbour; a trace more goes up. IEEE 754, roundTiesToEven.
    constexpr Int kHalf = (Int{1} << 53) + 1;
    CHECK(Rational(kHalf).to_double() == 0x1p53);
    CHECK(Rational(kHalf * (Int{1} << 40) + 1, Int{1} << 40).to_double() == 0x1p53 + 2);
    CHECK(Rational(kHalf * (Int{1} << 40) - 1, Int{1} << 40).to_double() == 0x1p53);
}
