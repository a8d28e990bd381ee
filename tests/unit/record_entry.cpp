// What is typed at the bench, and the rows that it becomes.
#include <catch2/catch.hpp>

#include <algorithm>
#include <string>

#include "record/entry.h"
#include "record/log_text.h"
#include "record/recorder.h"

namespace scruple {
namespace {

Entry typed(const std::string& line, const std::vector<std::string>& in_beaker = {}) {
    static const auto compiled = compile_text("own.scruple", "oil smoked_fir \"Smoked fir\" {\n    density 0.9 g/ml\n}\nblend dusk { 1 part lavender }\n");
    static const NameBook book(*compiled);
    return read_entry(line, book, in_beaker);
}

std::string row(const std::string& line, const std::string& unit = "drops") {
    const Entry entry = typed(line);
    INFO(line << ": " << entry.wrong);
    REQUIRE(entry.wrong.empty());
    for (const auto& oil : entry.oils) REQUIRE(oil.names.size() == 1);
    return row_text(entry, unit);
}

/// A row with a remark, which has a column of its own in a bench.
std::string remarked(std::string text, const std::string& remark) {
    text.resize(std::max<std::size_t>(text.size() + 1, 68), ' ');
    return text + remark + "\n";
}

}  // namespace

TEST_CASE("amount and oil in either order, several with commas, and a remark at the end") {
    CHECK(row("2 petitgrain bigarade") == "    add        2 drops petitgrain_bigarade\n");
    CHECK(row("petitgrain bigarade 2, ho wood 1 too sweet") ==
          remarked("    add        2 drops petitgrain_bigarade, 1 drop ho_wood", "\"too sweet\""));
    CHECK(row("1 Ho-Wood \"a \\ b\"") == remarked("    add        1 drop ho_wood", "\"a \\\\ b\""));
    CHECK(row("add 2,5 ml lavender") == "    add        2.5 ml lavender\n");
    CHECK(row("1/2 lavender, 1 ho wood soft, a little flat") ==
          remarked("    add        1/2 drops lavender, 1 drop ho_wood", "\"soft, a little flat\""));
    CHECK(row("1 lavender", "parts") == "    add        1 part lavender\n");
    CHECK(row("2 smoked fir sharp") == remarked("    add        2 drops smoked_fir", "\"sharp\""));
    CHECK(row("3 dusk") == "    add        3 drops dusk\n");
    CHECK(row("1 lavender \"blue\", 2 ho wood green") == remarked("    add        1 drop lavender \"blue\", 2 drops ho_wood", "\"green\""));
}

TEST_CASE("strips, marks and later smells") {
    CHECK(row("strip petitgrain bigarade, ho wood close cousins") == remarked("    strip      petitgrain_bigarade, ho_wood", "\"close cousins\""));
    CHECK(row("mark Right one") == "    mark       right_one\n");
    CHECK(row("after 24h greener") == remarked("    after      24 h", "\"greener\""));
    CHECK(row("after 2 weeks \"still there\"") == remarked("    after      2 weeks", "\"still there\""));
}

TEST_CASE("a long row goes on under its first amount") {
    const auto text = row("1 petitgrain_bigarade, 1 frankincense_carterii, 1 ylang_ylang_complete, 1 cedarwood_virginia, 1 ho_wood");
    CHECK(text == "    add        1 drop petitgrain_bigarade,\n"
                  "               1 drop frankincense_carterii,\n"
                  "               1 drop ylang_ylang_complete,\n"
                  "               1 drop cedarwood_virginia,\n"
                  "               1 drop ho_wood\n");
}

TEST_CASE("part of a name means what begins so, and what is in the beaker decides between several") {
    CHECK(typed("1 frankincense").oils.at(0).names.size() > 1);
    CHECK(typed("1 frankincense", {"frankincense_sacra"}).oils.at(0).names == std::vector<std::string>{"frankincense_sacra"});
    CHECK(typed("1 petitgr big").oils.at(0).names == std::vector<std::string>{"petitgrain_bigarade"});
    CHECK(typed("what if 1 vetiver").ask == Ask::what_if);
}

TEST_CASE("what can't be read says what would be") {
    CHECK(typed("2").wrong == "2 of what? An amount, then the oil: `2 petitgrain`");
    CHECK(typed("lavender").wrong == "how much lavender? An amount, then the oil: `2 lavender`");
    CHECK(typed("2 petitgrian bigarade").wrong.find("Did you mean Petitgrain bigarade") != std::string::npos);
    CHECK(typed("2 lavender, ho wood").wrong.find("how much ho wood") != std::string::npos);
    CHECK(typed("2 lavender, 1 lavender").wrong.find("twice") != std::string::npos);
    CHECK(typed("2 lavender 1").wrong.find("an amount too many") != std::string::npos);
    CHECK_FALSE(typed("0 lavender").wrong.empty());
    CHECK_FALSE(typed("-1 lavender").wrong.empty());
    CHECK_FALSE(typed("after 24 h").wrong.empty());
    CHECK_FALSE(typed("mark 9").wrong.empty());
    CHECK_FALSE(typed("blend 9").wrong.empty());
    CHECK(typed("   ").ask == Ask::nothing);
    CHECK_FALSE(typed(std::string(5000, 'x')).wrong.empty());
}

TEST_CASE("rows go before the brace, and nothing else of the text moves") {
    const std::string text = "# mine\nbench b {\n    add 1 drop lavender   # odd\n}\n\nblend x from b at m {\n}\n";
    const auto place = find_bench(text, "b");
    REQUIRE(place);
    CHECK(with_rows(text, *place, "    mark       m\n") ==
          "# mine\nbench b {\n    add 1 drop lavender   # odd\n    mark       m\n}\n\nblend x from b at m {\n}\n");
    const std::string one = "bench b { add 1 drop lavender }\n";
    CHECK(with_rows(one, *find_bench(one, "b"), "    mark       m\n") == "bench b { add 1 drop lavender\n    mark       m\n}\n");
    CHECK_FALSE(find_bench("bench b {\n    add 1 drop lavender\n", "b"));
    CHECK_FALSE(find_bench(text, "c"));
}

TEST_CASE("only the last row of the log can be struck, and it stays as a comment") {
    const std::string text = "bench b {\n    add        1 drop lavender\n    add        1 drop ho_wood\n}\n";
    const auto place = find_bench(text, "b");
    CHECK(with_struck(text, *place, "    add        1 drop ho_wood\n") ==
          "bench b {\n    add        1 drop lavender\n    # struck: add        1 drop ho_wood\n}\n");
    CHECK_FALSE(with_struck(text, *place, "    add        1 drop lavender\n"));
    // Once more, above what was struck before.
    const auto once = *with_struck(text, *place, "    add        1 drop ho_wood\n");
    CHECK(with_struck(once, *find_bench(once, "b"), "    add        1 drop lavender\n").has_value());
}

TEST_CASE("a row is on disk before it is answered, and a disk that refuses is said") {
    MemoryFileSystem files;
    files.make_folders("/r");
    RecorderPlan plan{"b", "/r/b.scruple", "/r", "2026-05-02", "Bench"};
    Recorder recorder(files, plan);
    REQUIRE_FALSE(recorder.begin().done);
    recorder.enter("2 lavender");
    CHECK(files.files().at("/r/b.scruple") == "bench b \"Bench\" {\n    on         2026-05-02\n    add        2 drops lavender\n}\n");
    files.refuse("/r/b.scruple", IoError::no_space);
    const Answer refused = recorder.enter("1 ho wood");
    CHECK(refused.failed);
    CHECK(files.files().at("/r/b.scruple").find("ho_wood") == std::string::npos);
}

}  // namespace scruple
