// Whether two texts say the same in the same order: the check that a layout has harmed nothing.
#pragma once

#include "syntax/tree.h"

namespace scruple {

/// Rows, atoms, comments and what each comment belongs to are the same; a comment may lose blanks
/// at its end, and the clauses of one row may change places.
bool same_rows(const SyntaxTree& a, const SyntaxTree& b);

}  // namespace scruple
