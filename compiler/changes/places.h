// Where in the new side's recipes a change was made: the rows that the old side does not have.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "base/span.h"
#include "changes/change.h"
#include "changes/imprint.h"

namespace scruple::changes {

/// A row of the new side that says what no row of the old declaration says.
struct ChangedRow {
    Span span;                            // its head
    std::vector<std::string_view> words;
};

struct ChangedDeclaration {
    std::string_view kind, name;
    Span head;
    std::vector<ChangedRow> rows;         // empty where rows only went
    std::vector<std::string_view> words;  // that it mentions
};

class Places {
public:
    /// The trees of both sides. All of them must outlive it.
    Places(const std::vector<const SyntaxTree*>& before, const std::vector<const SyntaxTree*>& after);

    /// Where the change comes from: a row that names what it is about, else a row of the product, of its blend, of what
    /// these rest on, of what holds for everything; else the head of the declaration. Unknown where nothing is left.
    Span of(const UnitChange& unit, const Change& change) const;

private:
    const ChangedDeclaration* changed(std::string_view name) const;
    std::vector<const ChangedDeclaration*> behind(const UnitChange& unit) const;

    std::vector<ChangedDeclaration> changed_;
    std::map<std::string_view, std::size_t> by_name_;                             // in changed_
    std::map<std::string_view, std::pair<Span, std::vector<std::string_view>>> all_;  // heads and words of the new side
};

}  // namespace scruple::changes
