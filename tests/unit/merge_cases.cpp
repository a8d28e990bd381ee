// Merges of recipes, case by case: what comes in from both sides, and what is a conflict.
#include <catch2/catch.hpp>

#include <string>

#include "merge/merge.h"

using namespace scruple;
using Why = MergeConflict::Why;

namespace {

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    const auto at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

const std::string kStile =
    "# our blends\n"
    "\n"
    "## For the evening.\n"
    "blend stile \"Stile\" {\n"
    "    intent     uplifting\n"
    "\n"
    "    7 parts    mandarin_red             # the fresh one\n"
    "    4 parts    petitgrain_paraguay\n"
    "    2 parts    amyris\n"
    "    1 part     patchouli\n"
    "}\n"
    "\n"
    "product stile_oil {\n"
    "    blend      stile at 1.1 %\n"
    "    format     body_oil of 50 ml\n"
    "    make       20\n"
    "    steps      \"weigh the oils\",\n"
    "               \"weigh the blend\",\n"
    "               \"mix and fill\",\n"
    "               \"let it stand\",\n"
    "               \"label\"\n"
    "}\n";

MergeResult merged(const std::string& base, const std::string& ours, const std::string& theirs) {
    const MergeResult out = merge_recipes(base, ours, theirs);
    // The mirrored merge differs in the sides of conflicts alone.
    const MergeResult mirrored = merge_recipes(base, theirs, ours);
    CHECK(out.conflicts.size() == mirrored.conflicts.size());
    if (out.conflicts.empty()) CHECK(out.text == mirrored.text);
    CHECK(out.trouble == MergeResult::Trouble::none);
    return out;
}

Why only_conflict(const MergeResult& result) {
    REQUIRE(result.conflicts.size() == 1);
    return result.conflicts[0].why;
}

}  // namespace

TEST_CASE("merge: changes to different oils both come in") {
    const auto ours = replaced(kStile, "7 parts ", "8 parts ");
    const auto theirs = replaced(kStile, "2 parts    amyris", "3 parts    amyris");
    const auto out = merged(kStile, ours, theirs);
    CHECK(out.conflicts.empty());
    CHECK(out.text == replaced(ours, "2 parts    amyris", "3 parts    amyris"));
}

TEST_CASE("merge: one oil changed twice shows both sides") {
    const auto out = merged(kStile, replaced(kStile, "2 parts    amyris", "3 parts    amyris"),
                            replaced(kStile, "2 parts    amyris", "5 parts    amyris"));
    CHECK(only_conflict(out) == Why::changed_twice);
    CHECK(out.conflicts[0].declaration == "blend stile");
    CHECK(out.conflicts[0].subject == "amyris");
    CHECK(out.conflicts[0].line == 9);
    CHECK(out.text == replaced(kStile, "    2 parts    amyris\n",
                               "<<<<<<< ours\n    3 parts    amyris\n=======\n    5 parts    amyris\n>>>>>>> theirs\n"));
}

TEST_CASE("merge: styles and sizes of conflicts") {
    MergeOptions options;
    options.style = ConflictStyle::diff3;
    options.marker_size = 9;
    options.ours = "HEAD";
    options.theirs = "";
    const auto out = merge_recipes(kStile, replaced(kStile, "2 parts    amyris", "3 parts    amyris"),
                                   replaced(kStile, "2 parts    amyris", "5 parts    amyris"), options);
    CHECK(out.text.find("<<<<<<<<< HEAD\n    3 parts    amyris\n||||||||| base\n    2 parts    amyris\n=========\n"
                        "    5 parts    amyris\n>>>>>>>>>\n") != std::string::npos);
}

TEST_CASE("merge: the same change is taken once") {
    const auto both = replaced(kStile, "2 parts    amyris", "3 parts    amyris");
    const auto out = merged(kStile, replaced(both, "make       20", "make       24"), both);
    CHECK(out.conflicts.empty());
    CHECK(out.text == replaced(both, "make       20", "make       24"));
    // In another writing too.
    const auto other = replaced(kStile, "2 parts    amyris", "3.0 parts  amyris");
    CHECK(merged(kStile, replaced(both, "make       20", "make       24"), other).conflicts.empty());
}

TEST_CASE("merge: taken out on one side, changed on the other") {
    const auto without = replaced(kStile, "    2 parts    amyris\n", "");
    CHECK(only_conflict(merged(kStile, without, replaced(kStile, "2 parts    amyris", "3 parts    amyris"))) ==
          Why::changed_and_removed);
    CHECK(merged(kStile, without, replaced(kStile, "1 part     patchouli", "2 parts    patchouli")).conflicts.empty());
    // Laid out anew is not changed.
    const auto laid_out = merged(kStile, without, replaced(kStile, "2 parts    amyris", "2 parts amyris"));
    CHECK(laid_out.conflicts.empty());
    CHECK(laid_out.text == without);
}

TEST_CASE("merge: oils added on both sides") {
    const auto add = [](const std::string& row) { return replaced(kStile, "1 part     patchouli\n", "1 part     patchouli\n" + row); };
    const auto out = merged(kStile, add("    1 part     vetiver\n"), add("    2 parts    cypress\n"));
    CHECK(out.conflicts.empty());
    CHECK(out.text == add("    1 part     vetiver\n    2 parts    cypress\n"));
    CHECK(only_conflict(merged(kStile, add("    1 part     vetiver\n"), add("    2 parts    vetiver\n"))) == Why::added_twice);
}

TEST_CASE("merge: declarations added at the end by both") {
    const auto out = merged(kStile, kStile + "\nblend b {\n    1 part     lavender\n}\n", kStile + "\nblend a {\n    1 part     ho_wood\n}\n");
    CHECK(out.conflicts.empty());
    CHECK(out.text == kStile + "\nblend a {\n    1 part     ho_wood\n}\n\nblend b {\n    1 part     lavender\n}\n");
}

TEST_CASE("merge: a ratio counted anew on one side and changed on the other is a conflict as a whole") {
    const std::string base = "blend b {\n    2 parts    lavender\n    4 parts    ho_wood\n    6 parts    cypress\n}\n";
    const std::string scaled = "blend b {\n    3 parts    lavender\n    6 parts    ho_wood\n    9 parts    cypress\n}\n";
    for (const std::string& theirs : std::initializer_list<std::string>{
             replaced(base, "    6 parts    cypress\n", "    6 parts    cypress\n    1 part     vetiver\n"),  // adds
             replaced(base, "    6 parts    cypress\n", ""),                                                   // removes
             replaced(base, "6 parts", "7 parts"),                                                             // changes
             replaced(base, "    6 parts    cypress\n", "    6 parts    cypress_other\n"),
             replaced(replaced(base, "2 parts", "1 part "), "4 parts", "2 parts"),
         }) {
        INFO(theirs);
        const auto out = merged(base, scaled, theirs);
        CHECK(only_conflict(out) == Why::basis);
        CHECK(out.text == "<<<<<<< ours\n" + scaled + "=======\n" + theirs + ">>>>>>> theirs\n");
    }
    // Nothing of the ratio on the other side: no conflict.
    CHECK(merged(base, scaled, replaced(base, "{\n", "{\n    intent     calming\n")).conflicts.empty());
    // Both the same, one with an oil more: that is the ratio of one side.
    CHECK(merged(base, scaled, replaced(scaled, "}", "    1 part     vetiver\n}")).conflicts.empty());
    // Another measure.
    const std::string drops = "blend b {\n    2 drops    lavender\n    4 drops    ho_wood\n    6 drops    cypress\n}\n";
    CHECK(only_conflict(merged(base, drops, replaced(base, "6 parts", "7 parts"))) == Why::basis);
    const auto by_weight = replaced(base, "{\n", "{\n    by         weight\n");
    CHECK(only_conflict(merged(base, by_weight, replaced(base, "6 parts", "7 parts"))) == Why::basis);
    // Nearly all by one factor.
    const std::string most = "blend b {\n    3 parts    lavender\n    6 parts    ho_wood\n    6 parts    cypress\n}\n";
    CHECK(only_conflict(merged(base, most, replaced(base, "6 parts", "7 parts"))) == Why::basis);
    // A single oil doubled says nothing by itself, and everything beside another.
    const std::string one = "blend b {\n    2 parts    lavender\n}\n";
    CHECK(only_conflict(merged(one, replaced(one, "2 parts", "4 parts"), replaced(one, "}", "    1 part     vetiver\n}"))) == Why::basis);
}

TEST_CASE("merge: per cent") {
    const std::string base = "base b {\n    rest       jojoba\n    30 %       squalane\n    10 %       castor\n}\n";
    CHECK(merged(base, replaced(base, "30 %", "25 %"), replaced(base, "10 %", "5 % ")).conflicts.empty());
    CHECK(only_conflict(merged(base, replaced(base, "30 %", "80 %"), replaced(base, "10 %", "30 %"))) == Why::not_closed);
    const auto other_rest = replaced(replaced(base, "rest       jojoba", "60 %       jojoba"), "30 %       squalane", "rest       squalane");
    CHECK(only_conflict(merged(base, other_rest, replaced(base, "10 %", "5 % "))) == Why::basis);
    const auto strong = replaced(replaced(base, "30 %", "45 %"), "10 %", "15 %");
    CHECK(only_conflict(merged(base, strong, replaced(base, "}", "    1 %        vetiver\n}"))) == Why::basis);
}

TEST_CASE("merge: variations") {
    const std::string base = kStile + "\nvariation dusk of stile {\n    set        2 parts patchouli\n}\n";
    const auto ours = replaced(base, "4 parts    petit", "5 parts    petit");
    const auto theirs = replaced(base, "}\n\nproduct", "}\n\nvariation bare of stile {\n    remove     amyris\n}\n\nproduct");
    const auto edited = replaced(base, "set        2 parts", "set        3 parts");
    const auto out = merged(base, ours, edited);
    CHECK(out.conflicts.empty());
    REQUIRE(out.follows.size() == 1);
    CHECK(out.follows[0].name == "variation dusk");
    CHECK(out.follows[0].from == "blend stile");
    CHECK(out.follows[0].ours_changed_from);
    CHECK_FALSE(out.follows[0].rescaled);
    CHECK(merged(base, ours, theirs).follows.size() == 1);
    const auto doubled = replaced(replaced(replaced(replaced(base, "4 parts", "8 parts"), "7 parts", "14 parts"), "2 parts    am", "4 parts    am"), "1 part ", "2 parts");
    const auto rescaled = merged(base, doubled, edited);
    REQUIRE(rescaled.follows.size() == 1);
    CHECK(rescaled.follows[0].rescaled);
    // Two actions, about different oils.
    CHECK(merged(base, edited, replaced(base, "patchouli\n}\n", "patchouli\n    add        1 part vetiver\n}\n")).conflicts.empty());
    // Another parent, another action.
    CHECK(only_conflict(merged(base, replaced(base, "of stile", "of other"), edited)) == Why::basis);
}

TEST_CASE("merge: a dilution and the amount of it") {
    const std::string base = "oil ten like rose_otto {\n    diluted    10 % in jojoba\n}\n\nblend b {\n    2 parts    ten\n    3 parts    lavender\n}\n";
    const auto out = merged(base, replaced(base, "10 %", "5 % "), replaced(base, "2 parts", "4 parts"));
    CHECK(out.conflicts.empty());
    REQUIRE(out.follows.size() == 1);
    CHECK(out.follows[0].name == "blend b");
    CHECK(out.follows[0].from == "oil ten");
}

TEST_CASE("merge: order that is meaning") {
    const std::string log = "bench trial {\n    on         2026-05-02\n    add        4 drops lavender\n    mark       one\n}\n";
    const auto add = [&](const std::string& row) { return replaced(log, "one\n", "one\n    add        " + row + "\n"); };
    const auto out = merged(log, add("1 drop vetiver"), add("1 drop cypress"));
    CHECK(only_conflict(out) == Why::same_place);
    CHECK(out.conflicts[0].declaration == "bench trial");
    CHECK(merged(log, add("1 drop vetiver"), replaced(log, "02\n", "02\n    strip      lavender, vetiver\n")).conflicts.empty());
    CHECK(merged(log, add("1 drop vetiver"), replaced(add("1 drop vetiver"), "02\n", "02\n    strip      lavender\n")).conflicts.empty());

    const std::string scrub = "base scrub {\n    phase dry {\n        rest           sea_salt\n    }\n    blend\n}\n";
    const auto phase = [&](const std::string& name) {
        return replaced(scrub, "    blend\n", "    phase " + name + " {\n        10 %           jojoba\n    }\n    blend\n");
    };
    CHECK(only_conflict(merged(scrub, phase("oil"), phase("wax"))) == Why::same_place);

    CHECK(merged(kStile, replaced(kStile, "weigh the oils", "weigh all"), replaced(kStile, "\"label\"", "\"label it\"")).conflicts.empty());
    const auto step = [](const std::string& text) { return replaced(kStile, "\"label\"", "\"label\",\n               " + text); };
    CHECK(only_conflict(merged(kStile, step("\"pack\""), step("\"wait\""))) == Why::changed_twice);
}

TEST_CASE("merge: comments travel with their rows") {
    const auto ours = replaced(kStile, "# the fresh one", "# the fresh one, from the hill");
    const auto out = merged(kStile, ours, replaced(kStile, "7 parts ", "9 parts "));
    CHECK(out.conflicts.empty());
    CHECK(out.text == replaced(ours, "7 parts ", "9 parts "));
    const auto noted = replaced(kStile, "    2 parts    amyris", "    # not too much\n    2 parts    amyris");
    const auto both = merged(kStile, noted, replaced(kStile, "2 parts    amyris", "3 parts    amyris"));
    CHECK(both.conflicts.empty());
    CHECK(both.text == replaced(noted, "2 parts    amyris", "3 parts    amyris"));
    CHECK(only_conflict(merged(kStile, replaced(kStile, "# our", "# all"), replaced(kStile, "# our", "# some"))) == Why::changed_twice);
    CHECK(merged(kStile, replaced(kStile, "# our", "# all"), replaced(kStile, "make       20", "make       2")).conflicts.empty());
}

TEST_CASE("merge: moved on one side, changed on the other") {
    const auto at = kStile.find("product");
    const auto moved = kStile.substr(at) + "\n" + kStile.substr(0, at - 1);
    const auto out = merged(kStile, moved, replaced(kStile, "make       20", "make       25"));
    CHECK(out.conflicts.empty());
    CHECK(out.text == replaced(moved, "make       20", "make       25"));
}

TEST_CASE("merge: line ends, the end of the file, a byte order mark") {
    const auto crlf = [](std::string text) {
        std::string out;
        for (const char c : text) out += c == '\n' ? std::string("\r\n") : std::string(1, c);
        return out;
    };
    const auto ours = replaced(kStile, "7 parts ", "8 parts "), theirs = replaced(kStile, "make       20", "make       25");
    const auto both = replaced(ours, "make       20", "make       25");
    CHECK(merged(crlf(kStile), crlf(ours), crlf(theirs)).text == crlf(both));
    CHECK(merged(kStile, crlf(ours), theirs).text == crlf(both));
    CHECK(merged(crlf(kStile), ours, crlf(theirs)).text == both);
    const auto cut = [](std::string text) { text.pop_back(); return text; };
    CHECK(merged(cut(kStile), cut(ours), cut(theirs)).text == cut(both));
    CHECK(merged(kStile, cut(ours), theirs).text == cut(both));
    CHECK(merged(kStile, "\xEF\xBB\xBF" + ours, theirs).text == "\xEF\xBB\xBF" + both);
    CHECK(merged("\xEF\xBB\xBF" + kStile, "\xEF\xBB\xBF" + ours, theirs).text == both);
    // A conflict has the file's line ends too.
    const auto conflict = merged(crlf(kStile), crlf(ours), crlf(replaced(kStile, "7 parts ", "9 parts ")));
    CHECK(conflict.text.find("<<<<<<< ours\r\n") != std::string::npos);
}

TEST_CASE("merge: several rows of one name") {
    const std::string base = "prices \"Yard\" on 2026-04-01 {\n    10 ml      lavender    for 8 EUR\n    50 ml      lavender    for 30 EUR\n    10 ml      patchouli   for 9 EUR\n}\n";
    CHECK(merged(base, replaced(base, "8 EUR", "8.5 EUR"), replaced(base, "30 EUR", "31 EUR")).conflicts.empty());
    CHECK_FALSE(merged(base, replaced(base, "8 EUR", "8.5 EUR"), replaced(base, "8 EUR", "7 EUR")).conflicts.empty());
    CHECK_FALSE(merged(base, replaced(base, "10 ml      lav", "12 ml      lav"), replaced(base, "10 ml      lav", "15 ml      lav")).conflicts.empty());
    const std::string twice = "blend b {\n    1 part     lavender\n    1 part     lavender\n    2 parts    ho_wood\n}\n";
    CHECK(only_conflict(merged(twice, replaced(twice, "1 part ", "3 parts"), replaced(twice, "2 parts", "4 parts"))) == Why::basis);
}

TEST_CASE("merge: what can't be read is not merged by meaning") {
    const auto broken = merge_recipes(kStile, kStile + "blend {{{", replaced(kStile, "20", "21"));
    CHECK(broken.trouble == MergeResult::Trouble::unreadable);
    CHECK(broken.version == 1);
    CHECK(broken.line == 23);
    CHECK(merge_recipes("", "blend a {\n    1 part     x\n}\n", "blend a {\n    2 parts    x\n}\n").conflicts.size() == 1);
}
