// Smaller packs of parts: ratios of fewer parts in all that come near a blend's own.
#pragma once

#include <cstdint>
#include <vector>

#include "advice/task.h"

namespace scruple {

struct Pack {
    std::vector<std::int64_t> parts;  // by line of the blend, none of them 0
    std::int64_t total = 0;
    double worst = 0;                 // largest relative change of one oil's share of the parts
    double distance = 0;              // of the shares by weight
};

/// The ratio of the fewest parts that changes no share by more than a tenth, a twentieth, a fiftieth; most parts first. Of a
/// blend in whole parts only such as have fewer; none of a blend in per cent, whose parts always come to 100.
std::vector<Pack> smaller_packs(const AdviceTask& task, const BlendFigures& blend);

}  // namespace scruple
