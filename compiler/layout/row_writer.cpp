#include "layout/row_writer.h"

#include <algorithm>

#include "base/text.h"
#include "layout/clauses.h"

namespace scruple::layout {

std::size_t Page::column() {
    const std::string_view fresh = std::string_view(out_).substr(measured_);
    const bool ascii = std::none_of(fresh.begin(), fresh.end(),
                                    [](char c) { return static_cast<unsigned char>(c) >= 0x80; });
    columns_ += ascii ? fresh.size() : display_width(fresh);
    measured_ = out_.size();
    return columns_;
}

void Page::pad_to(std::size_t column, std::size_t least) {
    const std::size_t here = this->column();
    spaces(here + least <= column ? column - here : least);
}

void Page::break_at(std::size_t at, std::size_t indent) {
    std::string broken(line_end_);
    broken.append(indent, ' ');
    out_.replace(at, 1, broken);
    start_line(at + line_end_.size());
}

std::string_view RowWriter::comment_text(std::uint32_t begin, std::uint32_t end) const {
    auto text = tree_.view(begin, end);
    while (text.ends_with(' ') || text.ends_with('\t')) text.remove_suffix(1);
    return text;
}

void RowWriter::trailing_comment(const CommentSpan& comment, bool behind_brace) {
    page_.pad_to(behind_brace ? 0 : kComment, 2);
    page_.put(comment_text(comment.begin, comment.end));
}

/// Atoms from `from` on. Those before it were written.
void RowWriter::atoms(std::span<const Atom> atoms, const HeadPlace& place, std::size_t from,
                      bool last_item) {
    for (std::size_t i = from; i < atoms.size(); ++i) {
        if (last_item && i > 0 && i + 1 == atoms.size() && atoms[i].kind == AtomKind::string)
            remark_at_ = page_.column();
        if (i > 0) {
            const Atom& atom = atoms[i];
            const Atom& before = atoms[i - 1];
            // `g/ml`, `w/w`: a slash between words stands close.
            const bool close =
                (atom.kind == AtomKind::slash && before.kind == AtomKind::word &&
                 i + 1 < atoms.size() && atoms[i + 1].kind == AtomKind::word) ||
                (before.kind == AtomKind::slash && atom.kind == AtomKind::word && i > 1 &&
                 atoms[i - 2].kind == AtomKind::word);
            if (!close) {
                const std::size_t column = place.gutters.block == Block::plain
                                               ? 0
                                               : column_of(tree_, atoms, i, last_item,
                                                           place.gutters.block);
                if (column != 0) {
                    page_.pad_to(place.indent + column);
                } else {
                    page_.put(' ');
                }
            }
        }
        page_.put(tree_.view(atoms[i]));
    }
}

void RowWriter::item(const Row& row, std::uint32_t index, const HeadPlace& place) {
    auto atoms = tree_.atoms_of(tree_.items_of(row)[index]);
    const bool last = index + 1 == row.item_count;
    if (index > 0) return this->atoms(atoms, place, 0, last);
    if (row.item_count == 1 &&
        clause_order(tree_, atoms, place.top && place.braces, place.gutters.block, order_)) {
        ordered_.clear();
        for (const std::uint32_t at : order_) ordered_.push_back(atoms[at]);
        atoms = ordered_;
    }
    if (place.top || place.gutters.block == Block::line) {
        const bool row_of_line = !place.top && atoms[0].kind == AtomKind::number;
        if (place.top || row_of_line) return this->atoms(atoms, place, 0, last);
    }
    // An amount, or a field's name, and then the column of what follows.
    std::size_t lead = amount_atoms(tree_, atoms, place.gutters.limit);
    std::size_t column = place.gutters.amount;
    if (lead == 0) {
        lead = 1;
        column = place.gap ? place.gutters.field : 0;
    }
    if (lead >= atoms.size() || column == 0) return this->atoms(atoms, place, 0, last);
    // A remark of the bench has a column of its own even where it is all that follows.
    const std::size_t own = place.gutters.block == Block::plain
                                ? 0
                                : column_of(tree_, atoms, lead, last, place.gutters.block);
    HeadPlace inside = place;
    this->atoms(atoms.first(lead), inside, 0, false);
    page_.pad_to(place.indent + std::max(column, own));
    page_.put(tree_.view(atoms[lead]));
    this->atoms(atoms, place, lead + 1, last);
}

/// Names and texts of one word fill their lines; amounts and longer texts stand one on a line.
bool RowWriter::fills(const Row& row) const {
    if (row.list_comments != 0) return false;
    const auto one_word = [&](const Atom& atom) {
        return tree_.view(atom).find(' ') == std::string_view::npos;
    };
    const auto head = tree_.atoms_of(tree_.items_of(row)[0]);
    if (head.size() == 2 && head[1].kind == AtomKind::string && !one_word(head[1])) return false;
    for (std::uint32_t i = 1; i < row.item_count; ++i) {
        const Atom& first = tree_.atoms_of(tree_.items_of(row)[i])[0];
        if (first.kind == AtomKind::string && one_word(first)) continue;
        if (first.kind != AtomKind::word) return false;
        const auto word = tree_.view(first);
        if (word == "rest" || word == "none" || word == "up") return false;
    }
    return true;
}

void RowWriter::filled(const Row& row, const HeadPlace& place, std::size_t indent) {
    remark_at_ = 0;
    for (std::uint32_t i = 0; i < row.item_count; ++i) {
        const std::size_t space = page_.size();
        if (i > 0) page_.put(' ');
        item(row, i, place);
        const bool last = i + 1 == row.item_count;
        if (!last) page_.put(',');
        if (i > 0 && needed(last && place.braces) > kWidth) page_.break_at(space, indent);
    }
}

void RowWriter::one_a_line(const Row& row, const HeadPlace& place, std::size_t indent) {
    std::size_t comment = place.comment;
    for (std::uint32_t i = 0; i < row.item_count; ++i) {
        item(row, i, place);
        if (i + 1 == row.item_count) break;
        page_.put(',');
        const Item& here = tree_.items_of(row)[i];
        const Item& next = tree_.items_of(row)[i + 1];
        std::uint32_t from = tree_.atoms_of(here).back().end;
        const std::uint32_t to = tree_.atoms_of(next)[0].begin;
        for (; comment < tree_.comments.size() && tree_.comments[comment].begin < to; ++comment) {
            const CommentSpan& span = tree_.comments[comment];
            if (span.begin < from) continue;
            const auto between = tree_.view(from, span.begin);
            if (between.find('\n') == std::string_view::npos) {
                trailing_comment(span, false);
            } else {
                page_.end_line();
                page_.spaces(indent);
                page_.put(comment_text(span.begin, span.end));
            }
            from = span.end;
        }
        page_.end_line();
        page_.spaces(indent);
    }
}

/// The width that decides on a break: a remark behind a list does not count, since no break makes
/// it shorter.
std::size_t RowWriter::needed(bool braces) {
    if (remark_at_ != 0) return remark_at_;
    return page_.column() + (braces ? 2 : 0);
}

bool RowWriter::head(const Row& row, const HeadPlace& place) {
    if (row.item_count == 1) {
        item(row, 0, place);
        return false;
    }
    const std::size_t size = page_.size();
    const std::size_t line = page_.line();
    if (row.list_comments == 0) {
        remark_at_ = 0;
        for (std::uint32_t i = 0; i < row.item_count; ++i) {
            if (i > 0) page_.put(", ");
            item(row, i, place);
        }
        if (needed(place.braces) <= kWidth) return false;
        page_.cut_back(size, line);
    }
    // Lines that go on start where the values of the row do.
    std::size_t indent = place.indent + kIndent;
    if (!place.top && place.gutters.block != Block::line) {
        const auto first = tree_.atoms_of(tree_.items_of(row)[0]);
        const std::size_t lead = amount_atoms(tree_, first, place.gutters.limit);
        indent = place.indent + (lead != 0 ? place.gutters.amount : place.gutters.field);
    }
    if (fills(row)) {
        filled(row, place, indent);
    } else {
        one_a_line(row, place, indent);
    }
    return true;
}

}  // namespace scruple::layout
