// Whatever the text: the parser ends, loses nothing, keeps its tree well formed, and says the same
// twice.
#include <catch2/catch.hpp>

#include <string>
#include <vector>

#include "syntax_support.h"

using namespace syntax_test;

namespace {

const std::vector<std::string> kPieces = {
    "blend ",
    "product ",
    "unit ",
    "let ",
    "cite ",
    "a",
    "b_c",
    "house.fir",
    "Night",
    "w/w",
    "g/ml",
    "g",
    "%",
    "% ",
    "=",
    "5",
    "12",
    "0.75",
    "2/3",
    "-18",
    "1,000",
    "2,5",
    "5-6",
    "1 1/2",
    "\xC2\xBD",
    "1\xC2\xBD",
    ".5",
    "5.",
    "1e3",
    "1e99",
    "2026-05-02",
    "2026-5-2",
    "2.5.2026",
    "2027-01",
    "0.87..0.89",
    "1..2..3",
    "1..2..3..4",
    "5..",
    "..",
    "...",
    "\xE2\x80\xA6",
    "\xE2\x80\x93",
    "\xE2\x80\x94",
    "\xE2\x88\x92",
    "-",
    "--",
    "+",
    "~",
    "\xE2\x89\x88",
    ":",
    ";",
    ",",
    ",,",
    ", ",
    ".",
    "'",
    "\"",
    "\"x\"",
    "\"a\\\"b\"",
    "\"a\\n\"",
    "\\",
    "\xE2\x80\x9C",
    "\xE2\x80\x9D",
    "\xE2\x80\x98",
    "\xE2\x80\x99",
    "\xC2\xAB",
    "\xC2\xBB",
    "#",
    "# c",
    "## d",
    "### e",
    "//",
    "/* x */",
    "/",
    "(",
    ")",
    "*",
    "\xE2\x80\xA2",
    "\xE2\x82\xAC",
    "$",
    "\xC2\xB0",
    "\xC2\xB0"
    "C",
    "\xC2\xBA",
    "\xE2\x84\x83",
    "\xC3\x97",
    "x",
    "2x",
    "\xC2\xB5l",
    "\xCE\xBCl",
    "caf\xC3\xA9",
    "e\xCC\x81",
    "v\xD0\xB5tiver",
    "\xD0\xBB\xD0\xB0",
    "night-ferry",
    "maker's",
    "\xE3\x80\x80",
    "\xC2\xA0",
    "\xE2\x80\xAF",
    "\xE2\x80\x8B",
    "\xEF\xBB\xBF",
    "\xE2\x80\xAE",
    "\xEF\xBC\x95",
    "\xEF\xBC\x85",
    "\xEF\xBC\x8C",
    "\xEF\xBD\x9B",
    "\xEF\xBD\x9D",
    "\xEF\xBC\x9A",
    "\xF0\x9F\x8C\xBF",
    "\xFF",
    "\xC3",
    "\xE2\x80",
    "\x01",
    "\x7F",
    "{",
    "}",
    "{ ",
    " }",
    "{\n",
    "}\n",
    "\n",
    "\n",
    "\n\n",
    "\r\n",
    "\r",
    "\n    ",
    " ",
    "  ",
    "\t",
    "\nblend x {\n",
    "\nunit y\n",
};

void check(Parsed& parsed, std::uint64_t seed) {
    parse_into(parsed);
    const std::string wrong = flaw(parsed);
    if (!wrong.empty()) {
        CAPTURE(seed, parsed.text, dump(parsed.tree), code_names(parsed.found));
        FAIL(wrong);
    }
    Parsed again;
    again.text = parsed.text;
    parse_into(again);
    if (dump(again.tree) != dump(parsed.tree) ||
        code_names(again.found) != code_names(parsed.found)) {
        CAPTURE(seed, parsed.text);
        FAIL("two readings of one text differ");
    }
}

/// Every entry's head with its texts unquoted.
std::string meaning(const SyntaxTree& tree) {
    std::string out;
    for (const Row& row : tree.rows) {
        if (row.kind != RowKind::entry) continue;
        for (const Item& item : tree.items_of(row)) {
            for (const Atom& atom : tree.atoms_of(item)) {
                const auto text = tree.value_text(atom);
                out += atom.kind == AtomKind::string ? "<" + string_value(text) + ">"
                                                     : letter(atom.kind) + std::string(text);
                out += ' ';
            }
            out += ',';
        }
        out += '\n';
    }
    return out;
}

}  // namespace

TEST_CASE("syntax: soups of tokens lose nothing", "[syntax][property]") {
    for (std::uint64_t seed = 1; seed <= 20000; ++seed) {
        Random random(seed);
        Parsed parsed;
        const auto length = 1 + random.below(40);
        for (std::uint32_t i = 0; i < length; ++i) {
            parsed.text += kPieces[random.below(static_cast<std::uint32_t>(kPieces.size()))];
            if (random.below(3) == 0) parsed.text += ' ';
        }
        check(parsed, seed);
    }
    SUCCEED();
}

TEST_CASE("syntax: soups of bytes lose nothing", "[syntax][property]") {
    for (std::uint64_t seed = 1; seed <= 5000; ++seed) {
        Random random(seed);
        Parsed parsed;
        const auto length = random.below(120);
        const bool ascii = random.below(2) == 0;
        for (std::uint32_t i = 0; i < length; ++i) {
            parsed.text += static_cast<char>(ascii ? 32 + random.below(96) : random.below(256));
            if (random.below(12) == 0) parsed.text += '\n';
        }
        check(parsed, seed);
    }
    SUCCEED();
}

TEST_CASE("syntax: any slice of a good file is read without a loss", "[syntax][property]") {
    const std::string good =
        "## A doc\nblend night_ferry \"Night Ferry\" {\n    intent  calming, # c\n        "
        "grounding\n\n"
        "    6 parts    ho_wood  # d\n    2/3 parts  house.fir\n}\n\nproduct p \"P\" { # e\n"
        "    blend      night_ferry at 0.87..0.89 %\n    phase x at 60 \xC2\xB0"
        "C {\n        1.5 % w/w a\n    }\n}\n"
        "unit kg = 1000 g\n";
    for (std::size_t cut = 0; cut <= good.size(); ++cut) {
        Parsed front;
        front.text = good.substr(0, cut);
        check(front, cut);
        Parsed back;
        back.text = good.substr(cut);
        check(back, cut);
        Parsed without;
        without.text = good;
        if (cut < good.size()) without.text.erase(cut, 1);
        check(without, cut);
    }
    SUCCEED();
}

TEST_CASE("syntax: a safe edit leaves nothing to mend", "[syntax][property]") {
    const std::vector<std::string> around = {
        "@",         "a @ g",         "@ g vetiver", "a b, @ g, c",     "a { @ g }",
        "a @ g # c", "unit x = @ ml", "@ % w/w",     "a\n@ b\n",        "x {\n    @ y\n}\n",
        "a @ \"t\"", "a @",           "a,\n@ b",     "\xEF\xBB\xBF@ b", "a @\r\nb\r\n"};
    std::size_t judged = 0;
    for (const std::string& context : around) {
        for (const std::string& piece : kPieces) {
            Parsed parsed;
            parsed.text = context;
            parsed.text.replace(parsed.text.find('@'), 1, piece);
            parse_into(parsed);
            const bool all_safe = std::all_of(
                parsed.found.begin(), parsed.found.end(),
                [](const Diagnostic& d) { return !d.fixes.empty() && d.fixes[0].safe; });
            if (parsed.found.size() != 1 || !all_safe) continue;
            ++judged;
            Parsed mended;
            mended.text = with_safe_edits(parsed);
            parse_into(mended);
            CAPTURE(parsed.text, code_names(parsed.found), mended.text, code_names(mended.found));
            CHECK(mended.found.empty());
            // What was meant before is what stands there after. A mended name or amount keeps its
            // meaning.
            CHECK(meaning(parsed.tree) == meaning(mended.tree));
        }
    }
    CHECK(judged > 400);
}

TEST_CASE("syntax: nesting beyond any stack, and one endless line, end in time", "[syntax]") {
    Parsed deep;
    for (int i = 0; i < 100000; ++i) deep.text += "a {\n";
    parse_into(deep);
    CHECK(code_names(deep.found) == "nested_too_deep");
    CHECK(flaw(deep) == "");
    CHECK(deep.tree.rows.size() == ResourceLimits{}.nesting + 2u);

    Parsed closed;
    for (int i = 0; i < 100000; ++i) closed.text += "a {\n";
    for (int i = 0; i < 100000; ++i) closed.text += "}\n";
    closed.text += "unit kg\n";
    parse_into(closed);
    CHECK(code_names(closed.found) == "nested_too_deep");
    CHECK(head_text(closed.tree, closed.tree.rows.back()) == "unit kg");

    Parsed line;
    line.text.assign(50u << 20, 'a');
    parse_into(line);
    CHECK(code_names(line.found) == "name_too_long");
    Parsed words;
    while (words.text.size() < (8u << 20)) words.text += "ab \"c ";
    parse_into(words);
    CHECK(words.tree.rows.size() == 1);
}

TEST_CASE("syntax: no more errors than the limit, and then one line", "[syntax]") {
    Parsed many;
    for (int i = 0; i < 300; ++i) many.text += "a 2,5 g\n";
    parse_into(many);
    CHECK(many.count(Code::decimal_comma) == ResourceLimits{}.syntax_errors_per_file);
    CHECK(many.count(Code::too_many_errors) == 1);
    CHECK(many.tree.rows.size() == 300);
    CHECK(head_text(many.tree, many.tree.rows.back()) == "a n:2.5 g");
    ResourceLimits two;
    two.syntax_errors_per_file = 2;
    Parsed few;
    few.text = "a 2,5 g\nb 5-6\nc .5\nd 5.\n";
    parse_into(few, two);
    CHECK(code_names(few.found) == "decimal_comma dash_range too_many_errors");
}
