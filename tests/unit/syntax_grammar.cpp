// The grammar itself: it cannot loop without reading, and the grammar for people has the same
// rules.
#include <catch2/catch.hpp>

#include <fstream>
#include <iterator>
#include <regex>
#include <set>
#include <string>
#include <tao/pegtl/contrib/analyze.hpp>

#include "syntax/grammar.h"

namespace {

std::string read(const std::string& path) {
    std::ifstream in(std::string(SCRUPLE_SOURCE_DIR) + "/" + path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

std::set<std::string> names(const std::string& text, const char* pattern) {
    std::set<std::string> out;
    const std::regex rule(pattern);
    for (std::sregex_iterator it(text.begin(), text.end(), rule), end; it != end; ++it)
        out.insert((*it)[1]);
    return out;
}

template <typename Rule>
bool matches(const std::string& text) {
    tao::pegtl::memory_input<> in(text, "");
    return tao::pegtl::parse<tao::pegtl::seq<Rule, tao::pegtl::eof>>(in);
}

}  // namespace

TEST_CASE("grammar: no rule can go round without reading", "[syntax]") {
    CHECK(tao::pegtl::analyze<scruple::grammar::file>() == 0);
}

TEST_CASE("grammar: the one for people has the rules of the one that is compiled", "[syntax]") {
    const auto people = names(read("grammar/scruple.peg"), R"((?:^|\n)([a-z_]+) +<- )");
    const auto compiled =
        names(read("compiler/syntax/grammar.h"), R"((?:^|\n)struct ([a-z_]+)\s*[:{])");
    CHECK(people.size() > 30);
    for (const auto& name : compiled) {
        CAPTURE(name);
        CHECK(people.count(name) == 1);
    }
    for (const auto& name : people) {
        CAPTURE(name);
        CHECK(compiled.count(name) == 1);
    }
}

TEST_CASE("grammar: terminals take what the language takes, and leave slips to `odd`", "[syntax]") {
    using namespace scruple;
    for (const char* yes : {"a", "_", "Night", "a_1", "house.fir",
                            "\xC2\xB0"
                            "C",
                            "a.b.c", "mL"})
        CHECK(matches<grammar::word>(yes));
    for (const char* no : {"", "1a", ".a", "a.", "a..b", "a.1", "\xC2\xB0", "a-b", "caf\xC3\xA9"})
        CHECK_FALSE(matches<grammar::word>(no));
    for (const char* yes : {"12", "-18", "0.75", "2/3", "-2/3", "007"})
        CHECK(matches<grammar::number>(yes));
    for (const char* no :
         {"", "-", ".5", "5.", "1e3", "2,5", "1/2/3", "+5", "5-6", "1.2.3", "2/-3"})
        CHECK_FALSE(matches<grammar::number>(no));
    for (const char* yes : {"1..2", "0.1..0.5..0.9", "-5..-3", "1/2..3/4"})
        CHECK(matches<grammar::range_figure>(yes));
    for (const char* no : {"1", "1..", "..2", "1...2", "1..2..3..4", "1 ..2"})
        CHECK_FALSE(matches<grammar::range_figure>(no));
    for (const char* yes : {"2026-05-02", "2027-13-45"})
        CHECK(matches<grammar::date>(yes));  // the calendar is not its business
    for (const char* no : {"2026-5-2", "26-05-02", "2026-05-021", "2026-05-02-"})
        CHECK_FALSE(matches<grammar::date>(no));
    CHECK(matches<grammar::month>("2027-01"));
    CHECK_FALSE(matches<grammar::month>("2027-1"));
    for (const char* yes : {"\"\"", "\"a\"", "\"\\\"\"", "\"\\\\\"", "\"\xFF\""})
        CHECK(matches<grammar::text>(yes));
    for (const char* no : {"\"", "\"\\\"", "\"\\n\"", "\"a\nb\"", "\"a\" \"b\""})
        CHECK_FALSE(matches<grammar::text>(no));
}
