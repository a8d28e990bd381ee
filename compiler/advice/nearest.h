// The nearest ratio of the same oils that keeps within every row, as shares without steps: a linear program. Nearest is
// the least sum of the differences of the oils' shares by weight; of several as near, the one that changes the fewest
// oils, and of those the one that changes the earliest in the blend.
#pragma once

#include <vector>

#include "advice/rows.h"

namespace scruple {

struct Nearest {
    enum class State : std::uint8_t {
        there,       // the blend as it is
        found,
        impossible,  // no ratio of these oils keeps within all rows at this load
    };
    State state = State::impossible;
    std::vector<double> shares;
    double distance = 0;
    int changed = 0;
    bool fewest = true;  // false: so many oils that not every choice of those to change was tried
};
Nearest nearest_shares(const ShareRows& rows);

/// The largest load, as a share of the product by weight, that some ratio of these oils takes, and such a ratio.
struct MostLoad {
    bool found = false;
    double load_ww = 0;
    std::vector<double> shares;
};
MostLoad most_load(const ShareRows& rows);

/// By how much `row` is used at these shares: 1 at its limit.
double use_of(const ShareRows& rows, std::size_t row, const std::vector<double>& shares);
/// Whether no row is over its limit, by the engine's tolerance.
bool keeps_within(const ShareRows& rows, const std::vector<double>& shares);

}  // namespace scruple
