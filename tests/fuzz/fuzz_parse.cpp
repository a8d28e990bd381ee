// Any bytes: the parser ends, keeps its tree well formed, loses no byte, says the same twice, and
// its safe edits apply without treading on each other.
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "../unit/syntax_support.h"

namespace {

void demand(bool holds, const std::string& what) {
    if (holds) return;
    std::fprintf(stderr, "fuzz_parse: %s\n", what.c_str());
    std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace syntax_test;
    Parsed parsed;
    parsed.text.assign(reinterpret_cast<const char*>(data), size);
    ResourceLimits limits;
    limits.nesting = 8;  // deep enough to matter, shallow enough to be reached
    parse_into(parsed, limits);
    const std::string wrong = flaw(parsed, limits);
    demand(wrong.empty(), wrong);

    Parsed again;
    again.text = parsed.text;
    parse_into(again, limits);
    demand(dump(again.tree) == dump(parsed.tree), "two readings give two trees");
    demand(code_names(again.found) == code_names(parsed.found),
           "two readings give different findings");

    Parsed mended;
    bool overlap = false;
    mended.text = with_safe_edits(parsed, true, &overlap);
    demand(!overlap, "safe edits overlap");
    parse_into(mended, limits);
    demand(flaw(mended, limits).empty(), "a mended text gives a flawed tree");
    return 0;
}
