// Unified diffs out of pieces: which lines correspond is known, so nothing has to be searched for.
#include <fmt/core.h>

#include <algorithm>
#include <string>

#include "layout/format.h"


namespace scruple {
namespace {

constexpr std::size_t kContext = 3;

std::vector<std::string_view> lines_of(std::string_view text) {
    std::vector<std::string_view> out;
    while (!text.empty()) {
        const auto end = text.find('\n');
        const std::size_t length = end == std::string_view::npos ? text.size() : end + 1;
        out.push_back(text.substr(0, length));
        text.remove_prefix(length);
    }
    return out;
}

/// So many lines out of the old text and into the new one, at these places.
struct Change {
    std::size_t old_at = 0;
    std::size_t old_count = 0;
    std::size_t new_at = 0;
    std::size_t new_count = 0;
};

std::string side(std::size_t at, std::size_t count) {
    if (count == 1) return fmt::format("{}", at + 1);
    return fmt::format("{},{}", count == 0 ? at : at + 1, count);
}

void put_line(std::string& out, char sign, std::string_view line) {
    out += sign;
    out += line;
    if (!line.ends_with('\n')) out += "\n\\ No newline at end of file\n";
}

}  // namespace

std::string unified_diff(std::string_view source, std::string_view text, std::string_view name,
                         std::span<const LayoutPiece> pieces) {
    std::vector<Change> changes;
    const auto old_lines = lines_of(source);
    const auto new_lines = lines_of(text);
    std::size_t old_at = 0;
    std::size_t new_at = 0;
    for (const LayoutPiece& piece : pieces) {
        const auto from = lines_of(source.substr(piece.source_begin,
                                                 piece.source_end - piece.source_begin));
        const auto to = lines_of(text.substr(piece.text_begin, piece.text_end - piece.text_begin));
        std::size_t head = 0;
        while (head < from.size() && head < to.size() && from[head] == to[head]) ++head;
        std::size_t tail = 0;
        while (head + tail < from.size() && head + tail < to.size() &&
               from[from.size() - 1 - tail] == to[to.size() - 1 - tail]) {
            ++tail;
        }
        const Change change{old_at + head, from.size() - head - tail, new_at + head,
                            to.size() - head - tail};
        if (change.old_count + change.new_count != 0) {
            const bool joined = !changes.empty() &&
                                changes.back().old_at + changes.back().old_count == change.old_at;
            if (joined) {
                changes.back().old_count += change.old_count;
                changes.back().new_count += change.new_count;
            } else {
                changes.push_back(change);
            }
        }
        old_at += from.size();
        new_at += to.size();
    }
    if (changes.empty()) return {};
    std::string out = fmt::format("--- a/{}\n+++ b/{}\n", name, name);
    for (std::size_t first = 0; first < changes.size();) {
        std::size_t last = first;
        while (last + 1 < changes.size() &&
               changes[last + 1].old_at - (changes[last].old_at + changes[last].old_count) <=
                   2 * kContext) {
            ++last;
        }
        const Change& a = changes[first];
        const Change& z = changes[last];
        const std::size_t before = std::min(kContext, a.old_at);
        const std::size_t old_end = z.old_at + z.old_count;
        const std::size_t after = std::min(kContext, old_lines.size() - old_end);
        const std::size_t new_end = z.new_at + z.new_count + after;
        out += fmt::format("@@ -{} +{} @@\n",
                           side(a.old_at - before, old_end + after - (a.old_at - before)),
                           side(a.new_at - before, new_end - (a.new_at - before)));
        std::size_t at = a.old_at - before;
        for (std::size_t c = first; c <= last; ++c) {
            for (; at < changes[c].old_at; ++at) put_line(out, ' ', old_lines[at]);
            for (std::size_t i = 0; i < changes[c].old_count; ++i)
                put_line(out, '-', old_lines[at++]);
            for (std::size_t i = 0; i < changes[c].new_count; ++i)
                put_line(out, '+', new_lines[changes[c].new_at + i]);
        }
        for (std::size_t i = 0; i < after; ++i) put_line(out, ' ', old_lines[at++]);
        first = last + 1;
    }
    return out;
}

}  // namespace scruple
