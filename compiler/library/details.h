// The rows of the library's declarations as they stand in its text. The phases read what they need into records; what
// else a declaration says (other names, remarks, botany, the price tier) is read here, for those who look into the
// library. Only they pay for it.
#pragma once

#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "library/embedded.h"
#include "schema/schema.h"

namespace scruple {

/// A word, a figure or a text of a row. Texts are without their quotes.
struct DetailAtom {
    std::string text;
    bool is_text = false;
};

/// Items stand between commas.
struct DetailRow {
    std::vector<std::vector<DetailAtom>> items;
    std::vector<DetailRow> rows;

    /// The row's first word: the field.
    std::string_view word() const;
    /// All its texts in quotes.
    std::vector<std::string> texts() const;
    /// The word after `mark`, such as the source after `by`; empty without one.
    std::string_view after(std::string_view mark) const;
    /// What it says beside its first word, sources and texts in quotes, as it is written.
    std::string figure() const;
};

/// Adds a word or figure as it is written: a blank before it, but none around a slash.
void append_written(std::string& out, std::string_view atom);

struct Detail {
    Kind kind{};
    std::string_view name;
    DetailRow declaration;

    const DetailRow* field(std::string_view word) const;
    /// The texts of all rows of a field, in order.
    std::vector<std::string> texts(std::string_view word) const;
    /// The first of them; empty without one.
    std::string text(std::string_view word) const;
    /// The value of a field that is a word or a figure; empty without one.
    std::string figure(std::string_view word) const;
};

class Details {
public:
    /// Reads all of the embedded library.
    Details();

    const std::vector<Detail>& all() const { return all_; }
    /// Null if there is none. Limits go by their subject and rule set.
    const Detail* find(NameSpace space, std::string_view name) const;
    const Detail* limit(std::string_view subject, std::string_view rules) const;

private:
    std::vector<Detail> all_;  // sorted by name, then kind
    std::unordered_map<std::string, std::size_t> places_;
};

}  // namespace scruple
