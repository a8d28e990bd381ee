#include <catch2/catch.hpp>

#include <string>
#include <thread>
#include <vector>

#include "base/source.h"
#include "base/text.h"

using namespace scruple;

namespace {

bool at(LineColumn found, std::uint32_t line, std::uint32_t column) {
    UNSCOPED_INFO("line " << found.line << " column " << found.column);
    return found.line == line && found.column == column;
}

}  // namespace

TEST_CASE("lines of a text", "[base][source]") {
    const LineIndex none("");
    CHECK(none.line_count() == 1);
    CHECK(none.line(0).empty());
    CHECK(at(none.bytes(99), 0, 0));

    const LineIndex lines("one\ntwo\r\n\nlast");
    REQUIRE(lines.line_count() == 4);
    CHECK(lines.line(0) == "one");
    CHECK(lines.line(1) == "two");
    CHECK(lines.line(2).empty());
    CHECK(lines.line(3) == "last");
    CHECK(lines.line(4).empty());
    CHECK(lines.line_start(1) == 4);
    CHECK(lines.line_start(3) == 10);
    CHECK(lines.line_start(77) == 14);
    CHECK(at(lines.bytes(0), 0, 0));
    CHECK(at(lines.bytes(3), 0, 3));  // the line end belongs to its line
    CHECK(at(lines.bytes(4), 1, 0));
    CHECK(at(lines.bytes(8), 1, 4));
    CHECK(at(lines.bytes(9), 2, 0));
    CHECK(at(lines.bytes(14), 3, 4));
    CHECK(at(lines.bytes(4000000000u), 3, 4));
    CHECK(at(lines.code_points(8), 1, 3));  // between CR and LF is the end of the line
    CHECK(at(lines.utf16(7), 1, 3));

    const LineIndex ended("a\n");
    CHECK(ended.line_count() == 2);
    CHECK(ended.line(1).empty());
    CHECK(at(ended.bytes(2), 1, 0));
    const LineIndex alone("a\rb");  // a lone CR ends nothing
    CHECK(alone.line_count() == 1);
    CHECK(alone.line(0) == "a\rb");
}

TEST_CASE("columns in bytes, code points and UTF-16", "[base][source]") {
    // a, e acute (2 bytes), euro sign (3), herb (4 bytes; two UTF-16 units: RFC 2781), b
    const LineIndex lines("x\na\xC3\xA9\xE2\x82\xAC\xF0\x9F\x8C\xBF" "b");
    CHECK(at(lines.bytes(12), 1, 10));
    CHECK(at(lines.code_points(12), 1, 4));
    CHECK(at(lines.utf16(12), 1, 5));
    CHECK(at(lines.utf16(13), 1, 6));
    CHECK(at(lines.code_points(8), 1, 3));
    CHECK(at(lines.utf16(8), 1, 3));
    CHECK(at(lines.utf16(10), 1, 3));  // inside the herb is at its start
    CHECK(at(lines.code_points(4), 1, 1));
    const LineIndex broken("\xFF\xFE" "a");
    CHECK(at(broken.code_points(2), 0, 2));
    CHECK(at(broken.utf16(3), 0, 3));
}

TEST_CASE("a source map owns what it is given", "[base][source]") {
    SourceMap sources;
    std::vector<FileId> ids;
    for (int i = 0; i < 100; ++i) ids.push_back(sources.add("f" + std::to_string(i), "text " + std::to_string(i)));
    static constexpr std::string_view kText = "unit g of mass";
    const FileId library = sources.add_embedded("stdlib/units.scruple", kText);
    REQUIRE(sources.size() == 101);
    CHECK(sources.file(ids[3]).path() == "f3");
    CHECK(sources.file(ids[99]).text() == "text 99");
    CHECK_FALSE(sources.file(ids[0]).is_embedded());
    CHECK(sources.file(library).is_embedded());
    CHECK(sources.file(library).text().data() == kText.data());

    CHECK(sources.text({library, 5, 6}) == "g");
    CHECK(sources.text({library, 10, 999}) == "mass");
    CHECK(sources.text({library, 999, 1000}).empty());
    CHECK(sources.text({library, 6, 5}).empty());
    CHECK(sources.text({}).empty());
    CHECK(sources.text({static_cast<FileId>(500), 0, 1}).empty());
    const SourceFile lone = SourceFile::embedded("a", kText);
    CHECK(lone.is_embedded());
}

TEST_CASE("the line table may be asked for from several threads", "[base][source]") {
    std::string text;
    for (int i = 0; i < 20000; ++i) text += "row\n";
    const SourceFile file("many.scruple", text);
    std::vector<std::thread> threads;
    std::vector<const LineIndex*> seen(4);
    for (auto& slot : seen) threads.emplace_back([&file, &slot] { slot = &file.lines(); });
    for (auto& thread : threads) thread.join();
    for (const auto* lines : seen) {
        CHECK(lines == seen[0]);
        CHECK(lines->line_count() == 20001);
    }
}

TEST_CASE("spans join", "[base][source]") {
    const Span a{static_cast<FileId>(0), 4, 9};
    const Span b{static_cast<FileId>(0), 7, 12};
    CHECK(join(a, b) == Span{static_cast<FileId>(0), 4, 12});
    CHECK(join({}, b) == b);
    CHECK(join(a, {}) == a);
    CHECK_FALSE(join({}, {}).known());
}
