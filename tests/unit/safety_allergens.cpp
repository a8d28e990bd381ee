// Names for the label: thresholds, groups, whole oils, contact with skin, lists by market and date.
// Thresholds of 0.001 % and 0.01 %: Regulation (EC) 1223/2009, Annex III (and Directive 2003/15/EC
// before it); dates: Regulation (EU) 2023/1545. The shares that they are compared with are
// arithmetic.
#include <algorithm>
#include <catch2/catch.hpp>

#include "query/session.h"
#include "safety/allergens.h"
#include "unit/safety_stillroom.h"

using namespace scruple;
using namespace scruple::test;

namespace {

struct Labels : Stillroom {
    RuleSetId list;
    SubstanceId pure_part;
    MaterialId pure;  // an oil that is nothing but one substance

    Labels() {
        list = rules("house_labels");
        pure_part = substance("pure_part");
        pure = oil("pure_oil", 0.9, {{pure_part, 100, 100, 100}});
    }
    Allergen& name(std::string label, std::vector<SubstanceId> substances,
                   std::vector<MaterialId> oils, const std::string& leave_on = "0.001",
                   const std::string& rinse_off = "0.01") {
        Allergen a;
        a.label = std::move(label);
        a.rules = list;
        a.substances = std::move(substances);
        a.oils = std::move(oils);
        if (!leave_on.empty()) a.leave_on = percent(leave_on).to_double();
        if (!rinse_off.empty()) a.rinse_off = percent(rinse_off).to_double();
        a.leave_on_text = leave_on;
        a.rinse_off_text = rinse_off;
        a.source = read;
        model.allergens.push_back(std::move(a));
        return model.allergens.back();
    }
    LabelNames names(ProductId id, std::string_view on = {}) {
        return AllergenTable(model, on).names(model.products[id], formula(id));
    }
};

const NamedAllergen* find(const std::vector<NamedAllergen>& list, std::string_view label) {
    const auto at = std::find_if(list.begin(), list.end(),
                                 [&](const NamedAllergen& a) { return a.entry->label == label; });
    return at == list.end() ? nullptr : &*at;
}

/// One product of the real library, half lavender and half lemongrass by weight.
std::unique_ptr<Compilation> product(const std::string& load, const std::string& format,
                                     const std::string& workshop, const std::string& on = {},
                                     const std::string& more = {}) {
    CompileOptions options;
    options.on = on;
    return compile_text(
        "a.scruple",
        more + "workshop \"W\" {\n" + workshop +
            "\n}\nblend b {\n    by weight\n    50 % lavender\n    50 % lemongrass\n}\n"
            "product p {\n    blend b at " +
            load + " w/w\n    format " + format + " of 100 ml\n    in jojoba\n}\n",
        {}, options);
}

LabelNames label(const Compilation& c) {
    REQUIRE(c.formulas.size() == 1);
    return c.allergens->names(c.model.products[0], c.formulas[0]);
}

AllergenList::State state(const Compilation& c, std::string_view rules) {
    for (const AllergenList& list : c.allergens->lists()) {
        if (c.model.rule_sets[list.rules].header.name == rules) return list.state;
    }
    FAIL("no list " << rules);
    return {};
}

}  // namespace

TEST_CASE("Exactly at its threshold a name is not over; a part in a million more, and it is",
          "[allergens]") {
    Labels s;
    s.name("Pure", {s.pure_part}, {});
    CHECK(find(s.names(s.finished({{s.pure, "0.001"}})).under, "Pure"));
    CHECK_FALSE(find(s.names(s.finished({{s.pure, "0.001"}})).named, "Pure"));
    CHECK(find(s.names(s.finished({{s.pure, "0.001000001"}})).named, "Pure"));
    CHECK_FALSE(find(s.names(s.finished({{s.pure, "0.000999999"}})).named, "Pure"));
    CHECK(find(s.names(s.finished({{s.pure, "0.01"}}, s.bar)).under, "Pure"));
    CHECK(find(s.names(s.finished({{s.pure, "0.01000001"}}, s.bar)).named, "Pure"));
}

TEST_CASE("What stays on skin and what is rinsed off have thresholds of their own", "[allergens]") {
    Labels s;
    s.name("Pure", {s.pure_part}, {});
    CHECK(find(s.names(s.finished({{s.pure, "0.005"}})).named, "Pure"));
    CHECK(find(s.names(s.finished({{s.pure, "0.005"}}, s.bar)).under, "Pure"));
    s.name("Only on skin", {s.pure_part}, {}, "0.001", "");
    CHECK_FALSE(find(s.names(s.finished({{s.pure, "5"}}, s.bar)).named, "Only on skin"));
}

TEST_CASE("A threshold of nothing names whatever is there", "[allergens]") {
    Labels s;
    s.name("Pure", {s.pure_part}, {}, "0", "0");
    CHECK(find(s.names(s.finished({{s.pure, "0.000001"}})).named, "Pure"));
    CHECK(s.names(s.finished({{s.lavender, "1"}})).named.empty());
}

TEST_CASE("Shares are at the top of the ranges, and the typical one stands beside", "[allergens]") {
    Labels s;
    s.name("Linalool", {s.linalool}, {});
    // Lavender 25..35..38 %, bergamot 6..10..15 %.
    const auto names = s.names(s.finished({{s.lavender, "0.5"}, {s.bergamot, "0.2"}}));
    const auto* linalool = find(names.named, "Linalool");
    REQUIRE(linalool);
    CHECK(linalool->share == Approx(0.005 * 0.38 + 0.002 * 0.15).epsilon(1e-12));
    CHECK(linalool->typical_share == Approx(0.005 * 0.35 + 0.002 * 0.10).epsilon(1e-12));
    REQUIRE(linalool->bringers.size() == 2);
    CHECK(linalool->bringers[0] == s.lavender);
    CHECK_FALSE(linalool->extract);
}

TEST_CASE("What is over only at the top of its range is named", "[allergens]") {
    Labels s;
    const auto wide = s.oil("wide", 0.9, {{s.pure_part, 0, 0.5, 2}});
    s.name("Pure", {s.pure_part}, {});
    CHECK(find(s.names(s.finished({{wide, "0.1"}})).named,
               "Pure"));  // 0.0005 % typically, 0.002 % at most
}

TEST_CASE("Several substances under one name add up, once each, and no more than the oil",
          "[allergens]") {
    Labels s;
    const auto first = s.substance("first"), second = s.substance("second"),
               group = s.substance("group");
    s.model.substances[group].is_group = true;
    s.model.substances[group].members = {first, second};
    s.model.substances[first].groups = s.model.substances[second].groups = {group};
    const auto both = s.oil("both", 0.9, {{first, 1, 2, 3}, {second, 4, 5, 6}, {group, 5, 7, 9}});
    s.name("Parts", {first, second}, {});
    s.name("Group", {group}, {});
    s.name("Group and parts", {group, first, second}, {});
    const auto rich = s.oil("rich", 0.9, {{first, 50, 60, 70}, {second, 40, 45, 50}});
    const auto names = s.names(s.finished({{both, "1"}}));
    for (const auto* one : {"Parts", "Group", "Group and parts"}) {
        REQUIRE(find(names.named, one));
        CHECK(find(names.named, one)->share == Approx(0.0009).epsilon(1e-12));
        CHECK(std::count_if(names.named.begin(), names.named.end(),
                            [&](const NamedAllergen& a) { return a.entry->label == one; }) == 1);
    }
    CHECK(find(s.names(s.finished({{rich, "1"}})).named, "Parts")->share ==
          Approx(0.01).epsilon(1e-12));
}

TEST_CASE("A whole oil counts as itself, a bottle like it too, and a dilution as what is dissolved",
          "[allergens]") {
    Labels s;
    s.name("Lavandula", {}, {s.lavender});
    s.model.materials[s.lime].counts_as = {{s.lavender, 1}};
    s.model.materials[s.lemon].counts_as = {{s.lavender, 0.1}};
    const auto names = s.names(
        s.finished({{s.lavender, "1"}, {s.lime, "0.5"}, {s.lemon, "0.4"}, {s.bergamot, "1"}}));
    REQUIRE(names.named.size() == 1);
    CHECK(names.named[0].extract);
    CHECK(names.named[0].share == Approx(0.01 + 0.005 + 0.0004).epsilon(1e-12));
    CHECK(names.named[0].bringers.size() == 3);
}

TEST_CASE(
    "Entries with one label are one name: what they cover adds up, and the lower threshold counts",
    "[allergens]") {
    Labels s;
    s.name("Both", {s.linalool}, {}, "0.1");
    s.name("Both", {s.citral}, {}, "0.001");
    const auto names = s.names(s.finished({{s.lavender, "0.01"}, {s.lemongrass, "0.01"}}));
    REQUIRE(names.named.size() == 1);
    CHECK(names.named[0].share == Approx(0.0001 * 0.38 + 0.0001 * 0.9).epsilon(1e-12));
    CHECK(names.named[0].threshold == Approx(0.00001));
}

TEST_CASE("What is not for skin, not complete or on no list is said, and is not an empty list",
          "[allergens]") {
    Labels s;
    const auto candle = s.finished({{s.pure, "1"}}, s.candle);
    const auto on_skin = s.finished({{s.pure, "1"}});
    CHECK(s.names(candle).state == LabelNames::State::other_law);
    CHECK(s.names(on_skin).state == LabelNames::State::no_list);
    s.name("Pure", {s.pure_part}, {});
    CHECK(s.names(candle).state == LabelNames::State::other_law);
    CHECK(s.names(on_skin).state == LabelNames::State::listed);
    Formula incomplete;
    CHECK(AllergenTable(s.model, {}).names(s.model.products[on_skin], incomplete).state ==
          LabelNames::State::not_known);
}

TEST_CASE("What no composition covers is told as a share of the product", "[allergens]") {
    Labels s;
    s.name("Pure", {s.pure_part}, {});
    const auto unknown = s.oil("unknown", 0.9);
    const auto names = s.names(s.finished({{s.lavender, "1"}, {unknown, "0.5"}}));
    CHECK(names.unknown_share ==
          Approx(0.01 * 0.1 + 0.005).epsilon(1e-12));  // of lavender 90 % is known
    CHECK(names.unknown == std::vector<MaterialId>{unknown});
    CHECK(s.names(s.finished({{s.pure, "1"}})).unknown_share == 0);
}

TEST_CASE("Lavender and lemongrass on skin in the EU: the long list names oils and constituents",
          "[allergens]") {
    const auto c = product("1 %", "body_oil", "    market eu");
    const auto names = label(*c);
    REQUIRE(names.state == LabelNames::State::listed);
    for (const auto* one : {"Lavandula Oil/Extract", "Lemongrass Oil", "Linalool",
                            "Linalyl Acetate", "Citral", "Geraniol"})
        CHECK(find(names.named, one));
    CHECK(find(names.named, "Lavandula Oil/Extract")->share == Approx(0.005).epsilon(1e-12));
    CHECK(find(names.named, "Citral")->entry->substances.size() ==
          1);  // the group: geranial and neral under one name
    CHECK(state(*c, "eu_2023_1545") == AllergenList::State::holds);
    CHECK(state(*c, "eu_2003_15") == AllergenList::State::contained);
    CHECK(state(*c, "uk_2003_15") == AllergenList::State::elsewhere);
}

TEST_CASE("The date decides: the old list, the old one with the new one announced, the new one",
          "[allergens]") {
    // In force 16 August 2023; placing on the market by the old list until 31 July 2026.
    for (const auto* on : {"2019-01-01", "2023-08-15"}) {
        const auto c = product("1 %", "body_oil", "    market eu", on);
        CHECK(state(*c, "eu_2023_1545") == AllergenList::State::not_yet);
        CHECK(find(label(*c).named, "Linalool"));
        CHECK_FALSE(find(label(*c).named, "Linalyl Acetate"));
    }
    for (const auto* on : {"2023-08-16", "2026-05-02", "2026-07-31", "2026-07"}) {
        const auto c = product("1 %", "body_oil", "    market eu", on);
        CHECK(state(*c, "eu_2023_1545") == AllergenList::State::later);
        CHECK(state(*c, "eu_2003_15") == AllergenList::State::holds);
        CHECK(find(label(*c).named, "Linalool")->later == kNone);
        REQUIRE(find(label(*c).named, "Linalyl Acetate"));
        CHECK(find(label(*c).named, "Linalyl Acetate")->later != kNone);
    }
    for (const auto* on : {"", "2026-08-01", "2026-08", "2030-01-01"}) {
        const auto c = product("1 %", "body_oil", "    market eu", on);
        CHECK(state(*c, "eu_2023_1545") == AllergenList::State::holds);
        CHECK(find(label(*c).named, "Linalyl Acetate")->later == kNone);
    }
}

TEST_CASE("The market decides, or the rules that the workshop names", "[allergens]") {
    const auto uk = product("1 %", "body_oil", "    market uk");
    CHECK(state(*uk, "uk_2003_15") == AllergenList::State::holds);
    CHECK(state(*uk, "eu_2023_1545") == AllergenList::State::elsewhere);
    CHECK(find(label(*uk).named, "Linalool"));
    CHECK_FALSE(find(label(*uk).named, "Lavandula Oil/Extract"));

    CHECK(label(*product("1 %", "body_oil", "    market us")).state == LabelNames::State::no_list);

    const auto anywhere = product("1 %", "body_oil", "    dropper 20 drops/ml");
    CHECK(state(*anywhere, "eu_2023_1545") == AllergenList::State::holds);
    CHECK(state(*anywhere, "uk_2003_15") == AllergenList::State::contained);

    const auto chosen = product("1 %", "body_oil", "    market eu\n    rules eu_2003_15, ifra_51");
    CHECK(state(*chosen, "eu_2023_1545") == AllergenList::State::not_chosen);
    CHECK(find(label(*chosen).named, "Linalool"));
    CHECK_FALSE(find(label(*chosen).named, "Linalyl Acetate"));
    CHECK(label(*product("1 %", "body_oil", "    rules ifra_51")).state ==
          LabelNames::State::no_list);
    // The list that is named keeps the older one's entries, and until it must be followed that one
    // holds.
    const auto newer = product("1 %", "body_oil", "    rules eu_2023_1545", "2026-05-02");
    CHECK(state(*newer, "eu_2003_15") == AllergenList::State::holds);
    CHECK(find(label(*newer).named, "Linalool")->later == kNone);
}

TEST_CASE("A maker's own list continues the library's", "[allergens]") {
    const std::string own =
        "rules house { markets eu }\nallergen terpinen_4_ol under house {\n    label "
        "\"Terpinen-4-ol\"\n    leave_on 0.0001 %\n}\n";
    const auto c = product("1 %", "body_oil", "    market eu", "2027-01-01", own);
    CHECK(c->errors == 0);
    REQUIRE(find(label(*c).named, "Terpinen-4-ol"));
    CHECK(find(label(*c).named, "Linalool"));
    CHECK(c->model.standing(find(label(*c).named, "Terpinen-4-ol")->entry->source) ==
          Standing::practice);
    // Its own bottle of lavender is lavender.
    const auto bottle = product("1 %", "body_oil", "    market eu", "2027-01-01",
                                "oil lavender like lavender { impact 4 }\n");
    CHECK(find(label(*bottle).named, "Lavandula Oil/Extract")->share ==
          Approx(0.005).epsilon(1e-12));
}

TEST_CASE("What a later list adds to a name has the lowest threshold of both", "[allergens]") {
    // Citral: 0.0009 % now, under 0.001 %; with what the next list adds 0.00135 %.
    const auto c = product("0.002 %", "body_oil", "rules eu_2003_15, next", "2026-05-02",
                           "rules next {\n    continues eu_2003_15\n    placed_until 2026-07-31\n}\n"
                           "allergen more_citral under next {\n    label \"Citral\"\n    substances linalool\n"
                           "    leave_on 0.5 %\n}\n");
    const LabelNames names = label(*c);
    const NamedAllergen* citral = find(names.named, "Citral");
    REQUIRE(citral);
    CHECK(citral->later != kNone);
    CHECK(citral->threshold == Approx(1e-5));
}

TEST_CASE("A check reads no allergens of the library", "[allergens]") {
    CompileOptions findings;
    findings.keep_figures = false;
    const std::string text =
        "blend b { 1 part lavender }\nproduct p {\n    blend b at 1 %\n    format body_oil of 50 "
        "ml\n    in jojoba\n}\n";
    const auto checked = compile_text("a.scruple", text, {}, findings);
    CHECK(checked->model.allergens.empty());
    CHECK_FALSE(checked->allergens);
    const auto built = compile_text("a.scruple", text);
    CHECK(built->model.allergens.size() > 80);
    // What a label needs leaves no trace in the rest: the same substances, oils and limits.
    CHECK(built->model.substances.size() == checked->model.substances.size());
    CHECK(built->model.materials.size() == checked->model.materials.size());
    CHECK(built->model.limits.size() == checked->model.limits.size());
}
