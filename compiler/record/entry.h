// One line typed at the bench, as what it asks for. `2 petitgrain`, `petitgrain 2, ho wood 1 too sweet`, `strip rose, orange`,
// `mark right`, `after 24 h greener`, `what if 1 frankincense`, `undo`, `blend NAME "Title"`, `check`, `show`, `help`, `quit`.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "record/name_book.h"

namespace scruple {

enum class Ask { nothing, add, what_if, strip, mark, after, remark, undo, blend, check, show, help, quit };

/// So much of one oil, or an oil on a strip.
struct EntryOil {
    std::string amount;                // as the language writes it: "2", "0.5", "1/2"; empty on a strip
    std::string unit;                  // "drops", "ml", …; empty where none was said
    std::vector<std::string> names;    // what the phrase may mean; one where it is clear
    std::string phrase;                // as typed
    std::string remark;
};

struct Entry {
    Ask ask = Ask::nothing;
    std::vector<EntryOil> oils;
    std::string word;                  // the name of a mark or a blend; the hours of `after`, as "24 h"; what help is asked for
    std::string mark;                  // of `blend NAME at MARK`
    std::string text;                  // remark or title
    std::string wrong;                 // not empty: it could not be read, and this says why and what would be
};

/// Never fails: what can't be read comes back with `wrong`. Names are looked up in the book; `in_beaker` decides between
/// several that a phrase may mean.
Entry read_entry(std::string_view line, const NameBook& book, const std::vector<std::string>& in_beaker);

}  // namespace scruple
