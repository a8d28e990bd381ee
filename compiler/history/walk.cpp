#include "history/walk.h"

#include <algorithm>
#include <set>

#include "base/file_system.h"
#include "base/sha256.h"
#include "diag/diagnostic.h"
#include "sema/recipes.h"
#include "syntax/parser.h"

namespace scruple::history {
namespace {

/// Of a change that no recipe and no collection's marker is in, nothing is kept.
bool matters(const GitCommit::Change& change, const Tree& tree) {
    return is_recipe_name(path_name(change.path)) && (change.kind == GitEntryKind::file || tree.contains(change.path));
}

Tree with_changes(const Tree& before, const GitCommit& commit) {
    Tree out = before;
    for (const auto& change : commit.changes) {
        if (!matters(change, out)) continue;
        if (change.id.empty() || change.kind != GitEntryKind::file) out.erase(change.path);
        else out[change.path] = change.id;
    }
    return out;
}

}  // namespace

GitFault Walk::read(const std::string& revisions, std::vector<GitCommit>& commits) {
    if (auto fault = git_log(repository_, revisions.empty() ? "HEAD" : revisions, commits); !fault.empty()) return fault;
    if (commits.empty()) return "there is no commit in this range";
    std::unordered_map<std::string_view, std::size_t> by_id;
    const auto nothing = std::make_shared<const Tree>();
    for (std::size_t i = 0; i < commits.size(); ++i) {
        Node& node = nodes.emplace_back();
        node.commit = &commits[i];
        for (const auto& parent : commits[i].parents) {
            if (const auto found = by_id.find(parent); found != by_id.end()) node.parents.push_back(found->second);
        }
        by_id.emplace(commits[i].id, i);
        std::shared_ptr<const Tree> before = nothing;
        const auto first = commits[i].parents.empty() ? by_id.end() : by_id.find(commits[i].parents.front());
        if (first != by_id.end()) {
            before = trees_[first->second];
        } else if (!commits[i].parents.empty()) {
            // A range begins here; what its changes are against is not among what was asked for.
            std::vector<GitEntry> entries;
            Tree tree;
            if (repository_.files(commits[i].parents.front(), entries).empty()) {
                for (auto& e : entries) {
                    if (e.kind == GitEntryKind::file && is_recipe_name(path_name(e.path))) tree.emplace(std::move(e.path), std::move(e.id));
                }
            }
            before = std::make_shared<const Tree>(std::move(tree));
        }
        const auto& changes = commits[i].changes;
        const bool same = std::none_of(changes.begin(), changes.end(), [&](const auto& c) { return matters(c, *before); });
        trees_.push_back(same ? before : std::make_shared<const Tree>(with_changes(*before, commits[i])));
    }
    if (auto fault = read_leaves(); !fault.empty()) return fault;
    std::unordered_map<const Tree*, std::shared_ptr<const Shelf>> of_tree;
    for (const auto& tree : trees_) {
        auto& shelf = of_tree[tree.get()];
        if (!shelf) shelf = std::make_shared<const Shelf>(shelf_of(*tree, folder_, leaves_));
        shelves_.push_back(shelf);
    }
    return {};
}

GitFault Walk::read_leaves() {
    std::set<std::string> ids;
    std::set<const Tree*> seen;
    for (const auto& tree : trees_) {
        if (!seen.insert(tree.get()).second) continue;
        for (const auto& [path, id] : recipes_of(*tree, folder_)) ids.insert(id);
    }
    const ResourceLimits limits;
    std::map<std::string, GitRepository::Blob> blobs;
    if (auto fault = repository_.blobs({ids.begin(), ids.end()}, limits.file_bytes, blobs); !fault.empty()) return fault;
    for (const auto& [id, blob] : blobs) {
        Leaf& leaf = leaves_[id];
        leaf.text = blob.text;
        if (!leaf.text) continue;
        Bag said;
        leaf.imprints = changes::imprints(parse(FileId::none, *leaf.text, limits, said), true);
    }
    return {};
}

const std::string& Walk::digest_of_tree(std::size_t node) {
    std::string& digest = tree_digests_[trees_[node].get()];
    if (digest.empty()) {
        std::string all;
        for (const auto& [path, id] : *trees_[node]) all += path + '\0' + id + '\n';
        digest = sha256_hex(all);
    }
    return digest;
}

Version Walk::compile_at(std::size_t node, const changes::Imprint& declaration, std::string_view unit, const std::string& on) {
    const Shelf& s = shelf(node);
    const auto names = names_beside(s, declaration);
    if (!s.imports) return compile_slice(slice_of(s, names), unit, on);
    return compile_tree(repository_, *trees_[node], folder_, {names.begin(), names.end()}, unit, on);
}

std::map<std::string, std::string> Walk::fingerprints_at(std::size_t node, const std::vector<std::string_view>& names) {
    const Shelf& s = shelf(node);
    if (!s.imports) return fingerprints_in(slice_of(s, names, false));
    std::map<std::string, std::string> out;
    for (const auto name : names) {
        const std::string print = figures_of(compile_tree(repository_, *trees_[node], folder_, {std::string(name)}, name, ""), name).fingerprint;
        if (!print.empty()) out.emplace(name, print);
    }
    return out;
}

std::vector<std::string> Walk::errors_at(std::size_t node) {
    std::vector<std::string> out;
    const ResourceLimits limits;
    for (const auto& [path, id] : recipes_of(*trees_[node], folder_)) {
        const auto leaf = leaves_.find(id);
        if (leaf == leaves_.end()) continue;
        if (!leaf->second.text) {
            out.push_back(path + " is larger than a recipe may be");
            continue;
        }
        Bag said;
        parse(FileId::none, *leaf->second.text, limits, said);
        for (const auto& d : said.items()) {
            if (d.severity == Severity::error) out.push_back(path + ": " + d.message);
        }
    }
    return out;
}

}  // namespace scruple::history
