#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

#include "num/apportion.h"
#include "num_support.h"

using namespace scruple;
using num_test::ratio;

namespace {

using Drops = std::vector<std::int64_t>;
using Parts = std::vector<Rational>;

constexpr std::int64_t kMostDrops = std::numeric_limits<std::int64_t>::max();

}  // namespace

TEST_CASE("largest remainders", "[num][apportion]") {
    // Worked example of the largest remainder method with 100,000 votes and 10 seats (Hare quota), from memory of the
    // handbooks: 47000, 16000, 15800, 12000, 6100, 3100 votes give 5, 2, 1, 1, 1, 0 seats.
    CHECK(apportion(Parts{47000, 16000, 15800, 12000, 6100, 3100}, 10) == Drops{5, 2, 1, 1, 1, 0});
    // And the Alabama paradox, of the same method: a seat more in the house, a seat less for the third.
    CHECK(apportion(Parts{6, 6, 2}, 10) == Drops{4, 4, 2});
    CHECK(apportion(Parts{6, 6, 2}, 11) == Drops{5, 5, 1});
    CHECK(apportion(Parts{1, 1, 1}, 4) == Drops{2, 1, 1});  // ties go to the earlier line
    CHECK(apportion(Parts{1, 1, 1}, 5) == Drops{2, 2, 1});
    CHECK(apportion(Parts{ratio(1, 2), ratio(1, 3), ratio(1, 6)}, 6) == Drops{3, 2, 1});
    CHECK(apportion(Parts{1, 0, 1}, 3) == Drops{2, 0, 1});
    CHECK(apportion(Parts{5}, 7) == Drops{7});
    CHECK(apportion(Parts{1, 2}, 0) == Drops{0, 0});
}

TEST_CASE("every oil gets a drop", "[num][apportion]") {
    CHECK(apportion(Parts{100, 1, 1}, 10) == Drops{10, 0, 0});
    CHECK(apportion(Parts{100, 1, 1}, 10, true) == Drops{8, 1, 1});
    CHECK(apportion(Parts{100, 0, 1}, 10, true) == Drops{9, 0, 1});
    CHECK(apportion(Parts{3, 2, 1}, 3, true) == Drops{1, 1, 1});
    CHECK(apportion(Parts{3, 2, 1}, 2, true).empty());
    // Giving the small ones their drop brings the middle one below a whole drop too.
    CHECK(apportion(Parts{1000, 101, 1, 1, 1, 1}, 11, true) == Drops{6, 1, 1, 1, 1, 1});
}

TEST_CASE("what cannot be shared gives nothing", "[num][apportion]") {
    CHECK(apportion(Parts{}, 5).empty());
    CHECK(apportion(Parts{0, 0}, 5).empty());
    CHECK(apportion(Parts{1, -1}, 5).empty());
    CHECK(apportion(Parts{1, 2}, -1).empty());
    CHECK(apportion(Parts{1, Rational(1) / 0}, 5).empty());
}

TEST_CASE("large shares stay exact", "[num][apportion]") {
    const auto shares = apportion(Parts{1, 1, 1}, kMostDrops);
    CHECK(shares == Drops{kMostDrops / 3 + 1, kMostDrops / 3, kMostDrops / 3});  // 2^63 - 1 is 1 more than a multiple of 3
    // Forty denominators without a common factor: their product is far beyond 128 bits.
    Parts odd;
    for (long long p = 3; odd.size() < 40; p += 2) {
        bool prime = true;
        for (long long d = 3; d * d <= p; d += 2) prime = prime && p % d != 0;
        if (prime) odd.push_back(ratio(1, p));
    }
    const auto fine = apportion(odd, 1000000, true);
    REQUIRE(fine.size() == 40);
    CHECK(std::accumulate(fine.begin(), fine.end(), std::int64_t{0}) == 1000000);
    CHECK(smallest_whole_ratio(odd).empty());
    const auto fit = fit_up_to(odd, 400);
    CHECK(fit.smallest_fit == 0);
    CHECK(std::accumulate(fit.drops.begin(), fit.drops.end(), std::int64_t{0}) == fit.total);
    CHECK(fit.worst_error > Rational(0));
}

TEST_CASE("rounded lines add up to the rounded total", "[num][apportion]") {
    CHECK(round_lines(std::vector{3.333, 3.333, 3.334}, 0.01) == Drops{333, 333, 334});
    CHECK(round_lines(std::vector{1.4, 1.4, 1.4}, 1) == Drops{2, 1, 1});
    CHECK(round_lines(std::vector{0.4, 0.4}, 1) == Drops{1, 0});
    CHECK(round_lines(std::vector{0.2, 0.2}, 1) == Drops{0, 0});
    CHECK(round_lines(std::vector{0.3, 0.6}, 0.1) == Drops{3, 6});  // though 0.3 / 0.1 is 2.9999999999999996
    CHECK(round_lines(std::vector{0.5}, 1) == Drops{1});
    CHECK(round_lines(std::vector{0.25, 0.25}, 1) == Drops{1, 0});
    CHECK(round_lines(std::vector{0.15, 0.25, 0.1}, 0.1) == Drops{2, 2, 1});  // equal halves: the earlier line
    CHECK(round_lines(std::vector<double>{}, 1).empty());
    CHECK(round_lines(std::vector{0.0, 0.0}, 1) == Drops{0, 0});
    CHECK(round_lines(std::vector{-0.0}, 1) == Drops{0});
    CHECK(round_lines(std::vector{1.0, -0.1}, 1).empty());
    CHECK(round_lines(std::vector{std::nan("")}, 1).empty());
    CHECK(round_lines(std::vector{HUGE_VAL}, 1).empty());
    CHECK(round_lines(std::vector{1e300}, 1e-300).empty());
    CHECK(round_lines(std::vector{1.0}, 0).empty());
    CHECK(round_lines(std::vector{1.0}, -1).empty());
    CHECK(round_lines(std::vector{1.0}, std::nan("")).empty());
}

TEST_CASE("the smallest whole ratio", "[num][apportion]") {
    CHECK(smallest_whole_ratio(Parts{10, 6, 4}) == Drops{5, 3, 2});
    CHECK(smallest_whole_ratio(Parts{ratio(1, 2), ratio(1, 3)}) == Drops{3, 2});
    CHECK(smallest_whole_ratio(Parts{ratio(5, 2), 1, ratio(3, 4)}) == Drops{10, 4, 3});
    CHECK(smallest_whole_ratio(Parts{7}) == Drops{1});
    CHECK(smallest_whole_ratio(Parts{}).empty());
    CHECK(smallest_whole_ratio(Parts{1, 0}).empty());
    CHECK(smallest_whole_ratio(Parts{1, -1}).empty());
    CHECK(smallest_whole_ratio(Parts{kMostDrops, 1}).empty());  // their sum does not fit
    CHECK(smallest_whole_ratio(Parts{kMostDrops - 1, 1}) == Drops{kMostDrops - 1, 1});
}

TEST_CASE("up to so many drops", "[num][apportion]") {
    const Parts fourteen{5, 4, 3, 2};
    const auto fit = fit_up_to(fourteen, 60);
    CHECK(fit.total == 56);
    CHECK(fit.multiple == 4);
    CHECK(fit.drops == Drops{20, 16, 12, 8});
    CHECK(fit.worst_error.is_zero());
    CHECK(fit.smallest_fit == 14);
    CHECK(fit_up_to(fourteen, 14).multiple == 1);
    CHECK(fit_up_to(fourteen, 55).total == 42);
    CHECK(fit_up_to(Parts{ratio(5, 2), 2, ratio(3, 2), 1}, 60).drops == fit.drops);

    const auto few = fit_up_to(fourteen, 13);
    CHECK(few.multiple == 0);
    CHECK(few.smallest_fit == 14);
    CHECK(few.total <= 13);
    CHECK(few.worst_error > Rational(0));
    CHECK(fit_up_to(fourteen, 4).drops == Drops{1, 1, 1, 1});
    CHECK(fit_up_to(fourteen, 3).drops.empty());
    CHECK(fit_up_to(fourteen, 3).smallest_fit == 14);
    CHECK(fit_up_to(fourteen, 0).drops.empty());
    CHECK(fit_up_to(fourteen, std::numeric_limits<std::int64_t>::min()).drops.empty());
    CHECK(fit_up_to(fourteen, kMostDrops).multiple == kMostDrops / 14);
    CHECK(fit_up_to(Parts{}, 60).drops.empty());
    CHECK(fit_up_to(Parts{1, 0}, 60).drops.empty());
    CHECK(fit_up_to(Parts{1, Rational(1) / 0}, 60).drops.empty());
    CHECK(fit_up_to(Parts{3}, 60).drops == Drops{60});
}

TEST_CASE("between so many drops", "[num][apportion]") {
    const Parts fourteen{5, 4, 3, 2};
    CHECK(fit_between(fourteen, 50, 60).multiple == 4);
    CHECK(fit_between(fourteen, 28, 60).multiple == 4);  // the largest of several
    CHECK(fit_between(fourteen, 56, 56).total == 56);
    const auto near = fit_between(fourteen, 57, 60);
    CHECK(near.multiple == 0);
    CHECK(near.total >= 57);
    CHECK(near.total <= 60);
    CHECK(std::accumulate(near.drops.begin(), near.drops.end(), std::int64_t{0}) == near.total);
    CHECK(near.worst_error > Rational(0));
    CHECK(near.worst_error < ratio(1, 10));
    CHECK(fit_between(fourteen, 60, 57).drops.empty());
    CHECK(fit_between(fourteen, 60, 57).smallest_fit == 14);
    CHECK(fit_between(fourteen, 1, 3).drops.empty());
    CHECK(fit_between(fourteen, -5, 60).multiple == 4);
    // By hand: 1 to 2 in one or two drops can only be 1 and 1: of 1/3 and 2/3 it makes 1/2, off by 1/2 and 1/4.
    const auto pair = fit_between(Parts{1, 2}, 1, 2);
    CHECK(pair.drops == Drops{1, 1});
    CHECK(pair.worst_error == ratio(1, 2));
}

TEST_CASE("a search for drops ends soon whatever it is asked", "[num][apportion]") {
    const Parts wide{kMostDrops / 2, 1};
    const auto fit = fit_up_to(wide, kMostDrops / 4);  // no multiple, and a window of 2^61 totals
    CHECK(fit.multiple == 0);
    CHECK(fit.drops.size() == 2);
    Parts many(10000, Rational(1));
    many[0] = ratio(1, 1000003);
    CHECK(fit_between(many, 10000, 4000000000).drops.size() == 10000);
}
