// Changes in words: what it is about, what it was, what it is now.
#pragma once

#include <limits>
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

/// What a reviewer must know, gravest first; the first line stands for all of it. Never empty, and never an approval.
/// `most`: so many lines, and a last one where there is more.
std::vector<std::string> summary(const Changes& changes, std::size_t most = std::numeric_limits<std::size_t>::max());

/// What the whole comes to, as the first line says it.
enum class Outcome : std::uint8_t { same, worse, incomplete, differs };
Outcome outcome(const Changes& changes);

}  // namespace scruple::changes
