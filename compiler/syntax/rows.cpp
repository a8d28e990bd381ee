#include "syntax/rows.h"

#include <algorithm>

#include "base/text.h"
#include "syntax/characters.h"
#include "syntax/keywords.h"

namespace scruple {
namespace {

constexpr std::size_t kMostCrowdedEdits = 200;
constexpr std::size_t kQuotedBytes = 48;

bool is_doc(std::string_view comment) {
    return comment.starts_with("##") && !comment.starts_with("###");
}

}  // namespace

std::string quoted(std::string_view piece) {
    std::string out = "`";
    std::size_t at = 0;
    while (at < piece.size() && at < kQuotedBytes) {
        const CodePoint c = decode_utf8(piece, at);
        if (c.value < 0x20 || characters::is_invisible(c.value) ||
            characters::is_odd_space(c.value)) {
            out += ' ';
        } else if (c.value == 0xFFFD) {
            out += '?';
        } else {
            out += piece.substr(at, c.length);
        }
        at += c.length;
    }
    if (at < piece.size()) out += "...";
    return out + "`";
}

RowBuilder::RowBuilder(SyntaxTree& tree, const ResourceLimits& limits, Bag& bag)
    : tree_(tree), limits_(limits), bag_(bag) {
    // Measured on the library and on made-up collections: about one atom for six bytes, one row for
    // thirty.
    const std::size_t size = tree_.text.size();
    tree_.atoms.reserve(size / 6 + 8);
    tree_.items.reserve(size / 24 + 8);
    tree_.rows.reserve(size / 32 + 8);
}

void RowBuilder::start_at(std::size_t begin) {
    line_start_ = narrow(begin);
    last_end_ = line_start_;
}

Span RowBuilder::span(std::size_t begin, std::size_t end) const {
    return tree_.span(narrow(begin), narrow(end));
}

// Diagnostics

bool RowBuilder::admit(Severity severity, std::size_t begin, std::size_t end) {
    if (severity != Severity::error) return ++warnings_ <= limits_.syntax_errors_per_file;
    tree_.complete = false;
    ++errors_;
    if (errors_ <= limits_.syntax_errors_per_file) return true;
    if (errors_ == limits_.syntax_errors_per_file + 1) {
        bag_.add(Code::too_many_errors, span(begin, end),
                 "there are more mistakes from here on, and only the first " +
                     std::to_string(limits_.syntax_errors_per_file) + " of a file are listed");
    }
    return false;
}

DiagnosticBuilder RowBuilder::report(Code code, std::size_t begin, std::size_t end,
                                     std::string message) {
    // What stands in a block that is too deep was not read, and nothing is said of it.
    if (skip_depth_ == 0 && admit(code_info(code).severity, begin, end)) {
        return bag_.add(code, span(begin, end), std::move(message));
    }
    sink_ = {};
    return DiagnosticBuilder(&sink_);
}

std::optional<DiagnosticBuilder> RowBuilder::unexpected(std::size_t begin, std::size_t end,
                                                        std::string message) {
    if (skip_depth_ > 0 || (row_ != kNone && tree_.rows[row_].broken)) return std::nullopt;
    return report(Code::unexpected_text, begin, end, std::move(message));
}

void RowBuilder::break_row() {
    if (row_ != kNone) tree_.rows[row_].broken = true;
}

// Rows and items

const Atom* RowBuilder::last_atom() const {
    return item_open_ ? &tree_.atoms.back() : nullptr;
}

const Atom* RowBuilder::atom_before_last() const {
    if (!item_open_ || tree_.atoms.size() - tree_.items.back().first_atom < 2) return nullptr;
    return &tree_.atoms[tree_.atoms.size() - 2];
}

std::size_t RowBuilder::blanks_before(std::size_t at) const {
    while (at > line_start_ && (tree_.text[at - 1] == ' ' || tree_.text[at - 1] == '\t')) --at;
    return at;
}

void RowBuilder::start_row(std::size_t begin) {
    if (ended_ != kNone && !quiet_line_) crowded(begin);
    row_ = narrow(tree_.rows.size());
    row_column_ = narrow(begin) - line_start_;
    if (!stack_.empty() && line_empty_ && row_column_ <= stack_.back().indent)
        stack_.back().outdent = std::min(stack_.back().outdent, line_start_);
    Row row;
    row.begin = row.head_end = row.end = narrow(begin);
    row.first_item = narrow(tree_.items.size());
    row.next = row_ + 1;
    row.parent = parent();
    tree_.rows.push_back(row);
    header_ = opened_ = kNone;
}

/// Said only when something follows the comma: else it is one comma too many, and goes.
void RowBuilder::wide_comma() {
    if (comma_reported_) return;
    report(Code::full_width, comma_, comma_ + comma_length_,
           "a full-width comma, and the plain `,` is meant")
        .fix("write `,`", true, {{span(comma_, comma_ + comma_length_), ","}});
}

bool RowBuilder::push_atom(AtomKind kind, std::size_t begin, std::size_t end, bool mended) {
    if (begin == line_start_ && kind == AtomKind::word &&
        (!stack_.empty() || comma_ != kNone || skip_depth_ > 0) && starts_declaration(begin, end)) {
        recover(begin);
    }
    if (skip_depth_ > 0) {
        touch(end);
        return false;
    }
    if (row_ == kNone) start_row(begin);
    touch(end);
    if (!item_open_) {
        if (comma_ != kNone && comma_length_ > 1) wide_comma();
        tree_.items.push_back({narrow(tree_.atoms.size()), 0});
        item_open_ = true;
        comma_ = kNone;
    }
    tree_.atoms.push_back({kind, mended, narrow(begin), narrow(end)});
    return true;
}

void RowBuilder::atom(AtomKind kind, std::size_t begin, std::size_t end) {
    push_atom(kind, begin, end, false);
}

void RowBuilder::mended_atom(AtomKind kind, std::size_t begin, std::size_t end, std::string meant) {
    if (push_atom(kind, begin, end, true)) {
        tree_.mended.push_back({narrow(begin), std::move(meant)});
    }
}

void RowBuilder::bad_atom(std::size_t begin, std::size_t end) {
    push_atom(AtomKind::bad, begin, end, false);
    tree_.complete = false;
    break_row();
}

void RowBuilder::dropped(std::size_t begin, std::size_t end) {
    if (skip_depth_ == 0 && row_ == kNone) start_row(begin);
    touch(end);
}

void RowBuilder::end_item() {
    if (!item_open_) return;
    Item& item = tree_.items.back();
    item.atom_count = narrow(tree_.atoms.size()) - item.first_atom;
    item_open_ = false;
}

void RowBuilder::end_row() {
    if (row_ == kNone) return;
    end_item();
    if (comma_ != kNone) {
        if (!comma_reported_) {
            report(Code::trailing_comma, comma_, comma_ + comma_length_,
                   "nothing follows this comma, and a comma says that the list goes on")
                .fix("take the comma away", false, {{span(comma_, comma_ + comma_length_), ""}});
        }
        comma_ = kNone;
        break_row();
    }
    Row& row = tree_.rows[row_];
    row.item_count = narrow(tree_.items.size()) - row.first_item;
    if (row.item_count == 0) {
        row.kind = RowKind::error;
        row.broken = true;
        row.head_end = last_end_;
    } else {
        row.head_end = tree_.atoms.back().end;
    }
    row.end = row.head_end;
    header_ = row.kind == RowKind::error ? kNone : row_;
    ended_ = row_;
    row_ = kNone;
}

bool RowBuilder::reopen_for(std::size_t comma) {
    if (header_ == kNone || header_ + 1 != tree_.rows.size()) return false;
    Row& row = tree_.rows[header_];
    if (row.item_count == 0) return false;
    const auto between = tree_.text.substr(last_end_, comma - last_end_);
    if (std::count(between.begin(), between.end(), '\n') > 1) return false;
    if (row.tail_comment != 0) {
        row.tail_comment = 0;
        ++row.list_comments;
    }
    row_ = header_;
    header_ = kNone;
    return true;
}

void RowBuilder::comma(std::size_t begin, std::size_t end) {
    if (skip_depth_ > 0 || begin < commas_said_) return touch(end);
    if (row_ != kNone && item_open_) {
        end_item();
        comma_ = narrow(begin);
        comma_length_ = narrow(end - begin);
        comma_reported_ = false;
        return touch(end);
    }
    // A comma with nothing before it; several in a row are one mistake.
    std::size_t run = end;
    for (std::size_t at = end; at < tree_.text.size(); ++at) {
        const char c = tree_.text[at];
        if (c == ',') {
            run = at + 1;
        } else if (c != ' ' && c != '\t') {
            break;
        }
    }
    commas_said_ = narrow(run);
    const bool continues = row_ == kNone && ended_ == kNone && reopen_for(begin);
    touch(end);
    const char* seen = "a row starts with a comma, and a comma stands between two things";
    Code code = Code::empty_item;
    std::string title = "take the comma away";
    std::vector<Edit> edits = {{span(begin, run), ""}};
    // What goes on below: nothing before a blank line, a comment or the end of the block.
    std::size_t below = std::min(tree_.text.find_first_not_of(" \t\r", run), tree_.text.size());
    if (below < tree_.text.size() && tree_.text[below] == '\n')
        below = std::min(tree_.text.find_first_not_of(" \t\r", below + 1), tree_.text.size());
    const bool goes_on =
        below < tree_.text.size() && tree_.text[below] != '\n' && tree_.text[below] != '}';
    if (continues && !goes_on) {
        comma_ = narrow(begin);
        comma_length_ = narrow(end - begin);
        comma_reported_ = true;
        seen = "a line starts with a comma, and nothing follows it";
    } else if (continues) {
        const std::uint32_t above = tree_.rows[row_].head_end;
        comma_ = narrow(begin);
        comma_length_ = narrow(end - begin);
        comma_reported_ = true;
        seen = "a line starts with a comma, and the comma stands at the end of the line above";
        title = "move the comma up";
        // A line that would be left empty goes with its comma: a blank line ends a list.
        std::size_t stop = std::min(tree_.text.find_first_not_of(" \t", run), tree_.text.size());
        if (tree_.text.substr(stop, 2) == "\r\n") ++stop;
        const bool alone = stop < tree_.text.size() && tree_.text[stop] == '\n';
        if (alone) edits[0].span = span(blanks_before(begin), stop + 1);
        edits.insert(edits.begin(), {span(above, above), ","});
    } else if (row_ != kNone && comma_ != kNone) {
        seen = "two commas with nothing between them, and one is enough";
        if (comma_ < line_start_)
            seen = "a line starts with a comma, and the line above ends with one: one is enough";
        break_row();  // it may have stood elsewhere in the row, or the end of its line is a new row
    } else if (row_ == kNone && ended_ != kNone) {
        code = Code::trailing_comma;
        seen = "a comma after the end of a row, and rows are not separated by commas";
    }
    // Something may be missing beside the comma: taking it away is a guess.
    report(code, begin, run, seen).fix(std::move(title), continues && goes_on, std::move(edits));
}

void RowBuilder::cut(std::size_t begin, std::size_t end) {
    (void)begin;
    if (skip_depth_ == 0) {
        end_row();
        quiet_line_ = true;
    }
    touch(end);
}

void RowBuilder::line_end(std::size_t begin, std::size_t end) {
    (void)begin;
    if (row_ != kNone && (comma_ == kNone || line_empty_)) end_row();
    if (crowded_) flush_crowded();
    line_start_ = narrow(end);
    line_empty_ = true;
    quiet_line_ = false;
    ended_ = opened_ = kNone;
}

// Comments

void RowBuilder::comment_row(std::size_t begin, std::size_t end) {
    const auto index = narrow(tree_.rows.size());
    Row row;
    row.kind = is_doc(tree_.view(narrow(begin), narrow(end))) ? RowKind::doc : RowKind::comment;
    row.begin = narrow(begin);
    row.head_end = row.end = narrow(end);
    row.first_item = narrow(tree_.items.size());
    row.next = index + 1;
    row.parent = parent();
    tree_.rows.push_back(row);
}

void RowBuilder::comment(std::size_t begin, std::size_t end) {
    if (skip_depth_ > 0) return touch(end);
    const std::uint32_t count = narrow(tree_.comments.size()) + 1;
    if (row_ != kNone && comma_ != kNone) {
        ++tree_.rows[row_].list_comments;
    } else if (row_ != kNone) {
        const std::uint32_t row = row_;
        end_row();
        tree_.rows[row].tail_comment = count;
    } else if (opened_ != kNone) {
        tree_.rows[opened_].open_comment = count;
    } else if (ended_ != kNone && tree_.rows[ended_].tail_comment == 0) {
        tree_.rows[ended_].tail_comment = count;
    } else {
        comment_row(begin, end);
        return touch(end);
    }
    tree_.comments.push_back({narrow(begin), narrow(end)});
    touch(end);
    if (is_doc(tree_.view(narrow(begin), narrow(end)))) {
        report(Code::misplaced_doc, begin, begin + 2,
               "`##` documents the declaration below it, and here it follows something on its line")
            .fix("write `#` for a plain comment", true, {{span(begin, begin + 2), "#"}});
    }
}

// Several rows on one line

void RowBuilder::crowded(std::size_t begin) {
    if (!crowded_) {
        if (!admit(code_info(Code::crowded_block).severity, begin, begin + 1)) {
            quiet_line_ = true;
            return;
        }
        crowded_.emplace();
        crowded_->code = Code::crowded_block;
        crowded_->severity = code_info(Code::crowded_block).severity;
        crowded_->message = "a second row on the same line, and every row has a line of its own";
        crowded_->span = span(begin, begin + 1);
        crowded_->fixes.push_back({"start a new line", true, {}});
    }
    Fix& fix = crowded_->fixes.front();
    if (fix.edits.size() >= kMostCrowdedEdits) {
        fix.safe = false;  // it would leave some of the line as it is
        return;
    }
    fix.edits.push_back(
        {span(blanks_before(begin), begin), "\n" + std::string(4 * stack_.size(), ' ')});
}

void RowBuilder::flush_crowded() {
    bag_.push(std::move(*crowded_));
    crowded_.reset();
}

}  // namespace scruple
