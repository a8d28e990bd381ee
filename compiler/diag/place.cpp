#include "diag/place.h"

#include <algorithm>
#include <cstring>

#include "base/text.h"

namespace scruple::diag {
namespace {

/// Lines up to here are counted exactly, byte by byte; beyond it a count of lead bytes keeps the time bounded
/// (the two differ only where the text is no UTF-8).
constexpr std::size_t kExactBytes = 64u << 10;

struct Units {
    std::uint32_t code_points = 0;
    std::uint32_t utf16 = 0;
};

/// Sum of the eight bytes of a word.
std::uint64_t sum_of_bytes(std::uint64_t lanes) {
    constexpr std::uint64_t kEven = 0x00FF00FF00FF00FFull;
    return (((lanes & kEven) + ((lanes >> 8) & kEven)) * 0x0001000100010001ull) >> 48;
}

/// Counts eight bytes at a time: every byte but 10xxxxxx starts a code point, every 1111xxxx a surrogate pair. Each
/// byte of the two lane words counts for its own column; 255 rounds is what a byte can hold.
Units count_leads(std::string_view text) {
    constexpr std::uint64_t kLow = 0x0101010101010101ull;
    std::uint64_t continuing = 0;
    std::uint64_t pairs = 0;
    std::size_t i = 0;
    while (i + 8 <= text.size()) {
        std::uint64_t continuing_lanes = 0;
        std::uint64_t pair_lanes = 0;
        for (int round = 0; round < 255 && i + 8 <= text.size(); ++round, i += 8) {
            std::uint64_t word;
            std::memcpy(&word, text.data() + i, 8);
            continuing_lanes += (word >> 7) & ~(word >> 6) & kLow;
            pair_lanes += (word >> 7) & (word >> 6) & (word >> 5) & (word >> 4) & kLow;
        }
        continuing += sum_of_bytes(continuing_lanes);
        pairs += sum_of_bytes(pair_lanes);
    }
    for (; i < text.size(); ++i) {
        const auto byte = static_cast<unsigned char>(text[i]);
        if ((byte & 0xC0u) == 0x80u) ++continuing;
        if (byte >= 0xF0u) ++pairs;
    }
    const std::uint64_t points = text.size() - continuing;
    return {static_cast<std::uint32_t>(points), static_cast<std::uint32_t>(points + pairs)};
}

LineColumn place(const SourceFile& file, std::uint32_t offset, bool utf16) {
    const auto at = std::min(offset, static_cast<std::uint32_t>(file.text().size()));
    const LineIndex& lines = file.lines();
    const LineColumn bytes = lines.bytes(at);
    if (bytes.column <= kExactBytes) return utf16 ? lines.utf16(at) : lines.code_points(at);
    const Units units = count_leads(file.text().substr(lines.line_start(bytes.line), bytes.column));
    return {bytes.line, utf16 ? units.utf16 : units.code_points};
}

/// Nothing to see, or a power over the terminal: controls, odd spaces, joiners, marks of reading direction, tags.
bool hides(char32_t c) {
    return c < 0x20 || (c >= 0x7F && c <= 0xA0) || c == 0xAD || c == 0x034F || c == 0x061C || c == 0x115F ||
           c == 0x1160 || c == 0x1680 || c == 0x17B4 || c == 0x17B5 || (c >= 0x180B && c <= 0x180E) ||
           (c >= 0x2000 && c <= 0x200F) || (c >= 0x2028 && c <= 0x202F) || (c >= 0x205F && c <= 0x206F) ||
           c == 0x3000 || c == 0x3164 || c == 0xFEFF || c == 0xFFA0 || (c >= 0xFFF9 && c <= 0xFFFB) ||
           (c >= 0xE0000 && c <= 0xE0FFF);
}

std::string spelled_out(char32_t c) {
    constexpr char kDigits[] = "0123456789ABCDEF";
    std::string digits;
    for (char32_t rest = c; rest != 0 || digits.size() < 4; rest >>= 4) digits += kDigits[rest & 0xF];
    std::reverse(digits.begin(), digits.end());
    return "<U+" + digits + ">";
}

}  // namespace

bool has_place(const SourceMap& sources, Span span) {
    return span.known() && static_cast<std::size_t>(span.file) < sources.size();
}

std::string path_for_people(const SourceFile& file) {
    return visible(file.is_embedded() ? "library: " + file.path() : file.path());
}

std::string path_for_programs(const SourceFile& file) {
    return file.is_embedded() ? "library:" + file.path() : file.path();
}

Range utf16_range(const SourceFile& file, Span span) {
    const LineColumn start = place(file, span.begin, true);
    const LineColumn end = span.end > span.begin ? place(file, span.end, true) : start;
    return {start, end};
}

LineColumn place_for_people(const SourceFile& file, std::uint32_t offset) { return place(file, offset, false); }

std::string visible_at(std::string_view text, std::size_t offset, std::uint32_t& length) {
    const CodePoint point = decode_utf8(text, offset);
    length = std::max<std::uint32_t>(point.length, 1);
    if (point.value == U'\t') return "    ";
    if (hides(point.value)) return spelled_out(point.value);
    if (point.value == 0xFFFD) return "\xEF\xBF\xBD";
    return std::string(text.substr(offset, length));
}

std::string visible(std::string_view text) {
    const bool plain = std::all_of(text.begin(), text.end(), [](char c) { return c >= 0x20 && c < 0x7F; });
    if (plain) return std::string(text);
    std::string made;
    made.reserve(text.size());
    for (std::size_t i = 0; i < text.size();) {
        if (text[i] == '\n') {
            made += '\n';
            ++i;
            continue;
        }
        std::uint32_t length = 1;
        made += visible_at(text, i, length);
        i += length;
    }
    return made;
}

}  // namespace scruple::diag
