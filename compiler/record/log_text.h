// The text of a recipe with a bench in it, changed by a row: everything else keeps its bytes.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "record/entry.h"

namespace scruple {

/// The row of the language for an entry whose names are settled, with its gutter and line end:
/// `    add        2 drops frankincense    "too sweet"`. `unit` stands where the entry says none.
std::string row_text(const Entry& entry, std::string_view unit);
/// `    on         2026-05-02`
std::string day_row(std::string_view day);
/// A bench without rows yet; with a title if one is given.
std::string new_bench(std::string_view name, std::string_view title, std::string_view day);
/// A blend that takes what a mark holds.
std::string new_blend(std::string_view name, std::string_view title, std::string_view bench, std::string_view mark);
/// A string of the language.
std::string string_text(std::string_view text);

/// Where the block of `bench NAME` is, or nothing where the text has none or it does not close.
struct BenchPlace {
    std::size_t open = 0;    // offset of `{`
    std::size_t close = 0;   // of `}`
};
std::optional<BenchPlace> find_bench(std::string_view text, std::string_view name);

/// The text with rows put in before the block's closing brace.
std::string with_rows(std::string_view text, const BenchPlace& place, std::string_view rows);
/// The text with a declaration after all others, set off by a blank line.
std::string with_declaration(std::string_view text, std::string_view declaration);
/// The text with the last row of the block made a comment that says it was struck; nothing where the last row is not `row`.
std::optional<std::string> with_struck(std::string_view text, const BenchPlace& place, std::string_view row);

}  // namespace scruple
