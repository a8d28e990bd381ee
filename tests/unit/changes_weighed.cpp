// What a long comparison only counts is told from figures. It comes to the same as when everything is worked out and
// compared fact by fact: the same units in the same order, the same counts, the same outcome.
#include <catch2/catch.hpp>

#include <iterator>
#include <random>
#include <string>
#include <vector>

#include "changes/change.h"
#include "changes/imprint.h"
#include "changes/render.h"
#include "query/comparable.h"
#include "query/session.h"

using namespace scruple;
using namespace scruple::changes;

namespace {

using Chance = std::mt19937;

std::size_t below(Chance& chance, std::size_t n) { return chance() % n; }

template <std::size_t N>
std::string one_of(Chance& chance, const char* const (&list)[N]) {
    return list[below(chance, N)];
}

struct ShelfBlend {
    std::string head, title, doc;
    std::vector<std::pair<std::string, std::string>> rows;
};
struct ShelfProduct {
    std::string name, title, blend, load, format, more, doc, base;
};
/// A collection that can be edited.
struct Shelf {
    std::string market = "eu", dropper = "20", labour = "18", price = "14", limit = "0.4", scale = "0.01", more;
    std::vector<ShelfBlend> blends;
    std::vector<ShelfProduct> products;

    static std::string prices();

    std::string text() const {
        std::string out = "workshop \"Stillroom\" {\n    market     " + market + "\n    currency   EUR\n    dropper    " + dropper +
                          " drops/ml\n    labour     " + labour + " EUR/h\n    wholesale  2\n    weighs_to  " + scale + " g up to 20 kg\n}\n" +
                          "prices \"Seller\" on 2026-03-01 {\n    100 g lavender for " + price + " EUR\n    1 kg jojoba for 30 EUR\n" + prices() + "}\nrules house \"House rules\" {\n    dated      2026-01-01\n}\n" +
                          "limit lemongrass under house {\n    " + limit + " %      in skin\n}\n" + more;
        for (const ShelfBlend& b : blends) {
            out += b.doc + b.head + " \"" + b.title + "\" {\n";
            for (const auto& [amount, oil] : b.rows) out += "    " + amount + " " + oil + "\n";
            out += "}\n";
        }
        for (const ShelfProduct& p : products) {
            out += p.doc + "product " + p.name + " \"" + p.title + "\" {\n    blend " + p.blend + " at " + p.load + "\n    format " + p.format + "\n" + p.base + p.more + "}\n";
        }
        return out;
    }
};

constexpr const char* kOils[] = {"lavender", "bergamot_expressed", "lemongrass", "cedarwood_atlas", "vetiver", "grapefruit", "clove_bud", "peppermint",
                                 "rosemary_ct_camphor", "ylang_ylang_complete", "orange_sweet", "geranium", "tea_tree", "cinnamon_bark", "hinoki"};
constexpr const char* kLoads[] = {"0.5 %", "1 %", "1.2 %", "2 %", "3 %"};
constexpr const char* kFormats[] = {"roll_on of 10 ml", "body_oil of 100 ml", "room_spray of 100 ml", "candle_soy of 180 g", "body_oil of 50 ml"};
constexpr const char* kOilFormats[] = {"roll_on of 10 ml", "body_oil of 100 ml", "body_oil of 50 ml"};
constexpr const char* kMore[] = {"", "", "    make 12\n", "    budget 9 EUR\n", "    audience children_2_6\n", "    work 40 min\n", "    warning \"Mind the cat.\"\n",
                                 "    audience pregnancy\n", "    extra 3 %\n"};

/// Of all oils but the first and the last, so that some costs are not known.
std::string Shelf::prices() {
    std::string out;
    for (std::size_t i = 1; i + 1 < std::size(kOils); ++i) out += "    100 ml " + std::string(kOils[i]) + " for " + std::to_string(5 + i) + " EUR\n";
    return out;
}

std::string parts(Chance& chance) { return std::to_string(1 + below(chance, 30)) + " parts"; }

Shelf shelf(Chance& chance) {
    Shelf out;
    for (int i = 0; i < 12; ++i) {
        ShelfBlend b;
        b.head = "blend b" + std::to_string(i);
        b.title = "Blend " + std::to_string(i);
        for (std::size_t k = 0, from = below(chance, 15); k < 3 + below(chance, 3); ++k) b.rows.emplace_back(parts(chance), kOils[(from + k * 2) % 15]);
        if (i == 5) b.rows.emplace_back("7 drops", "lavender"), b.rows = {b.rows.back(), {"3 drops", "vetiver"}};
        if (i == 7) b = {"variation b7 of b6", "Blend 7", "", {{"set 41 parts", "tea_tree"}}};
        out.blends.push_back(b);
        ShelfProduct p;
        p.name = "p" + std::to_string(i);
        p.title = "Product " + std::to_string(i);
        p.blend = "b" + std::to_string(i);
        p.load = one_of(chance, kLoads);
        p.format = one_of(chance, kFormats);
        p.more = one_of(chance, kMore);
        if (i % 3 > 0) p.format = one_of(chance, kOilFormats), p.base = "    in jojoba\n";
        out.products.push_back(p);
    }
    return out;
}

void edit(Chance& chance, Shelf& s) {
    ShelfBlend& b = s.blends[below(chance, s.blends.size())];
    ShelfProduct& p = s.products[below(chance, s.products.size())];
    switch (below(chance, 24)) {
        case 0: case 1: case 2: if (!b.head.starts_with("variation")) b.rows[below(chance, b.rows.size())].first = b.rows[0].first.ends_with("drops") ? "9 drops" : parts(chance); break;
        case 3: b.rows[0].first = b.rows[0].first.ends_with("parts") && !b.head.starts_with("variation") ? "5.0000001 parts" : b.rows[0].first; break;
        case 4: b.title += " again"; break;
        case 5: b.doc = "## Of a quiet day.\n"; break;
        case 6: if (b.rows.size() > 2) b.rows.pop_back(); break;
        case 7: if (!b.head.starts_with("variation")) b.rows[0].second = "neroli"; break;
        case 8: std::swap(b.rows.front(), b.rows.back()); break;
        case 9: case 10: p.load = one_of(chance, kLoads); break;
        case 11: p.format = p.base.empty() ? one_of(chance, kFormats) : one_of(chance, kOilFormats); break;
        case 12: p.more = one_of(chance, kMore); break;
        case 13: p.title += "!"; break;
        case 14: p.doc = "## For the pier.\n"; break;
        case 15: p.blend = s.blends[below(chance, s.blends.size())].head.substr(0, 7) == "blend b" ? "b1" : "b2"; break;
        case 16: s.price = below(chance, 2) ? "15" : "14.0000001"; break;
        case 17: s.limit = below(chance, 2) ? "0.2" : "2"; break;
        case 18: s.dropper = below(chance, 2) ? "25" : "20.000001"; break;
        case 19: s.labour = "19"; break;
        case 20: s.scale = "0.1"; break;
        case 21: s.market = "uk"; break;
        case 22: s.more = below(chance, 2) ? "limit linalool under house {\n    1 %        in skin\n}\n"
                                           : "caution quiet {\n    text \"Mind the sun.\"\n    oils lavender\n}\n"; break;
        case 23: if (below(chance, 2)) s.products.erase(s.products.begin()); else p.name += "x"; break;
    }
}

struct WeighedSide {
    std::unique_ptr<Compilation> compiled;
    State state;

    void read(const std::string& text) {
        CompileOptions options;
        options.on_demand = true;
        compiled = compile_text("collection.scruple", text, {}, options);
    }
    std::vector<Imprint> signs() const {
        std::vector<Imprint> out;
        for (const auto& file : compiled->collection.files) {
            for (Imprint& i : imprints(file.tree)) out.push_back(std::move(i));
        }
        return out;
    }
};

std::string told(const Changes& changes) {
    TextLook look;
    std::string out = render_text(changes, look) + render_markdown(changes);
    for (const RowChange& r : changes.rows) {
        out += r.rule;
        for (const std::string& p : r.products) out += " " + p;
        out += "\n";
    }
    for (const UnitChange& u : changes.units) out += u.id + (u.blend_changed ? " blend" : "") + (u.recipe_same ? " same" : "") + " " + u.follows + "\n";
    return out;
}

}  // namespace

TEST_CASE("what is told by figures is what is told fact by fact", "[changes]") {
    Chance chance(5);
    std::size_t differing = 0, counted = 0, worse = 0, by_rows = 0;
    for (int round = 0; round < 160; ++round) {
        const Shelf old_shelf = shelf(chance);
        Shelf new_shelf = old_shelf;
        for (std::size_t i = 0, edits = 1 + below(chance, round % 3 == 0 ? 20 : 3); i < edits; ++i) edit(chance, new_shelf);
        const std::string was = old_shelf.text(), is = new_shelf.text();
        WeighedSide before, after;
        before.read(was);
        after.read(is);
        const auto old_signs = before.signs(), new_signs = after.signs();
        const Reach reach = reach_of(old_signs, new_signs);
        const bool all = round % 4 == 3;
        const auto wanted_of = [&](std::string_view name) { return all ? Wanted{} : reach.of(name); };
        before.state.add(comparable_document(*before.compiled, "2026-05-02"), wanted_of);
        after.state.add(comparable_document(*after.compiled, "2026-05-02"), wanted_of);
        for (const std::size_t most : {1u, 3u, 9u}) {
            for (const bool mirrored : {false, true}) {
                const State &a = mirrored ? after.state : before.state, &b = mirrored ? before.state : after.state;
                CompareOptions options;
                options.most = most;
                const Changes quick = compare(a, b, options);
                options.by_figures = false;
                const Changes slow = compare(a, b, options);
                INFO("round " << round << ", " << most << (mirrored ? " mirrored" : "") << "\n--- was\n" << was << "--- is\n" << is);
                REQUIRE(told(quick) == told(slow));
                REQUIRE(quick.any_worse() == slow.any_worse());
                REQUIRE(quick.counted.size() == slow.counted.size());
                const Changes whole = compare(a, b);
                REQUIRE(whole.units.size() == slow.units.size() + slow.counted.size());
                REQUIRE(whole.any_worse() == slow.any_worse());
                differing += whole.units.size();
                counted += quick.counted.size();
                worse += quick.any_worse();
                by_rows += quick.rows.size();
            }
        }
    }
    CHECK(differing > 5000);
    CHECK(counted > 2000);
    CHECK(worse > 100);
    CHECK(by_rows > 50);
}
