#include "changes/plain_recipe.h"

#include <algorithm>
#include <optional>
#include <vector>

#include "num/apportion.h"
#include "num/decimal.h"
#include "num/rational.h"

namespace scruple::changes {
namespace {

constexpr std::int64_t kMostParts = 10000;  // a ratio of larger numbers is left as it was written

/// A row, its words without layout.
struct Line {
    std::string key;       // what rows without an order are sorted by
    std::string text;
    std::string amount;    // of a part of a blend: its number, its unit, and the rest
    std::string unit;
    std::string rest;
    std::vector<std::string> inside;
};

std::string atoms_text(const SyntaxTree& tree, const Row& row, std::size_t from = 0) {
    std::string out;
    std::size_t at = 0;
    bool first_item = true;
    for (const Item& item : tree.items_of(row)) {
        if (!first_item) out += ",";
        first_item = false;
        for (const Atom& atom : tree.atoms_of(item)) {
            if (at++ < from) continue;
            if (!out.empty()) out += ' ';
            out += tree.value_text(atom);
        }
    }
    return out;
}

bool is_kind(const SyntaxTree& tree, const Row& row, std::string_view word) {
    if (row.kind != RowKind::entry || row.item_count == 0) return false;
    const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
    return !atoms.empty() && tree.view(atoms[0]) == word;
}

/// `3 parts NAME`: its number, its unit and what is left. Other rows keep to their text.
void read_amount(const SyntaxTree& tree, const Row& row, Line& line) {
    if (row.item_count != 1) return;
    const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
    if (atoms.size() < 3 || atoms[0].kind != AtomKind::number || atoms[1].kind != AtomKind::word) return;
    line.amount = tree.value_text(atoms[0]);
    line.unit = tree.view(atoms[1]);
    if (line.unit == "part") line.unit = "parts";
    if (line.unit == "drop") line.unit = "drops";
    line.rest = atoms_text(tree, row, 2);
    line.key = line.rest;
}

std::vector<Line> lines_of(const SyntaxTree& tree, std::uint32_t row, bool ordered);

Line line_of(const SyntaxTree& tree, std::uint32_t r, bool ordered) {
    const Row& row = tree.rows[r];
    Line line;
    line.text = row.kind == RowKind::doc ? std::string(tree.view(row.begin, row.end)) : atoms_text(tree, row);
    while (line.text.ends_with('\r') || line.text.ends_with(' ')) line.text.pop_back();
    line.key = line.text;
    if (row.kind == RowKind::entry) {
        read_amount(tree, row, line);
        if (row.has_block) line.inside.clear();
        for (const Line& inner : row.has_block ? lines_of(tree, r, ordered) : std::vector<Line>{}) {
            line.inside.push_back("    " + inner.text);
            for (const auto& deeper : inner.inside) line.inside.push_back("    " + deeper);
        }
    }
    return line;
}

std::vector<Line> lines_of(const SyntaxTree& tree, std::uint32_t row, bool ordered) {
    std::vector<Line> out;
    std::vector<Line> phases;  // their order is that of the work
    for (std::uint32_t r = tree.children_begin(row); r < tree.children_end(row); r = tree.rows[r].next) {
        if (tree.rows[r].kind == RowKind::comment) continue;
        const bool phase = is_kind(tree, tree.rows[r], "phase");
        (phase ? phases : out).push_back(line_of(tree, r, ordered));
    }
    if (!ordered) std::stable_sort(out.begin(), out.end(), [](const Line& a, const Line& b) { return a.key < b.key; });
    out.insert(out.end(), phases.begin(), phases.end());
    return out;
}

/// The parts of a blend in their smallest whole numbers, if all of them are counted alike.
void reduce(std::vector<Line>& lines) {
    std::vector<Rational> amounts;
    std::string unit;
    for (const Line& line : lines) {
        if (line.amount.empty()) continue;
        const ParsedNumber number = parse_number(line.amount);
        if (number.error != NumberError::none || number.value.sign() <= 0) return;
        if (!unit.empty() && unit != line.unit) return;
        unit = line.unit;
        amounts.push_back(number.value);
    }
    if (amounts.size() < 2) return;
    const auto whole = smallest_whole_ratio(amounts);
    if (whole.size() != amounts.size()) return;
    std::size_t at = 0;
    std::vector<std::string> numbers;
    for (const auto& n : whole) {
        if (n > kMostParts) return;
        numbers.push_back(std::to_string(n));
    }
    for (Line& line : lines) {
        if (line.amount.empty()) continue;
        const bool single = numbers[at] == "1" && (unit == "parts" || unit == "drops");
        line.text = numbers[at++] + " " + (single ? unit.substr(0, unit.size() - 1) : unit) + " " + line.rest;
    }
}

}  // namespace

std::string plain_recipe(const SyntaxTree& tree) {
    if (!tree.complete) return std::string(tree.text);
    struct Declaration {
        std::string name, text;
    };
    std::vector<Declaration> out;
    std::string docs;
    for (std::uint32_t r = 0; r < tree.rows.size(); r = tree.rows[r].next) {
        const Row& row = tree.rows[r];
        if (row.kind == RowKind::comment) continue;
        if (row.kind == RowKind::doc) {
            docs += line_of(tree, r, true).text + "\n";
            continue;
        }
        Declaration made;
        const auto atoms = row.item_count ? tree.atoms_of(tree.items_of(row)[0]) : std::span<const Atom>{};
        if (atoms.size() > 1) made.name = tree.view(atoms[1]);
        made.text = atoms_text(tree, row) + "\n" + docs;
        docs.clear();
        if (row.has_block) {
            auto lines = lines_of(tree, r, is_kind(tree, row, "bench"));
            if (is_kind(tree, row, "blend")) reduce(lines);
            for (const Line& line : lines) {
                made.text += "    " + line.text + "\n";
                for (const auto& inner : line.inside) made.text += "    " + inner + "\n";
            }
        }
        out.push_back(std::move(made));
    }
    std::stable_sort(out.begin(), out.end(), [](const Declaration& a, const Declaration& b) { return a.name < b.name; });
    std::string text;
    for (const Declaration& d : out) text += (text.empty() ? "" : "\n") + d.text;
    return text + docs;
}

}  // namespace scruple::changes
