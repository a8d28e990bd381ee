// A repository as git's own program sees it: revisions, the files of one, those of the index, and their texts. Nothing is
// written, and nothing of git's storage is read but through git.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace scruple {

/// A sentence for people, lower case and without a full stop; empty: all went well.
using GitFault = std::string;

enum class GitEntryKind : std::uint8_t { file, link, submodule };

/// A file of a revision or of the index.
struct GitEntry {
    std::string path;  // below the repository's top, as bytes
    std::string id;    // of the blob, or of a submodule's commit
    GitEntryKind kind = GitEntryKind::file;
};

class GitRepository {
public:
    struct Opened;
    /// The repository around a folder or file, bare or not. Where GIT_DIR is set it is that one, as git has it.
    static Opened open(const std::string& path);

    /// The folder under which its files stand: the top of the working tree; for a bare one, the repository's own folder.
    const std::string& top() const { return top_; }
    const std::string& folder() const { return folder_; }  // what git calls the git dir
    bool bare() const { return bare_; }
    bool shallow() const { return shallow_; }

    /// The id of the commit that a revision names (HEAD, main~3, v1.2, an abbreviated id).
    GitFault commit(std::string_view revision, std::string& id) const;
    /// The files of a commit or tree, by path.
    GitFault files(const std::string& id, std::vector<GitEntry>& entries) const;
    /// The files of the index, by path. A file in the middle of a merge is a fault that names it.
    GitFault index(std::vector<GitEntry>& entries) const;

    struct Blob {
        bool found = false;
        std::shared_ptr<const std::string> text;  // none if it is larger than asked for
        std::uint64_t bytes = 0;
    };
    /// Texts by id, in one run of git; what was read before is not read again. Larger ones than `most` are left alone.
    GitFault blobs(const std::vector<std::string>& ids, std::uint64_t most, std::map<std::string, Blob>& out);

    /// Runs git on this repository with these arguments; its output.
    GitFault run(const std::vector<std::string>& arguments, std::string_view input, std::string& output) const;

private:
    std::string top_;
    std::string folder_;
    bool bare_ = false;
    bool shallow_ = false;
    std::map<std::string, Blob> known_;
};

struct GitRepository::Opened {
    GitFault fault;
    std::unique_ptr<GitRepository> repository;
};

}  // namespace scruple
