// Which lines of a text with mistakes have to stay as they are.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "diag/diagnostic.h"
#include "syntax/tree.h"

namespace scruple::layout {

/// Whole lines that hold declarations which could not be read well, and the rows in them.
struct KeptLines {
    std::uint32_t begin = 0;      // byte at a line's start
    std::uint32_t end = 0;        // after a line end, or the end of the text
    std::uint32_t first_row = 0;  // at the top
    std::uint32_t next_row = 0;
    std::uint32_t declarations = 0;
};

/// In text order. Nothing if all of the text has to stay: a mistake belongs to no declaration, or
/// not all mistakes are known.
std::optional<std::vector<KeptLines>> kept_lines(const SyntaxTree& tree,
                                                 std::span<const Diagnostic> found);

}  // namespace scruple::layout
