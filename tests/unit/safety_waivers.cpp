// Waivers and assessments of a recipe. The limits are the test's own, so that what is expected is arithmetic.
#include <algorithm>
#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "base/date.h"
#include "formula/fingerprint.h"
#include "query/session.h"

using namespace scruple;

namespace {

/// One oil at `load` of body oil by weight, with rules of a house and of a town, and rows of the product's own.
std::unique_ptr<Compilation> waived(const std::string& load, const std::string& rows, const std::string& on = {},
                                    const std::string& more = {}) {
    CompileOptions options;
    options.on = on;
    return compile_text("a.scruple",
                        "workshop \"Room\" { rules house, town, older, guess }\n"
                        "rules house \"House\" { remark \"own\" }\n"
                        "rules older \"Older\" { remark \"own\" }\n"
                        "rules guess \"Guess\" { remark \"own\" }\n"
                        "rules town \"Town\" { source law \"Ordinance 12\" }\n"
                        "oil plain \"Plain\" {\n    density 0.9 g/ml\n    contains {\n        90 % known\n        1..2..3 % part_of_it\n    }\n}\n"
                        "substance known { cas \"64-17-5\" }\n"
                        "substance part_of_it { cas \"64-17-5\" }\n"
                        "limit plain under house { 1 % in skin }\n"
                        "limit plain under older { 2 % in skin }\n"
                        "limit part_of_it under house { 0.02 % in skin }\n"
                        "blend b {\n    by weight\n    1 part plain\n}\n" + more +
                        "product p {\n    blend b at " + load + " w/w\n    format body_oil of 100 ml\n    in jojoba\n" + rows + "}\n",
                        {}, options);
}

std::vector<std::string> codes(const Compilation& c) {
    std::vector<std::string> out;
    for (const auto& d : c.diagnostics) {
        const std::string name(code_info(d.code).name);
        if (name.starts_with("waiver") || name.starts_with("over_") || name == "outside_assessment") out.push_back(name);
    }
    std::sort(out.begin(), out.end());
    return out;
}

using Codes = std::vector<std::string>;
constexpr const char* kToTwo = "    accept over_limit plain under house to 1.5 % because \"asked for\"\n";

}  // namespace

TEST_CASE("A waiver holds up to its ceiling, and speaks up one part in a million above it") {
    CHECK(codes(*waived("1.4 %", "")) == Codes{"over_limit", "over_limit"});  // of the oil, and of its part
    CHECK(codes(*waived("1.5 %", kToTwo)) == Codes{"over_limit"});  // of the part; the oil itself is accepted
    const std::string part = "    accept over_limit part_of_it under house to 5 % because \"asked for\"\n";
    CHECK(codes(*waived("1.5 %", kToTwo + part)).empty());
    CHECK(waived("1.5 %", kToTwo + part)->judgements[0].verdict == Verdict::accepted);
    CHECK(codes(*waived("1.5000015 %", kToTwo + part)) == Codes{"over_limit"});
}

TEST_CASE("A waiver silences no second rule") {
    const std::string rows =
        "    accept over_limit plain under house to 5 % because \"asked for\"\n"
        "    accept over_limit part_of_it under house to 5 % because \"asked for\"\n";
    const auto c = waived("2.5 %", rows);
    CHECK(codes(*c) == Codes{"over_limit"});
    CHECK(codes(*waived("2.5 %", rows + "    accept over_limit plain under older to 5 % because \"asked for\"\n")).empty());
}

TEST_CASE("What is accepted at typical is not accepted at the top of the range above the ceiling") {
    // 1 % of the oil: 0.02 % of the part typically, which is its limit, and 0.03 % at most.
    CHECK(codes(*waived("1 %", "")) == Codes{"over_at_maximum"});
    const auto wrong = waived("1 %", "    accept over_limit part_of_it under house to 1 % because \"x\"\n");
    CHECK(codes(*wrong) == Codes{"over_at_maximum", "waiver_unused"});
    CHECK(codes(*waived("1 %", "    accept over_at_maximum part_of_it under house to 0.03 % because \"x\"\n")).empty());
    CHECK(codes(*waived("1 %", "    accept over_at_maximum part_of_it under house to 0.029 % because \"x\"\n")) ==
          Codes{"over_at_maximum"});
}

TEST_CASE("Law, what is prohibited, and what is not there can't be waived") {
    CHECK(codes(*waived("0.5 %", "    accept over_limit plain under town to 5 % because \"x\"\n",
                        {}, "limit plain under town { 0.1 % in skin }\n")) == Codes{"over_limit", "waiver_refused"});
    CHECK(codes(*waived("0.5 %", "    accept over_limit plain under guess to 5 % because \"x\"\n",
                        {}, "limit plain under guess { none in skin }\n")) == Codes{"waiver_refused"});
    CHECK(codes(*waived("0.5 %", "    accept over_limit rose_otto under house to 5 % because \"x\"\n")) == Codes{"waiver_unused"});
    CHECK(codes(*waived("0.5 %", "    accept over_limit plain under guess to 5 % because \"x\"\n")) == Codes{"waiver_unused"});
    CHECK(codes(*waived("0.5 %", "    accept over_limit plain under ifra_51 to 5 % because \"x\"\n")) == Codes{"waiver_unused"});
    CHECK(codes(*waived("0.5 %", kToTwo)) == Codes{"waiver_unused"});
    const std::string burns = "limit part_of_it under older {\n    effect phototoxic\n    0.001 % in skin\n}\n"
                              "limit plain under guess {\n    effect phototoxic\n    0.1 % in skin\n}\n";
    CHECK(codes(*waived("0.5 %", "    accept over_limit part_of_it under older to 5 % because \"x\"\n", {}, burns)) ==
          Codes{"over_limit", "waiver_refused"});
    CHECK(codes(*waived("0.5 %", "    accept over_limit plain under guess to 5 % because \"x\"\n", {}, burns)) ==
          Codes{"over_limit", "waiver_refused"});
    CHECK(codes(*waived("0.5 %", "    accept phototoxic_sum under house to 5 % because \"x\"\n")) == Codes{"waiver_refused"});
}

TEST_CASE("A waiver is good on its last day, and a month means its last day") {
    const std::string rows =
        "    accept over_limit plain under house to 5 % because \"x\" until 2027-02\n"
        "    accept over_limit part_of_it under house to 5 % because \"x\"\n";
    CHECK(codes(*waived("1.5 %", rows)).empty());
    CHECK(codes(*waived("1.5 %", rows, "2027-02-28")).empty());
    CHECK(codes(*waived("1.5 %", rows, "2027-03-01")) == Codes{"over_limit", "waiver_expired"});
    CHECK(months_after("2026-01-31", 1) == "2026-02-28");
    CHECK(months_after("2027-11-30", 3) == "2028-02-29");
    CHECK(months_after("2026-02", 12) == "2027-02-28");
    CHECK(months_after("9999-12-01", 1).empty());
    CHECK(is_after("2028-03-01", "2028-02"));
    CHECK_FALSE(is_after("2028-02-29", "2028-02"));
    CHECK_FALSE(is_after("2028-02", "2028-02-29"));
    CHECK(is_after("2028-02", "2028-02-28"));
}

TEST_CASE("The printed ceiling knows nothing of waivers") {
    const auto c = waived("1.5 %", kToTwo);
    CHECK(c->judgements[0].ceiling.load_ww == Approx(0.01).epsilon(1e-9));
}

TEST_CASE("A product that falls outside its assessment is told, and why") {
    const auto plain = waived("0.5 %", "");
    const std::string now = fingerprint(plain->model, plain->model.blends[plain->model.own_blends[0]]);
    const auto assessed = [&](const std::string& print, const std::string& rows) {
        return "assessed r \"R\" of b {\n    fingerprint \"" + print + "\"\n" + rows + "}\n";
    };
    const Codes outside{"outside_assessment"};
    CHECK(codes(*waived("0.5 %", "", {}, assessed(now, "    0.5 % in body_oil\n"))).empty());
    CHECK(codes(*waived("0.5000005 %", "", {}, assessed(now, "    0.5 % in body_oil\n"))) == outside);
    CHECK(codes(*waived("0.5 %", "", {}, assessed(now, "    0.5 % in roll_on\n"))) == outside);
    CHECK(codes(*waived("0.5 %", "", {}, assessed("0123456789abcdef", "    0.5 % in body_oil\n"))) == outside);
    const std::string ends = assessed(now, "    0.5 % in body_oil\n    until 2027-01\n");
    CHECK(codes(*waived("0.5 %", "", "2027-01-31", ends)).empty());
    CHECK(codes(*waived("0.5 %", "", "2027-02-01", ends)) == outside);
}
