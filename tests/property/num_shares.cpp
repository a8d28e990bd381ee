// Shares and drops against a plain search that tries everything.
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>
#include <vector>

#include "num/apportion.h"

using namespace scruple;

namespace {

using Drops = std::vector<std::int64_t>;
using Parts = std::vector<Rational>;

Rational size(const Rational& x) { return x.sign() < 0 ? -x : x; }

Rational worst_error(const Parts& parts, const Drops& drops) {
    Rational sum;
    for (const auto& p : parts) sum += p;
    const auto total = std::accumulate(drops.begin(), drops.end(), std::int64_t{0});
    Rational worst;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const Rational want = parts[i] / sum;
        worst = std::max(worst, size((Rational(drops[i]) / total - want) / want));
    }
    return worst;
}

// Largest remainders by the definition: floors first, then one each to the largest remainders, earlier lines first.
Drops plain_shares(const Parts& parts, std::int64_t total) {
    Rational sum;
    for (const auto& p : parts) sum += p;
    Drops out;
    std::vector<std::pair<Rational, std::size_t>> rests;
    std::int64_t given = 0;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const Rational quota = parts[i] * Rational(total) / sum;
        out.push_back(static_cast<std::int64_t>(quota.floor()));
        given += out.back();
        rests.emplace_back(-(quota - Rational(quota.floor())), i);
    }
    std::sort(rests.begin(), rests.end());
    for (std::int64_t k = 0; k < total - given; ++k) ++out[rests[static_cast<std::size_t>(k)].second];
    return out;
}

// The same, where a line with a quota below 1 is set to 1 and the rest shared again.
Drops plain_shares_of_one(const Parts& parts, std::int64_t total) {
    std::vector<bool> fixed(parts.size());
    for (;;) {
        Parts left;
        Rational sum;
        auto rest = total;
        for (std::size_t i = 0; i < parts.size(); ++i) {
            left.push_back(fixed[i] ? Rational(0) : parts[i]);
            sum += left.back();
            rest -= fixed[i] ? 1 : 0;
        }
        bool more = false;
        for (std::size_t i = 0; i < parts.size(); ++i) {
            if (!fixed[i] && parts[i] * Rational(rest) / sum < Rational(1)) {
                fixed[i] = true;
                more = true;
            }
        }
        if (more) continue;
        Drops out = plain_shares(left, rest);
        for (std::size_t i = 0; i < parts.size(); ++i) out[i] += fixed[i] ? 1 : 0;
        return out;
    }
}

Parts some_parts(std::mt19937& random, std::size_t most_lines, unsigned most_value) {
    Parts parts;
    for (std::size_t n = random() % most_lines + 1; n > 0; --n) {
        parts.emplace_back(Rational::Int{random() % most_value + 1}, Rational::Int{random() % 4 + 1});
    }
    return parts;
}

}  // namespace

TEST_CASE("shares follow the definition", "[num][property]") {
    std::mt19937 random(1792);
    for (int round = 0; round < 4000; ++round) {
        const Parts parts = some_parts(random, 8, 60);
        const std::int64_t total = random() % 120;
        const auto lines = static_cast<std::int64_t>(parts.size());
        REQUIRE(apportion(parts, total) == plain_shares(parts, total));
        const auto each = apportion(parts, total, true);
        if (total < lines) {
            REQUIRE(each.empty());
            continue;
        }
        REQUIRE(each == plain_shares_of_one(parts, total));
        REQUIRE(*std::min_element(each.begin(), each.end()) >= 1);
        REQUIRE(std::accumulate(each.begin(), each.end(), std::int64_t{0}) == total);
    }
}

TEST_CASE("drops are the best of all totals in the window", "[num][property]") {
    std::mt19937 random(20);
    int multiples = 0;
    int nearest = 0;
    for (int round = 0; round < 3000; ++round) {
        const Parts parts = some_parts(random, 6, 12);
        const std::int64_t least = random() % 60 + 1;
        const std::int64_t most = least + random() % 30;
        const auto ratio = smallest_whole_ratio(parts);
        const auto smallest = std::accumulate(ratio.begin(), ratio.end(), std::int64_t{0});
        const auto fit = fit_between(parts, least, most);
        REQUIRE(fit.smallest_fit == smallest);
        if (most / smallest * smallest >= least) {
            ++multiples;
            REQUIRE(fit.multiple == most / smallest);
            REQUIRE(fit.worst_error.is_zero());
            REQUIRE(worst_error(parts, fit.drops).is_zero());
            REQUIRE(fit.total == fit.multiple * smallest);
            continue;
        }
        REQUIRE(fit.multiple == 0);
        Drops best;
        Rational best_error;
        for (std::int64_t total = most; total >= std::max<std::int64_t>(least, 1); --total) {
            if (total < static_cast<std::int64_t>(parts.size())) break;
            const Drops drops = plain_shares_of_one(parts, total);
            const Rational error = worst_error(parts, drops);
            if (best.empty() || error < best_error) {
                best = drops;
                best_error = error;
            }
        }
        REQUIRE(fit.drops == best);
        REQUIRE(fit.worst_error == best_error);
        nearest += best.empty() ? 0 : 1;
        const auto up_to = fit_up_to(parts, least);
        if (least >= smallest) {
            REQUIRE(up_to.multiple == least / smallest);
        } else if (!up_to.drops.empty()) {
            REQUIRE(worst_error(parts, up_to.drops) == up_to.worst_error);
            REQUIRE(up_to.total <= least);
        }
    }
    CHECK(multiples > 500);
    CHECK(nearest > 500);
}

TEST_CASE("scaling the parts changes no drop", "[num][property]") {
    std::mt19937 random(7);
    for (int round = 0; round < 2000; ++round) {
        const Parts parts = some_parts(random, 6, 30);
        const Rational factor(Rational::Int{random() % 50 + 1}, Rational::Int{random() % 50 + 1});
        Parts scaled;
        for (const auto& p : parts) scaled.push_back(p * factor);
        const std::int64_t most = random() % 100 + 1;
        REQUIRE(smallest_whole_ratio(parts) == smallest_whole_ratio(scaled));
        REQUIRE(fit_up_to(parts, most).drops == fit_up_to(scaled, most).drops);
        REQUIRE(apportion(parts, most) == apportion(scaled, most));
    }
}

TEST_CASE("rounded lines add up and stay beside their amounts", "[num][property]") {
    std::mt19937 random(95);
    for (int round = 0; round < 20000; ++round) {
        // Amounts in thousandths, so that the right total is known in whole numbers.
        const std::int64_t division = std::vector<std::int64_t>{1, 2, 5, 10, 50, 100, 1000}[random() % 7];
        std::vector<double> amounts;
        std::vector<std::int64_t> thousandths;
        std::int64_t sum = 0;
        for (auto n = random() % 12 + 1; n > 0; --n) {
            thousandths.push_back(random() % 100000);
            sum += thousandths.back();
            amounts.push_back(static_cast<double>(thousandths.back()) / 1000);
        }
        const auto counts = round_lines(amounts, static_cast<double>(division) / 1000);
        REQUIRE(counts.size() == amounts.size());
        const auto total = std::accumulate(counts.begin(), counts.end(), std::int64_t{0});
        REQUIRE(total == (2 * sum + division) / (2 * division));
        for (std::size_t i = 0; i < counts.size(); ++i) {
            INFO(amounts[i] << " by " << division);
            REQUIRE(std::abs(counts[i] * division - thousandths[i]) < division);
        }
    }
}
