#include "layout/layout.h"

#include <algorithm>

#include "layout/kept.h"
#include "layout/row_writer.h"

namespace scruple {
namespace {

using namespace layout;

constexpr std::uint32_t kNoRow = 0xFFFFFFFF;

/// How many line ends, two standing for all more.
int line_ends(std::string_view text) {
    const auto first = text.find('\n');
    if (first == std::string_view::npos) return 0;
    return text.find('\n', first + 1) == std::string_view::npos ? 1 : 2;
}

class Composer {
public:
    Composer(const SyntaxTree& tree, std::vector<KeptLines> kept, std::size_t most_bytes,
             Layout& out)
        : tree_(tree),
          kept_(std::move(kept)),
          most_bytes_(most_bytes),
          out_(out),
          line_end_(first_line_end(tree.text)),
          page_(out.text, line_end_),
          rows_(tree, page_) {}

    bool run() {
        out_.text.reserve(tree_.text.size() + tree_.text.size() / 8 + 64);
        if (tree_.text.starts_with("\xEF\xBB\xBF")) last_ = 3;
        std::size_t kept = 0;
        for (std::uint32_t r = 0; r < tree_.rows.size();) {
            while (!open_.empty() && tree_.rows[open_.back().row].next <= r) close_block();
            if (open_.empty() && kept < kept_.size() && kept_[kept].first_row == r) {
                keep(kept_[kept]);
                r = kept_[kept++].next_row;
                continue;
            }
            write_row(r++);
            if (out_.text.size() > most_bytes_) return false;
        }
        while (!open_.empty()) close_block();
        if (!page_.at_line_start()) page_.end_line();
        end_piece(static_cast<std::uint32_t>(tree_.text.size()));
        return out_.text.size() <= most_bytes_;
    }

private:
    struct OpenBlock {
        std::uint32_t row = 0;
        Gutters gutters;
        bool one_line = false;
    };
    enum class Above { nothing, comment, row, block, kept };

    static std::string_view first_line_end(std::string_view text) {
        const auto at = text.find('\n');
        return at != std::string_view::npos && at > 0 && text[at - 1] == '\r' ? "\r\n" : "\n";
    }

    std::string_view first_word(const Row& row) const {
        const Atom& atom = tree_.atoms_of(tree_.items_of(row)[0])[0];
        return atom.kind == AtomKind::word ? tree_.view(atom) : std::string_view{};
    }

    // Lines

    void end_piece(std::uint32_t source) {
        if (source == piece_.source_begin && page_.size() == piece_.text_begin) return;
        piece_.source_end = source;
        piece_.text_end = page_.size();
        out_.pieces.push_back(piece_);
        piece_ = {source, source, page_.size(), page_.size()};
    }

    /// Ends the piece where the line of what was written last ends, if that is before `begin`.
    void end_line_behind(std::uint32_t begin) {
        if (above_ == Above::kept) return;  // its line end went with it
        const auto found = tree_.text.substr(last_, begin - last_).find('\n');
        if (found != std::string_view::npos)
            end_piece(last_ + static_cast<std::uint32_t>(found) + 1);
    }

    /// A new line for what stands at `begin`; `blank` for an empty one above it.
    void new_line(std::uint32_t begin, bool blank) {
        if (!page_.at_line_start()) page_.end_line();
        end_line_behind(begin);
        if (blank) page_.end_line();
        page_.spaces(indent());
    }

    std::size_t indent() const { return kIndent * std::min(open_.size(), kDeepest); }

    /// Whether a row has an empty line above it.
    bool blank_above(std::uint32_t r) {
        const Row& row = tree_.rows[r];
        if (above_ == Above::nothing) return false;
        // Kept lines end in their own line end.
        const int needed = above_ == Above::kept ? 1 : 2;
        if (line_ends(tree_.text.substr(last_, row.begin - last_)) >= needed) return true;
        return open_.empty() && set_apart(r);
    }

    /// A declaration of several lines stands apart from its neighbours, with the comments that
    /// belong to it.
    bool set_apart(std::uint32_t r) {
        if (above_ != Above::row && above_ != Above::block) return false;
        while (tree_.rows[r].kind != RowKind::entry) {
            const std::uint32_t below = r + 1;
            if (below >= tree_.rows.size() || tree_.rows[r].kind == RowKind::error) return false;
            const std::uint32_t end = tree_.rows[r].end;
            if (line_ends(tree_.text.substr(end, tree_.rows[below].begin - end)) != 1) return false;
            r = below;
        }
        const Row& row = tree_.rows[r];
        return !row.broken && (above_ == Above::block || (row.has_block && !stays_on_line(r)));
    }

    // Rows

    void write_row(std::uint32_t r) {
        const Row& row = tree_.rows[r];
        if (row.kind == RowKind::comment || row.kind == RowKind::doc) {
            new_line(row.begin, blank_above(r));
            page_.put(rows_.comment_text(row.begin, row.end));
            above_ = Above::comment;
            last_ = row.end;
            return;
        }
        const bool inside_line = !open_.empty() && open_.back().one_line;
        const bool one_line = row.has_block && stays_on_line(r);
        HeadPlace place;
        place.indent = indent();
        place.top = open_.empty();
        place.braces = row.has_block;
        if (!place.top) place.gutters = open_.back().gutters;
        if (inside_line) {
            page_.put(' ');
            place.top = true;  // as on a header's line: one space, no columns
            place.braces = false;
        } else {
            new_line(row.begin, blank_above(r));
        }
        place.gap = !row.has_block;
        while (comment_ < tree_.comments.size() && tree_.comments[comment_].begin < row.begin)
            ++comment_;
        place.comment = comment_;
        rows_.head(row, place);
        last_ = row.head_end;
        if (!row.has_block) {
            end_of_row(row, false);
            above_ = Above::row;
            return;
        }
        page_.put(" {");
        last_ = row.open + 1;
        if (row.open_comment != 0) {
            rows_.trailing_comment(tree_.comments[row.open_comment - 1], true);
            last_ = tree_.comments[row.open_comment - 1].end;
        }
        if (open_.empty()) kind_ = first_word(row);
        open_.push_back({r, gutters_of(kind_, open_.empty() ? kind_ : first_word(row)), one_line});
        above_ = Above::nothing;
    }

    void end_of_row(const Row& row, bool brace) {
        if (row.tail_comment == 0) return;
        const CommentSpan& comment = tree_.comments[row.tail_comment - 1];
        rows_.trailing_comment(comment, brace);
        last_ = comment.end;
    }

    void close_block() {
        const OpenBlock block = open_.back();
        const Row& row = tree_.rows[block.row];
        open_.pop_back();
        if (block.one_line) {
            page_.put(" }");
        } else {
            new_line(row.close, false);
            page_.put('}');
        }
        last_ = row.end;
        end_of_row(row, true);
        above_ = block.one_line ? Above::row : Above::block;
    }

    /// A block of one field, not a list, that was written on its header's line. An amount gets a line of its
    /// own: the next one added is then one line more.
    bool stays_on_line(std::uint32_t r) const {
        const Row& row = tree_.rows[r];
        if (row.next != r + 2 || row.open_comment != 0) return false;
        const Row& child = tree_.rows[r + 1];
        if (child.kind != RowKind::entry || child.has_block || child.tail_comment != 0) {
            return false;
        }
        if (amount_atoms(tree_, tree_.atoms_of(tree_.items_of(child)[0]), false) != 0) return false;
        if (child.item_count != 1 || row.item_count != 1) return false;
        return tree_.view(row.begin, row.end).find('\n') == std::string_view::npos;
    }

    void keep(const KeptLines& lines) {
        last_ = std::min(last_, lines.begin);  // a byte order mark stays with kept lines
        const auto between = tree_.text.substr(last_, lines.begin - last_);
        const int needed = above_ == Above::kept ? 1 : 2;
        const bool blank = above_ != Above::nothing && line_ends(between) >= needed;
        if (!page_.at_line_start()) page_.end_line();
        end_line_behind(lines.begin);
        if (blank) page_.end_line();
        end_piece(lines.begin);
        page_.put_lines(tree_.view(lines.begin, lines.end));
        end_piece(lines.end);
        last_ = lines.end;
        above_ = Above::kept;
        out_.kept += lines.declarations;
    }

    const SyntaxTree& tree_;
    std::vector<KeptLines> kept_;
    std::size_t most_bytes_;
    Layout& out_;
    std::string_view line_end_;
    Page page_;
    RowWriter rows_;
    LayoutPiece piece_;
    std::vector<OpenBlock> open_;
    std::string_view kind_;       // first word of the declaration
    std::uint32_t comment_ = 0;   // first comment that is not behind us
    std::uint32_t last_ = 0;      // end of what was written last, in the source
    Above above_ = Above::nothing;
};

}  // namespace

Layout lay_out(const SyntaxTree& tree, std::span<const Diagnostic> found, std::size_t most_bytes) {
    Layout out;
    auto kept = kept_lines(tree, found);
    if (kept && Composer(tree, std::move(*kept), most_bytes, out).run()) return out;
    const auto size = static_cast<std::uint32_t>(tree.text.size());
    out = {};
    out.text = tree.text;
    if (size != 0) out.pieces.push_back({0, size, 0, size});
    out.possible = false;
    return out;
}

}  // namespace scruple
