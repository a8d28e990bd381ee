// Whom a product is for: the audience that holds, what is ruled out for it, and usual dilutions. The figures are those of the
// library's sources as they are quoted: Tisserand & Young, Essential Oil Safety, 2nd ed. 2014, by age (0 to 3 months none, to
// 24 months 0.5 %, 2 to 6 years 2 %, 6 to 15 years 3 %, from 15 years 5 %), and stricter lists beside it (1 % from 2 to 6
// years, 1 % in pregnancy). What a load comes to is arithmetic.
#include <algorithm>
#include <catch2/catch.hpp>

#include "num/decimal.h"
#include "query/session.h"

using namespace scruple;

namespace {

/// One product of lavender with something, in body oil by weight.
std::unique_ptr<Compilation> made(const std::string& load, const std::string& audience, const std::string& oil = "mandarin_red",
                                  const std::string& format = "body_oil of 100 ml", const std::string& more = {},
                                  bool sheets = true) {
    CompileOptions options;
    options.keep_figures = sheets;
    return compile_text("a.scruple",
                        more + "blend b {\n    by weight\n    1 part " + oil + "\n    3 parts lavender\n}\nproduct p {\n    blend b at " +
                            load + "\n    format " + format + "\n    in jojoba\n" +
                            (audience.empty() ? "" : "    audience " + audience + "\n") + "}\n",
                        {}, options);
}

std::size_t count(const Compilation& c, Code code) {
    return static_cast<std::size_t>(
        std::count_if(c.diagnostics.begin(), c.diagnostics.end(), [&](const Diagnostic& d) { return d.code == code; }));
}

const PeopleJudgement& people(const Compilation& c) {
    REQUIRE(c.people.size() == 1);
    return c.people[0];
}

std::vector<std::string> named(const Compilation& c) {
    std::vector<std::string> out;
    for (const auto a : people(c).audience) out.emplace_back(c.model.audiences[a].header.name);
    return out;
}

bool said(const Compilation& c, std::string_view caution) {
    return std::any_of(people(c).cautions.begin(), people(c).cautions.end(),
                       [&](const PersonalCaution& p) { return p.caution->header.name == caution; });
}

}  // namespace

TEST_CASE("the narrowest audience holds") {
    const std::string workshop = "workshop \"W\" {\n    audience pregnancy\n}\n";
    CHECK(named(*made("1 %", "", "mandarin_red", "body_oil of 100 ml", workshop)) == std::vector<std::string>{"pregnancy"});
    CHECK(named(*made("1 %", "cats, dogs", "mandarin_red", "body_oil of 100 ml", workshop)) ==
          std::vector<std::string>{"cats", "dogs"});
    const auto line = compile_text("a.scruple", workshop +
                                                    "blend b { 1 part lavender }\nline l of b {\n    audience asthma\n"
                                                    "    2 body_oil of 50 ml at 1 % in jojoba\n"
                                                    "    2 body_oil of 90 ml at 1 % in jojoba {\n        audience epilepsy\n    }\n}\n");
    REQUIRE(line->people.size() == 2);
    CHECK(line->model.audiences[line->people[0].audience.at(0)].header.name == "asthma");
    CHECK(line->model.audiences[line->people[1].audience.at(0)].header.name == "epilepsy");
}

TEST_CASE("where nobody is named the sheet is read for those who are assumed, and nothing is reported") {
    const auto c = made("4 %", "", "peppermint");
    CHECK_FALSE(people(*c).named);
    CHECK(named(*c) == std::vector<std::string>{"adults"});
    CHECK(people(*c).over);  // 3 % for body oil
    CHECK(count(*c, Code::over_guide) == 0);
    CHECK(count(*c, Code::advised_against) == 0);
    CHECK(said(*c, "peppermint_infants"));
}

TEST_CASE("audiences overlap where they have an age in common") {
    const auto c = made("1 %", "children");
    const auto id = [&](std::string_view name) {
        for (AudienceId a = 0; a < c->model.audiences.size(); ++a) {
            if (c->model.audiences[a].header.name == name) return a;
        }
        FAIL("no audience " << name);
        return kNone;
    };
    CHECK(overlaps(c->model, id("children"), id("children_under_6")));
    CHECK(overlaps(c->model, id("children_under_10"), id("infants_0_3_months")));
    CHECK(overlaps(c->model, id("children_6_15"), id("children_under_10")));
    CHECK_FALSE(overlaps(c->model, id("children"), id("infants")));
    CHECK_FALSE(overlaps(c->model, id("children_under_6"), id("children_6_15")));
    CHECK_FALSE(overlaps(c->model, id("adults"), id("pregnancy")));
}

TEST_CASE("the strictest usual dilution counts, and exactly at it passes") {
    // Adults' body oil: the purpose's 3 %, not the general 2 %.
    for (const auto& [audience, at, above] :
         {std::tuple{"children_2_6", "1 %", "1.01 %"}, std::tuple{"children_10_15", "3 %", "3.01 %"},
          std::tuple{"children_6_10", "1 %", "1.01 %"}, std::tuple{"children", "1 %", "1.01 %"},
          std::tuple{"pregnancy", "1 %", "1.01 %"}, std::tuple{"infants_3_24_months", "0.3 %", "0.301 %"},
          std::tuple{"adults", "3 %", "3.01 %"}, std::tuple{"adults, pregnancy", "1 %", "1.01 %"}}) {
        INFO(audience);
        const auto good = made(at, audience);
        CHECK(count(*good, Code::over_guide) == 0);
        CHECK_FALSE(people(*good).over);
        CHECK(people(*good).ceiling.state == Ceiling::State::bound);
CHECK(parse_number(people(*good).ceiling.text).value == parse_number(std::string(at).substr(0, std::string(at).find(' '))).value);
        CHECK(count(*made(above, audience), Code::over_guide) == 1);
    }
}

TEST_CASE("under three months it is none at all") {
    const auto c = made("0.001 %", "infants_0_3_months");
    CHECK(people(*c).usual.row->none);
    CHECK(people(*c).over);
    CHECK(people(*c).ceiling.text == "0");
    CHECK(count(*c, Code::over_guide) == 1);
    CHECK(count(*made("0.001 %", "infants"), Code::over_guide) == 1);
}

TEST_CASE("a usual dilution speaks of the oil in a dilution, and of what stays on skin only") {
    const std::string tenth = "oil tenth \"Tenth\" like lavender { diluted 10 % in jojoba }\n";
    // A quarter of the blend is the dilution: 0.775 of a load is oil.
    const auto c = made("2 %", "children_2_6", "tenth", "body_oil of 100 ml", tenth);
    CHECK(people(*c).strength == Approx(0.02 * 0.775));
    CHECK_FALSE(people(*made("5 %", "children_2_6", "mandarin_red", "candle_soy of 100 g")).guided);
    CHECK_FALSE(people(*made("2 %", "children_2_6", "mandarin_red", "bath_oil of 100 ml")).guided);
}

TEST_CASE("an oil that law keeps from people is an error, what a source rules out is a warning, one an oil") {
    const auto law = made("0.2 %", "children_2_6", "wintergreen");
    CHECK(count(*law, Code::not_for_audience) == 1);
    CHECK(count(*law, Code::advised_against) == 0);
    CHECK(law->judgements.at(0).verdict == Verdict::fails);
    const auto advice = made("0.5 %", "pregnancy", "myrrh");
    CHECK(count(*advice, Code::not_for_audience) == 0);
    CHECK(count(*advice, Code::advised_against) == 1);
    CHECK(advice->judgements.at(0).verdict == Verdict::warns);
    // The EU's law is no law in the US: advice.
    const auto us = made("0.2 %", "children_2_6", "wintergreen", "body_oil of 100 ml", "workshop \"W\" {\n    market us\n}\n");
    CHECK(count(*us, Code::not_for_audience) == 0);
    CHECK(count(*us, Code::advised_against) == 1);
    // Not for those whom it does not concern.
    CHECK(count(*made("0.2 %", "adults", "wintergreen"), Code::not_for_audience) == 0);
}

TEST_CASE("a maker's own bottle, and what an oil holds, call for a caution too") {
    const auto own = made("0.2 %", "children_2_6", "mine", "body_oil of 100 ml", "oil mine \"Mine\" like wintergreen { impact 3 }\n");
    CHECK(count(*own, Code::not_for_audience) == 1);
    const std::string leaf = "oil leaf \"Leaf\" {\n    density 0.9 g/ml\n    contains {\n        30..35..40 % cineole_1_8\n    }\n}\n";
    CHECK(said(*made("0.2 %", "", "leaf", "body_oil of 100 ml", leaf), "cineole_rich_under_10"));
    const std::string less = "oil leaf \"Leaf\" {\n    density 0.9 g/ml\n    contains {\n        30..35..39.9 % cineole_1_8\n    }\n}\n";
    CHECK_FALSE(said(*made("0.2 %", "", "leaf", "body_oil of 100 ml", less), "cineole_rich_under_10"));
}

TEST_CASE("a check finds of people what a build finds, and reads nothing of them where nobody is named") {
    for (const auto* audience : {"", "adults", "children_2_6", "pregnancy, cats"}) {
        INFO(audience);
        const auto build = made("2 %", audience, "peppermint");
        const auto check = made("2 %", audience, "peppermint", "body_oil of 100 ml", "", false);
        REQUIRE(build->diagnostics.size() == check->diagnostics.size());
        for (std::size_t i = 0; i < build->diagnostics.size(); ++i) {
            CHECK(build->diagnostics[i].message == check->diagnostics[i].message);
            CHECK(build->diagnostics[i].notes == check->diagnostics[i].notes);
        }
        CHECK(check->model.cautions.empty() == (std::string(audience).empty() || std::string(audience) == "adults"));
        CHECK(check->model.guides.empty() == std::string(audience).empty());
    }
}

TEST_CASE("what can hurt most comes first, and those meant before all others") {
    const auto c = made("0.5 %", "cats", "peppermint");
    const auto& cautions = people(*c).cautions;
    REQUIRE(cautions.size() > 3);
    CHECK(cautions.front().meant);
    bool others = false;
    int rank = 0;
    for (const auto& p : cautions) {
        if (!p.meant && !others) {
            others = true;
            rank = 0;
        }
        CHECK(p.meant != others);
        CHECK(p.caution->rank >= rank);
        rank = p.caution->rank;
    }
}

TEST_CASE("cautions and guides of a maker's own need no book") {
    const auto c = made("1 %", "night_shift", "mandarin_red", "body_oil of 100 ml",
                        "audience night_shift \"people on night shift\" {\n}\ncaution wakes \"Wakes up.\" {\n    audience night_shift\n"
                        "    oils mandarin_red\n    advice avoid\n}\nguide night \"people on night shift\" {\n"
                        "    audience night_shift\n    0.8 %\n}\n");
    CHECK(count(*c, Code::advised_against) == 1);
    CHECK(count(*c, Code::over_guide) == 1);
    REQUIRE(people(*c).usual.row);
    CHECK(c->model.standing(people(*c).usual.row->source) == Standing::practice);
}
