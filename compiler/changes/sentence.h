// Changes in words: what it is about, what it was, what it is now.
#pragma once

#include <string>
#include <vector>

#include "changes/change.h"

namespace scruple::changes {

struct Words {
    std::string about;
    std::string was;   // empty where there was nothing
    std::string now;
};
Words words(const UnitChange& unit, const Change& change);
/// The same on one line.
std::string sentence(const UnitChange& unit, const Change& change);
std::string row_sentence(const RowChange& row);

/// Of a kind that fills pages and decides nothing: counted where there is little room.
bool is_minor(const Change& change);

/// What a reviewer must know, gravest first; the first line stands for all of it. Never empty, and never an approval.
std::vector<std::string> summary(const Changes& changes);

/// What the whole comes to, as the first line says it.
enum class Outcome : std::uint8_t { same, worse, incomplete, differs };
Outcome outcome(const Changes& changes);

}  // namespace scruple::changes
