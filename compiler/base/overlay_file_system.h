// A file system with one text laid over it, as if it were a file there. Nothing is written.
#pragma once

#include <string>
#include <utility>

#include "base/file_system.h"

namespace scruple {

/// Reads `path` as `text`, and all else from `below`, which must live longer. Every write is refused.
class OverlayFileSystem final : public FileSystem {
public:
    OverlayFileSystem(const FileSystem& below, std::string path, std::string text)
        : below_(below), path_(std::move(path)), text_(std::move(text)) {}

    EntryKind kind(const std::string& path) const override;
    std::string canonical(const std::string& path) const override;
    ReadResult read(const std::string& path, std::uint64_t max_bytes) const override;
    ReadResult read_below(const std::string& root, const std::string& path, std::uint64_t max_bytes) const override;
    ListResult list(const std::string& folder) const override;
    using FileSystem::write_atomically;
    WriteResult write_atomically(const std::string& path, TextMaker make) override;
    WriteResult make_folders(const std::string& path) override;

private:
    const FileSystem& below_;
    std::string path_;
    std::string text_;
};

}  // namespace scruple
