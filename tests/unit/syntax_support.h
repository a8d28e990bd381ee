// Helpers for the tests of the parser: one-call parsing, a printed tree, edits applied, and the
// check that nothing of a text is lost in its tree.
#pragma once

#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include "base/text.h"
#include "diag/diagnostic.h"
#include "syntax/characters.h"
#include "syntax/parser.h"

namespace syntax_test {

using namespace scruple;

struct Parsed {
    std::string text;
    SyntaxTree tree;
    std::vector<Diagnostic> found;

    std::size_t count(Code code) const {
        return static_cast<std::size_t>(std::count_if(
            found.begin(), found.end(), [&](const Diagnostic& d) { return d.code == code; }));
    }
    std::string at(const Span& span) const {
        return text.substr(span.begin, span.end - span.begin);
    }
};

inline void parse_into(Parsed& out, const ResourceLimits& limits = {}) {
    Bag bag;
    out.tree = parse(FileId{0}, out.text, limits, bag);
    bag.sort_and_unique();
    out.found = bag.items();
}

/// Parsed is not to be moved afterwards: its tree looks into its text.
#define PARSED(name, source)    \
    ::syntax_test::Parsed name; \
    name.text = source;         \
    ::syntax_test::parse_into(name)

inline std::string code_names(const std::vector<Diagnostic>& found) {
    std::string out;
    for (const auto& d : found) {
        if (!out.empty()) out += ' ';
        out += code_info(d.code).name;
    }
    return out;
}

inline const char* letter(AtomKind kind) {
    switch (kind) {
        case AtomKind::word: return "";
        case AtomKind::number: return "n:";
        case AtomKind::range: return "r:";
        case AtomKind::date: return "d:";
        case AtomKind::month: return "m:";
        case AtomKind::string: return "";
        case AtomKind::percent: return "";
        case AtomKind::slash: return "";
        case AtomKind::equals: return "";
        case AtomKind::bad: return "bad:";
    }
    return "?";
}

/// The meaning of one row's head: atoms by a space, items by ` , `.
inline std::string head_text(const SyntaxTree& tree, const Row& row) {
    std::string out;
    bool first = true;
    for (const Item& item : tree.items_of(row)) {
        if (!first) out += " ,";
        for (const Atom& atom : tree.atoms_of(item)) {
            if (!out.empty()) out += ' ';
            out += letter(atom.kind);
            out += tree.value_text(atom);
        }
        first = false;
    }
    return out;
}

/// One line a row, indented by depth; `!` for broken rows, `{` and `}` where braces stand.
inline std::string dump(const SyntaxTree& tree) {
    std::string out;
    std::vector<std::uint32_t> ends;  // index past the last row of each open block
    const auto close = [&](std::uint32_t row) {
        while (!ends.empty() && ends.back() <= row) ends.pop_back();
    };
    for (std::uint32_t r = 0; r < tree.rows.size(); ++r) {
        const Row& row = tree.rows[r];
        close(r);
        out += std::string(2 * ends.size(), ' ');
        if (row.broken) out += "! ";
        if (row.kind == RowKind::comment || row.kind == RowKind::doc) {
            out += tree.view(row.begin, row.end);
        } else if (row.kind == RowKind::error) {
            std::string text(tree.view(row.begin, row.head_end));
            std::replace(text.begin(), text.end(), '\n', ' ');
            out += "error `" + (text.size() > 40 ? text.substr(0, 40) + "..." : text) + "`";
        } else {
            out += head_text(tree, row);
        }
        if (row.has_block) out += row.close < row.end ? " {}" : " {";
        const auto comment = [&](const char* name, std::uint32_t index) {
            if (index == 0) return;
            const auto& span = tree.comments[index - 1];
            out += std::string("  ") + name + ": " + std::string(tree.view(span.begin, span.end));
        };
        comment("tail", row.tail_comment);
        comment("open", row.open_comment);
        if (row.list_comments != 0)
            out += "  comments in the list: " + std::to_string(row.list_comments);
        out += '\n';
        if (row.has_block) ends.push_back(row.next);
    }
    return out;
}

/// Applies every safe fix (its first one) of every finding; edits must not overlap.
inline std::string with_safe_edits(const Parsed& parsed, bool only_safe = true,
                                   bool* overlap = nullptr) {
    std::vector<Edit> edits;
    for (const auto& d : parsed.found) {
        for (const auto& fix : d.fixes) {
            if (only_safe && !fix.safe) continue;
            edits.insert(edits.end(), fix.edits.begin(), fix.edits.end());
            break;
        }
    }
    std::stable_sort(edits.begin(), edits.end(), [](const Edit& a, const Edit& b) {
        // An insertion goes before what replaces the text behind it.
        return a.span.begin != b.span.begin ? a.span.begin < b.span.begin : a.span.end < b.span.end;
    });
    std::string out;
    std::uint32_t at = 0;
    for (const Edit& edit : edits) {
        if (edit.span.begin < at) {
            if (overlap) *overlap = true;
            return "overlapping edits";
        }
        out += parsed.text.substr(at, edit.span.begin - at);
        out += edit.text;
        at = edit.span.end;
    }
    return out + parsed.text.substr(at);
}

/// Empty if the tree is well formed and accounts for every byte of its text; else what is wrong.
/// A byte is accounted for by an atom, a comment, a brace, an error row, a blank or comma, or by a
/// finding on it.
inline std::string flaw(const Parsed& parsed, const ResourceLimits& limits = {}) {
    const SyntaxTree& tree = parsed.tree;
    const auto size = static_cast<std::uint32_t>(parsed.text.size());
    std::vector<char> covered(size, 0);
    std::string wrong;
    const auto cover = [&](std::uint32_t begin, std::uint32_t end, bool once) {
        if (begin > end || end > size) {
            wrong = "a range outside the text";
            return;
        }
        for (std::uint32_t i = begin; i < end; ++i) {
            if (once && covered[i] == 1)
                wrong = "byte " + std::to_string(i) + " belongs to two things";
            covered[i] = once ? 1 : (covered[i] == 1 ? 1 : 2);
        }
    };
    std::uint32_t atoms = 0;
    std::uint32_t items = 0;
    std::uint32_t last_atom_end = 0;
    std::vector<std::uint32_t> parents;
    for (std::uint32_t r = 0; r < tree.rows.size(); ++r) {
        const Row& row = tree.rows[r];
        while (!parents.empty() && tree.rows[parents.back()].next <= r) parents.pop_back();
        const std::uint32_t parent = parents.empty() ? 0xFFFFFFFF : parents.back();
        if (row.parent != parent) return "row " + std::to_string(r) + " has the wrong parent";
        if (row.next <= r || row.next > tree.rows.size())
            return "row " + std::to_string(r) + " has a bad next";
        if (!row.has_block && row.next != r + 1)
            return "row " + std::to_string(r) + " without a block holds rows";
        if (parent != 0xFFFFFFFF && row.next > tree.rows[parent].next)
            return "a row that outgrows its parent";
        if (row.begin > row.head_end || row.head_end > row.end || row.end > size)
            return "a row's offsets are mixed up";
        if (parent != 0xFFFFFFFF && row.end > tree.rows[parent].end)
            return "a row ends after its parent";
        if (row.has_block) {
            parents.push_back(r);
            if (row.open < row.head_end || row.close <= row.open || row.close > row.end)
                return "a block's braces are mixed up";
            // Braces are one byte, or three where a full-width one was meant.
            const std::uint32_t wide = parsed.text[row.open] == '{' ? 1 : 3;
            cover(row.open, row.open + wide, true);
            if (row.close < row.end) {
                if (row.end - row.close != 1 && row.end - row.close != 3)
                    return "a closing brace of a strange width";
                cover(row.close, row.end, true);
            }
        }
        switch (row.kind) {
            case RowKind::comment:
            case RowKind::doc: cover(row.begin, row.end, true); break;
            case RowKind::error: cover(row.begin, row.head_end, false); break;
            case RowKind::entry: {
                if (row.item_count == 0) return "an entry without items";
                if (row.first_item != items) return "items out of order";
                for (const Item& item : tree.items_of(row)) {
                    if (item.first_atom != atoms || item.atom_count == 0)
                        return "atoms out of order";
                    for (const Atom& atom : tree.atoms_of(item)) {
                        if (atom.begin < last_atom_end || atom.begin >= atom.end)
                            return "atoms overlap";
                        last_atom_end = atom.end;
                        if (tree.value_text(atom).empty()) return "an atom without text";
                        cover(atom.begin, atom.end, true);
                    }
                    atoms += item.atom_count;
                    ++items;
                }
                break;
            }
        }
        if (!wrong.empty()) return wrong;
    }
    if (atoms != tree.atoms.size() || items != tree.items.size())
        return "atoms or items that no row has";
    for (const auto& comment : tree.comments) cover(comment.begin, comment.end, false);
    for (const auto& d : parsed.found) {
        if (d.span.begin > d.span.end || d.span.end > size) return "a finding outside the text";
        cover(d.span.begin, d.span.end, false);
        for (const auto& fix : d.fixes) {
            for (const auto& edit : fix.edits) {
                if (edit.span.begin > edit.span.end || edit.span.end > size)
                    return "an edit outside the text";
            }
        }
    }
    if (!wrong.empty()) return wrong;
    const bool all_listed = parsed.count(Code::too_many_errors) == 0;
    for (std::uint32_t i = 0; i < size && all_listed; ++i) {
        const char c = parsed.text[i];
        const bool blank = c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == ',';
        const bool mark = i < 3 && parsed.text.starts_with("\xEF\xBB\xBF");
        if (covered[i] == 0 && !blank && !mark) {
            return "byte " + std::to_string(i) + " is lost";
        }
    }
    std::size_t errors = 0;
    for (const auto& d : parsed.found) errors += d.severity == Severity::error ? 1 : 0;
    if (errors > limits.syntax_errors_per_file + 1) return "more errors than the limit";
    if (tree.complete != (errors == 0)) return "complete does not agree with the findings";
    return {};
}

/// Seeded, the same on every machine.
class Random {
public:
    explicit Random(std::uint64_t seed) : state_(seed * 2 + 1) {}
    std::uint32_t below(std::uint32_t limit) {
        state_ = state_ * 6364136223846793005u + 1442695040888963407u;
        return static_cast<std::uint32_t>((state_ >> 33) % limit);
    }

private:
    std::uint64_t state_;
};

}  // namespace syntax_test
