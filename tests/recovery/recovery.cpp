// Broken files as people leave them behind, each with the tree and the findings it must give, to
// the byte. A case is cases/NAME.scruple with its cases/NAME.txt. SCRUPLE_RENEW=1 writes the
// expected files anew.
#include <catch2/catch.hpp>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <set>
#include <string>

#include "unit/syntax_support.h"

using namespace syntax_test;

namespace {

const std::filesystem::path kCases =
    std::filesystem::path(SCRUPLE_SOURCE_DIR) / "tests" / "recovery" / "cases";

std::string read(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

std::string place(const std::string& text, std::uint32_t offset) {
    std::size_t line = 1;
    std::size_t column = 1;
    for (std::size_t i = 0; i < offset; ++i) {
        ++column;
        if (text[i] == '\n') {
            ++line;
            column = 1;
        }
    }
    return std::to_string(line) + ":" + std::to_string(column);
}

std::string report(const Parsed& parsed) {
    std::string out = dump(parsed.tree) + "\n";
    for (const auto& d : parsed.found) {
        out += place(parsed.text, d.span.begin) + " " + std::string(code_info(d.code).name) + ": " +
               d.message + "\n";
        for (const auto& more : d.more)
            out += "    " + place(parsed.text, more.span.begin) + " " + more.text + "\n";
        for (const auto& fix : d.fixes)
            out += std::string("    ") + (fix.safe ? "mend: " : "perhaps: ") + fix.title + "\n";
    }
    return out;
}

}  // namespace

TEST_CASE("syntax: recovery cases", "[syntax][recovery]") {
    const bool renew = std::getenv("SCRUPLE_RENEW") != nullptr;
    std::set<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(kCases)) {
        names.insert(entry.path().stem().string());
    }
    REQUIRE(names.size() >= 20);
    for (const std::string& name : names) {
        CAPTURE(name);
        const auto source = kCases / (name + ".scruple");
        const auto expected = kCases / (name + ".txt");
        REQUIRE(std::filesystem::exists(source));
        PARSED(parsed, read(source));
        CHECK(flaw(parsed) == "");
        const std::string got = report(parsed);
        if (renew) {
            std::ofstream(expected, std::ios::binary) << got;
            continue;
        }
        CHECK(got == read(expected));
        // One safe edit a finding, all applied, leaves a text in which nothing that had one is
        // found again.
        bool all_safe = !parsed.found.empty();
        for (const auto& d : parsed.found)
            all_safe = all_safe && !d.fixes.empty() && d.fixes[0].safe;
        if (!all_safe) continue;
        PARSED(mended, with_safe_edits(parsed));
        CHECK(code_names(mended.found) == "");
    }
}
