#include "sema/names.h"

#include <algorithm>
#include <set>

#include "base/text.h"
#include "library/embedded.h"
#include "library/spellings.h"
#include "syntax/parser.h"

namespace scruple {
namespace {

std::size_t allowed_distance(std::size_t length) { return length <= 3 ? 1 : length <= 6 ? 2 : 3; }

}  // namespace

Names::Names(const Collection& collection, SourceMap& sources, const ResourceLimits& limits)
    : collection_(collection), sources_(sources), limits_(limits), library_files_(embedded_files().size(), FileId::none) {
    scopes_.reserve(collection.scopes.size());
    for (std::size_t i = 0; i < collection.scopes.size(); ++i) {
        scopes_.push_back({Maps(kNameSpaceCount, &memory_), Maps(kNameSpaceCount, &memory_)});
    }
}

DeclId Names::declare(Decl decl, DeclId& added) {
    all_.clear();
    Scope& scope = scopes_[decl.scope];
    const auto space = static_cast<std::size_t>(kind_spec(decl.kind).space);
    if (!scope.library[space].empty()) scope.library[space].erase(decl.name);
    added = static_cast<DeclId>(decls_.size());
    const auto [it, fresh] = scope.own[space].try_emplace(decl.name, added);
    decls_.push_back(decl);
    return fresh ? kNoDecl : it->second;
}

DeclId Names::find_own(std::uint32_t scope, NameSpace space, std::string_view name) const {
    if (scope == kLibraryScope) return kNoDecl;
    const auto& map = scopes_[scope].own[static_cast<std::size_t>(space)];
    const auto it = map.find(name);
    return it == map.end() ? kNoDecl : it->second;
}

DeclId Names::open_library(std::size_t index) {
    const auto [it, fresh] = library_.try_emplace(index, kNoDecl);
    if (!fresh) return it->second;
    const auto& entry = embedded_declarations()[index];
    const auto& file = embedded_files()[entry.file];
    FileId& id = library_files_[entry.file];
    if (id == FileId::none) id = sources_.add_embedded(std::string(file.path), file.text);
    Bag unused;  // the build parsed the library without a finding
    library_trees_.push_back(
        parse(id, file.text.substr(entry.begin, entry.end - entry.begin), limits_, unused, entry.begin));
    const SyntaxTree& tree = library_trees_.back();
    Decl decl;
    decl.kind = entry.kind;
    decl.scope = kLibraryScope;
    decl.tree = &tree;
    while (decl.row < tree.rows.size() && tree.rows[decl.row].kind != RowKind::entry) ++decl.row;
    decl.name = entry.name;
    if (decl.row < tree.rows.size()) {
        const auto atoms = tree.atoms_of(tree.items_of(tree.rows[decl.row])[0]);
        if (atoms.size() > 1) decl.name_span = tree.span(atoms[1]);
    }
    it->second = static_cast<DeclId>(decls_.size());
    decls_.push_back(decl);
    return it->second;
}

DeclId Names::find_library(NameSpace space, std::string_view name) {
    const auto all = embedded_declarations();
    for (const auto& entry : embedded_named(name)) {
        if (kind_spec(entry.kind).space == space) return open_library(static_cast<std::size_t>(&entry - all.data()));
    }
    return kNoDecl;
}

DeclId Names::find_opened(NameSpace space, std::string_view name) const {
    const auto all = embedded_declarations();
    for (const auto& entry : embedded_named(name)) {
        if (kind_spec(entry.kind).space != space) continue;
        const auto it = library_.find(static_cast<std::size_t>(&entry - all.data()));
        return it == library_.end() ? kNoDecl : it->second;
    }
    return kNoDecl;
}

std::vector<DeclId> Names::library_limits(std::string_view subject) {
    std::vector<DeclId> out;
    const auto all = embedded_declarations();
    for (const auto& entry : embedded_named(subject)) {
        if (entry.kind == Kind::limit) out.push_back(open_library(static_cast<std::size_t>(&entry - all.data())));
    }
    return out;
}

std::vector<DeclId> Names::library_of(Kind kind) {
    std::vector<DeclId> out;
    const auto all = embedded_declarations();
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (all[i].kind == kind) out.push_back(open_library(i));
    }
    return out;
}

DeclId Names::find(std::uint32_t scope, NameSpace space, std::string_view name) {
    if (scope == kLibraryScope) return find_library(space, name);
    auto& known = scopes_[scope].library[static_cast<std::size_t>(space)];
    if (const auto it = known.find(name); it != known.end()) return it->second;
    if (const auto dot = name.find('.'); dot != std::string_view::npos) {
        const auto& imports = collection_.scopes[scope].imports;
        const auto it = imports.find(name.substr(0, dot));
        return it == imports.end() ? kNoDecl : find_own(it->second, space, name.substr(dot + 1));
    }
    if (const auto own = find_own(scope, space, name); own != kNoDecl) return own;
    const DeclId found = find_library(space, name);
    if (found != kNoDecl) known.emplace(at(found).name, found);
    return found;
}

const std::vector<std::string>& Names::all(std::uint32_t scope, const Kinds& kinds) const {
    std::uint32_t mask = 0;
    for (const Kind k : kinds) mask |= 1u << static_cast<unsigned>(k);
    const auto [kept, fresh] = all_.try_emplace({scope, mask});
    if (!fresh) return kept->second;
    std::set<std::string> out;
    if (scope != kLibraryScope) {
        for (const auto& map : scopes_[scope].own) {
            for (const auto& [name, id] : map) {
                if (kinds.has(decls_[id].kind)) out.emplace(name);
            }
        }
        for (const auto& [alias, imported] : collection_.scopes[scope].imports) {
            for (const auto& map : scopes_[imported].own) {
                for (const auto& [name, id] : map) {
                    if (kinds.has(decls_[id].kind)) out.insert(alias + "." + std::string(name));
                }
            }
        }
    }
    for (const auto& entry : embedded_declarations()) {
        if (kinds.has(entry.kind)) out.emplace(entry.name);
    }
    kept->second.assign(out.begin(), out.end());
    return kept->second;
}

std::vector<std::string> Names::members(std::uint32_t scope, const Kinds& kinds,
                                        std::string_view word) const {
    std::vector<std::string> out;
    const std::string prefix = std::string(word) + "_";
    for (const auto& name : all(scope, kinds)) {
        if (name.starts_with(prefix)) out.push_back(name);
    }
    return out;
}

std::vector<std::string> Names::suggest(std::uint32_t scope, const Kinds& kinds, std::string_view word) {
    const std::string wanted = as_name(word);
    if (wanted.empty()) return {};
    struct Candidate {
        std::size_t distance;
        std::string name;
    };
    std::vector<Candidate> found;
    const std::size_t cap = allowed_distance(wanted.size());
    const auto consider = [&](std::string_view spelled, const std::string& name) {
        const auto d = edit_distance(wanted, spelled, cap);
        if (d <= cap) found.push_back({d, name});
    };
    for (const auto& name : all(scope, kinds)) consider(name, name);
    std::vector<std::string> other;
    for (const auto& entry : embedded_declarations()) {
        if (!kinds.has(entry.kind)) continue;
        other.clear();
        spellings(entry, other);
        for (const auto& s : other) consider(s, std::string(entry.name));
    }
    // The same words in another order: the plain word before the name.
    if (const auto cut = wanted.find('_'); cut != std::string::npos) {
        const std::string turned = wanted.substr(cut + 1) + "_" + wanted.substr(0, cut);
        for (const auto& name : all(scope, kinds)) {
            if (name == turned) found.push_back({0, name});
        }
    }
    std::stable_sort(found.begin(), found.end(), [](const Candidate& a, const Candidate& b) {
        return a.distance != b.distance ? a.distance < b.distance : a.name < b.name;
    });
    std::vector<std::string> out;
    for (auto& c : found) {
        if (std::find(out.begin(), out.end(), c.name) == out.end()) out.push_back(std::move(c.name));
        if (out.size() == 3) break;
    }
    return out;
}

bool surely(std::string_view word, std::string_view near, const std::vector<std::string>& candidates) {
    if (word.size() < 4 || edit_distance(word, near, 1) != 1) return false;
    for (const auto& c : candidates) {
        if (c != near && edit_distance(word, c, 1) <= 1) return false;
    }
    return true;
}

std::string nearest(std::string_view word, const std::vector<std::string>& candidates) {
    std::size_t best = allowed_distance(word.size()) + 1;
    std::string out;
    for (const auto& candidate : candidates) {
        const auto d = edit_distance(word, candidate, best);
        if (d < best) {
            best = d;
            out = candidate;
        }
    }
    return out;
}

}  // namespace scruple
