// What a report for people lists of a comparison, and what it only counts.
#pragma once

#include <array>

#include "changes/change.h"

namespace scruple::changes {

inline constexpr double kMuchUsed = 50;  // per cent of a limit from which its moving is worth a line

/// Of a kind that fills pages and decides nothing: counted where there is little room.
bool is_minor(const Change& change);
/// Whether a change is small as things stand with its unit: of what is new or gone only what it is made of and how it is
/// judged is worth a row.
bool is_small(const UnitChange& unit, const Change& change);
/// The ranks under which a unit has more than small changes.
std::array<bool, kRanks> listed_ranks(const UnitChange& unit);

/// Where more than `most` units differ, keeps the first `most` of each rank and counts the others. Units stand in order.
void shorten(Changes& changes, std::size_t most);

}  // namespace scruple::changes
