#include "changes/imprint.h"

#include <fmt/core.h>

#include <algorithm>
#include <unordered_map>
#include <unordered_set>

#include "base/sha256.h"
#include "library/embedded.h"
#include "schema/schema.h"

namespace scruple::changes {
namespace {

void add_words(std::vector<std::string_view>& out, std::string_view word) {
    if (word.find('.') != std::string_view::npos) out.push_back(word);
    while (!word.empty()) {
        const auto dot = word.find('.');
        if (dot != 0) out.push_back(word.substr(0, dot));
        word.remove_prefix(dot == std::string_view::npos ? word.size() : dot + 1);
    }
}

/// Stands before an atom, so that two texts of different kinds are two things.
constexpr char mark_of(AtomKind kind) { return static_cast<char>('\x10' + static_cast<char>(kind)); }
constexpr char kWordMark = mark_of(AtomKind::word);

/// Appends what a row says, and notes its words.
void add_row(const SyntaxTree& tree, const Row& row, std::string& said, std::vector<std::string_view>& words) {
    said += row.broken ? '\x01' : '\x02';
    if (row.kind != RowKind::entry) {
        said += tree.view(row.begin, row.end);
        return;
    }
    for (const Item& item : tree.items_of(row)) {
        said += '\x03';
        for (const Atom& atom : tree.atoms_of(item)) {
            said += mark_of(atom.kind);
            said += tree.value_text(atom);
            if (atom.kind == AtomKind::word) add_words(words, tree.view(atom));
        }
    }
    if (row.has_block) said += '\x04';
}

/// The second word of a head where it is a name: strings, numbers and dates are none.
std::string_view name_of(const SyntaxTree& tree, const Row& row) {
    if (row.item_count == 0) return {};
    const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
    // A kind that was written twice is mended in reading.
    const std::size_t at = atoms.size() > 2 && tree.view(atoms[1]) == tree.view(atoms[0]) ? 2 : 1;
    return atoms.size() > at && atoms[at].kind == AtomKind::word ? tree.view(atoms[at]) : std::string_view{};
}

std::string_view kind_of(const SyntaxTree& tree, const Row& row) {
    if (row.kind != RowKind::entry || row.item_count == 0) return {};
    const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
    return !atoms.empty() && atoms[0].kind == AtomKind::word ? tree.view(atoms[0]) : std::string_view{};
}

/// Kinds that matter to nothing but what names them. A change of another holds for all.
bool reaches_by_name(const Imprint& imprint) {
    const KindSpec* spec = find_kind(imprint.kind);
    if (!spec || imprint.name.empty()) return false;
    constexpr Kinds kKinds = {Kind::blend, Kind::variation,  Kind::product, Kind::line,
                              Kind::bench, Kind::oil,        Kind::ingredient, Kind::base};
    // What takes the name of the library's own may be meant wherever the library names it.
    return kKinds.has(spec->kind) && embedded_named(imprint.name).empty();
}

using ByDeclaration = std::vector<const Imprint*>;

bool same_declaration(const Imprint& a, const Imprint& b) { return a.kind == b.kind && a.name == b.name; }

bool before_in_order(const Imprint* a, const Imprint* b) {
    if (a->name != b->name) return a->name < b->name;
    if (a->kind != b->kind) return a->kind < b->kind;
    return a->digest < b->digest;
}

ByDeclaration in_order(const std::vector<Imprint>& imprints, std::size_t begin, std::size_t end) {
    ByDeclaration out;
    out.reserve(end - begin);
    for (std::size_t i = begin; i < end; ++i) out.push_back(&imprints[i]);
    std::sort(out.begin(), out.end(), before_in_order);
    return out;
}

std::size_t end_of_run(const ByDeclaration& list, std::size_t from) {
    std::size_t end = from;
    while (end < list.size() && same_declaration(*list[end], *list[from])) ++end;
    return end;
}

/// Calls for each declaration that is not the same on both sides.
template <class Call>
void each_changed(const ByDeclaration& before, const ByDeclaration& after, const Call& call) {
    std::size_t a = 0, b = 0;
    while (a < before.size() || b < after.size()) {
        const bool both = a < before.size() && b < after.size() && same_declaration(*before[a], *after[b]);
        if (both) {
            const std::size_t a_end = end_of_run(before, a), b_end = end_of_run(after, b);
            const bool same = std::equal(before.begin() + static_cast<std::ptrdiff_t>(a), before.begin() + static_cast<std::ptrdiff_t>(a_end),
                                         after.begin() + static_cast<std::ptrdiff_t>(b), after.begin() + static_cast<std::ptrdiff_t>(b_end),
                                         [](const Imprint* x, const Imprint* y) { return x->digest == y->digest; });
            if (!same) call(*before[a]);
            a = a_end;
            b = b_end;
            continue;
        }
        const bool gone = b == after.size() || (a < before.size() && before_in_order(before[a], after[b]));
        call(gone ? *before[a++] : *after[b++]);
    }
}

}  // namespace

std::vector<Imprint> imprints(const SyntaxTree& tree, bool nameless) {
    std::vector<Imprint> out;
    std::string said;
    std::vector<std::string_view> words;
    std::uint32_t last_end = 0, first_begin = 0;
    for (std::uint32_t r = 0; r < tree.rows.size();) {
        const Row& head = tree.rows[r];
        if (head.kind == RowKind::comment) {
            r = head.next;
            continue;
        }
        if (said.empty()) first_begin = head.begin;
        const auto between = tree.view(std::min(last_end, head.begin), head.begin);
        // A description belongs to what stands directly below it.
        if (!said.empty()) said += std::count(between.begin(), between.end(), '\n') == 1 ? '\x05' : '\x06';
        last_end = head.end;
        std::vector<std::uint32_t> ends;  // of the blocks around a row: how many there are decides what it belongs to
        for (std::uint32_t i = r; i < head.next; ++i) {
            if (tree.rows[i].kind == RowKind::comment) continue;
            while (!ends.empty() && ends.back() <= i) ends.pop_back();
            said += fmt::format("{}", ends.size());
            add_row(tree, tree.rows[i], said, words);
            ends.push_back(tree.rows[i].next);
        }
        r = head.next;
        if (head.kind == RowKind::doc) continue;
        Imprint& made = out.emplace_back();
        made.kind = kind_of(tree, head);
        made.name = made.kind.empty() ? std::string_view{} : name_of(tree, head);
        made.text = tree.view(first_begin, head.end);
        made.digest = sha256_hex(said);
        if (nameless && !made.name.empty()) {
            // The name is the next word after the kind.
            const std::string kind = kWordMark + std::string(made.kind);
            const std::string name = kWordMark + std::string(made.name);
            if (const auto at = said.find(name, said.find(kind) + kind.size()); at != std::string::npos) said.replace(at, name.size(), "\x08");
            made.nameless = sha256_hex(said);
        }
        std::sort(words.begin(), words.end());
        words.erase(std::unique(words.begin(), words.end()), words.end());
        made.words = std::move(words);
        said.clear();
        words.clear();
    }
    return out;
}

Reach reach_of(const std::vector<Imprint>& before, const std::vector<Imprint>& after) {
    Reach out;
    std::vector<std::string_view> next;
    // Most stands where it stood: what is the same at the beginning and at the end needs no sorting.
    const auto same = [](const Imprint& a, const Imprint& b) { return same_declaration(a, b) && a.digest == b.digest; };
    const std::size_t shorter = std::min(before.size(), after.size());
    std::size_t head = 0, tail = 0;
    while (head < shorter && same(before[head], after[head])) ++head;
    while (tail < shorter - head && same(before[before.size() - 1 - tail], after[after.size() - 1 - tail])) ++tail;
    const auto middle = [&](const std::vector<Imprint>& side) { return in_order(side, head, side.size() - tail); };
    each_changed(middle(before), middle(after), [&](const Imprint& changed) {
        if (!reaches_by_name(changed)) out.everything = true;
        if (out.names.emplace(changed.name).second) next.push_back(changed.name);
    });
    if (out.everything || next.empty()) return out;
    std::unordered_set<std::string_view> declared;
    for (const auto* side : {&before, &after}) {
        for (const Imprint& i : *side) declared.insert(i.name);
    }
    std::unordered_map<std::string_view, std::vector<const Imprint*>> mentions;
    for (const auto* side : {&before, &after}) {
        for (const Imprint& i : *side) {
            for (const std::string_view word : i.words) {
                if (word != i.name && declared.contains(word)) mentions[word].push_back(&i);
            }
        }
    }
    while (!next.empty()) {
        const std::string_view name = next.back();
        next.pop_back();
        const auto found = mentions.find(name);
        if (found == mentions.end()) continue;
        for (const Imprint* i : found->second) {
            // Whose price it is decides nothing for others. What else has no name cannot be followed further.
            if (i->name.empty() && i->kind != "prices") out.everything = true;
            if (!i->name.empty() && out.names.emplace(i->name).second) next.push_back(i->name);
        }
    }
    return out;
}

Behind::Behind(const std::vector<const Imprint*>& all) {
    for (const Imprint* i : all) {
        if (!i->name.empty()) by_name_[i->name].push_back(i);
        if (!reaches_by_name(*i)) for_all_.push_back(i);
    }
}

std::vector<const Imprint*> Behind::find(const std::vector<std::string_view>& names, bool and_all) const {
    std::vector<const Imprint*> out;
    std::unordered_set<const Imprint*> taken;
    const auto take = [&](const Imprint* i) {
        if (taken.insert(i).second) out.push_back(i);
    };
    const auto take_named = [&](std::string_view name) {
        const auto found = by_name_.find(name);
        if (found == by_name_.end()) return;
        for (const Imprint* i : found->second) take(i);
    };
    if (and_all) {
        for (const Imprint* i : for_all_) take(i);
    }
    for (const std::string_view name : names) take_named(name);
    for (std::size_t i = 0; i < out.size(); ++i) {
        for (const std::string_view word : out[i]->words) take_named(word);
    }
    std::sort(out.begin(), out.end(), before_in_order);
    return out;
}

std::string Behind::digest(const std::vector<std::string_view>& names, bool and_all) const {
    std::string digests;
    for (const Imprint* i : find(names, and_all)) digests += i->digest;
    return sha256_hex(digests);
}

}  // namespace scruple::changes
