// Declarations by what they say, so that two versions can be compared before anything is worked out: what says the same,
// and mentions only what says the same, comes out the same. Layout and `#` comments say nothing.
#pragma once

#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "syntax/tree.h"

namespace scruple::changes {

struct Imprint {
    std::string_view kind;                // its first word; empty where the text could not be read
    std::string_view name;                // empty for kinds without one
    std::string digest;                   // SHA-256 of its words, numbers and texts in their order
    std::vector<std::string_view> words;  // every word in it, parts of dotted names by themselves
};

/// Those of a file, in order. They look into the tree's text.
std::vector<Imprint> imprints(const SyntaxTree& tree);

/// What may come out differently in two versions.
struct Reach {
    bool everything = false;                       // what changed holds for all: rules, prices, the workshop, imports
    std::set<std::string, std::less<>> names;      // declarations that changed, and those that mention them, through others

    bool holds(std::string_view name) const { return everything || names.contains(name); }
};

/// How far the difference between the declarations of two versions reaches. Wide of the truth at worst: an order that
/// means nothing counts as a change here.
Reach reach_of(const std::vector<Imprint>& before, const std::vector<Imprint>& after);

/// What declarations of these names rest on, by digest: two versions in which it is the same give the same figures for
/// them.
std::string digest_of_all_behind(const std::vector<Imprint>& all, const std::vector<std::string_view>& names);

}  // namespace scruple::changes
