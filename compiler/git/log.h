// The commits of a repository, with the files that each of them changed.
#pragma once

#include <string>
#include <vector>

#include "git/repository.h"

namespace scruple {

struct GitCommit {
    std::string id;
    std::vector<std::string> parents;
    std::string date;     // the author's, as 2026-05-02
    std::string author;
    std::string subject;  // the first paragraph of the message on one line

    struct Change {
        std::string path;  // below the repository's top
        std::string id;    // of the blob that is there now; empty: it is gone
        GitEntryKind kind = GitEntryKind::file;
    };
    std::vector<Change> changes;  // against the first parent; all files, where there is none
};

/// The commits that a revision or a range (`v1.0..main`) reaches, parents before children, in one run of git.
GitFault git_log(const GitRepository& repository, const std::string& revisions, std::vector<GitCommit>& out);

}  // namespace scruple
