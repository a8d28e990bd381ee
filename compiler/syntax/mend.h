// Reads what the grammar does not: what phones and habits type, and plain mistakes. Each gets a
// code of its own, a message in the maker's words and an edit, and gives the atoms that were meant
// where that is certain. Every function takes the offset of the first byte and returns the offset
// after what it read: always a later one.
#pragma once

#include <cstddef>
#include <string_view>

#include "base/text.h"
#include "syntax/rows.h"

namespace scruple {

/// Anything at all.
std::size_t mend(RowBuilder& rows, std::size_t at);

/// A number, range or date, and what stands in for one. `at` starts one: see starts_figure.
std::size_t mend_figure(RowBuilder& rows, std::size_t at);
bool starts_figure(std::string_view text, std::size_t at);

/// A name with something in it that no name has.
std::size_t mend_word(RowBuilder& rows, std::size_t at);

/// A text that starts with any kind of quotation mark; `at` stands on it. Curly, single and angle
/// ones included.
std::size_t mend_string(RowBuilder& rows, std::size_t at);
bool starts_odd_string(char32_t c);

/// Checks that need the whole atom: digits of a number, bytes of a name or text.
void check_figure_length(RowBuilder& rows, std::size_t begin, std::size_t end);
void check_name_length(RowBuilder& rows, std::size_t begin, std::size_t end);
void check_string_length(RowBuilder& rows, std::size_t begin, std::size_t end);

/// Characters that turn the reading direction inside a comment or a string.
void check_direction(RowBuilder& rows, std::size_t begin, std::size_t end);

inline constexpr std::size_t kMostDigits = 40;

inline bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
inline bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
inline bool is_name_char(char c) {
    return is_letter(c) || is_digit(c) || c == '_';
}
/// The character at an offset; of no length past the end.
inline CodePoint peek(std::string_view text, std::size_t at) {
    return at < text.size() ? decode_utf8(text, at) : CodePoint{0, 0};
}
/// The byte at an offset; NUL past the end.
inline char byte_at(std::string_view text, std::size_t at) {
    return at < text.size() ? text[at] : '\0';
}

}  // namespace scruple
