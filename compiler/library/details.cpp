#include "library/details.h"

#include "base/limits.h"
#include "syntax/parser.h"

namespace scruple {
namespace {

DetailRow read_row(const SyntaxTree& tree, std::uint32_t index) {
    const Row& row = tree.rows[index];
    DetailRow out;
    for (const Item& item : tree.items_of(row)) {
        auto& atoms = out.items.emplace_back();
        for (const Atom& atom : tree.atoms_of(item)) {
            const bool text = atom.kind == AtomKind::string;
            const auto written = tree.value_text(atom);
            atoms.push_back({text ? string_value(written) : std::string(written), text});
        }
    }
    if (!row.has_block) return out;
    for (auto r = tree.children_begin(index); r < tree.children_end(index); r = tree.rows[r].next) {
        if (tree.rows[r].kind == RowKind::entry) out.rows.push_back(read_row(tree, r));
    }
    return out;
}

/// The key of a declaration: no name holds a space.
std::string key_of(NameSpace space, std::string_view name, std::string_view under = {}) {
    std::string key = std::to_string(static_cast<int>(space));
    key.append(" ").append(name);
    if (!under.empty()) key.append(" ").append(under);
    return key;
}

}  // namespace

std::string_view DetailRow::word() const {
    return items.empty() || items[0].empty() ? std::string_view() : std::string_view(items[0][0].text);
}

std::vector<std::string> DetailRow::texts() const {
    std::vector<std::string> out;
    for (const auto& item : items) {
        for (const auto& atom : item) {
            if (atom.is_text) out.push_back(atom.text);
        }
    }
    return out;
}

std::string_view DetailRow::after(std::string_view mark) const {
    for (const auto& item : items) {
        for (std::size_t i = 0; i + 1 < item.size(); ++i) {
            if (!item[i].is_text && item[i].text == mark) return item[i + 1].text;
        }
    }
    return {};
}

void append_written(std::string& out, std::string_view atom) {
    const bool glue = out.empty() || out.back() == '/' || out.back() == ' ' || atom == "/";
    if (!glue) out += ' ';
    out += atom;
}

std::string DetailRow::figure() const {
    std::string out;
    for (std::size_t i = 0; i < items.size(); ++i) {
        if (i > 0) out += ", ";
        for (std::size_t a = i == 0 ? 1 : 0; a < items[i].size(); ++a) {
            const auto& atom = items[i][a];
            if (atom.is_text) continue;
            if (atom.text == "by") {
                ++a;
                continue;
            }
            append_written(out, atom.text);
        }
    }
    return out;
}

const DetailRow* Detail::field(std::string_view word) const {
    for (const auto& row : declaration.rows) {
        if (row.word() == word) return &row;
    }
    return nullptr;
}

std::vector<std::string> Detail::texts(std::string_view word) const {
    std::vector<std::string> out;
    for (const auto& row : declaration.rows) {
        if (row.word() != word) continue;
        for (auto& text : row.texts()) out.push_back(std::move(text));
    }
    return out;
}

std::string Detail::text(std::string_view word) const {
    const DetailRow* row = field(word);
    if (!row) return {};
    const auto found = row->texts();
    return found.empty() ? std::string() : found.front();
}

std::string Detail::figure(std::string_view word) const {
    const DetailRow* row = field(word);
    return row ? row->figure() : std::string();
}

Details::Details() {
    const auto files = embedded_files();
    const ResourceLimits limits;
    for (const auto& entry : embedded_declarations()) {
        Bag unused;  // the build parsed the library without a finding
        const auto text = files[entry.file].text.substr(entry.begin, entry.end - entry.begin);
        const SyntaxTree tree = parse(FileId::none, text, limits, unused, entry.begin);
        std::uint32_t row = 0;
        while (row < tree.rows.size() && tree.rows[row].kind != RowKind::entry) ++row;
        if (row == tree.rows.size()) continue;
        Detail detail{entry.kind, entry.name, read_row(tree, row)};
        const auto& head = detail.declaration.items;
        // A unit's further spellings stand in the index, and are the same declaration.
        if (head.empty() || head[0].size() < 2 || head[0][1].text != entry.name) continue;
        const auto space = kind_spec(entry.kind).space;
        const auto under = entry.kind == Kind::limit ? detail.declaration.after("under") : std::string_view();
        places_.try_emplace(key_of(space, entry.name, under), all_.size());
        all_.push_back(std::move(detail));
    }
}

const Detail* Details::find(NameSpace space, std::string_view name) const {
    const auto at = places_.find(key_of(space, name));
    return at == places_.end() ? nullptr : &all_[at->second];
}

const Detail* Details::limit(std::string_view subject, std::string_view rules) const {
    const auto at = places_.find(key_of(NameSpace::limits, subject, rules));
    return at == places_.end() ? nullptr : &all_[at->second];
}

}  // namespace scruple
