#include <catch2/catch.hpp>

#include <string>

#include "num/quantity.h"

using namespace scruple;

TEST_CASE("dimensions have words and names", "[num][quantity]") {
    for (int i = 0; i <= static_cast<int>(Dim::money); ++i) {
        const auto dim = static_cast<Dim>(i);
        CHECK_FALSE(dim_name(dim).empty());
        const auto back = dim_from_word(dim_word(dim));
        if (dim == Dim::none || dim == Dim::money) {
            CHECK_FALSE(back.has_value());
        } else {
            CHECK(back == dim);
        }
    }
    CHECK_FALSE(dim_from_word("").has_value());
    CHECK_FALSE(dim_from_word("Mass").has_value());
    CHECK(dim_name(Dim::mass) == "weight");
    CHECK(dim_name(Dim::drop) == "number of drops");
    CHECK(dimension_name(kMass) == "weight");
    CHECK(dimension_name(kDensity) == "weight per volume");
    CHECK(dimension_name({Dim::drop, Dim::volume}) == "number of drops per volume");
    CHECK(dimension_name({Dim::money, Dim::count}) == "money per piece");
}

TEST_CASE("a table of units", "[num][quantity]") {
    UnitTable units;
    CHECK(units.add("g", {kMass, 1, {}}));
    CHECK(units.add("kg", {kMass, 1000, {}}));
    CHECK(units.add("ml", {kVolume, 1, {}}));
    CHECK_FALSE(units.add("g", {kVolume, 5, {}}));
    REQUIRE(units.find("g") != nullptr);
    CHECK(units.find("g")->dimension == kMass);
    CHECK(units.find("G") == nullptr);
    CHECK(units.find("") == nullptr);
    CHECK(units.spellings() == std::vector<std::string>{"g", "kg", "ml"});
}

TEST_CASE("quotients of units", "[num][quantity]") {
    const Unit g{kMass, 1, {}};
    const Unit kg{kMass, 1000, {}};
    const Unit ml{kVolume, 1, {}};
    const Unit litre{kVolume, 1000, {}};
    const Unit euro{{Dim::money, Dim::none}, 1, "EUR"};
    const auto density = quotient(kg, litre);
    REQUIRE(density.has_value());
    CHECK(density->dimension == kDensity);
    CHECK(density->factor == Rational(1));
    CHECK(quotient(g, litre)->factor == Rational(Rational::Int{1}, Rational::Int{1000}));
    CHECK(quotient(euro, kg)->currency == "EUR");
    CHECK(quotient(g, kg)->factor == Rational(Rational::Int{1}, Rational::Int{1000}));
    CHECK_FALSE(quotient(*density, ml).has_value());
    CHECK_FALSE(quotient(g, *density).has_value());
    CHECK_FALSE(quotient(g, euro).has_value());
    CHECK_FALSE(quotient(g, Unit{kNumber, 1, {}}).has_value());
}

TEST_CASE("currencies by their three letters", "[num][quantity]") {
    for (const char* code : {"EUR", "USD", "GBP", "CHF", "SEK", "NOK", "DKK", "PLN", "CZK", "HUF", "AUD", "NZD", "CAD",
                             "JPY", "INR", "ZAR", "AED", "ZWG"}) {
        CHECK(is_currency(code));
    }
    // Not in list one, not money (gold, test and no currency), withdrawn, or not written so.
    for (const char* word : {"", "E", "eur", "EURO", "ABC", "XAU", "XTS", "XXX", "DEM", "HRK", "ml", "EU"}) {
        CHECK_FALSE(is_currency(word));
    }
}
