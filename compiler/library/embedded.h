// The standard library as text in the binary, and the index of its names that the build made. Nothing is parsed until
// something names it.
#pragma once

#include <cstdint>
#include <span>
#include <string_view>

#include "schema/schema.h"

namespace scruple {

struct EmbeddedFile {
    std::string_view path;  // "stdlib/oils/citrus.scruple"
    std::string_view text;
};

/// One declaration; a unit's further spellings have rows of their own. Sorted by name, then kind, then place.
struct EmbeddedDeclaration {
    std::string_view name;   // for a limit: the subject
    Kind kind;
    std::uint16_t file;
    std::uint32_t begin;     // from the first `##` line above it, or its head
    std::uint32_t end;
};

std::span<const EmbeddedFile> embedded_files();
std::span<const EmbeddedDeclaration> embedded_declarations();

/// An open-addressing table over the names: one more than the place of a name's first declaration, or zero. Its size is a
/// power of two.
std::span<const std::uint16_t> embedded_slots();
/// FNV-1a, 32 bits (Fowler, Noll, Vo).
constexpr std::uint32_t embedded_hash(std::string_view name) {
    std::uint32_t hash = 2166136261u;
    for (const char c : name) hash = (hash ^ static_cast<unsigned char>(c)) * 16777619u;
    return hash;
}

/// All declarations of a name, of any kind.
std::span<const EmbeddedDeclaration> embedded_named(std::string_view name);

}  // namespace scruple
