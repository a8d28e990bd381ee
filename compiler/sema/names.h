// Every declaration by name: the collection's own, the imported ones, and those of the embedded library, which are
// parsed when they are first asked for.
#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <memory_resource>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "base/limits.h"
#include "base/source.h"
#include "diag/diagnostic.h"
#include "schema/schema.h"
#include "sema/collection.h"
#include "syntax/tree.h"

namespace scruple {

using DeclId = std::uint32_t;
inline constexpr DeclId kNoDecl = 0xFFFFFFFF;
inline constexpr std::uint32_t kLibraryScope = 0xFFFFFFFF;

struct Decl {
    enum class State : std::uint8_t { fresh, busy, done };
    Kind kind{};
    State state = State::fresh;
    bool broken = false;            // an error was reported inside
    std::uint32_t scope = 0;        // kLibraryScope for the library's
    const SyntaxTree* tree = nullptr;
    std::uint32_t row = 0;
    std::uint32_t name_atom = 1;    // its place in the head; 2 where the kind was written twice
    std::string_view name;
    Span name_span;
    std::uint32_t record = 0xFFFFFFFF;  // index in the Model's store of its kind
    std::uint32_t uses = 0;
};

class Names {
public:
    Names(const Collection& collection, SourceMap& sources, const ResourceLimits& limits);

    Decl& at(DeclId id) { return decls_[id]; }
    const Decl& at(DeclId id) const { return decls_[id]; }
    std::size_t size() const { return decls_.size(); }

    /// Adds a declaration of the collection. Returns the earlier one of that name in its name space, or kNoDecl.
    DeclId declare(Decl decl, DeclId& added);

    /// The declaration that `name` means in `scope`: the scope's own, an import's after a dot, or the library's.
    DeclId find(std::uint32_t scope, NameSpace space, std::string_view name);
    DeclId find_own(std::uint32_t scope, NameSpace space, std::string_view name) const;
    DeclId find_library(NameSpace space, std::string_view name);
    /// The same, if anything has asked for it before; nothing is parsed.
    DeclId find_opened(NameSpace space, std::string_view name) const;
    /// All limits of the library on a subject.
    std::vector<DeclId> library_limits(std::string_view subject);
    /// All declarations of one kind in the library.
    std::vector<DeclId> library_of(Kind kind);

    /// Names that a maker may have meant by `word`, nearest first: own names, the library's, and their synonyms.
    std::vector<std::string> suggest(std::uint32_t scope, const Kinds& kinds, std::string_view word);
    /// Names of which `word` is the beginning (a genus, of its species), sorted.
    std::vector<std::string> members(std::uint32_t scope, const Kinds& kinds, std::string_view word) const;
    /// All names of a scope and the library, of the given kinds, sorted.
    /// Kept until another declaration comes.
    const std::vector<std::string>& all(std::uint32_t scope, const Kinds& kinds) const;

private:
    using Map = std::pmr::unordered_map<std::string_view, DeclId>;
    using Maps = std::pmr::vector<Map>;  // by name space
    struct Scope {
        Maps own;
        Maps library;  // names that were found in the library, and that nothing of the scope's own has
    };
    DeclId open_library(std::size_t index);

    const Collection& collection_;
    SourceMap& sources_;
    const ResourceLimits& limits_;
    std::deque<Decl> decls_;
    std::pmr::monotonic_buffer_resource memory_;  // names only ever get added
    std::vector<Scope> scopes_;
    std::unordered_map<std::size_t, DeclId> library_;     // index in embedded_declarations() to decl
    mutable std::map<std::pair<std::uint32_t, std::uint32_t>, std::vector<std::string>> all_;  // by scope and kinds
    std::vector<FileId> library_files_;
    std::deque<SyntaxTree> library_trees_;
};

/// True if `near` is surely what `word` was meant to be: one slip away, and nothing else is as near.
bool surely(std::string_view word, std::string_view near, const std::vector<std::string>& candidates);

/// The nearest of `candidates` to `word` within a distance that grows with its length; empty if none is near.
std::string nearest(std::string_view word, const std::vector<std::string>& candidates);

}  // namespace scruple
