// Text to tree. Never fails and never throws: broken places become error rows and diagnostics, and reading goes on
// at the row's end or at the next declaration. Work and memory are linear in the text.
#pragma once

#include <cstdint>
#include <string_view>

#include "base/limits.h"
#include "base/span.h"
#include "diag/diagnostic.h"
#include "syntax/tree.h"

namespace scruple {

/// Parses `text`, which starts at byte `base` of `file` (the whole file, or one declaration of the library).
/// Declaration keywords for recovery are those of syntax/keywords.h.
SyntaxTree parse(FileId file, std::string_view text, const ResourceLimits& limits, Bag& bag,
                 std::uint32_t base = 0);

}  // namespace scruple
