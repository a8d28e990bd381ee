#include "diag/explain_texts.h"

// No text here may read like an approval: a recipe that passes has met the limits known to this library, no more.

namespace scruple::explain {
namespace {

constexpr Entry kEntries[] = {
    {Code::over_limit,
     {R"(A substance, or an oil, comes to more of the finished product than a rule set allows in this kind of product. The figure
is worked out from what each oil typically contains, and added up over all oils and the base.

The notes name the rule and its source, what brings the substance in, and the load that would pass. Use less of the
blend, less of the oil that brings it, or another oil.

Limits guard against harm that builds up unseen, such as an allergy that stays for life. To pass them is not to be safe:
only a qualified assessor can say that of a product.)",
      R"(blend green_grass "Green Grass" {
    1 part     lemongrass
    1 part     lavender
}

product green_grass_massage "Green Grass massage oil" {
    blend      green_grass at 3 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       10
}
)",
      R"(blend green_grass "Green Grass" {
    1 part     lemongrass
    39 parts   lavender
}

product green_grass_massage "Green Grass massage oil" {
    blend      green_grass at 2 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       20
}
)"}},

    {Code::over_at_maximum,
     {R"(At what the oils typically contain, the product keeps the limit; at the top of their ranges it doesn't. Plants differ
from field to field and year to year, so some bottle will be like that.

The certificate of the lot that you use settles it: put its figures into an oil of your own, made `like` the library's.
Or keep under the careful load in the notes.)",
      R"(rules house_rules "Rules of the house" {
    dated      2026-01-01
    source     practice "an example, invented"
}

limit citral under house_rules {
    effect     sensitisation
    0.5 %      in skin
}

workshop "Example Stillroom" {
    rules      house_rules
}

oil garden_grass "Garden lemongrass" like lemongrass {
    contains only {
        10..20..90 %   citral
    }
}

blend green_grass "Green Grass" {
    1 part     garden_grass
    1 part     lavender
}

product green_grass_massage "Green Grass massage oil" {
    blend      green_grass at 2 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       10
}
)",
      R"(rules house_rules "Rules of the house" {
    dated      2026-01-01
    source     practice "an example, invented"
}

limit citral under house_rules {
    effect     sensitisation
    0.5 %      in skin
}

workshop "Example Stillroom" {
    rules      house_rules
}

oil garden_grass "Garden lemongrass" like lemongrass {
    contains only {
        20 %           citral
    }
}

blend green_grass "Green Grass" {
    1 part     garden_grass
    1 part     lavender
}

product green_grass_massage "Green Grass massage oil" {
    blend      green_grass at 2 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       10
}
)"}},

    {Code::over_derived,
     {R"(The product is over a figure that nobody has published as it stands: it was worked out from published ones, or estimated,
because no better one could be found. Such figures can be wrong in either direction.

It is a warning and not an error for that reason, and still a reason to use less, to look the true figure up, or to ask
someone who has it. A figure that you have found goes into a `limit` of your own, with its source.)",
      R"(workshop "Example Stillroom" {
    rules      qra2_derived
}

blend green_grass "Green Grass" {
    3 parts    lemongrass
    17 parts   lavender
}

product green_grass_massage "Green Grass massage oil" {
    blend      green_grass at 2 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       10
}
)",
      R"(workshop "Example Stillroom" {
    rules      qra2_derived
}

blend green_grass "Green Grass" {
    1 part     lemongrass
    39 parts   lavender
}

product green_grass_massage "Green Grass massage oil" {
    blend      green_grass at 2 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       20
}
)"}},

    {Code::phototoxic_sum,
     {R"(Some oils, pressed citrus peel above all, make skin burn in the sun, even hours later and even through clouds. Each of
them has a limit, and they add up: each oil's share of its own limit is summed, and the sum may be 100 % at most. Two
oils at 60 % of their limits are over it together, though each alone would pass.

Use less, or take the distilled or furocoumarin-free kind of the same fruit.)",
      R"(workshop "Example Stillroom" {
    rules      handbook_2014
}

blend bright_peel "Bright Peel" {
    2 parts    bergamot_expressed
    14 parts   lemon_expressed
    4 parts    lavender
}

product bright_peel_massage "Bright Peel massage oil" {
    blend      bright_peel at 2 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       10
}
)",
      R"(workshop "Example Stillroom" {
    rules      handbook_2014
}

blend bright_peel "Bright Peel" {
    2 parts    bergamot_fcf
    14 parts   lemon_distilled
    4 parts    lavender
}

product bright_peel_massage "Bright Peel massage oil" {
    blend      bright_peel at 2 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       10
}
)"}},

    {Code::undiluted_on_skin,
     {R"(This product touches skin and is nothing but essential oils. Undiluted they burn, and they make allergies far more likely
than the same oil in a carrier. No waiver lifts this rule.

Dilute the blend: say how much of it, `at 3 %`, and what it goes into.)",
      R"(format pocket_stick "Scent for the pocket" {
    contact    leave_on
    category   oil_perfume
}

blend quiet_wood "Quiet Wood" {
    3 parts    cedarwood_virginia
    2 parts    cedarwood_atlas
}

product quiet_wood_pocket_stick "Quiet Wood for the pocket" {
    blend      quiet_wood at neat
    format     pocket_stick of 10 ml
    make       24
}
)",
      R"(format pocket_stick "Scent for the pocket" {
    contact    leave_on
    category   oil_perfume
}

blend quiet_wood "Quiet Wood" {
    3 parts    cedarwood_virginia
    2 parts    cedarwood_atlas
}

product quiet_wood_pocket_stick "Quiet Wood for the pocket" {
    blend      quiet_wood at 3 %
    format     pocket_stick of 10 ml
    in         jojoba
    make       24
}
)"}},

    {Code::prohibited,
     {R"(A rule set says that this material, or a substance in it, may not be in this kind of product at all. There is no amount
that passes. Take it out and use another oil.)",
      R"(blend tea_garden "Tea Garden" {
    1 part     lemon_verbena
    9 parts    lavender
}

product tea_garden_massage "Tea Garden massage oil" {
    blend      tea_garden at 1 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       20
}
)",
      R"(blend tea_garden "Tea Garden" {
    9 parts    lavender
}

product tea_garden_massage "Tea Garden massage oil" {
    blend      tea_garden at 1 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       20
}
)"}},

    {Code::over_without_blend,
     {R"(The base alone is over a limit before any of the blend goes in, because something scented in it holds a limited
substance. No load of the blend can pass then, so no figure is offered: change the base.)",
      R"(base grassy_oil "Grassy oil" {
    2 %        lemongrass
    rest       sunflower_high_oleic
}

blend quiet_wood "Quiet Wood" {
    3 parts    ho_wood
    2 parts    cedarwood_atlas
}

product quiet_wood_massage "Quiet Wood massage oil" {
    blend      quiet_wood at 1 %
    format     massage_oil of 100 ml
    in         grassy_oil
    make       10
}
)",
      R"(blend quiet_wood "Quiet Wood" {
    3 parts    ho_wood
    2 parts    cedarwood_atlas
}

product quiet_wood_massage "Quiet Wood massage oil" {
    blend      quiet_wood at 1 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       10
}
)"}},

    {Code::unknown_composition,
     {R"(What this oil contains is not known here, so it can't be checked against the limits of substances. Not known is not the
same as harmless.

Ask the supplier for the certificate of analysis, and write its figures into the oil's `contains`.)",
      R"(oil hedge_flower "Hedge flower" {
    density    0.90 g/ml at 20 C
}

blend hedge "Hedge" {
    1 part     hedge_flower
    3 parts    lavender
}

product hedge_massage "Hedge massage oil" {
    blend      hedge at 1 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       10
}
)",
      R"(oil hedge_flower "Hedge flower" {
    density    0.90 g/ml at 20 C
    contains {
        35..40..45 %   linalool
    }
}

blend hedge "Hedge" {
    1 part     hedge_flower
    3 parts    lavender
}

product hedge_massage "Hedge massage oil" {
    blend      hedge at 1 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       10
}
)"}},

    {Code::unstated_limit,
     {R"(A rule set is known to limit this, but its figure could not be found when the library was made. The product is not
checked against that limit, and that is said rather than passed over.

Look the figure up in the rule set itself, or ask the supplier, before anything is sold. A `limit` of your own holds it
from then on.)",
      R"(blend spring_field "Spring Field" {
    1 part     narcissus_absolute
    19 parts   lavender
}

product spring_field_massage "Spring Field massage oil" {
    blend      spring_field at 1 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       20
}
)",
      R"(blend spring_field "Spring Field" {
    19 parts   lavender
}

product spring_field_massage "Spring Field massage oil" {
    blend      spring_field at 1 %
    format     massage_oil of 100 ml
    in         sunflower_high_oleic
    make       20
}
)"}},
};

}  // namespace

std::span<const Entry> safety() { return kEntries; }

}  // namespace scruple::explain
