#include "diag/explain_texts.h"

namespace scruple::explain {
namespace {

constexpr Entry kEntries[] = {
    {Code::unknown_unit,
     {R"(No unit of this name is known. It may be misspelt; units are never guessed, because a wrong one is a wrong amount.
`unit dash = 1/8 us_tsp` declares a unit of your own.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    2 prts     ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    2 parts    ho_wood
}
)"}},

    {Code::unit_case,
     {R"(Units mind their letters: a milligram and a megagram differ by nothing but the size of one letter. Each spelling that is
allowed is listed, as `ml` and `mL`.)",
      R"(blend night_ferry "Night Ferry" {
    6 ml       petitgrain_bigarade
    1 ML       vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 ml       petitgrain_bigarade
    1 ml       vetiver
}
)"}},

    {Code::unit_whose,
     {R"(A teaspoon, a cup, a pint or a gallon is one measure in the United States, another in Britain, another in a metric
kitchen. A recipe says whose it means: `us_tsp`, `metric_tsp`.

The sheet then shows millilitres and grams, so that nobody has to own that spoon.)",
      R"(blend night_ferry "Night Ferry" {
    6 ml       petitgrain_bigarade
    1 tsp      ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 ml       petitgrain_bigarade
    1 metric_tsp ho_wood
}
)"}},

    {Code::ounce_of_weight,
     {R"(A bare ounce is a weight of 28.35 g to one maker and a volume of 29.57 or 28.41 ml to another, and for a light oil the
difference is more than a tenth. Say which: `oz_wt` for weight, `us_floz` or `imp_floz` for volume.)",
      R"(blend night_ferry "Night Ferry" {
    2 oz       petitgrain_bigarade
}
)",
      R"(blend night_ferry "Night Ferry" {
    2 oz_wt    petitgrain_bigarade
}
)"}},

    {Code::percent_word,
     {R"(Percentages are written with the sign, so that they all look alike: `60 %`.)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 percent petitgrain_bigarade
    rest       vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    rest       vetiver
}
)"}},

    {Code::missing_unit,
     {R"(A number alone does not say what it counts. Six parts, six drops and six grams make three different blends.)",
      R"(blend night_ferry "Night Ferry" {
    6          petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::unexpected_unit,
     {R"(This figure is a plain count or a mark on a scale, and has no unit.)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    impact     5 drops
}
)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    impact     5
}
)"}},

    {Code::wrong_dimension,
     {R"(Every quantity is of some kind: a weight, a volume, a density, a time. This one is of another kind than belongs here.
Kinds are never turned into each other without saying how: a weight becomes a volume only through a density, which
stands on the sheet.)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    density    0.91 g
}
)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    density    0.91 g/ml
}
)"}},

    {Code::mixed_amounts,
     {R"(A blend counts all its oils in one measure. Drops and grams in one list could be brought together only with the density
and the dropper of each oil, and then the ratio that you see would not be the one that is made.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    3 drops    vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::percent_of_what,
     {R"(A percentage of a blend can be of its weight or of its volume, and for oils of different density these differ. The blend
says which, once, before its rows: `by weight` or `by volume`.

A format's usual load says in the same way what it is a share of: `of total`, `of wax`.)",
      R"(blend night_ferry "Night Ferry" {
    60 %       petitgrain_bigarade
    40 %       ho_wood
}
)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    40 %       ho_wood
}
)"}},

    {Code::wrong_basis,
     {R"(The percentage says that it counts something which it can't count here. In a blend the basis is said once for all rows; in
a base a row is a share of the base's weight, or `of total`; what an oil contains is a share of its weight.)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 % v/v   petitgrain_bigarade
    rest       vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    by weight
    60 %       petitgrain_bigarade
    rest       vetiver
}
)"}},

    {Code::let_basis,
     {R"(A named percentage is used as a share of two different things. `third` of a blend and `third` of a base are two
quantities that only look alike, and changing one for the sake of the other would change both.

Declare two, or say in the declaration what it is a share of.)",
      R"(let third = 33 %

blend night_ferry "Night Ferry" {
    by weight
    third      petitgrain_bigarade
    rest       ho_wood
}

base ferry_base "Ferry base" {
    third      jojoba
    rest       olive
}
)",
      R"(let third = 33 %
let third_of_base = 33 %

blend night_ferry "Night Ferry" {
    by weight
    third      petitgrain_bigarade
    rest       ho_wood
}

base ferry_base "Ferry base" {
    third_of_base  jojoba
    rest       olive
}
)"}},

    {Code::range_order,
     {R"(A range goes from its lowest figure to its highest; with three figures, the typical one stands between. This one runs
backwards, so one of the figures is probably mistyped.)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    density    0.92..0.90 g/ml
}
)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    density    0.90..0.92 g/ml
}
)"}},

    {Code::unexpected_range,
     {R"(What is weighed out is one figure. Ranges are for what differs from lot to lot: densities, compositions.)",
      R"(blend night_ferry "Night Ferry" {
    5..6 parts petitgrain_bigarade
    1 part     vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::zero_amount,
     {R"(A row with nothing of something is a row that is not meant, or a figure that got lost. Take the row out, or give the
amount. To keep it for later, put `#` before it.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    0 parts    vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
}
)"}},

    {Code::negative_amount,
     {R"(Less than nothing can't be put into a beaker. To take some of an oil out of a blend, derive a variation and `set` the
smaller amount.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    -1 part    vetiver
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}
)"}},

    {Code::out_of_range,
     {R"(The figure lies outside what can be: a share above 100 %, an impact of 11 on a scale to 10, a density of 40 g/ml. A
decimal point may be in the wrong place, or the unit may be another one.)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    impact     11
}
)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    impact     5
}
)"}},

    {Code::bad_date,
     {R"(The calendar has no such day.)",
      R"(rules house_rules "Rules of the house" {
    dated      2026-02-30
}
)",
      R"(rules house_rules "Rules of the house" {
    dated      2026-02-28
}
)"}},

    {Code::bad_cas,
     {R"(The last digit of a CAS number is worked out from the others, so that a slip shows: counted from the right, each digit
times its place, added up, and of the sum the last digit. Here it doesn't come out, so one of the digits is wrong.

Look the number up again on the data sheet. A wrong one could be that of another substance.)",
      R"(oil smoked_vetiver "Smoked vetiver" like vetiver {
    cas        "8016-96-5"
}
)",
      R"(oil smoked_vetiver "Smoked vetiver" like vetiver {
    cas        "8016-96-4"
}
)"}},

    {Code::composition_over_whole,
     {R"(What an oil contains adds up to more than the oil, at typical figures. A figure is mistyped, or a total stands beside its
parts (write one or the other), or the figures come from analyses that don't go together.)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    contains only {
        60 %       bornyl_acetate
        55 %       camphene
    }
}
)",
      R"(oil smoked_fir "Smoked fir" like fir_siberian {
    contains only {
        60 %       bornyl_acetate
        25 %       camphene
    }
}
)"}},
};

}  // namespace

std::span<const Entry> units() { return kEntries; }

}  // namespace scruple::explain
