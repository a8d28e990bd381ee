#include "merge/version.h"

#include <algorithm>

#include "merge/row_names.h"
#include "syntax/parser.h"

namespace scruple::merging {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";

bool is_blank(std::string_view text) { return text.find_first_not_of(" \t\r\n") == std::string_view::npos; }

std::uint32_t line_start(std::string_view text, std::uint32_t at) {
    const auto found = at == 0 ? std::string_view::npos : text.rfind('\n', at - 1);
    return found == std::string_view::npos ? 0 : static_cast<std::uint32_t>(found + 1);
}

std::uint32_t line_after(std::string_view text, std::uint32_t at) {
    const auto found = text.find('\n', at);
    return static_cast<std::uint32_t>(found == std::string_view::npos ? text.size() : found + 1);
}

/// After the row and the comment behind it.
std::uint32_t row_end(const SyntaxTree& tree, const Row& row) {
    return row.tail_comment == 0 ? row.end : std::max(row.end, tree.comments[row.tail_comment - 1].end);
}

std::string_view without_blanks_around(std::string_view text) {
    const auto first = text.find_first_not_of(" \t\r\n");
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t\r\n") + 1 - first);
}

/// Cuts a block into elements.
class Cutter {
public:
    Cutter(const Version& version, std::uint32_t from, std::uint32_t to) : v_(version), to_(to), pos_(from) {}

    bool take(std::uint32_t r) {
        const Row& row = v_.tree.rows[r];
        const std::string_view text = v_.text;
        const std::uint32_t line = line_start(text, row.begin);
        if (line < pos_ || !is_blank(v_.view(pos_, row.begin))) return false;
        const std::uint32_t last = row_end(v_.tree, row);
        const std::uint32_t end = line_after(text, last);
        if (end > to_ || !is_blank(v_.view(last, end))) return false;
        if (run_ && line != pos_) flush();
        if (!run_) {
            next_ = {};
            next_.begin = pos_;
            next_.lead = line;
        }
        pos_ = end;
        if (row.kind != RowKind::entry) {
            run_ = true;
            return true;
        }
        run_ = false;
        next_.row = r;
        next_.head = line;
        next_.body = next_.foot = next_.end = end;
        if (row.has_block) find_body(row);
        level_.elements.push_back(next_);
        return true;
    }

    std::optional<Level> finish() {
        if (run_) flush();
        if (pos_ > to_ || !is_blank(v_.view(pos_, to_))) return std::nullopt;
        level_.tail = pos_;
        level_.end = to_;
        return std::move(level_);
    }

private:
    void flush() {
        next_.head = next_.lead;
        next_.body = next_.foot = next_.end = pos_;
        level_.elements.push_back(next_);
        run_ = false;
    }

    void find_body(const Row& row) {
        const std::string_view text = v_.text;
        std::uint32_t open = row.open + 1;
        if (row.open_comment != 0) open = v_.tree.comments[row.open_comment - 1].end;
        const std::uint32_t body = line_after(text, open);
        const std::uint32_t foot = line_start(text, row.close);
        if (row.close >= row.end || body > foot) return;
        if (!is_blank(v_.view(open, body)) || !is_blank(v_.view(foot, row.close))) return;
        next_.block = true;
        next_.body = body;
        next_.foot = foot;
    }

    const Version& v_;
    std::uint32_t to_;
    std::uint32_t pos_;
    bool run_ = false;  // comments that stand on whatever comes next
    Element next_;
    Level level_;
};

void put_comment(std::string& out, std::string_view text) {
    out += '\n';
    out += without_blanks_around(text);
    out += '\n';
}

}  // namespace

TextForm form_of(std::string_view text) {
    TextForm out;
    out.bom = text.starts_with(kByteOrderMark);
    if (out.bom) text.remove_prefix(kByteOrderMark.size());
    std::size_t ends = 0, with_return = 0;
    for (std::size_t at = text.find('\n'); at != std::string_view::npos; at = text.find('\n', at + 1)) {
        ++ends;
        if (at > 0 && text[at - 1] == '\r') ++with_return;
    }
    out.crlf = ends > 0 && with_return == ends;
    out.mixed = with_return > 0 && with_return < ends;
    out.ended = text.empty() || text.ends_with('\n');
    return out;
}

void read_version(Version& version, std::string_view text, bool plain, const ResourceLimits& limits) {
    version.form = form_of(text);
    if (version.form.bom) text.remove_prefix(kByteOrderMark.size());
    version.text.clear();
    version.text.reserve(text.size() + 2);
    if (plain && version.form.crlf) {
        for (const char c : text) {
            if (c == '\n' && version.text.ends_with('\r')) version.text.pop_back();
            version.text += c;
        }
    } else {
        version.text = text;
    }
    if (!version.form.ended) version.text += version.form.crlf && !plain ? "\r\n" : "\n";
    Bag bag;
    version.tree = parse(FileId{0}, version.text, limits, bag);
    if (version.tree.complete) return;
    bag.sort_and_unique();
    version.mistake = 0;
    for (const auto& d : bag.items()) {
        if (d.severity != Severity::error) continue;
        version.mistake = d.span.begin;
        break;
    }
}

std::optional<Level> level_of(const Version& version, std::uint32_t row) {
    const SyntaxTree& tree = version.tree;
    std::uint32_t from = 0, to = static_cast<std::uint32_t>(version.text.size());
    std::uint32_t r = 0, last = static_cast<std::uint32_t>(tree.rows.size());
    if (row != kNoRow) {
        const Row& parent = tree.rows[row];
        std::uint32_t open = parent.open + 1;
        if (parent.open_comment != 0) open = tree.comments[parent.open_comment - 1].end;
        from = line_after(version.text, open);
        to = line_start(version.text, parent.close);
        if (from > to) return std::nullopt;
        r = tree.children_begin(row);
        last = tree.children_end(row);
    }
    Cutter cutter(version, from, to);
    for (; r < last; r = tree.rows[r].next) {
        if (!cutter.take(r)) return std::nullopt;
    }
    return cutter.finish();
}

std::string comments_of(std::string_view lines) {
    std::string out;
    while (!lines.empty()) {
        const auto end = std::min(lines.find('\n'), lines.size() - 1) + 1;
        put_comment(out, lines.substr(0, end));
        lines.remove_prefix(end);
    }
    return out;
}

std::string meaning_of(const Version& version, const Element& element) {
    std::string out = comments_of(version.view(element.lead, element.head));
    if (element.row == kNoRow) return out + comments_of(version.view(element.head, element.end));
    const SyntaxTree& tree = version.tree;
    auto comment = std::lower_bound(tree.comments.begin(), tree.comments.end(), tree.rows[element.row].begin,
                                    [](const CommentSpan& c, std::uint32_t at) { return c.begin < at; });
    std::vector<std::uint32_t> open;
    const std::uint32_t last = tree.rows[element.row].next;
    for (std::uint32_t r = element.row; r < last; ++r) {
        const Row& row = tree.rows[r];
        while (!open.empty() && tree.rows[open.back()].next <= r) {
            out += '}';
            open.pop_back();
        }
        if (row.kind == RowKind::entry) {
            append_row_text(out, tree, row);
            if (row.has_block) {
                out += '{';
                open.push_back(r);
            }
        } else {
            put_comment(out, tree.view(row.begin, row.end));
        }
        out += ';';
    }
    out.append(open.size(), '}');
    for (; comment != tree.comments.end() && comment->begin < element.end; ++comment)
        put_comment(out, tree.view(comment->begin, comment->end));
    return out;
}

}  // namespace scruple::merging
