#include "layout/clauses.h"

#include <algorithm>
#include <array>
#include <string_view>

namespace scruple::layout {
namespace {

struct Clause {
    std::string_view word;
    std::uint8_t rank;
};

constexpr std::array kOfHeaders = {
    Clause{"like", 1}, Clause{"of", 2},     Clause{"under", 3}, Clause{"from", 4},
    Clause{"at", 5},   Clause{"taking", 6}, Clause{"on", 7},
};
constexpr std::array kOfLines = {
    Clause{"at", 1}, Clause{"using", 1}, Clause{"between", 1}, Clause{"up", 1},
    Clause{"in", 2}, Clause{"as", 3},
};
constexpr std::array kOfWaivers = {
    Clause{"under", 1}, Clause{"to", 2}, Clause{"because", 3}, Clause{"until", 4},
};

struct Run {
    std::uint32_t first;
    std::uint32_t rank;
};

}  // namespace

bool clause_order(const SyntaxTree& tree, std::span<const Atom> atoms, bool top, Block block,
                  std::vector<std::uint32_t>& order) {
    if (atoms.size() < 5) return false;
    std::span<const Clause> clauses;
    std::uint32_t at = 2;  // behind kind and name, how many and the format
    if (top) {
        clauses = kOfHeaders;
    } else if (block == Block::line && atoms[0].kind == AtomKind::number) {
        clauses = kOfLines;
    } else if (atoms[0].kind == AtomKind::word && tree.view(atoms[0]) == "accept") {
        clauses = kOfWaivers;
    } else {
        return false;
    }
    std::array<Run, 8> runs{};
    std::size_t count = 0;
    std::uint32_t seen = 0;
    bool sorted = true;
    for (; at < atoms.size(); ++at) {
        if (atoms[at].kind != AtomKind::word) continue;
        const auto word = tree.view(atoms[at]);
        const auto found = std::find_if(clauses.begin(), clauses.end(),
                                        [&](const Clause& c) { return c.word == word; });
        if (found == clauses.end()) continue;
        if ((seen >> found->rank & 1u) != 0 || count == runs.size()) return false;  // said twice
        seen |= 1u << found->rank;
        if (count > 0 && found->rank < runs[count - 1].rank) sorted = false;
        runs[count++] = {at, found->rank};
        ++at;  // what follows is its value, whatever it looks like
    }
    if (sorted) return false;
    order.clear();
    for (std::uint32_t i = 0; i < runs[0].first; ++i) order.push_back(i);
    std::array<std::size_t, 8> by_rank{};
    for (std::size_t i = 0; i < count; ++i) by_rank[i] = i;
    std::sort(by_rank.begin(), by_rank.begin() + static_cast<std::ptrdiff_t>(count),
              [&](std::size_t a, std::size_t b) { return runs[a].rank < runs[b].rank; });
    for (std::size_t i = 0; i < count; ++i) {
        const std::size_t run = by_rank[i];
        const auto end = run + 1 < count ? runs[run + 1].first
                                         : static_cast<std::uint32_t>(atoms.size());
        for (std::uint32_t a = runs[run].first; a < end; ++a) order.push_back(a);
    }
    return true;
}

}  // namespace scruple::layout
