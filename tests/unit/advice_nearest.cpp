// The nearest ratio on cases that can be worked out on paper, and what is said where there is none.
#include <catch2/catch.hpp>

#include "advice/packs.h"
#include "advice/program.h"
#include "advice/swaps.h"
#include "advice/variation.h"
#include "advice/whole_parts.h"
#include "unit/safety_stillroom.h"

namespace scruple::test {

TEST_CASE("a linear program with a known optimum") {
    // max 3x + 2y with x + y <= 4, x + 3y <= 6, x <= 3: at (3, 1), 11. From memory of textbooks on linear programming.
    LinearProgram p;
    const int x = p.column(-3, 3), y = p.column(-2, LinearProgram::kUnbounded);
    p.rows.push_back({-LinearProgram::kUnbounded, 4, {{x, 1}, {y, 1}}});
    p.rows.push_back({-LinearProgram::kUnbounded, 6, {{x, 1}, {y, 3}}});
    const Solution s = solve(p);
    REQUIRE(s.found);
    CHECK(s.cost == Approx(-11));
    CHECK(s.columns[0] == Approx(3));
    CHECK(s.columns[1] == Approx(1));
    p.rows.push_back({5, LinearProgram::kUnbounded, {{x, 1}, {y, 1}}});
    CHECK_FALSE(solve(p).found);
}

TEST_CASE("two oils, one limit: the offender gives way exactly as far as it must") {
    Stillroom s;
    s.substance_limit(s.citral, "0.6", s.handbook, s.read, {s.skin});
    // 1 % of a blend of half lemongrass, half lavender: 0.5 % of lemongrass brings at most 0.45 % citral: nothing to mend.
    const auto mix = s.blend(Measure::mass, {{s.lemongrass, "1"}, {s.lavender, "1"}});
    const auto weak = s.product(mix, s.roll_on, "10", kMass, ModelBuilder::load("1"), ModelBuilder::phase({ModelBuilder::rest(s.jojoba)}));
    const auto strong = s.product(mix, s.roll_on, "10", kMass, ModelBuilder::load("2"), ModelBuilder::phase({ModelBuilder::rest(s.jojoba)}));
    const LimitTable limits(s.model);
    CHECK(nearest_shares(share_rows(advice_task(s.model, limits, s.model.products[weak], false))).state == Nearest::State::there);
    // At 2 %, lemongrass at the top of its range (90 % citral) may be 0.6 / 0.9 / 2 = a third of the blend.
    const AdviceTask task = advice_task(s.model, limits, s.model.products[strong], false);
    const ShareRows rows = share_rows(task);
    const Nearest nearest = nearest_shares(rows);
    REQUIRE(nearest.state == Nearest::State::found);
    CHECK(nearest.shares[0] == Approx(1.0 / 3));
    CHECK(nearest.distance == Approx(1.0 / 3));
    CHECK(nearest.changed == 2);
    const WholeParts parts = nearest_parts(task, rows, nearest.shares);
    REQUIRE(parts.found);
    CHECK(parts.parts == std::vector<std::int64_t>{1, 2});
    // By typical composition (80 %) it may be 0.6 / 0.8 / 2 = 3/8.
    const AdviceTask loose = advice_task(s.model, limits, s.model.products[strong], true);
    CHECK(nearest_shares(share_rows(loose)).shares[0] == Approx(0.375));
}

TEST_CASE("of several as near, the fewest oils change and then the earliest") {
    Stillroom s;
    s.substance_limit(s.citral, "0.6", s.handbook, s.read, {s.skin});
    const auto other = s.oil("other", 0.9);
    s.model.materials[other].composition_known = true;
    s.model.materials[other].known_typical = 0.9;
    const auto mix = s.blend(Measure::mass, {{s.lavender, "1"}, {s.lemongrass, "2"}, {other, "1"}});
    const auto id = s.product(mix, s.roll_on, "10", kMass, ModelBuilder::load("2"), ModelBuilder::phase({ModelBuilder::rest(s.jojoba)}));
    const LimitTable limits(s.model);
    const Nearest nearest = nearest_shares(share_rows(advice_task(s.model, limits, s.model.products[id], false)));
    REQUIRE(nearest.state == Nearest::State::found);
    CHECK(nearest.changed == 2);
    CHECK(nearest.shares[2] == Approx(0.25));
    CHECK(nearest.shares[1] == Approx(1.0 / 3));
}

TEST_CASE("where no ratio does, the largest load of any of them") {
    Stillroom s;
    s.substance_limit(s.citral, "0.6", s.handbook, s.read, {s.skin});
    const auto mix = s.blend(Measure::mass, {{s.lemongrass, "1"}, {s.litsea, "1"}});
    const auto id = s.product(mix, s.roll_on, "10", kMass, ModelBuilder::load("5"), ModelBuilder::phase({ModelBuilder::rest(s.jojoba)}));
    const LimitTable limits(s.model);
    const AdviceTask task = advice_task(s.model, limits, s.model.products[id], false);
    const ShareRows rows = share_rows(task);
    CHECK(nearest_shares(rows).state == Nearest::State::impossible);
    const MostLoad most = most_load(rows);
    REQUIRE(most.found);
    CHECK(most.load_ww == Approx(0.006 / 0.85));  // litsea alone, whose citral goes to 85 %
    CHECK(most.shares[1] == Approx(1));
}

TEST_CASE("what nothing mends is said as such") {
    Stillroom s;
    const auto mix = s.blend(Measure::mass, {{s.lemongrass, "1"}, {s.lavender, "1"}});
    Load neat;
    neat.kind = LoadKind::neat;
    const auto id = s.product(mix, s.roll_on, "10", kMass, neat, {});
    const auto unknown = s.oil("unknown", 0);
    const auto dark = s.blend(Measure::volume, {{unknown, "1"}, {s.lavender, "1"}});
    const auto no_density = s.product(dark, s.roll_on, "10", kMass, ModelBuilder::load("2"), ModelBuilder::phase({ModelBuilder::rest(s.jojoba)}));
    const LimitTable limits(s.model);
    CHECK(share_rows(advice_task(s.model, limits, s.model.products[id], false)).state == ShareRows::State::undiluted);
    CHECK(share_rows(advice_task(s.model, limits, s.model.products[no_density], false)).state == ShareRows::State::not_known);
}

TEST_CASE("fewer parts that come near") {
    Stillroom s;
    const auto mix = s.blend(Measure::volume, {{s.lavender, "42"}, {s.lemongrass, "17"}, {s.litsea, "8"}});
    const auto id = s.product(mix, s.roll_on, "10", kVolume, ModelBuilder::load("1"), ModelBuilder::phase({ModelBuilder::rest(s.jojoba)}));
    const LimitTable limits(s.model);
    const auto packs = smaller_packs(advice_task(s.model, limits, s.model.products[id], false), s.figures(mix));
    REQUIRE_FALSE(packs.empty());
    CHECK(packs.back().parts == std::vector<std::int64_t>{5, 2, 1});  // 62.5 to 62.69 %, 25 to 25.37 %, 12.5 to 11.94 %
    CHECK(packs.back().worst == Approx(0.125 / (8.0 / 67) - 1));
    for (const auto& pack : packs) CHECK(pack.total < 67);
}

TEST_CASE("likeness") {
    Stillroom s;
    auto& a = s.model.materials[s.lemongrass];
    auto& b = s.model.materials[s.litsea];
    a.odour = b.odour = "citrus";
    a.note = Note::top;
    b.note = Note::middle;
    a.impact = 7;
    b.impact = 6;
    const Likeness close = likeness(s.model, s.lemongrass, s.litsea);
    CHECK(close.shared == Approx(0.75));  // the smaller of 80 and 75 % citral
    CHECK(close.keeps_character);
    b.note = Note::base;
    CHECK_FALSE(likeness(s.model, s.lemongrass, s.litsea).keeps_character);
    b.note = Note::top;
    b.impact.reset();
    CHECK_FALSE(likeness(s.model, s.lemongrass, s.litsea).keeps_character);  // not known is not alike
}

}  // namespace scruple::test
