// Lots: what a certificate states stands in its oil's place, and nothing else does. What is expected is arithmetic on the
// library's own figures. Published figures: peroxide values of 20 mmol/l (limonene) and 10 mmol/l (Pinaceae) are Annex III
// of Regulation (EC) 1223/2009, entries 88 and 109 to 122; total bergapten of 15 ppm in place of the sum of the oils' shares
// is the furocoumarin rule of the IFRA Standards, quoted on raw-material sheets.
#include <fmt/core.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <map>
#include <string>

#include "num/decimal.h"
#include "query/session.h"

using namespace scruple;

namespace {

struct Recipe {
    std::string lots = {};         // declarations
    std::string rows = {};         // of the blend, by weight
    std::string load = "1 %";
    std::string names = {};        // after `lots`; none if empty
    std::string format = "body_oil of 100 ml";
    std::string in = "jojoba";
    std::string on = {};
};

std::unique_ptr<Compilation> made(const Recipe& r) {
    CompileOptions options;
    options.on = r.on;
    const std::string names = r.names.empty() ? "" : "    lots " + r.names + "\n";
    return compile_text("a.scruple", r.lots + "blend b {\n    by weight\n" + r.rows + "}\nproduct p {\n    blend b at " + r.load +
                                         " w/w\n    format " + r.format + "\n    in " + r.in + "\n" + names + "}\n", {}, options);
}

const Judgement& judged(const Compilation& c) {
    REQUIRE(c.judgements.size() == 1);
    return c.judgements[0];
}

bool lot_says(const Compilation& c, Code code) {
    return std::any_of(c.diagnostics.begin(), c.diagnostics.end(), [&](const Diagnostic& d) { return d.code == code; });
}

const Check* check_on(const Compilation& c, std::string_view subject, std::string_view rules = {}) {
    for (const auto& check : judged(c).checks) {
        if (check.substance != kNone && c.model.substances[check.substance].header.name == subject &&
            (rules.empty() || (check.from && c.model.rule_sets[check.from->rules].header.name == rules))) {
            return &check;
        }
    }
    return nullptr;
}

bool sums_light(const Compilation& c) {
    const auto& checks = judged(c).checks;
    return std::any_of(checks.begin(), checks.end(), [](const Check& k) { return k.kind == CheckKind::phototoxic; });
}

const Material& oil_named(const Compilation& c, std::string_view name) {
    const auto at = std::find_if(c.model.materials.begin(), c.model.materials.end(),
                                 [&](const Material& m) { return m.header.name == name && m.lot == kNone; });
    REQUIRE(at != c.model.materials.end());
    return *at;
}

/// A lot that states the library's own rows of an oil. `figure` turns a row's range into what the certificate says.
template <class Figure>
std::string copied(const Compilation& c, const std::string& oil, const std::string& number, Figure figure) {
    std::string text = "lot \"" + number + "\" of " + oil + " {\n    contains {\n";
    for (const auto& part : oil_named(c, oil).contains) {
        if (part.source == kNone && !part.span.known()) continue;  // totals that are worked out
        text += "        " + figure(part.fraction) + " " + std::string(c.model.substances[part.substance].header.name) + "\n";
    }
    return text + "    }\n}\n";
}

std::string percent(double fraction) { return format_significant(fraction * 100, 17) + " %"; }

const char* const kOils[] = {"lavender", "lemongrass", "clove_bud", "bergamot_expressed", "rose_otto", "orange_sweet", "ylang_ylang_complete"};

}  // namespace

TEST_CASE("A lot's density and dropper weigh and count the product") {
    const std::string lots = "lot \"L\" of lavender {\n    density 0.89 g/ml at 20 C\n    dropper 30 drops/ml\n}\n";
    const auto c = made({lots, "    1 part lavender\n    1 part clary_sage\n", "1 %", "\"L\""});
    const auto without = made({lots, "    1 part lavender\n    1 part clary_sage\n"});
    REQUIRE(c->errors == 0);
    const auto line = [&](const Compilation& x) {
        for (const auto& l : x.formulas[0].lines) {
            if (x.model.materials[l.material].header.name == "lavender") return l;
        }
        return FormulaLine{};
    };
    CHECK(line(*c).density == Approx(0.89));
    CHECK(*line(*c).drops == Approx(line(*c).mass_g / 0.89 * 30));
    CHECK(line(*c).fraction == Approx(line(*without).fraction));  // counted by weight
    CHECK(c->model.materials[line(*c).material].lot == 0);
    CHECK(line(*without).density == Approx(oil_named(*without, "lavender").density->g_per_ml.typical));
}

TEST_CASE("A certificate that repeats the library's typical figures gives the same typical findings") {
    for (const std::string oil : kOils) {
        INFO(oil);
        const std::string rows = "    1 part " + oil + "\n    3 parts cedarwood_atlas\n";
        const auto plain = made({"", rows});
        const auto c = made({copied(*plain, oil, "L", [](const Range& r) { return percent(r.typical); }), rows, "1 %", "\"L\""});
        std::map<std::pair<const std::string, std::string>, double> by_rule;
        REQUIRE(judged(*plain).checks.size() > 0);
        for (const auto& k : judged(*plain).checks) {
            if (k.substance == kNone) continue;
            by_rule[{std::string(plain->model.substances[k.substance].header.name),
                     std::string(plain->model.rule_sets[k.from->rules].header.name) + (k.soft ? " soft" : "")}] = k.actual;
        }
        std::size_t seen = 0;
        for (const auto& k : judged(*c).checks) {
            if (k.substance == kNone) continue;
            const auto at = by_rule.find({std::string(c->model.substances[k.substance].header.name),
                                          std::string(c->model.rule_sets[k.from->rules].header.name) + (k.soft ? " soft" : "")});
            if (at == by_rule.end()) continue;  // of bergapten, whose rule differs where it is measured
            INFO(at->first.first);
            CHECK(k.actual == Approx(at->second).epsilon(1e-9));
            CHECK(k.actual_at_maximum >= k.actual * (1 - 1e-12));
            ++seen;
        }
        CHECK(seen + 1 >= by_rule.size());
    }
}

TEST_CASE("A certificate with lower figures never raises a finding at the top of the ranges") {
    for (const std::string oil : kOils) {
        const std::string rows = "    1 part " + oil + "\n    3 parts cedarwood_atlas\n";
        const auto plain = made({"", rows});
        for (const double down : {0.99, 0.6, 0.1}) {
            const auto c = made({copied(*plain, oil, "L", [&](const Range& r) { return "up to " + percent(r.high * down); }), rows, "1 %", "\"L\""});
            for (const auto& k : judged(*c).checks) {
                if (k.substance == kNone) continue;
                const auto name = c->model.substances[k.substance].header.name;
                double most = 0;
                for (const auto& other : judged(*plain).checks) {
                    if (other.substance != kNone && plain->model.substances[other.substance].header.name == name) most = other.actual_at_maximum;
                }
                INFO(oil << " " << name << " " << down);
                if (most > 0) CHECK(k.actual_at_maximum <= most * (1 + 1e-9));
            }
        }
    }
}

TEST_CASE("A row that the certificate leaves out keeps the oil's range") {
    const std::string rows = "    1 part lemongrass\n    1 part lavender\n";
    const auto plain = made({"", rows});
    const auto some = made({"lot \"L\" of lemongrass {\n    contains {\n        2 % myrcene\n    }\n}\n", rows, "1 %", "\"L\""});
    const auto only = made({"lot \"L\" of lemongrass {\n    contains only {\n        2 % myrcene\n    }\n}\n", rows, "1 %", "\"L\""});
    REQUIRE(check_on(*plain, "citral"));
    CHECK(check_on(*some, "citral")->actual == Approx(check_on(*plain, "citral")->actual));
    CHECK(check_on(*some, "citral")->actual_at_maximum == Approx(check_on(*plain, "citral")->actual_at_maximum));
    CHECK(check_on(*some, "citral")->decided_by != DecidedBy::lot);
    // 98 % of it is not known then, and no sheet says that it passes.
    const auto& unknowns = judged(*only).unknowns;
    const auto lot = std::find_if(unknowns.begin(), unknowns.end(), [&](const Unknown& u) { return only->model.materials[u.material].lot == 0; });
    REQUIRE(lot != unknowns.end());
    CHECK(lot->unknown_fraction == Approx(0.98));
    CHECK(judged(*only).verdict == Verdict::unknown);
}

TEST_CASE("A total that was found bounds its parts; the oil's own total stays until all its parts are found") {
    const std::string rows = "    1 part lemongrass\n    1 part lavender\n";
    const auto lot = [&](const std::string& contains) {
        return made({"lot \"L\" of lemongrass {\n    contains {\n" + contains + "    }\n}\n", rows, "1 %", "\"L\""});
    };
    const auto total = lot("        60 % citral\n");
    CHECK(check_on(*total, "citral")->actual == Approx(0.005 * 0.60 + 0));
    CHECK(check_on(*total, "citral")->actual_at_maximum == Approx(0.005 * 0.60));
    CHECK(check_on(*total, "citral")->decided_by == DecidedBy::lot);
    const auto& analysed = total->model.materials[total->model.lots[0].material];
    for (const auto& part : analysed.contains) {
        if (total->model.substances[part.substance].header.name == "geranial") CHECK(part.fraction.high <= 0.60);
    }
    const auto both = lot("        30 % geranial\n        25 % neral\n");
    CHECK(check_on(*both, "citral")->actual_at_maximum == Approx(0.005 * 0.55));
    CHECK(check_on(*both, "citral")->decided_by == DecidedBy::lot);
    const auto one = lot("        30 % geranial\n");
    CHECK(check_on(*one, "citral")->actual_at_maximum > 0.005 * 0.55);
    CHECK(check_on(*one, "citral")->decided_by != DecidedBy::lot);
}

TEST_CASE("A lot counts as its oil") {
    const auto c = made({"lot \"L\" of bergamot_expressed {\n    opened 2026-01\n}\n", "    1 part bergamot_expressed\n", "0.5 %", "\"L\""});
    CHECK(lot_says(*c, Code::phototoxic_sum));
}

TEST_CASE("A lot of a dilution speaks of the oil before it was dissolved") {
    const std::string oil = "oil tenth \"Tenth\" like lemongrass { diluted 10 % in jojoba }\n";
    const auto c = made({oil + "lot \"L\" of tenth {\n    density 0.87 g/ml\n    contains {\n        60 % citral\n    }\n}\n",
                         "    1 part tenth\n    1 part lavender\n", "2 %", "\"L\""});
    CHECK(check_on(*c, "citral")->actual_at_maximum == Approx(0.01 * 0.1 * 0.60));
    const auto& lot = c->model.materials[c->model.lots[0].material];
    CHECK(lot.density->g_per_ml.typical == Approx(0.87));
    // A lot of the oil itself is no lot of its dilution.
    const auto neat = made({oil + "lot \"L\" of lemongrass {\n    opened 2026-01\n}\n", "    1 part tenth\n", "2 %", "\"L\""});
    CHECK(lot_says(*neat, Code::lot_not_held));
}

TEST_CASE("Peroxides: exactly at the limit passes, above it fails, and not stated is said") {
    const auto of = [&](const std::string& oil, const std::string& peroxide, const std::string& format = "body_oil of 100 ml") {
        const std::string row = peroxide.empty() ? "opened 2026-01" : "peroxide " + peroxide + " mmol/l";
        Recipe r{"lot \"L\" of " + oil + " {\n    " + row + "\n}\n", "    1 part " + oil + "\n", "0.5 %", "\"L\"", format};
        if (format != "body_oil of 100 ml") r.in = "soy_wax_container";
        return made(r);
    };
    const auto state = [&](const Compilation& c) {
        REQUIRE(judged(c).lots.size() == 1);
        return judged(c).lots[0].peroxide;
    };
    CHECK(state(*of("orange_sweet", "20")) == LotState::Peroxide::within);
    CHECK_FALSE(lot_says(*of("orange_sweet", "20"), Code::over_peroxide));
    const auto over = of("orange_sweet", "20.01");
    CHECK(lot_says(*over, Code::over_peroxide));
    CHECK(judged(*over).verdict == Verdict::fails);
    CHECK(judged(*over).decided_by == DecidedBy::lot);
    CHECK(state(*of("orange_sweet", "")) == LotState::Peroxide::not_stated);
    CHECK(judged(*of("orange_sweet", "")).verdict == judged(*of("orange_sweet", "3")).verdict);
    // Pinaceae by name, and half as much.
    CHECK(state(*of("pine_scots", "10")) == LotState::Peroxide::within);
    CHECK(state(*of("pine_scots", "10.01")) == LotState::Peroxide::over);
    CHECK(state(*of("ho_wood", "21")) == LotState::Peroxide::over);
    CHECK(state(*of("vetiver", "50")) == LotState::Peroxide::no_rule);
    // Nobody's skin meets a candle.
    CHECK(state(*of("orange_sweet", "50", "candle_soy of 100 g")) == LotState::Peroxide::no_rule);
}

TEST_CASE("Dates are judged where a date is given, and by the end of a month") {
    const std::string lots = "lot \"L\" of orange_sweet {\n    opened 2026-01-31\n    best_before 2027-02\n}\n";
    const auto on = [&](const std::string& date) { return made({lots, "    1 part orange_sweet\n", "0.5 %", "\"L\"", "body_oil of 100 ml", "jojoba", date}); };
    CHECK_FALSE(lot_says(*on(""), Code::lot_past_date));
    CHECK_FALSE(lot_says(*on("2027-01-31"), Code::lot_past_date));  // the library keeps it for 12 months
    const auto open = on("2027-02-01");
    CHECK(lot_says(*open, Code::lot_past_date));
    CHECK(judged(*open).lots[0].past_opened);
    CHECK_FALSE(judged(*open).lots[0].past_best_before);
    CHECK(judged(*on("2027-02-28")).lots[0].past_best_before == false);
    CHECK(judged(*on("2027-03-01")).lots[0].past_best_before);
    CHECK(judged(*open).lots[0].keeps_until == "2027-01-31");
    CHECK(judged(*open).verdict == Verdict::warns);
    // Six months from the last of August end with February.
    const std::string own = "oil own \"Own\" like orange_sweet { keeps 24 months sealed, 6 months opened }\n";
    const auto short_month = made({own + "lot \"L\" of own {\n    opened 2027-08-31\n}\n", "    1 part own\n", "0.5 %", "\"L\""});
    CHECK(judged(*short_month).lots[0].keeps_until == "2028-02-29");
}

TEST_CASE("Measured bergapten takes the place of the sum, or does not: never a part of it") {
    const std::string rows = "    1 part bergamot_expressed\n    2 parts lemon_expressed\n";
    const auto lot = [](const std::string& number, const std::string& oil, const std::string& bergapten) {
        return "lot \"" + number + "\" of " + oil + " {\n    contains {\n        " + bergapten + " bergapten\n    }\n}\n";
    };
    const auto bergamot = lot("B", "bergamot_expressed", "0.12 %");
    const auto lemon = lot("L", "lemon_expressed", "0.0005 %");
    // 0.3 % of bergamot and 0.6 % of lemon: 0.3/0.4 + 0.6/2.0 = 1.05 of what the sum allows.
    const auto plain = made({bergamot + lemon, rows, "0.9 %"});
    CHECK(lot_says(*plain, Code::phototoxic_sum));
    const auto one = made({bergamot + lemon, rows, "0.9 %", "\"B\""});
    CHECK(lot_says(*one, Code::phototoxic_sum));
    CHECK(judged(*one).sum_replaced_by == kNone);
    const auto measured = made({bergamot + lemon, rows, "0.9 %", "\"B\", \"L\""});
    CHECK_FALSE(lot_says(*measured, Code::phototoxic_sum));
    CHECK_FALSE(sums_light(*measured));
    REQUIRE(judged(*measured).sum_replaced_by != kNone);
    const Check* total = check_on(*measured, "bergapten");
    REQUIRE(total);
    CHECK(total->limit == Approx(0.000015));
    CHECK(total->actual == Approx(0.003 * 0.0012 + 0.006 * 0.000005));
    CHECK(total->decided_by == DecidedBy::lot);
    // Strong bergamot fails by the total at a load where the sum would pass: 0.1/0.4 + 0.2/2.0 = 0.35.
    const auto strong = made({lot("B", "bergamot_expressed", "1.6 %") + lemon, rows, "0.3 %", "\"B\", \"L\""});
    CHECK(lot_says(*strong, Code::over_limit));
    CHECK(judged(*strong).verdict == Verdict::fails);
    // Tagetes burns by something else, so that the sum stays.
    const auto tagetes = made({bergamot + lot("T", "tagetes", "none"), "    9 parts bergamot_expressed\n    1 part tagetes\n", "0.1 %", "\"B\", \"T\""});
    CHECK(judged(*tagetes).sum_replaced_by == kNone);
    CHECK(sums_light(*tagetes));
    // What is law stays beside the measured total.
    const auto cumin = made({lot("C", "cumin", "0.0001 %"), "    1 part cumin\n", "0.5 %", "\"C\""});
    CHECK(judged(*cumin).sum_replaced_by != kNone);
    CHECK(lot_says(*cumin, Code::phototoxic_sum));
}

TEST_CASE("What a recipe accepts never stands for the phototoxic sum") {
    const std::string lots = "lot \"B\" of bergamot_expressed {\n    contains {\n        1.6 % bergapten\n    }\n}\n";
    const auto c = made({lots, "    1 part bergamot_expressed\n", "0.5 %",
                         "\"B\"\n    accept over_limit bergapten under ifra_49 to 0.01 % because \"a try\""});
    CHECK(judged(*c).sum_replaced_by == kNone);
    CHECK(lot_says(*c, Code::phototoxic_sum));
    CHECK(judged(*c).verdict == Verdict::fails);
    // Another rule on the same still speaks of all of it: 0.5 % of 1.6 %.
    REQUIRE(check_on(*c, "bergapten", "handbook_2014"));
    CHECK(check_on(*c, "bergapten", "handbook_2014")->actual == Approx(0.00008));
}

TEST_CASE("A check says which composition decided it") {
    const std::string rules = "rules house \"House\" {\n    dated 2026-01-01\n}\nlimit citral under house {\n    effect sensitisation\n"
                              "    0.4 % in skin\n}\nworkshop \"W\" {\n    rules house\n}\n";
    const std::string rows = "    1 part lemongrass\n    1 part lavender\n";
    const auto at = [&](const std::string& load, const std::string& citral) {
        const std::string lots = citral.empty() ? "" : "lot \"L\" of lemongrass {\n    contains {\n        " + citral + " citral\n    }\n}\n";
        return made({rules + lots, rows, load, citral.empty() ? "" : "\"L\""});
    };
    const auto plain = made({rules, rows, "0.1 %"});
    const double high = check_on(*plain, "citral")->actual_at_maximum / 0.0005;
    const double typical = check_on(*plain, "citral")->actual / 0.0005;
    REQUIRE(high > typical);
    CHECK(judged(*plain).decided_by == DecidedBy::maximum);
    // Between what the typical and the strongest oil allow.
    const std::string load = fmt::format("{:.4f} %", 2 * 0.4 / ((high + typical) / 2));
    const auto top = at(load, "");
    CHECK(judged(*top).verdict == Verdict::warns);
    CHECK(judged(*top).decided_by == DecidedBy::maximum);
    const auto settled = at(load, "60 %");
    CHECK(judged(*settled).verdict == Verdict::passes);
    CHECK(judged(*settled).decided_by == DecidedBy::lot);
    CHECK(check_on(*settled, "citral")->without_lots == Verdict::warns);
    const auto failed = at("2 %", "");
    CHECK(judged(*failed).verdict == Verdict::fails);
    CHECK(judged(*failed).decided_by == DecidedBy::typical);
    const auto worse = at(load, "99 %");
    CHECK(judged(*worse).verdict == Verdict::fails);
    CHECK(judged(*worse).decided_by == DecidedBy::lot);
}

TEST_CASE("Mistakes with lots are said once, where they are made") {
    const auto codes = [](const Recipe& r) {
        std::vector<Code> out;
        const auto c = made(r);
        for (const auto& d : c->diagnostics) out.push_back(d.code);
        return out;
    };
    const std::string lavender = "    1 part lavender\n";
    const std::string lot = "lot \"L-1\" of lavender {\n    opened 2026-01\n}\n";
    using Codes = std::vector<Code>;
    CHECK(codes({lot, lavender, "1 %", "\"L-1\""}).empty());
    CHECK(codes({lot, lavender, "1 %", "\"L-2\""}) == Codes{Code::unknown_name});
    CHECK(codes({lot, lavender, "1 %", "\"L-1\", \"L-1\""}) == Codes{Code::two_lots});
    CHECK(codes({lot, lavender, "1 %", "L"}) == Codes{Code::wrong_shape});
    CHECK(codes({lot + lot, lavender}) == Codes{Code::duplicate_name});
    CHECK(codes({"lot \"X\" of b {\n    opened 2026-01\n}\n", lavender}) == Codes{Code::wrong_kind});
    CHECK(codes({"lot \"X\" of lavendel {\n    opened 2026-01\n}\n", lavender}) == Codes{Code::unknown_name});
    CHECK(codes({"lot \"X\" {\n    opened 2026-01\n}\n", lavender}) == Codes{Code::missing_value});
    CHECK(codes({"lot pg_1 of lavender {\n    opened 2026-01\n}\n", lavender}) == Codes{Code::wrong_shape});
    CHECK(codes({"lot of lavender {\n    opened 2026-01\n}\n", lavender}) == Codes{Code::wrong_shape});
    CHECK(codes({"lot \"X\" of lavender {\n    opened 2026-13\n}\n", lavender}) == Codes{Code::bad_date});
    CHECK(codes({"lot \"X\" of lavender {\n    peroxide 4 %\n}\n", lavender}) == Codes{Code::wrong_dimension});
    CHECK(codes({"lot \"X\" of lavender {\n    peroxide -4 mmol/l\n}\n", lavender}) == Codes{Code::negative_amount});
    CHECK(codes({"lot \"X\" of lavender {\n    contains {\n        60 % linalool\n        45 % linalyl_acetate\n    }\n}\n", lavender}) ==
          Codes{Code::composition_over_whole});
    CHECK(codes({"lot \"X\" of lavender {\n    contains {\n        60 % linalool\n    }\n}\n", lavender}) == Codes{Code::lot_out_of_range});
    // A lot in the base counts as well as one in the blend.
    CHECK(codes({"lot \"J\" of jojoba {\n    density 0.866 g/ml\n}\n", lavender, "1 %", "\"J\""}).empty());
}
