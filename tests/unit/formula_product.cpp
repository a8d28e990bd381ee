// Bases, batches, rounding and weighing.
#include <catch2/catch.hpp>

#include "unit/model_builder.h"

using namespace scruple;
using namespace scruple::test;

namespace {

struct Worktop : ModelBuilder {
    MaterialId scent, jojoba, salt, cocoa;
    BlendId mix;
    FormatId scrub;
    Worktop() {
        scent = oil("scent", 0.9);
        jojoba = carrier("jojoba", 0.868, "wax");
        model.materials[jojoba].state = "liquid";
        salt = carrier("salt", 0, "salt");
        cocoa = carrier("cocoa", 0.9, "butter");
        mix = blend(Measure::volume, {{scent, "1"}});
        scrub = format("scrub", Contact::rinse_off, kNone);
    }
    const FormulaLine& line(const Formula& f, MaterialId id) const {
        for (const auto& l : f.lines) {
            if (l.material == id) return l;
        }
        throw 0;
    }
};

}  // namespace

TEST_CASE("rows of the total are absolute, rows of the base shrink, the rest takes what is left",
          "[formula]") {
    Worktop b;
    const auto p =
        b.product(b.mix, b.scrub, "200", kMass, Worktop::load("4"),
                  Worktop::phase({Worktop::share(b.salt, "50"), Worktop::share(b.cocoa, "10", Of::total),
                                Worktop::rest(b.jojoba)}));
    const auto f = b.formula(p);
    REQUIRE(f.complete);
    CHECK(b.line(f, b.salt).fraction == Approx(0.48).epsilon(1e-13));
    CHECK(b.line(f, b.cocoa).fraction == Approx(0.10).epsilon(1e-13));
    CHECK(b.line(f, b.jojoba).fraction == Approx(1 - 0.04 - 0.48 - 0.10).epsilon(1e-13));
    CHECK(b.line(f, b.scent).mass_g == Approx(8).epsilon(1e-13));
    CHECK_FALSE(
        f.batch_volume_ml);  // the salt's density is not known, and by weight it need not be
}

TEST_CASE("a base inside a base fills its own row", "[formula]") {
    Worktop b;
    Base inner;
    inner.header.name = "inner";
    inner.phases = Worktop::phase(
        {Worktop::share(b.cocoa, "20"), Worktop::share(b.salt, "5", Of::total), Worktop::rest(b.jojoba)});
    b.model.bases.push_back(inner);
    BaseRow whole;
    whole.base = 0;
    whole.fraction = percent("50");
    const auto f = b.formula(b.product(b.mix, b.scrub, "100", kMass, Worktop::load("10"),
                                       Worktop::phase({whole, Worktop::rest(b.salt)})));
    REQUIRE(f.complete);
    // The inner base fills 45; its cocoa 9, its salt 5 of the total, its jojoba 31. Salt: 5 + 45 in
    // one line.
    CHECK(b.line(f, b.cocoa).mass_g == Approx(9).epsilon(1e-13));
    CHECK(b.line(f, b.jojoba).mass_g == Approx(31).epsilon(1e-13));
    CHECK(b.line(f, b.salt).mass_g == Approx(50).epsilon(1e-13));
    CHECK(f.lines.size() == 4);
}

TEST_CASE("the blend goes into its phase, lines stand by phase", "[formula]") {
    Worktop b;
    std::vector<BasePhase> base(2);
    base[0].name = "oil";
    base[0].rows = {Worktop::rest(b.jojoba)};
    base[0].blend_here = true;
    base[1].name = "dry";
    base[1].rows = {Worktop::share(b.salt, "68")};
    const auto f = b.formula(b.product(b.mix, b.scrub, "100", kMass, Worktop::load("1"), base));
    REQUIRE(f.lines.size() == 3);
    CHECK(f.lines[0].material == b.jojoba);
    CHECK(f.lines[1].role == LineRole::blend);
    CHECK(f.lines[2].phase == 1);
    base[0].blend_here = false;
    const auto last = b.formula(b.product(b.mix, b.scrub, "100", kMass, Worktop::load("1"), base));
    CHECK(last.lines[2].role == LineRole::blend);
    CHECK(last.phases[1].blend_here);
}

TEST_CASE("a content by volume needs every density, and says once which is missing", "[formula]") {
    Worktop b;
    Bag bag;
    const auto f =
        b.formula(b.product(b.mix, b.scrub, "100", kVolume, Worktop::load("1"),
                            Worktop::phase({Worktop::share(b.salt, "50"), Worktop::rest(b.jojoba)})),
                  &bag);
    CHECK_FALSE(f.complete);
    CHECK(count_of(bag, Code::no_density) == 1);
    CHECK(message_of(bag, Code::no_density).find("salt has no density") == 0);
}

TEST_CASE("content by volume is weighed through the mixture's density", "[formula]") {
    Worktop b;
    const auto f = b.formula(b.product(b.mix, b.scrub, "10", kVolume, Worktop::load("20"),
                                       Worktop::phase({Worktop::rest(b.jojoba)})));
    REQUIRE(f.complete);
    CHECK(f.unit_mass_g == Approx(10 / (0.2 / 0.9 + 0.8 / 0.868)).epsilon(1e-13));
    bool said = false;
    for (const auto& a : f.assumptions) said = said || a.what.find("volumes add up") == 0;
    CHECK(said);
}

TEST_CASE("a batch is units times content and the loss in making", "[formula]") {
    Worktop b;
    const auto id = b.product(b.mix, b.scrub, "95", kMass, Worktop::load("2"),
                              Worktop::phase({Worktop::rest(b.jojoba)}));
    b.model.products[id].units = 40;
    b.model.products[id].extra = percent("2");
    CHECK(b.formula(id).batch_mass_g == Approx(3876).epsilon(1e-13));
    FormulaOptions options;
    options.units = 3;
    CHECK(b.formula(id, nullptr, options).batch_mass_g == Approx(290.7).epsilon(1e-13));
}

TEST_CASE("each line goes on the finest scale that takes it", "[formula][weigh]") {
    Worktop b;
    b.model.workshop.scales = {{number("0.01"), number("200")}, {number("1"), number("5000")}};
    const auto id = b.product(b.mix, b.scrub, "100.4", kMass, Worktop::load("2"),
                              Worktop::phase({Worktop::rest(b.jojoba)}));
    CHECK(b.line(b.formula(id), b.jojoba).division_g == 0.01);
    b.model.products[id].units = 3;  // 295.176 g of jojoba, 6.024 g of scent
    auto f = b.formula(id);
    CHECK(f.scale_division_g == 0.01);
    CHECK(b.line(f, b.jojoba).division_g == 1);
    CHECK(b.line(f, b.jojoba).divisions == 29500);
    CHECK(b.line(f, b.scent).divisions == 602);
    CHECK(f.batch_divisions == 30102);
    b.model.products[id].units = 51;
    Bag bag;
    f = b.formula(id, &bag);
    CHECK(count_of(bag, Code::over_scale) == 1);
    // Divisions that do not go into each other: one scale for all.
    b.model.workshop.scales = {{number("0.3"), number("200")}, {number("1"), std::nullopt}};
    f = b.formula(id);
    CHECK(f.scale_division_g == 1);
    CHECK(b.line(f, b.scent).divisions == 102);
}

TEST_CASE("without a scale, one is assumed and said", "[formula][weigh]") {
    Worktop b;
    const auto f = b.formula(b.product(b.mix, b.scrub, "100", kMass, Worktop::load("2"),
                                       Worktop::phase({Worktop::rest(b.jojoba)})));
    CHECK(f.scale_assumed);
    CHECK(f.scale_division_g == 0.01);
    bool said = false;
    for (const auto& a : f.assumptions)
        said = said || a == Assumption{"the scale reads to 0.01 g", "common practice, no source"};
    CHECK(said);
}

TEST_CASE("light lines are told once, with the smallest premix", "[formula][weigh]") {
    Worktop b;
    const auto dear = b.oil("dear", 0.96), mild = b.oil("mild", 0.9);
    const auto mix = b.blend(Measure::mass, {{dear, "3"}, {mild, "97"}});
    Bag bag;
    // 100 g at 2 %: 0.06 g of the dear oil, 6 divisions of 0.01 g. 1 in 3 gives 0.24 g, 1 in 2 only
    // 0.18 g.
    const auto f = b.formula(b.product(mix, b.scrub, "100", kMass, Worktop::load("2"),
                                       Worktop::phase({Worktop::rest(b.jojoba)})),
                             &bag);
    REQUIRE(f.premixes.size() == 1);
    CHECK(b.line(f, dear).too_light);
    CHECK_FALSE(b.line(f, mild).too_light);
    const Premix& p = f.premixes[0];
    CHECK(p.material == dear);
    CHECK(p.carrier == b.jojoba);
    CHECK(p.use_g == Approx(0.24).epsilon(1e-12));
    CHECK(p.carrier_g / p.oil_g == Approx(3).epsilon(1e-12));
    CHECK(p.oil_g >= 20 * 0.01 * (1 - 1e-12));
    // The premix brings exactly the oil that the formula wants.
    CHECK(p.use_g * p.oil_g / (p.oil_g + p.carrier_g) ==
          Approx(b.line(f, dear).mass_g).epsilon(1e-12));
    CHECK(count_of(bag, Code::too_light_to_weigh) == 1);
    CHECK(message_of(bag, Code::too_light_to_weigh).find("dear (0.06 g) is too light") == 0);
}

TEST_CASE("twenty divisions exactly are enough", "[formula][weigh]") {
    Worktop b;
    Bag bag;
    const auto f = b.formula(b.product(b.mix, b.scrub, "10", kMass, Worktop::load("2"),
                                       Worktop::phase({Worktop::rest(b.jojoba)})),
                             &bag);
    CHECK_FALSE(b.line(f, b.scent).too_light);
    CHECK(bag.empty());
}

TEST_CASE("a stated load outside the usual is remarked, the format's own is assumed", "[formula]") {
    Worktop b;
    auto& format = b.model.formats[b.scrub];
    format.load_low = percent("0.5");
    format.load_high = percent("2");
    const auto make = [&](const char* load, Bag& bag) {
        const auto id = b.product(b.mix, b.scrub, "1000", kMass, Worktop::load(load),
                                  Worktop::phase({Worktop::rest(b.jojoba)}));
        return b.formula(id, &bag);
    };
    Bag at_the_edge, over, under;
    make("2", at_the_edge);
    CHECK(at_the_edge.empty());
    make("2.01", over);
    CHECK(message_of(over, Code::unusual_load) ==
          "2.01 % of total is more than is usual in scrub: 0.5 to 2 % of total");
    make("0.4", under);
    CHECK(count_of(under, Code::unusual_load) == 1);

    Load neat;
    neat.kind = LoadKind::neat;
    Bag bare;
    b.formula(b.product(b.mix, b.scrub, "1000", kMass, neat, {}), &bare);
    CHECK(bare.empty());  // whether it may be neat is for safety to say

    auto load = Worktop::load("3");
    load.from_format = true;
    Bag bag;
    const auto f = b.formula(
        b.product(b.mix, b.scrub, "1000", kMass, load, Worktop::phase({Worktop::rest(b.jojoba)})),
        &bag);
    CHECK(bag.empty());
    bool said = false;
    for (const auto& a : f.assumptions)
        said = said || a.what == "the load is the usual one of scrub: 3 % of total";
    CHECK(said);
}

TEST_CASE("more than the container holds", "[formula]") {
    Worktop b;
    const auto id = b.product(b.mix, b.scrub, "10", kVolume, Worktop::load("10"),
                              Worktop::phase({Worktop::rest(b.jojoba)}));
    b.model.products[id].brim_ml = number("10");
    Bag fits, bag;
    b.formula(id, &fits);
    CHECK(count_of(fits, Code::no_room) == 0);
    b.model.products[id].brim_ml = number("9.9");
    b.formula(id, &bag);
    CHECK(message_of(bag, Code::no_room) ==
          "10 ml do not fit: the container holds 9.9 ml to the brim");
}
