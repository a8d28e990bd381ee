#include "base/file_system.h"

#include <dirent.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <system_error>
#include <utility>

namespace scruple {

namespace {

/// A file descriptor that is closed whatever happens.
class Descriptor {
public:
    explicit Descriptor(int fd) : fd_(fd) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    ~Descriptor() {
        if (fd_ >= 0) ::close(fd_);
    }
    int get() const { return fd_; }
    bool open() const { return fd_ >= 0; }
    int release() { return std::exchange(fd_, -1); }

private:
    int fd_;
};

IoError from_errno(int code) {
    switch (code) {
        case ENOENT:
        case ENOTDIR: return IoError::not_found;
        case EACCES:
        case EPERM:
        case EROFS: return IoError::not_permitted;
        case EISDIR: return IoError::is_folder;
        case ENXIO:
        case ENODEV: return IoError::not_a_file;
        case ELOOP: return IoError::link_loop;
        case ENOSPC:
        case EDQUOT: return IoError::no_space;
        case EEXIST: return IoError::exists;
        default: return IoError::other;
    }
}

template <class Result>
Result failed(int code) {
    Result out;
    out.error = from_errno(code);
    if (out.error == IoError::other) out.detail = std::generic_category().message(code);
    return out;
}

/// The system reads a path up to its first NUL, which would be another path than the one that was checked.
bool has_nul(const std::string& path) { return path.find('\0') != std::string::npos; }

template <class Call>
auto again_if_interrupted(Call call) {
    auto result = call();
    while (result == -1 && errno == EINTR) result = call();
    return result;
}

EntryKind kind_of(mode_t mode) {
    return S_ISREG(mode) ? EntryKind::file : S_ISDIR(mode) ? EntryKind::folder : EntryKind::other;
}

IoError wrong_kind(mode_t mode) {
    return S_ISREG(mode) ? IoError::none : S_ISDIR(mode) ? IoError::is_folder : IoError::not_a_file;
}

/// The rest of an opened file, which may have grown since it was looked at, or hide its size.
ReadResult read_all(int fd, std::uint64_t expected, std::uint64_t max_bytes) {
    constexpr std::uint64_t kStep = 64u << 10;
    ReadResult out;
    std::uint64_t have = 0;
    for (;;) {
        // One byte more than expected: a read of nothing then says that this was all.
        const std::uint64_t room = have <= expected ? expected - have + 1 : kStep;
        const std::uint64_t most = max_bytes - have;  // one byte beyond it is enough to know
        const auto want = static_cast<std::size_t>(most < room ? most + 1 : room);
        out.text.resize(static_cast<std::size_t>(have) + want);
        const auto got = again_if_interrupted([&] { return ::read(fd, out.text.data() + have, want); });
        if (got < 0) return failed<ReadResult>(errno);
        have += static_cast<std::uint64_t>(got);
        if (have > max_bytes) return {IoError::too_large, {}, {}};
        if (got == 0) break;
    }
    out.text.resize(static_cast<std::size_t>(have));
    return out;
}

class RealFileSystem final : public FileSystem {
public:
    EntryKind kind(const std::string& path) const override {
        struct stat found {};
        if (has_nul(path) || ::stat(path.c_str(), &found) != 0) return EntryKind::missing;
        return kind_of(found.st_mode);
    }

    std::string canonical(const std::string& path) const override {
        if (has_nul(path)) return {};
        char* const real = ::realpath(path.c_str(), nullptr);
        std::string out = real ? real : "";
        ::free(real);
        return out;
    }

    ReadResult read(const std::string& path, std::uint64_t max_bytes) const override {
        return read_opened(path, max_bytes, nullptr);
    }

    ReadResult read_below(const std::string& root, const std::string& path, std::uint64_t max_bytes) const override {
        return read_opened(path, max_bytes, &root);
    }

    ListResult list(const std::string& folder) const override;
    using FileSystem::write_atomically;
    WriteResult write_atomically(const std::string& path, TextMaker make) override;
    WriteResult make_folders(const std::string& path) override;

private:
    ReadResult read_opened(const std::string& path, std::uint64_t max_bytes, const std::string* root) const {
        if (has_nul(path)) return {IoError::not_found, {}, {}};
        // Not blocking, or opening a pipe that nobody writes to would wait for ever.
        const Descriptor file(again_if_interrupted(
            [&] { return ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY); }));
        if (!file.open()) return failed<ReadResult>(errno);
        struct stat opened {};
        if (::fstat(file.get(), &opened) != 0) return failed<ReadResult>(errno);
        if (const IoError error = wrong_kind(opened.st_mode); error != IoError::none) return {error, {}, {}};
        if (root && !lies_below(*root, path, opened)) return {IoError::outside_root, {}, {}};
        const auto size = static_cast<std::uint64_t>(std::max<off_t>(opened.st_size, 0));
        if (size > max_bytes) return {IoError::too_large, {}, {}};
        return read_all(file.get(), size, max_bytes);
    }

    /// Is the opened file the one found below the root? A link that was turned in between is another file.
    bool lies_below(const std::string& root, const std::string& path, const struct stat& opened) const {
        const std::string real_root = canonical(root);
        const std::string real = canonical(path);
        struct stat found {};
        return !real_root.empty() && !real.empty() && path_is_below(real, real_root) &&
               ::lstat(real.c_str(), &found) == 0 && found.st_dev == opened.st_dev && found.st_ino == opened.st_ino;
    }
};

ListResult RealFileSystem::list(const std::string& folder) const {
    ListResult out;
    if (has_nul(folder)) return {IoError::not_found, {}};
    const char* const name = folder.empty() ? "." : folder.c_str();
    Descriptor opened(again_if_interrupted([&] { return ::open(name, O_RDONLY | O_DIRECTORY | O_CLOEXEC); }));
    if (!opened.open()) return {from_errno(errno), {}};
    DIR* const stream = ::fdopendir(opened.get());
    if (!stream) return {from_errno(errno), {}};
    opened.release();  // the stream closes it
    for (;;) {
        errno = 0;
        const dirent* const found = ::readdir(stream);
        if (!found) {
            if (errno != 0) out = {from_errno(errno), {}};
            break;
        }
        FolderEntry entry;
        entry.name = found->d_name;
        if (entry.name == "." || entry.name == "..") continue;
        struct stat state {};
        if (::fstatat(::dirfd(stream), found->d_name, &state, AT_SYMLINK_NOFOLLOW) != 0) {
            entry.kind = EntryKind::missing;
        } else if (S_ISLNK(state.st_mode)) {
            entry.is_link = true;
            entry.kind = ::fstatat(::dirfd(stream), found->d_name, &state, 0) == 0 ? kind_of(state.st_mode)
                                                                                    : EntryKind::missing;
        } else {
            entry.kind = kind_of(state.st_mode);
        }
        out.entries.push_back(std::move(entry));
    }
    ::closedir(stream);
    std::sort(out.entries.begin(), out.entries.end(),
              [](const FolderEntry& a, const FolderEntry& b) { return a.name < b.name; });
    return out;
}

/// A new file beside the target, taken away again unless it was renamed.
class Draft {
public:
    Draft(int folder, mode_t mode) : folder_(folder), file_(-1) {
        static std::atomic<unsigned> serial{0};
        for (int attempt = 0; attempt < 100; ++attempt) {
            name_ = ".scruple-" + std::to_string(::getpid()) + "-" + std::to_string(serial++) + ".tmp";
            file_ = again_if_interrupted([&] {
                return ::openat(folder_, name_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, mode);
            });
            if (file_ >= 0 || errno != EEXIST) return;
        }
    }
    Draft(const Draft&) = delete;
    Draft& operator=(const Draft&) = delete;
    ~Draft() {
        const int code = errno;  // callers still want it
        if (file_ >= 0) {
            if (!closed_) ::close(file_);
            if (!renamed_) ::unlinkat(folder_, name_.c_str(), 0);
        }
        errno = code;
    }

    bool open() const { return file_ >= 0; }

    /// The mode bits of the file it replaces, and its owner if we may give it away. Set-id bits only with the owner.
    bool take_after(const struct stat& old) {
        mode_t mode = old.st_mode & 07777;
        struct stat mine {};
        if (::fstat(file_, &mine) != 0) return false;
        if ((mine.st_uid != old.st_uid || mine.st_gid != old.st_gid) &&
            ::fchown(file_, old.st_uid, old.st_gid) != 0) {
            mode &= 0777;
        }
        return ::fchmod(file_, mode) == 0;
    }

    bool write(std::string_view text) {
        while (!text.empty()) {
            const auto done = again_if_interrupted([&] { return ::write(file_, text.data(), text.size()); });
            if (done < 0) return false;
            text.remove_prefix(static_cast<std::size_t>(done));
        }
        return true;
    }

    bool flush() {
        return again_if_interrupted([&] { return ::fsync(file_); }) == 0;
    }

    bool rename_to(const std::string& name) {
        closed_ = true;  // after an error the descriptor is gone too
        if (::close(file_) != 0 && errno != EINTR) return false;
        if (::renameat(folder_, name_.c_str(), folder_, name.c_str()) != 0) return false;
        renamed_ = true;
        return true;
    }

private:
    int folder_;
    int file_;
    std::string name_;
    bool closed_ = false;
    bool renamed_ = false;
};

WriteResult RealFileSystem::write_atomically(const std::string& given, TextMaker make) {
    if (has_nul(given) || given.empty()) return {IoError::not_found, {}};
    std::string path = given;
    struct stat old {};
    const bool is_new = ::lstat(path.c_str(), &old) != 0;
    if (is_new && errno != ENOENT) return failed<WriteResult>(errno);
    if (!is_new && S_ISLNK(old.st_mode)) {
        if (::stat(path.c_str(), &old) != 0) return failed<WriteResult>(errno);
        path = canonical(path);
        if (path.empty()) return failed<WriteResult>(errno);
    }
    if (!is_new) {
        if (const IoError error = wrong_kind(old.st_mode); error != IoError::none) return {error, {}};
        if (::access(path.c_str(), W_OK) != 0) return failed<WriteResult>(errno);
    }
    const std::string name = path_name(path);
    if (path.ends_with('/') || name.empty() || name == "." || name == "..") return {IoError::is_folder, {}};

    // Everything below goes by the opened folder, so a link turned in between cannot lead elsewhere.
    const Descriptor folder(again_if_interrupted(
        [&] { return ::open(path_parent(path).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC); }));
    if (!folder.open()) return failed<WriteResult>(errno);
    Draft draft(folder.get(), is_new ? 0666 : 0600);
    if (!draft.open()) return failed<WriteResult>(errno);
    if (!is_new && !draft.take_after(old)) return failed<WriteResult>(errno);
    int error = 0;  // of the first piece that could not be written
    make([&](std::string_view piece) {
        if (error == 0 && !draft.write(piece)) error = errno;
    });
    if (error != 0) return failed<WriteResult>(error);
    if (!draft.flush() || !draft.rename_to(name)) return failed<WriteResult>(errno);
    // The new file stands; a file system that cannot flush a folder is no reason to call the write failed.
    (void)again_if_interrupted([&] { return ::fsync(folder.get()); });
    return {};
}

WriteResult RealFileSystem::make_folders(const std::string& path) {
    if (has_nul(path)) return {IoError::not_found, {}};
    if (path.empty()) return {};
    for (std::size_t at = path.find_first_not_of('/'); at < path.size();) {
        at = std::min(path.find('/', at), path.size());
        const std::string part = path.substr(0, at);
        if (::mkdir(part.c_str(), 0777) != 0) {
            const int code = errno;
            const EntryKind there = kind(part);
            if (there == EntryKind::missing) return failed<WriteResult>(code);
            if (there != EntryKind::folder) return {IoError::exists, {}};
        }
        at = path.find_first_not_of('/', at);
    }
    return {};
}

}  // namespace

std::unique_ptr<FileSystem> real_file_system() { return std::make_unique<RealFileSystem>(); }

}  // namespace scruple
