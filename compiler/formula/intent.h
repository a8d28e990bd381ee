// What a blend is meant to be, held against what its oils are known for by tradition. Never a medical claim.
#pragma once

#include <string_view>
#include <utility>
#include <vector>

#include "formula/formula.h"

namespace scruple {

struct IntentReading {
    std::string_view mood;
    std::vector<MaterialId> carried_by;
    /// Oils that are known for a mood that pulls the other way, and not for this one. Which moods do is in the library.
    std::vector<std::pair<MaterialId, std::string_view>> against;
};

std::vector<IntentReading> read_intent(const Model& model, const Blend& blend);

/// Reports each of the usual moods that nothing in the blend is known for.
void report_intent(const Model& model, const Blend& blend, Bag& bag);

}  // namespace scruple
