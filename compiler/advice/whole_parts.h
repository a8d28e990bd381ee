// The nearest ratio in small whole parts that the engine passes at the wanted load. Nearest is the least sum of the
// differences of the shares by weight; of several as near, the one that changes the fewest oils, then the smallest total of
// parts, then the one that stands first when the parts are read as a list of numbers, larger first.
#pragma once

#include <cstdint>
#include <vector>

#include "advice/nearest.h"

namespace scruple {

/// Up to so many oils and so many parts every ratio is looked at; beyond it only those near the ratio without steps.
inline constexpr std::size_t kAllOils = 5;
inline constexpr std::int64_t kAllParts = 24;
/// No more parts than this are tried.
inline constexpr std::int64_t kMostParts = 120;

struct WholeParts {
    bool found = false;
    std::vector<std::int64_t> parts;  // by line of the blend; 0 takes the oil out
    std::int64_t total = 0;
    std::vector<double> shares;       // by weight
    double distance = 0;
    int changed = 0;
    bool all_tried = false;           // every ratio up to kAllParts was looked at
    Trial trial;                      // the engine's own judgement of it
};

/// `near`: the ratio without steps, where to look beyond kAllOils and kAllParts.
WholeParts nearest_parts(const AdviceTask& task, const ShareRows& rows, const std::vector<double>& near);

/// Where `least` takes an oil out that `near` keeps: the ratio of the fewest parts, up to kMostParts, that keeps all of those and
/// passes; of several the nearest. Not found where there is none.
WholeParts parts_that_keep_all(const AdviceTask& task, const ShareRows& rows, const std::vector<double>& near);

}  // namespace scruple
