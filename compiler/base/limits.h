// Resource limits: a run on any input ends in bounded time and memory. Each has a diagnostic of its own.
#pragma once

#include <cstddef>
#include <cstdint>

namespace scruple {

struct ResourceLimits {
    std::uint64_t file_bytes = 16u << 20;
    std::uint64_t run_bytes = 256u << 20;
    std::uint32_t nesting = 200;
    std::uint32_t import_depth = 64;
    std::uint32_t files = 20000;
    std::uint32_t variation_depth = 32;
    std::uint64_t formula_lines = 10000;
    std::uint64_t bench_rows = 1000;
    std::uint64_t bench_figures = 200000;  // of its running table: rows that add, times oils in the beaker
    std::uint64_t run_lines = 5000000;
    std::uint32_t name_bytes = 255;
    std::uint32_t string_bytes = 64u << 10;
    std::uint32_t syntax_errors_per_file = 50;
    std::uint32_t printed_diagnostics = 100;
};

}  // namespace scruple
