// Ceilings: solved, rounded down, and written as a maker types them.
#include <catch2/catch.hpp>

#include "unit/safety_stillroom.h"

using namespace scruple;
using namespace scruple::test;

TEST_CASE("one part of bergamot alone stops at 0.4 %, nine mild parts lift it to 4 %",
          "[safety][ceiling]") {
    Stillroom s;
    const auto mild = s.oil("mild", 0.88, {{s.linalool, 0, 1, 2}});
    const auto at = [&](std::vector<std::pair<MaterialId, std::string>> oils) {
        const auto mix = s.blend(Measure::mass, std::move(oils));
        return s
            .judged(s.product(mix, s.roll_on, "100", kMass, Stillroom::load("0.1"),
                              Stillroom::phase({Stillroom::rest(s.jojoba)})))
            .ceiling;
    };
    const auto alone = at({{s.bergamot, "1"}});
    CHECK(alone.state == Ceiling::State::bound);
    CHECK(alone.text == "0.400");
    CHECK(alone.in_basis == 0.004);
    const auto diluted = at({{s.bergamot, "1"}, {mild, "9"}});
    CHECK(diluted.text == "4.00");
}

TEST_CASE("the binding rule and the second one are named", "[safety][ceiling]") {
    Stillroom s;
    s.substance_limit(s.linalool, "0.7", s.handbook, s.read, {s.skin});
    const auto mix = s.blend(Measure::mass, {{s.bergamot, "1"}, {s.lavender, "3"}});
    const auto j = s.judged(s.product(mix, s.roll_on, "100", kMass, Stillroom::load("1"),
                                      Stillroom::phase({Stillroom::rest(s.jojoba)})));
    // bergamot: 0.4 / 0.25 = 1.6 %; linalool: 0.7 / (0.25 x 10 + 0.75 x 35) x 100 = 2.4347... %
    REQUIRE(j.ceiling.state == Ceiling::State::bound);
    CHECK(j.ceiling.text == "1.60");
    CHECK(j.checks[static_cast<std::size_t>(j.ceiling.bound_by)].kind == CheckKind::phototoxic);
    REQUIRE(j.ceiling.runner_up >= 0);
    CHECK(j.checks[static_cast<std::size_t>(j.ceiling.runner_up)].substance == s.linalool);
    CHECK(j.ceiling.runner_up_ww == Approx(0.007 / 0.2875).epsilon(1e-7));
}

TEST_CASE("three significant digits, two to six decimals, always down", "[safety][ceiling]") {
    const auto text = [](const std::string& limit) {
        Stillroom s;
        s.row(s.limit_of_material(s.lavender, s.handbook), limit, {s.skin}, Effect::sensitisation,
              s.read);
        return s.judged(s.finished({{s.lavender, "0.0000001"}})).ceiling.text;
    };
    CHECK(text("33.33333") == "33.33");
    CHECK(text("2.919") == "2.91");
    CHECK(text("0.9999") == "0.999");
    CHECK(text("0.01239") == "0.0123");
    CHECK(text("0.000123456") == "0.000123");
    CHECK(text("0.0000019") == "0.000001");
    CHECK(text("0.0000001") == "0");
}

TEST_CASE("nothing that binds under the whole is no ceiling", "[safety][ceiling]") {
    Stillroom s;
    auto j = s.judged(s.finished({{s.lavender, "1"}}));
    CHECK(j.ceiling.state == Ceiling::State::none_applies);
    CHECK(j.ceiling.bound_by == -1);
    // A limit above what the base leaves room for does not bind either.
    s.row(s.limit_of_material(s.lavender, s.handbook), "80", {s.skin}, Effect::sensitisation,
          s.read);
    const auto mix = s.blend(Measure::mass, {{s.lavender, "1"}});
    j = s.judged(s.product(
        mix, s.roll_on, "100", kMass, Stillroom::load("1"),
        Stillroom::phase({Stillroom::share(s.wax, "30", Of::total), Stillroom::rest(s.jojoba)})));
    CHECK(j.ceiling.state == Ceiling::State::none_applies);
    CHECK(j.ceiling.load_ww == Approx(0.7));
}

TEST_CASE("the careful ceiling keeps under derived figures and tops of ranges",
          "[safety][ceiling]") {
    Stillroom s;
    s.substance_limit(s.linalool, "0.7", s.handbook, s.read, {s.skin});
    s.substance_limit(s.linalool, "0.38", s.derived, s.worked_out, {s.fine});
    const auto j = s.judged(s.finished({{s.lavender, "0.5"}}));
    CHECK(j.ceiling.text == "2.00");  // 0.7 / 0.35
    CHECK(j.careful.text == "1.00");  // 0.38 / 0.38
    CHECK(j.checks[static_cast<std::size_t>(j.careful.bound_by)].soft);
}

TEST_CASE("the ceiling speaks in the product's own basis, else in the format's",
          "[safety][ceiling]") {
    Stillroom s;
    s.row(s.limit_of_material(s.lavender, s.handbook), "5", {s.no_skin}, Effect::sensitisation,
          s.read);
    const auto mix = s.blend(Measure::mass, {{s.lavender, "1"}});
    const auto base = Stillroom::phase({Stillroom::rest(s.wax)});
    auto j = s.judged(s.product(mix, s.candle, "100", kMass, Stillroom::load("2"), base));
    CHECK(j.ceiling.of == Of::total);
    CHECK(j.ceiling.text == "5.00");
    j = s.judged(
        s.product(mix, s.candle, "100", kMass, Stillroom::load("2", Basis::ww, Of::wax), base));
    CHECK(j.ceiling.of == Of::wax);
    CHECK(j.ceiling.text == "5.26");  // 5/95
    Load ml;
    ml.kind = LoadKind::volume;
    ml.value = Rational(2);
    j = s.judged(s.product(mix, s.candle, "100", kMass, ml, base));
    CHECK(j.ceiling.of == Of::wax);
    CHECK(j.ceiling.text == "5.26");
}

TEST_CASE("for drops that miss the ratio, the ceiling is of the blend's own ratio",
          "[safety][ceiling]") {
    Stillroom s;
    const auto mix = s.blend(Measure::volume, {{s.lavender, "17"}, {s.bergamot, "3"}});
    Load load;
    load.kind = LoadKind::up_to_drops;
    load.most_drops = 7;
    const auto id = s.product(mix, s.roll_on, "100", kVolume, load,
                              Stillroom::phase({Stillroom::rest(s.jojoba)}));
    const auto j = s.judged(id);
    const auto f = s.formula(id);
    const double dropped = (0.88 / 7) / (0.88 / 7 + 0.885 * 6 / 7);
    CHECK(check_of(j, CheckKind::phototoxic)->used ==
          Approx(f.load_ww * dropped / 0.004).epsilon(1e-12));
    const double own = 3 * 0.88 / (3 * 0.88 + 17 * 0.885);
    CHECK(j.ceiling.load_ww == Approx(0.004 / own).epsilon(1e-7));
}

TEST_CASE("a base that only the blend thins below a limit does not cap the load",
          "[safety][ceiling]") {
    Stillroom s;
    s.substance_limit(s.linalool, "0.1", s.handbook, s.read, {s.skin});
    s.row(s.limit_of_material(s.lemongrass, s.handbook), "60", {s.skin}, Effect::irritation,
          s.read);
    const auto water = s.carrier("strong_water", 1.0, "hydrosol");
    s.contains(water, {{s.linalool, 0.1, 0.15, 0.15}});
    const auto mix = s.blend(Measure::mass, {{s.lemongrass, "1"}});
    // 0.15 % x (1 - w) is under 0.1 % from w = 1/3 on.
    const auto at = [&](const char* load, Bag& bag) {
        return s.judged(s.product(mix, s.roll_on, "100", kMass, Stillroom::load(load),
                                  Stillroom::phase({Stillroom::rest(water)})),
                        &bag);
    };
    Bag thin, thick;
    const auto passing = at("50", thin);
    CHECK(thin.empty());
    CHECK(passing.ceiling.text == "60.00");
    const auto failing = at("20", thick);
    CHECK(count_of(thick, Code::over_without_blend) == 1);
    CHECK(failing.ceiling.state == Ceiling::State::over_without_blend);
}

TEST_CASE("what would read as more than 100 % of the base is no ceiling", "[safety][ceiling]") {
    Stillroom s;
    s.row(s.limit_of_material(s.lavender, s.handbook), "60", {s.no_skin}, Effect::irritation,
          s.read);
    const auto mix = s.blend(Measure::mass, {{s.lavender, "1"}});
    const auto base = Stillroom::phase({Stillroom::rest(s.wax)});
    auto j = s.judged(
        s.product(mix, s.candle, "100", kMass, Stillroom::load("5", Basis::ww, Of::wax), base));
    CHECK(j.ceiling.state == Ceiling::State::none_applies);  // 60/40 is 150 % of wax
    j = s.judged(s.product(mix, s.candle, "100", kMass, Stillroom::load("5"), base));
    CHECK(j.ceiling.text == "60.00");
}
