// Laws of judging, on random blends, bases and limits (a fixed seed). Every ceiling is pasted back
// as a load and the whole product recomputed.
#include <catch2/catch.hpp>

#include <random>

#include "unit/safety_stillroom.h"

using namespace scruple;
using namespace scruple::test;

namespace {

using Random = std::mt19937_64;

double pick(Random& r, double low, double high) {
    return low + (high - low) * (static_cast<double>(r() >> 11) * 0x1p-53);
}
std::string decimal(Random& r, double low, double high, int decimals) {
    return format_fixed(pick(r, low, high), decimals);
}

/// Some oils with random compositions and limits, and bases of random shape, some with the
/// substance in them.
struct RandomStillroom : Stillroom {
    std::vector<MaterialId> oils;
    MaterialId scented, plain_water;

    explicit RandomStillroom(Random& r) {
        const auto third = substance("third");
        for (int i = 0; i < 6; ++i) {
            const double a = pick(r, 0, 60), b = pick(r, 0, 30);
            std::vector<Part> parts = {{linalool, a * 0.7, a, a * pick(r, 1, 1.5)},
                                       {citral, b * 0.5, b, b * pick(r, 1, 1.3)}};
            if (i % 2) parts.push_back({third, 0, 0.5, pick(r, 0.5, 4)});
            oils.push_back(oil("oil_" + std::to_string(i), pick(r, 0.83, 1.08), parts));
        }
        oils.push_back(bergamot);
        oils.push_back(lemon);
        scented = carrier("scented_oil", 0.91, "fixed_oil");
        contains(scented, {{linalool, 0, pick(r, 0, 0.2), pick(r, 0.2, 0.4)}});
        plain_water = carrier("plain_water", 1, "water");
        substance_limit(linalool, decimal(r, 0.05, 2, 3), handbook, read, {skin});
        substance_limit(citral, decimal(r, 0.05, 1, 3), handbook, recalled, {fine});
        substance_limit(citral, decimal(r, 0.01, 0.2, 3), derived, worked_out, {fine});
        substance_limit(third, decimal(r, 0.001, 0.05, 4), law, read, {skin});
        row(limit_of_material(oils[0], handbook), decimal(r, 0.1, 3, 2), {skin},
            Effect::sensitisation, read);
    }

    BlendId some_blend(Random& r) {
        std::vector<std::pair<MaterialId, std::string>> lines;
        for (const auto id : oils) {
            if (r() % 2) lines.emplace_back(id, std::to_string(1 + r() % 12));
        }
        if (lines.empty()) lines.emplace_back(oils[1], "1");
        const Measure measures[] = {Measure::volume, Measure::mass, Measure::drops};
        return blend(measures[r() % 3], std::move(lines));
    }
    std::vector<BasePhase> some_base(Random& r) {
        switch (r() % 4) {
            case 0: return phase({rest(jojoba)});
            case 1: return phase({share(wax, "25", Of::total), rest(scented)});
            case 2:
                return phase({share(scented, "40"), share(wax, "5", Of::total), rest(plain_water)});
            default: return phase({share(jojoba, "70"), share(scented, "30")});
        }
    }
};

struct Way {
    Basis basis;
    Of of;
};
constexpr Way kWays[] = {{Basis::ww, Of::total}, {Basis::ww, Of::base},  {Basis::ww, Of::fats},
                         {Basis::ww, Of::wax},   {Basis::vv, Of::total}, {Basis::wv, Of::total}};

/// Verdict of the product with the printed percentage pasted in as its load.
Judgement pasted(ModelBuilder& m, const LimitTable& table, Product product, const Ceiling& ceiling,
                 const Rational& load) {
    product.load = Load{};
    product.load.value = load;
    product.load.basis = ceiling.basis;
    product.load.of = ceiling.of;
    Bag bag;
    const auto blend = work_out(m.model, m.model.blends[product.blend], bag);
    const auto formula = work_out(m.model, product, blend, bag);
    REQUIRE(formula.complete);
    return judge(m.model, table, product, blend, formula, {}, bag);
}

}  // namespace

TEST_CASE("a printed ceiling passes when pasted back, and one unit of its last place more fails",
          "[property][safety]") {
    Random r(20260502);
    int bound = 0, careful = 0, over = 0;
    for (int round = 0; round < 1500; ++round) {
        RandomStillroom s(r);
        const LimitTable table(s.model);
        const Way way = kWays[r() % 6];
        const auto dimension = r() % 2 ? kMass : kVolume;
        const auto mix = s.some_blend(r);
        auto load = Stillroom::load(decimal(r, 0.1, 20, 2), way.basis, way.of);
        if (r() % 5 == 0) {  // loads that are no percentage speak in the format's basis
            load = Load{};
            load.kind = r() % 2 ? LoadKind::up_to_drops : LoadKind::volume;
            load.most_drops = 40 + static_cast<std::int64_t>(r() % 200);
            load.value = number(decimal(r, 0.1, 3, 2));
            s.model.formats[s.roll_on].load_basis = way.basis;
            s.model.formats[s.roll_on].load_of = way.of;
        }
        const auto id = s.product(mix, s.roll_on, "100", dimension, load, s.some_base(r));
        const Product& product = s.model.products[id];
        Bag bag;
        const auto blend = s.figures(mix);
        const auto formula = work_out(s.model, product, blend, bag);
        if (!formula.complete) continue;
        const auto judged = judge(s.model, table, product, blend, formula, {}, bag);

        for (const bool is_careful : {false, true}) {
            const Ceiling& c = is_careful ? judged.careful : judged.ceiling;
            if (c.state == Ceiling::State::over_without_blend) {
                ++over;
                continue;
            }
            if (c.state != Ceiling::State::bound) continue;
            (is_careful ? careful : bound) += 1;
            const Rational load_now = percent(c.text);
            CHECK(load_now.to_double() == c.in_basis);
            Rational unit(1);
            for (int i = 0; i < c.decimals + 2; ++i) unit /= Rational(10);
            const auto ok = [&](const Judgement& j) {
                return is_careful ? j.verdict == Verdict::passes || j.verdict == Verdict::unknown
                                  : j.verdict != Verdict::fails;
            };
            CHECK(ok(pasted(s, table, product, c, load_now)));
            CHECK_FALSE(ok(pasted(s, table, product, c, load_now + unit)));
        }
        if (judged.ceiling.state == Ceiling::State::bound &&
            judged.careful.state == Ceiling::State::bound) {
            CHECK(judged.careful.in_basis <= judged.ceiling.in_basis);
        }
    }
    // The test means something only if all kinds came up.
    CHECK(bound > 300);
    CHECK(careful > 300);
    CHECK(over > 10);
}

TEST_CASE("with every other oil's finished share kept, adding an oil never lowers a use",
          "[property][safety]") {
    Random r(77);
    for (int round = 0; round < 400; ++round) {
        RandomStillroom s(r);
        std::vector<std::pair<MaterialId, std::string>> oils;
        for (const auto id : s.oils) {
            if (r() % 2) oils.emplace_back(id, decimal(r, 0.01, 1, 3));
        }
        if (oils.empty()) continue;
        const MaterialId added = s.oils[r() % s.oils.size()];
        const auto before = s.judged(s.finished(oils));
        oils.emplace_back(added, decimal(r, 0.01, 1, 3));
        const auto after = s.judged(s.finished(oils));
        for (const auto& b : before.checks) {
            bool found = false;
            for (const auto& a : after.checks) {
                if (a.kind != b.kind || a.substance != b.substance || a.material != b.material ||
                    a.row != b.row)
                    continue;
                found = true;
                CHECK(a.used >= b.used * (1 - 1e-12));
                CHECK(a.used_at_maximum >= b.used_at_maximum * (1 - 1e-12));
            }
            CHECK(found);
        }
        CHECK(static_cast<int>(after.verdict) >= static_cast<int>(before.verdict));
    }
}

TEST_CASE("judging agrees with a plain sum over lines, limits and categories",
          "[property][safety]") {
    Random r(4242);
    for (int round = 0; round < 300; ++round) {
        RandomStillroom s(r);
        const auto mix = s.some_blend(
            r);  // one draw after the other, whatever the compiler's order of arguments
        const auto load = Stillroom::load(decimal(r, 0.1, 15, 2));
        const auto id = s.product(mix, s.roll_on, "50", kMass, load, s.some_base(r));
        const auto formula = s.formula(id);
        if (!formula.complete) continue;
        const auto judged = s.judged(id);
        for (const auto sub : {s.linalool, s.citral}) {
            double typical = 0, high = 0;
            for (const auto& line : formula.lines) {
                for (const auto& c : s.model.materials[line.material].contains) {
                    if (c.substance != sub) continue;
                    typical += line.mass_g / formula.batch_mass_g * c.fraction.typical;
                    high += line.mass_g / formula.batch_mass_g * c.fraction.high;
                }
            }
            bool any = false;
            for (const auto& check : judged.checks) {
                if (check.substance != sub) continue;
                any = true;
                CHECK(check.actual == Approx(typical).epsilon(1e-10).margin(1e-18));
                CHECK(check.actual_at_maximum == Approx(high).epsilon(1e-10).margin(1e-18));
                CHECK(check.used == Approx(typical / check.limit).epsilon(1e-10).margin(1e-18));
            }
            CHECK(any == (high > 0));
        }
    }
}
