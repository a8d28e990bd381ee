#include <algorithm>
#include <utility>

#include "base/file_system.h"

namespace scruple {

namespace {

/// Is there a key at or below the folder?
template <class Map>
bool any_below(const Map& map, const std::string& folder) {
    if (folder == "/" || folder == ".") return true;
    const auto it = map.lower_bound(folder + "/");
    if constexpr (requires { it->first; }) {
        return it != map.end() && it->first.starts_with(folder + "/");
    } else {
        return map.contains(folder) || (it != map.end() && it->starts_with(folder + "/"));
    }
}

}  // namespace

void MemoryFileSystem::put(const std::string& path, std::string text) { files_[path_normal(path)] = std::move(text); }

void MemoryFileSystem::refuse(const std::string& path, IoError error) { refused_[path_normal(path)] = error; }

IoError MemoryFileSystem::refused(const std::string& path) const {
    const auto it = refused_.find(path);
    return it == refused_.end() ? IoError::none : it->second;
}

EntryKind MemoryFileSystem::kind(const std::string& given) const {
    const std::string path = path_normal(given);
    if (files_.contains(path)) return EntryKind::file;
    return any_below(files_, path) || any_below(folders_, path) ? EntryKind::folder : EntryKind::missing;
}

std::string MemoryFileSystem::canonical(const std::string& path) const {
    return kind(path) == EntryKind::missing ? std::string() : path_normal(path);
}

ReadResult MemoryFileSystem::read(const std::string& given, std::uint64_t max_bytes) const {
    const std::string path = path_normal(given);
    if (const IoError error = refused(path); error != IoError::none) return {error, {}, {}};
    const auto it = files_.find(path);
    if (it == files_.end()) {
        return {kind(path) == EntryKind::folder ? IoError::is_folder : IoError::not_found, {}, {}};
    }
    if (it->second.size() > max_bytes) return {IoError::too_large, {}, {}};
    return {IoError::none, it->second, {}};
}

ReadResult MemoryFileSystem::read_below(const std::string& root, const std::string& path,
                                        std::uint64_t max_bytes) const {
    if (!path_is_below(path_normal(path), path_normal(root))) return {IoError::outside_root, {}, {}};
    return read(path, max_bytes);
}

ListResult MemoryFileSystem::list(const std::string& given) const {
    const std::string folder = path_normal(given);
    if (const IoError error = refused(folder); error != IoError::none) return {error, {}};
    if (files_.contains(folder)) return {IoError::not_found, {}};
    if (kind(folder) == EntryKind::missing) return {IoError::not_found, {}};
    std::map<std::string, EntryKind> found;
    const auto see = [&](const std::string& path, EntryKind kind) {
        if (path == folder || !path_is_below(path, folder)) return;
        std::string rest = folder == "." ? path : path.substr(folder == "/" ? 1 : folder.size() + 1);
        const auto slash = rest.find('/');
        if (slash != std::string::npos) kind = EntryKind::folder;
        found.emplace(rest.substr(0, slash), kind);
    };
    for (const auto& [path, text] : files_) see(path, EntryKind::file);
    for (const auto& path : folders_) see(path, EntryKind::folder);
    ListResult out;
    for (const auto& [name, kind] : found) out.entries.push_back({name, kind, false});
    return out;
}

WriteResult MemoryFileSystem::write_atomically(const std::string& given, TextMaker make) {
    const std::string path = path_normal(given);
    if (const IoError error = refused(path); error != IoError::none) return {error, {}};
    if (kind(path) == EntryKind::folder) return {IoError::is_folder, {}};
    if (kind(path_parent(path)) != EntryKind::folder) return {IoError::not_found, {}};
    std::string text;
    make([&](std::string_view piece) { text += piece; });
    files_[path] = std::move(text);
    return {};
}

WriteResult MemoryFileSystem::make_folders(const std::string& given) {
    const std::string path = path_normal(given);
    if (const IoError error = refused(path); error != IoError::none) return {error, {}};
    for (std::string at = path; at != "." && at != "/"; at = path_parent(at)) {
        if (files_.contains(at)) return {IoError::exists, {}};
        if (path_name(at) == "..") break;
    }
    folders_.insert(path);
    return {};
}

}  // namespace scruple
