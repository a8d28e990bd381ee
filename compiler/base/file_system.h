// The library's only way to the disk: an interface with a real and an in-memory implementation.
// Reading takes regular files only, and below a root on request; writing replaces a file whole or leaves it alone.
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/function_ref.h"

namespace scruple {

enum class IoError {
    none,
    not_found,
    not_permitted,
    is_folder,
    not_a_file,   // a device, socket or pipe
    too_large,
    link_loop,
    outside_root,
    no_space,
    exists,
    other,
};

/// Plain words for an IoError, e.g. "no such file or folder".
std::string_view describe(IoError error);

struct ReadResult {
    IoError error = IoError::none;
    std::string text;
    std::string detail;  // the system's own words, for `other`
};

struct WriteResult {
    IoError error = IoError::none;
    std::string detail;
};

/// Takes a text piece by piece.
using TextSink = FunctionRef<void(std::string_view)>;
/// Gives a text piece by piece: called once, with the place that takes the pieces.
using TextMaker = FunctionRef<void(TextSink)>;

enum class EntryKind { file, folder, other, missing };

struct FolderEntry {
    std::string name;
    EntryKind kind = EntryKind::other;  // what a link leads to
    bool is_link = false;
};

struct ListResult {
    IoError error = IoError::none;
    std::vector<FolderEntry> entries;  // sorted by name, bytewise
};

class FileSystem {
public:
    virtual ~FileSystem() = default;

    /// What a path leads to, links followed.
    virtual EntryKind kind(const std::string& path) const = 0;
    /// The path with every link and `..` resolved; empty if it does not exist.
    virtual std::string canonical(const std::string& path) const = 0;
    /// Reads a regular file of at most `max_bytes`. The check is made on the opened file, not on the name.
    virtual ReadResult read(const std::string& path, std::uint64_t max_bytes) const = 0;
    /// As `read`, but `outside_root` if the file, links followed, does not lie below the folder `root`.
    virtual ReadResult read_below(const std::string& root, const std::string& path, std::uint64_t max_bytes) const = 0;
    virtual ListResult list(const std::string& folder) const = 0;
    /// Writes beside the target, flushes, then renames over it; on any error the old file is untouched and
    /// nothing new is left behind. Keeps the mode bits of an existing file; a file that may not be written is refused.
    /// A link is kept, and the file it leads to replaced; a link that leads nowhere is refused. Makes no folders.
    virtual WriteResult write_atomically(const std::string& path, TextMaker make) = 0;
    WriteResult write_atomically(const std::string& path, std::string_view text) {
        return write_atomically(path, TextMaker([&](TextSink sink) { sink(text); }));
    }
    /// Makes the folder and those above it as needed; no error if it is there.
    virtual WriteResult make_folders(const std::string& path) = 0;
};

/// The machine's own file system.
std::unique_ptr<FileSystem> real_file_system();

/// A file system in memory, for tests: path to content, without links. Folders exist where files lie below them, and
/// where they were made; "." and "/" always. Paths are taken in their normal form.
class MemoryFileSystem final : public FileSystem {
public:
    void put(const std::string& path, std::string text);
    void refuse(const std::string& path, IoError error);  // every access to `path` gives `error`
    const std::map<std::string, std::string>& files() const { return files_; }

    EntryKind kind(const std::string& path) const override;
    std::string canonical(const std::string& path) const override;
    ReadResult read(const std::string& path, std::uint64_t max_bytes) const override;
    ReadResult read_below(const std::string& root, const std::string& path, std::uint64_t max_bytes) const override;
    ListResult list(const std::string& folder) const override;
    using FileSystem::write_atomically;
    WriteResult write_atomically(const std::string& path, TextMaker make) override;
    WriteResult make_folders(const std::string& path) override;

private:
    IoError refused(const std::string& path) const;

    std::map<std::string, std::string> files_;
    std::map<std::string, IoError> refused_;
    std::set<std::string> folders_;
};

// Lexical path arithmetic with forward slashes; nothing touches the disk.

/// `name` itself if it is absolute, or if the folder is "" or ".". `..` is kept: what it means depends on links.
std::string path_join(std::string_view folder, std::string_view name);
/// The folder that holds the path: "a/b" gives "a", "a" gives ".", "/a" and "/" give "/".
std::string path_parent(std::string_view path);
/// The last piece: "a/b" and "a/b/" give "b"; empty for "/" and "".
std::string path_name(std::string_view path);
/// Without `.`, doubled slashes and `a/..`; "" becomes ".". Only for paths that hold no links.
std::string path_normal(std::string_view path);
/// Is `path` the folder or below it? Both normal or canonical; piece by piece, so "/ab" is not below "/a".
bool path_is_below(std::string_view path, std::string_view folder);

}  // namespace scruple
