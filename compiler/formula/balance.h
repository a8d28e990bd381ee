// The balance of a blend: where it sits by parts and by odour, who sticks out, and what brings a leader down without
// taking anything out. All exact, from the parts as written. Odour here is share times the library's `impact`, 1 to 10:
// common practice, no source.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "formula/formula.h"

namespace scruple {

/// An oil sticks out over half of the odour, or over three times its share of the parts. Common practice, no source.
inline constexpr int kSticksOutTimes = 3;
/// Of two oils of one odour family and one note, one with this many times the other's odour may cover it. Our own rule
/// of thumb.
inline constexpr int kMasksTimes = 4;

struct Balance {
    struct Oil {
        MaterialId material = kNone;
        Rational share;                    // of the parts, 0 to 1
        std::optional<int> impact;         // unknown is never taken as none
        std::optional<Rational> odour;     // of the odour that is known
        bool over_half = false;
        bool over_share = false;           // over three times its share of the parts
        bool sticks_out() const { return over_half || over_share; }
    };
    struct Notes {
        Rational top, middle, base, unknown;  // top_middle counts half each
    };
    /// One oil raised until the leader is no longer over: of all oils the one that takes the fewest drops.
    struct Raise {
        std::size_t leader = 0;            // index into `oils`
        std::size_t oil = 0;
        std::int64_t drops = 0;            // to add to a beaker of `beaker` drops, the smallest whole ratio
        std::int64_t beaker = 0;
        Rational before, after;            // the leader's odour
    };
    struct Mask {
        std::size_t strong = 0, weak = 0;
        Rational times;
    };

    std::vector<Oil> oils;                 // in the blend's order; empty where its parts are not known
    bool all_known = false;                // every oil has an impact
    Notes by_parts;
    std::optional<Notes> by_odour;         // none without any impact
    std::optional<std::size_t> leader;     // of those that stick out, the one with most odour
    std::optional<Raise> raise;            // none where no single oil can do it
    std::vector<Mask> masks;
};

/// Shares, odour and who sticks out; what could be done about it is left out.
Balance smell_of(const Model& model, const BlendFigures& blend);
/// All of it.
Balance balance_of(const Model& model, const BlendFigures& blend);

}  // namespace scruple
