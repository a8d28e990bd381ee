#include "syntax/tree.h"

#include <algorithm>

namespace scruple {

std::string_view SyntaxTree::mended_text(const Atom& atom) const {
    const auto found =
        std::lower_bound(mended.begin(), mended.end(), atom.begin,
                         [](const MendedText& m, std::uint32_t at) { return m.begin < at; });
    if (found == mended.end() || found->begin != atom.begin) return view(atom);
    return found->text;
}

std::string string_value(std::string_view quoted) {
    std::string_view inner = quoted;
    if (!inner.empty() && inner.front() == '"') inner.remove_prefix(1);
    // An unclosed string has no quote to take off, and an escaped one is not its end.
    std::string out;
    out.reserve(inner.size());
    for (std::size_t i = 0; i < inner.size(); ++i) {
        const char c = inner[i];
        if (c == '"') break;
        if (c == '\\' && i + 1 < inner.size() && (inner[i + 1] == '"' || inner[i + 1] == '\\')) ++i;
        out += inner[i];
    }
    return out;
}

}  // namespace scruple
