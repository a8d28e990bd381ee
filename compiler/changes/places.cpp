#include "changes/places.h"

#include <algorithm>
#include <set>

namespace scruple::changes {
namespace {

struct Declaration {
    const SyntaxTree* tree;
    std::uint32_t row;
    std::string_view kind, name;
};

std::vector<std::string_view> atoms_of_row(const SyntaxTree& tree, const Row& row) {
    std::vector<std::string_view> out;
    if (row.kind != RowKind::entry) return {tree.view(row.begin, row.head_end)};
    for (const Item& item : tree.items_of(row)) {
        for (const Atom& atom : tree.atoms_of(item)) out.push_back(tree.value_text(atom));
    }
    return out;
}

std::string_view word_at(const SyntaxTree& tree, const Row& row, std::size_t at) {
    if (row.kind != RowKind::entry || row.item_count == 0) return {};
    const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
    return atoms.size() > at && atoms[at].kind == AtomKind::word ? tree.view(atoms[at]) : std::string_view{};
}

std::vector<Declaration> declarations_of(const std::vector<const SyntaxTree*>& trees) {
    std::vector<Declaration> out;
    for (const SyntaxTree* tree : trees) {
        for (std::uint32_t r = 0; r < tree->rows.size(); r = tree->rows[r].next) {
            const Row& row = tree->rows[r];
            if (row.kind == RowKind::entry) out.push_back({tree, r, word_at(*tree, row, 0), word_at(*tree, row, 1)});
        }
    }
    return out;
}

/// A row with the rows around it that it belongs to, so that equal rows of two blocks are told apart.
using Signature = std::vector<std::string_view>;

Signature signature(const SyntaxTree& tree, std::uint32_t row, std::uint32_t top) {
    Signature out = atoms_of_row(tree, tree.rows[row]);
    for (std::uint32_t at = tree.rows[row].parent; at != top && at < tree.rows.size(); at = tree.rows[at].parent) {
        out.push_back("\x01");
        for (const auto atom : atoms_of_row(tree, tree.rows[at])) out.push_back(atom);
    }
    return out;
}

std::multiset<Signature> signatures(const Declaration& d) {
    std::multiset<Signature> out;
    for (std::uint32_t r = d.row; r < d.tree->rows[d.row].next; ++r) {
        if (d.tree->rows[r].kind != RowKind::comment) out.insert(signature(*d.tree, r, d.row));
    }
    return out;
}

std::vector<std::string_view> words_of(const SyntaxTree& tree, const Row& row) {
    std::vector<std::string_view> out;
    for (const Item& item : tree.items_of(row)) {
        for (const Atom& atom : tree.atoms_of(item)) {
            if (atom.kind == AtomKind::word) out.push_back(tree.view(atom));
        }
    }
    return out;
}

bool mentions(const std::vector<std::string_view>& words, std::string_view word) {
    return std::find(words.begin(), words.end(), word) != words.end();
}

}  // namespace

Places::Places(const std::vector<const SyntaxTree*>& before, const std::vector<const SyntaxTree*>& after) {
    std::map<std::pair<std::string_view, std::string_view>, std::vector<Declaration>> old;
    for (const Declaration& d : declarations_of(before)) old[{d.kind, d.name}].push_back(d);
    for (const Declaration& d : declarations_of(after)) {
        const SyntaxTree& tree = *d.tree;
        ChangedDeclaration made{d.kind, d.name, tree.head(tree.rows[d.row]), {}, {}};
        for (std::uint32_t r = d.row; r < tree.rows[d.row].next; ++r) {
            const auto words = words_of(tree, tree.rows[r]);
            made.words.insert(made.words.end(), words.begin(), words.end());
        }
        if (!d.name.empty()) all_[d.name] = {made.head, made.words};
        const auto was = old.find({d.kind, d.name});
        auto known = was == old.end() ? std::multiset<Signature>{} : signatures(was->second.front());
        std::size_t kept = 0;
        for (std::uint32_t r = d.row; r < tree.rows[d.row].next; ++r) {
            if (tree.rows[r].kind == RowKind::comment) continue;
            const auto found = known.find(signature(tree, r, d.row));
            if (found != known.end()) {
                known.erase(found);
                ++kept;
                continue;
            }
            if (tree.rows[r].kind == RowKind::entry) made.rows.push_back({tree.head(tree.rows[r]), words_of(tree, tree.rows[r])});
        }
        if (made.rows.empty() && known.empty()) continue;
        if (was == old.end()) made.rows.resize(1);  // all of it is new: its head says so
        if (!d.name.empty()) by_name_[d.name] = changed_.size();
        changed_.push_back(std::move(made));
    }
}

const ChangedDeclaration* Places::changed(std::string_view name) const {
    const auto found = by_name_.find(name);
    return found == by_name_.end() ? nullptr : &changed_[found->second];
}

std::vector<const ChangedDeclaration*> Places::behind(const UnitChange& unit) const {
    std::vector<std::string_view> next = {unit.id};
    if (!unit.blend.empty()) next.push_back(unit.blend);
    for (const auto* facts : {&unit.new_facts, &unit.old_facts}) {
        for (const Fact& f : *facts) {
            if (f.what != What::line_of) continue;
            if (const auto line = all_.find(f.text("line")); line != all_.end()) next.push_back(line->first);
        }
    }
    std::vector<const ChangedDeclaration*> out;
    std::set<std::string_view> seen(next.begin(), next.end());
    for (std::size_t i = 0; i < next.size(); ++i) {
        if (const auto* c = changed(next[i])) out.push_back(c);
        const auto found = all_.find(next[i]);
        if (found == all_.end()) continue;
        for (const auto word : found->second.second) {
            if (all_.contains(word) && seen.insert(word).second) next.push_back(word);
        }
    }
    for (const ChangedDeclaration& c : changed_) {
        const bool listed = std::find(out.begin(), out.end(), &c) != out.end();
        const bool own = c.kind == "blend" || c.kind == "variation" || c.kind == "product" || c.kind == "line" || c.kind == "bench";
        if (!listed && !own) out.push_back(&c);
    }
    return out;
}

Span Places::of(const UnitChange& unit, const Change& change) const {
    const auto candidates = behind(unit);
    std::vector<std::string> about = change.any().list("brought_by");
    about.insert(about.begin(), change.subject);
    for (const std::string& what : about) {
        if (what.empty()) continue;
        for (const auto* c : candidates) {
            for (const ChangedRow& row : c->rows) {
                if (mentions(row.words, what)) return row.span;
            }
        }
    }
    for (const auto* c : candidates) {
        if (!c->rows.empty()) return c->rows.front().span;
    }
    if (!candidates.empty()) return candidates.front()->head;
    for (const std::string_view name : {std::string_view(unit.id), std::string_view(unit.blend)}) {
        if (const auto found = all_.find(name); found != all_.end()) return found->second.first;
    }
    return {};
}

}  // namespace scruple::changes
