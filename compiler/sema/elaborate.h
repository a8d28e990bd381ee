// Trees to records: resolves every name, checks every field against the schema table, every amount against its
// dimension, and gives the Model that later phases work on. Broken declarations stay out, with their reason said once.
#pragma once

#include "base/limits.h"
#include "base/source.h"
#include "diag/diagnostic.h"
#include "library/model.h"
#include "sema/collection.h"

namespace scruple {

/// The Model of a collection. `sources` grows by the library files that the collection names. The library's allergens are
/// read only where `labels` are wanted.
Model elaborate(const Collection& collection, SourceMap& sources, const ResourceLimits& limits, Bag& bag,
                bool labels = false);

/// The Model of the whole embedded library, for `scruple library` and for tests that read all of it.
Model elaborate_library(SourceMap& sources, const ResourceLimits& limits, Bag& bag);

}  // namespace scruple
