// The syntax tree: rows, items and atoms in three flat vectors, whatever the input. Comments are
// rows or belong to a row; nothing of the text is lost, and what was mended in the reading (`2,5`
// for `2.5`) is kept beside it. The tree knows no names, units or fields: sema judges those.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/source.h"
#include "base/span.h"

namespace scruple {

enum class AtomKind : std::uint8_t {
    word,    // name, field, unit, keyword: letters, digits, `_`, `°`, with dots between name parts
    number,  // 12, -18, 0.75, 2/3
    range,   // a..b or a..b..c
    date,    // 2026-05-02
    month,   // 2027-01
    string,  // with its quotes
    percent,  // %
    slash,    // / in g/ml, w/w
    equals,   // = in `unit kg = 1000 g`
    bad,      // something that is none of these; a diagnostic says what
};

struct Atom {
    AtomKind kind = AtomKind::bad;
    bool mended = false;  // what is meant is not what stands there (`2,5`); a diagnostic says so
    std::uint32_t begin = 0;
    std::uint32_t end = 0;
};

/// A run of atoms between commas.
struct Item {
    std::uint32_t first_atom = 0;
    std::uint32_t atom_count = 0;
};

enum class RowKind : std::uint8_t {
    entry,    // items, perhaps with a block
    comment,  // `# …` on a line of its own
    doc,      // `## …` on a line of its own
    error,    // text that could not be read as a row; a diagnostic says why
};

/// Rows stand in reading order; a row's block holds the rows that follow it up to `next`.
struct Row {
    RowKind kind = RowKind::entry;
    bool has_block = false;
    bool broken = false;         // an error was reported inside the head or for the block's braces
    std::uint32_t begin = 0;     // first byte of the head (or of the comment)
    std::uint32_t head_end = 0;  // after the last item, before any block or comment
    std::uint32_t end = 0;       // after the block's `}` or the head
    std::uint32_t first_item = 0;
    std::uint32_t item_count = 0;
    std::uint32_t open = 0;   // offset of `{` if has_block
    std::uint32_t close = 0;  // offset of `}`; equals `end` if it is missing
    std::uint32_t next = 0;   // index of the next row that is not inside this one's block
    std::uint32_t parent = 0xFFFFFFFF;
    std::uint32_t tail_comment = 0;   // 1 + index of the comment that follows the row on its line
    std::uint32_t open_comment = 0;   // same, after `{`
    std::uint32_t list_comments = 0;  // how many comments stand inside the head (after commas)
};

/// What was meant by a mended atom, found again by where the atom begins.
struct MendedText {
    std::uint32_t begin = 0;
    std::string text;
};

struct CommentSpan {
    std::uint32_t begin = 0;
    std::uint32_t end = 0;
};

class SyntaxTree {
public:
    FileId file = FileId::none;
    std::string_view text;  // lives in the SourceFile
    std::vector<Row> rows;
    std::vector<Item> items;
    std::vector<Atom> atoms;
    std::vector<CommentSpan> comments;
    std::vector<MendedText> mended;  // in text order
    std::uint32_t base = 0;  // offset of `text` in the file: a declaration is parsed on its own
    bool complete = true;    // false if any error was reported

    std::span<const Item> items_of(const Row& row) const {
        return {items.data() + row.first_item, row.item_count};
    }
    std::span<const Atom> atoms_of(const Item& item) const {
        return {atoms.data() + item.first_atom, item.atom_count};
    }
    /// All offsets in the tree are relative to `text`; spans are in the file.
    std::string_view view(const Atom& atom) const {
        return text.substr(atom.begin, atom.end - atom.begin);
    }
    /// The atom as it was meant: `2.5` where the text has `2,5`, else what stands there. Lives as
    /// long as the tree.
    std::string_view value_text(const Atom& atom) const {
        return atom.mended ? mended_text(atom) : view(atom);
    }
    std::string_view view(std::uint32_t begin, std::uint32_t end) const {
        return text.substr(begin, end - begin);
    }
    Span span(const Atom& atom) const { return span(atom.begin, atom.end); }
    Span span(std::uint32_t begin, std::uint32_t end) const {
        return {file, base + begin, base + end};
    }
    Span head(const Row& row) const { return span(row.begin, row.head_end); }

    /// First child of a row's block, and the index past the last one; walk with `i = rows[i].next`.
    std::uint32_t children_begin(std::uint32_t row) const { return row + 1; }
    std::uint32_t children_end(std::uint32_t row) const { return rows[row].next; }

private:
    std::string_view mended_text(const Atom& atom) const;
};

/// The text between a string atom's quotes with its escapes undone. An unknown escape stays as it
/// stands.
std::string string_value(std::string_view quoted);

}  // namespace scruple
