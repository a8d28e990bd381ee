// What phones and habits type: each slip gets its own code at its own place, gives what was meant,
// and is mended by its edit. Characters by their numbers in the Unicode Standard.
#include <catch2/catch.hpp>

#include <set>

#include "syntax_support.h"

using namespace syntax_test;

namespace {

enum class Edited { safe, perhaps, none };

struct Slip {
    const char* text;
    Code code;
    const char* place;  // what the finding points at
    const char* meant;  // head_text of the first row
    Edited edited;
    const char* mended;  // text after the first fix
};

const Slip kSlips[] = {
    {"a 2,5 g", Code::decimal_comma, "2,5", "a n:2.5 g", Edited::safe, "a 2.5 g"},
    {"a 0,125 g", Code::decimal_comma, "0,125", "a n:0.125 g", Edited::safe, "a 0.125 g"},
    {"a 1250,5 g", Code::decimal_comma, "1250,5", "a n:1250.5 g", Edited::safe, "a 1250.5 g"},
    {"a 1.250,5 g", Code::decimal_comma, "1.250,5", "a n:1250.5 g", Edited::safe, "a 1250.5 g"},
    {"a -2,5 C", Code::decimal_comma, "-2,5", "a n:-2.5 C", Edited::safe, "a -2.5 C"},
    {"a 0,87..0,89 g", Code::decimal_comma, "0,87..0,89", "a r:0.87..0.89 g", Edited::safe,
     "a 0.87..0.89 g"},
    {"a 2,5%", Code::decimal_comma, "2,5", "a n:2.5 %", Edited::safe, "a 2.5%"},
    {"a 1,000 g", Code::thousands_comma, "1,000", "a n:1000 g", Edited::perhaps, "a 1000 g"},
    {"a 1,000,000 g", Code::thousands_comma, "1,000,000", "a n:1000000 g", Edited::safe,
     "a 1000000 g"},
    {"a 1,000.5 g", Code::thousands_comma, "1,000.5", "a n:1000.5 g", Edited::safe, "a 1000.5 g"},
    {"a 1 000 g", Code::thousands_comma, "1 000", "a n:1000 g", Edited::perhaps, "a 1000 g"},
    {"a 1\xE2\x80\xAF"
     "000 g",
     Code::thousands_comma,
     "1\xE2\x80\xAF"
     "000",
     "a n:1000 g", Edited::safe, "a 1000 g"},
    {"a 1'000 g", Code::thousands_comma, "1'000", "a n:1000 g", Edited::safe, "a 1000 g"},
    {"a 1.000.000 g", Code::thousands_comma, "1.000.000", "a n:1000000 g", Edited::safe,
     "a 1000000 g"},
    {"a 5-6 g", Code::dash_range, "5-6", "a r:5..6 g", Edited::safe, "a 5..6 g"},
    {"a 0.87-0.89 g", Code::dash_range, "0.87-0.89", "a r:0.87..0.89 g", Edited::safe,
     "a 0.87..0.89 g"},
    {"a 25-32-38 %", Code::dash_range, "25-32-38", "a r:25..32..38 %", Edited::safe,
     "a 25..32..38 %"},
    {"a 5 - 6 g", Code::dash_range, "5 - 6", "a r:5..6 g", Edited::safe, "a 5..6 g"},
    {"a 5 -6 g", Code::dash_range, "5 -6", "a r:5..6 g", Edited::perhaps, "a 5..6 g"},
    {"a 5\xE2\x80\x93"
     "6 g",
     Code::dash_range,
     "5\xE2\x80\x93"
     "6",
     "a r:5..6 g", Edited::safe, "a 5..6 g"},
    {"a -18--15 C", Code::dash_range, "-18--15", "a r:-18..-15 C", Edited::safe, "a -18..-15 C"},
    {"a 2,5-3,5 g", Code::dash_range, "2,5-3,5", "a r:2.5..3.5 g", Edited::safe, "a 2.5..3.5 g"},
    {"a 5g-6g", Code::dash_range, "5g-6", "a n:5 g bad:- n:6 g", Edited::perhaps, "a 5..6g"},
    {"a 5%-6%", Code::dash_range, "5%-6", "a n:5 % bad:- n:6 %", Edited::perhaps, "a 5..6%"},
    {"a 5...6 g", Code::range_points, "5...6", "a r:5..6 g", Edited::safe, "a 5..6 g"},
    {"a 5\xE2\x80\xA6"
     "6 g",
     Code::range_points,
     "5\xE2\x80\xA6"
     "6",
     "a r:5..6 g", Edited::safe, "a 5..6 g"},
    {"a 5 .. 6 g", Code::range_points, "5 .. 6", "a r:5..6 g", Edited::safe, "a 5..6 g"},
    {"on 2026-5-2", Code::date_form, "2026-5-2", "on d:2026-05-02", Edited::safe, "on 2026-05-02"},
    {"on 2026/05/02", Code::date_form, "2026/05/02", "on d:2026-05-02", Edited::safe,
     "on 2026-05-02"},
    {"on 2026.05.02", Code::date_form, "2026.05.02", "on d:2026-05-02", Edited::safe,
     "on 2026-05-02"},
    {"on 31.12.2026", Code::date_form, "31.12.2026", "on d:2026-12-31", Edited::safe,
     "on 2026-12-31"},
    {"on 12/31/2026", Code::date_form, "12/31/2026", "on d:2026-12-31", Edited::safe,
     "on 2026-12-31"},
    {"on 2.5.2026", Code::date_form, "2.5.2026", "on d:2026-05-02", Edited::perhaps,
     "on 2026-05-02"},
    {"on 2/5/2026", Code::date_form, "2/5/2026", "on d:2026-05-02", Edited::perhaps,
     "on 2026-05-02"},
    {"on 2027-1", Code::date_form, "2027-1", "on m:2027-01", Edited::safe, "on 2027-01"},
    {"a 1 1/2 g", Code::mixed_number, "1 1/2", "a n:3/2 g", Edited::safe, "a 3/2 g"},
    {"a 2 3/4 g", Code::mixed_number, "2 3/4", "a n:11/4 g", Edited::safe, "a 11/4 g"},
    {"a 1-1/2 g", Code::mixed_number, "1-1/2", "a n:3/2 g", Edited::safe, "a 3/2 g"},
    {"a \xC2\xBD g", Code::fraction_character, "\xC2\xBD", "a n:1/2 g", Edited::safe, "a 1/2 g"},
    {"a 1\xC2\xBD g", Code::fraction_character, "1\xC2\xBD", "a n:3/2 g", Edited::safe, "a 3/2 g"},
    {"a 1 \xC2\xBD g", Code::fraction_character, "1 \xC2\xBD", "a n:3/2 g", Edited::safe,
     "a 3/2 g"},
    {"a 1\xE2\x81\x84"
     "2 g",
     Code::fraction_character,
     "1\xE2\x81\x84"
     "2",
     "a n:1/2 g", Edited::safe, "a 1/2 g"},
    {"a \xC2\xBC..\xC2\xBE g", Code::fraction_character, "\xC2\xBC..\xC2\xBE", "a r:1/4..3/4 g",
     Edited::safe, "a 1/4..3/4 g"},
    {"a .5 g", Code::bare_point, ".5", "a n:0.5 g", Edited::safe, "a 0.5 g"},
    {"a -.5 C", Code::bare_point, "-.5", "a n:-0.5 C", Edited::safe, "a -0.5 C"},
    {"a 5. g", Code::trailing_point, "5.", "a n:5 g", Edited::safe, "a 5 g"},
    {"a 1e3 g", Code::exponent, "1e3", "a n:1000 g", Edited::safe, "a 1000 g"},
    {"a 1.5E-3 g", Code::exponent, "1.5E-3", "a n:0.0015 g", Edited::safe, "a 0.0015 g"},
    {"a 12.50e+1 g", Code::exponent, "12.50e+1", "a n:125 g", Edited::safe, "a 125 g"},
    {"a 1e99 g", Code::exponent, "1e99", "a bad:1e99 g", Edited::none, ""},
    {"a 5 \xC2\xB5l", Code::micro_sign, "\xC2\xB5l", "a n:5 ul", Edited::safe, "a 5 ul"},
    {"a 5 \xCE\xBCg", Code::micro_sign, "\xCE\xBCg", "a n:5 ug", Edited::safe, "a 5 ug"},
    {"a 5\xC2\xB5l", Code::micro_sign, "\xC2\xB5l", "a n:5 ul", Edited::safe, "a 5ul"},
    {"at 3 %w/w", Code::joined_basis, "%w", "at n:3 % w / w", Edited::safe, "at 3 % w/w"},
    {"a 3%of fats", Code::joined_basis, "%o", "a n:3 % of fats", Edited::safe, "a 3% of fats"},
    {"a \xE2\x88\x92"
     "18 C",
     Code::dash_character,
     "\xE2\x88\x92"
     "18",
     "a n:-18 C", Edited::safe, "a -18 C"},
    {"a \xE2\x80\x93"
     "18 C",
     Code::dash_character,
     "\xE2\x80\x93"
     "18",
     "a n:-18 C", Edited::safe, "a -18 C"},
    {"on 2026\xE2\x80\x93"
     "05\xE2\x80\x93"
     "02",
     Code::dash_character,
     "2026\xE2\x80\x93"
     "05\xE2\x80\x93"
     "02",
     "on d:2026-05-02", Edited::safe, "on 2026-05-02"},
    {"a \xE2\x80\x9CNight Ferry\xE2\x80\x9D", Code::curly_quote,
     "\xE2\x80\x9CNight Ferry\xE2\x80\x9D", "a \"Night Ferry\"", Edited::safe, "a \"Night Ferry\""},
    {"a \xE2\x80\x9ENight\xE2\x80\x9C b", Code::curly_quote, "\xE2\x80\x9ENight\xE2\x80\x9C",
     "a \"Night\" b", Edited::safe, "a \"Night\" b"},
    {"a \xC2\xABNight\xC2\xBB b", Code::curly_quote, "\xC2\xABNight\xC2\xBB", "a \"Night\" b",
     Edited::safe, "a \"Night\" b"},
    {"a \"Night\xE2\x80\x9D b", Code::curly_quote, "\"Night\xE2\x80\x9D", "a \"Night\" b",
     Edited::safe, "a \"Night\" b"},
    {"a \xC2\xABNight \"F\"\xC2\xBB", Code::curly_quote, "\xC2\xABNight \"F\"\xC2\xBB",
     "a \"Night \\\"F\\\"\"", Edited::safe, "a \"Night \\\"F\\\"\""},
    {"a 'Night Ferry'", Code::single_quote, "'Night Ferry'", "a \"Night Ferry\"", Edited::safe,
     "a \"Night Ferry\""},
    {"a 'Baker's dozen'", Code::single_quote, "'Baker's dozen'", "a \"Baker's dozen\"",
     Edited::safe, "a \"Baker's dozen\""},
    {"a\xC2\xA0"
     "5 g",
     Code::no_break_space, "\xC2\xA0", "a n:5 g", Edited::safe, "a 5 g"},
    {"a 5\xC2\xA0g", Code::no_break_space, "\xC2\xA0", "a n:5 g", Edited::safe, "a 5 g"},
    {"a 5\xE3\x80\x80g", Code::no_break_space, "\xE3\x80\x80", "a n:5 g", Edited::safe, "a 5 g"},
    {"a ve\xE2\x80\x8Btiver", Code::invisible_character, "ve\xE2\x80\x8Btiver", "a vetiver",
     Edited::safe, "a vetiver"},
    {"a \xEF\xBB\xBFvetiver", Code::invisible_character, "\xEF\xBB\xBF", "a vetiver", Edited::safe,
     "a vetiver"},
    {"a 5\xE2\x80\x8B"
     "0 g",
     Code::invisible_character,
     "5\xE2\x80\x8B"
     "0",
     "a n:50 g", Edited::safe, "a 50 g"},
    {"a\x01 5 g", Code::invisible_character, "\x01", "a n:5 g", Edited::safe, "a 5 g"},
    {"a \xEF\xBC\x95\xEF\xBC\x90 g", Code::full_width, "\xEF\xBC\x95\xEF\xBC\x90", "a n:50 g",
     Edited::safe, "a 50 g"},
    {"a 5 \xEF\xBC\x85", Code::full_width, "\xEF\xBC\x85", "a n:5 %", Edited::safe, "a 5 %"},
    {"a b\xEF\xBC\x8C c", Code::full_width, "\xEF\xBC\x8C", "a b , c", Edited::safe, "a b, c"},
    {"a \xEF\xBD\x87", Code::full_width, "\xEF\xBD\x87", "a g", Edited::safe, "a g"},
    {"a 5 g;", Code::semicolon, ";", "a n:5 g", Edited::safe, "a 5 g"},
    {"a 5 g; b 6 g", Code::semicolon, ";", "a n:5 g", Edited::safe, "a 5 g\nb 6 g"},
    {"parts: 5", Code::colon, ":", "parts n:5", Edited::safe, "parts 5"},
    {"parts:5", Code::colon, ":", "parts n:5", Edited::safe, "parts 5"},
    {"load : 3 %", Code::colon, ":", "load n:3 %", Edited::safe, "load  3 %"},
    {"at %3", Code::percent_first, "%3", "at n:3 %", Edited::safe, "at 3 %"},
    {"at %0.5 w/w", Code::percent_first, "%0.5", "at n:0.5 % w / w", Edited::safe, "at 0.5 % w/w"},
    {"at 60 \xC2\xB0 C", Code::degree_sign, "\xC2\xB0 C", "at n:60 C", Edited::safe, "at 60 C"},
    {"at 60 \xC2\xBA C", Code::degree_sign, "\xC2\xBA C", "at n:60 C", Edited::safe, "at 60 C"},
    {"at 60\xC2\xBA"
     "C",
     Code::degree_sign,
     "\xC2\xBA"
     "C",
     "at n:60 C", Edited::safe, "at 60C"},
    {"at 60 \xE2\x84\x83", Code::degree_sign, "\xE2\x84\x83", "at n:60 C", Edited::safe, "at 60 C"},
    {"2x vetiver", Code::times_sign, "x", "n:2 parts vetiver", Edited::perhaps, "2 parts vetiver"},
    {"2 \xC3\x97 vetiver", Code::times_sign, "\xC3\x97", "n:2 parts vetiver", Edited::perhaps,
     "2 parts vetiver"},
    {"a 5 // why", Code::slash_comment, "//", "a n:5", Edited::safe, "a 5 # why"},
    {"a 5 /* why */", Code::slash_comment, "/*", "a n:5", Edited::safe, "a 5 # why */"},
    {"a ~5 g", Code::approximate_sign, "~5", "a n:5 g", Edited::perhaps, "a 5 g"},
    {"a \xE2\x89\x88 5 g", Code::approximate_sign, "\xE2\x89\x88 5", "a n:5 g", Edited::perhaps,
     "a 5 g"},
    {"a +5 g", Code::plus_sign, "+5", "a n:5 g", Edited::safe, "a 5 g"},
    {"a v\xD0\xB5tiver", Code::lookalike_letter, "v\xD0\xB5tiver", "a vetiver", Edited::safe,
     "a vetiver"},
    {"a h\xCE\xBF_wood", Code::lookalike_letter, "h\xCE\xBF_wood", "a ho_wood", Edited::safe,
     "a ho_wood"},
    {"a night-ferry", Code::bad_name, "night-ferry", "a night_ferry", Edited::safe,
     "a night_ferry"},
    {"a night\xE2\x80\x91"
     "ferry",
     Code::bad_name,
     "night\xE2\x80\x91"
     "ferry",
     "a night_ferry", Edited::safe, "a night_ferry"},
    {"a n\xC3\xA9roli", Code::bad_name, "n\xC3\xA9roli", "a neroli", Edited::perhaps, "a neroli"},
    {"a ne\xCC\x81roli", Code::bad_name, "ne\xCC\x81roli", "a neroli", Edited::perhaps, "a neroli"},
    {"a \xD0\xBB\xD0\xB0\xD0\xB4", Code::bad_name, "\xD0\xBB\xD0\xB0\xD0\xB4",
     "a bad:\xD0\xBB\xD0\xB0\xD0\xB4", Edited::none, ""},
    {"a \"b\\n\" c", Code::unknown_escape, "\\n", "a \"b\\n\" c", Edited::safe, "a \"b\\\\n\" c"},
    {"a \"Night Ferry", Code::unclosed_string, "\"Night Ferry", "a \"Night Ferry\"",
     Edited::perhaps, "a \"Night Ferry\""},
    {"a 11.40 \xE2\x82\xAC", Code::unexpected_text, "\xE2\x82\xAC", "a n:11.40 EUR",
     Edited::perhaps, "a 11.40  EUR"},
    {"- 5 parts a", Code::unexpected_text, "-", "n:5 parts a", Edited::safe, "5 parts a"},
    {"\xE2\x80\xA2 5 parts a", Code::unexpected_text, "\xE2\x80\xA2", "n:5 parts a", Edited::safe,
     "5 parts a"},
    {"a 5 g.", Code::unexpected_text, ".", "a n:5 g", Edited::safe, "a 5 g"},
    {"a (5 g)", Code::unexpected_text, "(", "a bad:( n:5 g bad:)", Edited::none, ""},
    {"a 1.2.3", Code::unexpected_text, "1.2.3", "a bad:1.2.3", Edited::none, ""},
    {"a 0.91....0.92 g", Code::unexpected_text, "0.91....0.92", "a bad:0.91....0.92 g",
     Edited::none, ""},
    {"a ..0.92 g", Code::unexpected_text, "..0.92", "a bad:..0.92 g", Edited::none, ""},
    {"a 30.. ..37 g", Code::unexpected_text, "30.. ..37", "a bad:30.. ..37 g", Edited::none, ""},
    {"a 5..", Code::unexpected_text, "5..", "a bad:5..", Edited::none, ""},
    {"a b,", Code::trailing_comma, ",", "a b", Edited::perhaps, "a b"},
    {"a b,, c", Code::empty_item, ",", "a b , c", Edited::perhaps, "a b, c"},
    {"a b\n, c", Code::empty_item, ",", "a b , c", Edited::safe, "a b,\n c"},
    {", a", Code::empty_item, ",", "a", Edited::perhaps, " a"},
    {"a ## b", Code::misplaced_doc, "##", "a", Edited::safe, "a # b"},
};

}  // namespace

TEST_CASE(
    "syntax: one slip, one finding, at its place, with what was meant and an edit that mends it",
    "[syntax]") {
    for (const Slip& slip : kSlips) {
        PARSED(parsed, slip.text);
        CAPTURE(parsed.text, code_names(parsed.found));
        REQUIRE(parsed.found.size() == 1);
        const Diagnostic& d = parsed.found[0];
        CHECK(code_info(d.code).name == code_info(slip.code).name);
        CHECK(parsed.at(d.span) == slip.place);
        CHECK(head_text(parsed.tree, parsed.tree.rows[0]) == slip.meant);
        CHECK(flaw(parsed) == "");
        if (slip.edited == Edited::none) {
            CHECK(d.fixes.empty());
            continue;
        }
        REQUIRE_FALSE(d.fixes.empty());
        CHECK(d.fixes[0].safe == (slip.edited == Edited::safe));
        PARSED(mended, with_safe_edits(parsed, false));
        CHECK(mended.text == slip.mended);
        CHECK(code_names(mended.found) == "");
    }
}

TEST_CASE("syntax: messages are for makers", "[syntax]") {
    // House rule: lower case start, no full stop, what was seen and then the rule.
    for (const Slip& slip : kSlips) {
        PARSED(parsed, slip.text);
        for (const auto& d : parsed.found) {
            CAPTURE(parsed.text, d.message);
            CHECK_FALSE((d.message[0] >= 'A' && d.message[0] <= 'Z'));
            CHECK(d.message.back() != '.');
            CHECK(find_invalid_utf8(d.message) == std::string::npos);
            for (const auto& fix : d.fixes) CHECK_FALSE(fix.title.empty());
        }
    }
}

TEST_CASE("syntax: what is no slip stays quiet", "[syntax]") {
    for (const char* text :
         {"a 5 g, 10 g", "sizes 5,10,15 ml", "found 41.18 g a", "on 2026-05-02", "a 2027-01",
          "a 5 g/ml", "a 10 x", "let x = 2.5 %", "a -18", "a -18..-15 C", "a 1..2, 3..4",
          "a 2/3 part",
          "a 60\xC2\xB0"
          "C",
          "a 1/2, 1/4", "a 5e", "a 5 EUR", "a \"1,5 \xE2\x80\x93 \xC2\xBD ~ %w\"",
          "# 1,5 \xC2\xBD \xE2\x80\x9Cx\xE2\x80\x9D"}) {
        PARSED(parsed, text);
        CAPTURE(parsed.text);
        CHECK(code_names(parsed.found) == "");
    }
}

TEST_CASE("syntax: where two readings are as likely, the row is kept out of sums", "[syntax]") {
    for (const char* text : {"a 1,000 g", "a 2/5/2026", "2x b"}) {
        PARSED(parsed, text);
        CHECK(parsed.tree.rows[0].broken);
    }
    for (const char* text : {"a 2,5 g", "a 5-6 g", "a 1,000,000 g", "parts: 5", "a 31.12.2026"}) {
        PARSED(parsed, text);
        CHECK_FALSE(parsed.tree.rows[0].broken);
    }
    PARSED(both, "a 1,000 g");
    REQUIRE(both.found[0].fixes.size() == 2);
    CHECK(both.found[0].fixes[1].edits[0].text == "1.000");
}

TEST_CASE("syntax: bytes that are no text", "[syntax]") {
    PARSED(latin, "a caf\xE9 b\xE9\xE8 \"\xFC\" # \xE4\n");
    CHECK(latin.count(Code::invalid_utf8) == 4);
    CHECK(latin.found.size() == 4);
    CHECK(flaw(latin) == "");
    PARSED(nul, std::string("a b\n\0c", 6));
    CHECK(code_names(nul.found) == "nul_byte");
    CHECK(nul.found[0].span.begin == 4);
    REQUIRE(nul.tree.rows.size() == 1);
    CHECK(nul.tree.rows[0].kind == RowKind::error);
    PARSED(wide, std::string("\xFF\xFE"
                             "a\0b\0",
                             6));
    CHECK(code_names(wide.found) == "invalid_utf8");
    // Overlong, surrogate and beyond U+10FFFF: the Unicode Standard, table 3-7.
    for (const char* bytes : {"\xC0\x80", "\xE0\x80\x80", "\xED\xA0\x80", "\xF4\x90\x80\x80",
                              "\xF8\x88\x80\x80\x80", "\x80"}) {
        PARSED(bad, std::string("a ") + bytes + " b");
        CAPTURE(code_names(bad.found));
        CHECK(bad.count(Code::invalid_utf8) == 1);
        CHECK(bad.found.size() == 1);
        CHECK(bad.at(bad.found[0].span) == bytes);
    }
}

TEST_CASE("syntax: characters that turn the reading direction are shown wherever they hide",
          "[syntax]") {
    PARSED(comment, "a 5 # \xE2\x80\xAE x\n");
    CHECK(code_names(comment.found) == "hidden_direction");
    CHECK(comment.found[0].severity == Severity::warning);
    CHECK(comment.tree.complete);
    PARSED(string, "a \"\xE2\x81\xA6 x\"\n");
    CHECK(code_names(string.found) == "hidden_direction");
    PARSED(bare, "a \xE2\x80\xAE b\n");
    CHECK(code_names(bare.found) == "invisible_character");
    PARSED(joiner,
           "a \"\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x8C\xBE\"\n");  // a joined emoji is no trick
    CHECK(code_names(joiner.found) == "");
}

TEST_CASE("syntax: lengths have their limits", "[syntax]") {
    PARSED(forty, "a " + std::string(40, '7'));
    CHECK(code_names(forty.found) == "");
    PARSED(more, "a " + std::string(41, '7'));
    CHECK(code_names(more.found) == "number_too_long");
    CHECK(more.tree.rows[0].broken);
    PARSED(range, "a " + std::string(30, '7') + ".." + std::string(30, '7'));
    CHECK(code_names(range.found) == "");
    PARSED(name, std::string(255, 'n'));
    CHECK(code_names(name.found) == "");
    PARSED(long_name, std::string(256, 'n'));
    CHECK(code_names(long_name.found) == "name_too_long");
    PARSED(string, "a \"" + std::string(65536, 's') + "\"");
    CHECK(code_names(string.found) == "");
    PARSED(long_string, "a \"" + std::string(65537, 's') + "\"");
    CHECK(code_names(long_string.found) == "string_too_long");
}

TEST_CASE("syntax: old line ends are one mistake", "[syntax]") {
    PARSED(old, "a 1\rb 2\rc 3\r");
    CHECK(code_names(old.found) == "invisible_character");
    CHECK(dump(old.tree) == "a n:1\nb n:2\nc n:3\n");
    PARSED(mended, with_safe_edits(old));
    CHECK(mended.text == "a 1\nb 2\nc 3\n");
}

TEST_CASE("syntax: every code of the text section is given by some text", "[syntax]") {
    // The sections of codes.def that the parser answers for, up to the names.
    std::set<std::string> given;
    for (const Slip& slip : kSlips) given.insert(std::string(code_info(slip.code).name));
    for (const char* elsewhere :
         {"invalid_utf8", "nul_byte", "hidden_direction", "number_too_long", "name_too_long",
          "string_too_long", "unclosed_block", "stray_brace", "brace_on_next_line", "crowded_block",
          "nested_too_deep", "too_many_errors"}) {
        given.insert(
            elsewhere);  // tested by name above, in the properties and among the recovery cases
    }
    for (const Code code : all_codes()) {
        if (code == Code::unknown_kind) break;
        if (code == Code::number_overflow) continue;  // arithmetic, not text
        CAPTURE(code_info(code).name);
        CHECK(given.count(std::string(code_info(code).name)) == 1);
    }
}
