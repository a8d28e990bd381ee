// Codes of limits that no file in the repository should have to reach: the limits are lowered here instead. The golden
// runner counts the codes named in this file as shown.
#include <catch2/catch.hpp>

#include <algorithm>
#include <string>

#include "base/file_system.h"
#include "query/session.h"
#include "sema/collection.h"

using namespace scruple;

namespace {

bool has(const std::vector<Diagnostic>& all, Code code) {
    return std::any_of(all.begin(), all.end(), [&](const Diagnostic& d) { return d.code == code; });
}

const std::string kOils[] = {"petitgrain_bigarade", "ho_wood", "vetiver", "lavender", "clary_sage", "cedarwood_atlas"};

std::string blend(const std::string& name, std::size_t oils) {
    std::string text = "blend " + name + " {\n";
    for (std::size_t i = 0; i < oils; ++i) text += "    " + std::to_string(i + 1) + " parts  " + kOils[i] + "\n";
    return text + "}\n";
}

/// All findings of a folder in memory, those about the paths included.
std::vector<Diagnostic> check(const MemoryFileSystem& files, const std::string& folder, const ResourceLimits& limits) {
    Bag bag;
    std::vector<Diagnostic> all;
    for (const auto& plan : find_collections(files, {folder}, false, limits, bag)) {
        const auto found = compile(files, plan, limits)->diagnostics;
        all.insert(all.end(), found.begin(), found.end());
    }
    all.insert(all.end(), bag.items().begin(), bag.items().end());
    return all;
}

}  // namespace

TEST_CASE("a formula of as many lines as the limit is good, and one more is too long", "[diag][limits]") {
    ResourceLimits limits;
    limits.formula_lines = 5;
    CHECK_FALSE(has(compile_text("a.scruple", blend("five", 5), limits)->diagnostics, Code::formula_too_long));
    CHECK(has(compile_text("a.scruple", blend("six", 6), limits)->diagnostics, Code::formula_too_long));
}

TEST_CASE("a bench of as many rows and figures as the limits is good, and one more is too long", "[diag][limits][bench]") {
    const auto bench = [](std::size_t rows) {
        std::string text = "bench b {\n    add 1 drop vetiver, 1 drop ho_wood\n";
        for (std::size_t i = 1; i < rows; ++i) text += "    add 1 drop vetiver\n";
        return text + "}\n";
    };
    ResourceLimits limits;
    limits.bench_rows = 5;
    CHECK_FALSE(has(compile_text("a.scruple", bench(5), limits)->diagnostics, Code::bench_too_long));
    CHECK(has(compile_text("a.scruple", bench(6), limits)->diagnostics, Code::bench_too_long));
    limits.bench_rows = 100;
    limits.bench_figures = 12;  // two oils in the beaker after each of six rows
    CHECK_FALSE(has(compile_text("a.scruple", bench(6), limits)->diagnostics, Code::bench_too_long));
    CHECK(has(compile_text("a.scruple", bench(7), limits)->diagnostics, Code::bench_too_long));
    limits.bench_figures = 200000;
    limits.formula_lines = 7;  // oils in all rows
    CHECK_FALSE(has(compile_text("a.scruple", bench(6), limits)->diagnostics, Code::bench_too_long));
    CHECK(has(compile_text("a.scruple", bench(7), limits)->diagnostics, Code::bench_too_long));
}

TEST_CASE("a run of as many lines as the limit is good, and one more is too long", "[diag][limits]") {
    ResourceLimits limits;
    limits.run_lines = 6;
    const auto two = blend("one", 3) + blend("two", 3);
    CHECK_FALSE(has(compile_text("a.scruple", two, limits)->diagnostics, Code::run_too_long));
    CHECK(has(compile_text("a.scruple", two + blend("three", 1), limits)->diagnostics, Code::run_too_long));
}

TEST_CASE("a collection of as many bytes as the limit is good, and one more is too large", "[diag][limits]") {
    MemoryFileSystem files;
    const auto a = blend("one", 3);
    const auto b = blend("two", 3);
    files.put("/r/collection.scruple", "");
    files.put("/r/a.scruple", a);
    files.put("/r/b.scruple", b);
    ResourceLimits limits;
    limits.run_bytes = a.size() + b.size();
    CHECK_FALSE(has(check(files, "/r", limits), Code::run_too_large));
    limits.run_bytes -= 1;
    CHECK(has(check(files, "/r", limits), Code::run_too_large));
}

TEST_CASE("as many files as the limit are good, and one more is too many", "[diag][limits]") {
    MemoryFileSystem files;
    files.put("/r/collection.scruple", "");
    files.put("/r/a.scruple", blend("one", 3));
    files.put("/r/deep/b.scruple", blend("two", 3));
    ResourceLimits limits;
    limits.files = 3;
    CHECK_FALSE(has(check(files, "/r", limits), Code::too_many_files));
    limits.files = 2;
    CHECK(has(check(files, "/r", limits), Code::too_many_files));
}

TEST_CASE("imports as deep as the limit are good, and one deeper is too deep", "[diag][limits]") {
    MemoryFileSystem files;
    files.put("/r/.git/HEAD", "");
    for (int i = 0; i < 4; ++i) {
        const auto folder = "/r/shelf_" + std::to_string(i);
        files.put(folder + "/collection.scruple",
                  i < 3 ? "use \"../shelf_" + std::to_string(i + 1) + "\" as next\n" : blend("last", 2));
    }
    ResourceLimits limits;
    limits.import_depth = 3;
    CHECK_FALSE(has(check(files, "/r/shelf_0", limits), Code::import_too_deep));
    limits.import_depth = 2;
    CHECK(has(check(files, "/r/shelf_0", limits), Code::import_too_deep));
}

TEST_CASE("oils that are like each other go as deep as variations, and no deeper") {
    const auto chain = [](int depth) {
        std::string text = "oil o0 \"First\" like lavender { impact 3 }\n";  // one deep itself
        for (int i = 1; i < depth; ++i) text += "oil o" + std::to_string(i) + " like o" + std::to_string(i - 1) + " { impact 3 }\n";
        return compile_text("a.scruple", text, ResourceLimits{})->diagnostics;
    };
    const int most = static_cast<int>(ResourceLimits{}.variation_depth);
    CHECK_FALSE(has(chain(most), Code::variation_too_deep));
    CHECK(has(chain(most + 1), Code::variation_too_deep));
    CHECK(chain(most + 50).size() == 1);
}
