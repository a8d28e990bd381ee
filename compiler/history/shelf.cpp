#include "history/shelf.h"

#include <algorithm>
#include <array>
#include <set>

#include "base/file_system.h"
#include "sema/recipes.h"

namespace scruple::history {
namespace {

bool has_history(std::string_view kind) {
    constexpr std::array<std::string_view, 4> kKinds = {"blend", "variation", "product", "line"};
    return std::find(kKinds.begin(), kKinds.end(), kind) != kKinds.end();
}

bool is_made(std::string_view kind) { return kind == "product" || kind == "line"; }

/// Does the collection at `root` hold the file? Not where it is below a folder that is none of it, or another's.
bool holds_recipe(const std::string& root, const std::string& path, const std::set<std::string>& others) {
    if (!is_recipe_name(path_name(path)) || (root != "." && !path_is_below(path, root))) return false;
    for (std::string at = path_parent(path); at != root && at != "."; at = path_parent(at)) {
        if (others.contains(at) || is_skipped_folder(path_name(at))) return false;
    }
    return true;
}

}  // namespace

std::vector<std::pair<std::string, std::string>> recipes_of(const Tree& tree, const std::string& folder) {
    std::set<std::string> others;
    for (const auto& [path, id] : tree) {
        if (path_name(path) == kCollectionMarker) others.insert(path_parent(path));
    }
    std::vector<std::pair<std::string, std::string>> out;
    const auto collect = [&](const std::string& root) {
        for (const auto& [path, id] : tree) {
            if (holds_recipe(root, path, others)) out.emplace_back(path, id);
        }
    };
    collect(folder);
    if (out.empty() && folder != ".") collect(".");
    return out;
}

Shelf shelf_of(const Tree& tree, const std::string& folder, const Leaves& leaves) {
    Shelf out;
    for (const auto& [path, id] : recipes_of(tree, folder)) {
        const auto leaf = leaves.find(id);
        if (leaf == leaves.end()) continue;
        if (!leaf->second.text) out.unreadable = true;
        for (const auto& i : leaf->second.imprints) {
            out.declarations.push_back(&i);
            out.imports |= i.kind == "use";
            out.unreadable |= i.kind.empty();
            if (has_history(i.kind) && !i.name.empty()) out.by_name.emplace(i.name, &i);
        }
    }
    out.behind = changes::Behind(out.declarations);
    return out;
}

const changes::Imprint* declaration_of(const Shelf& shelf, std::string_view name) {
    if (const auto found = shelf.by_name.find(name); found != shelf.by_name.end()) return found->second;
    // A line's products are called LINE_FORMAT_SIZE, or as it says.
    for (auto end = name.rfind('_'); end != std::string_view::npos && end > 0; end = name.rfind('_', end - 1)) {
        const auto found = shelf.by_name.find(name.substr(0, end));
        if (found != shelf.by_name.end() && found->second->kind == "line") return found->second;
    }
    for (const auto& [line, imprint] : shelf.by_name) {
        if (imprint->kind != "line") continue;
        if (std::find(imprint->words.begin(), imprint->words.end(), name) != imprint->words.end()) return imprint;
    }
    return nullptr;
}

std::vector<std::string_view> names_beside(const Shelf& shelf, const changes::Imprint& declaration) {
    std::vector<std::string_view> out = {declaration.name};
    if (is_made(declaration.kind)) {
        for (const auto word : declaration.words) {
            const auto found = shelf.by_name.find(word);
            if (found != shelf.by_name.end() && !is_made(found->second->kind)) out.push_back(word);
        }
        return out;
    }
    for (const auto* i : shelf.declarations) {
        if (is_made(i->kind) && std::find(i->words.begin(), i->words.end(), declaration.name) != i->words.end()) out.push_back(i->name);
    }
    return out;
}

}  // namespace scruple::history
