#include "diag/explain_texts.h"

namespace scruple::explain {
namespace {

constexpr Entry kEntries[] = {
    {Code::load_over_whole,
     {R"(The blend, together with the rows of the base that are shares of the finished product, comes to more than the product.
Lower the load, or the rows `of total`.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_car "Night Ferry for the car" {
    blend      night_ferry at 60 %
    format     car_diffuser of 10 ml
    in         50 % of total dpm_glycol_ether, rest triethyl_citrate
    make       50
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_car "Night Ferry for the car" {
    blend      night_ferry at 30 %
    format     car_diffuser of 10 ml
    in         50 % of total dpm_glycol_ether, rest triethyl_citrate
    make       50
}
)"}},

    {Code::no_load,
     {R"(How much blend goes into the product is not said, and the format has no usual share to start from. Say it after the
blend: `at 3 %`, `using 2.5 ml`, `up to 60 drops`, or `at neat` for the blend alone.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

format drawer_stone "Scented stone" {
    contact    none
    category   no_skin
}

product night_ferry_stone "Night Ferry stone" {
    blend      night_ferry
    format     drawer_stone of 10 ml
    make       50
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

format drawer_stone "Scented stone" {
    contact    none
    category   no_skin
}

product night_ferry_stone "Night Ferry stone" {
    blend      night_ferry at neat
    format     drawer_stone of 10 ml
    make       50
}
)"}},

    {Code::wrong_size,
     {R"(The label of this format states a volume, and the size is a weight, or the other way round. The size is what the label
states, so it has to be in the same kind.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_reeds "Night Ferry reeds" {
    blend      night_ferry at 20 %
    format     reed_diffuser of 100 g
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

    {Code::no_density,
     {R"(A volume becomes a weight only through a density, and one of the materials has none. Taking water's would be off by a
tenth or more for most oils, so nothing is assumed.

Give the material its density, from the supplier's data sheet or weighed: fill 10 ml on the scale and divide by ten.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

ingredient clear_solvent "Clear solvent" {
    role       solvent
}

product night_ferry_reeds "Night Ferry reeds" {
    blend      night_ferry at 20 %
    format     reed_diffuser of 100 ml
    in         clear_solvent
    make       10
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

ingredient clear_solvent "Clear solvent" {
    role       solvent
    density    0.95 g/ml at 20 C
}

product night_ferry_reeds "Night Ferry reeds" {
    blend      night_ferry at 20 %
    format     reed_diffuser of 100 ml
    in         clear_solvent
    make       10
}
)"}},

    {Code::no_room,
     {R"(The net content is more than the container holds to the brim. Mind that liquids need room to expand as well: a bottle is
filled to about nine tenths.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_reeds "Night Ferry reeds" {
    blend      night_ferry at 20 %
    format     reed_diffuser of 100 ml
    in         dpm_glycol_ether
    container  90 ml
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
    container  115 ml
    make       10
}
)"}},

    {Code::no_base,
     {R"(The product doesn't say what the blend goes into, and its format has no usual base; or it is neat and names one all the
same. Say `in jojoba`, `in` with the name of a base, or `in` with a list that comes to 100 %. `at neat` means the blend
alone.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

format drawer_stone "Scented stone" {
    contact    none
    category   no_skin
}

product night_ferry_stone "Night Ferry stone" {
    blend      night_ferry at 20 %
    format     drawer_stone of 10 ml
    make       50
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

format drawer_stone "Scented stone" {
    contact    none
    category   no_skin
}

product night_ferry_stone "Night Ferry stone" {
    blend      night_ferry at 20 %
    format     drawer_stone of 10 ml
    in         dpm_glycol_ether
    make       50
}
)"}},

    {Code::no_multiple,
     {R"(Drops are whole. The ratio of the blend needs more drops than you allow, so the nearest one in whole drops is taken, and
it is another ratio: the message says how far off the worst oil is.

Allow more drops, weigh instead of counting, or give the blend a simpler ratio.)",
      R"(blend night_ferry "Night Ferry" {
    7 parts    petitgrain_bigarade
    5 parts    ho_wood
    3 parts    cedarwood_virginia
}

product night_ferry_roll_on "Night Ferry roll-on" {
    blend      night_ferry up to 12 drops
    format     roll_on of 10 ml
    in         jojoba
    make       10
}
)",
      R"(blend night_ferry "Night Ferry" {
    7 parts    petitgrain_bigarade
    5 parts    ho_wood
    3 parts    cedarwood_virginia
}

product night_ferry_roll_on "Night Ferry roll-on" {
    blend      night_ferry up to 20 drops
    format     roll_on of 10 ml
    in         jojoba
    make       10
}
)"}},

    {Code::no_drops,
     {R"(Each oil of the blend needs at least one whole drop, and so few drops don't reach for all of them. Allow more drops, or
weigh instead of counting.)",
      R"(blend night_ferry "Night Ferry" {
    1 part     petitgrain_bigarade
    1 part     ho_wood
    1 part     cedarwood_virginia
}

product night_ferry_roll_on "Night Ferry roll-on" {
    blend      night_ferry up to 2 drops
    format     roll_on of 10 ml
    in         jojoba
    make       10
}
)",
      R"(blend night_ferry "Night Ferry" {
    1 part     petitgrain_bigarade
    1 part     ho_wood
    1 part     cedarwood_virginia
}

product night_ferry_roll_on "Night Ferry roll-on" {
    blend      night_ferry up to 12 drops
    format     roll_on of 10 ml
    in         jojoba
    make       10
}
)"}},

    {Code::too_light_to_weigh,
     {R"(A line weighs less than twenty divisions of the scale, so the last digit that the scale shows is more than a twentieth of
what you weigh. For a strong oil that is the difference between a trace and too much.

The notes offer a premix: dilute the oil in some of the carrier, and weigh the larger amount of that. A larger batch or a
finer scale helps as well. What your scale reads to stands in the workshop, under `weighs_to`.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_roll_on "Night Ferry roll-on" {
    blend      night_ferry at 3 %
    format     roll_on of 10 ml
    in         jojoba
    make       1
}
)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_roll_on "Night Ferry roll-on" {
    blend      night_ferry at 3 %
    format     roll_on of 10 ml
    in         jojoba
    make       24
}
)"}},

    {Code::unusual_load,
     {R"(The share of blend lies outside what is usual for the format. That may be what you want; it may also be a slip of the
decimal point. Too much can sweat out of a candle or part from a cream; too little won't be noticed.

What is usual comes from common practice and says nothing about safety: the limits are checked by themselves.)",
      R"(blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_reeds "Night Ferry reeds" {
    blend      night_ferry at 2 %
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

    {Code::over_scale,
     {R"(The batch weighs more than any of your scales takes, so it can't be weighed in one go and its rounding would be guesswork.
Make several smaller batches, or tell the workshop of a larger scale.)",
      R"(workshop "Example Stillroom" {
    weighs_to  0.01 g up to 200 g
}

blend night_ferry "Night Ferry" {
    6 parts    petitgrain_bigarade
    1 part     vetiver
}

product night_ferry_reeds "Night Ferry reeds" {
    blend      night_ferry at 20 %
    format     reed_diffuser of 100 ml
    in         dpm_glycol_ether
    make       10
}
)",
      R"(workshop "Example Stillroom" {
    weighs_to  0.01 g up to 200 g, 1 g up to 5 kg
}

blend night_ferry "Night Ferry" {
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
};

}  // namespace

std::span<const Entry> products() { return kEntries; }

}  // namespace scruple::explain
