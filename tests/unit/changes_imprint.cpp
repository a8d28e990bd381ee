// What a declaration says, how far a change of it reaches, where it stands, and its plain lines.
#include <catch2/catch.hpp>

#include <string>

#include "changes/imprint.h"
#include "changes/places.h"
#include "changes/plain_recipe.h"
#include "syntax/parser.h"

using namespace scruple;
using namespace scruple::changes;

namespace {

SyntaxTree imprint_tree(const std::string& text) {
    Bag said;
    return parse(FileId{0}, text, ResourceLimits{}, said);
}

std::string digest_of(const std::string& text) {
    const auto all = imprints(imprint_tree(text));
    return all.empty() ? "none" : all.front().digest;
}

Reach reach_between(const std::string& before, const std::string& after) {
    return reach_of(imprints(imprint_tree(before)), imprints(imprint_tree(after)));
}

const std::string kBlend = "blend tide \"Tide\" {\n    3 parts oil_a\n    1 part  oil_b\n}\n";

}  // namespace

TEST_CASE("an imprint knows no layout and no comment") {
    CHECK(digest_of(kBlend) == digest_of("# a word\nblend   tide  \"Tide\" {  # so\n 3 parts oil_a\n\n# and so\n1 part oil_b }\n"));
    CHECK(digest_of(kBlend) != digest_of("## on the sheet\n" + kBlend));
    CHECK(digest_of("## one\n" + kBlend) != digest_of("## one\n\n" + kBlend));
    CHECK(digest_of(kBlend) != digest_of("blend tide \"Tide\" {\n    3 parts oil_a\n    1 part  oil_c\n}\n"));
    // What is beside a block and what is in it are two things.
    CHECK(digest_of("base a {\n phase b {\n 1 part x\n }\n 2 parts y\n}\n") != digest_of("base a {\n phase b {\n 1 part x\n 2 parts y\n }\n}\n"));
    const std::string two = "blend a { 1 part x }\nblend b { 1 part x }\n";
    const auto tree = imprint_tree(two);
    const auto all = imprints(tree, true);
    REQUIRE(all.size() == 2);
    CHECK(all[0].name == "a");
    CHECK(all[0].digest != all[1].digest);
    CHECK(all[0].nameless == all[1].nameless);
    CHECK(imprints(imprint_tree("# nothing\n## nothing\n")).empty());
}

TEST_CASE("a change reaches what names it, through others, and no more") {
    const std::string rest = "variation ebb of tide { set 1 part oil_a }\nproduct low { blend ebb at 1 % }\nblend other { 1 part oil_c }\n"
                             "product dry { blend other at 1 % }\n";
    const Reach none = reach_between(kBlend + rest, rest + kBlend);
    CHECK_FALSE(none.for_all.any());
    CHECK(none.names.empty());
    const Reach tide = reach_between(kBlend + rest, "blend tide \"Tide\" {\n    3 parts oil_a\n    2 parts oil_b\n}\n" + rest);
    CHECK_FALSE(tide.for_all.any());
    CHECK(tide.of("tide").all());
    CHECK(tide.of("ebb").all());
    CHECK(tide.of("low").all());
    CHECK_FALSE(tide.of("other").all());
    CHECK_FALSE(tide.of("dry").all());
    // An oil of one's own is named by blends.
    const Reach oil = reach_between("oil oil_c { note top }\n" + kBlend + rest, "oil oil_c { note base }\n" + kBlend + rest);
    CHECK_FALSE(oil.for_all.any());
    CHECK(oil.of("dry").all());
    CHECK_FALSE(oil.of("low").all());
    // The workshop and what could not be read hold for all; rules for how all is judged, prices for what all costs.
    const auto reach = [](Wanted w) { return std::string(w.amounts ? "amounts " : "") + (w.judged ? "judged " : "") + (w.people ? "people " : "") +
                                                 (w.label ? "label " : "") + (w.cost ? "cost" : ""); };
    for (const auto& [global, what] : {std::pair<std::string, std::string>("limit oil_d under house { 1 % in skin }\n", "judged "),
                                       {"rules house \"House\" { dated 2026-01-01 }\n", "judged people label "},
                                       {"prices \"x\" on 2026-01-01 { 1 g oil_a for 2 EUR }\n", "cost"},
                                       {"rate 1 EUR = 2 USD\n", "cost"},
                                       {"workshop \"w\" { market eu }\n", "amounts judged people label cost"},
                                       {"cite book \"Book\"\n", "amounts judged people label cost"},
                                       {"use \"../x\" as x\n", "amounts judged people label cost"},
                                       {"let cup = 3 ml\n", "amounts judged people label cost"},
                                       {"§§§ 3\n", "amounts judged people label cost"}}) {
        INFO(global);
        CHECK(reach(reach_between(kBlend + rest, global + kBlend + rest).of("other")) == what);
        CHECK(reach(reach_between(global + kBlend + rest, kBlend + rest).of("other")) == what);
    }
    // A limit for an oil of one's own reaches all that has it, in full.
    CHECK(reach_between(kBlend + rest, "limit oil_a under house { 1 % in skin }\n" + kBlend + rest).of("low").all());
    // Gone, new, twice.
    CHECK(reach_between(kBlend + rest, rest).of("low").all());
    CHECK(reach_between(rest, kBlend + rest).of("low").all());
    CHECK(reach_between(kBlend + rest, kBlend + kBlend + rest).of("low").all());
}

TEST_CASE("what is the same letter by letter has no digest, and is still followed") {
    const std::string before = "blend a { 1 part x }\nblend b { 1 part y }\nproduct p { blend b at 1 % }\n";
    const std::string after = "blend b { 2 parts y }\nblend a { 1 part x }\nproduct p { blend b at 1 % }\n";
    const auto old_tree = imprint_tree(before), new_tree = imprint_tree(after);
    const auto [old_side, new_side] = imprints({{&old_tree, false}}, {{&new_tree, false}});
    REQUIRE(old_side.size() == 3);
    CHECK(old_side[0].digest.empty());
    CHECK_FALSE(old_side[1].digest.empty());
    const Reach found = reach_of(old_side, new_side);
    CHECK(found.of("b").all());
    CHECK(found.of("p").all());
    CHECK_FALSE(found.of("a").any());
    // Once here and twice there is not the same.
    const std::string more = before + "blend a { 1 part x }\n";  // a tree looks into its text
    const auto twice = imprint_tree(more);
    const auto [once_side, twice_side] = imprints({{&old_tree, false}}, {{&twice, false}});
    CHECK(reach_of(once_side, twice_side).of("a").all());
    // What an import says may hold for anything.
    const auto [plain_side, imported_side] = imprints({{&old_tree, true}}, {{&new_tree, true}});
    CHECK(reach_of(plain_side, imported_side).for_all.all());
}

TEST_CASE("what is behind a name") {
    const std::string text = "workshop \"w\" { market eu }\nblend a { 1 part x }\nvariation b of a { set 2 parts x }\nproduct c { blend b at 1 % }\nblend d { 1 part y }\n";
    const auto tree = imprint_tree(text);
    const auto all = imprints(tree);
    std::vector<const Imprint*> pointers;
    for (const auto& i : all) pointers.push_back(&i);
    const Behind behind(pointers);
    const auto names = [&](std::vector<std::string_view> of, bool and_all) {
        std::string out;
        for (const auto* i : behind.find(of, and_all)) out += std::string(i->kind) + " " + std::string(i->name) + ";";
        return out;
    };
    CHECK(names({"c"}, false) == "blend a;variation b;product c;");
    CHECK(names({"c"}, true) == "workshop ;blend a;variation b;product c;");
    CHECK(names({"nobody"}, false).empty());
    CHECK(behind.digest({"b"}, false) != behind.digest({"a"}, false));
}

TEST_CASE("plain lines have no layout, no order that means nothing, and smallest parts") {
    const auto plain = [](const std::string& text) { return plain_recipe(imprint_tree(text)); };
    const std::string wanted = "blend tide \"Tide\"\n    3 parts oil_a\n    1 part oil_b\n";
    CHECK(plain(kBlend) == wanted);
    CHECK(plain("blend tide \"Tide\" { # x\n 2 parts oil_b\n\n 6 parts oil_a # y\n}\n") == wanted);
    CHECK(plain("blend tide \"Tide\" {\n 0.5 parts oil_b\n 1.5 parts oil_a\n}\n") == wanted);
    CHECK(plain("blend tide \"Tide\" {\n 1 ml oil_b\n 3 parts oil_a\n}\n") == "blend tide \"Tide\"\n    3 parts oil_a\n    1 ml oil_b\n");
    CHECK(plain("blend b { 1 part x }\nblend a { 1 part x }\n") == "blend a\n    1 part x\n\nblend b\n    1 part x\n");
    // What is ordered stays so: a bench, and the phases of a base.
    CHECK(plain("bench t {\n 2 drops z\n 1 drop a\n}\n") == "bench t\n    2 drops z\n    1 drop a\n");
    CHECK(plain("base m {\n phase b {\n 2 % z\n 1 % a\n }\n phase a {\n 1 % y\n }\n note x\n}\n") ==
          "base m\n    note x\n    phase b\n        1 % a\n        2 % z\n    phase a\n        1 % y\n");
    const std::string broken = "blend {{{\n";
    CHECK(plain(broken) == broken);
    CHECK(plain("").empty());
}

TEST_CASE("a change is placed on the row that made it") {
    const std::string before = "blend a {\n 1 part x\n 2 parts y\n}\nproduct p { blend a at 1 % }\n";
    const std::string after = "blend a {\n 1 part x\n 3 parts y\n 1 part z\n}\nproduct p { blend a at 1 % }\n";
    const auto old_tree = imprint_tree(before), new_tree = imprint_tree(after);
    const Places places({&old_tree}, {&new_tree});
    const auto at = [&](const std::string& unit, const std::string& blend, What what, const std::string& subject, std::vector<std::string> brought) {
        UnitChange u;
        u.id = unit;
        u.blend = blend;
        Change c;
        c.what = what;
        c.subject = subject;
        c.fresh = Fact{what, subject, {{"brought_by", brought, false}}};
        const Span span = places.of(u, c);
        return span.known() ? after.substr(span.begin, span.end - span.begin) : std::string("nowhere");
    };
    CHECK(at("a", "", What::part, "y", {}) == "3 parts y");
    CHECK(at("a", "", What::part, "z", {}) == "1 part z");
    CHECK(at("p", "a", What::check, "rule", {"z"}) == "1 part z");
    CHECK(at("p", "a", What::verdict, "", {}) == "3 parts y");
    CHECK(at("nobody", "", What::verdict, "", {}) == "nowhere");
    // Only rows that went: the head of what they were in.
    const std::string less = "blend a {\n 1 part x\n}\nproduct p { blend a at 1 % }\n";
    const auto less_tree = imprint_tree(less);
    const Places gone({&old_tree}, {&less_tree});
    UnitChange u;
    u.id = "a";
    Change c;
    c.what = What::part;
    c.subject = "y";
    c.old = Fact{What::part, "y", {}};
    const Span span = gone.of(u, c);
    CHECK(less.substr(span.begin, span.end - span.begin) == "blend a");
}
