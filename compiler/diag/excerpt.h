// One line of source cut to the terminal: what is printed, and at which column each byte came to stand.
// The work is bounded by the columns, not by the line: a line of 50 MB costs what a short one costs.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace scruple::diag {

/// No excerpt is wider, whatever the terminal says.
inline constexpr std::size_t kMostColumns = 400;

struct Excerpt {
    std::string text;
    std::vector<std::pair<std::size_t, std::size_t>> stops;  // (byte in the line, column), both ascending
    std::size_t width = 0;                                   // columns of `text`

    /// The column of a byte; bytes before or after the cut stand at its edge.
    std::size_t column_of(std::size_t byte) const;
};

/// Cuts `line` to `columns` (20 to 400) so that the bytes [begin, end) are in sight, their start first of all.
/// Cut ends show as `...`.
Excerpt cut_line(std::string_view line, std::size_t begin, std::size_t end, std::size_t columns);

}  // namespace scruple::diag
