// The columns of the layout: where a row's value stands, by the block that the row stands in. They
// depend on nothing else, so that a row is written the same whatever its neighbours are.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>

#include "syntax/tree.h"

namespace scruple::layout {

inline constexpr std::size_t kIndent = 4;    // spaces a level
inline constexpr std::size_t kWidth = 100;   // lists are broken that take more columns
inline constexpr std::size_t kComment = 40;  // column of a comment behind a row
inline constexpr std::size_t kDeepest = 16;  // levels beyond it are not moved further in

/// A block as the layout sees it.
enum class Block : std::uint8_t { plain, line, prices, bench };

/// Columns are counted from where the row starts.
struct Gutters {
    Block block = Block::plain;
    bool limit = false;          // `unlimited` and `unstated` are amounts there
    std::uint8_t amount = 11;    // what stands behind an amount
    std::uint8_t field = 11;     // what stands behind a field's name
};

/// Of the block that a row opens. `kind` is the first word of the declaration that it is part of,
/// `word` the row's own first word; the same at the top.
Gutters gutters_of(std::string_view kind, std::string_view word);

/// How many of the atoms at the start of a row are its amount: `5 parts`, `0.2 % of total`,
/// `up to 1 %`, `rest`, `none`. 0 if it starts with none.
std::size_t amount_atoms(const SyntaxTree& tree, std::span<const Atom> atoms, bool limit);

/// The column that an atom inside a row starts in at the earliest, counted from the row's start; 0
/// where it has none. `at` is not the first atom.
std::size_t column_of(const SyntaxTree& tree, std::span<const Atom> atoms, std::size_t at,
                      bool last_item, Block block);

}  // namespace scruple::layout
