#include <string>
#include <string_view>
#include <vector>

#include "base/file_system.h"

namespace scruple {

std::string_view describe(IoError error) {
    switch (error) {
        case IoError::none: return "no error";
        case IoError::not_found: return "no such file or folder";
        case IoError::not_permitted: return "not permitted";
        case IoError::is_folder: return "it is a folder";
        case IoError::not_a_file: return "it is a device, pipe or socket, not a file";
        case IoError::too_large: return "the file is too large";
        case IoError::link_loop: return "links that lead in a circle";
        case IoError::outside_root: return "it lies outside the root";
        case IoError::no_space: return "no space left on the disk";
        case IoError::exists: return "something else of that name exists";
        case IoError::other: return "the system refused it";
    }
    return "the system refused it";
}

std::string path_join(std::string_view folder, std::string_view name) {
    if (folder.empty() || folder == "." || name.starts_with('/')) return std::string(name);
    std::string out(folder);
    if (!out.ends_with('/')) out += '/';
    out += name;
    return out;
}

namespace {

std::string_view without_trailing_slashes(std::string_view path) {
    while (path.size() > 1 && path.ends_with('/')) path.remove_suffix(1);
    return path;
}

}  // namespace

std::string path_parent(std::string_view path) {
    path = without_trailing_slashes(path);
    const auto slash = path.rfind('/');
    if (slash == std::string_view::npos) return ".";
    const auto folder = without_trailing_slashes(path.substr(0, slash));
    return folder.empty() ? "/" : std::string(folder);
}

std::string path_name(std::string_view path) {
    path = without_trailing_slashes(path);
    const auto slash = path.rfind('/');
    return std::string(slash == std::string_view::npos ? path : path.substr(slash + 1));
}

std::string path_normal(std::string_view path) {
    const bool absolute = path.starts_with('/');
    std::vector<std::string_view> pieces;
    while (!path.empty()) {
        const auto slash = path.find('/');
        const auto piece = path.substr(0, slash);
        path.remove_prefix(slash == std::string_view::npos ? path.size() : slash + 1);
        if (piece.empty() || piece == ".") continue;
        if (piece != "..") {
            pieces.push_back(piece);
        } else if (!pieces.empty() && pieces.back() != "..") {
            pieces.pop_back();
        } else if (!absolute) {
            pieces.push_back(piece);
        }
    }
    std::string out = absolute ? "/" : "";
    for (const auto piece : pieces) {
        if (!out.empty() && out != "/") out += '/';
        out += piece;
    }
    return out.empty() ? "." : out;
}

bool path_is_below(std::string_view path, std::string_view folder) {
    if (path == folder || folder == "/") return path.starts_with('/') || path == folder;
    if (folder == ".") return !path.starts_with('/') && path != ".." && !path.starts_with("../");
    return path.size() > folder.size() && path.starts_with(folder) && path[folder.size()] == '/';
}

}  // namespace scruple
