// Laws of the three-way merge over seeded random recipes: identities, symmetry, independent edits, no amount made up, and that
// no text harms it.
#include <catch2/catch.hpp>

#include <algorithm>
#include <map>
#include <random>
#include <set>
#include <string>
#include <vector>

#include "layout/format.h"
#include "merge/merge.h"
#include "syntax/parser.h"

using namespace scruple;

namespace {

using Chance = std::mt19937;

std::size_t below(Chance& chance, std::size_t n) { return std::uniform_int_distribution<std::size_t>(0, n - 1)(chance); }
bool one_in(Chance& chance, std::size_t n) { return below(chance, n) == 0; }

/// A recipe before it is text.
struct MergeRow {
    std::string key;   // the oil or the field
    std::string text;
    std::string above; // a comment on a line of its own, or nothing
};
struct MergeDeclaration {
    std::string head;
    std::vector<MergeRow> rows;
};
using MergeRecipe = std::map<std::string, MergeDeclaration>;

std::string text_of(const MergeRecipe& recipe) {
    std::string out;
    for (const auto& [name, d] : recipe) {
        if (!out.empty()) out += "\n";
        out += d.head + " {\n";
        for (const auto& row : d.rows) out += row.above + "    " + row.text + "\n";
        out += "}\n";
    }
    return out;
}

std::string amount_row(int parts, const std::string& oil) { return std::to_string(parts) + " parts " + oil; }

MergeRecipe some_recipe(Chance& chance) {
    MergeRecipe out;
    const std::size_t blends = 1 + below(chance, 4);
    for (std::size_t b = 0; b < blends; ++b) {
        MergeDeclaration d;
        d.head = "blend b" + std::to_string(b) + " \"Blend\"";
        const std::size_t oils = 3 + below(chance, 5);
        for (std::size_t i = 0; i < oils; ++i) {
            const std::string oil = "oil_" + std::to_string(i);
            d.rows.push_back({oil, amount_row(2 + static_cast<int>(below(chance, 40)), oil), one_in(chance, 5) ? "    # smelt twice\n" : ""});
        }
        out["b" + std::to_string(b)] = d;
        MergeDeclaration p;
        p.head = "product p" + std::to_string(b);
        p.rows = {{"blend", "blend b" + std::to_string(b) + " at " + std::to_string(1 + below(chance, 4)) + " %", ""},
                  {"format", "format roll_on of 10 ml", ""},
                  {"make", "make " + std::to_string(12 + below(chance, 30)), one_in(chance, 5) ? "    # for the fair\n" : ""}};
        out["p" + std::to_string(b)] = p;
    }
    return out;
}

/// One edit; what it touched goes into `touched`. Keeps away from what stands in `taken`.
bool edit(MergeRecipe& recipe, Chance& chance, const std::set<std::string>& taken, std::set<std::string>& touched, int tag) {
    std::vector<std::string> names;
    for (const auto& [name, d] : recipe) names.push_back(name);
    const std::string name = names[below(chance, names.size())];
    MergeDeclaration& d = recipe[name];
    const auto free = [&](const std::string& key) { return !taken.contains(name + "/" + key) && !taken.contains(name); };
    switch (below(chance, 4)) {
        case 0: {  // a row otherwise
            MergeRow& row = d.rows[below(chance, d.rows.size())];
            if (!free(row.key)) return false;
            if (name[0] == 'b') row.text = amount_row(100 + tag * 50 + static_cast<int>(below(chance, 40)), row.key);
            else if (row.key == "make") row.text = "make " + std::to_string(100 + tag * 50 + static_cast<int>(below(chance, 40)));
            else if (row.key == "blend") row.text = "blend " + std::string("b") + name.substr(1) + " at 0." + std::to_string(1 + tag) + " %";
            else return false;
            touched.insert(name + "/" + row.key);
            return true;
        }
        case 1: {  // a row more
            if (name[0] != 'b') return false;
            const std::string oil = "new_" + std::to_string(tag) + "_" + std::to_string(below(chance, 1000));
            if (!free(oil)) return false;
            d.rows.push_back({oil, amount_row(1 + static_cast<int>(below(chance, 9)), oil), ""});
            touched.insert(name + "/" + oil);
            return true;
        }
        case 2: {  // a row less
            if (name[0] != 'b' || d.rows.size() < 4) return false;
            const std::size_t at = below(chance, d.rows.size());
            if (!free(d.rows[at].key)) return false;
            touched.insert(name + "/" + d.rows[at].key);
            d.rows.erase(d.rows.begin() + static_cast<std::ptrdiff_t>(at));
            return true;
        }
        default: {  // a declaration more
            const std::string fresh = "n" + std::to_string(tag) + "_" + std::to_string(below(chance, 1000));
            if (recipe.contains(fresh)) return false;
            recipe[fresh] = {"blend " + fresh, {{"oil_1", amount_row(1, "oil_1"), ""}, {"oil_2", amount_row(2, "oil_2"), ""}}};
            touched.insert(fresh);
            return true;
        }
    }
}

MergeRecipe edited(const MergeRecipe& base, Chance& chance, int edits, const std::set<std::string>& taken, std::set<std::string>& touched, int tag) {
    MergeRecipe out = base;
    for (int i = 0; i < edits; ++i) edit(out, chance, taken, touched, tag);
    return out;
}

std::string in_layout(const std::string& text) {
    return format_text(FileId::none, text).layout.text;
}

/// Declarations and their rows as sets: where order means nothing.
std::map<std::string, std::multiset<std::string>> said(const std::string& text) {
    std::map<std::string, std::multiset<std::string>> out;
    Bag bag;
    const SyntaxTree tree = parse(FileId::none, text, ResourceLimits{}, bag);
    const auto words = [&](const Row& row) {
        std::string line;
        for (const Item& item : tree.items_of(row)) {
            for (const Atom& atom : tree.atoms_of(item)) line += std::string(tree.value_text(atom)) + " ";
        }
        return line;
    };
    for (std::uint32_t r = 0; r < tree.rows.size(); r = tree.rows[r].next) {
        if (tree.rows[r].kind != RowKind::entry) continue;
        auto& rows = out[words(tree.rows[r])];
        for (std::uint32_t c = tree.children_begin(r); c < tree.children_end(r); c = tree.rows[c].next) {
            if (tree.rows[c].kind == RowKind::entry) rows.insert(words(tree.rows[c]));
        }
    }
    return out;
}

/// The text with the sides of every conflict changed about.
std::string swapped(const std::string& text) {
    std::string out, ours, theirs;
    int in = 0;
    for (std::size_t at = 0; at < text.size();) {
        const auto end = std::min(text.find('\n', at), text.size() - 1) + 1;
        const std::string line = text.substr(at, end - at);
        at = end;
        if (line.starts_with("<<<<<<< ")) {
            in = 1;
            ours.clear();
            theirs.clear();
        } else if (in == 1 && line == "=======\n") {
            in = 2;
        } else if (in == 2 && line.starts_with(">>>>>>> ")) {
            out += "<<<<<<< ours\n" + theirs + "=======\n" + ours + ">>>>>>> theirs\n";
            in = 0;
        } else {
            (in == 0 ? out : in == 1 ? ours : theirs) += line;
        }
    }
    return out;
}

}  // namespace

TEST_CASE("a merge with a side that did nothing is the other side, byte for byte") {
    Chance chance(11);
    for (int i = 0; i < 400; ++i) {
        const MergeRecipe base = some_recipe(chance);
        std::set<std::string> touched;
        const std::string b = text_of(base);
        const std::string o = text_of(edited(base, chance, 1 + static_cast<int>(below(chance, 5)), {}, touched, 1));
        CHECK(merge_recipes(b, o, b).text == o);
        CHECK(merge_recipes(b, b, o).text == o);
        CHECK(merge_recipes(b, o, o).text == o);
        CHECK(merge_recipes(b, b, b).text == b);
    }
}

TEST_CASE("edits of different rows merge, and give what both edits give") {
    Chance chance(12);
    int merged = 0;
    for (int i = 0; i < 2000; ++i) {
        const MergeRecipe base = some_recipe(chance);
        std::set<std::string> ours, theirs;
        const MergeRecipe o = edited(base, chance, 1, {}, ours, 1);
        const MergeRecipe t = edited(base, chance, 1, ours, theirs, 2);
        if (ours.empty() || theirs.empty()) continue;
        // Both edits, one after the other.
        MergeRecipe both = o;
        for (const auto& [name, d] : t) {
            if (!base.contains(name)) {
                both[name] = d;
                continue;
            }
            const auto& was = base.at(name).rows;
            for (const auto& row : d.rows) {
                const auto old = std::find_if(was.begin(), was.end(), [&](const MergeRow& r) { return r.key == row.key; });
                if (old != was.end() && old->text == row.text) continue;
                auto& rows = both[name].rows;
                const auto at = std::find_if(rows.begin(), rows.end(), [&](const MergeRow& r) { return r.key == row.key; });
                if (at == rows.end()) rows.push_back(row);
                else *at = row;
            }
            for (const auto& row : was) {
                const bool gone = std::none_of(d.rows.begin(), d.rows.end(), [&](const MergeRow& r) { return r.key == row.key; });
                if (gone) std::erase_if(both[name].rows, [&](const MergeRow& r) { return r.key == row.key; });
            }
        }
        const MergeResult result = merge_recipes(text_of(base), text_of(o), text_of(t));
        INFO(text_of(base) + "-----\n" + text_of(o) + "-----\n" + text_of(t) + "-----\n" + result.text);
        REQUIRE(result.trouble == MergeResult::Trouble::none);
        REQUIRE(result.conflicts.empty());
        REQUIRE(said(result.text) == said(text_of(both)));
        ++merged;
    }
    CHECK(merged > 800);
}

TEST_CASE("a merge is the same whichever side is ours") {
    Chance chance(13);
    int conflicts = 0;
    for (int i = 0; i < 1500; ++i) {
        const MergeRecipe base = some_recipe(chance);
        std::set<std::string> touched;
        std::string b = text_of(base);
        std::string o = text_of(edited(base, chance, 1 + static_cast<int>(below(chance, 4)), {}, touched, 1));
        std::string t = text_of(edited(base, chance, 1 + static_cast<int>(below(chance, 4)), {}, touched, 2));
        if (one_in(chance, 4)) o = in_layout(o);
        const MergeResult one = merge_recipes(b, o, t);
        const MergeResult other = merge_recipes(b, t, o);
        INFO(b + "-----\n" + o + "-----\n" + t + "-----\n" + one.text + "-----\n" + other.text);
        REQUIRE(one.trouble == other.trouble);
        REQUIRE(one.conflicts.size() == other.conflicts.size());
        REQUIRE(one.text == swapped(other.text));
        conflicts += !one.conflicts.empty();
    }
    CHECK(conflicts > 40);
}

TEST_CASE("a merge makes up no amount, and what it calls clean is a recipe") {
    Chance chance(14);
    for (int i = 0; i < 1500; ++i) {
        const MergeRecipe base = some_recipe(chance);
        std::set<std::string> touched;
        const std::string b = text_of(base);
        const std::string o = text_of(edited(base, chance, 1 + static_cast<int>(below(chance, 6)), {}, touched, 1));
        const std::string t = text_of(edited(base, chance, 1 + static_cast<int>(below(chance, 6)), {}, touched, 2));
        const MergeResult result = merge_recipes(b, o, t);
        REQUIRE(result.trouble == MergeResult::Trouble::none);
        if (!result.conflicts.empty()) continue;
        Bag bag;
        REQUIRE(parse(FileId::none, result.text, ResourceLimits{}, bag).complete);
        const auto sb = said(b), so = said(o), st = said(t);
        const auto merged = said(result.text);
        for (const auto& declaration : merged) {
            const std::string& head = declaration.first;
            for (const auto& row : declaration.second) {
                const auto has = [&](const auto& side) { return side.contains(head) && side.at(head).contains(row); };
                INFO(head + row);
                REQUIRE((has(sb) || has(so) || has(st)));
            }
        }
    }
}

TEST_CASE("a ratio counted anew on one side and edited on the other is a conflict, whichever way it is counted") {
    Chance chance(15);
    for (int i = 0; i < 600; ++i) {
        MergeRecipe base;
        MergeDeclaration d;
        d.head = "blend b0 \"Blend\"";
        const int oils = 2 + static_cast<int>(below(chance, 5));
        std::vector<int> parts;
        for (int k = 0; k < oils; ++k) {
            parts.push_back(2 * (1 + static_cast<int>(below(chance, 12))));
            d.rows.push_back({"oil_" + std::to_string(k), amount_row(parts.back(), "oil_" + std::to_string(k)), ""});
        }
        base["b0"] = d;
        MergeRecipe scaled = base, changed = base;
        const std::size_t way = below(chance, 3);
        for (int k = 0; k < oils; ++k) {
            auto& row = scaled["b0"].rows[static_cast<std::size_t>(k)];
            if (way == 0) row.text = amount_row(parts[static_cast<std::size_t>(k)] * 3, row.key);
            if (way == 1) row.text = amount_row(parts[static_cast<std::size_t>(k)] / 2, row.key);
            if (way == 2) row.text = std::to_string(parts[static_cast<std::size_t>(k)]) + " drops " + row.key;
        }
        const std::size_t at = below(chance, static_cast<std::size_t>(oils));
        switch (below(chance, 3)) {
            case 0: changed["b0"].rows[at].text = amount_row(parts[at] + 1, changed["b0"].rows[at].key); break;
            case 1: changed["b0"].rows.push_back({"fresh", amount_row(1, "fresh"), ""}); break;
            default: changed["b0"].rows.erase(changed["b0"].rows.begin() + static_cast<std::ptrdiff_t>(at)); break;
        }
        const MergeResult result = merge_recipes(text_of(base), text_of(scaled), text_of(changed));
        INFO(text_of(base) + "-----\n" + text_of(scaled) + "-----\n" + text_of(changed) + "-----\n" + result.text);
        REQUIRE_FALSE(result.conflicts.empty());
        REQUIRE(merge_recipes(text_of(base), text_of(changed), text_of(scaled)).conflicts.size() == result.conflicts.size());
    }
}

TEST_CASE("no text harms a merge") {
    Chance chance(16);
    const std::string pieces[] = {"blend ", "{", "}", "\n", "\r\n", "#", "\"", " 3 parts ", "oil", ",", "%", "\xff", "\xEF\xBB\xBF", "product p", "<<<<<<< ours\n", "=======\n", "\t", "phase a {", "bench b {", "##"};
    for (int i = 0; i < 3000; ++i) {
        std::string texts[3];
        std::string common = one_in(chance, 2) ? text_of(some_recipe(chance)) : "";
        for (auto& text : texts) {
            text = common;
            const std::size_t edits = below(chance, 12);
            for (std::size_t k = 0; k < edits; ++k) {
                const std::size_t at = text.empty() ? 0 : below(chance, text.size());
                if (one_in(chance, 3) && !text.empty()) text.erase(at, 1 + below(chance, 30));
                else text.insert(at, pieces[below(chance, std::size(pieces))]);
            }
        }
        const MergeResult one = merge_recipes(texts[0], texts[1], texts[2]);
        const MergeResult other = merge_recipes(texts[0], texts[2], texts[1]);
        INFO(texts[0] + "-----\n" + texts[1] + "-----\n" + texts[2]);
        CHECK(one.trouble != MergeResult::Trouble::fault);
        CHECK((one.trouble == MergeResult::Trouble::none) == (other.trouble == MergeResult::Trouble::none));
        CHECK(one.conflicts.size() == other.conflicts.size());
    }
}
