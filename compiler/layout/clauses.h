// The order in which the clauses of one row are written: `batch … of … on …`, `… at … in … as …`.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "layout/gutters.h"
#include "syntax/tree.h"

namespace scruple::layout {

/// Fills `order` with the atoms' indices in the order of writing; false if that is the order in
/// which they stand, or if it is not certain what belongs to which clause. `top` says that the row
/// is a declaration with a block.
bool clause_order(const SyntaxTree& tree, std::span<const Atom> atoms, bool top, Block block,
                  std::vector<std::uint32_t>& order);

}  // namespace scruple::layout
