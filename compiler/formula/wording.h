// Words that formulas and findings share: names, percentages, bases, and what a figure rests on. No
// digits are lost anywhere else in formula/ and safety/.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "formula/formula.h"
#include "library/model.h"

namespace scruple {

/// What a figure rests on, with its standing in words: "from memory of ISO 3520", "worked out, not
/// published: …". kNone gives "the maker's own figure".
std::string source_words(const Model& model, SourceId source);

/// The name by which recipes call it.
std::string material_name(const Model& model, MaterialId material);

/// A fraction as a percentage of `digits` significant digits: 0.0291 -> "2.91 %".
std::string percent_text(double fraction, int digits = 3);
/// Grams, millilitres: `digits` significant digits, at least to the whole unit.
std::string amount_text(double value, std::string_view unit, int digits = 4);
/// A fraction with what it is of, as a recipe writes it: "2.91 % of wax", "3 % v/v", "3 % of
/// total".
std::string load_text(const std::string& percent, Basis basis, Of of);

/// "a", "a and b", "a, b and c"; beyond `most` items "a, b and 5 more".
std::string list_text(const std::vector<std::string>& items, std::size_t most = 12);

/// Where a finding about the whole product belongs: its load, else its content, else its name.
Span load_place(const Product& product);

/// Adds it unless it is there.
void assume(std::vector<Assumption>& list, std::string what, std::string source);

}  // namespace scruple
