#include "merge/merger.h"

#include <algorithm>
#include <unordered_map>
#include <unordered_set>

#include "merge/ratio.h"
#include "merge/sequence.h"

namespace scruple::merging {
namespace {

using Why = MergeConflict::Why;

Sides sides_of(const std::array<std::string_view, 3>& texts) { return {texts[kBase], texts[kOurs], texts[kTheirs]}; }

}  // namespace

bool Merger::file() {
    std::array<std::optional<Level>, 3> levels;
    for (std::size_t side = 0; side < 3; ++side) {
        levels[side] = level_of(*versions_[side], kNoRow);
        if (!levels[side]) return false;
    }
    level({&*levels[kBase], &*levels[kOurs], &*levels[kTheirs]}, {});
    return true;
}

// Levels

void Merger::level(const Levels& levels, const Scope& scope) {
    const bool first = first_, after = after_comment_;
    first_ = true;
    after_comment_ = false;
    std::array<std::vector<std::string>, 3> names;
    if (scope.place.block != "bench" && find_names(levels, scope, names)) {
        by_name(levels, scope, std::move(names));
    } else {
        in_sequence(levels, scope);
    }
    Texts tails;
    for (std::size_t side = 0; side < 3; ++side) tails[side] = versions_[side]->view(levels[side]->tail, levels[side]->end);
    settle(pick(tails, {}), tails);
    first_ = first;
    after_comment_ = after;
}

/// A name for each element, the same in all versions for what is the same. False where several can't be told apart.
bool Merger::find_names(const Levels& levels, const Scope& scope, std::array<std::vector<std::string>, 3>& names) const {
    std::unordered_map<std::string, int> comments;
    for (std::size_t side = 0; side < 3; ++side) {
        for (const Element& e : levels[side]->elements) {
            if (e.row == kNoRow) ++comments[comments_of(versions_[side]->view(e.lead, e.end))];
        }
    }
    std::array<std::vector<std::string>, 3> full;
    std::unordered_set<std::string> repeated;
    for (std::size_t side = 0; side < 3; ++side) {
        const SyntaxTree& tree = versions_[side]->tree;
        std::unordered_set<std::string> seen;
        std::string last = "^";
        std::size_t behind = 0;
        for (const Element& e : levels[side]->elements) {
            if (e.row != kNoRow) {
                last = row_name(tree, tree.rows[e.row], scope.place);
                behind = 0;
                names[side].push_back(last);
                full[side].push_back(full_row_name(tree, tree.rows[e.row], scope.place));
                if (!seen.insert(last).second) repeated.insert(last);
                continue;
            }
            // Comments that all three have are known by what they say, others by where they stand.
            const std::string said = comments_of(versions_[side]->view(e.lead, e.end));
            const std::string name = comments[said] == 3 ? "#" + said : "#" + std::to_string(behind) + " " + last;
            ++behind;
            names[side].push_back(name);
            full[side].push_back(name);
        }
    }
    if (!repeated.empty()) {
        if (edited_twice_among(names, full, {repeated.begin(), repeated.end()})) return false;
        for (std::size_t side = 0; side < 3; ++side) {
            for (std::size_t i = 0; i < names[side].size(); ++i) {
                if (repeated.contains(names[side][i])) names[side][i] = full[side][i];
            }
        }
    }
    for (const auto& list : names) {
        std::unordered_set<std::string_view> seen;
        for (const auto& name : list) {
            if (!seen.insert(name).second) return false;
        }
    }
    return true;
}

/// Of rows that share a name and are told apart by all that they say: whether both sides may have changed the same one.
bool Merger::edited_twice_among(const std::array<std::vector<std::string>, 3>& names,
                                const std::array<std::vector<std::string>, 3>& full,
                                const std::vector<std::string>& repeated) const {
    std::array<std::unordered_set<std::string_view>, 3> all;
    for (std::size_t side = 0; side < 3; ++side) all[side].insert(full[side].begin(), full[side].end());
    struct Seen {
        bool lost = false;  // both sides took one away
        bool ours = false, theirs = false;
    };
    std::unordered_map<std::string_view, Seen> seen;
    for (const auto& name : repeated) seen[name];
    for (std::size_t side = 0; side < 3; ++side) {
        for (std::size_t i = 0; i < names[side].size(); ++i) {
            const auto at = seen.find(names[side][i]);
            if (at == seen.end()) continue;
            const std::string_view name = full[side][i];
            if (side == kBase) at->second.lost |= !all[kOurs].contains(name) && !all[kTheirs].contains(name);
            if (side == kOurs) at->second.ours |= !all[kBase].contains(name) && !all[kTheirs].contains(name);
            if (side == kTheirs) at->second.theirs |= !all[kBase].contains(name) && !all[kOurs].contains(name);
        }
    }
    return std::any_of(seen.begin(), seen.end(),
                       [](const auto& s) { return s.second.lost && s.second.ours && s.second.theirs; });
}

Merger::Elements Merger::elements_of(const Levels& levels, const Slot& slot) const {
    Elements out{};
    for (std::size_t side = 0; side < 3; ++side) {
        if (slot.in(side)) out[side] = &levels[side]->elements[static_cast<std::size_t>(slot.at[side])];
    }
    return out;
}

void Merger::by_name(const Levels& levels, const Scope& scope, std::array<std::vector<std::string>, 3> names) {
    const auto gone = [&](const Slot& slot) {
        const std::size_t side = slot.in(kOurs) ? kOurs : kTheirs;
        const Elements e = elements_of(levels, slot);
        return text(kBase, *e[kBase]) == text(side, *e[side]) ||
               meaning_of(*versions_[kBase], *e[kBase]) == meaning_of(*versions_[side], *e[side]);
    };
    const auto run_text = [&](std::size_t side, const std::vector<Slot>& run) {
        std::string out;
        for (const Slot& slot : run) out += text(side, *elements_of(levels, slot)[side]);
        return out;
    };
    WeaveInput input{std::move(names), {}, gone, run_text};
    for (std::size_t side = 0; side < 3; ++side) {
        const SyntaxTree& tree = versions_[side]->tree;
        for (const Element& e : levels[side]->elements)
            input.ordered[side].push_back(e.row != kNoRow && order_is_meaning(tree, tree.rows[e.row], scope.place));
    }
    const Woven woven = weave(input);
    if (woven.disordered) {
        Texts all;
        for (std::size_t side = 0; side < 3; ++side) {
            const auto& elements = levels[side]->elements;
            const std::uint32_t begin = elements.empty() ? levels[side]->tail : elements.front().lead;
            all[side] = versions_[side]->view(begin, levels[side]->tail);
        }
        out_.conflict(sides_of(all), about(Why::order, {}, scope), true);
        return;
    }
    for (const Strand& strand : woven.strands) {
        if (!strand.clash) {
            const Elements e = elements_of(levels, strand.slot);
            put(e, first_of(levels, e), scope);
            continue;
        }
        std::array<std::string, 3> runs;
        runs[kOurs] = run_text(kOurs, strand.ours);
        runs[kTheirs] = run_text(kTheirs, strand.theirs);
        Elements first{};
        first[kOurs] = elements_of(levels, strand.ours.front())[kOurs];
        first[kTheirs] = elements_of(levels, strand.theirs.front())[kTheirs];
        gap(first, first_of(levels, first), scope);
        out_.conflict({runs[kBase], runs[kOurs], runs[kTheirs]}, about(Why::same_place, {}, scope), false);
        first_ = false;
    }
}

void Merger::in_sequence(const Levels& levels, const Scope& scope) {
    Numbering numbering;
    std::array<std::vector<std::uint32_t>, 3> numbers;
    for (std::size_t side = 0; side < 3; ++side) {
        for (const Element& e : levels[side]->elements) numbers[side].push_back(numbering.of(meaning_of(*versions_[side], e)));
    }
    for (const Stretch& s : stretches(numbers[kBase], numbers[kOurs], numbers[kTheirs])) {
        const std::array<Range, 3> ranges{s.base, s.ours, s.theirs};
        if (s.stable) {
            Elements e{};
            for (std::size_t side = 0; side < 3; ++side) e[side] = &levels[side]->elements[ranges[side].begin];
            put(e, first_of(levels, e), scope);
            continue;
        }
        Texts texts;
        std::array<std::string, 3> meanings;
        Elements first{};
        for (std::size_t side = 0; side < 3; ++side) {
            const auto& list = levels[side]->elements;
            if (ranges[side].size() == 0) continue;
            first[side] = &list[ranges[side].begin];
            texts[side] = versions_[side]->view(first[side]->lead, list[ranges[side].end - 1].end);
            for (std::uint32_t i = ranges[side].begin; i < ranges[side].end; ++i)
                meanings[side] += std::to_string(numbers[side][i]) + ' ';
        }
        const Pick picked = pick(texts, meanings);
        if (picked == Pick::conflict) {
            gap(first, first_of(levels, first), scope);
            const Why why = s.base.size() == 0 ? Why::same_place : Why::changed_twice;
            out_.conflict(sides_of(texts), about(why, first, scope), false);
        } else if (const auto side = static_cast<std::size_t>(picked); !texts[side].empty()) {
            Elements only{};
            only[side] = first[side];
            gap(only, first_of(levels, only), scope);
            settle(picked, texts);
        } else {
            continue;
        }
        first_ = false;
        after_comment_ = false;
    }
}

// Elements

void Merger::put(const Elements& elements, First first, const Scope& scope) {
    gap(elements, first, scope);
    element(elements, scope);
    first_ = false;
    after_comment_ = false;
    for (const Element* e : elements) after_comment_ |= e && e->row == kNoRow;
}

Merger::First Merger::first_of(const Levels& levels, const Elements& elements) const {
    std::size_t present = 0, first = 0;
    for (std::size_t side = 0; side < 3; ++side) {
        if (!elements[side]) continue;
        ++present;
        first += elements[side] == levels[side]->elements.data();
    }
    return first == 0 ? First::nowhere : first < present ? First::somewhere : First::everywhere;
}

/// The empty lines above an element. What was first in its block has none, and gets one where it no longer is.
void Merger::gap(const Elements& elements, First first, const Scope& scope) {
    Texts gaps;
    bool apart = false;
    for (std::size_t side = 0; side < 3; ++side) {
        const Element* e = elements[side];
        if (!e) continue;
        gaps[side] = versions_[side]->view(e->begin, e->lead);
        apart |= scope.place.kind.empty() && (e->block || e->row == kNoRow);
    }
    std::string_view taken = std::max(gaps[kOurs], gaps[kTheirs]);
    if (elements[kOurs] && elements[kTheirs] && elements[kBase]) {
        const Pick picked = pick(gaps, {});
        if (picked != Pick::conflict) taken = gaps[static_cast<std::size_t>(picked)];
    }
    if (first_) {
        if (first == First::nowhere) taken = {};
    } else if (taken.empty() && (after_comment_ || (apart && first == First::everywhere))) {
        taken = "\n";
    }
    out_.settled(taken);
}

void Merger::element(const Elements& elements, const Scope& scope) {
    const Element* mine = elements[kOurs];
    const Element* other = elements[kTheirs];
    const Texts texts = all_of(elements);
    if (!mine || !other) {
        if (!elements[kBase]) return out_.settled(mine ? texts[kOurs] : texts[kTheirs]);
        return out_.conflict(sides_of(texts), about(Why::changed_and_removed, elements, scope), true);
    }
    if (elements[kBase] && texts[kOurs] == texts[kBase]) return out_.settled(texts[kTheirs]);
    if (elements[kBase] && texts[kTheirs] == texts[kBase]) return out_.settled(texts[kOurs]);
    if (texts[kOurs] == texts[kTheirs]) return out_.settled(texts[kOurs]);
    if (!elements[kBase]) {
        if (meaning_of(*versions_[kOurs], *mine) == meaning_of(*versions_[kTheirs], *other))
            return out_.settled(std::min(texts[kOurs], texts[kTheirs]));
        return out_.conflict(sides_of(texts), about(Why::added_twice, elements, scope), mine->block && other->block);
    }
    if (stays_whole(elements, scope)) return;
    const bool blocks = elements[kBase]->block && mine->block && other->block;
    blocks ? block(elements, scope) : row(elements, scope);
}

void Merger::block(const Elements& elements, const Scope& scope) {
    std::array<std::optional<Level>, 3> levels;
    Texts comments, heads, feet, whole;
    std::array<std::string, 3> said, meant, closing;
    for (std::size_t side = 0; side < 3; ++side) {
        const Version& v = *versions_[side];
        const Element& e = *elements[side];
        levels[side] = level_of(v, e.row);
        whole[side] = v.view(e.head, e.end);
        comments[side] = v.view(e.lead, e.head);
        heads[side] = v.view(e.head, e.body);
        feet[side] = v.view(e.foot, e.end);
        said[side] = comments_of(comments[side]);
        meant[side] = head_meaning(side, e);
        closing[side] = comments_of(feet[side]);
    }
    if (!levels[kBase] || !levels[kOurs] || !levels[kTheirs]) return row(elements, scope);
    if (!leaf(comments, said)) out_.conflict(sides_of(comments), about(Why::changed_twice, elements, scope), false);
    if (!leaf(heads, meant)) out_.conflict(sides_of(heads), about(Why::changed_twice, elements, scope), false);
    const SyntaxTree& tree = versions_[kOurs]->tree;
    const Row& at = tree.rows[elements[kOurs]->row];
    Scope inner = scope;
    inner.place.block = first_word_of(tree, at);
    if (scope.place.kind.empty()) {
        inner.place.kind = inner.place.block;
        inner.declaration = spoken(row_name(tree, at, scope.place));
    }
    level({&*levels[kBase], &*levels[kOurs], &*levels[kTheirs]}, inner);
    if (!leaf(feet, closing)) out_.conflict(sides_of(feet), about(Why::changed_twice, elements, scope), false);
}

void Merger::row(const Elements& elements, const Scope& scope) {
    Texts comments, rows;
    std::array<std::string, 3> said, meant;
    for (std::size_t side = 0; side < 3; ++side) {
        Element e = *elements[side];
        comments[side] = versions_[side]->view(e.lead, e.head);
        rows[side] = versions_[side]->view(e.head, e.end);
        said[side] = comments_of(comments[side]);
        e.lead = e.head;
        meant[side] = meaning_of(*versions_[side], e);
    }
    const Pick picked = pick(comments, said);
    if (picked == Pick::conflict) {
        return out_.conflict(sides_of(all_of(elements)), about(Why::changed_twice, elements, scope), false);
    }
    settle(picked, comments);
    if (leaf(rows, meant) || comment_apart(elements) || line_by_line(elements)) return;
    out_.conflict(sides_of(rows), about(Why::changed_twice, elements, scope), false);
}

/// A row of one line whose comment one side changed, and the other what stands before it.
bool Merger::comment_apart(const Elements& elements) {
    Texts heads, tails;
    std::array<std::string, 3> meant, said;
    for (std::size_t side = 0; side < 3; ++side) {
        const Element& e = *elements[side];
        if (e.row == kNoRow) return false;
        const Version& v = *versions_[side];
        const Row& at = v.tree.rows[e.row];
        const std::string_view line = v.view(e.head, e.end);
        if (at.has_block || std::count(line.begin(), line.end(), '\n') != 1) return false;
        heads[side] = v.view(e.head, at.head_end);
        tails[side] = v.view(at.head_end, e.end);
        append_row_text(meant[side], v.tree, at);
        said[side] = comments_of(tails[side]);
    }
    const Pick head = pick(heads, meant), tail = pick(tails, said);
    if (head == Pick::conflict || tail == Pick::conflict) return false;
    const std::string_view before = heads[static_cast<std::size_t>(head)];
    std::string_view behind = tails[static_cast<std::size_t>(tail)];
    std::string out(before);
    if (head != tail && behind.find('#') != std::string_view::npos) {
        // The comment stays in its column where there is room.
        const std::size_t column = heads[static_cast<std::size_t>(tail)].size() + behind.find('#');
        behind.remove_prefix(behind.find('#'));
        out.append(column > before.size() + 2 ? column - before.size() : 2, ' ');
    }
    out += behind;
    out_.settled(out);
    return true;
}

/// A list of texts over several lines, changed on both sides in different lines. Lists with amounts come to a whole.
bool Merger::line_by_line(const Elements& elements) {
    Numbering numbering;
    std::array<std::vector<std::uint32_t>, 3> numbers;
    std::array<std::vector<std::string_view>, 3> lines;
    for (std::size_t side = 0; side < 3; ++side) {
        const Element& e = *elements[side];
        const Version& v = *versions_[side];
        if (e.row != kNoRow) {
            const Row& at = v.tree.rows[e.row];
            if (at.has_block) return false;
            for (const Item& item : v.tree.items_of(at)) {
                for (const Atom& atom : v.tree.atoms_of(item)) {
                    if (atom.kind != AtomKind::string && atom.kind != AtomKind::word) return false;
                }
            }
        }
        std::string_view text = v.view(e.head, e.end);
        while (!text.empty()) {
            const auto end = std::min(text.find('\n'), text.size() - 1) + 1;
            lines[side].push_back(text.substr(0, end));
            numbers[side].push_back(numbering.of(std::string(text.substr(0, end))));
            text.remove_prefix(end);
        }
    }
    std::string out;
    for (const Stretch& s : stretches(numbers[kBase], numbers[kOurs], numbers[kTheirs])) {
        const std::array<Range, 3> ranges{s.base, s.ours, s.theirs};
        std::array<std::string, 3> parts;
        for (std::size_t side = 0; side < 3; ++side) {
            for (std::uint32_t i = ranges[side].begin; i < ranges[side].end; ++i) parts[side] += lines[side][i];
        }
        const Pick picked = pick({parts[kBase], parts[kOurs], parts[kTheirs]}, {});
        if (picked == Pick::conflict) return false;
        out += parts[static_cast<std::size_t>(picked)];
    }
    out_.settled(out);
    return true;
}

/// A blend whose ratio row by row would be one that nobody meant.
bool Merger::stays_whole(const Elements& elements, const Scope& scope) {
    if (!scope.place.kind.empty()) return false;
    std::array<Amounts, 3> amounts;
    bool variation = false;
    for (std::size_t side = 0; side < 3; ++side) {
        const SyntaxTree& tree = versions_[side]->tree;
        if (elements[side]->row == kNoRow) return false;
        const std::string_view kind = first_word_of(tree, tree.rows[elements[side]->row]);
        if (!has_ratio(kind)) return false;
        variation = kind == "variation";
        amounts[side] = amounts_of(*versions_[side], elements[side]->row);
    }
    const Joined joined = join_amounts(amounts[kBase], amounts[kOurs], amounts[kTheirs], variation);
    if (joined == Joined::fine) return false;
    MergeConflict what = about(joined == Joined::basis ? Why::basis : Why::not_closed, elements, scope);
    out_.conflict(sides_of(all_of(elements)), std::move(what), true);
    return true;
}

// Leaves

Merger::Pick Merger::pick(const Texts& texts, const std::array<std::string, 3>& meanings) const {
    if (texts[kOurs] == texts[kBase]) return Pick::theirs;
    if (texts[kTheirs] == texts[kBase] || texts[kOurs] == texts[kTheirs]) return Pick::ours;
    const bool meant = !meanings[kBase].empty() || !meanings[kOurs].empty() || !meanings[kTheirs].empty();
    if (!meant) return Pick::conflict;
    const Pick lesser = texts[kTheirs] < texts[kOurs] ? Pick::theirs : Pick::ours;
    if (meanings[kOurs] == meanings[kTheirs]) return lesser;
    if (meanings[kOurs] == meanings[kBase]) return Pick::theirs;
    if (meanings[kTheirs] == meanings[kBase]) return Pick::ours;
    return Pick::conflict;
}

void Merger::settle(Pick pick, const Texts& texts) {
    if (pick == Pick::conflict) pick = texts[kTheirs] < texts[kOurs] ? Pick::ours : Pick::theirs;  // empty lines
    out_.settled(texts[static_cast<std::size_t>(pick)]);
}

bool Merger::leaf(const Texts& texts, const std::array<std::string, 3>& meanings) {
    const Pick picked = pick(texts, meanings);
    if (picked == Pick::conflict) return false;
    settle(picked, texts);
    return true;
}

std::string Merger::head_meaning(std::size_t side, const Element& e) const {
    const Version& v = *versions_[side];
    const Row& at = v.tree.rows[e.row];
    std::string out;
    append_row_text(out, v.tree, at);
    return out + comments_of(v.view(at.open + 1, e.body));
}

Merger::Texts Merger::all_of(const Elements& elements) const {
    Texts out;
    for (std::size_t side = 0; side < 3; ++side) {
        if (elements[side]) out[side] = text(side, *elements[side]);
    }
    return out;
}

MergeConflict Merger::about(MergeConflict::Why why, const Elements& elements, const Scope& scope) const {
    MergeConflict out;
    out.why = why;
    out.declaration = scope.declaration;
    for (std::size_t side = 0; side < 3; ++side) {
        // The same words whichever side is which.
        const std::size_t at = side == 0 ? kBase : side;
        const Element* e = elements[at];
        if (!e || e->row == kNoRow) continue;
        const SyntaxTree& tree = versions_[at]->tree;
        const std::string name = spoken(row_name(tree, tree.rows[e->row], scope.place));
        (scope.place.kind.empty() ? out.declaration : out.subject) = name;
        break;
    }
    return out;
}

}  // namespace scruple::merging
