#include "git/tree_file_system.h"

#include <algorithm>
#include <map>
#include <mutex>
#include <utility>

namespace scruple {
namespace {

constexpr int kMostLinks = 40;  // as many as the system follows
constexpr std::uint64_t kLinkBytes = 4096;

class GitTreeFileSystem final : public FileSystem {
public:
    GitTreeFileSystem(GitRepository& repository, std::vector<GitEntry> entries)
        : repository_(repository), top_(repository.top()), entries_(std::move(entries)) {
        for (std::size_t i = 0; i < entries_.size(); ++i) {
            const std::string& path = entries_[i].path;
            std::string folder;
            for (std::size_t from = 0;;) {
                const auto slash = path.find('/', from);
                auto& inside = folders_[folder];
                const std::string name = path.substr(from, slash == std::string::npos ? slash : slash - from);
                if (slash == std::string::npos) {
                    inside[name] = i;
                    break;
                }
                inside.emplace(name, kFolder);
                folder = path.substr(0, slash);
                from = slash + 1;
            }
        }
        folders_[""];  // also of an empty tree
    }

    EntryKind kind(const std::string& path) const override {
        const std::lock_guard lock(reading_);
        return kind_of(find(path));
    }

    std::string canonical(const std::string& path) const override {
        const std::lock_guard lock(reading_);
        const auto found = find(path);
        return found.what == Found::nothing ? std::string{} : found.path;
    }

    ReadResult read(const std::string& path, std::uint64_t max_bytes) const override {
        const std::lock_guard lock(reading_);
        return read_found(find(path), max_bytes);
    }

    ReadResult read_below(const std::string& root, const std::string& path, std::uint64_t max_bytes) const override {
        const std::lock_guard lock(reading_);
        const auto found = find(path);
        const auto around = find(root);
        const bool below = around.what == Found::folder && path_is_below(found.path, around.path);
        if (found.what == Found::entry && !below) return {IoError::outside_root, {}, {}};
        return read_found(found, max_bytes);
    }

    ListResult list(const std::string& folder) const override {
        const std::lock_guard lock(reading_);
        const auto found = find(folder);
        if (found.what == Found::entry) return {IoError::not_a_file, {}};
        if (found.what != Found::folder) return {IoError::not_found, {}};
        ListResult out;
        const auto inside = path_is_below(found.path, top_) ? folders_.find(inner(found.path)) : folders_.end();
        if (inside == folders_.end()) return out;
        for (const auto& [name, entry] : inside->second) {
            FolderEntry e;
            e.name = name;
            e.is_link = entry != kFolder && entries_[entry].kind == GitEntryKind::link;
            e.kind = e.is_link ? kind_of(find(path_join(found.path, name))) : entry == kFolder ? EntryKind::folder : kind_of_entry(entry);
            out.entries.push_back(std::move(e));
        }
        return out;
    }

    using FileSystem::write_atomically;
    WriteResult write_atomically(const std::string&, TextMaker) override { return {IoError::not_permitted, {}}; }
    WriteResult make_folders(const std::string&) override { return {IoError::not_permitted, {}}; }

private:
    static constexpr std::size_t kFolder = static_cast<std::size_t>(-1);

    struct Found {
        enum What { nothing, folder, entry, outside, loop } what = nothing;
        std::string path;  // with every link resolved
        std::size_t index = 0;
    };

    EntryKind kind_of_entry(std::size_t i) const {
        return entries_[i].kind == GitEntryKind::file ? EntryKind::file : EntryKind::other;
    }
    EntryKind kind_of(const Found& found) const {
        switch (found.what) {
            case Found::folder: return EntryKind::folder;
            case Found::entry: return kind_of_entry(found.index);
            case Found::outside: return EntryKind::other;
            case Found::nothing:
            case Found::loop: break;
        }
        return EntryKind::missing;
    }

    /// A path below the top as git has it.
    std::string inner(const std::string& path) const {
        return path == top_ ? std::string{} : path.substr(top_ == "/" ? 1 : top_.size() + 1);
    }

    /// Walks piece by piece, since what `..` means after a link depends on the link.
    Found find(const std::string& given) const {
        std::string rest = given.starts_with('/') ? given : path_join(top_, given);
        std::string at = "/";
        int links = 0;
        bool is_entry = false;
        std::size_t index = 0;
        while (!rest.empty()) {
            const auto slash = rest.find('/');
            const std::string piece = rest.substr(0, slash);
            rest = slash == std::string::npos ? std::string{} : rest.substr(slash + 1);
            if (piece.empty() || piece == ".") continue;
            if (is_entry) return {};  // a file holds nothing
            if (piece == "..") {
                at = path_parent(at);
                continue;
            }
            const std::string next = path_join(at, piece);
            if (!path_is_below(next, top_)) {
                if (!path_is_below(top_, next)) return {links > 0 ? Found::outside : Found::nothing, next, 0};
                at = next;
                continue;
            }
            if (next == top_) {
                at = next;
                continue;
            }
            const auto inside = folders_.find(inner(at));
            // What says where a repository begins is in no revision, and is asked for.
            if (at == top_ && piece == ".git") {
                at = next;
                if (rest.empty()) return {Found::folder, next, 0};
                return {};
            }
            if (inside == folders_.end()) return {};
            const auto found = inside->second.find(piece);
            if (found == inside->second.end()) return {};
            if (found->second == kFolder) {
                at = next;
                continue;
            }
            if (entries_[found->second].kind == GitEntryKind::link) {
                if (++links > kMostLinks) return {Found::loop, next, 0};
                const auto target = text_of(found->second, kLinkBytes);
                if (!target.text) return {};
                rest = rest.empty() ? *target.text : *target.text + "/" + rest;
                if (target.text->starts_with('/')) at = "/";
                continue;
            }
            at = next;
            is_entry = true;
            index = found->second;
        }
        return {is_entry ? Found::entry : Found::folder, at, index};
    }

    struct Text {
        std::shared_ptr<const std::string> text;
        bool too_large = false;
        GitFault fault;
    };

    Text text_of(std::size_t index, std::uint64_t most) const {
        const std::string& id = entries_[index].id;
        auto found = texts_.find(id);
        if (found == texts_.end() || (found->second.found && !found->second.text && found->second.bytes <= most)) {
            std::vector<std::string> wanted = {id};
            if (!recipes_read_ && entries_[index].path.ends_with(".scruple")) {
                recipes_read_ = true;
                for (const auto& e : entries_) {
                    if (e.kind == GitEntryKind::file && e.path.ends_with(".scruple")) wanted.push_back(e.id);
                }
            }
            if (auto fault = repository_.blobs(wanted, most, texts_); !fault.empty()) return {nullptr, false, std::move(fault)};
            found = texts_.find(id);
        }
        const auto& blob = found->second;
        if (!blob.found) return {nullptr, false, "git has no text of it"};
        if (!blob.text || blob.text->size() > most) return {nullptr, true, {}};
        return {blob.text, false, {}};
    }

    ReadResult read_found(const Found& found, std::uint64_t max_bytes) const {
        switch (found.what) {
            case Found::nothing: return {IoError::not_found, {}, {}};
            case Found::loop: return {IoError::link_loop, {}, {}};
            case Found::outside: return {IoError::outside_root, {}, {}};
            case Found::folder: return {IoError::is_folder, {}, {}};
            case Found::entry: break;
        }
        if (entries_[found.index].kind != GitEntryKind::file) return {IoError::not_a_file, {}, {}};
        auto got = text_of(found.index, max_bytes);
        if (got.too_large) return {IoError::too_large, {}, {}};
        if (!got.text) return {IoError::other, {}, std::move(got.fault)};
        return {IoError::none, *got.text, {}};
    }

    GitRepository& repository_;
    std::string top_;
    std::vector<GitEntry> entries_;
    std::map<std::string, std::map<std::string, std::size_t>> folders_;  // by path below the top; name to entry or kFolder
    mutable std::mutex reading_;
    mutable std::map<std::string, GitRepository::Blob> texts_;
    mutable bool recipes_read_ = false;
};

GitSnapshot snapshot_of(GitRepository& repository, std::string commit, std::vector<GitEntry> entries) {
    GitSnapshot out;
    out.commit = std::move(commit);
    for (const auto& e : entries) {
        if (e.kind == GitEntryKind::submodule) out.submodules.push_back(e.path);
    }
    out.files = git_file_system(repository, std::move(entries));
    return out;
}

GitSnapshot no_snapshot(GitFault fault) {
    GitSnapshot out;
    out.fault = std::move(fault);
    return out;
}

}  // namespace

std::unique_ptr<FileSystem> git_file_system(GitRepository& repository, std::vector<GitEntry> entries) {
    return std::make_unique<GitTreeFileSystem>(repository, std::move(entries));
}

GitSnapshot git_snapshot(GitRepository& repository, std::string_view revision) {
    std::string id;
    std::vector<GitEntry> entries;
    if (auto fault = repository.commit(revision, id); !fault.empty()) return no_snapshot(std::move(fault));
    if (auto fault = repository.files(id, entries); !fault.empty()) return no_snapshot(std::move(fault));
    return snapshot_of(repository, std::move(id), std::move(entries));
}

GitSnapshot git_index_snapshot(GitRepository& repository) {
    std::vector<GitEntry> entries;
    if (auto fault = repository.index(entries); !fault.empty()) return no_snapshot(std::move(fault));
    return snapshot_of(repository, {}, std::move(entries));
}

}  // namespace scruple
