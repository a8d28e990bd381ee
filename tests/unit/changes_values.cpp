// What a comparison reads: the values of a document about to be written are those of its text, figures made on demand are
// those that were kept, and what both sides say alike can be left out.
#include <catch2/catch.hpp>

#include <map>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "changes/change.h"
#include "changes/read_json.h"
#include "changes/strike.h"
#include "emit/emit.h"
#include "emit/json_parts.h"
#include "query/comparable.h"
#include "query/session.h"

using namespace scruple;
using namespace scruple::changes;

namespace {

/// Everything that a product can say, or nearly.
const std::string kShelf = R"(workshop "Stillroom" {
    market     eu
    currency   EUR
    weighs_to  0.01 g up to 2 kg
    dropper    20 drops/ml
    labour     18 EUR/h
    wholesale  2
}
prices "Seller" on 2026-03-01 {
    100 g lavender for 14 EUR
    50 ml bergamot_expressed for 21 EUR
    100 g lemongrass for 9 EUR
    1 kg jojoba for 30 EUR
    1 kg sunflower_high_oleic for 8 EUR
}
rules house "House rules" {
    dated      2026-01-01
}
limit lemongrass under house {
    0.4 %      in skin
}
bench pier "Pier" {
    add        5 drops lavender
    add        2 drops bergamot_expressed
}
## For the pier.
blend tide "Tide" {
    intent     calming

    5 parts    lavender
    3 parts    bergamot_expressed
    1 part     lemongrass
}
variation ebb "Ebb" of tide {
    set 2 parts lemongrass
}
blend drops "Drops" {
    7 drops    lavender
    3 drops    cedarwood_atlas
}
product tide_roll "Tide roll-on" {
    blend      tide at 2 %
    format     roll_on of 10 ml
    make       12
    budget     9 EUR
}
product ebb_oil "Ebb oil" {
    blend      ebb at 1 %
    format     body_oil of 100 ml
    in         60 % sunflower_high_oleic, 40 % jojoba
    audience   children_2_6
    work       40 min
}
product drops_spray "Drops spray" {
    blend      drops at 1 %
    format     room_spray of 100 ml
}
)";

std::string with(const std::string& before, const std::string& after) {
    std::string text = kShelf;
    const auto at = text.find(before);
    REQUIRE(at != std::string::npos);
    return text.replace(at, before.size(), after);
}

/// One side, as a saved document or as one that is about to be written.
struct TestSide {
    std::unique_ptr<Compilation> compiled;
    State state;

    TestSide(const std::string& text, bool saved, bool on_demand = false) {
        CompileOptions options;
        options.on_demand = on_demand;
        compiled = compile_text("collection.scruple", text, {}, options);
        const auto document = comparable_document(*compiled, "2026-05-02");
        if (saved) REQUIRE(state.add(emit_json(*document)).empty());
        else state.add(document);
    }
};

std::vector<const changes::Unit*> units_of(const State& state) {
    std::vector<const changes::Unit*> out;
    for (const auto* list : {&state.benches, &state.blends, &state.products}) {
        for (const changes::Unit& u : *list) out.push_back(&u);
    }
    return out;
}

/// To the last digit.
bool equal_values(emit::Value a, emit::Value b) {
    if (a.key() != b.key() || a.text() != b.text() || a.number() != b.number()) return false;
    if (a.is_object() != b.is_object() || a.is_array() != b.is_array() || a.is_true() != b.is_true()) return false;
    auto x = a.begin(), y = b.begin();
    for (; x != a.end() && y != b.end(); ++x, ++y) {
        if (!equal_values(*x, *y)) return false;
    }
    return x == a.end() && y == b.end();
}

bool equal_facts(const std::vector<Fact>& a, const std::vector<Fact>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](const Fact& x, const Fact& y) {
        return x.what == y.what && x.subject == y.subject && x.exact == y.exact &&
               std::equal(x.fields.begin(), x.fields.end(), y.fields.begin(), y.fields.end(), [](const Field& f, const Field& g) {
                   return f.name == g.name && f.value == g.value && f.carried == g.carried;
               });
    });
}

std::set<std::string> listed(const Changes& changes) {
    std::set<std::string> out;
    for (const UnitChange& u : changes.units) {
        for (const Change& c : u.changes) out.insert(u.id + " " + std::string(info(c.what).word) + " " + c.subject);
    }
    return out;
}

/// The same found without leaving anything out: fact by fact.
std::set<std::string> differing(const State& before, const State& after) {
    std::set<std::string> out;
    std::map<std::string, std::pair<const changes::Unit*, const changes::Unit*>> pairs;
    for (const changes::Unit* u : units_of(before)) pairs[std::string(unit_kind_word(u->kind)) + u->id].first = u;
    for (const changes::Unit* u : units_of(after)) pairs[std::string(unit_kind_word(u->kind)) + u->id].second = u;
    for (const auto& [key, pair] : pairs) {
        std::map<std::pair<What, std::string>, std::pair<const Fact*, const Fact*>> facts;
        const auto& [old, fresh] = pair;
        if (old) for (const Fact& f : old->facts()) facts[{f.what, f.subject}].first = &f;
        if (fresh) for (const Fact& f : fresh->facts()) facts[{f.what, f.subject}].second = &f;
        for (const auto& [which, both] : facts) {
            if (both.first && both.second && same(*both.first, *both.second)) continue;
            out.insert((fresh ? fresh : old)->id + " " + std::string(info(which.first).word) + " " + which.second);
        }
    }
    return out;
}

const std::vector<std::pair<std::string, std::string>> kEdits = {
    {"5 parts    lavender", "6 parts    lavender"},
    {"    3 parts    bergamot_expressed\n", ""},
    {"    1 part     lemongrass\n", "    1 part     lemongrass\n    1 part     vetiver\n"},
    {"dropper    20", "dropper    25"},
    {"for 14 EUR", "for 15 EUR"},
    {"0.4 %      in skin", "0.2 %      in skin"},
    {"market     eu", "market     uk"},
    {"tide at 2 %", "tide at 3 %"},
    {"make       12", "make       13"},
    {"    audience   children_2_6\n", ""},
    {"set 2 parts", "set 3 parts"},
    {"add        2 drops", "add        3 drops"},
    {"\"Tide roll-on\"", "\"Tide on a ball\""},
    {"3 drops    cedarwood_atlas", "4 drops    cedarwood_atlas"},
    {"labour     18", "labour     19"},
    {"## For the pier.", "## For the beach."},
};

}  // namespace

TEST_CASE("values are what the text of a document says", "[changes]") {
    const auto compiled = compile_text("collection.scruple", kShelf);
    REQUIRE(compiled->blends.size() >= 3);
    const Document document = compiled->document();
    const std::string text = emit_json(document);
    emit::Values written, read;
    std::size_t products = 0, blends = 0;
    each_member(text, [&](std::string_view key, std::string_view list) {
        if (key != "products" && key != "blends") return;
        std::size_t i = 0;
        each_element(list, [&](std::string_view element) {
            read_values(element, read);
            written.clear();
            if (key == "products") emit::write_product(written, document, document.products[i]);
            else emit::write_blend(written, document, document.blends[i]);
            INFO(element);
            CHECK(equal_values(written.root(), read.root()));
            ++(key == "products" ? products : blends);
            ++i;
        });
    });
    CHECK(products == 3);
    CHECK(blends == 3);
}

TEST_CASE("values of any text and any number", "[changes]") {
    const std::string text = R"({"a": [1, -2.5, 1e300, true, false, null, "x\u0000\ny"], "b": {"c": {}}, "b": 3, "\u0061b": "ab"})";
    emit::Values values;
    read_values(text, values);
    const emit::Value root = values.root();
    CHECK(root["a"].is_array());
    CHECK(root["b"]["c"].is_object());
    CHECK(root["b"]["c"].empty());
    CHECK(root["ab"].text() == "ab");
    CHECK(root["nobody"]["nothing"].text().empty());
    std::size_t count = 0;
    double sum = 0;
    for (const emit::Value v : root["a"]) {
        ++count;
        if (v.number() < 1e9) sum += v.number();
    }
    CHECK(count == 7);
    CHECK(sum == -1.5);
    CHECK(root["a"].same(root["a"]));
    CHECK_FALSE(root["a"].same(root["b"]));
    values.strike(root["a"]);
    CHECK_FALSE(root["a"].is_array());
    CHECK((*root.begin()).key() == "b");
    // Bytes that are no UTF-8 read as they are written.
    emit::Values own;
    own.text("a\xFF" "b");
    CHECK(own.root().text() == "a\xEF\xBF\xBD" "b");
    for (const char* broken : {"", "{", "[1,", "{\"a\" 1}", "nul", "[1] [2]"}) {
        read_values(broken, values);
        CHECK_FALSE(values.root().is_object());
        CHECK_FALSE(values.root().is_array());
    }
}

TEST_CASE("a document about to be written is compared as a saved one is", "[changes]") {
    const TestSide saved(kShelf, true), kept(kShelf, false), made(kShelf, false, true);
    const auto a = units_of(saved.state), b = units_of(kept.state), c = units_of(made.state);
    REQUIRE(a.size() == 7);
    REQUIRE(b.size() == a.size());
    REQUIRE(c.size() == a.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
        INFO(a[i]->id);
        CHECK(a[i]->facts().size() > 3);
        CHECK(equal_facts(a[i]->facts(), b[i]->facts()));
        CHECK(equal_facts(a[i]->facts(), c[i]->facts()));
    }
    CHECK(equal_facts(saved.state.facts, kept.state.facts));
    CHECK_FALSE(compare(saved.state, kept.state).any());
    CHECK_FALSE(compare(made.state, saved.state).any());
    // What was made is forgotten again.
    for (const Judgement& j : made.compiled->judgements) CHECK(j.checks.empty());
}

TEST_CASE("what is left out differs in nothing", "[changes]") {
    const TestSide before(kShelf, true), made(kShelf, false, true);
    for (const auto& [from, to] : kEdits) {
        INFO(from << " -> " << to);
        const TestSide after(with(from, to), true), fresh(with(from, to), false, true);
        const auto wanted = differing(before.state, after.state);
        CHECK_FALSE(wanted.empty());
        CHECK(listed(compare(before.state, after.state)) == wanted);
        CHECK(listed(compare(made.state, fresh.state)) == wanted);
        CHECK(listed(compare(fresh.state, made.state)) == wanted);
    }
}

TEST_CASE("only what can differ is read", "[changes]") {
    const auto compiled = compile_text("collection.scruple", kShelf);
    const auto document = comparable_document(*compiled, "");
    State money, judged, one;
    Wanted money_alone = Wanted::nothing(), judged_alone = Wanted::nothing();
    money_alone.cost = judged_alone.judged = true;
    money.add(document, [&](std::string_view) { return money_alone; });
    judged.add(document, [&](std::string_view) { return judged_alone; });
    one.add(document, [](std::string_view name) { return name == "tide" ? Wanted{} : Wanted::nothing(); });
    CHECK(units_of(money).size() == 7);
    CHECK(judged.products.size() == 3);
    CHECK(judged.blends.empty());  // nothing but a product is judged
    REQUIRE(units_of(one).size() == 1);
    emit::Values values;
    money.products.front().read(values);
    CHECK(values.root()["cost"].is_object());
    CHECK(values.root()["assumptions"].is_array());
    CHECK_FALSE(values.root()["safety"].is_object());
    CHECK_FALSE(values.root()["lines"].is_array());
    judged.products.front().read(values);
    CHECK(values.root()["safety"]["checks"].is_array());
    CHECK_FALSE(values.root()["safety"]["cautions"].is_array());
    CHECK_FALSE(values.root()["label"].is_object());
    CHECK_FALSE(values.root()["cost"].is_object());
}
