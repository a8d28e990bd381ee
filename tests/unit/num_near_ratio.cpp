// The simplest ratio near measured weights. What is expected is found by trying every ratio, from the fewest parts up.
#include <catch2/catch.hpp>

#include <functional>
#include <numeric>
#include <random>

#include "num/apportion.h"

namespace scruple {
namespace {

bool within(const std::vector<std::int64_t>& parts, std::span<const Rational> amounts, const Rational& tolerance) {
    const std::int64_t total = std::accumulate(parts.begin(), parts.end(), std::int64_t{0});
    Rational sum;
    for (const auto& a : amounts) sum += a;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const Rational off = Rational(parts[i]) / Rational(total) - amounts[i] / sum;
        if ((off.sign() < 0 ? -off : off) > tolerance * amounts[i] / sum) return false;
    }
    return true;
}

/// The fewest parts of any ratio that is within; 0 up to `most`.
std::int64_t by_trying(std::span<const Rational> amounts, const Rational& tolerance, std::int64_t most) {
    const std::size_t count = amounts.size();
    for (auto total = static_cast<std::int64_t>(count); total <= most; ++total) {
        std::vector<std::int64_t> parts;
        const std::function<bool(std::int64_t)> fill = [&](std::int64_t left) {
            if (parts.size() + 1 == count) {
                parts.push_back(left);
                const bool good = within(parts, amounts, tolerance);
                parts.pop_back();
                return good;
            }
            for (std::int64_t n = 1; n <= left - static_cast<std::int64_t>(count - parts.size() - 1); ++n) {
                parts.push_back(n);
                const bool good = fill(left - n);
                parts.pop_back();
                if (good) return true;
            }
            return false;
        };
        if (fill(total)) return total;
    }
    return 0;
}

}  // namespace

TEST_CASE("weights that were measured come to the ratio that was meant") {
    // 6 : 3 : 2 : 1 of 4 g, weighed to 0.01 g and a little off.
    const std::vector<Rational> grams{Rational(201, 100), Rational(99, 100), Rational(67, 100), Rational(33, 100)};
    const NearRatio near = simplest_ratio(grams, Rational(2, 100), 200);
    CHECK(near.parts == std::vector<std::int64_t>{6, 3, 2, 1});
    CHECK(near.total == 12);
    CHECK(near.worst_error > Rational(0));
    CHECK(near.worst_error <= Rational(2, 100));
}

TEST_CASE("no ratio of fewer parts is within") {
    std::mt19937 rng(5);
    for (int round = 0; round < 60; ++round) {
        std::vector<Rational> amounts;
        const std::size_t count = 2 + rng() % 3;
        for (std::size_t i = 0; i < count; ++i) amounts.emplace_back(Rational(1 + static_cast<int>(rng() % 500)) / Rational(100));
        const Rational tolerance(static_cast<int>(1 + rng() % 10), 100);
        const NearRatio near = simplest_ratio(amounts, tolerance, 40);
        const auto expected = by_trying(amounts, tolerance, 40);
        INFO("round " << round);
        CHECK(near.total == expected);
        if (expected > 0) {
            CHECK(within(near.parts, amounts, tolerance));
            CHECK(near.worst_error <= tolerance);
        }
    }
}

TEST_CASE("exactly at the tolerance is within, and what can't be counted gives none") {
    // 51 : 49 is 1 : 1 with both shares off; the larger error is that of 49: 1/49.
    const std::vector<Rational> amounts{Rational(51), Rational(49)};
    CHECK(simplest_ratio(amounts, Rational(1, 49), 10).total == 2);
    CHECK(simplest_ratio(amounts, Rational(1, 49) - Rational(1, 1000000), 10).parts.empty());
    CHECK(simplest_ratio({}, Rational(1, 50), 10).parts.empty());
    const std::vector<Rational> nothing{Rational(1), Rational(0)};
    CHECK(simplest_ratio(nothing, Rational(1, 50), 10).parts.empty());
}

}  // namespace scruple
