#include <array>

#include "record/recorder.h"

namespace scruple {
namespace {

struct HelpRow {
    std::string_view word;
    std::string_view brief;   // in the list
    std::string_view more;    // alone
};

constexpr std::array<HelpRow, 11> kHelp{{
    {"add", "2 petitgrain                  add 2 drops of it",
     "An amount and an oil, several with commas, and how it smells now at the end:\n"
     "    2 petitgrain\n    petitgrain 2, ho wood 1 too sweet\n    0.5 ml orange \"a little softer\"\n"
     "An amount without a unit counts drops, or what the bench counts already.\n"
     "Part of a name is enough where only one oil is meant; Tab completes it.\n"},
    {"what", "what if 1 frankincense        show what it would do; records nothing",
     "Shows the beaker as it would be, and records nothing:\n    what if 1 frankincense\n"},
    {"strip", "strip rose, orange too alike   oils smelled together on paper",
     "Oils that were smelled together on a paper strip, before anything is mixed:\n    strip petitgrain, ho wood close cousins\n"},
    {"mark", "mark right                    give what is in the beaker a name",
     "A mark gives a name to what is in the beaker now. A blend, or another beaker,\ncan start from it later:\n    mark right\n"},
    {"after", "after 24 h greener            how it smells later",
     "How it smells after a while, in min, h, days or weeks:\n    after 24 h greener, the wood is drier\n"},
    {"undo", "undo                          strike the last row: it never went in",
     "Strikes the last row that was recorded in this session. It stays in the file as a\n"
     "comment, since a log only adds. Only for what never went into the beaker: a drop\ncan't be taken out again.\n"},
    {"blend", "blend night_ferry \"Night Ferry\"  make a blend of the last mark",
     "Writes a blend below the bench that takes what the last mark holds:\n    blend night_ferry \"Night Ferry\"\n"
     "    blend night_ferry at right\n"},
    {"check", "check                         look for mistakes and broken limits",
     "The same as `scruple check` of this collection. Finding nothing is no approval.\n"},
    {"show", "show                          the whole table of what is in the beaker", "The running table, with every oil.\n"},
    {"help", "help undo                     more of one of these", "`help` lists what can be entered, `help mark` says more of one of them.\n"},
    {"quit", "quit                          end; everything is on disk already", "Ends. Every row was on disk when its answer came; there is nothing to save.\n"},
}};

}  // namespace

std::string recorder_help(std::string_view word) {
    for (const HelpRow& row : kHelp) {
        if (row.word == word) return std::string(row.more);
    }
    std::string out;
    for (const HelpRow& row : kHelp) out += "  " + std::string(row.brief) + "\n";
    return out;
}

}  // namespace scruple
