// The half of RowBuilder that deals with braces, and with finding its feet when one is missing.
#include <algorithm>

#include "syntax/keywords.h"
#include "syntax/rows.h"

namespace scruple {

/// Whether a single word is all that follows a brace on its line: it opens the block, not the row
/// above.
bool RowBuilder::one_word_after(std::size_t end) const {
    auto line = tree_.text.substr(end, tree_.text.find_first_of("\r\n#", end) - end);
    while (line.ends_with(' ') || line.ends_with('\t')) line.remove_suffix(1);
    while (line.starts_with(' ') || line.starts_with('\t')) line.remove_prefix(1);
    return !line.empty() && std::all_of(line.begin(), line.end(), [](char c) {
        return c == '_' || (c >= 'a' && c <= 'z');
    });
}

void RowBuilder::open(std::size_t begin, std::size_t end) {
    if (skip_depth_ > 0) {
        ++skip_depth_;
        return touch(end);
    }
    std::uint32_t row = row_;
    if (row_ != kNone) {
        end_row();
    } else if (header_ != kNone && ended_ == kNone && !one_word_after(end)) {
        // The brace stands on a line of its own. Comments between belong into the block now.
        row = header_;
        for (std::size_t i = row + 1; i < tree_.rows.size(); ++i) tree_.rows[i].parent = row;
        std::size_t from = begin;
        std::size_t to = end;
        while (to < tree_.text.size() && (tree_.text[to] == ' ' || tree_.text[to] == '\t')) ++to;
        if (line_empty_) from = blanks_before(begin);
        // The line goes with the brace if nothing else stands on it.
        if (tree_.text.substr(to, 2) == "\r\n") {
            to += 2;
        } else if (tree_.text.substr(to, 1) == "\n") {
            ++to;
        }
        const auto head = tree_.rows[row].head_end;
        report(Code::brace_on_next_line, begin, end,
               "the opening brace stands on a line of its own, and it belongs at the end of the "
               "line that it opens")
            .also(tree_.head(tree_.rows[row]), "the block of this")
            .fix("move the brace up", true, {{span(head, head), " {"}, {span(from, to), ""}});
    } else if (opened_ != kNone && tree_.rows.size() == opened_ + 1u && !line_empty_) {
        report(Code::unexpected_text, begin, end, "two braces open one block, and one is enough")
            .fix("take one away", true, {{span(begin, end), ""}});
        return touch(end);
    } else {
        const bool again = !stack_.empty() &&
                           tree_.rows[stack_.back().row].kind == RowKind::error &&
                           tree_.rows.size() == stack_.back().row + 1u;
        start_row(begin);
        row = row_;
        if (!again) {
            report(Code::unexpected_text, begin, end,
                   "a block that belongs to nothing, and a brace follows the row that it opens");
        }
        tree_.rows[row].kind = RowKind::error;
        tree_.rows[row].broken = true;
        row_ = kNone;
    }
    Row& opened = tree_.rows[row];
    opened.has_block = true;
    opened.open = narrow(begin);
    header_ = ended_ = kNone;
    if (stack_.size() >= limits_.nesting) return skip_block(row, begin, end);
    if (stack_.empty() && row_column_ == 0) misfit_ = kNone;
    stack_.push_back({row, narrow(begin), row_column_, kNone});
    opened_ = row;
    touch(end);
}

void RowBuilder::skip_block(std::uint32_t row, std::size_t begin, std::size_t end) {
    report(Code::nested_too_deep, begin, end,
           "this block lies inside " + std::to_string(stack_.size()) +
               " others, and no more than " + std::to_string(limits_.nesting) + " are read")
        .note("what it holds was not read");
    tree_.rows[row].broken = true;
    skip_row_ = row;
    skip_depth_ = 1;
    const auto child = narrow(tree_.rows.size());
    Row inside;
    inside.kind = RowKind::error;
    inside.broken = true;
    inside.begin = inside.head_end = inside.end = narrow(end);
    inside.first_item = narrow(tree_.items.size());
    inside.next = child + 1;
    inside.parent = row;
    tree_.rows.push_back(inside);
    touch(end);
}

void RowBuilder::end_skip(std::size_t close, std::size_t end) {
    Row& inside = tree_.rows.back();
    inside.head_end = inside.end = std::max(inside.begin, last_end_);
    if (inside.begin == inside.end) tree_.rows.pop_back();
    Row& row = tree_.rows[skip_row_];
    row.close = narrow(close);
    row.end = narrow(end);
    row.next = narrow(tree_.rows.size());
    skip_depth_ = 0;
    ended_ = skip_row_;
    header_ = opened_ = kNone;
}

void RowBuilder::close(std::size_t begin, std::size_t end) {
    if (skip_depth_ > 0) {
        if (--skip_depth_ == 0) {
            end_skip(begin, end);
            last_close_ = narrow(end);
        }
        return touch(end);
    }
    end_row();
    if (stack_.empty()) {
        stray(begin, end);
    } else {
        close_top(begin, end);
    }
    last_close_ = narrow(end);
    touch(end);
}

void RowBuilder::close_top(std::size_t begin, std::size_t end) {
    const OpenBlock block = stack_.back();
    const std::uint32_t column = narrow(begin) - line_start_;
    if (line_empty_ && column < block.indent && !suspect_) {
        // Outdented to the height of a block further out: the inner one's brace is probably the
        // missing one.
        const bool outer = std::any_of(stack_.begin(), stack_.end() - 1,
                                       [&](const OpenBlock& b) { return b.indent == column; });
        if (outer) {
            suspect_ = block;
            suspect_line_ = std::min(block.outdent, line_start_);
        }
    }
    if (!line_empty_ && block.open < line_start_) {
        misfit_ = narrow(begin);
        misfit_row_ = block.row;
    }
    stack_.pop_back();
    Row& row = tree_.rows[block.row];
    row.close = narrow(begin);
    row.end = narrow(end);
    row.next = narrow(tree_.rows.size());
    header_ = opened_ = kNone;
    ended_ = block.row;
    if (stack_.empty()) suspect_.reset();
}

/// Blanks before a row that is the first on its line; kNone for any other.
std::uint32_t RowBuilder::indent_of(const Row& row) const {
    std::size_t at = row.begin;
    while (at > 0 && (tree_.text[at - 1] == ' ' || tree_.text[at - 1] == '\t')) --at;
    return at == 0 || tree_.text[at - 1] == '\n' ? row.begin - narrow(at) : kNone;
}

/// A row from `first` on that has no block, and a row further in below it.
std::uint32_t RowBuilder::lost_inside(std::size_t first) const {
    for (std::size_t i = first; i + 1 < tree_.rows.size(); ++i) {
        const Row& row = tree_.rows[i];
        const Row& next = tree_.rows[i + 1];
        if (row.kind != RowKind::entry || row.has_block || next.parent != row.parent) continue;
        const std::uint32_t here = indent_of(row);
        const std::uint32_t below = indent_of(next);
        if (here != kNone && below != kNone && below > here) return narrow(i);
    }
    return kNone;
}

/// The row that seems to have lost its `{`, if a `}` at the top of the file closes nothing.
std::uint32_t RowBuilder::lost_header() const {
    for (std::size_t i = tree_.rows.size(); i-- > stray_floor_;) {
        const Row& row = tree_.rows[i];
        if (row.kind == RowKind::comment || row.kind == RowKind::doc) continue;
        if (row.parent != kNone) continue;  // the row that holds it is looked at
        if (row.kind != RowKind::entry) return kNone;
        if (row.begin != 0 && tree_.text[row.begin - 1] != '\n') continue;
        if (row.has_block) return lost_inside(i + 1);
        if (row.item_count == 0) return kNone;
        const auto word = tree_.value_text(tree_.atoms[tree_.items[row.first_item].first_atom]);
        if (!is_declaration_word(word)) continue;
        return is_one_row_declaration(word) && word != "cite" ? kNone : narrow(i);
    }
    return kNone;
}

void RowBuilder::stray(std::size_t begin, std::size_t end) {
    const bool again = !tree_.rows.empty() && stray_floor_ == tree_.rows.size();
    if (again && tree_.rows.back().tail_comment == 0) {
        tree_.rows.back().head_end = tree_.rows.back().end = narrow(end);
        ended_ = stray_floor_ - 1;
        return;
    }
    const std::uint32_t header = again ? kNone : lost_header();
    if (header != kNone) {
        for (std::size_t i = header; i < tree_.rows.size(); ++i) tree_.rows[i].broken = true;
        const Row& row = tree_.rows[header];
        report(Code::stray_brace, begin, end,
               "this `}` closes nothing, and every `}` has its `{` before it")
            .also(tree_.head(row), "this seems to have lost its `{`")
            .fix("open the block", false, {{span(row.head_end, row.head_end), " {"}});
    } else if (!again && misfit_ != kNone && misfit_ + 1 < begin) {
        tree_.rows[misfit_row_].broken = true;
        report(Code::stray_brace, begin, end,
               "this `}` closes nothing, and every `}` has its `{` before it")
            .also(span(misfit_, misfit_ + 1), "this one may be too many")
            .fix("take that one away", false, {{span(misfit_, misfit_ + 1), ""}});
    } else if (!again) {
        report(Code::stray_brace, begin, end,
               "this `}` closes nothing, and every `}` has its `{` before it")
            .fix("take it away", false, {{span(begin, end), ""}});
    }
    const auto index = narrow(tree_.rows.size());
    Row row;
    row.kind = RowKind::error;
    row.broken = true;
    row.begin = narrow(begin);
    row.head_end = row.end = narrow(end);
    row.first_item = narrow(tree_.items.size());
    row.next = index + 1;
    tree_.rows.push_back(row);
    stray_floor_ = index + 1;
    misfit_ = kNone;
    ended_ = index;
    header_ = kNone;
}

// Missing braces

bool RowBuilder::starts_declaration(std::size_t begin, std::size_t end) const {
    const auto word = tree_.text.substr(begin, end - begin);
    if (!is_declaration_word(word)) return false;
    if (is_one_row_declaration(word)) return true;
    bool in_string = false;
    for (std::size_t at = end; at < tree_.text.size(); ++at) {
        const char c = tree_.text[at];
        if (c == '\n' || c == '\r') return false;
        if (in_string) {
            if (c == '\\') {
                ++at;
            } else if (c == '"') {
                in_string = false;
            }
        } else if (c == '"') {
            in_string = true;
        } else if (c == '#') {
            return false;
        } else if (c == '{') {
            return true;
        }
    }
    return false;
}

/// Where the text of the blocks that are still open ends, when they hold the first `rows` rows.
std::uint32_t RowBuilder::content_end(std::uint32_t rows) const {
    std::uint32_t end = std::max(stack_.back().open + 1, last_close_);
    if (rows > stack_.back().row + 1) end = std::max(end, tree_.rows[rows - 1].end);
    if (!tree_.comments.empty()) end = std::max(end, tree_.comments.back().end);
    return end;
}

void RowBuilder::report_unclosed(std::uint32_t content, std::size_t begin, std::size_t end,
                                 const char* why) {
    const OpenBlock& block = suspect_ ? *suspect_ : stack_.back();
    auto added = report(Code::unclosed_block, block.open, block.open + 1u,
                        "this block is never closed, and every `{` needs its `}`");
    added.also(span(begin, end), why);
    if (stack_.size() > 1) {
        added.note(std::to_string(stack_.size()) + " blocks are open at that point");
    }
    if (suspect_) {
        added.fix("close it before the outer block", false,
                  {{span(suspect_line_, suspect_line_), std::string(block.indent, ' ') + "}\n"}});
        return;
    }
    std::string braces;
    for (std::size_t i = stack_.size(); i-- > 0;) {
        braces += "\n" + std::string(std::min<std::size_t>(stack_[i].indent, 80), ' ') + "}";
    }
    added.fix("close it here", false, {{span(content, content), braces}});
}

void RowBuilder::close_all(std::uint32_t next, std::uint32_t content) {
    for (const OpenBlock& block : stack_) {
        Row& row = tree_.rows[block.row];
        row.broken = true;
        row.close = row.end = content;
        row.next = next;
    }
    stack_.clear();
    suspect_.reset();
    header_ = ended_ = opened_ = kNone;
}

void RowBuilder::recover(std::size_t noticed) {
    end_row();
    const bool skipped = skip_depth_ > 0;
    if (skipped) end_skip(last_end_, last_end_);
    header_ = ended_ = kNone;
    if (stack_.empty()) return;
    // Comments in column 1 right above belong to the declaration that starts here.
    std::uint32_t next = narrow(tree_.rows.size());
    while (next > stack_.back().row + 1) {
        const Row& row = tree_.rows[next - 1];
        if (row.kind != RowKind::comment && row.kind != RowKind::doc) break;
        if (tree_.text[row.begin - 1] != '\n') break;
        --next;
    }
    const std::uint32_t content = content_end(next);
    if (!skipped) {
        std::size_t end = noticed;
        while (end < tree_.text.size() && tree_.text[end] >= 'a' && tree_.text[end] <= 'z') ++end;
        report_unclosed(content, noticed, end, "a new declaration starts here");
    }
    for (std::size_t i = next; i < tree_.rows.size(); ++i) tree_.rows[i].parent = kNone;
    close_all(next, content);
}

void RowBuilder::finish() {
    end_row();
    if (crowded_) flush_crowded();
    const bool skipped = skip_depth_ > 0;
    if (skipped) end_skip(last_end_, last_end_);
    if (stack_.empty()) return;
    const auto rows = narrow(tree_.rows.size());
    const std::uint32_t content = content_end(rows);
    if (!skipped) {
        report_unclosed(content, tree_.text.size(), tree_.text.size(), "the file ends here");
    }
    close_all(rows, content);
}

void RowBuilder::refuse() {
    tree_.complete = false;
    Row row;
    row.kind = RowKind::error;
    row.broken = true;
    row.head_end = row.end = narrow(tree_.text.size());
    row.next = 1;
    tree_.rows.push_back(row);
}

}  // namespace scruple
