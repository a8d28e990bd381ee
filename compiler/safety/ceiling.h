// The largest load that passes, solved from the checks' affine uses and written down as a maker
// would type it.
#pragma once

#include <optional>
#include <vector>

#include "safety/judge.h"

namespace scruple {

/// What the ceiling is worked out from.
struct CeilingTask {
    const std::vector<Check>* checks = nullptr;
    std::vector<Affine> use;   // of each check; for a ban only the sign of zero and slope counts
    std::vector<char> counts;  // whether the check binds this ceiling
    double load_ww = 0;        // as the product is now
    double most_ww = 1;        // where the base gives out
    std::optional<LoadScale> scale;
    Basis basis = Basis::ww;
    Of of = Of::total;
    bool on_skin = false;
    bool all_known = true;  // composition and limits: otherwise nothing binding does not mean safe
};

/// Whether a use is within its limit; the one predicate of verdicts and ceilings.
inline bool within_limit(double use) {
    return use <= 1 + kLimitTolerance;
}
/// Nothing is diluted at and above this share.
inline constexpr double kUndiluted = 1 - 1e-9;

Ceiling solve_ceiling(const CeilingTask& task);

}  // namespace scruple
