// Laws of working out, on random products (a fixed seed): lines add up, batches scale, bases
// convert both ways.
#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include "unit/model_builder.h"

using namespace scruple;
using namespace scruple::test;

namespace {

using Random = std::mt19937_64;

struct RandomBench : ModelBuilder {
    std::vector<MaterialId> oils;
    MaterialId wax, fixed, water;
    FormatId any;
    explicit RandomBench(Random& r) {
        for (int i = 0; i < 7; ++i)
            oils.push_back(
                oil("oil_" + std::to_string(i), 0.8 + 0.04 * static_cast<double>(r() % 8)));
        wax = carrier("wax", 0.96, "wax");
        fixed = carrier("fixed", 0.92);
        water = carrier("water", 1, "water");
        any = format("any", Contact::none, kNone);
        model.workshop.scales = {{number(r() % 2 ? "0.01" : "0.1"), std::nullopt}};
    }
    ProductId product_of(Random& r, Load load) {
        std::vector<std::pair<MaterialId, std::string>> lines;
        const std::size_t count = 1 + r() % oils.size();
        for (std::size_t i = 0; i < count; ++i)
            lines.emplace_back(oils[i], std::to_string(1 + r() % 20));
        const auto mix = blend(r() % 2 ? Measure::volume : Measure::mass, std::move(lines));
        auto rows = std::vector<BaseRow>{share(wax, std::to_string(1 + r() % 40)), rest(fixed)};
        if (r() % 2) rows.push_back(share(water, std::to_string(1 + r() % 20), Of::total));
        const auto dimension = r() % 2 ? kMass : kVolume;
        return product(mix, any, std::to_string(1 + r() % 500), dimension, load,
                       phase(std::move(rows)));
    }
};

}  // namespace

TEST_CASE("rounded lines add up to the rounded batch, each within a division",
          "[property][formula]") {
    Random r(1);
    for (int round = 0; round < 500; ++round) {
        RandomBench b(r);
        const auto id = b.product_of(r, RandomBench::load(std::to_string(1 + r() % 20)));
        b.model.products[id].units = 1 + static_cast<std::int64_t>(r() % 60);
        b.model.products[id].extra = percent(std::to_string(r() % 8));
        const auto f = b.formula(id);
        REQUIRE(f.complete);
        std::int64_t sum = 0;
        double mass = 0, fractions = 0;
        for (const auto& line : f.lines) {
            sum += line.divisions;
            mass += line.mass_g;
            fractions += line.fraction;
            CHECK(std::abs(static_cast<double>(line.divisions) - line.mass_g / f.scale_division_g) <
                  1 + 1e-6);
        }
        CHECK(sum == f.batch_divisions);
        CHECK(std::abs(static_cast<double>(sum) - f.batch_mass_g / f.scale_division_g) <=
              0.5 + 1e-6);
        CHECK(mass == Approx(f.batch_mass_g).epsilon(1e-12));
        CHECK(fractions == Approx(1).epsilon(1e-12));
    }
}

TEST_CASE("more units keep every share, and grams grow with them", "[property][formula]") {
    Random r(2);
    for (int round = 0; round < 300; ++round) {
        RandomBench b(r);
        const Basis basis = r() % 2 ? Basis::ww : Basis::vv;
        const auto id = b.product_of(r, RandomBench::load(std::to_string(1 + r() % 20), basis));
        FormulaOptions one, many;
        one.units = 1;
        many.units = 2 + static_cast<std::int64_t>(r() % 1000);
        const auto f = b.formula(id, nullptr, one);
        const auto g = b.formula(id, nullptr, many);
        REQUIRE(f.lines.size() == g.lines.size());
        for (std::size_t i = 0; i < f.lines.size(); ++i) {
            CHECK(f.lines[i].fraction == g.lines[i].fraction);
            CHECK(g.lines[i].mass_g ==
                  Approx(f.lines[i].mass_g * static_cast<double>(*many.units)).epsilon(1e-12));
        }
        CHECK(*f.drops_per_unit == Approx(*g.drops_per_unit).epsilon(1e-12));
    }
}

TEST_CASE("a load read in another basis and stated there makes the same product",
          "[property][formula]") {
    Random r(3);
    const std::pair<Basis, Of> ways[] = {{Basis::ww, Of::total}, {Basis::ww, Of::base},
                                         {Basis::ww, Of::fats},  {Basis::vv, Of::total},
                                         {Basis::wv, Of::total}, {Basis::vv, Of::base}};
    for (int round = 0; round < 300; ++round) {
        RandomBench b(r);
        const auto id = b.product_of(r, RandomBench::load(std::to_string(1 + r() % 20)));
        const auto figures = b.figures(b.model.products[id].blend);
        const auto f = b.formula(id);
        for (const auto& [basis, of] : ways) {
            const auto scale =
                LoadScale::make(b.model, b.model.products[id], figures, f.lines, basis, of);
            REQUIRE(scale);
            const double there = scale->from_ww(f.load_ww);
            CHECK(scale->to_ww(there) == Approx(f.load_ww).epsilon(1e-12));
            FormulaOptions options;
            options.load = RandomBench::load("1", basis, of);
            options.load->value = *rational_from_double(there);
            const auto g = b.formula(id, nullptr, options);
            REQUIRE(g.complete);
            CHECK(g.load_ww == Approx(f.load_ww).epsilon(1e-12));
        }
    }
}

TEST_CASE("drops on the sheet are the drops that were planned", "[property][formula]") {
    Random r(4);
    for (int round = 0; round < 300; ++round) {
        RandomBench b(r);
        Load load;
        load.kind = r() % 2 ? LoadKind::up_to_drops : LoadKind::between_drops;
        load.least_drops = 20;
        load.most_drops = 20 + static_cast<std::int64_t>(r() % 100);
        const auto id = b.product_of(r, load);
        b.model.products[id].content = {Rational(100), kVolume, {}};
        const auto f = b.formula(id);
        if (!f.complete) continue;
        REQUIRE(f.drop_plan);
        CHECK(f.drop_plan->total <= load.most_drops);
        CHECK(*f.drops_per_unit == Approx(static_cast<double>(f.drop_plan->total)).epsilon(1e-10));
        for (const auto& line : f.lines) {
            if (line.role == LineRole::blend)
                CHECK(*line.drops == Approx(static_cast<double>(*line.whole_drops)).epsilon(1e-10));
        }
    }
}
