#include "diag/explain_texts.h"

// Characters that cannot be seen are written as escapes here, so that this file can be read.

namespace scruple::explain {
namespace {

constexpr Entry kEntries[] = {
    {Code::invalid_utf8,
     {R"(Recipes are stored as UTF-8, the encoding that every editor of today can write. Some bytes of this
file are no UTF-8, usually because the file was saved in an older encoding, or because it isn't a text at all.

What such bytes were meant to say can only be guessed, and a guess at a figure could hurt somebody. Open
the file in an editor, choose "save with encoding UTF-8", and look at the marked place: a letter with an
accent there may have to be typed again.)",
      "", ""}},

    {Code::nul_byte,
     {R"(A NUL is a byte of value zero. It has no place in a text; it comes from a damaged disk, a broken
transfer, or a file that was never a text (or is one in UTF-16, which writes a NUL beside every plain letter).

Nothing of such a file is read. Save it as UTF-8 in an editor, or fetch the file again from where it came.)",
      "", ""}},

    {Code::hidden_direction,
     {R"(Some characters can't be seen and turn the direction in which the text around them is shown. They belong
into Arabic and Hebrew texts; elsewhere they make a line look different from what it says. A recipe that
reads `0.2 %` on the screen could hold `2.0 %`.

The text is kept as it is, and you are told. Take the character out, unless the text needs it.)",
      "", ""}},

    {Code::lookalike_letter,
     {R"(One letter of this word comes from another alphabet, such as the Cyrillic or the Greek, and looks just like
a Latin one. To the compiler they are different letters, so the name matches nothing.

It happens when a text is copied from a web page or typed with two keyboard layouts. Type the word again, or
let the offered edit put the Latin letter.)",
      "blend night_ferry \"Night Ferry\" {\n    6 parts    petitgrain_bigarade\n    1 part     v\u0435tiver\n}\n",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::decimal_comma,
     {R"(Much of the world writes two and a half as `2,5`. Here a comma stands between the things of a list, so
`2,5` would be a 2 and a 5. Decimals are written with a point.

The reading is certain where it is offered as a safe edit, and the rest of the file is checked as if the point
stood there.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    2,5 parts  ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    2.5 parts  ho_wood
}
)"}},

    {Code::thousands_comma,
     {R"(`1,000` is a thousand to one reader and exactly one to another, who writes decimals with a comma. The two
are a thousand times apart, which is too much to guess in a recipe.

Write `1000` for the thousand, and `1.000` or `1` for the one.)",
      R"(blend night_ferry "Night Ferry" {
    1,000 drops  petitgrain_bigarade
    200 drops    vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    1000 drops   petitgrain_bigarade
    200 drops    vetiver
}
)"}},

    {Code::dash_range,
     {R"(A range is written with two points: `0.90..0.92`. A dash could also be a minus sign or part of a date.

Between the points may stand a third figure, the typical one: `0.90..0.91..0.92`. The unit comes once, at the end.)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    density    0.90-0.92 g/ml
}
)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    density    0.90..0.92 g/ml
}
)"}},

    {Code::range_points,
     {R"(A range is its lowest and its highest figure with exactly two points between, and no spaces: `0.90..0.92`.
Three points, one point, or points that stand apart could be a slip in the figures themselves, so they are not
taken for a range in silence.)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    density    0.90...0.92 g/ml
}
)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    density    0.90..0.92 g/ml
}
)"}},

    {Code::date_form,
     {R"(A date is written year, month, day, with four digits, two and two: `2026-05-02`. In that order it can't be
misread (`2.5.2026` is a day in May to some readers and in February to others), and dates sort by themselves.

A month alone, `2027-01`, means its last day.)",
      R"(rules house_rules "Rules of the house" {
    dated      2026-5-2
}
)",
      R"(rules house_rules "Rules of the house" {
    dated      2026-05-02
}
)"}},

    {Code::mixed_number,
     {R"(`1 1/2` is one and a half on paper, but two numbers side by side here. A number is written as one fraction,
`3/2`, or as a decimal, `1.5`. Both are exact.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 1/2 parts ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    3/2 parts  ho_wood
}
)"}},

    {Code::fraction_character,
     {"Keyboards of phones offer fractions as single characters, such as \u00BD. They are hard to tell apart when small, "
      "and a digit\nbefore one is easily overlooked.\n\nWrite them with a slash: `1/2`.",
      "blend night_ferry \"Night Ferry\" {\n    6 parts    petitgrain_bigarade\n    \u00BD part     vetiver\n}\n",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1/2 part   vetiver
}
)"}},

    {Code::bare_point,
     {R"(A point at the start of a number is easily lost in print, and then `.5` becomes `5`, ten times as much.
A digit comes first: `0.5`.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    .5 parts   vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    0.5 parts  vetiver
}
)"}},

    {Code::trailing_point,
     {R"(A number that ends with its point looks as if a digit were lost. Leave the point away, or write the digit:
`5` or `5.0`.)",
      R"(blend night_ferry "Night Ferry" {
    6. parts   petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::exponent,
     {R"(`1e2` is how calculators write a hundred. In a recipe it is easily misread, so numbers are written out.)",
      R"(blend night_ferry "Night Ferry" {
    1e2 drops  petitgrain_bigarade
    20 drops   vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    100 drops  petitgrain_bigarade
    20 drops   vetiver
}
)"}},

    {Code::micro_sign,
     {"The sign \u00B5 exists twice, as the micro sign and as a Greek letter, and both look alike. Microlitres are written "
      "`ul`.",
      "blend night_ferry \"Night Ferry\" {\n    3 ml       petitgrain_bigarade\n    500 \u00B5l     vetiver\n}\n",
      R"(blend night_ferry "Night Ferry" {
    3 ml       petitgrain_bigarade
    500 ul     vetiver
}
)"}},

    {Code::joined_basis,
     {R"(What a percentage counts, `w/w`, `v/v` or `w/v`, is a word of its own. A space parts it from the sign.)",
      R"(let house_load = 3 %w/w
)",
      R"(let house_load = 3 % w/w
)"}},

    {Code::dash_character,
     {"Word processors turn a typed `-` into a longer dash. It looks like a minus sign and is another character. "
      "Negative figures\nare written with the plain `-` of the keyboard.",
      "ingredient winter_wax \"Winter wax\" like jojoba {\n    melts      \u22126 C\n}\n",
      R"(ingredient winter_wax "Winter wax" like jojoba {
    melts      -6 C
}
)"}},

    {Code::curly_quote,
     {R"(Texts stand in plain double quotes. Word processors and phones like to put curly ones, which are four or more
different characters and easily mismatched.)",
      "blend night_ferry \u201CNight Ferry\u201D {\n    6 parts    petitgrain_bigarade\n    1 part     vetiver\n}\n",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::single_quote,
     {R"(Texts stand in double quotes, since a single one is also an apostrophe: "maker's choice" needs no care that way.)",
      R"(blend night_ferry 'Night Ferry' {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::no_break_space,
     {R"(Web pages and word processors use a second kind of space, one that keeps two words on a line. It can't be told
from a plain space by eye, and a search for the words would not find them.

It is read as a space, so nothing else is lost; the edit puts a plain one.)",
      "blend night_ferry \"Night Ferry\" {\n    6\u00A0parts    petitgrain_bigarade\n    1 part     vetiver\n}\n",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::invisible_character,
     {R"(A character without any shape stands here: a zero-width space, a joiner, a control character. It came with a
copied text. Inside a name it makes a different name; inside a number it could hide anything.

The edit takes it out.)",
      "blend night_ferry \"Night Ferry\" {\n    6 parts    petitgrain_bigarade\n    1 part     \u200Bvetiver\n}\n",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::full_width,
     {R"(East Asian keyboards have a second set of digits, letters and signs, as wide as a Chinese character. They are
different characters from the plain ones. What was meant is certain, and the edit writes it.)",
      "blend night_ferry \"Night Ferry\" {\n    \uFF16 parts   petitgrain_bigarade\n    1 part     vetiver\n}\n",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::semicolon,
     {R"(A row ends where its line ends, so nothing has to close it. To put two rows on one line, give each its own line
instead: one ingredient a line is what makes changes easy to see later.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade;
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::colon,
     {R"(A field and its value are parted by a space and nothing else: `intent calming`, not `intent: calming`.)",
      R"(blend night_ferry "Night Ferry" {
    intent:    calming
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    intent     calming
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::percent_first,
     {R"(The percent sign follows its number: `60 %`. Some languages put it first, and then it is not clear to every
reader where the number ends.)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    %60        petitgrain_bigarade
    rest       vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    rest       vetiver
}
)"}},

    {Code::degree_sign,
     {"Degrees Celsius are written `C`, or `\u00B0C` as one word. With a space between sign and letter, or with the "
      "look-alike\nordinal sign, they are two.",
      "base warm_base \"Warm base\" {\n    phase melt at 70 \u00B0 C {\n        40 %       beeswax_yellow\n"
      "        rest       jojoba\n    }\n}\n",
      R"(base warm_base "Warm base" {
    phase melt at 70 C {
        40 %       beeswax_yellow
        rest       jojoba
    }
}
)"}},

    {Code::times_sign,
     {R"(`2x` says how often but not of what. An amount has a unit: `2 parts`, `2 drops`, `2 ml`. The edit writes parts;
look whether that is what you mean.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    2x         ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    2 parts    ho_wood
}
)"}},

    {Code::slash_comment,
     {R"(A comment starts with `#` and goes to the end of its line. A slash stands in fractions and in units such as g/ml.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver           // one is plenty
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver           # one is plenty
}
)"}},

    {Code::approximate_sign,
     {R"(A recipe says what is weighed. "About six" can't be checked against a limit, and can't be made twice.

Write the amount that you use. If it varies, say so in a comment.)",
      R"(blend night_ferry "Night Ferry" {
    ~6 parts   petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade    # about
    1 part     vetiver
}
)"}},

    {Code::plus_sign,
     {R"(An amount is what goes in, so it needs no plus. To raise an amount in a variation, set the new amount:
`set 7 parts petitgrain_bigarade`.)",
      R"(blend night_ferry "Night Ferry" {
    +6 parts   petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::number_too_long,
     {R"(Numbers are exact here, whatever they are divided by, and that has a price: they may have 40 digits and no more.
No scale shows more than seven. A longer number was probably pasted from a spreadsheet; round it.)",
      R"(blend night_ferry "Night Ferry" {
    6.00000000000000000000000000000000000000001 parts  petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::number_overflow,
     {R"(Parts, percentages and drops are counted exactly, as whole numbers and fractions of up to 38 digits. This number, or
a sum it goes into, needs more. Rather than lose digits in silence, the compiler stops here.

Use rounder figures: `0.333` and `1/3` both work, a quotient of two numbers of thirty digits doesn't.)",
      R"(blend night_ferry "Night Ferry" {
    999999999999999999999999999999999999999 parts  petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    999 parts  petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::name_too_long,
     {R"(A name may have 255 characters. It is what other rows write; the title in quotes after it is for reading and may be
as long as you like.)",
      "", ""}},

    {Code::string_too_long,
     {R"(One text in quotes may have 64 thousand bytes. More than that in one line is a file pasted into another. Long texts
are several texts joined by commas, a line each.)",
      "", ""}},
};

}  // namespace

std::span<const Entry> text_and_tokens() { return kEntries; }

}  // namespace scruple::explain
