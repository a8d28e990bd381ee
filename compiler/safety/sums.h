// Checks that add up over several subjects: the phototoxic sum, the sums over one harm, and what takes the phototoxic
// sum's place where every bottle is analysed.
#pragma once

#include <cstdint>
#include <vector>

#include "safety/judge.h"
#include "safety/limit_table.h"

namespace scruple {

inline void add_to(Affine& sum, const Affine& share, double times) {
    sum.at_zero += share.at_zero * times;
    sum.slope += share.slope * times;
}

/// The verdict of a check whose `used` is worked out: over at typical fails, or warns where the rule is soft; over at the
/// top of a range only warns.
void settle_use(Check& check);

/// The entry of `table` that holds in place of the phototoxic sum; kNone where the sum holds. Where the certificate of every
/// phototoxic oil's lot states it, a limit on what makes them so does: never where one of them is not analysed, or may burn
/// skin by something else, or where it is waived. `touched`: the entries that something in the product counts towards.
std::uint32_t in_the_sums_place(const Model& model, const Product& product, const Formula& formula, const CategoryTable& table,
                                const std::vector<std::uint32_t>& touched);

/// Adds the sum of fractions over all oils that burn skin in sun, at the blend's share `w` (w/w): of published rows, and once
/// more with derived rows where that is tighter. `replaced`: only of what is law.
void add_phototoxic_sums(const Formula& formula, const CategoryTable& table, bool replaced, double w, std::vector<Check>& checks);

/// Adds the sums over one harm: each substance's use of its own tightest published limit, from `checks`. Worked out and not
/// published, so they warn. Source: the sum of fractions to which the whole-oil maxima of Tisserand & Young, Essential Oil
/// Safety, 2nd ed. 2014, come out (recalled).
void add_harm_sums(const Model& model, double w, std::vector<Check>& checks);

}  // namespace scruple
