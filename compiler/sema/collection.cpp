#include "sema/collection.h"

#include <fmt/core.h>

#include <algorithm>
#include <set>

#include "base/parallel.h"
#include "sema/recipes.h"
#include "syntax/parser.h"

namespace scruple {
namespace {

constexpr std::string_view kSuffix = ".scruple";

bool below(std::string_view path, std::string_view folder) {
    if (folder.empty() || folder == "/") return true;
    return path == folder ||
           (path.size() > folder.size() && path.starts_with(folder) && path[folder.size()] == '/');
}

/// Path of `path` seen from `root`, with `../` where it lies outside.
std::string relative(std::string_view path, std::string_view root) {
    if (path == root) return ".";
    std::string up;
    std::string_view from = root;
    while (!below(path, from)) {
        up += "../";
        from = from.substr(0, from.rfind('/') == std::string_view::npos ? 0 : from.rfind('/'));
    }
    auto rest = path.substr(std::min(path.size(), from.size()));
    while (rest.starts_with('/')) rest.remove_prefix(1);
    return up + std::string(rest);
}

bool holds(const FileSystem& files, const std::string& folder, std::string_view name) {
    return files.kind(path_join(folder, name)) != EntryKind::missing;
}

class Walker {
public:
    Walker(const FileSystem& files, const std::string& root, const ResourceLimits& limits, Bag& bag)
        : files_(files), root_(root), limits_(limits), bag_(bag) {}

    std::vector<std::string> recipes;
    std::vector<std::string> nested;  // roots of collections inside this one

    void walk(const std::string& folder, bool top) {
        if (full_) return;
        const auto listed = files_.list(folder);
        if (listed.error != IoError::none) {
            bag_.add(Code::cannot_read, Span{},
                     fmt::format("cannot read the folder {}: {}", relative(folder, root_), describe(listed.error)));
            return;
        }
        if (!top) {
            for (const auto& e : listed.entries) {
                if (e.name == kCollectionMarker) {
                    nested.push_back(folder);
                    return;
                }
            }
        }
        for (const auto& e : listed.entries) {
            const auto path = path_join(folder, e.name);
            if (e.kind == EntryKind::folder) {
                if (is_skipped_folder(e.name)) continue;
                if (e.is_link && !enter_link(path)) continue;
                walk(path, false);
            } else if (is_recipe_name(e.name) && e.kind != EntryKind::missing) {
                if (e.is_link && !below(files_.canonical(path), root_)) {
                    bag_.add(Code::outside_root, Span{},
                             fmt::format("{} is a link that leads out of the collection, and a collection holds only "
                                         "what lies below its root",
                                         relative(path, root_)));
                    continue;
                }
                if (recipes.size() >= limits_.files) {
                    bag_.add(Code::too_many_files, Span{},
                             fmt::format("the collection has more than {} files, and that is the limit of one run",
                                         limits_.files));
                    full_ = true;
                    return;
                }
                recipes.push_back(path);
            }
        }
    }

private:
    bool enter_link(const std::string& path) {
        const auto target = files_.canonical(path);
        if (target.empty()) return false;
        if (!below(target, root_)) {
            bag_.add(Code::outside_root, Span{},
                     fmt::format("{} is a link that leads out of the collection, and a collection holds only what "
                                 "lies below its root",
                                 relative(path, root_)));
            return false;
        }
        // Its files are found where they really are; a link to a folder above would never end.
        if (below(path, target)) {
            bag_.add(Code::folder_loop, Span{},
                     fmt::format("{} is a link to a folder that holds it, and following it would never end",
                                 relative(path, root_)));
        }
        return false;
    }

    const FileSystem& files_;
    std::string root_;
    const ResourceLimits& limits_;
    Bag& bag_;
    bool full_ = false;
};

class Loader {
public:
    Loader(const FileSystem& files, const CollectionPlan& plan, const ResourceLimits& limits, SourceMap& sources,
           Bag& bag)
        : files_(files), plan_(plan), limits_(limits), sources_(sources), bag_(bag) {}

    Collection run() {
        out_.root = plan_.root;
        out_.name = path_name(plan_.root);
        if (out_.name.empty()) out_.name = "collection";
        const std::string fence = repository_of(plan_.root);
        out_.scopes.push_back({plan_.root, {}});
        if (!plan_.alone.empty()) {
            load(plan_.alone, 0);
        } else {
            load(recipes_below(plan_.root), 0);
        }
        // Imports are found in what was just parsed, so scopes grow while we go.
        depth_.push_back(0);
        for (std::uint32_t scope = 0; scope < out_.scopes.size(); ++scope) import_all(scope, fence);
        return std::move(out_);
    }

private:
    /// Imports may go anywhere below the repository; without one, below the parent of the root.
    std::string repository_of(const std::string& root) const {
        for (std::string at = root;; at = path_parent(at)) {
            if (holds(files_, at, ".git")) return at;
            if (at.empty() || at == "/" || at == ".") break;
        }
        return path_parent(root);
    }

    std::vector<std::string> recipes_below(const std::string& root) {
        Walker walker(files_, root, limits_, bag_);
        walker.walk(root, true);
        return std::move(walker.recipes);
    }

    void load(const std::vector<std::string>& paths, std::uint32_t scope) {
        const std::size_t first = out_.files.size();
        for (const auto& path : paths) {
            const std::string shown = relative(path, plan_.root);
            auto read = files_.read(path, limits_.file_bytes);
            if (read.error == IoError::too_large) {
                bag_.add(Code::file_too_large, Span{},
                         fmt::format("{} is larger than {} bytes, and that is the limit of one file", shown,
                                     limits_.file_bytes));
                continue;
            }
            if (read.error != IoError::none) {
                const bool other = read.error == IoError::other && !read.detail.empty();
                bag_.add(Code::cannot_read, Span{},
                         fmt::format("cannot read {}: {}", shown, other ? read.detail : describe(read.error)));
                continue;
            }
            total_ += read.text.size();
            if (total_ > limits_.run_bytes) {
                bag_.add(Code::run_too_large, Span{},
                         fmt::format("the collection holds more than {} bytes, and that is the limit of one run",
                                     limits_.run_bytes));
                break;
            }
            CollectionFile file;
            file.id = sources_.add(shown, std::move(read.text));
            file.scope = scope;
            file.path = path;
            file.selected = selected(path);
            out_.files.push_back(std::move(file));
        }
        parse_from(first);
    }

    bool selected(const std::string& path) const {
        if (!plan_.alone.empty() || plan_.selected.empty()) return true;
        return std::any_of(plan_.selected.begin(), plan_.selected.end(),
                           [&](const std::string& s) { return below(path, s); });
    }

    void parse_from(std::size_t first) {
        const std::size_t count = out_.files.size() - first;
        std::vector<Bag> bags(count);
        const auto work = [&](std::size_t start, std::size_t step) {
            for (std::size_t i = start; i < count; i += step) {
                auto& file = out_.files[first + i];
                file.tree = parse(file.id, sources_.file(file.id).text(), limits_, bags[i]);
            }
        };
        std::uint64_t bytes = 0;
        for (std::size_t i = 0; i < count; ++i) bytes += sources_.file(out_.files[first + i].id).text().size();
        const std::size_t threads = bytes < (1u << 18) ? 1 : std::min<std::size_t>(
            {std::max(1u, std::thread::hardware_concurrency()), count, 16});
        const std::size_t pieces = std::max<std::size_t>(threads, 1);
        in_parallel(pieces, [&](std::size_t t) { work(t, pieces); });
        for (auto& bag : bags) bag_.append(std::move(bag));
    }

    struct Use {
        std::size_t file;
        Span path_span;
        Span span;
        std::string path;
        std::string alias;
    };

    /// `use "../shelf" as shelf`; rows of another shape are judged with the other declarations.
    void collect_uses(std::size_t index, std::vector<Use>& uses) {
        const auto& tree = out_.files[index].tree;
        for (std::uint32_t r = 0; r < tree.rows.size(); r = tree.rows[r].next) {
            const Row& row = tree.rows[r];
            if (row.kind != RowKind::entry || row.item_count != 1) continue;
            const auto atoms = tree.atoms_of(tree.items_of(row)[0]);
            if (atoms.size() != 4 || tree.view(atoms[0]) != "use" || atoms[1].kind != AtomKind::string ||
                tree.view(atoms[2]) != "as" || atoms[3].kind != AtomKind::word) {
                continue;
            }
            uses.push_back({index, tree.span(atoms[1]), tree.head(row), string_value(tree.value_text(atoms[1])),
                            std::string(tree.value_text(atoms[3]))});
        }
    }

    void import_all(std::uint32_t scope, const std::string& fence) {
        std::vector<Use> uses;
        for (std::size_t i = 0; i < out_.files.size(); ++i) {
            if (out_.files[i].scope == scope) collect_uses(i, uses);
        }
        for (const auto& use : uses) import_one(scope, use, fence);
    }

    void import_one(std::uint32_t scope, const Use& use, const std::string& fence) {
        if (use.path.starts_with('/') || use.path.find('\\') != std::string::npos || use.path.empty()) {
            bag_.add(Code::outside_root, use.path_span,
                     fmt::format("an import path is relative to this file and written with forward slashes, and "
                                 "\"{}\" is not",
                                 use.path));
            return;
        }
        const auto folder = path_parent(out_.files[use.file].path);
        const auto target = files_.canonical(path_join(folder, use.path));
        if (target.empty()) {
            bag_.add(Code::import_not_found, use.path_span,
                     fmt::format("nothing is found at \"{}\", seen from this file's folder", use.path));
            return;
        }
        if (!below(target, fence)) {
            bag_.add(Code::outside_root, use.path_span,
                     fmt::format("\"{}\" leads out of the repository, and imports must stay inside it", use.path));
            return;
        }
        if (files_.kind(target) != EntryKind::folder) {
            bag_.add(Code::import_not_found, use.path_span,
                     fmt::format("\"{}\" is a file, and an import names the folder of a collection", use.path));
            return;
        }
        // Chains, not shared shelves, make a cycle: follow the importers back to the root.
        std::string chain = path_name(target);
        for (std::uint32_t at = scope;; at = parent_[at]) {
            chain = std::string(path_name(out_.scopes[at].root)) + " -> " + chain;
            if (out_.scopes[at].root == target) {
                bag_.add(Code::import_cycle, use.span,
                         fmt::format("this import closes a circle: {}", chain));
                return;
            }
            if (at == 0) break;
        }
        if (depth_[scope] + 1 > limits_.import_depth) {
            bag_.add(Code::import_too_deep, use.span,
                     fmt::format("imports of imports go deeper than {}, and that is the limit", limits_.import_depth));
            return;
        }
        if (out_.scopes[scope].imports.contains(use.alias)) {
            bag_.add(Code::duplicate_name, use.span,
                     fmt::format("`{}` is imported already in this collection", use.alias));
            return;
        }
        // One folder that several import is read once.
        for (std::uint32_t s = 1; s < out_.scopes.size(); ++s) {
            if (out_.scopes[s].root == target) {
                out_.scopes[scope].imports.emplace(use.alias, s);
                return;
            }
        }
        const auto added = static_cast<std::uint32_t>(out_.scopes.size());
        out_.scopes.push_back({target, {}});
        depth_.push_back(depth_[scope] + 1);
        parent_.resize(out_.scopes.size(), 0);
        parent_[added] = scope;
        out_.scopes[scope].imports.emplace(use.alias, added);
        load(recipes_below(target), added);
    }

    const FileSystem& files_;
    const CollectionPlan& plan_;
    const ResourceLimits& limits_;
    SourceMap& sources_;
    Bag& bag_;
    Collection out_;
    std::vector<std::uint32_t> depth_;
    std::vector<std::uint32_t> parent_{0};
    std::uint64_t total_ = 0;
};

}  // namespace

std::vector<CollectionPlan> find_collections(const FileSystem& files, const std::vector<std::string>& paths,
                                             bool alone, const ResourceLimits& limits, Bag& bag) {
    std::vector<CollectionPlan> plans;
    const auto plan_for = [&](const std::string& root) -> CollectionPlan& {
        for (auto& p : plans) {
            if (p.root == root) return p;
        }
        plans.push_back({root, {}, {}});
        return plans.back();
    };
    for (const auto& path : paths) {
        const auto real = files.canonical(path);
        if (real.empty()) {
            bag.add(Code::cannot_read, Span{},
                    fmt::format("cannot read {}: {}", path, describe(IoError::not_found)));
            continue;
        }
        const bool folder = files.kind(real) == EntryKind::folder;
        if (!folder && files.kind(real) != EntryKind::file) {
            bag.add(Code::cannot_read, Span{}, fmt::format("cannot read {}: {}", path, describe(IoError::not_a_file)));
            continue;
        }
        if (alone && !folder) {
            plan_for(path_parent(real)).alone.push_back(real);
            continue;
        }
        if (!folder && !real.ends_with(kSuffix)) {
            bag.add(Code::cannot_read, Span{},
                    fmt::format("{} is not a recipe: recipes are files whose name ends in {}", path, kSuffix));
            continue;
        }
        const auto root = alone ? real : collection_root(files, folder ? real : path_parent(real));
        if (!folder) {
            plan_for(root).selected.push_back(real);
            continue;
        }
        // A folder stands for what lies below it: its share of the collection around it, and nested collections.
        Bag unused;
        Walker walker(files, real, limits, unused);
        walker.walk(real, true);
        if (!walker.recipes.empty()) plan_for(root).selected.push_back(real);
        for (std::size_t i = 0; i < walker.nested.size(); ++i) {
            const auto inner = walker.nested[i];
            plan_for(inner).selected.push_back(inner);
            Walker deeper(files, inner, limits, unused);
            deeper.walk(inner, true);
            walker.nested.insert(walker.nested.end(), deeper.nested.begin(), deeper.nested.end());
        }
        if (walker.recipes.empty() && walker.nested.empty()) {
            bag.add(Code::nothing_found, Span{},
                    fmt::format("no recipe lies below {}: recipes are files whose name ends in {}", path, kSuffix));
        }
    }
    return plans;
}

std::string collection_root(const FileSystem& files, const std::string& folder) {
    for (std::string at = folder;; at = path_parent(at)) {
        if (holds(files, at, kCollectionMarker)) return at;
        if (at.empty() || at == "/" || at == ".") break;
    }
    for (std::string at = folder;; at = path_parent(at)) {
        if (holds(files, at, ".git")) return at;
        if (at.empty() || at == "/" || at == ".") break;
    }
    return folder;
}

bool is_recipe_name(std::string_view name) { return name.ends_with(kSuffix) && !name.starts_with('.'); }

bool is_skipped_folder(std::string_view name) { return name.starts_with('.') || name == "build" || name == "node_modules"; }

std::vector<std::string> recipes_in(const FileSystem& files, const CollectionPlan& plan, const ResourceLimits& limits,
                                    Bag& bag) {
    if (!plan.alone.empty()) return plan.alone;
    Walker walker(files, plan.root, limits, bag);
    for (const auto& path : plan.selected.empty() ? std::vector{plan.root} : plan.selected) {
        if (files.kind(path) == EntryKind::folder) {
            walker.walk(path, true);
        } else {
            walker.recipes.push_back(path);
        }
    }
    return std::move(walker.recipes);
}

Collection load_collection(const FileSystem& files, const CollectionPlan& plan, const ResourceLimits& limits,
                           SourceMap& sources, Bag& bag) {
    return Loader(files, plan, limits, sources, bag).run();
}

}  // namespace scruple
