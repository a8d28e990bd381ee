// What a gram, a piece and a batch cost. Sums here are worked out by hand in the comments; `tests/outside/costing.py` holds
// generated ones against another program.
#include <catch2/catch.hpp>

#include <string>

#include "query/session.h"

namespace scruple {
namespace {

const std::string kBench =
    "workshop \"W\" {\n    currency EUR\n    dropper 20 drops/ml\n}\n"
    "oil fir_like \"Fir\" {\n    density 0.8 g/ml\n}\n"
    "ingredient carrier \"Carrier\" {\n    role fixed_oil\n    density 0.9 g/ml\n}\n"
    "blend b { 1 part fir_like }\n";

std::unique_ptr<Compilation> priced(const std::string& text, const std::string& on = "") {
    CompileOptions options;
    options.on = on;
    return compile_text("priced.scruple", kBench + text, {}, options);
}

double gram(const Compilation& c) {
    REQUIRE(c.blend_costs.at(0).per_g.has_value());
    return *c.blend_costs[0].per_g;
}

bool has(const Compilation& c, Code code) {
    for (const auto& d : c.diagnostics) {
        if (d.code == code) return true;
    }
    return false;
}

const std::string kProduct =
    "container jar \"Jar\" { brim 120 ml }\n"
    "product p {\n    blend b at 10 %\n    format body_oil of 100 ml\n    in carrier\n    container jar\n    make 10\n    extra 0 %\n";

}  // namespace

TEST_CASE("a pack's price becomes a gram's and a drop's through density and dropper") {
    // 10 ml weigh 8 g and cost 4.00: 0.50 a gram; a drop is 1/20 ml, 0.04 g.
    const auto c = priced("prices \"S\" on 2026-01-01 { 10 ml fir_like for 4 EUR }\n");
    CHECK(gram(*c) == Approx(0.5).epsilon(1e-12));
    CHECK(*c->blend_costs[0].lines[0].per_drop == Approx(0.02).epsilon(1e-12));
    CHECK(*c->blend_costs[0].per_ml == Approx(0.4).epsilon(1e-12));
}

TEST_CASE("the newest price counts, of one day the dearest, and with a day none that comes later") {
    const std::string lists =
        "prices \"S\" on 2025-01-01 { 10 g fir_like for 90 EUR }\n"
        "prices \"S\" on 2026-01-01 {\n    10 g fir_like for 4 EUR\n    100 g fir_like for 30 EUR\n}\n";
    CHECK(gram(*priced(lists)) == Approx(0.4));
    CHECK(gram(*priced(lists, "2025-06-01")) == Approx(9));
    CHECK_FALSE(priced(lists, "2024-06-01")->blend_costs[0].per_g.has_value());
}

TEST_CASE("currencies meet through a rate only, in either direction") {
    const std::string price = "prices \"S\" on 2026-01-01 { 10 g fir_like for 5 USD }\n";
    CHECK_FALSE(priced(price)->blend_costs[0].per_g.has_value());
    CHECK(gram(*priced(price + "rate 1 USD = 0.9 EUR on 2026-01-01\n")) == Approx(0.45));
    CHECK(gram(*priced(price + "rate 2 EUR = 2.5 USD on 2026-01-01\n")) == Approx(0.4));
    // The newer of two; two rates are never joined.
    CHECK(gram(*priced(price + "rate 1 USD = 0.9 EUR on 2026-01-01\nrate 1 USD = 0.8 EUR on 2026-02-01\n")) == Approx(0.4));
    CHECK_FALSE(priced(price + "rate 1 USD = 0.8 GBP on 2026-01-01\nrate 1 GBP = 1.2 EUR on 2026-01-01\n")
                    ->blend_costs[0].per_g.has_value());
}

TEST_CASE("a dilution without a price costs what it is made of") {
    const auto c = compile_text("d.scruple", kBench +
        "oil weak like fir_like { diluted 10 % in carrier }\nblend w { 1 part weak }\n"
        "prices \"S\" on 2026-01-01 {\n    10 g fir_like for 50 EUR\n    100 g carrier for 10 EUR\n}\n");
    // 0.1 x 5.00 + 0.9 x 0.10
    for (BlendId b = 0; b < c->model.blends.size(); ++b) {
        if (c->model.blends[b].header.name == "w") CHECK(*c->blend_costs[b].per_g == Approx(0.59));
    }
}

TEST_CASE("a batch costs its lines, its packaging, its work and its overhead; what is missing is not nothing") {
    const std::string prices =
        "prices \"S\" on 2026-01-01 {\n    100 g fir_like for 50 EUR\n    1 kg carrier for 20 EUR\n    10 each jar for 8 EUR\n}\n";
    const auto c = priced(kProduct + "}\n" + prices);
    const Cost& cost = c->costs.at(0);
    const Formula& f = c->formulas.at(0);
    REQUIRE(f.complete);
    CHECK(cost.complete);
    CHECK(cost.packaging == Approx(8));
    CHECK(cost.blend == Approx(f.batch_mass_g * 0.1 * 0.5));
    CHECK(cost.base == Approx(f.batch_mass_g * 0.9 * 0.02));
    CHECK(cost.batch == Approx(cost.blend + cost.base + 8));
    CHECK_FALSE(has(*c, Code::no_price));

    const auto lacking = priced(kProduct + "}\nprices \"S\" on 2026-01-01 { 100 g fir_like for 50 EUR }\n");
    CHECK_FALSE(lacking->costs.at(0).complete);
    CHECK(lacking->costs.at(0).batch == Approx(lacking->costs.at(0).blend));
    CHECK(has(*lacking, Code::no_price));
}

TEST_CASE("exactly at the budget passes, and a little over it does not") {
    // 10 jars for 8.00 are all that costs something.
    const std::string prices =
        "prices \"S\" on 2026-01-01 {\n    100 g fir_like for 0 EUR\n    1 kg carrier for 0 EUR\n    10 each jar for 8 EUR\n}\n";
    CHECK_FALSE(has(*priced(kProduct + "    budget 0.80 EUR\n}\n" + prices), Code::over_budget));
    CHECK(has(*priced(kProduct + "    budget 0.7999992 EUR\n}\n" + prices), Code::over_budget));
}

TEST_CASE("a price is old the day after its months are over") {
    const std::string text = kProduct + "}\nprices \"S\" on 2025-04-01 {\n    100 g fir_like for 50 EUR\n    1 kg carrier for 20 EUR\n    10 each jar for 8 EUR\n}\n";
    CHECK_FALSE(has(*priced(text), Code::stale_price));
    CHECK_FALSE(has(*priced(text, "2026-04-01"), Code::stale_price));
    CHECK(has(*priced(text, "2026-04-02"), Code::stale_price));
}

TEST_CASE("a base with a price is taken as bought ready-made") {
    const std::string base = "base tub \"Tub\" {\n    100 % carrier\n}\n";
    const std::string prices =
        "prices \"S\" on 2026-01-01 {\n    100 g fir_like for 50 EUR\n    1 kg tub for 30 EUR\n}\n";
    const auto c = priced(base + "product p {\n    blend b at 10 %\n    format body_oil of 100 ml\n    in tub\n    make 10\n    extra 0 %\n}\n" + prices);
    CHECK(c->costs.at(0).complete);
    CHECK(c->costs[0].base == Approx(c->formulas.at(0).batch_mass_g * 0.9 * 0.03));
}

}  // namespace scruple
