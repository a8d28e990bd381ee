#include "base/text.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <iterator>

#include "base/width_tables.h"

namespace scruple {

namespace {

constexpr char32_t kReplacement = 0xFFFD;

unsigned byte_at(std::string_view text, std::size_t at) { return static_cast<unsigned char>(text[at]); }

/// Bytes from `at` on that are plain ASCII, eight at a time.
std::size_t skip_ascii(std::string_view text, std::size_t at) {
    while (at + 8 <= text.size()) {
        std::uint64_t word = 0;
        std::memcpy(&word, text.data() + at, 8);
        if ((word & 0x8080808080808080u) != 0) break;
        at += 8;
    }
    while (at < text.size() && byte_at(text, at) < 0x80) ++at;
    return at;
}

template <std::size_t N>
bool within(const width_tables::Range (&table)[N], char32_t c) {
    const auto after = std::upper_bound(std::begin(table), std::end(table), c,
                                        [](char32_t value, const auto& range) { return value < range.first; });
    return after != std::begin(table) && c <= std::prev(after)->last;
}

std::size_t width_of(char32_t c) {
    if (c < 0x80) return c < 0x20 || c == 0x7F ? 0 : 1;
    if (within(width_tables::kZeroWidth, c)) return 0;
    return within(width_tables::kWide, c) ? 2 : 1;
}

std::vector<char32_t> code_points(std::string_view text) {
    std::vector<char32_t> out;
    out.reserve(text.size());
    for (std::size_t at = 0; at < text.size();) {
        const CodePoint point = decode_utf8(text, at);
        out.push_back(point.value);
        at += point.length;
    }
    return out;
}

}  // namespace

// Well-formed sequences: The Unicode Standard, table 3-7.
CodePoint decode_utf8(std::string_view text, std::size_t offset) {
    if (offset >= text.size()) return {kReplacement, 1};
    const unsigned first = byte_at(text, offset);
    if (first < 0x80) return {static_cast<char32_t>(first), 1};
    unsigned length = 0;
    unsigned lowest = 0x80;
    unsigned highest = 0xBF;
    char32_t value = 0;
    if (first >= 0xC2 && first <= 0xDF) {
        length = 2;
        value = first & 0x1Fu;
    } else if (first >= 0xE0 && first <= 0xEF) {
        length = 3;
        value = first & 0x0Fu;
        if (first == 0xE0) lowest = 0xA0;   // else overlong
        if (first == 0xED) highest = 0x9F;  // else a surrogate
    } else if (first >= 0xF0 && first <= 0xF4) {
        length = 4;
        value = first & 0x07u;
        if (first == 0xF0) lowest = 0x90;   // else overlong
        if (first == 0xF4) highest = 0x8F;  // else beyond U+10FFFF
    } else {
        return {kReplacement, 1};
    }
    if (text.size() - offset < length) return {kReplacement, 1};
    for (unsigned i = 1; i < length; ++i) {
        const unsigned next = byte_at(text, offset + i);
        if (next < lowest || next > highest) return {kReplacement, 1};
        value = (value << 6) | (next & 0x3Fu);
        lowest = 0x80;
        highest = 0xBF;
    }
    return {value, length};
}

std::size_t find_invalid_utf8(std::string_view text) {
    for (std::size_t at = skip_ascii(text, 0); at < text.size(); at = skip_ascii(text, at)) {
        const CodePoint point = decode_utf8(text, at);
        if (point.length == 1) return at;
        at += point.length;
    }
    return std::string_view::npos;
}

std::size_t display_width(std::string_view text) {
    std::size_t width = 0;
    for (std::size_t at = 0; at < text.size();) {
        const CodePoint point = decode_utf8(text, at);
        width += width_of(point.value);
        at += point.length;
    }
    return width;
}

std::string ascii_lower(std::string_view text) {
    std::string out(text);
    for (char& c : out) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return out;
}

std::string pad_right(std::string_view text, std::size_t width) {
    std::string out(text);
    const std::size_t taken = display_width(text);
    if (taken < width) out.append(width - taken, ' ');
    return out;
}

std::string pad_left(std::string_view text, std::size_t width) {
    const std::size_t taken = display_width(text);
    std::string out(taken < width ? width - taken : 0, ' ');
    out += text;
    return out;
}

std::vector<std::string> wrap(std::string_view text, std::size_t width) {
    std::vector<std::string> out(1);
    std::size_t taken = 0;
    for (std::size_t at = 0; at < text.size();) {
        if (text[at] == '\n') {
            out.emplace_back();
            taken = 0;
            ++at;
            continue;
        }
        if (text[at] == ' ') {
            ++at;
            continue;
        }
        const std::size_t end = std::min(text.find_first_of(" \n", at), text.size());
        const std::string_view word = text.substr(at, end - at);
        const std::size_t word_width = display_width(word);
        if (out.back().empty()) {
            taken = 0;
        } else if (taken + 1 + word_width > width) {
            out.emplace_back();
            taken = 0;
        } else {
            out.back() += ' ';
            ++taken;
        }
        out.back() += word;
        taken += word_width;
        at = end;
    }
    return out;
}

// Optimal string alignment, only the diagonal band that can stay within the cap.
std::size_t edit_distance(std::string_view a_text, std::string_view b_text, std::size_t cap) {
    const auto a = code_points(a_text);
    const auto b = code_points(b_text);
    cap = std::min(cap, std::max(a.size(), b.size()));
    const std::size_t beyond = cap + 1;
    if ((a.size() > b.size() ? a.size() - b.size() : b.size() - a.size()) > cap) return beyond;
    std::array<std::vector<std::size_t>, 3> rows;
    for (auto& row : rows) row.assign(b.size() + 1, beyond);
    for (std::size_t j = 0; j <= std::min(b.size(), cap); ++j) rows[0][j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        auto& now = rows[i % 3];
        const auto& last = rows[(i + 2) % 3];
        const auto& before = rows[(i + 1) % 3];
        const std::size_t from = i > cap ? i - cap : 1;
        const std::size_t to = std::min(b.size(), i + cap);
        now[from - 1] = from == 1 && i <= cap ? i : beyond;
        std::size_t least = now[from - 1];
        for (std::size_t j = from; j <= to; ++j) {
            std::size_t best = last[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            best = std::min({best, now[j - 1] + 1, j < i + cap ? last[j] + 1 : beyond});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                best = std::min(best, before[j - 2] + 1);
            }
            now[j] = std::min(best, beyond);
            least = std::min(least, now[j]);
        }
        // A swap may reach back two rows, but it costs one from there as well.
        if (least > cap) {
            const auto reached = std::any_of(last.begin(), last.end(), [&](std::size_t d) { return d <= cap; });
            if (!reached) return beyond;
        }
    }
    return rows[a.size() % 3][b.size()];
}

}  // namespace scruple
