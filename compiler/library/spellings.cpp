#include "library/spellings.h"

namespace scruple {

std::string as_name(std::string_view text) {
    std::string out;
    for (char c : text) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
        const bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (plain) {
            out += c;
        } else if (!out.empty() && out.back() != '_') {
            out += '_';
        }
    }
    while (!out.empty() && out.back() == '_') out.pop_back();
    return out;
}

void spellings(const EmbeddedDeclaration& decl, std::vector<std::string>& out) {
    const auto text = embedded_files()[decl.file].text.substr(decl.begin, decl.end - decl.begin);
    const auto take = [&](std::string_view line) {
        for (std::size_t open = line.find('"'); open != std::string_view::npos;) {
            const auto close = line.find('"', open + 1);
            if (close == std::string_view::npos) return;
            out.push_back(as_name(line.substr(open + 1, close - open - 1)));
            open = line.find('"', close + 1);
        }
    };
    take(text.substr(0, text.find('\n')));
    if (const auto at = text.find("\n    also "); at != std::string_view::npos) {
        const auto line = text.substr(at + 1);
        take(line.substr(0, line.find('\n')));
    }
}

}  // namespace scruple
