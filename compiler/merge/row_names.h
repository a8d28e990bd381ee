// What a row is known by: the name under which it is the same row in another version. Declarations have their kind and
// name, rows with an amount the oil that they speak of, others their field.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "syntax/tree.h"

namespace scruple::merging {

/// Where a row stands, as far as its name depends on it.
struct Place {
    std::string_view kind;   // of the declaration; empty at the top
    std::string_view block;  // the word that opened the block; the kind in a declaration's own
};

/// The atoms of an item, blanks and the writing of figures aside: `2.0 part` is `2 parts`.
std::string item_text(const SyntaxTree& tree, std::span<const Atom> atoms);
void append_row_text(std::string& out, const SyntaxTree& tree, const Row& row);

/// First word of a row, or empty.
std::string_view first_word_of(const SyntaxTree& tree, const Row& row);

/// How many atoms of a row are its amount. A row of a line starts with a count alone.
std::size_t amount_length(const SyntaxTree& tree, std::span<const Atom> atoms, const Place& place);

/// `=` and what an amount is of, or the words of a field.
std::string row_name(const SyntaxTree& tree, const Row& row, const Place& place);
/// With the amount or all else that the row says: where several rows have one name.
std::string full_row_name(const SyntaxTree& tree, const Row& row, const Place& place);
/// The name for people.
std::string spoken(std::string_view name);

/// Whether a row's place among its neighbours is meaning: the phases of a base.
bool order_is_meaning(const SyntaxTree& tree, const Row& row, const Place& place);

}  // namespace scruple::merging
