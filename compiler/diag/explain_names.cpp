#include "diag/explain_texts.h"

namespace scruple::explain {
namespace {

constexpr Entry kEntries[] = {
    {Code::unknown_kind,
     {R"(A file holds declarations, and each starts with the word for its kind: blend, variation, product, line, base, oil,
ingredient, workshop and a few more. This word is none of them.

`scruple explain` lists the kinds, and `scruple explain blend` the fields of one.)",
      R"(blnd night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::unknown_field,
     {R"(Each kind of declaration has its own fields, and this word is none of them. It may be misspelt, or belong to another
kind: how much to make is said in a product, not in a blend.

`scruple explain` with the kind's name lists its fields.)",
      R"(blend night_ferry "Night Ferry" {
    intnt      calming
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

    {Code::unknown_name,
     {R"(Nothing of this name is declared in the collection, and the library has none either. Most often it is a slip of the
finger, or a name of two words that wants an underscore: `ho_wood`.

An oil that the library doesn't know is declared in your own files. `scruple library` with a word, such as its botanical
name, looks for what the library calls it.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetivr
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::ambiguous_name,
     {R"(Several plants share this name, and their oils differ: in smell, in price, and in what is safe. A recipe says which
of them it means.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    2 parts    frankincense
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    2 parts    frankincense_carterii
}
)"}},

    {Code::wrong_kind,
     {R"(The name exists, but it is something else than what belongs here. A blend is made of oils and of other blends; carriers
such as jojoba come in with the product, after `in`, because how much of them there is depends on the load.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    20 parts   jojoba
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::duplicate_name,
     {R"(Two declarations share one name, so a row that uses it could mean either. Oils, ingredients, blends and bases share one
set of names; products and lines have another, formats a third.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

blend night_ferry "Night Ferry, second try" {
    5 parts    petitgrain_bigarade
    2 parts    ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

blend night_ferry_two "Night Ferry, second try" {
    5 parts    petitgrain_bigarade
    2 parts    ho_wood
}
)"}},

    {Code::shadowed_name,
     {R"(The library has something of this name. A declaration from scratch would hide the library's, and with it its
composition, its density and its limits, and nobody reading a recipe would see that.

To change some of it, start from the library's with `like`: what you don't say stays as it is there. For another thing
altogether, choose another name.)",
      R"(oil vetiver "Our vetiver" {
    impact     6
}
)",
      R"(oil vetiver "Our vetiver" like vetiver {
    impact     6
}
)"}},

    {Code::reserved_name,
     {R"(Some words are part of the language's own sentences, such as `rest`, `of`, `in`, `total` and `none`, and can't be names:
a row with one would read in two ways.)",
      R"(blend rest "Rest" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend repose "Rest" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::uppercase_name,
     {R"(Names are written in small letters, so that nobody has to remember which ones have capitals. The title in quotes after
the name is what sheets and labels show, and may have any.)",
      R"(blend Night_Ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::bad_name,
     {R"(A name starts with a small letter and goes on with small letters, digits and underscores. A dot stands only between an
import and a name of it, as in `shelf.fir_smoked`.)",
      R"(blend night.ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::missing_name,
     {R"(A declaration has a name after its kind, by which other rows refer to it. The title in quotes comes after the name and
does not replace it.)",
      R"(blend "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::missing_field,
     {R"(Some fields must be there, because nothing can be worked out without them: a product says its blend and its format, a
format whether it stays on skin.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_reeds "Night Ferry reeds" {
    blend      night_ferry at 20 %
    in         dpm_glycol_ether
    make       10
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_reeds "Night Ferry reeds" {
    blend      night_ferry at 20 %
    format     reed_diffuser of 100 ml
    in         dpm_glycol_ether
    make       10
}
)"}},

    {Code::duplicate_field,
     {R"(A field is given twice, and only one of them could count. Which one you meant is not for the compiler to guess: take one
out. Fields that take several values take them in one row, joined by commas.)",
      R"(blend night_ferry "Night Ferry" {
    intent     calming
    intent     grounding
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

    {Code::duplicate_clause,
     {R"(One row says the same thing twice, such as how much blend goes in. Only one of them could count: take the other out.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_reeds "Night Ferry reeds" {
    blend      night_ferry at 20 % at 25 %
    format     reed_diffuser of 100 ml
    in         dpm_glycol_ether
    make       10
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_reeds "Night Ferry reeds" {
    blend      night_ferry at 20 %
    format     reed_diffuser of 100 ml
    in         dpm_glycol_ether
    make       10
}
)"}},

    {Code::duplicate_row,
     {R"(The same thing stands in one list twice. It could be an amount split in two on purpose or a row pasted twice; a recipe
should not leave that open. Give each material one row with the whole amount.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    2 parts    vetiver
}
)"}},

    {Code::unknown_word,
     {R"(This field takes one word out of a list, and this word is not in it. The message names the list; `scruple explain` with
the field's name tells more.)",
      R"(blend night_ferry "Night Ferry" {
    by mass
    60 %       petitgrain_bigarade
    rest       vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    rest       vetiver
}
)"}},

    {Code::wrong_shape,
     {R"(The value is of another form than the field takes: a text in quotes where a plain word is due, a word where an amount is
due. `scruple explain` with the field's name says what it takes.)",
      R"(blend night_ferry "Night Ferry" {
    intent     "calming"
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

    {Code::missing_value,
     {R"(The row starts to say something and stops: a field without its value, `at` without a percentage, a material without its
amount. Finish it, or take the row out.)",
      R"(blend night_ferry "Night Ferry" {
    intent
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

    {Code::unused_block,
     {R"(A block stands behind a row that has no use for one, so everything in it would be passed over.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver { remark "one is plenty" }
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver    "one is plenty"
}
)"}},

    {Code::like_cycle,
     {R"(`like` starts from another's figures. Here two or more things start from each other, so there is no first one to take
figures from. The same goes for units made of themselves, and for groups that hold each other.)",
      R"(oil fir_one "First fir" like fir_two {
    impact     5
}

oil fir_two "Second fir" like fir_one {
    impact     6
}
)",
      R"(oil fir_one "First fir" like fir_siberian {
    impact     5
}

oil fir_two "Second fir" like fir_one {
    impact     6
}
)"}},

    {Code::like_blend,
     {R"(A blend that comes from another is a `variation`: it says action by action what changes, so that the change can be
checked against the blend and followed through the history. `like` is for oils, ingredients, bases and formats.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

blend deck_ferry "Deck Ferry" like night_ferry {
    2 parts    ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation deck_ferry "Deck Ferry" of night_ferry {
    add        2 parts ho_wood
}
)"}},

    {Code::none_absent,
     {R"(`none` takes a row out of what this is like, and there is no such row. Perhaps the name is another one, or the library
has changed and the row is gone already: then take yours out too. An edit that does nothing must not pass unnoticed.)",
      R"(oil smoked_vetiver "Smoked vetiver" like vetiver {
    contains {
        none       menthol
    }
}
)",
      R"(oil smoked_vetiver "Smoked vetiver" like vetiver {
    impact     7
}
)"}},

    {Code::two_workshops,
     {R"(The workshop holds your own facts: the scale, the dropper, the market, the rules to judge by. A collection has one, or it
would not be known which facts count. If you work in two places, keep two collections.)",
      R"(workshop "Example Stillroom" {
    dropper    20 drops/ml
}

workshop "Example Shed" {
    dropper    25 drops/ml
}
)",
      R"(workshop "Example Stillroom" {
    dropper    20 drops/ml
}
)"}},
};

}  // namespace

std::span<const Entry> names() { return kEntries; }

}  // namespace scruple::explain
