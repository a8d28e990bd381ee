// The recipes that a plan selects, by name alone.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sema/collection.h"

namespace scruple {

/// The file whose folder is the root of a collection.
inline constexpr std::string_view kCollectionMarker = "collection.scruple";
bool is_recipe_name(std::string_view name);
/// Folders that are never part of a collection: hidden ones and what builds leave behind.
bool is_skipped_folder(std::string_view name);

/// The root of the collection that holds a folder: the nearest one above with the marker, else with `.git`, else itself.
std::string collection_root(const FileSystem& files, const std::string& folder);

/// Sorted folder by folder; nothing is read. Folders that can't be listed, and links that lead out, are reported.
std::vector<std::string> recipes_in(const FileSystem& files, const CollectionPlan& plan, const ResourceLimits& limits,
                                    Bag& bag);

}  // namespace scruple
