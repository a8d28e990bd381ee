// Advice for people and for machines. The same advice gives the same bytes.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "advice/advice.h"
#include "emit/emit.h"

namespace scruple {

/// Pages, and at the end what can be pasted, each line as it goes into a recipe.
std::string advice_text(const Advice& advice, const SheetOptions& options);
/// Schema `scruple.advice/1`.
std::string advice_json(const Advice& advice);

/// What leaves a product open: limits without a figure here, and oils of which much is not known; empty where nothing does.
std::vector<std::string> not_known(const Model& model, const Judgement& judgement);
/// The rule of a row as a check, for words about it.
Check row_as_check(const ShareRows& rows, std::size_t row, const std::vector<double>& shares);
/// The row that is used most at these shares; none without rows.
std::optional<std::size_t> tightest_row(const ShareRows& rows, const std::vector<double>& shares);
/// A share as a percentage with as many digits as it takes to be told from the other.
std::string share_apart(double share, double other);

}  // namespace scruple
