// The compiler knows no material, limit or format: none of the library's ids stands in its sources. And the library
// itself is read whole without a finding.
#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <unordered_set>

#include "library/embedded.h"
#include "sema/elaborate.h"

using namespace scruple;

namespace {

bool part(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
}

}  // namespace

TEST_CASE("no id of a material, limit or format stands in the compiler", "[library]") {
    std::unordered_set<std::string> ids;
    for (const auto& d : embedded_declarations()) {
        if (d.kind == Kind::oil || d.kind == Kind::ingredient || d.kind == Kind::format || d.kind == Kind::limit) {
            ids.emplace(d.name);
        }
    }
    REQUIRE(ids.size() > 400);
    std::size_t files = 0;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(SCRUPLE_SOURCE_DIR "/compiler")) {
        if (!entry.is_regular_file()) continue;
        ++files;
        std::ifstream in(entry.path(), std::ios::binary);
        const std::string text((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
        for (std::size_t at = 0; at < text.size();) {
            std::size_t end = at;
            while (end < text.size() && part(text[end])) ++end;
            if (end > at) {
                const std::string word = text.substr(at, end - at);
                if (ids.contains(word)) FAIL_CHECK(entry.path().string() << " knows `" << word << "`");
            }
            at = end + 1;
        }
    }
    CHECK(files > 100);
}

TEST_CASE("the whole library is read without a finding", "[library]") {
    SourceMap sources;
    Bag bag;
    const Model model = elaborate_library(sources, ResourceLimits{}, bag);
    for (const auto& d : bag.items()) FAIL_CHECK(sources.file(d.span.file).path() << ": " << d.message);
    CHECK(model.materials.size() > 390);
    CHECK(model.limits.size() > 200);
}
