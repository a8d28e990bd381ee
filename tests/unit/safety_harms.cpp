// Sums over one harm. The worked case is that of nutmeg: 0.8 % of an oil with 3.3 % of safrole and 1.2 % of methyl eugenol, whose
// limits are 0.05 and 0.02 %, comes to 1.0 (figures from memory of Tisserand & Young, Essential Oil Safety, 2nd ed. 2014). The
// test has them under rules of its own.
#include <algorithm>
#include <catch2/catch.hpp>
#include <string>

#include "query/session.h"

using namespace scruple;

namespace {

std::unique_ptr<Compilation> summed(const std::string& load, const std::string& how) {
    return compile_text("a.scruple",
                        "workshop \"Room\" {\n    rules house\n    harms " + how + "\n}\n"
                        "rules house \"House\" { remark \"own\" }\n"
                        "substance one { cas \"94-59-7\" }\nsubstance two { cas \"93-15-2\" }\n"
                        "limit one under house { 0.05 % in skin }\nlimit two under house { 0.02 % in skin }\n"
                        "harm growths \"growths\" { substances one, two }\n"
                        "oil nut {\n    density 0.9 g/ml\n    contains {\n        1..3.3..4 % one\n        1.2 % two\n        95 % alpha_pinene\n    }\n}\n"
                        "blend b {\n    by weight\n    1 part nut\n}\n"
                        "product p {\n    blend b at " + load + " w/w\n    format body_oil of 100 ml\n    in jojoba\n}\n");
}

const Check* sum_of(const Compilation& c) {
    REQUIRE(c.judgements.size() == 1);
    const auto& checks = c.judgements[0].checks;
    const auto at = std::find_if(checks.begin(), checks.end(), [](const Check& check) { return check.kind == CheckKind::harm; });
    return at == checks.end() ? nullptr : &*at;
}

}  // namespace

TEST_CASE("Shares of the limits of one harm are added up where the workshop sums them") {
    const auto c = summed("0.8 %", "summed");
    const Check* sum = sum_of(*c);
    REQUIRE(sum);
    CHECK(sum->used == Approx(0.008 * (0.033 / 0.0005 + 0.012 / 0.0002)).epsilon(1e-12));
    CHECK(sum->used == Approx(1.008));
    CHECK(sum->used_at_maximum == Approx(0.008 * (0.04 / 0.0005 + 0.012 / 0.0002)).epsilon(1e-12));
    CHECK(sum->verdict == Verdict::warns);
    CHECK(sum->harm_parts.size() == 2);
    // It binds the careful ceiling, and never the published one.
    CHECK(c->judgements[0].careful.load_ww == Approx(1 / (0.04 / 0.0005 + 0.012 / 0.0002)).epsilon(1e-7));
    CHECK(c->judgements[0].ceiling.load_ww == Approx(0.0005 / 0.033).epsilon(1e-9));
}

TEST_CASE("Exactly the whole of the limits of one harm passes, and a millionth more does not") {
    const auto verdict = [](const std::string& load) { return sum_of(*summed(load, "summed"))->verdict; };
    // 1 / (0.04 / 0.0005 + 0.012 / 0.0002) = 1 / 140
    CHECK(verdict("0.7142857142857142857 %") == Verdict::passes);
    CHECK(verdict("0.714286428571 %") == Verdict::warns);
}

TEST_CASE("Without the workshop's word harms stay apart") { CHECK(sum_of(*summed("0.8 %", "apart")) == nullptr); }
