// The files of a revision, or of the index, as a file system: at the paths that they have, or would have, in the working
// tree. Read only. Paths are taken below the top as git names it, so what leads there through a link elsewhere is to be made
// canonical first. Links are followed inside the repository; one that leads out of it leads nowhere, and submodules hold
// nothing.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/file_system.h"
#include "git/repository.h"

namespace scruple {

/// One state of a repository's files.
struct GitSnapshot {
    GitFault fault;                        // if it could not be had, nothing else is set
    std::string commit;                    // its id; empty for the index
    std::unique_ptr<FileSystem> files;
    std::vector<std::string> submodules;   // below the top; their files are not read
};

/// The repository must live longer than what is read from the snapshot.
GitSnapshot git_snapshot(GitRepository& repository, std::string_view revision);
GitSnapshot git_index_snapshot(GitRepository& repository);

/// The same over entries that are at hand, sorted by path. Recipes are read together, in one run of git, when the first is
/// asked for.
std::unique_ptr<FileSystem> git_file_system(GitRepository& repository, std::vector<GitEntry> entries);

}  // namespace scruple
