#include <catch2/catch.hpp>

#include <algorithm>
#include <random>
#include <string>
#include <vector>

#include "base/text.h"

using namespace scruple;

TEST_CASE("every well-formed sequence is taken and every other byte refused", "[base][text]") {
    // The Unicode Standard, table 3-7: first and last of each row.
    for (const char* good : {"\x00", "\x7F", "\xC2\x80", "\xDF\xBF", "\xE0\xA0\x80", "\xE0\xBF\xBF", "\xE1\x80\x80",
                             "\xEC\xBF\xBF", "\xED\x80\x80", "\xED\x9F\xBF", "\xEE\x80\x80", "\xEF\xBF\xBF",
                             "\xF0\x90\x80\x80", "\xF0\xBF\xBF\xBF", "\xF1\x80\x80\x80", "\xF3\xBF\xBF\xBF",
                             "\xF4\x80\x80\x80", "\xF4\x8F\xBF\xBF"}) {
        CHECK(find_invalid_utf8(good) == std::string_view::npos);
        CHECK(decode_utf8(good, 0).length == std::max<std::size_t>(std::string_view(good).size(), 1));
    }
    // The same table: what lies just outside each row, and what is cut short.
    for (const char* bad : {"\x80", "\xBF", "\xC0\x80", "\xC1\xBF", "\xE0\x9F\xBF", "\xED\xA0\x80", "\xED\xBF\xBF",
                            "\xF0\x8F\xBF\xBF", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xFF", "\xC2", "\xE2\x82",
                            "\xF0\x9F\x98", "\xC2\x41", "\xE2\x82\x41", "\xE2\x28\xA1"}) {
        INFO("first byte " << static_cast<int>(static_cast<unsigned char>(bad[0])));
        CHECK(find_invalid_utf8(bad) == 0);
        CHECK(find_invalid_utf8("eight plain bytes " + std::string(bad)) == 18);
        CHECK(decode_utf8(bad, 0).value == 0xFFFD);
        CHECK(decode_utf8(bad, 0).length == 1);
    }
    CHECK(find_invalid_utf8("") == std::string_view::npos);
    CHECK(decode_utf8("", 0).length == 1);
    CHECK(decode_utf8("ab", 7).value == 0xFFFD);
    CHECK(decode_utf8("\xF0\x9F\x8C\xBF", 0).value == 0x1F33F);
    CHECK(find_invalid_utf8("caf\xC3\xA9 \xE2\x9A") == 6);
}

TEST_CASE("code points come back as they were written", "[base][text]") {
    for (char32_t c = 0; c < 0x110000; c += c < 0x3000 ? 1 : 97) {
        if (c >= 0xD800 && c <= 0xDFFF) continue;
        std::string text;
        if (c < 0x80) {
            text = {static_cast<char>(c)};
        } else if (c < 0x800) {
            text = {static_cast<char>(0xC0 | (c >> 6)), static_cast<char>(0x80 | (c & 0x3F))};
        } else if (c < 0x10000) {
            text = {static_cast<char>(0xE0 | (c >> 12)), static_cast<char>(0x80 | ((c >> 6) & 0x3F)),
                    static_cast<char>(0x80 | (c & 0x3F))};
        } else {
            text = {static_cast<char>(0xF0 | (c >> 18)), static_cast<char>(0x80 | ((c >> 12) & 0x3F)),
                    static_cast<char>(0x80 | ((c >> 6) & 0x3F)), static_cast<char>(0x80 | (c & 0x3F))};
        }
        const auto back = decode_utf8(text, 0);
        if (back.value != c || back.length != text.size()) FAIL_CHECK("code point " << static_cast<unsigned>(c));
    }
}

TEST_CASE("columns on a terminal", "[base][text]") {
    CHECK(display_width("") == 0);
    CHECK(display_width("night ferry") == 11);
    CHECK(display_width("caf\xC3\xA9") == 4);           // é as one character
    CHECK(display_width("cafe\xCC\x81") == 4);          // e and a combining acute
    CHECK(display_width("\xE6\xAA\x9C\xE6\x9C\xA8") == 4);  // two ideographs
    CHECK(display_width("\xF0\x9F\x8C\xBF") == 2);      // an emoji
    CHECK(display_width("\xEF\xBC\xA1") == 2);          // full-width A
    CHECK(display_width("\xEF\xBD\xB1") == 1);          // half-width katakana
    CHECK(display_width("\xED\x95\x9C") == 2);          // Hangul syllable
    CHECK(display_width("\xE1\x84\x92\xE1\x85\xA1\xE1\x86\xAB") == 2);  // the same in three joining letters
    CHECK(display_width("a\xE2\x80\x8B" "b") == 2);     // zero-width space
    CHECK(display_width("a\xC2\xAD" "b") == 3);         // soft hyphen
    CHECK(display_width("a\tb\x1B") == 2);              // controls
    CHECK(display_width("\xFF\xFE") == 2);              // invalid bytes
    CHECK(display_width("\xC2\xB0" "C") == 2);
    CHECK(display_width("\xD8\x80") == 1);             // an Arabic number sign, a format character that is seen
    CHECK(pad_right("\xE6\xAA\x9C", 4) == "\xE6\xAA\x9C  ");
    CHECK(pad_left("7.5", 5) == "  7.5");
    CHECK(pad_left("long", 2) == "long");
    CHECK(pad_right("long", 4) == "long");
}

TEST_CASE("lines are broken at spaces", "[base][text]") {
    using Lines = std::vector<std::string>;
    CHECK(wrap("", 10) == Lines{""});
    CHECK(wrap("one two three", 7) == Lines{"one two", "three"});
    CHECK(wrap("one two three", 6) == Lines{"one", "two", "three"});
    CHECK(wrap("a benzaldehyde-bearing oil", 5) == Lines{"a", "benzaldehyde-bearing", "oil"});
    CHECK(wrap("  one   two  ", 20) == Lines{"one two"});
    CHECK(wrap("one\n\ntwo", 20) == Lines{"one", "", "two"});
    CHECK(wrap("x y", 0) == Lines{"x", "y"});
    CHECK(wrap("\xE6\xAA\x9C\xE6\x9C\xA8 \xE6\xAA\x9C", 6) == Lines{"\xE6\xAA\x9C\xE6\x9C\xA8", "\xE6\xAA\x9C"});
}

namespace {

// Optimal string alignment as it stands in the handbooks, the whole table and no cap.
std::size_t plain_distance(const std::string& a, const std::string& b) {
    std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
    for (std::size_t i = 0; i <= a.size(); ++i) {
        for (std::size_t j = 0; j <= b.size(); ++j) {
            if (i == 0 || j == 0) {
                d[i][j] = i + j;
                continue;
            }
            d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1)});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
            }
        }
    }
    return d[a.size()][b.size()];
}

}  // namespace

TEST_CASE("nearness of names", "[base][text]") {
    // Damerau 1964 counts one of the four slips as one edit; the last pair is the textbook three.
    CHECK(edit_distance("ho_wood", "ho_wood", 3) == 0);
    CHECK(edit_distance("ho_wood", "howood", 3) == 1);
    CHECK(edit_distance("vetvier", "vetiver", 3) == 1);
    CHECK(edit_distance("lavendar", "lavender", 3) == 1);
    CHECK(edit_distance("kitten", "sitting", 3) == 3);
    CHECK(edit_distance("kitten", "sitting", 2) == 3);
    CHECK(edit_distance("", "abc", 5) == 3);
    CHECK(edit_distance("", "abc", 2) == 3);
    CHECK(edit_distance("", "", 0) == 0);
    CHECK(edit_distance("a", "b", 0) == 1);
    CHECK(edit_distance("a", "a", 0) == 0);
    CHECK(edit_distance("n\xC3\xA9roli", "neroli", 2) == 1);  // one letter, though two bytes
    std::mt19937 random(20260501);
    for (int round = 0; round < 4000; ++round) {
        std::string a;
        std::string b;
        for (auto n = random() % 9; n > 0; --n) a += static_cast<char>('a' + random() % 3);
        for (auto n = random() % 9; n > 0; --n) b += static_cast<char>('a' + random() % 3);
        const std::size_t cap = random() % 6;
        const std::size_t full = plain_distance(a, b);
        INFO(a << " " << b << " cap " << cap);
        REQUIRE(edit_distance(a, b, cap) == (full > cap ? cap + 1 : full));
        REQUIRE(edit_distance(b, a, cap) == edit_distance(a, b, cap));
    }
}
