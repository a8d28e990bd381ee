// Two versions of a collection, read, worked out as far as they can differ, and compared.
#pragma once

#include <string>
#include <vector>

#include "changes/change.h"
#include "cli/commands.h"
#include "cli/sides.h"
#include "query/session.h"

namespace scruple {

struct VersionsOptions {
    std::string on;                  // the date for which recipes are judged; empty: none
    std::vector<std::string> only;   // blends, products or lines; empty: all
    CommonOptions common;
    std::vector<std::pair<std::string, std::string>> renamed;  // old and new names of one thing
    std::size_t most = 0;            // as of changes::CompareOptions
};

struct Versions {
    int status = 0;                  // else an exit status; why was said on the error stream
    changes::Changes changes;
    /// The collections that each side was read from; live until the process ends. None of a saved document.
    std::vector<const Compilation*> old_recipes, new_recipes;
};

/// What says the same on both sides, and rests on the same, is left out before its figures are worked out; what cannot be
/// read or does not compile stays in the changes as an error of its side.
Versions compare_versions(const Sides& sides, const VersionsOptions& options);

}  // namespace scruple
