// The order of a merged block: the order that one side changed, with what each side added behind what it stood behind.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/function_ref.h"

namespace scruple::merging {

inline constexpr std::size_t kBase = 0, kOurs = 1, kTheirs = 2;

/// One element in the three versions, by its place there; -1 where it is not.
struct Slot {
    std::array<std::int32_t, 3> at{-1, -1, -1};
    bool in(std::size_t side) const { return at[side] >= 0; }
};

struct WeaveInput {
    std::array<std::vector<std::string>, 3> names;  // within a version each is there once
    std::array<std::vector<bool>, 3> ordered;       // whether the element's place is meaning
    /// Of what one side took out: whether the other left it as it was.
    FunctionRef<bool(const Slot&)> gone;
    /// A text by which runs are put in order where no order is meaning. The same whichever side they are of.
    FunctionRef<std::string(std::size_t side, const std::vector<Slot>&)> text;
};

/// A slot, or what both sides put into one place where order is meaning.
struct Strand {
    Slot slot;
    bool clash = false;
    std::vector<Slot> ours, theirs;
};

struct Woven {
    bool disordered = false;  // both sides changed an order that is meaning, each in another way
    std::vector<Strand> strands;
};

Woven weave(const WeaveInput& input);

}  // namespace scruple::merging
