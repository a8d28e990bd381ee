// Sharing out whole units: rounded lines that add up to the rounded total, drops that keep a ratio.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "num/rational.h"

namespace scruple {

/// Largest-remainder (Hamilton) apportionment: whole numbers near `weights`, scaled, that sum to `total`.
/// Ties go to the earlier line. Weights must not be negative and not all zero, `total` not negative; otherwise the
/// result is empty. With `at_least_one`, every positive weight gets at least 1 (total must allow it; otherwise the
/// result is empty): a line whose quota is below 1 gets 1, and the others share the rest.
std::vector<std::int64_t> apportion(std::span<const Rational> weights, std::int64_t total,
                                    bool at_least_one = false);

/// Rounds masses (or volumes) to multiples of `division` so that the rounded lines sum to the rounded total (ties up).
/// Returned as counts of divisions, each the next below or above its own amount; negative or non-finite input, or a
/// count beyond 2^53, gives an empty result. division > 0.
std::vector<std::int64_t> round_lines(std::span<const double> amounts, double division);

/// Result of fitting a ratio into a number of drops.
struct DropFit {
    std::vector<std::int64_t> drops;   // empty when nothing fits
    std::int64_t total = 0;
    std::int64_t multiple = 0;         // k when the drops are k times the smallest whole ratio, else 0
    Rational worst_error;              // largest relative error of a share, 0 for a whole multiple
    std::int64_t smallest_fit = 0;     // sum of the smallest whole ratio: the fewest drops that keep it; 0 on overflow
};

/// Most totals times lines that a search tries; beyond it only the largest totals of the window are looked at.
inline constexpr std::int64_t kMostDropTrials = 2'000'000;

/// The parts as smallest whole numbers with the same ratio (parts positive). Empty on overflow.
std::vector<std::int64_t> smallest_whole_ratio(std::span<const Rational> parts);

/// Whole numbers in nearly the ratio of the parts.
struct NearRatio {
    std::vector<std::int64_t> parts;   // empty when there is none
    std::int64_t total = 0;
    Rational worst_error;              // largest relative error of a share
};

/// The ratio of the fewest parts in all, at most `most`, whose every share differs from its own by at most `tolerance` of
/// it (0.02: 2 %). No ratio of fewer parts does. Parts positive, at most 100 of them.
NearRatio simplest_ratio(std::span<const Rational> parts, const Rational& tolerance, std::int64_t most);

/// `up to D drops`: the largest whole multiple k = floor(D / N) of the smallest whole ratio; if k = 0, the drops are
/// the nearest ratio within D with its error, and `smallest_fit` says what would fit.
DropFit fit_up_to(std::span<const Rational> parts, std::int64_t most);

/// `between A and B drops`: a whole multiple in the window if there is one (the largest), else the total T in
/// [A, B] whose largest-remainder apportionment (every oil at least 1) has the least worst-case relative error;
/// ties go to the larger T.
DropFit fit_between(std::span<const Rational> parts, std::int64_t least, std::int64_t most);

}  // namespace scruple
