// The commits of a repository with the recipes that each has: every file is read and parsed once, and commits that changed
// no recipe share what the one before them had. Part of history/.
#pragma once

#include <memory>
#include <string>
#include <unordered_map>
#include <vector>

#include "git/log.h"
#include "history/shelf.h"
#include "history/version.h"

namespace scruple::history {

class Walk {
public:
    Walk(GitRepository& repository, std::string folder) : repository_(repository), folder_(std::move(folder)) {}

    struct Node {
        const GitCommit* commit = nullptr;
        std::vector<std::size_t> parents;  // of those that were read
    };
    std::vector<Node> nodes;  // parents before children

    /// Reads the commits into `commits`, which must outlive the walk's use.
    GitFault read(const std::string& revisions, std::vector<GitCommit>& commits);

    const Shelf& shelf(std::size_t node) const { return *shelves_[node]; }
    const std::string& digest_of_tree(std::size_t node);
    Version compile_at(std::size_t node, const changes::Imprint& declaration, std::string_view unit, const std::string& on);
    /// Fingerprints of blends by name, where their ratio is known.
    std::map<std::string, std::string> fingerprints_at(std::size_t node, const std::vector<std::string_view>& names);
    /// What keeps the recipes of a commit from being read.
    std::vector<std::string> errors_at(std::size_t node);

private:
    GitFault read_leaves();

    GitRepository& repository_;
    std::string folder_;
    std::vector<std::shared_ptr<const Tree>> trees_;      // by node
    std::vector<std::shared_ptr<const Shelf>> shelves_;   // by node
    Leaves leaves_;
    std::unordered_map<const Tree*, std::string> tree_digests_;
};

}  // namespace scruple::history
