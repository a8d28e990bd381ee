#include "base/overlay_file_system.h"

#include <algorithm>

namespace scruple {

ReadResult OverlayFileSystem::own(std::uint64_t max_bytes) const {
    ReadResult result;
    if (text_.size() > max_bytes) {
        result.error = IoError::too_large;
    } else {
        result.text = text_;
    }
    return result;
}

ReadResult OverlayFileSystem::read(const std::string& path, std::uint64_t max_bytes) const {
    return path == path_ ? own(max_bytes) : below_.read(path, max_bytes);
}

ReadResult OverlayFileSystem::read_below(const std::string& root, const std::string& path, std::uint64_t max_bytes) const {
    return path == path_ ? own(max_bytes) : below_.read_below(root, path, max_bytes);
}

ListResult OverlayFileSystem::list(const std::string& folder) const {
    ListResult result = below_.list(folder);
    if (result.error != IoError::none || folder != path_parent(path_)) return result;
    const std::string name = path_name(path_);
    auto& entries = result.entries;
    const auto at = std::lower_bound(entries.begin(), entries.end(), name,
                                     [](const FolderEntry& e, const std::string& n) { return e.name < n; });
    if (at == entries.end() || at->name != name) entries.insert(at, {name, EntryKind::file, false});
    return result;
}

WriteResult OverlayFileSystem::write_atomically(const std::string&, TextMaker) { return {IoError::not_permitted, {}}; }

WriteResult OverlayFileSystem::make_folders(const std::string&) { return {IoError::not_permitted, {}}; }

}  // namespace scruple
