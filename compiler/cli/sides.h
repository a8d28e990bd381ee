// Where the two sides of a comparison come from: paths, saved documents, revisions of a repository, its index, its working
// tree; and what is meant where one of them, or both, are left out.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "base/file_system.h"
#include "git/tree_file_system.h"

namespace scruple {

struct Side {
    std::string name;             // as people read it: "HEAD", "the working tree", "blends/night.scruple"
    std::string kind;             // "recipes", "document", "revision", "index", "working_tree"
    std::string commit;           // id, of a revision
    const FileSystem* files = nullptr;
    std::string path;             // of the recipe, folder or document, for `files`
    bool nothing = false;         // there is nothing on this side yet: no commit, or no such path in it
    bool stands_alone = true;     // named for itself, so that a path which leads nowhere is a mistake
    std::vector<std::string> submodules;

    bool document() const { return kind == "document"; }
};

struct Sides {
    std::string fault;            // a sentence; nothing else is set then
    bool unreadable = false;      // the fault lies with the repository, not with what was asked
    Side old_side, new_side;
    std::unique_ptr<GitRepository> repository;
    std::vector<std::unique_ptr<FileSystem>> snapshots;  // what the sides look into
};

/// `arguments`: none, one or two of paths, revisions, `REVISION:PATH`, `A..B`, `A...B`. An existing path is a path.
/// None: the last commit against the working tree, or against the index where it is `staged`.
Sides find_sides(const FileSystem& files, const std::vector<std::string>& arguments, bool staged);

/// A saved document, by its name.
bool is_document_path(const std::string& path);

}  // namespace scruple
