// A recipe line by line as it is meant, for programs that compare lines: without layout, `#` comments and any order that
// means nothing, its ratios in smallest whole parts. Knows one text, and no names but those in it.
#pragma once

#include <string>

#include "syntax/tree.h"

namespace scruple::changes {

/// The declarations by name, each over several lines. A text with mistakes is given as it is.
std::string plain_recipe(const SyntaxTree& tree);

}  // namespace scruple::changes
