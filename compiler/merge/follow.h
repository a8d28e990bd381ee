// What neither side has seen although no row of it was changed twice: a declaration that one side edited, derived from
// one that the other side changed.
#pragma once

#include <vector>

#include "merge/merge.h"
#include "merge/version.h"

namespace scruple::merging {

/// In the order of the names.
std::vector<MergeFollow> follows_of(const Version& base, const Version& ours, const Version& theirs);

}  // namespace scruple::merging
