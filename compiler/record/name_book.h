// Names as makers type them at the bench: in words, in part, by another name. What a phrase may mean, nearest first.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "query/session.h"

namespace scruple {

class NameBook {
public:
    /// Oils of the library, and the oils and blends of the collection.
    explicit NameBook(const Compilation& compiled);

    /// Names that the phrase is, or begins, or whose words it begins. One that fits wholly stands alone; an empty list: none.
    std::vector<std::string> find(std::string_view phrase) const;
    /// The nearest name to a phrase that means nothing; empty if none is near.
    std::string near(std::string_view phrase) const;
    /// The title that goes with a name.
    std::string_view title(std::string_view name) const;
    /// All names, sorted: for completing what is typed.
    const std::vector<std::string>& all() const { return sorted_; }

private:
    struct Entry {
        std::string name;
        std::string title;
        std::vector<std::string> also;  // spelled as names
    };
    std::vector<Entry> entries_;        // sorted by name
    std::vector<std::string> sorted_;
};

}  // namespace scruple
