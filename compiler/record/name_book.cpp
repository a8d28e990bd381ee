#include "record/name_book.h"

#include <algorithm>

#include "library/spellings.h"
#include "sema/names.h"

namespace scruple {
namespace {

/// Every word of the phrase begins a word of the name, in order.
bool words_begin(std::string_view phrase, std::string_view name) {
    std::size_t at = 0;
    while (!phrase.empty()) {
        const auto word = phrase.substr(0, phrase.find('_'));
        for (;;) {
            if (at >= name.size()) return false;
            const auto end = std::min(name.find('_', at), name.size());
            const bool hit = name.substr(at, end - at).starts_with(word);
            at = end + 1;
            if (hit) break;
        }
        phrase.remove_prefix(std::min(phrase.size(), word.size() + 1));
    }
    return true;
}

std::string title_in(const EmbeddedDeclaration& decl) {
    const auto text = embedded_files()[decl.file].text.substr(decl.begin, decl.end - decl.begin);
    std::size_t head = 0;
    while (text.substr(head).starts_with("#")) head = text.find('\n', head) + 1;
    const auto line = text.substr(head, text.find('\n', head) - head);
    const auto open = line.find('"');
    const auto close = open == std::string_view::npos ? open : line.find('"', open + 1);
    return close == std::string_view::npos ? std::string(decl.name) : std::string(line.substr(open + 1, close - open - 1));
}

}  // namespace

NameBook::NameBook(const Compilation& compiled) {
    for (const EmbeddedDeclaration& decl : embedded_declarations()) {
        if (decl.kind != Kind::oil) continue;
        Entry entry{std::string(decl.name), title_in(decl), {}};
        spellings(decl, entry.also);
        entries_.push_back(std::move(entry));
    }
    const auto own = [&](const Header& header) {
        if (header.from_library || header.broken || header.name.empty()) return;
        std::erase_if(entries_, [&](const Entry& e) { return e.name == header.name; });
        entries_.push_back({std::string(header.name), header.title, {as_name(header.title)}});
    };
    for (const Material& material : compiled.model.materials) {
        if (material.kind == MaterialKind::oil && material.lot == kNone) own(material.header);
    }
    for (const Blend& blend : compiled.model.blends) own(blend.header);
    std::sort(entries_.begin(), entries_.end(), [](const Entry& a, const Entry& b) { return a.name < b.name; });
    for (const Entry& entry : entries_) sorted_.push_back(entry.name);
}

std::vector<std::string> NameBook::find(std::string_view phrase) const {
    const std::string wanted = as_name(phrase);
    if (wanted.empty()) return {};
    std::vector<std::string> other, begun;
    for (const Entry& entry : entries_) {
        if (entry.name == wanted) return {entry.name};
        const auto any = [&](auto&& fits) { return std::any_of(entry.also.begin(), entry.also.end(), fits); };
        if (any([&](const std::string& a) { return a == wanted; })) {
            other.push_back(entry.name);
        } else if (words_begin(wanted, entry.name) || any([&](const std::string& a) { return words_begin(wanted, a); })) {
            begun.push_back(entry.name);
        }
    }
    return other.empty() ? begun : other;
}

std::string NameBook::near(std::string_view phrase) const {
    const std::string wanted = as_name(phrase);
    if (const auto whole = nearest(wanted, sorted_); !whole.empty()) return whole;
    // A slip in the first word of a longer name.
    std::vector<std::string> firsts;
    for (const auto& name : sorted_) {
        if (const auto cut = name.find('_'); cut != std::string::npos) firsts.push_back(name.substr(0, cut));
    }
    firsts.erase(std::unique(firsts.begin(), firsts.end()), firsts.end());
    return nearest(wanted, firsts);
}

std::string_view NameBook::title(std::string_view name) const {
    const auto at = std::lower_bound(entries_.begin(), entries_.end(), name, [](const Entry& e, std::string_view n) { return e.name < n; });
    return at != entries_.end() && at->name == name ? std::string_view(at->title) : name;
}

}  // namespace scruple
