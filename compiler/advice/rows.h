// Every limit on a product as a linear row over the shares of its oils. At a fixed load each use of a limit is affine in
// the shares; where the load is by volume, the blend's share by weight is 1 / (sum of thin_i * share_i), and multiplying
// by that makes the rows linear again.
#pragma once

#include <vector>

#include "advice/task.h"

namespace scruple {

/// Kept where  sum(use_i * share_i) <= sum(thin_i * share_i).
struct ShareRow {
    CheckKind kind = CheckKind::substance;
    SubstanceId substance = kNone;
    MaterialId material = kNone;
    const Limit* from = nullptr;
    const LimitRow* row = nullptr;
    const Guide* guide = nullptr;      // a usual dilution for those whom the product names
    const GuideRow* guide_row = nullptr;
    std::vector<double> use;           // by oil: what it uses of the limit if the blend is that oil alone, times thin_i
};

/// Of a sum over one harm: each of its substances at its own tightest rule, together at most 1.
struct HarmRows {
    const Harm* harm = nullptr;
    std::vector<std::vector<std::size_t>> of;  // by substance, the rows that it can be tightest by
};

struct ShareRows {
    enum class State : std::uint8_t {
        linear,
        too_many,      // more than kMostAdvisedOils
        undiluted,     // nothing but the blend, on skin
        not_known,     // amounts can't be worked out, or the load is no share of the whole for each of the oils
    };
    State state = State::not_known;
    std::vector<double> now;           // shares by weight of the blend as it is
    std::vector<double> thin;          // by oil: 1 over the blend's share of the product if the blend is that oil alone
    std::vector<ShareRow> rows;
    std::vector<HarmRows> harms;
    std::vector<char> banned;          // by oil: may not be there at all
    bool base_banned = false;          // nor may something that the base holds
    // For the largest load: use of a limit as base_zero + base_slope * w + sum(of_oil_i * w * share_i).
    struct Parts {
        Affine base;
        std::vector<double> of_oil;
    };
    std::vector<Parts> parts;          // by row
    double most_ww = 1;                // where the base gives out
};

/// Of more oils than this nobody weighs a ratio, and looking for one would take minutes.
inline constexpr std::size_t kMostAdvisedOils = 400;

ShareRows share_rows(const AdviceTask& task);

}  // namespace scruple
