// Laws of costs, on random products and price lists (fixed seeds): lines add up, batches scale, currencies convert both
// ways, and what is missing only ever makes a sum an `at least`.
#include <catch2/catch.hpp>

#include <algorithm>
#include <random>

#include "trade/cost.h"
#include "unit/model_builder.h"

using namespace scruple;
using namespace scruple::test;

namespace {

using PriceRandom = std::mt19937_64;

std::string some_money(PriceRandom& r) {
    const auto whole = 1 + r() % 900;
    const auto cents = 10 + r() % 90;
    return std::to_string(whole) + "." + std::to_string(cents);
}

/// Oils and carriers, a price for each, and a product of them.
struct PricedBench : ModelBuilder {
    std::vector<MaterialId> oils;
    BlendId mix = kNone;
    ProductId made = kNone;

    explicit PricedBench(PriceRandom& r) {
        model.workshop.currency = "EUR";
        model.workshop.labour = Money{number(some_money(r)), "EUR", {}};
        if (r() % 2) model.workshop.overhead = percent(std::to_string(1 + r() % 40));
        model.workshop.wholesale = number("2");
        PriceList list;
        list.dated = "2026-01-01";
        model.price_lists.push_back(list);
        for (int i = 0; i < 5; ++i) {
            oils.push_back(oil("oil_" + std::to_string(i), 0.8 + 0.04 * static_cast<double>(r() % 8)));
            price(oils.back(), r);
        }
        const auto fixed = carrier("fixed", 0.92), wax = carrier("wax", 0.96, "wax");
        price(fixed, r);
        price(wax, r);
        std::vector<std::pair<MaterialId, std::string>> lines;
        const std::size_t count = 1 + r() % oils.size();
        for (std::size_t i = 0; i < count; ++i) lines.emplace_back(oils[i], std::to_string(1 + r() % 20));
        mix = blend(r() % 2 ? Measure::volume : Measure::mass, std::move(lines));
        const auto size = std::to_string(1 + r() % 500), at = std::to_string(1 + r() % 20), waxed = std::to_string(1 + r() % 40);
        made = product(mix, format("any", Contact::none, kNone), size, r() % 2 ? kMass : kVolume, load(at),
                       phase({share(wax, waxed), rest(fixed)}));
        Product& p = model.products[made];
        if (r() % 2) {
            p.unit_hours = number("1") / number(std::to_string(1 + r() % 60));
        } else {
            p.batch_hours = number("3/4");
        }
    }
    Cost cost(std::int64_t units) {
        FormulaOptions options;
        options.units = units;
        const Formula made_of = formula(made, nullptr, options);
        REQUIRE(made_of.complete);
        return cost_of(model, PriceBook(model, ""), model.products[made], made_of, units);
    }
    BlendCost blend_cost() { return cost_of(model, PriceBook(model, ""), figures(mix)); }

private:
    void price(MaterialId id, PriceRandom& r) {
        PriceRow row;
        row.material = id;
        row.pack = number(std::to_string(1 + r() % 200));
        row.measure = r() % 2 ? Dim::mass : Dim::volume;
        row.money = Money{number(some_money(r)), "EUR", {}};
        model.prices.push_back(std::move(row));
    }
};

}  // namespace

TEST_CASE("the lines, work and overhead of a batch add up to it", "[property][trade]") {
    PriceRandom r(31);
    for (int round = 0; round < 300; ++round) {
        PricedBench b(r);
        const Cost cost = b.cost(1 + static_cast<std::int64_t>(r() % 60));
        REQUIRE(cost.complete);
        double lines = 0, grams = 0;
        for (const CostLine& line : cost.lines) {
            lines += line.money.value();
            grams += line.role == LineRole::blend ? line.amount : 0;
        }
        CHECK(lines == Approx(cost.blend + cost.base + cost.packaging).epsilon(1e-12));
        CHECK(cost.batch == Approx(lines + cost.labour.value() + cost.overhead.value_or(0)).epsilon(1e-12));
        CHECK(cost.unit() * static_cast<double>(cost.units) == Approx(cost.batch).epsilon(1e-12));
        // The blend by itself and the blend in the batch cost the same by the gram.
        CHECK(cost.blend == Approx(grams * b.blend_cost().per_g.value()).epsilon(1e-9));
    }
}

TEST_CASE("more of it costs as many times more, but for work that is done once", "[property][trade]") {
    PriceRandom r(32);
    for (int round = 0; round < 200; ++round) {
        PricedBench b(r);
        const auto times = static_cast<std::int64_t>(2 + r() % 9);
        const Cost one = b.cost(1), many = b.cost(times);
        const auto n = static_cast<double>(times);
        CHECK(many.blend == Approx(one.blend * n).epsilon(1e-9));
        CHECK(many.base == Approx(one.base * n).epsilon(1e-9));
        const bool once = b.model.products[b.made].batch_hours.has_value();
        CHECK(many.labour.value() == Approx(one.labour.value() * (once ? 1 : n)).epsilon(1e-9));
    }
}

TEST_CASE("a blend costs no less than its cheapest oil and no more than its dearest", "[property][trade]") {
    PriceRandom r(33);
    for (int round = 0; round < 300; ++round) {
        PricedBench b(r);
        const BlendCost cost = b.blend_cost();
        double least = 1e300, most = 0, shares = 0;
        for (const auto& line : cost.lines) {
            least = std::min(least, line.price.money.value());
            most = std::max(most, line.price.money.value());
            shares += line.share.value();
        }
        CHECK(cost.per_g.value() >= least * (1 - 1e-9));
        CHECK(cost.per_g.value() <= most * (1 + 1e-9));
        CHECK(shares == Approx(1).epsilon(1e-12));
    }
}

TEST_CASE("a rate takes money there and back without loss, and leads nowhere else", "[property][trade]") {
    PriceRandom r(34);
    for (int round = 0; round < 300; ++round) {
        PricedBench b(r);
        ExchangeRate rate;
        rate.from = "USD";
        rate.to = "EUR";
        rate.value = number(some_money(r));
        rate.dated = "2026-01-01";
        b.model.rates.push_back(rate);
        const Rational dollars = number(some_money(r));
        const auto euros = PriceBook(b.model, "").exchange(Money{dollars, "USD", {}});
        REQUIRE(euros.has_value());
        b.model.workshop.currency = "USD";
        const PriceBook in_dollars(b.model, "");
        const auto back = in_dollars.exchange(Money{*euros, "EUR", {}});
        REQUIRE(back.has_value());
        CHECK(*back == dollars);
        CHECK_FALSE(in_dollars.exchange(Money{*euros, "CHF", {}}).has_value());
    }
}

TEST_CASE("without one of its prices a batch costs less, and says at least", "[property][trade]") {
    PriceRandom r(35);
    for (int round = 0; round < 200; ++round) {
        PricedBench b(r);
        const Cost all = b.cost(3);
        const BlendCost whole = b.blend_cost();
        CHECK(all.wholesale.has_value());
        CHECK(whole.at_least_per_g.value() == Approx(whole.per_g.value()).epsilon(1e-12));
        // The first oil is in every blend. Its price is gone, or in a currency that no rate leads from.
        if (r() % 2) {
            b.model.prices.erase(b.model.prices.begin());
        } else {
            b.model.prices.front().money.currency = "GBP";
        }
        const Cost some = b.cost(3);
        const BlendCost part = b.blend_cost();
        CHECK_FALSE(some.complete);
        CHECK(some.batch < all.batch);
        CHECK_FALSE(some.wholesale.has_value());
        CHECK_FALSE(part.per_g.has_value());
        CHECK(part.at_least_per_g.value_or(0) < whole.per_g.value());
        for (const CostLine& line : some.lines) {
            if (line.role == LineRole::blend && line.id == b.oils[0]) CHECK_FALSE(line.money.has_value());
        }
    }
}
