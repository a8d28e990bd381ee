// Writes the head of one row: its atoms with one space between them, what has a column in it, and a
// list that is too long for a line on several. Knows nothing of other rows.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "layout/gutters.h"
#include "syntax/tree.h"

namespace scruple::layout {

/// What a text is written to: knows the column and how lines end.
class Page {
public:
    Page(std::string& out, std::string_view line_end) : out_(out), line_end_(line_end) {}

    void put(std::string_view text) { out_ += text; }
    void put(char c) { out_ += c; }
    void spaces(std::size_t count) { out_.append(count, ' '); }
    void end_line() {
        out_ += line_end_;
        start_line(out_.size());
    }
    /// Text that ends its lines itself.
    void put_lines(std::string_view text) {
        out_ += text;
        start_line(out_.size());
    }
    bool at_line_start() const { return line_ == out_.size(); }
    std::size_t size() const { return out_.size(); }
    /// Columns of the line that is being written.
    std::size_t column();
    /// Spaces up to a column, one at least (two for `least`).
    void pad_to(std::size_t column, std::size_t least = 1);
    void cut_back(std::size_t size, std::size_t line) {
        out_.resize(size);
        start_line(line);
    }
    std::size_t line() const { return line_; }
    /// Breaks the line at a space that was written at `at`.
    void break_at(std::size_t at, std::size_t indent);

private:
    void start_line(std::size_t at) {
        line_ = measured_ = at;
        columns_ = 0;
    }

    std::string& out_;
    std::string_view line_end_;
    std::size_t line_ = 0;      // where the line starts
    std::size_t measured_ = 0;  // up to where its columns were counted, so that nothing is counted twice
    std::size_t columns_ = 0;
};

struct HeadPlace {
    std::size_t indent = 0;
    Gutters gutters;
    bool top = false;            // a declaration
    bool gap = true;             // a field's value stands in its column
    bool braces = false;         // ` {` follows
    std::uint32_t comment = 0;   // index of the first comment inside the head
};

class RowWriter {
public:
    RowWriter(const SyntaxTree& tree, Page& page) : tree_(tree), page_(page) {}

    /// The head of an entry, from where the page stands. True if it took more than one line.
    bool head(const Row& row, const HeadPlace& place);

    /// A comment behind something, in its column; `behind_brace` is two spaces behind it.
    void trailing_comment(const CommentSpan& comment, bool behind_brace);
    std::string_view comment_text(std::uint32_t begin, std::uint32_t end) const;

private:
    void item(const Row& row, std::uint32_t index, const HeadPlace& place);
    void atoms(std::span<const Atom> atoms, const HeadPlace& place, std::size_t from,
               bool last_item);
    std::size_t needed(bool braces);
    bool fills(const Row& row) const;
    void filled(const Row& row, const HeadPlace& place, std::size_t indent);
    void one_a_line(const Row& row, const HeadPlace& place, std::size_t indent);

    const SyntaxTree& tree_;
    Page& page_;
    std::size_t remark_at_ = 0;  // column that a remark behind the row was written from, 0 if none
    std::vector<std::uint32_t> order_;
    std::vector<Atom> ordered_;
};

}  // namespace scruple::layout
