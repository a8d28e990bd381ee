// The long answer to a code: what it means, why it matters, a wrong and a right example, how to mend it.
#pragma once

#include <string_view>

#include "diag/diagnostic.h"

namespace scruple {

struct Explanation {
    std::string_view why;    // a paragraph or two in plain words
    std::string_view wrong;  // a small complete file that gives exactly this code; may be empty if none can
    std::string_view right;  // the same mended: gives no finding
};

/// Never empty `why`: a test holds every code to it.
const Explanation& explanation(Code code);

}  // namespace scruple
