#include "diag/explain_texts.h"

namespace scruple::explain {
namespace {

constexpr Entry kEntries[] = {
    {Code::no_rows,
     {R"(The list is empty. A blend needs at least one oil, a base something to hold, a line one format.)",
      R"(blend night_ferry "Night Ferry" {
    intent     calming
}
)",
      R"(blend night_ferry "Night Ferry" {
    intent     calming
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::not_closed,
     {R"(A list in per cent says what the whole is made of, so it must come to exactly 100 %. Scaling it up or down in silence
would make another recipe than the one that is written.

Mend the figure that is wrong, or let one row take the `rest`: then that row gives way when another changes.)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    38 %       ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    rest       ho_wood
}
)"}},

    {Code::rest_twice,
     {R"(`rest` fills the list up to 100 %. With two of them it is not known how to share what is left. Give one of the two its
own percentage.)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    rest       ho_wood
    rest       vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    rest       ho_wood
    5 %        vetiver
}
)"}},

    {Code::rest_of_nothing,
     {R"(The other rows take up the whole already, so nothing is left for the one that takes the rest. One of their figures is too
large, or the row is not needed. In a product, a high load and rows `of total` can use a base up in the same way.)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    40 %       ho_wood
    rest       vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    35 %       ho_wood
    rest       vetiver
}
)"}},

    {Code::rest_without_percent,
     {R"(`rest` is what is missing from 100 %. Parts, drops and weights have no whole that they must come to, so there is no rest.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    rest       vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::no_effect,
     {R"(This action leaves the blend as it is: it sets an amount that is there already, or replaces an oil by itself. Perhaps the
blend below has changed since, and the action is out of date; perhaps the figure is mistyped. It must not pass
unnoticed, because a reader would believe that something changes.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation deck_ferry "Deck Ferry" of night_ferry {
    set        1 part vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation deck_ferry "Deck Ferry" of night_ferry {
    set        2 parts vetiver
}
)"}},

    {Code::already_there,
     {R"(`add` brings in an oil that the blend doesn't hold yet. This one is there. To change its amount, `set` it: the figure
after `set` is the new amount, not the difference.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation deck_ferry "Deck Ferry" of night_ferry {
    add        2 parts vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation deck_ferry "Deck Ferry" of night_ferry {
    set        2 parts vetiver
}
)"}},

    {Code::not_there,
     {R"(`set`, `remove` and `replace` change an oil that the blend holds, and this one it doesn't hold. Perhaps it was taken out
since, or goes by another name. To bring it in, `add` it.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation deck_ferry "Deck Ferry" of night_ferry {
    remove     ho_wood
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

    {Code::one_action,
     {R"(Two actions work on one oil. The order of rows means nothing here, so it would not be known which of them comes first.
Say what the oil becomes, in one row.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation deck_ferry "Deck Ferry" of night_ferry {
    set        2 parts vetiver
    replace    vetiver with 2 parts ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation deck_ferry "Deck Ferry" of night_ferry {
    replace    vetiver with 2 parts ho_wood
}
)"}},

    {Code::all_removed,
     {R"(The variation takes out every oil of its blend and adds none, so nothing is left. If nothing of the blend remains, write a
blend of its own.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation deck_ferry "Deck Ferry" of night_ferry {
    remove     petitgrain_bigarade, vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation deck_ferry "Deck Ferry" of night_ferry {
    remove     vetiver
}
)"}},

    {Code::variation_cycle,
     {R"(These blends are made of each other in a circle, so none of them can be made first. The message shows the circle; break
it by starting one of them from a blend outside.)",
      R"(variation night_ferry "Night Ferry" of day_ferry {
    add        1 part vetiver
}

variation day_ferry "Day Ferry" of night_ferry {
    add        2 parts ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

variation day_ferry "Day Ferry" of night_ferry {
    add        2 parts ho_wood
}
)"}},

    {Code::variation_too_deep,
     {R"(A variation may be of a variation, thirty-two times over. Beyond that nobody can tell any more what is in it. Write out
one of those in the middle as a blend and go on from there.)",
      "", ""}},

    {Code::base_cycle,
     {R"(These bases hold each other, so neither can be made first. Take one out of the other.)",
      R"(base balm_base "Balm base" {
    50 %       oil_base
    rest       beeswax_yellow
}

base oil_base "Oil base" {
    20 %       balm_base
    rest       jojoba
}
)",
      R"(base balm_base "Balm base" {
    50 %       oil_base
    rest       beeswax_yellow
}

base oil_base "Oil base" {
    20 %       olive
    rest       jojoba
}
)"}},

    {Code::blend_row_twice,
     {R"(The row `blend` says in which phase the oils go in. They go in once, so there is one such row; without any, they go into
the last phase.)",
      R"(base sea_scrub "Sea-salt scrub" {
    phase dry {
        68 %       sea_salt
        blend
    }
    phase oil {
        rest       sunflower_high_oleic
        blend
    }
}
)",
      R"(base sea_scrub "Sea-salt scrub" {
    phase dry {
        68 %       sea_salt
    }
    phase oil {
        rest       sunflower_high_oleic
        blend
    }
}
)"}},

    {Code::formula_too_long,
     {R"(A blend may come to ten thousand lines, with everything in it written out. Beyond that the file is damaged, or was made
to exhaust the machine.)",
      "", ""}},

    {Code::run_too_long,
     {R"(All formulas of a run may come to five million lines together, so that every run ends in bounded time. Check or build a
part of the collection at a time.)",
      "", ""}},
};

}  // namespace

std::span<const Entry> blends() { return kEntries; }

}  // namespace scruple::explain
