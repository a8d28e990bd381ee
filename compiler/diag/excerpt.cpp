#include "diag/excerpt.h"

#include <algorithm>
#include <cstdint>

#include "base/text.h"
#include "diag/place.h"

namespace scruple::diag {
namespace {

constexpr std::string_view kCut = "...";

struct Glyph {
    std::string text;
    std::uint32_t length = 1;
    std::size_t width = 0;
};

Glyph glyph_at(std::string_view line, std::size_t offset) {
    Glyph glyph;
    glyph.text = visible_at(line, offset, glyph.length);
    glyph.width = display_width(glyph.text);
    return glyph;
}

/// Columns of line[0, end), or `cap + 1` when there are more or when it would take too long to know.
std::size_t columns_before(std::string_view line, std::size_t end, std::size_t cap) {
    if (end > 4 * cap) return cap + 1;
    std::size_t columns = 0;
    for (std::size_t i = 0; i < end && columns <= cap;) {
        const Glyph glyph = glyph_at(line, i);
        columns += glyph.width;
        i += glyph.length;
    }
    return columns;
}

std::size_t step_back(std::string_view line, std::size_t offset) {
    std::size_t at = offset - 1;
    for (int i = 0; i < 3 && at > 0 && (static_cast<unsigned char>(line[at]) & 0xC0u) == 0x80u; ++i) --at;
    // An offset among stray continuation bytes must not jump over a code point.
    std::uint32_t length = 1;
    visible_at(line, at, length);
    return at + length >= offset ? at : offset - 1;
}

/// Where the cut starts: the line's start if the focus then fits, else a third of the columns before the focus.
std::size_t first_byte(std::string_view line, std::size_t begin, std::size_t end, std::size_t columns) {
    const std::size_t room = columns - kCut.size();
    if (columns_before(line, end, room) <= room) return 0;
    if (columns_before(line, begin, room * 2 / 3) <= room * 2 / 3) return 0;
    std::size_t at = begin;
    std::size_t seen = 0;
    for (std::size_t steps = 0; at > 0 && steps < kMostColumns; ++steps) {
        const std::size_t before = step_back(line, at);
        const std::size_t width = glyph_at(line, before).width;
        if (seen + width > columns / 3) break;
        seen += width;
        at = before;
    }
    return at;
}

}  // namespace

std::size_t Excerpt::column_of(std::size_t byte) const {
    const auto found = std::lower_bound(stops.begin(), stops.end(), byte,
                                        [](const auto& stop, std::size_t b) { return stop.first < b; });
    if (found == stops.end()) return stops.empty() ? 0 : stops.back().second;
    return found->second;
}

Excerpt cut_line(std::string_view line, std::size_t begin, std::size_t end, std::size_t columns) {
    columns = std::clamp<std::size_t>(columns, 20, kMostColumns);
    begin = std::min(begin, line.size());
    end = std::clamp(end, begin, line.size());

    Excerpt cut;
    std::size_t at = first_byte(line, begin, end, columns);
    if (at > 0) {
        cut.text = kCut;
        cut.width = kCut.size();
    }
    const std::size_t most_glyphs = 4 * columns;  // a flood of marks without width ends too
    std::vector<std::size_t> ends;                // bytes of `text` before each stop
    while (at < line.size() && cut.stops.size() < most_glyphs) {
        const Glyph glyph = glyph_at(line, at);
        if (cut.width + glyph.width > columns) break;
        cut.stops.emplace_back(at, cut.width);
        ends.push_back(cut.text.size());
        cut.text += glyph.text;
        cut.width += glyph.width;
        at += glyph.length;
    }
    if (at < line.size()) {
        while (cut.stops.size() > 1 && cut.width + kCut.size() > columns) {
            at = cut.stops.back().first;
            cut.width = cut.stops.back().second;
            cut.text.resize(ends.back());
            cut.stops.pop_back();
            ends.pop_back();
        }
    }
    cut.stops.emplace_back(at, cut.width);
    if (at < line.size()) {
        cut.text += kCut;
        cut.width += kCut.size();
    }
    return cut;
}

}  // namespace scruple::diag
