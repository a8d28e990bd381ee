// A bench on a page and for machines: what was done, row by row, what was then in the beaker, and who led the smell.
#pragma once

#include <string>
#include <string_view>

#include "emit/csv_writer.h"
#include "emit/json_writer.h"
#include "emit/page.h"
#include "formula/bench.h"

namespace scruple::emit {

/// "drops", "parts", "ml", "g"; "" while nothing was added.
std::string_view unit_word(Dim unit);
/// "1 drop", "2 drops", "2.5 ml".
std::string counted(const Rational& amount, Dim unit);
/// What a row says, in words: "1 drop Vetiver; 2 drops Ho wood"; with its step, what was not counted in drops has them beside it.
std::string row_words(const Bench& bench, const BenchRow& row, const BenchStep* step = nullptr);
/// "Vetiver 57.9 %, sticks out"; "not known" where an impact is missing, "nobody alone" where two lead alike.
std::string lead_words(const Model& model, const BenchStep& step);
/// Line by line, in per cent with one decimal, each the nearest to its own share; "?" where they are not known.
std::vector<std::string> share_texts(const BenchStep& step);
std::vector<std::string> odour_texts(const BenchStep& step);
/// The oils in the beaker with their amounts, shares and odour, and what the step's row did to them.
Table beaker_table(const Document& document, const Bench& bench, const BenchStep& step);
/// What is in the beaker so far, in money: "1.23", "at least 1.23", "?"; "" where the collection has no prices.
std::string cost_words(const Document& document, const Bench& bench, const BenchStep& step);

/// The same figures as lists and rows.
void write_bench(JsonWriter& json, const Document& document, BenchId bench);
/// Columns of the CSV that only benches fill, after those of blends and products.
inline constexpr std::string_view kBenchColumns[] = {"row",   "act",           "on",            "mark",  "unit",
                                                     "added", "share_percent", "odour_percent", "remark"};
void write_bench(CsvWriter& csv, const Document& document, BenchId bench);

}  // namespace scruple::emit
