// The library core by itself, in one process: parsing beside a bare scan for line ends of the same bytes, and one whole
// compilation of a small text, first (which reads what it names of the library) and again (what a keystroke costs).
//
//   bench_core LARGE-FILE SMALL-FILE    prints JSON; times are medians in milliseconds
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "base/limits.h"
#include "diag/diagnostic.h"
#include "query/session.h"
#include "syntax/parser.h"

namespace {

using Clock = std::chrono::steady_clock;

double ms_since(Clock::time_point start) {
    return std::chrono::duration<double, std::milli>(Clock::now() - start).count();
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

bool read(const char* path, std::string& text) {
    std::ifstream file(path, std::ios::binary);
    if (!file) {
        std::fprintf(stderr, "bench_core: cannot read %s\n", path);
        return false;
    }
    text.assign(std::istreambuf_iterator<char>(file), {});
    return true;
}

std::size_t count_lines(const std::string& text) {
    std::size_t lines = 0;
    const char* at = text.data();
    const char* const end = at + text.size();
    while (at != end && (at = static_cast<const char*>(std::memchr(at, '\n', static_cast<std::size_t>(end - at))))) {
        ++lines;
        ++at;
    }
    return lines;
}

}  // namespace

int main(int argc, char** argv) {
    std::string large;
    std::string small;
    if (argc != 3) {
        std::fputs("bench_core LARGE-FILE SMALL-FILE\n", stderr);
        return 2;
    }
    if (!read(argv[1], large) || !read(argv[2], small)) return 3;
    constexpr int kRuns = 15;
    constexpr int kScans = 20;  // one scan is too short to time
    const scruple::ResourceLimits limits;
    std::vector<double> parse_ms;
    std::vector<double> scan_ms;
    std::size_t rows = 0;
    std::size_t findings = 0;
    std::size_t lines = 0;
    for (int run = 0; run < kRuns; ++run) {
        auto start = Clock::now();
        for (int i = 0; i < kScans; ++i) {
            large[0] = static_cast<char>(large[0] ^ 0);  // or the compiler counts once for all
            lines = count_lines(large);
        }
        scan_ms.push_back(ms_since(start) / kScans);
        scruple::Bag bag;
        start = Clock::now();
        const auto tree = scruple::parse(scruple::FileId{0}, large, limits, bag);
        parse_ms.push_back(ms_since(start));
        rows = tree.rows.size();
        findings = bag.size();
    }
    auto start = Clock::now();
    auto first = scruple::compile_text("small.scruple", small);
    const double first_ms = ms_since(start);
    std::vector<double> again_ms;
    for (int run = 0; run < 200; ++run) {
        start = Clock::now();
        first = scruple::compile_text("small.scruple", small);
        again_ms.push_back(ms_since(start));
    }
    const double parse = median(parse_ms);
    const double scan = median(scan_ms);
    const double megabytes = static_cast<double>(large.size()) / 1e6;
    std::printf("{\"bytes\": %zu, \"lines\": %zu, \"rows\": %zu, \"findings\": %zu, \"parse_ms\": %.3f, "
                "\"scan_ms\": %.4f, \"parse_mb_per_s\": %.1f, \"scan_mb_per_s\": %.1f, \"parse_to_scan\": %.2f, "
                "\"first_compile_ms\": %.3f, \"again_compile_ms\": %.3f, \"small_findings\": %zu}\n",
                large.size(), lines, rows, findings, parse, scan, megabytes / parse * 1e3, megabytes / scan * 1e3,
                parse / scan, first_ms, median(again_ms), first->diagnostics.size());
    return 0;
}
