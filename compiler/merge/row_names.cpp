#include "merge/row_names.h"

#include <algorithm>

#include "layout/gutters.h"
#include "num/decimal.h"

namespace scruple::merging {
namespace {

std::string_view word_at(const SyntaxTree& tree, std::span<const Atom> atoms, std::size_t at) {
    return at < atoms.size() && atoms[at].kind == AtomKind::word ? tree.view(atoms[at]) : std::string_view{};
}

/// Where a word stands first; the number of atoms if it doesn't.
std::size_t find_word(const SyntaxTree& tree, std::span<const Atom> atoms, std::string_view word, std::size_t from = 0) {
    for (std::size_t i = from; i < atoms.size(); ++i) {
        if (word_at(tree, atoms, i) == word) return i;
    }
    return atoms.size();
}

/// All items up to a word, as `leave_on , rinse_off`.
std::string list_until(const SyntaxTree& tree, const Row& row, std::size_t from, std::string_view word) {
    std::string out;
    for (const Item& item : tree.items_of(row)) {
        auto atoms = tree.atoms_of(item).subspan(std::min<std::size_t>(from, item.atom_count));
        from = 0;
        const std::size_t end = find_word(tree, atoms, word);
        if (!out.empty()) out += ", ";
        out += item_text(tree, atoms.first(end));
        if (end < atoms.size()) break;
    }
    return out;
}

std::string declaration_name(const SyntaxTree& tree, const Row& row, std::span<const Atom> atoms) {
    const std::string_view kind = word_at(tree, atoms, 0);
    if (kind == "workshop") return std::string(kind);  // there is one; what follows is its title
    if (kind == "use") return item_text(tree, atoms.first(find_word(tree, atoms, "as")));
    if (kind == "prices") return item_text(tree, atoms);
    if (kind == "rate") {
        std::string out(kind);
        for (const Atom& atom : atoms.subspan(1)) {
            if (atom.kind != AtomKind::number) (out += ' ') += tree.view(atom);
        }
        return out;
    }
    std::string out = item_text(tree, atoms.first(std::min<std::size_t>(2, atoms.size())));
    if (kind == "limit" || kind == "allergen") {
        const std::size_t under = find_word(tree, atoms, "under");
        out += ' ';
        out += item_text(tree, atoms.subspan(under));
    }
    if (atoms.size() < 2 && row.item_count > 1) out += '?';
    return out;
}

/// The oil that an action of a variation is about.
std::string action_name(const SyntaxTree& tree, std::span<const Atom> atoms, std::string_view action) {
    std::size_t at = 1;
    if (action == "set" || action == "add") at += layout::amount_atoms(tree, atoms.subspan(1), false);
    return at < atoms.size() ? "=" + std::string(tree.view(atoms[at])) : std::string(action);
}

bool is_action(std::string_view word) {
    return word == "set" || word == "add" || word == "remove" || word == "replace";
}

/// A product's row in a line: what it becomes, or the name that it was given.
std::string line_row_name(const SyntaxTree& tree, std::span<const Atom> atoms, std::size_t from) {
    if (const std::size_t as = find_word(tree, atoms, "as"); as + 1 < atoms.size())
        return "=" + std::string(tree.view(atoms[as + 1]));
    std::size_t end = atoms.size();
    for (const std::string_view word : {"at", "using", "up", "between", "in", "as"})
        end = std::min(end, find_word(tree, atoms, word, from));
    return "=" + item_text(tree, atoms.subspan(from, end - from));
}

std::string amount_row_name(const SyntaxTree& tree, const Row& row, std::span<const Atom> atoms, std::size_t from,
                            const Place& place) {
    if (place.kind == "line" && place.block == "line") return line_row_name(tree, atoms, from);
    if (from >= atoms.size()) return "=" + item_text(tree, atoms);
    const std::string_view word = word_at(tree, atoms, from);
    if (word == "in") return "=" + list_until(tree, row, from, "by");
    if (word == "by" && from + 1 < atoms.size()) return "=by " + std::string(tree.view(atoms[from + 1]));
    return "=" + std::string(tree.view(atoms[from]));
}

}  // namespace

std::string item_text(const SyntaxTree& tree, std::span<const Atom> atoms) {
    std::string out;
    for (const Atom& atom : atoms) {
        if (!out.empty()) out += ' ';
        const std::string_view text = tree.view(atom);
        if (atom.kind == AtomKind::number) {
            const ParsedNumber number = parse_number(text);
            out += number.error == NumberError::none ? number.value.to_string() : std::string(text);
        } else if (atom.kind == AtomKind::word && (text == "part" || text == "drop")) {
            (out += text) += 's';
        } else {
            out += text;
        }
    }
    return out;
}

void append_row_text(std::string& out, const SyntaxTree& tree, const Row& row) {
    bool first = true;
    for (const Item& item : tree.items_of(row)) {
        if (!first) out += " , ";
        first = false;
        out += item_text(tree, tree.atoms_of(item));
    }
}

std::string_view first_word_of(const SyntaxTree& tree, const Row& row) {
    return row.item_count == 0 ? std::string_view{} : word_at(tree, tree.atoms_of(tree.items_of(row)[0]), 0);
}

std::size_t amount_length(const SyntaxTree& tree, std::span<const Atom> atoms, const Place& place) {
    if (place.kind == "line" && place.block == "line")
        return !atoms.empty() && atoms[0].kind == AtomKind::number ? 1 : 0;
    return layout::amount_atoms(tree, atoms, place.kind == "limit");
}

std::string row_name(const SyntaxTree& tree, const Row& row, const Place& place) {
    if (row.item_count == 0) return "?";
    const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
    if (place.kind.empty()) return declaration_name(tree, row, atoms);
    if (const std::size_t amount = amount_length(tree, atoms, place); amount > 0)
        return amount_row_name(tree, row, atoms, amount, place);
    const std::string_view word = word_at(tree, atoms, 0);
    if (place.kind == "variation" && is_action(word)) return action_name(tree, atoms, word);
    if (word == "phase") return item_text(tree, atoms.first(std::min<std::size_t>(2, atoms.size())));
    if (word == "accept") {
        const std::size_t end = std::min(find_word(tree, atoms, "to"), find_word(tree, atoms, "because"));
        return item_text(tree, atoms.first(end));
    }
    return word.empty() ? item_text(tree, atoms) : std::string(word);
}

std::string full_row_name(const SyntaxTree& tree, const Row& row, const Place& place) {
    std::string out = row_name(tree, row, place) + '\n';
    if (row.item_count == 0) return out;
    const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
    const std::size_t amount = place.kind.empty() ? 0 : amount_length(tree, atoms, place);
    if (amount > 0) return out + item_text(tree, atoms.first(amount));
    append_row_text(out, tree, row);
    return out;
}

std::string spoken(std::string_view name) {
    name = name.substr(0, name.find('\n'));
    if (name.starts_with('=')) name.remove_prefix(1);
    return std::string(name);
}

bool order_is_meaning(const SyntaxTree& tree, const Row& row, const Place& place) {
    return place.block == "base" && first_word_of(tree, row) == "phase";
}

}  // namespace scruple::merging
