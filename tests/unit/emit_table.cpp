#include <catch2/catch.hpp>

#include <random>

#include "base/text.h"
#include "emit/table.h"
#include "emit/words.h"

using namespace scruple;
using namespace scruple::emit;

namespace {

std::string joined(const std::vector<std::string>& lines) {
    std::string out;
    for (const std::string& line : lines) out += line + "\n";
    return out;
}

/// Words of every kind: plain, wide, combining, one that fills more than a line, and one that is no
/// UTF-8.
std::string random_text(std::mt19937& random, int words) {
    static const char* const kWords[] = {
        "oil",
        "Kölnisch",
        "精油",
        "ラベンダー",
        "e\xCC\x81lan",
        "🌿",
        "a",
        "Donaudampfschifffahrtsgesellschaftskapitänswitwenrentenantragsformularmappe",
        "\xC3\x28",
        "0.885",
        "x\xE2\x80\x8Dy"};
    std::string text;
    for (int i = 0; i < words; ++i) {
        if (i > 0) text += ' ';
        text += kWords[random() % (sizeof kWords / sizeof *kWords)];
    }
    return text;
}

}  // namespace

TEST_CASE("a table stands in columns, headings across, totals under a rule") {
    Table table;
    table.columns = {
        {"", Align::left, true}, {"% w/w", Align::right, false}, {"grams", Align::right, false}};
    table.heading("Phase: oil");
    table.line({"Jojoba", "97.00", "206.13"});
    table.heading("Blend");
    table.line({"Vetiver", "3.00", "6.38"});
    table.total({"Total", "100.00", "212.51"});
    CHECK(joined(layout(table, 2, 80)) ==
          "              % w/w   grams\n"
          "  Phase: oil\n"
          "    Jojoba    97.00  206.13\n"
          "  Blend\n"
          "    Vetiver    3.00    6.38\n"
          "  -------------------------\n"
          "  Total      100.00  212.51\n");
}

TEST_CASE("wide characters keep the columns in line") {
    Table table;
    table.columns = {{"", Align::left, true}, {"g", Align::right, false}};
    table.line({"精油", "1.00"});
    table.line({"e\xCC\x81t\xC3\xA9", "12.00"});
    const std::vector<std::string> lines = layout(table, 0, 80);
    REQUIRE(lines.size() == 3);
    CHECK(display_width(lines[1]) == display_width(lines[2]));
}

TEST_CASE("a long name is broken, not cut") {
    Table table;
    table.columns = {{"", Align::left, true}, {"g", Align::right, false}};
    table.line({"an oil whose name goes on and on", "1.00"});
    CHECK(joined(layout(table, 0, 24)) ==
          "                       g\n"
          "an oil whose name   1.00\n"
          "goes on and on\n");
}

TEST_CASE("no line of a table or a text is wider than the page, and nothing is lost") {
    std::mt19937 random(20260502);
    for (int round = 0; round < 2000; ++round) {
        const std::size_t width = 20 + random() % 100;
        Table table;
        const std::size_t columns = 1 + random() % 6;
        for (std::size_t c = 0; c < columns; ++c) {
            table.columns.push_back({random_text(random, 1),
                                     random() % 2 ? Align::left : Align::right,
                                     c == 0 || random() % 3 == 0});
        }
        for (int r = 0; r < 4; ++r) {
            std::vector<std::string> cells;
            for (std::size_t c = 0; c < columns; ++c)
                cells.push_back(random_text(random, static_cast<int>(random() % 8)));
            switch (random() % 4) {
                case 0: table.heading(random_text(random, 6)); break;
                case 1: table.total(cells); break;
                default: table.line(cells);
            }
        }
        for (const std::string& line : layout(table, 2, width)) CHECK(display_width(line) <= width);

        const std::string text = random_text(random, 12);
        std::string without, with;
        for (char c : text)
            if (c != ' ') without += c;
        for (const std::string& line : fold(text, width)) {
            CHECK(display_width(line) <= width);
            for (char c : line)
                if (c != ' ') with += c;
        }
        CHECK(with == without);
    }
}

TEST_CASE("percentages show three digits, and two that differ never print alike") {
    CHECK(percent_text(0.03) == "3.00");
    CHECK(percent_text(0.0057) == "0.570");
    CHECK(percent_text(0.000015) == "0.00150");
    CHECK(percent_text(1) == "100.0");
    CHECK(percent_text(0) == "0");
    CHECK(percent_text(1e-12) == "under 0.000001");
    CHECK(percent_apart(0.006, 0.006, "0.6") == "0.600");
    CHECK(percent_apart(0.006000001, 0.006, "0.6") == "0.6000001");
    CHECK(percent_apart(0.005999999, 0.006, "0.6") == "0.5999999");
}

TEST_CASE("the share of a limit never reads as 100 when it is not") {
    CHECK(used_text(1) == "100");
    CHECK(used_text(1 + 1e-12) == "100");
    CHECK(used_text(1 + 1e-6) == "100.1");
    CHECK(used_text(1 - 1e-6) == "99.9");
    CHECK(used_text(0.943) == "94");
    CHECK(used_text(1.0861) == "109");
    CHECK(used_text(0.001) == "under 1");
    CHECK(used_text(0) == "0");
}

TEST_CASE("grams carry the decimals of the scale") {
    CHECK(weighed_text(15397, 0.01) == "153.97");
    CHECK(weighed_text(3, 0.05) == "0.15");
    CHECK(weighed_text(227, 1) == "227");
    CHECK(weighed_text(4, 0.5) == "2.0");
    CHECK(weighed_text(7, 0.001) == "0.007");
}

TEST_CASE("control characters of a recipe's text reach no terminal") {
    CHECK(plain("a\x1b[31mb") == "a\xEF\xBF\xBD[31mb");
    CHECK(plain("a\tb\nc") == "a b c");
    CHECK(plain("a\xC2\x9B"
                "b") ==
          "a\xEF\xBF\xBD"
          "b");
    CHECK(plain("a\xE2\x80\xAE"
                "b") ==
          "a\xEF\xBF\xBD"
          "b");
    CHECK(plain("Ylang, 精油") == "Ylang, 精油");
    CHECK(plain("a\xFF") == "a\xEF\xBF\xBD");
}

TEST_CASE("a drop plan in words") {
    // Common practice, no source: 14 parts within 60 drops are taken four times.
    DropPlan plan;
    plan.drops = {24, 12, 8, 8, 4};
    plan.total = 56;
    plan.multiple = 4;
    plan.smallest_fit = 14;
    CHECK(drop_plan_text(plan) == "56 drops a unit: 4 times the 14-part ratio 6 : 3 : 2 : 2 : 1");
    plan.drops = {5, 3};
    plan.total = 8;
    plan.multiple = 0;
    plan.worst_error = 0.041;
    plan.smallest_fit = 27;
    CHECK(drop_plan_text(plan) ==
          "8 drops a unit, the nearest whole-drop ratio: 5 : 3; a share is off by up to 4.10 %; "
          "27 drops, or a multiple of that, would keep it exactly");
}
