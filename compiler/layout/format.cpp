#include "layout/format.h"

#include <algorithm>

#include "layout/same.h"
#include "syntax/parser.h"

namespace scruple {
namespace {

std::vector<Diagnostic> errors_of(Bag& bag) {
    bag.sort_and_unique();
    std::vector<Diagnostic> out;
    for (const auto& d : bag.items()) {
        if (d.severity == Severity::error) out.push_back(d);
    }
    return out;
}

void leave_alone(Layout& layout, std::string_view text) {
    layout = {};
    layout.text = text;
    layout.possible = false;
    const auto size = static_cast<std::uint32_t>(text.size());
    if (size != 0) layout.pieces.push_back({0, size, 0, size});
}

/// The same layout, with the source in the place of pieces that no range reaches.
Layout only_lines(const Layout& layout, std::string_view source,
                  std::span<const LineRange> ranges) {
    Layout out;
    out.kept = layout.kept;
    out.possible = layout.possible;
    std::uint32_t line = 1;
    const std::string_view text = layout.text;
    for (LayoutPiece piece : layout.pieces) {
        const auto from = source.substr(piece.source_begin, piece.source_end - piece.source_begin);
        const auto lines = static_cast<std::uint32_t>(std::count(from.begin(), from.end(), '\n'));
        const std::uint32_t last = line + (lines == 0 || !from.ends_with('\n') ? lines : lines - 1);
        const bool asked = std::any_of(ranges.begin(), ranges.end(), [&](const LineRange& r) {
            return r.first <= last && r.last >= line;
        });
        const auto to = asked ? text.substr(piece.text_begin, piece.text_end - piece.text_begin)
                              : from;
        piece.text_begin = out.text.size();
        out.text += to;
        piece.text_end = out.text.size();
        out.pieces.push_back(piece);
        line += lines;
    }
    return out;
}

/// The result says the same, and is its own layout.
bool holds(FileId file, const SyntaxTree& tree, const Formatted& out,
           const ResourceLimits& limits, bool all) {
    Bag bag;
    const SyntaxTree again = parse(file, out.layout.text, limits, bag);
    const auto mistakes = errors_of(bag);
    if (!same_rows(tree, again) || mistakes.size() != out.mistakes.size()) return false;
    if (mistakes.empty() || !all) return true;
    // Around mistakes nobody knows all that may happen: it has to stand still as well.
    return lay_out(again, mistakes, limits.file_bytes).text == out.layout.text;
}

}  // namespace

Formatted format_text(FileId file, std::string_view text, const ResourceLimits& limits,
                      std::span<const LineRange> ranges) {
    Formatted out;
    Bag bag;
    const SyntaxTree tree = parse(file, text, limits, bag);
    if (!tree.complete || bag.items().size() != 0) out.mistakes = errors_of(bag);
    out.layout = lay_out(tree, out.mistakes, limits.file_bytes);
    if (!out.layout.possible) {
        out.untouched = out.mistakes.empty() ? Formatted::Untouched::too_long
                                             : Formatted::Untouched::mistakes;
        return out;
    }
    if (!ranges.empty()) out.layout = only_lines(out.layout, text, ranges);
    out.changed = out.layout.text != text;
    if (out.changed && !holds(file, tree, out, limits, ranges.empty())) {
        leave_alone(out.layout, text);
        out.untouched = out.mistakes.empty() ? Formatted::Untouched::fault
                                             : Formatted::Untouched::mistakes;
        out.changed = false;
    }
    return out;
}

}  // namespace scruple
