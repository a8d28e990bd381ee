#include "layout/gutters.h"

#include <algorithm>
#include <array>

namespace scruple::layout {
namespace {

struct GutterRow {
    std::string_view word;
    Gutters gutters;
};

// What differs from eleven columns. Widths are those of what usually stands there.
constexpr std::array kByKind = {
    GutterRow{"assessed", {.amount = 13, .field = 13}},
    GutterRow{"base", {.amount = 15}},
    GutterRow{"bench", {.block = Block::bench}},
    GutterRow{"guide", {.amount = 18}},
    GutterRow{"limit", {.limit = true, .amount = 15}},
    GutterRow{"line", {.block = Block::line}},
    GutterRow{"lot", {.field = 13}},
    GutterRow{"prices", {.block = Block::prices}},
    GutterRow{"soap", {.amount = 15, .field = 15}},
};

// Inside a declaration, by the word that opens the block. What stands first there is an amount, or
// the name of one.
constexpr std::array kByField = {
    GutterRow{"contains", {.amount = 15, .field = 15}},
    GutterRow{"phase", {.amount = 15, .field = 15}},
};

// A line's row: how many, the format, how much blend, in what, as what.
constexpr std::size_t kLineFormat = 4;
constexpr std::size_t kLineLoad = 29;
constexpr std::size_t kLineIn = 45;
constexpr std::size_t kLineAs = 66;
constexpr std::size_t kPriceFor = 34;
constexpr std::size_t kPriceRemark = 50;
constexpr std::size_t kBenchRemark = 64;

}  // namespace

Gutters gutters_of(std::string_view kind, std::string_view word) {
    if (kind.data() == word.data()) {
        for (const auto& row : kByKind) {
            if (row.word == kind) return row.gutters;
        }
        return {};
    }
    for (const auto& row : kByField) {
        if (row.word == word) return row.gutters;
    }
    return {};
}

std::size_t amount_atoms(const SyntaxTree& tree, std::span<const Atom> atoms, bool limit) {
    const auto is = [&](std::size_t at, std::string_view word) {
        return at < atoms.size() && atoms[at].kind == AtomKind::word &&
               tree.view(atoms[at]) == word;
    };
    const auto kind = [&](std::size_t at) {
        return at < atoms.size() ? atoms[at].kind : AtomKind::bad;
    };
    std::size_t at = 0;
    if (atoms.empty()) return 0;
    if (atoms[0].kind == AtomKind::word) {
        if (is(0, "rest") || is(0, "none")) return 1;
        if (limit && (is(0, "unlimited") || is(0, "unstated"))) return 1;
        if (!is(0, "up") || !is(1, "to")) return 0;
        at = 2;
    }
    if (kind(at) != AtomKind::number && kind(at) != AtomKind::range) return 0;
    ++at;
    if (kind(at) == AtomKind::percent) {
        ++at;
        // `% w/w`
        if (kind(at) == AtomKind::word && kind(at + 1) == AtomKind::slash) at += 3;
        if (is(at, "of") && kind(at + 1) == AtomKind::word) at += 2;
    } else if (kind(at) == AtomKind::word && at + 1 < atoms.size()) {
        ++at;
        if (kind(at) == AtomKind::slash) at += 2;
    }
    return std::min(at, atoms.size());
}

std::size_t column_of(const SyntaxTree& tree, std::span<const Atom> atoms, std::size_t at,
                      bool last_item, Block block) {
    const Atom& atom = atoms[at];
    const bool remark = last_item && at + 1 == atoms.size() && atom.kind == AtomKind::string;
    switch (block) {
        case Block::line: {
            if (atoms[0].kind != AtomKind::number) return 0;
            if (at == 1) return kLineFormat;
            if (atom.kind != AtomKind::word) return 0;
            const auto word = tree.view(atom);
            if (word == "at" || word == "using" || word == "between" || word == "up")
                return kLineLoad;
            if (word == "in") return kLineIn;
            if (word == "as") return kLineAs;
            return 0;
        }
        case Block::prices:
            if (remark) return kPriceRemark;
            return atom.kind == AtomKind::word && tree.view(atom) == "for" ? kPriceFor : 0;
        case Block::bench: return remark ? kBenchRemark : 0;
        default: return 0;
    }
}

}  // namespace scruple::layout
