// Tables in plain text: aligned by what characters take on a terminal, never wider than the page.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "emit/page.h"

namespace scruple::emit {

/// Lines of at most `width` columns: broken at spaces, and inside a word that is longer than a
/// line. Empty text gives one empty line. `width` at least 1.
std::vector<std::string> fold(std::string_view text, std::size_t width);

/// The table's lines without trailing spaces, each indented by `indent`, none wider than `width`
/// columns. Where even broken cells do not fit beside each other, every row becomes a short list.
std::vector<std::string> layout(const Table& table, std::size_t indent, std::size_t width);

}  // namespace scruple::emit
