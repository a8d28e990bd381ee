// Advice as text that a maker can paste: a variation of the blend, in the blend's own measure.
#pragma once

#include <string>
#include <vector>

#include "base/source.h"
#include "library/model.h"

namespace scruple {

/// A variation called `name` of `blend` in which each line comes to so many of `amounts` (a line of 0 goes out); of a blend in
/// per cent the amounts are per cents. A blend that holds accords has oils that no action can reach: there it is a blend of
/// its own. Lines end in \n.
std::string variation_text(const Model& model, const SourceMap& sources, const Blend& blend, const std::string& name,
                           const std::vector<Rational>& amounts);

/// A variation that puts one material in another's place, at the same amount, or a blend of its own as above.
std::string swap_text(const Model& model, const SourceMap& sources, const Blend& blend, const std::string& name,
                      MaterialId out, MaterialId in);

/// `stem`, or `stem_2` and so on where a material, blend, base or product has that name already.
std::string free_name(const Model& model, const std::string& stem);

/// The name by which the blend's own file calls a line's material.
std::string written_name(const Model& model, const SourceMap& sources, const BlendLine& line);

}  // namespace scruple
