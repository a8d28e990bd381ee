// What phones, word processors and other alphabets put where a plain character is meant. Tables
// only.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace scruple::characters {

/// A space that is not U+0020 or a tab: no-break, thin, ideographic, line separators, vertical tab,
/// form feed.
bool is_odd_space(char32_t c);

/// Takes no room on the page: zero-width and control characters, soft hyphen, byte order mark.
bool is_invisible(char32_t c);

/// Turns the reading direction of what follows, so that a text may read otherwise than it compiles.
bool is_direction(char32_t c);

/// Hyphens, en and em dashes, the minus sign; not the plain `-`.
bool is_odd_dash(char32_t c);

/// A letter of any alphabet but a-z and A-Z, a combining mark included.
bool is_foreign_letter(char32_t c);

/// A full-width form of a printable ASCII character, or a wide comma or stop: that character; else
/// 0.
char full_width(char32_t c);

/// The Latin letter that a Cyrillic or Greek one looks like; else 0.
char lookalike(char32_t c);

/// Latin letters with marks in plain letters (`é` gives `e`, `œ` gives `oe`); empty if there is no
/// such form.
std::string_view plain_letters(char32_t c);

/// An accent that stands after its letter as a character of its own.
inline bool is_combining(char32_t c) {
    return c >= 0x300 && c <= 0x36F;
}

struct SmallFraction {
    std::uint32_t over = 0;
    std::uint32_t under = 1;
};
/// `½` and its like.
std::optional<SmallFraction> fraction(char32_t c);

}  // namespace scruple::characters
