#include "base/overlay_file_system.h"

#include <algorithm>

namespace scruple {

EntryKind OverlayFileSystem::kind(const std::string& path) const {
    return path == path_ ? EntryKind::file : below_.kind(path);
}

std::string OverlayFileSystem::canonical(const std::string& path) const { return path == path_ ? path_ : below_.canonical(path); }

ReadResult OverlayFileSystem::read(const std::string& path, std::uint64_t max_bytes) const {
    if (path != path_) return below_.read(path, max_bytes);
    if (text_.size() > max_bytes) return {IoError::too_large, {}, {}};
    return {IoError::none, text_, {}};
}

ReadResult OverlayFileSystem::read_below(const std::string& root, const std::string& path, std::uint64_t max_bytes) const {
    if (path != path_) return below_.read_below(root, path, max_bytes);
    return path_is_below(path_, root) ? read(path, max_bytes) : ReadResult{IoError::outside_root, {}, {}};
}

ListResult OverlayFileSystem::list(const std::string& folder) const {
    ListResult out = below_.list(folder);
    if (out.error != IoError::none || folder != path_parent(path_)) return out;
    const FolderEntry entry{path_name(path_), EntryKind::file, false};
    const auto at = std::lower_bound(out.entries.begin(), out.entries.end(), entry,
                                     [](const FolderEntry& a, const FolderEntry& b) { return a.name < b.name; });
    if (at != out.entries.end() && at->name == entry.name) {
        *at = entry;
    } else {
        out.entries.insert(at, entry);
    }
    return out;
}

WriteResult OverlayFileSystem::write_atomically(const std::string&, TextMaker) { return {IoError::not_permitted, {}}; }

WriteResult OverlayFileSystem::make_folders(const std::string&) { return {IoError::not_permitted, {}}; }

}  // namespace scruple
