// Advice against trying everything: for random blends of up to five oils no other ratio of up to 24 parts that the engine
// passes is nearer, and the one that is suggested passes. The distance is worked out here anew.
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <numeric>
#include <random>

#include "advice/whole_parts.h"
#include "unit/safety_stillroom.h"

namespace scruple::test {
namespace {

struct AdviceRoom : Stillroom {
    std::vector<MaterialId> oils;

    AdviceRoom() {
        substance_limit(citral, "0.6", handbook, read, {skin});
        substance_limit(linalool, "1.4", handbook, read, {skin});
        substance_limit(linalool, "0.9", derived, worked_out, {fine});
        oils = {bergamot, lemon, lime, lavender, lemongrass, litsea};
    }

    AdviceTask task(const LimitTable& limits, ProductId id, bool typical = false) const {
        return advice_task(model, limits, model.products[id], typical);
    }

    ProductId random(std::mt19937& dice, std::size_t count, Measure measure, Load load) {
        std::vector<MaterialId> mixed = oils;
        for (std::size_t i = mixed.size(); i-- > 1;) std::swap(mixed[i], mixed[dice() % (i + 1)]);
        std::vector<std::pair<MaterialId, std::string>> lines;
        for (std::size_t i = 0; i < count; ++i) lines.emplace_back(mixed[i], std::to_string(1 + dice() % 9));
        return product(blend(measure, std::move(lines)), roll_on, "10", kVolume, load, phase({rest(jojoba)}));
    }
};

std::vector<double> weights_of(const Model& model, const Blend& blend) {
    std::vector<double> out;
    for (const auto& line : blend.lines) {
        out.push_back(blend.measure == Measure::mass ? 1 : model.materials[line.material].density->g_per_ml.typical);
    }
    return out;
}

std::vector<double> shares(const std::vector<double>& weights, const std::vector<std::int64_t>& parts) {
    std::vector<double> out(parts.size());
    double sum = 0;
    for (std::size_t i = 0; i < parts.size(); ++i) sum += out[i] = weights[i] * static_cast<double>(parts[i]);
    for (double& x : out) x /= sum;
    return out;
}

double apart(const std::vector<double>& a, const std::vector<double>& b) {
    double sum = 0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += std::fabs(a[i] - b[i]);
    return sum;
}

bool engine_passes(const Model& model, const LimitTable& limits, const Product& product, const std::vector<std::int64_t>& parts) {
    Blend blend = model.blends[product.blend];
    for (std::size_t i = 0; i < parts.size(); ++i) blend.lines[i].amount = Rational(parts[i]);
    std::erase_if(blend.lines, [](const BlendLine& line) { return line.amount.sign() <= 0; });
    Bag said;
    const BlendFigures figures = work_out(model, blend, said);
    const Formula formula = work_out(model, product, figures, said);
    const Judgement judgement = judge(model, limits, product, figures, formula, {}, said);
    if (!formula.complete) return false;
    for (const Check& check : judgement.checks) {
        if (check.verdict != Verdict::passes) return false;
    }
    return true;
}

void every_ratio(std::size_t count, std::int64_t most, const std::function<void(const std::vector<std::int64_t>&)>& take) {
    std::vector<std::int64_t> parts(count);
    const std::function<void(std::size_t, std::int64_t)> fill = [&](std::size_t at, std::int64_t left) {
        if (at == count) return take(parts);
        for (std::int64_t p = 0; p <= left; ++p) {
            parts[at] = p;
            fill(at + 1, left - p);
        }
        parts[at] = 0;
    };
    fill(0, most);
}

/// Checks one product; gives whether there was something to mend.
bool prove(const AdviceRoom& room, const LimitTable& limits, ProductId id) {
    const Product& product = room.model.products[id];
    const AdviceTask task = room.task(limits, id);
    const ShareRows rows = share_rows(task);
    REQUIRE(rows.state == ShareRows::State::linear);
    const Nearest nearest = nearest_shares(rows);
    if (nearest.state == Nearest::State::there) {
        CHECK(try_blend(task, task.blend).within(task));
        return false;
    }
    const auto weights = weights_of(room.model, task.blend);
    const std::vector<double>& now = rows.now;
    WholeParts found;
    const bool drops = in_drops(product.load);
    if (nearest.state == Nearest::State::found || drops) {
        found = nearest_parts(task, rows, nearest.shares.empty() ? now : nearest.shares);
    }
    if (found.found) {
        CHECK(engine_passes(room.model, limits, product, found.parts));
        CHECK(apart(now, shares(weights, found.parts)) == Approx(found.distance).margin(1e-12));
        // No whole ratio is nearer than the ratio without steps, at a load that is the same for all.
        if (!drops) CHECK(found.distance >= nearest.distance - 1e-9);
        CHECK(found.all_tried);
    }
    every_ratio(now.size(), kAllParts, [&](const std::vector<std::int64_t>& parts) {
        const auto total = std::accumulate(parts.begin(), parts.end(), std::int64_t{0});
        if (total == 0) return;
        const auto there = shares(weights, parts);
        const double away = apart(now, there);
        if (found.found && away > found.distance + 1e-12) return;
        std::int64_t common = 0;
        for (const auto p : parts) common = std::gcd(common, p);
        if (common != 1 || !engine_passes(room.model, limits, product, parts)) return;
        INFO("a ratio of " << total << " parts is at " << away);
        REQUIRE(found.found);  // nothing may pass where no ratio was found
        REQUIRE(away >= found.distance - 1e-12);
        // As near: no fewer oils changed, and then no fewer parts.
        int changed = 0;
        for (std::size_t i = 0; i < there.size(); ++i) changed += std::fabs(there[i] - now[i]) > kSameShare;
        REQUIRE(changed >= found.changed);
        if (changed == found.changed) REQUIRE(total >= found.total);
    });
    return true;
}

}  // namespace

TEST_CASE("no ratio of up to 24 parts that passes is nearer than the suggested one") {
    std::mt19937 dice(20260502);
    AdviceRoom room;
    std::vector<ProductId> products;
    for (int i = 0; i < 24; ++i) {
        const std::size_t count = i < 8 ? 2 : i < 16 ? 3 : i < 22 ? 4 : 5;
        const Measure measure = dice() % 2 ? Measure::mass : Measure::volume;
        const auto load = ModelBuilder::load(std::to_string(1 + dice() % 6), i % 3 == 2 ? Basis::vv : Basis::ww);
        products.push_back(room.random(dice, count, measure, load));
    }
    const LimitTable limits(room.model);
    int mended = 0;
    for (const ProductId id : products) mended += prove(room, limits, id);
    CHECK(mended > 12);
}

TEST_CASE("loads in drops, whose share of the product jumps from ratio to ratio") {
    std::mt19937 dice(7);
    AdviceRoom room;
    std::vector<ProductId> products;
    for (int i = 0; i < 4; ++i) {
        Load load;
        load.kind = LoadKind::up_to_drops;
        load.most_drops = 9 + static_cast<std::int64_t>(dice() % 8);
        products.push_back(room.random(dice, 3, Measure::drops, load));
        // One drop is as much of each oil as of any other here, so parts are volumes.
        room.model.blends[room.model.products[products.back()].blend].counted = Dim::drop;
    }
    const LimitTable limits(room.model);
    for (const ProductId id : products) prove(room, limits, id);
}

TEST_CASE("the rows say of every ratio what the engine says") {
    std::mt19937 dice(11);
    AdviceRoom room;
    const Load loads[] = {ModelBuilder::load("2"), ModelBuilder::load("3", Basis::vv), ModelBuilder::load("2.5", Basis::wv),
                          ModelBuilder::load("2", Basis::ww, Of::base)};
    std::vector<ProductId> products;
    for (int i = 0; i < 12; ++i) products.push_back(room.random(dice, 4, i % 2 ? Measure::mass : Measure::volume, loads[i % 4]));
    // What the base brings counts, and thins out as the blend grows.
    for (int i = 0; i < 4; ++i) {
        room.model.products[products[static_cast<std::size_t>(i)]].own_base =
            ModelBuilder::phase({ModelBuilder::share(room.lavender, "0.5"), ModelBuilder::rest(room.jojoba)});
    }
    const LimitTable limits(room.model);
    int within = 0, over = 0;
    for (const ProductId id : products) {
        for (const bool typical : {false, true}) {
            const AdviceTask task = room.task(limits, id, typical);
            const ShareRows rows = share_rows(task);
            REQUIRE(rows.state == ShareRows::State::linear);
            const auto weights = part_weights(task);
            for (int trial = 0; trial < 60; ++trial) {
                std::vector<Rational> amounts;
                std::vector<double> parts;
                for (std::size_t i = 0; i < rows.now.size(); ++i) {
                    const auto p = static_cast<std::int64_t>(dice() % 12);
                    amounts.emplace_back(p);
                    parts.push_back(static_cast<double>(p));
                }
                if (std::accumulate(parts.begin(), parts.end(), 0.0) == 0) continue;
                const bool by_rows = keeps_within(rows, shares_of(weights, parts));
                const bool by_engine = try_amounts(task, amounts).within(task);
                CHECK(by_rows == by_engine);
                ++(by_engine ? within : over);
            }
        }
    }
    CHECK(within > 50);
    CHECK(over > 100);
}

TEST_CASE("the largest load of any ratio passes, and none of the ratios takes a hundredth more") {
    std::mt19937 dice(3);
    AdviceRoom room;
    std::vector<ProductId> products;
    for (int i = 0; i < 6; ++i) products.push_back(room.random(dice, 3, Measure::mass, ModelBuilder::load("20")));
    const LimitTable limits(room.model);
    for (const ProductId id : products) {
        AdviceTask task = room.task(limits, id);
        const MostLoad most = most_load(share_rows(task));
        REQUIRE(most.found);
        const auto at = [&](double load, const std::vector<std::int64_t>& parts) {
            task.product.load.value = *rational_from_double(load);
            std::vector<Rational> amounts(parts.begin(), parts.end());
            return try_amounts(task, amounts).within(task);
        };
        std::vector<std::int64_t> parts;
        for (const double s : most.shares) parts.push_back(std::llround(s * 1e6));
        CHECK(at(most.load_ww * 0.9999, parts));
        every_ratio(3, kAllParts, [&](const std::vector<std::int64_t>& some) {
            if (some[0] + some[1] + some[2] != kAllParts) return;
            CHECK_FALSE(at(most.load_ww * 1.0001, some));
        });
    }
}

}  // namespace scruple::test
