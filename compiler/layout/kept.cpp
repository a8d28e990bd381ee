#include "layout/kept.h"

#include <algorithm>

namespace scruple::layout {
namespace {

std::uint32_t line_begin(std::string_view text, std::uint32_t at) {
    while (at > 0 && text[at - 1] != '\n') --at;
    return at;
}

std::uint32_t line_end_after(std::string_view text, std::uint32_t at) {
    const auto found = text.find('\n', at);
    return static_cast<std::uint32_t>(found == std::string_view::npos ? text.size() : found + 1);
}

bool whole(const SyntaxTree& tree, std::uint32_t row) {
    for (std::uint32_t r = row; r < tree.rows[row].next; ++r) {
        const Row& at = tree.rows[r];
        if (at.broken || at.kind == RowKind::error) return false;
        for (const Item& item : tree.items_of(at)) {
            for (const Atom& atom : tree.atoms_of(item)) {
                if (atom.mended || atom.kind == AtomKind::bad) return false;
            }
        }
    }
    return true;
}

/// The mistakes, by where they begin.
std::vector<std::pair<std::uint32_t, std::uint32_t>> mistakes(std::span<const Diagnostic> found,
                                                              std::uint32_t base) {
    std::vector<std::pair<std::uint32_t, std::uint32_t>> out;
    for (const auto& d : found) {
        if (d.severity != Severity::error) continue;
        out.emplace_back(d.span.begin - base, d.span.end - base);
    }
    std::sort(out.begin(), out.end());
    return out;
}

}  // namespace

std::optional<std::vector<KeptLines>> kept_lines(const SyntaxTree& tree,
                                                 std::span<const Diagnostic> found) {
    std::vector<KeptLines> out;
    if (tree.complete) return out;
    for (const auto& d : found) {
        if (d.code == Code::too_many_errors) return std::nullopt;
    }
    const auto wrong = mistakes(found, tree.base);
    if (wrong.empty()) return std::nullopt;
    std::size_t next = 0;  // first mistake that no lines hold yet
    for (std::uint32_t r = 0; r < tree.rows.size(); r = tree.rows[r].next) {
        const Row& row = tree.rows[r];
        std::uint32_t end = row.end;
        if (row.tail_comment != 0) end = tree.comments[row.tail_comment - 1].end;
        KeptLines lines{line_begin(tree.text, row.begin), line_end_after(tree.text, end), r,
                        row.next, 1};
        if (next < wrong.size() && wrong[next].first < lines.begin &&
            (out.empty() || wrong[next].first >= out.back().end)) {
            return std::nullopt;
        }
        bool bad = !whole(tree, r);
        while (next < wrong.size() && wrong[next].first < lines.end) {
            if (wrong[next].second > lines.end) return std::nullopt;
            if (wrong[next].first >= lines.begin) bad = true;
            ++next;
        }
        // What shares a line with kept text stays as well.
        const bool joined = !out.empty() && lines.begin < out.back().end;
        if (joined) {
            out.back().end = std::max(out.back().end, lines.end);
            out.back().next_row = row.next;
            ++out.back().declarations;
        } else if (bad) {
            out.push_back(lines);
        }
    }
    if (next < wrong.size()) return std::nullopt;
    if (out.empty()) return std::nullopt;
    // A row that shares its first line with the end of one that was taken for good.
    for (const auto& lines : out) {
        if (lines.first_row == 0) continue;
        const Row& before = tree.rows[lines.first_row - 1];
        if (before.end > lines.begin) return std::nullopt;
    }
    return out;
}

}  // namespace scruple::layout
