#include <catch2/catch.hpp>

#include <cmath>
#include <cstdlib>
#include <limits>
#include <string>

#include "num/decimal.h"
#include "num_support.h"

using namespace scruple;
using num_test::ratio;

TEST_CASE("numbers as makers write them", "[num][decimal]") {
    const auto value = [](std::string_view text) {
        const auto parsed = parse_number(text);
        return parsed.error == NumberError::none ? parsed.value.to_string() : "error";
    };
    CHECK(value("12") == "12");
    CHECK(value("-18") == "-18");
    CHECK(value("0.75") == "3/4");
    CHECK(value("2/3") == "2/3");
    CHECK(value("-2/4") == "-1/2");
    CHECK(value("0/5") == "0");
    CHECK(value("-0") == "0");
    CHECK(value("-0.0") == "0");
    CHECK(value("007.50") == "15/2");
    CHECK(value("0.1") == "1/10");
    CHECK(value("28.349523125") == "45359237/1600000");
    CHECK(value("9223372036854775807") == "9223372036854775807");
    CHECK(value("9223372036854775808") == "9223372036854775808");
    CHECK(value("170141183460469231731687303715884105727") == "170141183460469231731687303715884105727");
    CHECK(value("0.00000000000000000000000000000000000001") == "1/100000000000000000000000000000000000000");
    CHECK(value("0.5000000000000000000000000000000000000000") == "1/2");
    CHECK(value("1.000000000000000000000000000000000000001") == "error");  // 10^39 is beyond 2^127
    // 5^40 / 10^40: forty decimals and a reduced fraction that fits.
    CHECK(value("0.0000000000009094947017729282379150390625") == "1/1099511627776");
    CHECK(value("1234567890123456789012345678901234.015625") == "79012344967901234496790123449678977/64");
}

TEST_CASE("what is no number says so", "[num][decimal]") {
    for (const char* text : {"", "-", ".", "5.", ".5", "-.5", "1.2.3", "1e3", "+5", "--5", "1/", "/2", "1//2", "1/2/3",
                             "1/-2", "0.5/3", "1/2.5", " 1", "1 ", "1,5", "0x10", "nan", "inf", "1_000", "\xD9\xA1",
                             "1/0", "0/0", "1/00", "1-2", "12a"}) {
        INFO(text);
        CHECK(parse_number(text).error == NumberError::not_a_number);
    }
    CHECK(parse_number(std::string_view("1\0", 2)).error == NumberError::not_a_number);
}

TEST_CASE("the number of digits is limited where they count", "[num][decimal]") {
    const std::string forty(40, '1');
    CHECK(parse_number(forty).error == NumberError::overflow);
    CHECK(parse_number(forty + "1").error == NumberError::too_many_digits);
    CHECK(parse_number("0." + std::string(39, '0') + "1").error == NumberError::overflow);
    CHECK(parse_number("0." + std::string(500, '0') + "1").error == NumberError::overflow);
    CHECK(parse_number("0." + std::string(500, '0')).value.is_zero());
    CHECK(parse_number(std::string(500, '0') + "1").value == Rational(1));
    CHECK(parse_number("1." + std::string(39, '0')).value == Rational(1));
    CHECK(parse_number("1." + std::string(40, '0')).error == NumberError::too_many_digits);
    CHECK(parse_number("1/" + std::string(41, '3')).error == NumberError::too_many_digits);
    CHECK(parse_number("170141183460469231731687303715884105728").error == NumberError::overflow);
    CHECK(parse_number(std::string(5000000, '9')).error == NumberError::too_many_digits);
}

TEST_CASE("fixed decimals of fractions", "[num][decimal]") {
    CHECK(format_fixed(ratio(2, 3), 2) == "0.67");
    CHECK(format_fixed(ratio(2, 3), 2, Rounding::down) == "0.66");
    CHECK(format_fixed(ratio(1, 3), 2, Rounding::up) == "0.34");
    CHECK(format_fixed(ratio(-2, 3), 2, Rounding::down) == "-0.66");
    CHECK(format_fixed(ratio(-1, 3), 2, Rounding::up) == "-0.34");
    CHECK(format_fixed(ratio(1, 8), 2) == "0.13");  // ties away from zero
    CHECK(format_fixed(ratio(-1, 8), 2) == "-0.13");
    CHECK(format_fixed(ratio(-1, 1000), 2) == "0.00");
    CHECK(format_fixed(ratio(-1, 1000), 0, Rounding::down) == "0");
    CHECK(format_fixed(ratio(1, 1000), 0, Rounding::up) == "1");
    CHECK(format_fixed(ratio(1, 2), 0) == "1");
    CHECK(format_fixed(ratio(999, 1000), 2) == "1.00");
    CHECK(format_fixed(Rational(12), 3) == "12.000");
    CHECK(format_fixed(Rational(12), 0) == "12");
    CHECK(format_fixed(ratio(1, 3), 99) == "0.333333333333");
    CHECK(format_fixed(ratio(7, 2), -3) == "4");
    CHECK(format_fixed(Rational(1) / 0, 2) == "overflow");
    const Rational most(static_cast<Rational::Int>(~Rational::UInt{0} >> 1));
    CHECK(format_fixed(most / 2, 2) == "85070591730234615865843651857942052863.50");
    CHECK(format_fixed(-most, 12) == "-170141183460469231731687303715884105727.000000000000");
    CHECK(format_fixed((most - 1) / most, 12) == "1.000000000000");
    CHECK(format_fixed((most - 1) / most, 12, Rounding::down) == "0.999999999999");
}

TEST_CASE("fixed decimals of doubles round the number that people see", "[num][decimal]") {
    // The binary 1.005 lies below 1.005 and 2.675 below 2.675 (Goldberg 1991 on such cases); people see a tie.
    CHECK(format_fixed(1.005, 2) == "1.01");
    CHECK(format_fixed(2.675, 2) == "2.68");
    CHECK(format_fixed(-2.675, 2) == "-2.68");
    CHECK(format_fixed(0.125, 2) == "0.13");
    CHECK(format_fixed(0.5, 0) == "1");
    CHECK(format_fixed(0.05, 0) == "0");
    CHECK(format_fixed(0.6, 0) == "1");
    CHECK(format_fixed(0.04, 1) == "0.0");
    CHECK(format_fixed(0.06, 1) == "0.1");
    CHECK(format_fixed(0.006, 1) == "0.0");
    CHECK(format_fixed(9.995, 2) == "10.00");
    CHECK(format_fixed(-0.001, 2) == "0.00");
    CHECK(format_fixed(-0.0, 2) == "0.00");
    CHECK(format_fixed(12.0, 2) == "12.00");
    CHECK(format_fixed(120.0, 0) == "120");
    CHECK(format_fixed(1e20, 1) == "100000000000000000000.0");
    CHECK(format_fixed(1e-20, 12) == "0.000000000000");
    CHECK(format_fixed(1e-20, 2, Rounding::up) == "0.01");
    CHECK(format_fixed(-1e-20, 2, Rounding::up) == "-0.01");
    CHECK(format_fixed(0.029, 2, Rounding::down) == "0.02");
    CHECK(format_fixed(0.021, 2, Rounding::up) == "0.03");
    CHECK(format_fixed(0.02, 2, Rounding::up) == "0.02");
    CHECK(format_fixed(0.02, 2, Rounding::down) == "0.02");
    CHECK(format_fixed(99.999, 2, Rounding::up) == "100.00");
    // The last bit of a sum costs no step.
    CHECK(format_fixed(0.1 + 0.2, 2, Rounding::up) == "0.30");
    CHECK(format_fixed(std::nextafter(3.0, 0.0), 2, Rounding::down) == "3.00");
    CHECK(format_fixed(2.9999999, 2, Rounding::down) == "2.99");
    CHECK(format_fixed(std::numeric_limits<double>::quiet_NaN(), 2) == "not a number");
    CHECK(format_fixed(HUGE_VAL, 2) == "infinite");
    CHECK(format_fixed(-HUGE_VAL, 2) == "-infinite");
}

TEST_CASE("trimmed, significant, shortest and exact", "[num][decimal]") {
    CHECK(format_trimmed(ratio(5, 2), 4) == "2.5");
    CHECK(format_trimmed(Rational(100), 4) == "100");
    CHECK(format_trimmed(ratio(1, 3), 4) == "0.3333");
    CHECK(format_trimmed(ratio(1, 100000), 2) == "0");
    CHECK(format_trimmed(ratio(-1, 100000), 2) == "0");
    CHECK(format_trimmed(Rational(1) / 0, 2) == "overflow");
    CHECK(format_trimmed(2.50, 4) == "2.5");
    CHECK(format_trimmed(100.0, 4) == "100");
    CHECK(format_trimmed(0.1 + 0.2, 6) == "0.3");
    CHECK(format_trimmed(-1e-9, 2) == "0");
    CHECK(format_trimmed(std::nan(""), 2) == "not a number");

    CHECK(format_significant(0.0001234567, 7) == "0.0001234567");
    CHECK(format_significant(0.0001234567, 3) == "0.000123");
    CHECK(format_significant(12.34567, 6) == "12.3457");
    CHECK(format_significant(123456, 2) == "120000");
    CHECK(format_significant(99.96, 3) == "100");
    CHECK(format_significant(0.09996, 3) == "0.1");
    CHECK(format_significant(0, 3) == "0");
    CHECK(format_significant(-1234.5, 4) == "-1235");
    CHECK(format_significant(1.239, 3, Rounding::down) == "1.23");
    CHECK(format_significant(1.231, 3, Rounding::up) == "1.24");
    CHECK(format_significant(0.1 + 0.2, 3, Rounding::up) == "0.3");
    CHECK(format_significant(7.5, 0) == "8");

    CHECK(format_shortest(0.1) == "0.1");
    CHECK(format_shortest(0.1 + 0.2) == "0.30000000000000004");
    CHECK(format_shortest(1e21) == "1000000000000000000000");
    CHECK(format_shortest(5e-7) == "0.0000005");
    CHECK(format_shortest(-2.5) == "-2.5");
    CHECK(format_shortest(-0.0) == "0");
    CHECK(format_shortest(1e22) == "10000000000000000000000");
    CHECK(format_shortest(std::numeric_limits<double>::max()).size() == 309);
    for (const double value : {std::numeric_limits<double>::denorm_min(), std::numeric_limits<double>::min(),
                               std::numeric_limits<double>::max(), 1.0 / 3.0, 123456.789}) {
        CHECK(std::strtod(format_shortest(value).c_str(), nullptr) == value);
    }

    CHECK(format_exact(ratio(5, 2)) == "2.5");
    CHECK(format_exact(ratio(2, 3)) == "2/3");
    CHECK(format_exact(Rational(-7)) == "-7");
    CHECK(format_exact(ratio(-1, 8)) == "-0.125");
    CHECK(format_exact(Rational(Rational::Int{1}, Rational::Int{1000000000000})) == "0.000000000001");
    CHECK(format_exact(Rational(Rational::Int{1}, Rational::Int{10000000000000})) == "1/10000000000000");
    CHECK(format_exact(ratio(1, 4096)) == "0.000244140625");
    CHECK(format_exact(ratio(1, 8192)) == "1/8192");
    CHECK(format_exact(Rational(1) / 0) == "overflow");
}

TEST_CASE("doubles as fractions", "[num][decimal]") {
    CHECK(rational_from_double(0.75) == ratio(3, 4));
    CHECK(rational_from_double(-6) == Rational(-6));
    CHECK(rational_from_double(0) == Rational(0));
    CHECK(rational_from_double(0.1)->to_string() == "3602879701896397/36028797018963968");  // IEEE 754 binary64 of 0.1
    CHECK(rational_from_double(0x1p126) == Rational(Rational::Int{1} << 126));
    CHECK_FALSE(rational_from_double(0x1p127).has_value());
    CHECK(rational_from_double(0x1p-126)->to_double() == 0x1p-126);
    CHECK_FALSE(rational_from_double(0x1p-127).has_value());
    CHECK_FALSE(rational_from_double(HUGE_VAL).has_value());
    CHECK_FALSE(rational_from_double(std::nan("")).has_value());
}
