#include "diag/explain_texts.h"

namespace scruple::explain {
namespace {

constexpr Entry kEntries[] = {
    {Code::unexpected_text,
     {R"(Something stands here that the row has no use for: a word too many, a bracket, a mark from a list. Nothing is left
unread in silence, since the part that is passed over could be the one that matters.

Words for people go into a comment after `#`, or into a text in quotes at the end of the row.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade (the leaf)
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade    "the leaf"
    1 part     vetiver
}
)"}},

    {Code::unclosed_string,
     {R"(A text starts and ends with a double quote on one line. Without the second one, the rest of the line belongs to the
text, braces and all.

Long texts are several texts joined by commas, a line each.)",
      R"(blend night_ferry "Night Ferry {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::unknown_escape,
     {R"(Inside a text, a backslash does one thing: it makes the next character plain, where that is a quote or another
backslash. `\"` is a quote inside the text, `\\` is one backslash. Before anything else it stands for nothing.)",
      R"(blend night_ferry "Night Ferry" {
    remark     "half \ half"
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    remark     "half \\ half"
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::unclosed_block,
     {R"(Every `{` needs its `}`. The missing one was noticed where the next declaration starts, or at the end of the file;
the marked brace is the one that was left open.

The rest of the file is read all the same, so that one forgotten brace doesn't hide other findings.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver

blend day_ferry "Day Ferry" {
    4 parts    petitgrain_bigarade
    3 parts    ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

blend day_ferry "Day Ferry" {
    4 parts    petitgrain_bigarade
    3 parts    ho_wood
}
)"}},

    {Code::stray_brace,
     {R"(A `}` stands here that closes nothing. Either it is one too many, or the `{` it belongs to got lost: that one stands
at the end of the line with the kind and the name.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::brace_on_next_line,
     {R"(A row ends with its line, so the `{` that opens its block must stand on the same line. All collections look alike
that way, and a lost brace is noticed where it was lost.)",
      R"(blend night_ferry "Night Ferry"
{
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::crowded_block,
     {R"(Each row, and each declaration, has a line of its own. Only a block with a single row may stand on one line, as in
`blend plain_vetiver { 1 part vetiver }`.

One row a line is what makes a change of one row a change of one line, when versions are compared.)",
      R"(blend one { 1 part vetiver } blend two { 1 part ho_wood }
)",
      R"(blend one { 1 part vetiver }
blend two { 1 part ho_wood }
)"}},

    {Code::trailing_comma,
     {R"(A comma says that the list goes on, also on the next line. Here nothing follows, so either the comma is one too many
or something got lost after it.)",
      R"(blend night_ferry "Night Ferry" {
    intent     calming, grounding,

    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    intent     calming, grounding

    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::empty_item,
     {R"(Two commas have nothing between them, or a row starts with a comma. Either a comma is one too many, or something got
lost.)",
      R"(blend night_ferry "Night Ferry" {
    intent     calming,, grounding
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    intent     calming, grounding
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::nested_too_deep,
     {R"(Blocks may lie inside blocks two hundred deep, and no recipe needs more than three. A file beyond that is damaged, or
was made to exhaust the machine. What lies deeper was not read.)",
      "", ""}},

    {Code::too_many_errors,
     {R"(This file has more mistakes than are listed. Usually one slip near the top causes them, or the file is no recipe at
all. Mend the first ones and check again.)",
      "", ""}},

    {Code::misplaced_doc,
     {R"(Lines that start with `##` directly above a declaration are its documentation and reach its sheet. Elsewhere they
document nothing, and what you meant for the sheet would be missing there.

Write `#` for a plain comment, or move the lines directly above the declaration, without a blank line between.)",
      R"(blend night_ferry "Night Ferry" {
    ## one is plenty
    1 part     vetiver
    6 parts    petitgrain_bigarade
}
)",
      R"(## Calm and dry. Vetiver takes over soon.
blend night_ferry "Night Ferry" {
    # one is plenty
    1 part     vetiver
    6 parts    petitgrain_bigarade
}
)"}},
};

}  // namespace

std::span<const Entry> shape() { return kEntries; }

}  // namespace scruple::explain
