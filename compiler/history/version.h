// One version of what a history is of: compiled from the declarations that it rests on, and taken apart into facts.
// Part of history/.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "changes/state.h"
#include "history/history.h"
#include "history/shelf.h"

namespace scruple::history {

struct Version {
    changes::State state;              // the blend and the products
    std::vector<std::string> errors;   // what kept it from being whole
    bool there = false;                // the figures are known
};

/// What is compiled, and for which of it figures are wanted.
struct Slice {
    std::string text;                  // the declarations one after the other
    std::vector<std::string> names;
};
/// `and_all`: with the workshop, rules, prices and all else that holds for everything.
Slice slice_of(const Shelf& shelf, const std::vector<std::string_view>& names, bool and_all = true);

/// `unit`: what must be there.
Version compile_slice(const Slice& slice, std::string_view unit, const std::string& on);
/// The same where another collection is imported, and all files are needed.
Version compile_tree(GitRepository& repository, const Tree& tree, const std::string& folder, const std::vector<std::string>& names,
                     std::string_view unit, const std::string& on);

/// Blends of a slice by name, with the fingerprint of each whose ratio is known.
std::map<std::string, std::string> fingerprints_in(const Slice& slice);

/// The figures of a unit; of a product the blend's ratio, too.
Figures figures_of(const Version& version, std::string_view unit);

}  // namespace scruple::history
