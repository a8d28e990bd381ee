// Where something stands in the text: a file and a half-open range of bytes.
// Offsets are 32-bit, since no source file may be larger than 16 MiB.
#pragma once

#include <cstdint>

namespace scruple {

/// Index of a file in the SourceMap.
enum class FileId : std::uint32_t { none = 0xFFFFFFFF };

/// Half-open byte range [begin, end) of one file.
struct Span {
    FileId file = FileId::none;
    std::uint32_t begin = 0;
    std::uint32_t end = 0;

    bool known() const { return file != FileId::none; }
    friend bool operator==(const Span&, const Span&) = default;
};

/// The smallest span that holds both; both must lie in one file.
inline Span join(Span a, Span b) {
    if (!a.known()) return b;
    if (!b.known()) return a;
    return {a.file, a.begin < b.begin ? a.begin : b.begin, a.end > b.end ? a.end : b.end};
}

}  // namespace scruple
