#include "changes/imprint.h"

#include <algorithm>
#include <unordered_map>
#include <unordered_set>

#include "base/function_ref.h"
#include "base/parallel.h"
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

/// Appends what a row says.
void add_row(const SyntaxTree& tree, const Row& row, std::string& said) {
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

/// What a change of a kind that holds for all can make differ. Of most kinds nothing is left out.
Wanted touched_by(const Imprint& imprint) {
    const KindSpec* spec = find_kind(imprint.kind);
    if (!spec) return {};
    Wanted out = Wanted::nothing();
    switch (spec->kind) {
        // Money is counted when all else is worked out, and decides nothing but itself.
        case Kind::prices:
        case Kind::rate: out.cost = true; return out;
        // What amounts are only compared with does not move them.
        case Kind::limit:
        case Kind::harm:
        case Kind::assessed: out.judged = true; return out;
        case Kind::caution:
        case Kind::guide: out.judged = out.people = true; return out;
        case Kind::allergen: out.label = true; return out;
        case Kind::rules: out.judged = out.people = out.label = true; return out;
        default: return {};
    }
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

namespace {

/// A declaration in its tree: the rows from `first`, where its comments begin, and its own from `head`.
struct Spot {
    std::uint32_t first = 0;
    std::uint32_t head = 0;
};

std::vector<Spot> declarations_in(const SyntaxTree& tree) {
    std::vector<Spot> out;
    bool open = false;
    std::uint32_t first = 0;
    for (std::uint32_t r = 0; r < tree.rows.size(); r = tree.rows[r].next) {
        const RowKind kind = tree.rows[r].kind;
        if (kind == RowKind::comment) continue;
        if (!open) first = r;
        open = kind == RowKind::doc;
        if (!open) out.push_back({first, r});
    }
    return out;
}

std::string_view letters_of(const SyntaxTree& tree, const Spot& d) {
    return tree.view(tree.rows[d.first].begin, tree.rows[d.head].end);
}

/// What it says, in words that no layout changes.
std::string said_by(const SyntaxTree& tree, const Spot& d) {
    std::string said;
    std::uint32_t last_end = 0;
    std::vector<std::uint32_t> ends;  // of the blocks around a row: how many there are decides what it belongs to
    for (std::uint32_t r = d.first; r < tree.rows[d.head].next; r = tree.rows[r].next) {
        const Row& row = tree.rows[r];
        if (row.kind == RowKind::comment) continue;
        const auto between = tree.view(std::min(last_end, row.begin), row.begin);
        // A description belongs to what stands directly below it.
        if (!said.empty()) said += std::count(between.begin(), between.end(), '\n') == 1 ? '\x05' : '\x06';
        last_end = row.end;
        ends.clear();
        for (std::uint32_t i = r; i < row.next; ++i) {
            if (tree.rows[i].kind == RowKind::comment) continue;
            while (!ends.empty() && ends.back() <= i) ends.pop_back();
            said += std::to_string(ends.size());
            add_row(tree, tree.rows[i], said);
            ends.push_back(tree.rows[i].next);
        }
    }
    return said;
}

/// In their order, as often as they are there.
std::vector<std::string_view> words_of(const SyntaxTree& tree, const Spot& d) {
    std::vector<std::string_view> words;
    for (std::uint32_t i = d.first; i < tree.rows[d.head].next; ++i) {
        const Row& row = tree.rows[i];
        if (row.kind != RowKind::entry) continue;
        for (const Item& item : tree.items_of(row)) {
            for (const Atom& atom : tree.atoms_of(item)) {
                if (atom.kind == AtomKind::word) add_words(words, tree.view(atom));
            }
        }
    }
    return words;
}

/// Its name taken out of what it says: the next word after the kind.
std::string without_name(std::string said, const Imprint& made) {
    const std::string kind = kWordMark + std::string(made.kind);
    const std::string name = kWordMark + std::string(made.name);
    if (const auto at = said.find(name, said.find(kind) + kind.size()); at != std::string::npos) said.replace(at, name.size(), "\x08");
    return said;
}

/// All but its digest and its words.
Imprint imprint_of(const SyntaxTree& tree, const Spot& d) {
    const Row& head = tree.rows[d.head];
    Imprint made;
    made.kind = kind_of(tree, head);
    made.name = made.kind.empty() ? std::string_view{} : name_of(tree, head);
    made.text = letters_of(tree, d);
    return made;
}

/// A declaration of one of two versions.
struct Placed {
    const SyntaxTree* tree = nullptr;
    Spot at;
    bool imported = false;
    bool same = false;  // it stands on the other side as well, letter by letter
    std::string_view letters() const { return letters_of(*tree, at); }
};

std::vector<Placed> placed_in(const std::vector<FileTree>& files) {
    std::vector<Placed> out;
    for (const FileTree& f : files) {
        for (const Spot& d : declarations_in(*f.tree)) out.push_back({f.tree, d, f.imported, false});
    }
    return out;
}

/// What stands on both sides as often, letter by letter, says the same.
void mark_same(std::vector<Placed>& before, std::vector<Placed>& after) {
    // Most stands where it stood: counted from the beginning, or from the end.
    const std::size_t shorter = std::min(before.size(), after.size());
    std::vector<bool> met(before.size(), false);
    std::vector<Placed*> left;
    const auto meet = [&](std::size_t a, std::size_t b) {
        if (met[a] || after[b].same || before[a].letters() != after[b].letters()) return;
        met[a] = before[a].same = after[b].same = true;
    };
    for (std::size_t i = 0; i < shorter; ++i) meet(i, i);
    for (std::size_t i = 1; i <= shorter && before.size() != after.size(); ++i) meet(before.size() - i, after.size() - i);
    // Pairs taken away leave the others as often as they are.
    std::unordered_map<std::string_view, int> times;
    for (const Placed& p : before) {
        if (!p.same) ++times[p.letters()];
    }
    for (const Placed& p : after) {
        if (!p.same) --times[p.letters()];
    }
    for (auto* side : {&before, &after}) {
        for (Placed& p : *side) {
            if (!p.same) p.same = times.find(p.letters())->second == 0;
        }
    }
}

}  // namespace

std::vector<Imprint> imprints(const SyntaxTree& tree, bool nameless) {
    std::vector<Imprint> out;
    for (const Spot& d : declarations_in(tree)) {
        Imprint& made = out.emplace_back(imprint_of(tree, d));
        made.words = words_of(tree, d);
        std::sort(made.words.begin(), made.words.end());
        made.words.erase(std::unique(made.words.begin(), made.words.end()), made.words.end());
        std::string said = said_by(tree, d);
        made.digest = sha256_hex(said);
        if (nameless && !made.name.empty()) made.nameless = sha256_hex(without_name(std::move(said), made));
    }
    return out;
}

std::pair<std::vector<Imprint>, std::vector<Imprint>> imprints(const std::vector<FileTree>& before, const std::vector<FileTree>& after) {
    std::vector<Placed> placed[2];
    in_parallel(2, [&](std::size_t i) { placed[i] = placed_in(i == 0 ? before : after); });
    mark_same(placed[0], placed[1]);
    std::pair<std::vector<Imprint>, std::vector<Imprint>> out;
    out.first.resize(placed[0].size());
    out.second.resize(placed[1].size());
    const auto make = [&](std::size_t side, std::size_t i) {
        const Placed& p = placed[side][i];
        Imprint& made = (side == 0 ? out.first : out.second)[i];
        made = imprint_of(*p.tree, p.at);
        // What an import says may hold for anything, whatever its kind.
        if (p.imported) made.name = {};
        // Of what is the same the words of one side are enough.
        if (!p.same || side == 0) made.words = words_of(*p.tree, p.at);
        if (!p.same) made.digest = said_by(*p.tree, p.at);
    };
    constexpr std::size_t kPieces = 8;
    in_parallel(kPieces, [&](std::size_t piece) {
        for (const std::size_t side : {0u, 1u}) {
            const std::size_t count = placed[side].size();
            for (std::size_t i = count * piece / kPieces; i < count * (piece + 1) / kPieces; ++i) make(side, i);
        }
    });
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
    const auto change = [&](const Imprint& changed) {
        if (!reaches_by_name(changed)) out.for_all |= touched_by(changed);
        if (out.names.emplace(changed.name).second) next.push_back(changed.name);
    };
    std::size_t at = head;
    const std::size_t end = before.size() == after.size() ? before.size() - tail : head;
    while (at < end && same_declaration(before[at], after[at])) ++at;
    if (at == end && end > head) {
        for (at = head; at < end; ++at) {
            if (!same(before[at], after[at])) change(before[at]);
        }
    } else {
        const auto middle = [&](const std::vector<Imprint>& side) { return in_order(side, head, side.size() - tail); };
        each_changed(middle(before), middle(after), change);
    }
    if (out.for_all.all() || next.empty()) return out;
    // What has no digest stands on the other side as well.
    std::unordered_map<std::string_view, std::vector<const Imprint*>> mentions;  // of each name that is declared
    mentions.reserve(before.size());
    std::vector<const Imprint*> all;  // those that are not found already
    all.reserve(before.size());
    const auto take = [&](const Imprint& i) {
        mentions.try_emplace(i.name);
        if (i.name.empty() || !out.names.contains(i.name)) all.push_back(&i);
    };
    for (const Imprint& i : before) take(i);
    for (const Imprint& i : after) {
        if (!i.digest.empty()) take(i);
    }
    for (const Imprint* i : all) {
        for (const std::string_view word : i->words) {
            if (word == i->name) continue;
            if (const auto at = mentions.find(word); at != mentions.end()) at->second.push_back(i);
        }
    }
    while (!next.empty()) {
        const std::string_view name = next.back();
        next.pop_back();
        const auto found = mentions.find(name);
        if (found == mentions.end()) continue;
        for (const Imprint* i : found->second) {
            // What has no name cannot be followed further.
            if (i->name.empty()) out.for_all |= touched_by(*i);
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
