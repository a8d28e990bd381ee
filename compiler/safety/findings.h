// The words of safety findings. Nothing here decides anything: judge() has, and each finding gives
// back its figures, the row that they rest on, who brings the substance, and a load that passes.
#pragma once

#include "safety/judge.h"

namespace scruple {

struct FindingContext {
    const Model& model;
    const Product& product;
    const Format& format;
    const Formula& formula;
    const Judgement& judgement;
};

/// All findings of one judged product, in the order of its checks.
void report_findings(const FindingContext& context, Bag& bag);

}  // namespace scruple
