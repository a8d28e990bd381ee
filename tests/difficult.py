"""A collection that is hard on the emitters: every form of load, names of every alphabet, texts that look like mark-up,
recipes that cannot be worked out, and some that must not be made. Invented throughout."""
import os

FILES = {
    "collection.scruple": "",
    "workshop.scruple": """
workshop "Léa & Söhne, 精油" {
    market     eu
    weighs_to  0.001 g up to 20 g, 0.01 g up to 500 g, 1 g up to 5 kg
    dropper    25 drops/ml
    audience   adults
    extra      2.5 %
    address    "1 Example Row"
}
""",
    "goods.scruple": """
oil nameless_resin "Resin of which nobody knows the weight" {
    note       base
    source     practice "smelled at the bench"
}

## A doc line with <b>mark-up</b>, a | pipe, *stars*, _lines_ and `ticks`.
## - and one that starts like a list
## 1. and one that counts
## # and one like a heading
## === and one that underlines
oil blank_book "空白の本 🌿 | <script>alert(1)</script>" {
    density    0.91 g/ml
    note       middle
    source     practice "an \\"invented\\" oil, with a comma, and a quote"
}
""",
    "blends.scruple": """
## - a list that is none
## === no heading either
blend thirds "Drei Drittel, *pur* & \\"wild\\"" {
    2/3 parts  lavender
    1/3 parts  cypress
    1 part     blank_book
}

blend bench_drops "=SUM(1,2)" {
    5 drops    orange_sweet
    3 drops    cedarwood_atlas
    2 drops    patchouli
}

blend by_scale "Donaudampfschifffahrtsgesellschaftskapitänsmützenlavendelwasserduftmischung" {
    by         weight
    62.5 %     lavender
    37 %       cypress
    rest       patchouli
}

blend sunny "Sunny 夏の庭" {
    3 parts    bergamot_expressed
    2 parts    grapefruit
    5 parts    cedarwood_atlas
}

blend mystery "Mystery" {
    1 part     nameless_resin
    1 part     lavender
}
""",
    "products.scruple": """
product by_format "By format" {
    blend      thirds at 1.7 %
    format     body_oil of 50 ml
    in         60 % jojoba, 40 % sweet_almond
    make       13
    steps      "warm <in>", "stir in <blend> | slowly", "pour <batch> into *bottles* <b>now</b>"
    warnings   "a warning, with a comma", "# not a heading"
    remark     "[a link](https://example.org) that must not be one"
}

product by_volume "精油のロールオン" {
    blend      by_scale at 2 % v/v
    format     roll_on of 10 ml
    in         jojoba
    make       7
}

product tiny "Tiny" {
    blend      by_scale at 1 %
    format     roll_on of 5 ml
    in         jojoba
}

product by_drops "By drops" {
    blend      bench_drops up to 44 drops
    format     pipette_oil of 30 ml
    in         squalane
    make       4
}

product nearest_drops "Nearest drops" {
    blend      bench_drops between 13 and 17 drops
    format     pipette_oil of 30 ml
    in         squalane
    make       4
}

product by_ml "By millilitres" {
    blend      bench_drops using 0.8 ml
    format     massage_oil of 100 ml
    in         sweet_almond
    make       3
}

product by_wax "By wax" {
    blend      by_scale at 5 % of wax
    format     candle_soy of 180 g
    make       400
}

product too_sunny "Too sunny" {
    blend      sunny at 12 %
    format     roll_on of 10 ml
    in         jojoba
    make       10
}

product undiluted "Undiluted" {
    blend      thirds at neat
    format     roll_on of 5 ml
    make       2
}

product unweighable "Unweighable" {
    blend      mystery at 1 %
    format     roll_on of 10 ml
    in         jojoba
    make       2
}
""",
}


def write(folder):
    for name, text in FILES.items():
        with open(os.path.join(folder, name), "w", encoding="utf-8") as out:
            out.write(text.lstrip("\n"))
