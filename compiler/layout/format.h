// A text in the layout, held against what it was; parts of it for an editor; and what changed as a
// unified diff.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/limits.h"
#include "layout/layout.h"

namespace scruple {

/// What came of a text. `untouched` says why it was left alone as a whole.
struct Formatted {
    enum class Untouched : std::uint8_t { no, mistakes, too_long, fault };
    Layout layout;
    Untouched untouched = Untouched::no;
    bool changed = false;             // the layout is not the text that was given
    std::vector<Diagnostic> mistakes;  // of the syntax; only those that are errors
};

/// Lines from `first` to `last`, counted from 1, both included.
struct LineRange {
    std::uint32_t first = 1;
    std::uint32_t last = 1;
};

/// Lays `text` out and reads the result again: one that would not say the same is not given
/// (`fault`, which no text should bring about). Where there are `ranges`, only rows that reach into
/// one are laid out, and every other line stays byte for byte. Never throws for what the text holds.
Formatted format_text(FileId file, std::string_view text, const ResourceLimits& limits = {},
                      std::span<const LineRange> ranges = {});

/// The change from `source` to the text that these pieces give, as `diff -u` prints it, with three
/// lines around each change; empty if there is none. `name` stands on both sides.
std::string unified_diff(std::string_view source, std::string_view text, std::string_view name,
                         std::span<const LayoutPiece> pieces);

}  // namespace scruple
