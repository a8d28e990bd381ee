// The recipes that a plan selects, by name alone.
#pragma once

#include <string>
#include <vector>

#include "sema/collection.h"

namespace scruple {

/// Sorted folder by folder; nothing is read. Folders that can't be listed, and links that lead out, are reported.
std::vector<std::string> recipes_in(const FileSystem& files, const CollectionPlan& plan, const ResourceLimits& limits,
                                    Bag& bag);

}  // namespace scruple
