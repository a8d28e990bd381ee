// Laws of a bench, on random logs (fixed seeds): how a log is cut into rows changes nothing of what is in the beaker, nothing
// ever goes out of it, and shares and odour come to the whole.
#include <catch2/catch.hpp>

#include <map>
#include <random>

#include "formula/bench.h"
#include "formula/fingerprint.h"
#include "unit/model_builder.h"

using namespace scruple;
using namespace scruple::test;

namespace {

struct RandomTrial : ModelBuilder {
    std::vector<MaterialId> oils;

    explicit RandomTrial(std::mt19937_64& r) {
        for (int i = 0; i < 6; ++i) {
            oils.push_back(oil("oil_" + std::to_string(i), 0.8 + 0.05 * i));
            model.materials[oils.back()].impact = 1 + static_cast<int>(r() % 10);
        }
    }
    BenchRow row(std::mt19937_64& r) const {
        BenchRow out;
        const std::size_t count = 1 + r() % 3;
        for (std::size_t i = 0; i < count; ++i) {
            BenchEntry entry;
            const auto parts = static_cast<long long>(1 + r() % 40);
            const auto of = static_cast<long long>(1 + r() % 6);
            entry.amounts.push_back({oils[r() % oils.size()], Rational(parts) / Rational(of)});
            out.entries.push_back(std::move(entry));
        }
        return out;
    }
    Bench bench(std::mt19937_64& r) const {
        Bench out;
        static constexpr Dim kUnits[] = {Dim::drop, Dim::part, Dim::volume, Dim::mass};
        out.unit = kUnits[r() % 4];
        const std::size_t rows = 1 + r() % 12;
        for (std::size_t i = 0; i < rows; ++i) out.rows.push_back(row(r));
        return out;
    }
};

std::map<MaterialId, Rational> as_map(const Beaker& beaker) {
    std::map<MaterialId, Rational> out;
    for (const BenchAmount& one : beaker.amounts()) out[one.material] = one.amount;
    return out;
}

}  // namespace

TEST_CASE("after every row shares and odour come to the whole, and nothing goes out", "[property][bench]") {
    std::mt19937_64 r(1);
    for (int round = 0; round < 300; ++round) {
        RandomTrial trial(r);
        const Bench bench = trial.bench(r);
        const BenchTable table = run_bench(trial.model, bench);
        REQUIRE(table.steps.size() == bench.rows.size());
        std::map<MaterialId, Rational> before;
        for (const BenchStep& step : table.steps) {
            Rational shares, odours, added, total;
            for (const BeakerLine& line : step.lines) {
                shares += line.share;
                odours += *line.odour;
                added += line.added;
                total += line.amount;
                CHECK(line.amount == before[line.material] + line.added);
                before[line.material] = line.amount;
            }
            CHECK(shares == Rational(1));
            CHECK(odours == Rational(1));
            CHECK(total == step.total);
            CHECK(added.sign() > 0);
            if (step.lead) {
                for (const BeakerLine& line : step.lines) CHECK((line.material == step.lead->material || *line.odour < step.lead->odour));
            }
        }
        CHECK(as_map(in_beaker(bench, bench.rows.size())) == before);
    }
}

TEST_CASE("how a log is cut into rows, and in which order, leaves the same in the beaker", "[property][bench]") {
    std::mt19937_64 r(2);
    for (int round = 0; round < 300; ++round) {
        RandomTrial trial(r);
        const Bench bench = trial.bench(r);
        Bench single = bench;   // an oil a row
        single.rows.clear();
        for (const BenchRow& row : bench.rows) {
            for (const BenchEntry& entry : row.entries) {
                single.rows.emplace_back();
                single.rows.back().entries.push_back(entry);
            }
        }
        Bench turned = single;
        std::shuffle(turned.rows.begin(), turned.rows.end(), r);
        const std::size_t all = single.rows.size();
        CHECK(as_map(in_beaker(bench, all)) == as_map(in_beaker(single, all)));
        CHECK(as_map(in_beaker(bench, all)) == as_map(in_beaker(turned, all)));
        const auto print = fingerprint(trial.model, blend_at(bench, bench.rows.size() - 1));
        CHECK(print == fingerprint(trial.model, blend_at(turned, all - 1)));
    }
}

TEST_CASE("what goes on from a part of a beaker has its ratio", "[property][bench]") {
    std::mt19937_64 r(3);
    for (int round = 0; round < 300; ++round) {
        RandomTrial trial(r);
        const Bench bench = trial.bench(r);
        Bench part;
        part.unit = bench.unit;
        const Rational share = Rational(static_cast<long long>(1 + r() % 7)) / Rational(8);
        const Beaker poured = in_beaker(bench, bench.rows.size());
        for (BenchAmount one : poured.amounts()) {
            one.amount *= share;
            part.start.amounts.push_back(one);
        }
        CHECK(fingerprint(trial.model, blend_at(part, kStart)) == fingerprint(trial.model, blend_at(bench, bench.rows.size() - 1)));
        const BenchTable table = run_bench(trial.model, part);
        REQUIRE(table.steps.size() == 1);
        CHECK(table.steps[0].row == kStart);
        CHECK(table.steps[0].added.empty());
    }
}

TEST_CASE("raising everything but the leader lowers the leader", "[property][bench]") {
    // Common practice, no source.
    std::mt19937_64 r(4);
    int seen = 0;
    for (int round = 0; round < 300; ++round) {
        RandomTrial trial(r);
        Bench bench = trial.bench(r);
        const BenchStep before = run_bench(trial.model, bench).steps.back();
        if (!before.lead || before.lines.size() < 2) continue;
        ++seen;
        BenchRow raise;
        for (const BeakerLine& line : before.lines) {
            if (line.material == before.lead->material) continue;
            BenchEntry entry;
            entry.amounts.push_back({line.material, Rational(static_cast<long long>(1 + r() % 5))});
            raise.entries.push_back(std::move(entry));
        }
        bench.rows.push_back(raise);
        const BenchStep after = run_bench(trial.model, bench).steps.back();
        for (const BeakerLine& line : after.lines) {
            if (line.material != before.lead->material) continue;
            CHECK(line.share < line.share_before);
            CHECK(*line.odour < before.lead->odour);
        }
    }
    CHECK(seen > 100);
}
