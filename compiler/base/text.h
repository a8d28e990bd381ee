// Small helpers on text: UTF-8, widths on a terminal, nearness of names. No locale anywhere.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace scruple {

/// Offset of the first byte that is not part of valid UTF-8 (surrogates, overlong forms, beyond U+10FFFF
/// count as invalid); npos if all is valid.
std::size_t find_invalid_utf8(std::string_view text);

/// One decoded code point and its length in bytes (an invalid byte gives U+FFFD, length 1).
struct CodePoint {
    char32_t value = 0;
    std::uint32_t length = 1;
};
CodePoint decode_utf8(std::string_view text, std::size_t offset);

/// Columns that the text takes on a terminal: 0 for combining marks and control characters, 2 for wide East Asian
/// characters and emoji, 1 for an invalid byte.
std::size_t display_width(std::string_view text);

/// The text with the letters A to Z made small; others stay as they are.
std::string ascii_lower(std::string_view text);

/// Pads with spaces to `width` columns; longer text is returned as it is.
std::string pad_right(std::string_view text, std::size_t width);
std::string pad_left(std::string_view text, std::size_t width);

/// Breaks at spaces so that no line takes more than `width` columns (a longer word stands alone). Runs of spaces count
/// as one, a LF always breaks; at least one line.
std::vector<std::string> wrap(std::string_view text, std::size_t width);

/// Edits of code points (insert, delete, replace, swap of neighbours; no piece edited twice) between two names, capped:
/// returns `cap + 1` beyond `cap`.
std::size_t edit_distance(std::string_view a, std::string_view b, std::size_t cap);

}  // namespace scruple
