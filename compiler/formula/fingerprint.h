// A blend's fingerprint: the same for every way of writing one ratio, another for any other ratio.
// It names what was assessed or made, so it must never change between versions; the text that it is
// made of is part of the promise.
#pragma once

#include <string>

#include "library/model.h"

namespace scruple {

/// What the fingerprint is taken of: "scruple.blend/1", then "volume" or "mass" or "drops", then
/// one line a material, sorted by name bytewise, "NAME PARTS" with the smallest whole parts ("NAME
/// N/D" where they are too large to count); every line ends with a line feed. Titles, order of rows
/// and number forms play no part.
std::string normalised_ratio(const Model& model, const Blend& blend);

/// The first 16 hexadecimal digits of the SHA-256 of the normalised ratio.
std::string fingerprint(const Model& model, const Blend& blend);

}  // namespace scruple
