// What advice is about: one blend in one product at a wanted load, and the question whether another ratio of the same
// oils keeps within what is known there. The engine that judges recipes answers it, and nothing else does.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "formula/formula.h"
#include "safety/judge.h"
#include "safety/people.h"

namespace scruple {

struct AdviceTask {
    const Model* model = nullptr;
    const LimitTable* limits = nullptr;
    std::shared_ptr<CautionsOf> cautions_of;  // kept from trial to trial
    Blend blend;         // with the lots that the product names in the place of their oils
    Product product;     // at the wanted load; what it accepts counts for nothing
    bool typical = false;  // only published limits at typical composition count; what else is found warns
    std::string on;      // as in `judge`
};

/// Whether the load counts drops: what share of the product it is jumps from ratio to ratio.
inline bool in_drops(const Load& load) { return load.kind == LoadKind::up_to_drops || load.kind == LoadKind::between_drops; }

AdviceTask advice_task(const Model& model, const LimitTable& limits, const Product& product, bool typical);

/// A ratio worked out and judged.
struct Trial {
    BlendFigures blend;
    Formula formula;
    Judgement judgement;
    PeopleJudgement people;

    /// Whether nothing that the task counts is broken, by the engine's own verdicts. What is not known breaks nothing and is
    /// no pass either: that stays the caller's to say.
    bool within(const AdviceTask& task) const;
};

/// The task's blend with other amounts, by line; a line of nothing is left out.
Trial try_amounts(const AdviceTask& task, const std::vector<Rational>& amounts);
Trial try_blend(const AdviceTask& task, const Blend& blend);

/// The weight of one part of each line, in grams to the part: what turns amounts into shares by weight. Empty where a
/// density is missing.
std::vector<double> part_weights(const AdviceTask& task);
/// Amounts to shares by weight, which come to 1.
std::vector<double> shares_of(const std::vector<double>& weights, const std::vector<double>& amounts);

/// The distance of two ratios: the sum over all oils of the difference of their shares by weight, 0 to 2.
double distance(const std::vector<double>& a, const std::vector<double>& b);
/// Shares nearer than this are the same share.
inline constexpr double kSameShare = 1e-9;
/// How many shares differ.
int changed_shares(const std::vector<double>& a, const std::vector<double>& b);

}  // namespace scruple
