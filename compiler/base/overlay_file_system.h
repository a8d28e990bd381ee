// A file system with one file's text replaced, for trying what a change would mean before it is written.
#pragma once

#include <string>

#include "base/file_system.h"

namespace scruple {

class OverlayFileSystem final : public FileSystem {
public:
    /// `path` as the file system below knows it (canonical where it exists). Nothing is ever written.
    OverlayFileSystem(const FileSystem& below, std::string path, std::string text)
        : below_(below), path_(std::move(path)), text_(std::move(text)) {}

    EntryKind kind(const std::string& path) const override { return path == path_ ? EntryKind::file : below_.kind(path); }
    std::string canonical(const std::string& path) const override { return path == path_ ? path : below_.canonical(path); }
    ReadResult read(const std::string& path, std::uint64_t max_bytes) const override;
    ReadResult read_below(const std::string& root, const std::string& path, std::uint64_t max_bytes) const override;
    ListResult list(const std::string& folder) const override;
    WriteResult write_atomically(const std::string& path, TextMaker make) override;
    WriteResult make_folders(const std::string& path) override;

private:
    ReadResult own(std::uint64_t max_bytes) const;

    const FileSystem& below_;
    std::string path_;
    std::string text_;
};

}  // namespace scruple
