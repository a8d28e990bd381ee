// Well-formed texts: rows, items, atoms, comments and blocks come out as the language reference
// says, without a word.
#include <catch2/catch.hpp>

#include "syntax/keywords.h"
#include "syntax_support.h"

using namespace syntax_test;

namespace {

std::string shape(const std::string& text) {
    Parsed parsed;
    parsed.text = text;
    parse_into(parsed);
    CAPTURE(text);
    CHECK(code_names(parsed.found) == "");
    CHECK(parsed.tree.complete);
    CHECK(flaw(parsed) == "");
    return dump(parsed.tree);
}

}  // namespace

TEST_CASE("syntax: rows hold items, items hold atoms", "[syntax]") {
    CHECK(shape("") == "");
    CHECK(shape("\n\n  \n") == "");
    CHECK(shape("6 parts ho_wood") == "n:6 parts ho_wood\n");
    CHECK(shape("intent calming, grounding\n") == "intent calming , grounding\n");
    CHECK(shape("70% jojoba,30% coconut\n") == "n:70 % jojoba , n:30 % coconut\n");
    CHECK(shape("density 0.87..0.88..0.89 g/ml at 20 C by gc\n") ==
          "density r:0.87..0.88..0.89 g / ml at n:20 C by gc\n");
    CHECK(shape("unit kg = 1000 g") == "unit kg = n:1000 g\n");
    CHECK(shape("rate 1 USD = 0.92 EUR on 2026-04-01") ==
          "rate n:1 USD = n:0.92 EUR on d:2026-04-01\n");
    CHECK(shape("best_before 2027-01") == "best_before m:2027-01\n");
    CHECK(shape("a -18, 2/3, -5..-3, 1/2..3/4") == "a n:-18 , n:2/3 , r:-5..-3 , r:1/2..3/4\n");
    CHECK(shape("a 60 C, 60\xC2\xB0"
                "C, 60 \xC2\xB0"
                "C") ==
          "a n:60 C , n:60 \xC2\xB0"
          "C , n:60 \xC2\xB0"
          "C\n");
    CHECK(shape("at 3 % w/w, 3 % v/v") == "at n:3 % w / w , n:3 % v / v\n");
    CHECK(shape("3 parts house.fir_smoked") == "n:3 parts house.fir_smoked\n");
    CHECK(shape("5g, 20 drops/ml, 18 EUR/h") == "n:5 g , n:20 drops / ml , n:18 EUR / h\n");
    CHECK(shape("also mL, L, pH, GF2") == "also mL , L , pH , GF2\n");
    CHECK(shape("steps \"warm it\", \"stir, then \\\"wait\\\"\"") ==
          "steps \"warm it\" , \"stir, then \\\"wait\\\"\"\n");
    CHECK(shape("a \"b # { } c\"") == "a \"b # { } c\"\n");
    CHECK(shape("a \"caf\xC3\xA9 \xE2\x80\x9Cx\xE2\x80\x9D \xC2\xBD\"") ==
          "a \"caf\xC3\xA9 \xE2\x80\x9Cx\xE2\x80\x9D \xC2\xBD\"\n");
}

TEST_CASE("syntax: a list goes on after a comma", "[syntax]") {
    CHECK(shape("a 1,\n    2,\n    3\nb\n") == "a n:1 , n:2 , n:3\nb\n");
    CHECK(shape("a 1, # one\n    # between\n    2 # two\nb\n") ==
          "a n:1 , n:2  tail: # two  comments in the list: 2\nb\n");
    CHECK(shape("x { a 1,\r\n 2 }\r\n") == "x {}\n  a n:1 , n:2\n");
}

TEST_CASE("syntax: blocks nest and close", "[syntax]") {
    CHECK(shape("x {}") == "x {}\n");
    CHECK(shape("x { }\ny") == "x {}\ny\n");
    CHECK(shape("x { a }") == "x {}\n  a\n");
    CHECK(shape("x {\n  a\n  p oil at 40 C {\n    1 % q\n    blend\n  }\n  b }\ny\n") ==
          "x {}\n  a\n  p oil at n:40 C {}\n    n:1 % q\n    blend\n  b\ny\n");
    CHECK(shape("x{p{a}}") == "x {}\n  p {}\n    a\n");
    PARSED(one, "x { a\n b\n}\nc");
    const Row& row = one.tree.rows[0];
    CHECK(row.open == 2);
    CHECK(row.close == 9);
    CHECK(row.end == 10);
    CHECK(row.head_end == 1);
    CHECK(row.next == 3);
    CHECK(one.tree.rows[1].parent == 0);
    CHECK(one.tree.rows[3].parent == 0xFFFFFFFF);
}

TEST_CASE("syntax: every comment has its place", "[syntax]") {
    CHECK(shape("# own\nx { # open\n    # inside\n    a # tail\n} # after\n# last") ==
          "# own\nx {}  tail: # after  open: # open\n  # inside\n  a  tail: # tail\n# last\n");
    CHECK(shape("x { a } # one line\n") == "x {}  tail: # one line\n  a\n");
    CHECK(shape("## Doc one\n## two\nx\n") == "## Doc one\n## two\nx\n");
    CHECK(shape("x {\n    # only\n}\n") == "x {}\n  # only\n");
    CHECK(shape("x {\n  p { a } # p\n} # x\n") == "x {}  tail: # x\n  p {}  tail: # p\n    a\n");
    PARSED(kinds, "# a\n## b\n### c\n#\n##\n");
    REQUIRE(kinds.tree.rows.size() == 5);
    CHECK(kinds.tree.rows[0].kind == RowKind::comment);
    CHECK(kinds.tree.rows[1].kind == RowKind::doc);
    CHECK(kinds.tree.rows[2].kind == RowKind::comment);
    CHECK(kinds.tree.rows[3].kind == RowKind::comment);
    CHECK(kinds.tree.rows[4].kind == RowKind::doc);
    PARSED(returns, "# a\r\nb # c\r\n");
    CHECK(returns.tree.view(returns.tree.rows[0].begin, returns.tree.rows[0].end) == "# a");
    CHECK(returns.tree.view(returns.tree.comments[0].begin, returns.tree.comments[0].end) == "# c");
}

TEST_CASE("syntax: line ends of both kinds and a byte order mark read alike", "[syntax]") {
    const std::string plain = "x \"X\" {\n    a 1,\n      2\n\n    b\n}\n";
    std::string returns;
    for (const char c : plain) returns += c == '\n' ? std::string("\r\n") : std::string(1, c);
    CHECK(shape(plain) == shape(returns));
    CHECK(shape(plain) == shape("\xEF\xBB\xBF" + plain));
}

TEST_CASE("syntax: offsets count from the text, spans from the file", "[syntax]") {
    Bag bag;
    const auto tree = parse(FileId{7}, "a 2,5 g", ResourceLimits{}, bag, 1000);
    CHECK(tree.rows[0].begin == 0);
    CHECK(tree.span(tree.atoms[1]).begin == 1002);
    CHECK(tree.span(tree.atoms[1]).file == FileId{7});
    REQUIRE(bag.size() == 1);
    CHECK(bag.items()[0].span == Span{FileId{7}, 1002, 1005});
    CHECK(bag.items()[0].fixes[0].edits[0].span == Span{FileId{7}, 1002, 1005});
}

TEST_CASE("syntax: what strings hold", "[syntax]") {
    CHECK(string_value("\"\"") == "");
    CHECK(string_value("\"abc\"") == "abc");
    CHECK(string_value("\"a \\\"b\\\" \\\\ c\"") == "a \"b\" \\ c");
    CHECK(string_value("\"a\\n\"") == "a\\n");
    CHECK(string_value("\"open") == "open");
    CHECK(string_value("\"") == "");
    CHECK(string_value("") == "");
}

TEST_CASE("syntax: the recovery words are in order and each is one", "[syntax]") {
    CHECK(std::is_sorted(kDeclarationWords.begin(), kDeclarationWords.end()));
    for (const auto word : kDeclarationWords) CHECK(is_declaration_word(word));
    CHECK_FALSE(is_declaration_word("phase"));
    CHECK_FALSE(is_declaration_word(""));
    CHECK(is_one_row_declaration("unit"));
    CHECK_FALSE(is_one_row_declaration("blend"));
}

TEST_CASE("syntax: the words used in the middle of names are atoms of their own only apart",
          "[syntax]") {
    CHECK(shape("a.b c") == "a.b c\n");
    CHECK(shape("a1_b2") == "a1_b2\n");
    CHECK(shape("5th") == "n:5 th\n");
    CHECK(shape("1000 g") == "n:1000 g\n");
    CHECK(shape("a 2026.1") == "a n:2026.1\n");
}
