// One layout for every recipe: a tree in, its text out. It moves blanks and line ends, and the
// clauses of a row; names, figures, texts and comments come out as they stand, rows in their order.
// What could not be read is left byte for byte.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "diag/diagnostic.h"
#include "syntax/tree.h"

namespace scruple {

/// Lines of the source, and what they become. Offsets are bytes; both begin at a line's start.
struct LayoutPiece {
    std::uint32_t source_begin = 0;
    std::uint32_t source_end = 0;
    std::size_t text_begin = 0;
    std::size_t text_end = 0;
};

struct Layout {
    std::string text;
    std::vector<LayoutPiece> pieces;  // all of the source, in order
    std::size_t kept = 0;             // declarations left as they are, since they could not be read
    bool possible = true;             // false: the text is the source, untouched
};

/// `found` is what the parser said of this text. Every line ends as the first one of the source
/// does, in LF or CR LF. Nothing is laid out (`possible`) where a mistake belongs to no
/// declaration, where there are more mistakes than are listed, and where the text would be longer
/// than `most_bytes`.
Layout lay_out(const SyntaxTree& tree, std::span<const Diagnostic> found, std::size_t most_bytes);

}  // namespace scruple
