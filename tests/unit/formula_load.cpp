// Every way to say how much blend, checked against its definition on the finished grams and
// millilitres.
#include <catch2/catch.hpp>

#include "unit/model_builder.h"

using namespace scruple;
using namespace scruple::test;

namespace {

struct Made {
    double blend_g = 0, blend_ml = 0, base_g = 0, fat_g = 0, total_g = 0, total_ml = 0;
};

struct Kitchen : ModelBuilder {
    MaterialId citrus, wood, wax, water, fixed;
    BlendId mix;
    FormatId roll_on;
    Kitchen() {
        citrus = oil("citrus", 0.85);
        wood = oil("wood", 0.97);
        wax = carrier("wax", 0.96, "wax");
        water = carrier("water", 1.0, "water");
        fixed = carrier("fixed", 0.92, "fixed_oil");
        mix = blend(Measure::volume, {{citrus, "5"}, {wood, "2"}});
        roll_on = format("roll_on", Contact::leave_on, kNone);
    }
    Made made(const Formula& f) const {
        Made out;
        for (const auto& line : f.lines) {
            const double ml = *line.volume_ml;
            out.total_g += line.mass_g;
            out.total_ml += ml;
            if (line.role == LineRole::blend) {
                out.blend_g += line.mass_g;
                out.blend_ml += ml;
            } else {
                out.base_g += line.mass_g;
                if (line.material != water) out.fat_g += line.mass_g;
            }
        }
        return out;
    }
    std::vector<BasePhase> cream() const {
        return phase({share(wax, "10", Of::total), rest(water), share(fixed, "30")});
    }
};

}  // namespace

TEST_CASE("each basis holds by its own definition", "[formula][load]") {
    Kitchen k;
    for (const auto dimension : {kMass, kVolume}) {
        for (const auto* value : {"0.5", "3", "12.5"}) {
            const double L = percent(value).to_double();
            const auto amounts = [&](Basis basis, Of of) {
                const auto f = k.formula(k.product(k.mix, k.roll_on, "100", dimension,
                                                   Kitchen::load(value, basis, of), k.cream()));
                REQUIRE(f.complete);
                const Made m = k.made(f);
                CHECK(m.total_g == Approx(f.batch_mass_g).epsilon(1e-12));
                CHECK((dimension == kMass ? m.total_g : m.total_ml) == Approx(100).epsilon(1e-12));
                CHECK(f.load_ww == Approx(m.blend_g / m.total_g).epsilon(1e-12));
                return m;
            };
            Made m = amounts(Basis::ww, Of::total);
            CHECK(m.blend_g / m.total_g == Approx(L).epsilon(1e-12));
            m = amounts(Basis::ww, Of::base);
            CHECK(m.blend_g / m.base_g == Approx(L).epsilon(1e-12));
            m = amounts(Basis::ww, Of::fats);
            CHECK(m.blend_g / m.fat_g == Approx(L).epsilon(1e-12));
            m = amounts(Basis::ww, Of::wax);
            CHECK(m.blend_g / m.fat_g == Approx(L).epsilon(1e-12));
            m = amounts(Basis::vv, Of::total);
            CHECK(m.blend_ml / m.total_ml == Approx(L).epsilon(1e-12));
            m = amounts(Basis::wv, Of::total);
            CHECK(m.blend_g / m.total_ml == Approx(L).epsilon(1e-12));
        }
    }
}

TEST_CASE("of base, the share of the total is L/(1+L)", "[formula][load]") {
    Kitchen k;
    const auto f =
        k.formula(k.product(k.mix, k.roll_on, "106", kMass, Kitchen::load("6", Basis::ww, Of::base),
                            Kitchen::phase({Kitchen::rest(k.wax)})));
    REQUIRE(f.complete);
    CHECK(f.lines[0].mass_g == Approx(100).epsilon(1e-12));
}

TEST_CASE("a fixed amount per unit, by volume and by weight", "[formula][load]") {
    Kitchen k;
    for (const auto dimension : {kMass, kVolume}) {
        Load load;
        load.kind = LoadKind::volume;
        load.value = number("2.5");
        const auto f = k.formula(k.product(k.mix, k.roll_on, "10", dimension, load,
                                           Kitchen::phase({Kitchen::rest(k.fixed)})));
        REQUIRE(f.complete);
        CHECK(k.made(f).blend_ml == Approx(2.5).epsilon(1e-12));
        load.kind = LoadKind::mass;
        const auto g = k.formula(k.product(k.mix, k.roll_on, "10", dimension, load,
                                           Kitchen::phase({Kitchen::rest(k.fixed)})));
        REQUIRE(g.complete);
        CHECK(k.made(g).blend_g == Approx(2.5).epsilon(1e-12));
    }
}

TEST_CASE("neat is the blend alone", "[formula][load]") {
    Kitchen k;
    Load load;
    load.kind = LoadKind::neat;
    const auto f = k.formula(k.product(k.mix, k.roll_on, "5", kVolume, load, {}));
    REQUIRE(f.complete);
    CHECK(f.load_ww == 1);
    CHECK(f.lines.size() == 2);
    CHECK(k.made(f).blend_ml == Approx(5).epsilon(1e-12));
}

TEST_CASE("loads that cannot be are refused", "[formula][load]") {
    Kitchen k;
    const auto refuse = [&](Load load, std::vector<BasePhase> base, Code code) {
        Bag bag;
        const auto f =
            k.formula(k.product(k.mix, k.roll_on, "10", kVolume, load, std::move(base)), &bag);
        CHECK_FALSE(f.complete);
        CHECK(count_of(bag, code) == 1);
        CHECK(bag.size() == 1);
    };
    Load too_much;
    too_much.kind = LoadKind::volume;
    too_much.value = Rational(11);
    refuse(too_much, Kitchen::phase({Kitchen::rest(k.fixed)}), Code::load_over_whole);
    refuse(Kitchen::load("8"),
           Kitchen::phase({Kitchen::share(k.wax, "93", Of::total), Kitchen::rest(k.fixed)}),
           Code::load_over_whole);
    refuse(Kitchen::load("6"),
           Kitchen::phase({Kitchen::share(k.wax, "60", Of::total), Kitchen::share(k.water, "40"),
                           Kitchen::rest(k.fixed)}),
           Code::rest_of_nothing);
    refuse(Kitchen::load("6", Basis::ww, Of::wax), Kitchen::phase({Kitchen::rest(k.water)}),
           Code::wrong_basis);
    refuse(Kitchen::load("6"), {}, Code::no_base);
}

TEST_CASE("drops: a 14-part bench ratio up to 60 drops is taken four times", "[formula][load]") {
    // Common practice, no source: 60/14 rounded down is 4, 56 drops.
    Kitchen k;
    k.model.workshop.drops_per_ml = Rational(20);
    const auto a = k.oil("a", 0.9), b = k.oil("b", 0.88), c = k.oil("c", 0.95);
    const auto ratio = k.blend(Measure::volume, {{a, "8"}, {b, "5"}, {c, "1"}});
    Load load;
    load.kind = LoadKind::up_to_drops;
    load.most_drops = 60;
    const auto f = k.formula(
        k.product(ratio, k.roll_on, "10", kVolume, load, Kitchen::phase({Kitchen::rest(k.fixed)})));
    REQUIRE(f.complete);
    REQUIRE(f.drop_plan);
    CHECK(f.drop_plan->multiple == 4);
    CHECK(f.drop_plan->drops == std::vector<std::int64_t>{32, 20, 4});
    CHECK(*f.drops_per_unit == Approx(56).epsilon(1e-12));
    CHECK(*f.load_vv == Approx(0.28).epsilon(1e-12));  // 56 / 20 = 2.8 ml of 10 ml
}

TEST_CASE("drops: the nearest ratio shows its error, and the grams follow the drops",
          "[formula][load]") {
    Kitchen k;
    k.model.workshop.drops_per_ml = Rational(20);
    const auto a = k.oil("a", 0.9), b = k.oil("b", 0.9);
    const auto ratio = k.blend(Measure::volume, {{a, "17"}, {b, "3"}});
    Load load;
    load.kind = LoadKind::up_to_drops;
    load.most_drops = 7;
    Bag bag;
    const auto f = k.formula(
        k.product(ratio, k.roll_on, "10", kVolume, load, Kitchen::phase({Kitchen::rest(k.fixed)})),
        &bag);
    REQUIRE(f.complete);
    CHECK(count_of(bag, Code::no_multiple) == 1);
    CHECK(f.drop_plan->drops == std::vector<std::int64_t>{6, 1});
    CHECK(f.drop_plan->smallest_fit == 20);
    CHECK(f.drop_plan->worst_error == Approx((3.0 / 20 - 1.0 / 7) / (3.0 / 20)));
    const double ratio_made = f.lines[1].mass_g / f.lines[2].mass_g;
    CHECK(ratio_made == Approx(6).epsilon(1e-12));
}

TEST_CASE("drops of a blend by weight go through density and dropper", "[formula][load]") {
    Kitchen k;
    k.model.workshop.drops_per_ml = Rational(20);
    const auto a = k.oil("a", 0.8), b = k.oil("b", 1.0);
    k.model.materials[b].drops_per_ml = Rational(40);
    // 4 g and 1 g are 5 ml and 1 ml, 100 and 40 drops: 5 to 2.
    const auto ratio = k.blend(Measure::mass, {{a, "4"}, {b, "1"}});
    Load load;
    load.kind = LoadKind::up_to_drops;
    load.most_drops = 15;
    const auto f = k.formula(
        k.product(ratio, k.roll_on, "10", kVolume, load, Kitchen::phase({Kitchen::rest(k.fixed)})));
    REQUIRE(f.complete);
    CHECK(f.drop_plan->drops == std::vector<std::int64_t>{10, 4});
    CHECK(f.drop_plan->multiple == 2);
}

TEST_CASE("too few drops for the oils", "[formula][load]") {
    Kitchen k;
    const auto ratio = k.blend(Measure::volume, {{k.citrus, "1"}, {k.wood, "1"}});
    Load load;
    load.kind = LoadKind::between_drops;
    load.least_drops = 1;
    load.most_drops = 1;
    Bag bag;
    const auto f = k.formula(
        k.product(ratio, k.roll_on, "10", kVolume, load, Kitchen::phase({Kitchen::rest(k.fixed)})),
        &bag);
    CHECK_FALSE(f.complete);
    CHECK(count_of(bag, Code::no_drops) == 1);
}
