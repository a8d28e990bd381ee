// Any bytes: the layout ends, loses nothing but blanks, keeps what it could not read, and stands still.
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "layout/format.h"

namespace {

void demand(bool holds, const char* what) {
    if (holds) return;
    std::fprintf(stderr, "fuzz_format: %s\n", what);
    std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace scruple;
    const std::string text(reinterpret_cast<const char*>(data), size);
    ResourceLimits limits;
    limits.nesting = 8;
    limits.file_bytes = 1u << 20;
    const Formatted done = format_text(FileId{0}, text, limits);
    demand(done.untouched != Formatted::Untouched::fault, "the layout says something else");
    demand(done.untouched == Formatted::Untouched::no || done.layout.text == text,
           "what is left alone has changed");
    demand(!format_text(FileId{0}, done.layout.text, limits).changed, "the layout does not stand still");
    std::uint32_t at = 0;
    for (const LayoutPiece& piece : done.layout.pieces) {
        demand(piece.source_begin == at && piece.source_end >= at, "the pieces leave something out");
        at = piece.source_end;
    }
    demand(at == text.size(), "the pieces do not reach the end");
    const LineRange some[] = {{2, 3}};
    demand(format_text(FileId{0}, text, limits, some).untouched != Formatted::Untouched::fault,
           "some lines of the layout say something else");
    return 0;
}
