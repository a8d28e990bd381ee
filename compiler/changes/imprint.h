// Declarations by what they say, so that two versions can be compared before anything is worked out: what says the same,
// and mentions only what says the same, comes out the same. Layout and `#` comments say nothing.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <utility>
#include <vector>

#include "base/text_hash.h"
#include "emit/document.h"
#include "syntax/tree.h"

namespace scruple::changes {

struct Imprint {
    std::string_view kind;                // its first word; empty where the text could not be read
    std::string_view name;                // empty for kinds without one
    std::string_view text;                // all of it, with the comments above
    std::string digest;                   // of its words, numbers and texts in their order: SHA-256, or they themselves
    std::string nameless;                 // the same without its name, where that was asked for
    std::vector<std::string_view> words;  // every word in it, parts of dotted names by themselves; perhaps more than once
};

/// Those of a file, in order. They look into the tree's text.
std::vector<Imprint> imprints(const SyntaxTree& tree, bool nameless = false);

/// A file of a collection, or of one that it imports.
struct FileTree {
    const SyntaxTree* tree = nullptr;
    bool imported = false;
};
/// Those of two versions, to be compared with each other and with nothing else: what is the same letter by letter has no
/// digest on either side, and words on the first only. Imports have no names, since what they say may hold for anything.
std::pair<std::vector<Imprint>, std::vector<Imprint>> imprints(const std::vector<FileTree>& before, const std::vector<FileTree>& after);

/// What may come out differently in two versions.
struct Reach {
    Wanted for_all = Wanted::nothing();        // of whatever is declared: what changed holds for all, as rules, prices and the workshop do
    std::unordered_set<std::string, TextHash, std::equal_to<>> names;  // declarations that changed, and those that mention them, through others

    /// Of the blends and products that a declaration makes.
    Wanted of(std::string_view name) const { return names.contains(name) ? Wanted{} : for_all; }
};

/// How far the difference between the declarations of two versions reaches. Wide of the truth at worst: an order that
/// means nothing counts as a change here.
Reach reach_of(const std::vector<Imprint>& before, const std::vector<Imprint>& after);

/// What declarations rest on, found by the names that they mention. The imprints must outlive it.
class Behind {
public:
    Behind() = default;
    explicit Behind(const std::vector<const Imprint*>& all);

    /// The declarations of these names and all that is behind them, in order of their names. `and_all`: with what holds for
    /// everything, and what that mentions.
    std::vector<const Imprint*> find(const std::vector<std::string_view>& names, bool and_all) const;
    /// Two versions in which it is the same give the same figures for the names; without `and_all`, the same ratio.
    std::string digest(const std::vector<std::string_view>& names, bool and_all) const;

private:
    std::unordered_map<std::string_view, std::vector<const Imprint*>> by_name_;
    std::vector<const Imprint*> for_all_;
};

}  // namespace scruple::changes
