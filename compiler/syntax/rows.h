// Shapes tokens into rows, items and atoms. It is told of tokens in text order, and it alone
// decides where a row ends, what a brace belongs to, and how to go on after a mistake in the shape.
// Knows nothing of characters.
//
// Blocks are kept on a stack of its own, so nesting costs no call depth. Every call does a bounded
// amount of work, but for looking along the rest of a line once where a declaration may start.
#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/limits.h"
#include "diag/diagnostic.h"
#include "syntax/tree.h"

namespace scruple {

/// Offsets and rows are counted in 32 bits: no source file is longer (ResourceLimits).
inline std::uint32_t narrow(std::size_t offset) {
    return static_cast<std::uint32_t>(offset);
}

class RowBuilder {
public:
    RowBuilder(SyntaxTree& tree, const ResourceLimits& limits, Bag& bag);

    /// Nothing before `begin` is text to be read (a byte order mark).
    void start_at(std::size_t begin);

    // Tokens. Offsets are bytes of the tree's text, half open.
    void atom(AtomKind kind, std::size_t begin, std::size_t end);
    /// An atom that stands for `meant`; a diagnostic was reported.
    void mended_atom(AtomKind kind, std::size_t begin, std::size_t end, std::string meant);
    /// An atom that means nothing. The row counts as broken.
    void bad_atom(std::size_t begin, std::size_t end);
    /// Text that belongs to the row and gives no atom (a reported colon). Starts a row if none is
    /// open.
    void dropped(std::size_t begin, std::size_t end);
    /// Text that belongs to no row (a reported colon on its own).
    void passed(std::size_t end) { touch(end); }
    /// A comma; three bytes long if it is a full-width one, which is reported.
    void comma(std::size_t begin, std::size_t end);
    void open(std::size_t begin, std::size_t end);
    void close(std::size_t begin, std::size_t end);
    /// Ends the row as a line end would, in the middle of a line; a diagnostic was reported.
    void cut(std::size_t begin, std::size_t end);
    void comment(std::size_t begin, std::size_t end);
    void line_end(std::size_t begin, std::size_t end);
    void finish();
    /// The whole text as one error row: it is no text that could be read.
    void refuse();

    // Diagnostics: at most so many errors a file are kept; the builder that comes back is always
    // good to use.
    DiagnosticBuilder report(Code code, std::size_t begin, std::size_t end, std::string message);
    /// Something that no rule foresees, said once a row. Nothing if the row is broken already.
    std::optional<DiagnosticBuilder> unexpected(std::size_t begin, std::size_t end,
                                                std::string message);
    /// Marks the open row as broken, so that nothing more is said of what it may mean.
    void break_row();

    Span span(std::size_t begin, std::size_t end) const;
    std::string_view text() const { return tree_.text; }
    const ResourceLimits& limits() const { return limits_; }
    /// The last atom of the item that is being read; null at an item's start.
    const Atom* last_atom() const;
    /// The one before it.
    const Atom* atom_before_last() const;
    bool in_row() const { return row_ != kNone; }
    std::size_t line_start() const { return line_start_; }
    std::size_t depth() const { return stack_.size(); }
    bool skipping() const { return skip_depth_ > 0; }
    /// Where the line ends that `at` stands on. Looked for once a line.
    std::size_t line_limit(std::size_t at) {
        if (at >= line_limit_)
            line_limit_ = std::min(text().find_first_of("\r\n", at), text().size());
        return line_limit_;
    }
    /// Offset up to which no closing single quote was found: keeps the search for it linear.
    std::size_t no_quote_before = 0;
    /// Whether a block was opened on this line and is still open.
    bool block_opened_on_line() const {
        return !stack_.empty() && stack_.back().open >= line_start_;
    }

private:
    static constexpr std::uint32_t kNone = 0xFFFFFFFF;

    struct OpenBlock {
        std::uint32_t row = 0;
        std::uint32_t open = 0;    // where its brace stands
        std::uint32_t indent = 0;  // byte column of the row that opened it
        // Start of the line of the first row in it that stands no further in than its own.
        std::uint32_t outdent = 0xFFFFFFFF;
    };

    void touch(std::size_t end) {
        line_empty_ = false;
        last_end_ = static_cast<std::uint32_t>(end);
    }
    bool admit(Severity severity, std::size_t begin, std::size_t end);
    void start_row(std::size_t begin);
    void wide_comma();
    bool push_atom(AtomKind kind, std::size_t begin, std::size_t end, bool mended);
    bool reopen_for(std::size_t comma);
    void comment_row(std::size_t begin, std::size_t end);
    void skip_block(std::uint32_t row, std::size_t begin, std::size_t end);
    void end_skip(std::size_t close, std::size_t end);
    std::uint32_t content_end(std::uint32_t rows) const;
    bool one_word_after(std::size_t end) const;
    std::uint32_t indent_of(const Row& row) const;
    std::uint32_t lost_inside(std::size_t first) const;
    std::uint32_t lost_header() const;
    void end_item();
    void end_row();
    void close_top(std::size_t begin, std::size_t end);
    /// Start of the plain blanks that end at `at`, on its line.
    std::size_t blanks_before(std::size_t at) const;
    void crowded(std::size_t begin);
    void flush_crowded();
    bool starts_declaration(std::size_t begin, std::size_t end) const;
    void recover(std::size_t noticed);
    void report_unclosed(std::uint32_t content, std::size_t begin, std::size_t end,
                         const char* why);
    void close_all(std::uint32_t next, std::uint32_t content);
    void stray(std::size_t begin, std::size_t end);
    std::uint32_t parent() const { return stack_.empty() ? kNone : stack_.back().row; }

    SyntaxTree& tree_;
    const ResourceLimits& limits_;
    Bag& bag_;
    Diagnostic sink_;  // takes what is over the limit

    std::vector<OpenBlock> stack_;
    std::uint32_t row_ = kNone;  // the row whose head is being read: always the last one
    bool item_open_ = false;
    std::uint32_t comma_ = kNone;  // a comma that nothing has followed yet
    std::uint32_t line_start_ = 0;
    bool line_empty_ = true;  // nothing but blanks on this line so far
    std::size_t line_limit_ = 0;
    std::uint32_t last_end_ = 0;      // end of the last token
    std::uint32_t ended_ = kNone;     // row that ended on this line last
    std::uint32_t opened_ = kNone;    // row whose `{` was the last token
    std::uint32_t header_ = kNone;    // ended row that a `{` on a later line would belong to
    std::uint32_t comma_length_ = 1;  // three bytes for a full-width one
    bool comma_reported_ = false;     // that comma has a finding already
    std::uint32_t commas_said_ = 0;   // commas before it were reported as one run
    std::uint32_t row_column_ = 0;    // byte column of the last row's head
    std::uint32_t last_close_ = 0;    // end of the last `}`
    bool quiet_line_ = false;         // what crowds this line was reported
    std::uint32_t skip_row_ = 0;      // row whose block is too deep to be read
    std::uint32_t skip_depth_ = 0;    // braces open inside it, its own included
    // The block whose own closing brace is probably missing: an outdented one closed it.
    std::optional<OpenBlock> suspect_;
    std::uint32_t suspect_line_ = 0;  // start of that brace's line
    // The last brace that closed a block of several lines in the middle of a line, and its row.
    std::uint32_t misfit_ = kNone;
    std::uint32_t misfit_row_ = 0;
    std::uint32_t stray_floor_ = 0;   // rows before it were looked at for an earlier stray brace
    std::optional<Diagnostic> crowded_;
    std::uint32_t errors_ = 0;
    std::uint32_t warnings_ = 0;
};

/// A piece of the maker's text inside a message: one line, cut to a bearable length, nothing that
/// upsets a terminal.
std::string quoted(std::string_view piece);

}  // namespace scruple
