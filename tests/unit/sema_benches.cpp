// Benches from their text: what is in the beaker, where blends and other benches start, who leads. Expected values are
// arithmetic by hand.
#include <catch2/catch.hpp>

#include "formula/bench.h"
#include "formula/fingerprint.h"
#include "query/session.h"

using namespace scruple;

namespace {

const std::string kShelf =
    "oil soft \"Soft\" { \n    density 0.8 g/ml\n    impact 2\n}\n"
    "oil loud \"Loud\" { \n    density 1 g/ml\n    impact 9\n    dropper 30 drops/ml\n}\n"
    "oil mild \"Mild\" { \n    density 0.9 g/ml\n    impact 3\n}\n"
    "oil blank \"Blank\" { density 0.9 g/ml }\n";

std::unique_ptr<Compilation> compiled(const std::string& text) { return compile_text("b.scruple", kShelf + text); }

const Bench& bench_of(const Compilation& c, std::string_view name) {
    for (const Bench& bench : c.model.benches) {
        if (bench.header.name == name) return bench;
    }
    throw std::runtime_error("no such bench");
}

const Blend& blend_of(const Compilation& c, std::string_view name) {
    for (const Blend& blend : c.model.blends) {
        if (blend.header.name == name) return blend;
    }
    throw std::runtime_error("no such blend");
}

std::string amounts(const BenchStep& step) {
    std::string out;
    for (const BeakerLine& line : step.lines) out += (out.empty() ? "" : " ") + line.amount.to_string();
    return out;
}

bool found(const Compilation& c, Code code) {
    return std::any_of(c.diagnostics.begin(), c.diagnostics.end(), [&](const Diagnostic& d) { return d.code == code; });
}

}  // namespace

TEST_CASE("the running table adds up row by row", "[bench]") {
    const auto c = compiled(
        "bench t {\n    strip soft, loud \"quarrel\"\n    add 2 drops soft, 1 drop mild\n    add 1 drop loud \"too much\"\n    mark m\n"
        "    add 2 drops soft\n    after 24 h \"calm\"\n}\n");
    CHECK(c->errors == 0);
    const BenchTable table = run_bench(c->model, bench_of(*c, "t"));
    REQUIRE(table.steps.size() == 3);
    CHECK(amounts(table.steps[0]) == "2 1");
    CHECK(amounts(table.steps[1]) == "2 1 1");
    CHECK(amounts(table.steps[2]) == "4 1 1");
    CHECK(table.steps[2].whole_ratio == std::vector<std::int64_t>{4, 1, 1});
    CHECK(table.steps[1].lines[0].share == Rational(Rational::Int{1}, Rational::Int{2}));
    CHECK(table.steps[1].lines[0].share_before == Rational(Rational::Int{2}, Rational::Int{3}));
    CHECK(table.steps[1].lines[2].share_before.is_zero());
    CHECK(table.steps[1].lines[2].added == Rational(1));
    // Odour: 4, 3 and 9 of 16.
    REQUIRE(table.steps[1].lead);
    CHECK(c->model.materials[table.steps[1].lead->material].header.name == "loud");
    CHECK(table.steps[1].lead->odour == Rational(Rational::Int{9}, Rational::Int{16}));
    CHECK(table.steps[1].lead->sticks_out);
    // 8, 3 and 9 of 20: it leads, and is within both marks.
    REQUIRE(table.steps[2].lead);
    CHECK_FALSE(table.steps[2].lead->sticks_out);
    // At the mark (row 3) stands what row 2 left.
    CHECK(table.at(3)->row == 2);
    CHECK(table.at(0) == nullptr);
}

TEST_CASE("nobody leads where an impact is not known, or where two lead alike", "[bench]") {
    const auto c = compiled("bench t {\n    add 3 drops soft, 2 drops mild\n    add 1 drop blank\n}\n");
    const BenchTable table = run_bench(c->model, bench_of(*c, "t"));
    REQUIRE(table.steps.size() == 2);
    CHECK(table.steps[0].odour_known);
    CHECK_FALSE(table.steps[0].lead);  // 6 and 6
    CHECK_FALSE(table.steps[1].odour_known);
    CHECK_FALSE(table.steps[1].lead);
}

TEST_CASE("a blend from a mark is the ratio written out", "[bench]") {
    const auto c = compiled(
        "bench t {\n    add 1 drop soft, 1 drop mild\n    add 1 drop loud\n    mark heavy\n    add 5 drops soft, 2 drops mild\n    mark right\n"
        "    add 9 drops loud\n}\n"
        "blend from_it from t at right { remark \"-\" }\n"
        "blend out {\n    3 drops mild\n    6 drops soft\n    1 drop loud\n}\n"
        "blend twice {\n    6 drops mild\n    12 drops soft\n    2 drops loud\n}\n"
        "variation less of from_it { set 3 drops soft }\n");
    CHECK(c->errors == 0);
    const std::string wanted = fingerprint(c->model, blend_of(*c, "out"));
    CHECK(fingerprint(c->model, blend_of(*c, "from_it")) == wanted);
    CHECK(fingerprint(c->model, blend_of(*c, "twice")) == wanted);
    const Bench& bench = bench_of(*c, "t");
    CHECK(fingerprint(c->model, blend_at(bench, *row_of_mark(bench, "right"))) == wanted);
    CHECK(blend_of(*c, "less").total == Rational(7));
}

TEST_CASE("an accord goes in as its oils", "[bench]") {
    const auto c = compiled(
        "blend pair {\n    3 drops soft\n    1 drop mild\n}\n"
        "bench t {\n    add 8 drops pair, 1 drop mild\n    mark m\n}\n"
        "blend b from t at m { remark \"-\" }\n");
    CHECK(c->errors == 0);
    const BenchTable table = run_bench(c->model, bench_of(*c, "t"));
    REQUIRE(table.steps.size() == 1);
    CHECK(amounts(table.steps[0]) == "6 3");
    CHECK(blend_of(*c, "b").total == Rational(9));
}

TEST_CASE("what is taken is a share, whatever it is counted in", "[bench]") {
    // Six drops at 20 to the ml and three at 30: 0.4 ml, which weigh 0.3 x 0.8 + 0.1 x 1 = 0.34 g.
    const std::string from = "bench t {\n    add 6 drops soft, 3 drops loud\n    mark m\n}\n";
    const auto share = [&](const std::string& taking) {
        const auto c = compiled(from + "bench u from t at m taking " + taking + " {\n    add 1 drop mild\n}\n");
        return c->errors > 0 ? std::string("error") : bench_of(*c, "u").start.share.to_string();
    };
    CHECK(share("1/3") == "1/3");
    CHECK(share("25 %") == "1/4");
    CHECK(share("3 drops") == "1/3");
    CHECK(share("0.1 ml") == "1/4");
    CHECK(share("0.17 g") == "1/2");
    CHECK(share("9 drops") == "1");
    CHECK(share("0.41 ml") == "error");
    CHECK(share("2 parts") == "error");
    CHECK(share("10 drops") == "error");
    CHECK(share("0 drops") == "error");
    CHECK(share("2") == "error");
    CHECK(share("-1/2") == "error");
    CHECK(share("120 %") == "error");
    CHECK(share("1 h") == "error");
}

TEST_CASE("weights go through density and dropper to drops", "[bench]") {
    const auto c = compiled("bench t {\n    add 0.4 g soft, 0.5 g loud\n}\n");
    const BenchTable table = run_bench(c->model, bench_of(*c, "t"));
    REQUIRE(table.steps.size() == 1);
    REQUIRE(table.steps[0].added.size() == 2);
    CHECK(*table.steps[0].added[0].drops == Rational(10));  // 0.5 ml at 20
    CHECK(*table.steps[0].added[1].drops == Rational(15));  // 0.5 ml at 30
    CHECK(table.steps[0].added[1].drops_per_ml == Rational(30));
}

TEST_CASE("splits come to the whole, and more than the whole can't be taken", "[bench]") {
    const std::string from = "bench t {\n    add 6 drops soft, 3 drops loud\n    mark m\n}\n";
    const auto good = compiled(from + "bench u from t at m taking 1/3 {\n}\nbench v from t at m taking 2/3 {\n}\n");
    CHECK(good->diagnostics.empty());
    const auto more = compiled(from + "bench u from t at m taking 1/3 {\n}\nbench v from t at m taking 7/10 {\n}\n");
    CHECK(found(*more, Code::taking_too_much));
    // Mixed again, nothing is poured, however often.
    const auto again = compiled(from + "bench u from t at m {\n}\nbench v from t at m {\n}\n");
    CHECK(again->diagnostics.empty());
}

TEST_CASE("a broken bench gives no table and no blend, and says it once", "[bench]") {
    const auto c = compiled("bench t {\n    add 1 drop soft\n    add 1 drop nowhere\n    mark m\n}\nblend b from t at m { remark \"-\" }\n"
                            "bench u from t at m {\n    add 1 drop soft\n}\n");
    CHECK(c->diagnostics.size() == 1);
    CHECK(run_bench(c->model, bench_of(*c, "t")).steps.empty());
    CHECK(run_bench(c->model, bench_of(*c, "u")).steps.empty());
    CHECK(blend_of(*c, "b").header.broken);
}

TEST_CASE("a row that is only tried is a log with one row more", "[bench]") {
    const auto c = compiled("bench t {\n    add 2 drops soft\n    mark m\n}\n");
    Bench tried = bench_of(*c, "t");
    BenchRow row;
    BenchEntry entry;
    entry.amounts.push_back({tried.rows[0].entries[0].amounts[0].material, Rational(3)});
    row.entries.push_back(entry);
    tried.rows.push_back(row);
    CHECK(run_bench(c->model, tried).last()->total == Rational(5));
    CHECK(run_bench(c->model, bench_of(*c, "t")).last()->total == Rational(2));
}

TEST_CASE("sums that are too fine to count are an error, never a table that is short", "[bench]") {
    std::string rows;
    for (const char* big : {"999999999989", "999999999961", "999999999959", "999999999937"}) rows += std::string("    add 1/") + big + " ml soft\n";
    const auto c = compiled("bench t {\n" + rows + "}\n");
    CHECK(found(*c, Code::number_overflow));
    CHECK(run_bench(c->model, bench_of(*c, "t")).steps.empty());
}

TEST_CASE("the drops to add are of the very beaker", "[bench]") {
    const auto c = compiled("bench t {\n    add 20 drops loud, 10 drops soft, 10 drops mild\n}\n");
    const Balance balance = balance_in_beaker(c->model, bench_of(*c, "t"), 0);
    REQUIRE(balance.leader);
    REQUIRE(balance.raise);
    CHECK(balance.raise->beaker == 40);
    // Loud has 180 of 230: to come to half, 130 are missing, which are 44 drops of mild at 3.
    CHECK(balance.raise->drops == 44);
}
