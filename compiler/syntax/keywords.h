// The words that open a declaration. The parser needs them to find its feet again after an error; the schema table
// says what they mean (a test holds the two together).
#pragma once

#include <algorithm>
#include <array>
#include <string_view>

namespace scruple {

inline constexpr std::array<std::string_view, 33> kDeclarationWords = {
    "allergen", "assessed", "audience", "base", "batch", "bench", "blend", "category", "caution", "cite", "container",
    "format", "group", "guide", "harm", "hazard", "ingredient", "let", "limit", "line", "lot", "oil", "prices",
    "product", "rate", "rules", "soap", "stock", "substance", "unit", "use", "variation", "workshop"};

constexpr bool is_declaration_word(std::string_view word) {
    return std::binary_search(kDeclarationWords.begin(), kDeclarationWords.end(), word);
}

/// Declarations that stand in one row; the others open a block on their first line.
constexpr bool is_one_row_declaration(std::string_view word) {
    return word == "unit" || word == "let" || word == "use" || word == "rate" || word == "cite";
}

}  // namespace scruple
