// What is known of a pair of units from their figures alone, before anything of them is written down and compared fact by
// fact. It is never a guess: what figures do not settle is left open, to be looked at.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "changes/state.h"

namespace scruple::changes {

enum class Sure : std::uint8_t { no, yes, open };

struct Weight {
    Sure differs = Sure::no;
    Sure worse = Sure::no;
    Sure parts = Sure::no;               // of a blend: its ratio is another
    std::array<Sure, kRanks> listed{};   // by rank: more than small changes
    int verdict = 0;                     // by `verdict_order`, the new one of a product whose verdict got worse
    std::vector<std::string> rows;       // rules whose row says something else

    static Weight unknown();
    bool settled() const;
};

/// Of two units of one name. Products' figures, as far as `wanted` goes, are at hand.
Weight weigh(const Unit& was, const Unit& is);

}  // namespace scruple::changes
