#include "layout/same.h"

#include <algorithm>
#include <string_view>
#include <vector>

namespace scruple {
namespace {

std::string_view without_end(std::string_view text) {
    while (text.ends_with(' ') || text.ends_with('\t') || text.ends_with('\r'))
        text.remove_suffix(1);
    return text;
}

std::string_view comment_of(const SyntaxTree& tree, std::uint32_t index) {
    if (index == 0) return {};
    const CommentSpan& span = tree.comments[index - 1];
    return without_end(tree.view(span.begin, span.end));
}

bool same_atoms(const SyntaxTree& a, const Item& in_a, const SyntaxTree& b, const Item& in_b,
                bool alone) {
    const auto left = a.atoms_of(in_a);
    const auto right = b.atoms_of(in_b);
    if (left.size() != right.size()) return false;
    bool same = true;
    for (std::size_t i = 0; i < left.size() && same; ++i) {
        same = left[i].kind == right[i].kind && left[i].mended == right[i].mended &&
               a.view(left[i]) == b.view(right[i]);
    }
    if (same || !alone) return same;
    // Clauses that changed places: the same atoms all the same.
    std::vector<std::string_view> from;
    std::vector<std::string_view> to;
    for (std::size_t i = 0; i < left.size(); ++i) {
        from.push_back(a.view(left[i]));
        to.push_back(b.view(right[i]));
    }
    std::sort(from.begin(), from.end());
    std::sort(to.begin(), to.end());
    return from == to;
}

/// A description belongs to what stands directly below it.
bool stands_apart(const SyntaxTree& tree, std::uint32_t row) {
    if (row + 1 >= tree.rows.size()) return true;
    const auto between = tree.view(tree.rows[row].end, std::max(tree.rows[row].end,
                                                                tree.rows[row + 1].begin));
    return std::count(between.begin(), between.end(), '\n') != 1;
}

}  // namespace

bool same_rows(const SyntaxTree& a, const SyntaxTree& b) {
    if (a.rows.size() != b.rows.size() || a.comments.size() != b.comments.size() ||
        a.complete != b.complete) {
        return false;
    }
    for (std::uint32_t r = 0; r < a.rows.size(); ++r) {
        const Row& left = a.rows[r];
        const Row& right = b.rows[r];
        if (left.kind != right.kind || left.has_block != right.has_block ||
            left.broken != right.broken || left.item_count != right.item_count ||
            left.next != right.next || left.parent != right.parent ||
            left.list_comments != right.list_comments) {
            return false;
        }
        if (left.kind != RowKind::entry) {
            if (without_end(a.view(left.begin, left.head_end)) !=
                without_end(b.view(right.begin, right.head_end))) {
                return false;
            }
            if (left.kind == RowKind::doc && stands_apart(a, r) != stands_apart(b, r)) return false;
        }
        for (std::uint32_t i = 0; i < left.item_count; ++i) {
            if (!same_atoms(a, a.items_of(left)[i], b, b.items_of(right)[i],
                            left.item_count == 1)) {
                return false;
            }
        }
        if (comment_of(a, left.tail_comment) != comment_of(b, right.tail_comment) ||
            comment_of(a, left.open_comment) != comment_of(b, right.open_comment)) {
            return false;
        }
    }
    for (std::uint32_t i = 1; i <= a.comments.size(); ++i) {
        if (comment_of(a, i) != comment_of(b, i)) return false;
    }
    return true;
}

}  // namespace scruple
