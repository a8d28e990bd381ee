// From paths on a command line to the files of collections: which root, which files, which imports. Reads and parses;
// knows nothing of what the rows mean but `use`.
#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "base/file_system.h"
#include "base/limits.h"
#include "base/source.h"
#include "diag/diagnostic.h"
#include "syntax/tree.h"

namespace scruple {

/// One collection to compile, and the paths that were asked for (empty: all of it).
struct CollectionPlan {
    std::string root;                     // folder as the file system knows it
    std::vector<std::string> selected;    // canonical files or folders below the root
    std::vector<std::string> alone;       // with --alone: just these files, no collection around them
};

/// Finds the collections that the paths name: the one around each path, and those nested below a folder.
/// Paths that lead nowhere are reported.
std::vector<CollectionPlan> find_collections(const FileSystem& files, const std::vector<std::string>& paths,
                                             bool alone, const ResourceLimits& limits, Bag& bag);

/// A scope: the collection itself (0) or an imported one.
struct CollectionScope {
    std::string root;
    std::map<std::string, std::uint32_t, std::less<>> imports;  // alias to scope
};

struct CollectionFile {
    FileId id = FileId::none;
    std::uint32_t scope = 0;
    std::string path;        // for the file system
    bool selected = true;
    SyntaxTree tree;
};

struct Collection {
    std::string name;        // the root folder's own name
    std::string root;
    std::vector<CollectionScope> scopes;
    std::deque<CollectionFile> files;
};

/// Reads and parses every file of a plan and of what it imports. Independent files are parsed on all cores; the result
/// does not depend on how many there are.
Collection load_collection(const FileSystem& files, const CollectionPlan& plan, const ResourceLimits& limits,
                           SourceMap& sources, Bag& bag);

}  // namespace scruple
