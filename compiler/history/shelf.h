// The recipes of a collection as one commit has them: their declarations, each parsed once for all commits that share its
// file. Part of history/.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "changes/imprint.h"
#include "git/log.h"

namespace scruple::history {

/// Path below the repository's top to the id of its blob; regular files only.
using Tree = std::map<std::string, std::string>;

/// A file's text and what it declares.
struct Leaf {
    std::shared_ptr<const std::string> text;
    std::vector<changes::Imprint> imprints;
};
/// Files by the id of their blob.
using Leaves = std::unordered_map<std::string, Leaf>;

/// Which files of a tree are recipes of the collection at `folder`, sorted. Where none lies there any more, or yet, those
/// of the whole repository.
std::vector<std::pair<std::string, std::string>> recipes_of(const Tree& tree, const std::string& folder);

struct Shelf {
    std::vector<const changes::Imprint*> declarations;
    std::unordered_map<std::string_view, const changes::Imprint*> by_name;  // what can have a history
    changes::Behind behind;
    bool imports = false;      // of another collection
    bool unreadable = false;   // a piece of it is no declaration
};
Shelf shelf_of(const Tree& tree, const std::string& folder, const Leaves& leaves);

/// The declaration that makes what is called `name`: its own, or the line that it is a product of. Null: there is none.
const changes::Imprint* declaration_of(const Shelf& shelf, std::string_view name);

/// The declarations whose figures belong to the history of one: itself, and of a blend its products, of a product its blend.
std::vector<std::string_view> names_beside(const Shelf& shelf, const changes::Imprint& declaration);

}  // namespace scruple::history
