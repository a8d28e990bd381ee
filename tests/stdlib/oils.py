"""Substances, groups, oils and their compositions against the tables."""
from fractions import Fraction

from library import D, check, cited, cites, field, groups, limits, names_in, num, points, same, table, text, value

RENAMED = {"1_8_cineole": "cineole_1_8", "1_4_cineole": "cineole_1_4", "6_methyl_5_hepten_2_one": "methyl_heptenone",
           "10_epi_gamma_eudesmol": "epi_gamma_eudesmol",
           "2_2_6_trimethylcyclohexanone": "trimethylcyclohexanone", "2_methylbutyl_angelate": "methylbutyl_angelate",
           "3_methylpentyl_angelate": "methylpentyl_angelate", "3_octanone": "octanone_3",
           "3_phenylpropanol": "phenylpropanol_3"}
for name, members in groups.items():
    for member in members:
        check(member in D["substance"], f"group `{name}`: `{member}` is no substance")

READ = {"ISO range": "standard", "national standard": "standard", "pharmacopoeia": "standard",
        "regulation": "standard", "IFRA": "standard", "handbook": "handbook", "paper": "paper",
        "data sheet": "supplier"}

oils = table("oils.csv")
check(len(oils) == 165, "oils.csv: 165 rows expected")
known = {row["id"] for row in oils}
restricted = set(D["oil"]) - known
check(not known - set(D["oil"]), f"oils that are missing: {sorted(known - set(D['oil']))}")
for row in oils:
    oil = D["oil"].get(row["id"])
    if oil is None:
        continue
    at = f"{oil.where}: {row['id']}"
    density = field(oil, "density")
    check(density and points(density[1]) == [num(row[k]) for k in ("density_min", "density_typical", "density_max")],
          f"{at}: density {density and density[1]}")
    check(density and density.items[0][2:8] == ["g", "/", "ml", "at", "20", "C"], f"{at}: unit of the density")
    standing = cites.get(cited(density) or "")
    check(standing in (("recalled", "vague") if row["density_confidence"] == "memory" else
                       ("standard", "handbook", "supplier")), f"{at}: standing of the density is {standing}")
    for word, key, unit in (("flash", "flash_c", "C"), ("tenacity", "tenacity_h", "h"),
                            ("keeps", "keeps_months", "months"), ("impact", "impact", ""),
                            ("cost_tier", "cost_tier", ""), ("price", "price_eur_per_10_ml", "EUR")):
        check(same(value(oil, word), row[key]), f"{at}: {word} {value(oil, word)}, the table says {row[key]}")
        check(not unit or not row[key] or value(oil, word, 2) == unit, f"{at}: unit of {word}")
    check(field(oil, "price").words()[-1:] == ['"invented"'], f"{at}: price not marked invented")
    listed = {inner[1] for inner in oil.block if inner[0] == "source"}
    check({"recalled", "practice"} <= listed, f"{at}: sources of botany and of the bench's figures")
    for word in ("note", "odour", "phototoxic", "process"):
        check(value(oil, word) == row[word], f"{at}: {word} {value(oil, word)}, the table says {row[word]}")
    check(names_in(field(oil, "moods")) == row["moods"].split(";"), f"{at}: moods")
    for word in ("botanical", "family", "part", "inci", "cas"):
        check((text(value(oil, word)) if value(oil, word) else "") == row[word], f"{at}: {word}")

composition = table("composition.csv")
check(len(composition) == 2115, "composition.csv: 2115 rows expected")
wanted = {}
for row in composition:
    wanted[(row["oil"], RENAMED.get(row["substance"], row["substance"]))] = row
check(len(wanted) == 2115, "composition.csv: a pair stands twice")
# Beside the table: an oil that is itself what a rule limits as a whole.
BESIDE = {("oakmoss_absolute", "moss_extracts"), ("treemoss_absolute", "moss_extracts")}
found = set()
for name, oil in D["oil"].items():
    contains = field(oil, "contains")
    lowest = Fraction(0)
    here = []
    for row in contains.block or []:
        substance = row[2]
        here.append(substance)
        pair = (name, substance)
        check(substance in D["substance"] or substance in groups, f"{row.where}: `{substance}` is not declared")
        check(row[1] == "%", f"{row.where}: not in per cent")
        ranged = points(row[0])
        check(ranged == sorted(ranged) and 0 <= ranged[0] and ranged[-1] <= 100, f"{row.where}: range out of order")
        check(pair not in found, f"{row.where}: `{substance}` twice")
        if substance not in groups:
            lowest += ranged[0]
        if pair in BESIDE:
            check(ranged == [100], f"{row.where}: a whole extract is 100 %")
            continue
        found.add(pair)
        figure = wanted.get(pair)
        check(figure is not None, f"{row.where}: `{substance}` in `{name}` is not in the table")
        if figure is None:
            continue
        check(ranged == [num(figure[k]) for k in ("min", "typical", "max")],
              f"{row.where}: {row[0]}, the table says {figure['min']}, {figure['typical']}, {figure['max']}")
        basis = figure["basis"].split(" (")[0]
        standing = "recalled" if figure["confidence"] == "memory" else READ[basis]
        check(cites.get(cited(row) or "") == standing, f"{row.where}: standing {cites.get(cited(row) or '')}, not {standing}")
        cas = D["substance"].get(substance) and value(D["substance"][substance], "cas")
        check(not figure["cas"] or substance in groups or (cas and text(cas) == figure["cas"]),
              f"{row.where}: CAS number of `{substance}`")
        check("do not add" not in figure["basis"] or "total" in row.items[0][-1], f"{row.where}: not marked as a total")
    check(lowest <= 100, f"{oil.where}: the lowest figures of `{name}` add up to {float(lowest)} %")
    for group in set(here) & set(groups):
        for part in set(here) & set(groups[group]):
            check(group == "citral", f"{oil.where}: `{group}` and its part `{part}` in one composition")
check(found == set(wanted), f"compositions that are missing: {sorted(set(wanted) - found)[:5]}")
described = {row["id"]: row for row in table("restricted_oils.csv")}
check(set(described) == restricted, f"restricted_oils.csv: {sorted(set(described) ^ restricted)}")
for name in restricted & set(described):
    oil, row = D["oil"][name], described[name]
    at = f"{oil.where}: {name}"
    density = field(oil, "density")
    check(density and points(density[1]) == [num(row[k]) for k in ("density_min", "density_typical", "density_max")],
          f"{at}: density {density and density[1]}")
    check(cites.get(cited(density) or "") == row["density_standing"], f"{at}: standing of the density")
    check(cites.get(cited(field(oil, "note")) or "") == "recalled", f"{at}: standing of the note")
    for word in ("family", "part", "inci"):
        check(text(value(oil, word)) == row[word], f"{at}: {word}")
    for word in ("process", "note", "odour"):
        check(value(oil, word) == row[word], f"{at}: {word}")
    for word, key in (("impact", "impact"), ("keeps", "keeps_months")):
        check(same(value(oil, word), row[key]), f"{at}: {word}")
for name in restricted:
    oil = D["oil"][name]
    check(all((name, row[2]) in BESIDE for row in field(oil, "contains").block or []),
          f"{oil.where}: a restricted material has no known composition")
    check(field(oil, "contains").block or field(oil, "contains")[1] == "unknown",
          f"{oil.where}: does not say that its composition is unknown")
    check(any(subject == name for subject, _ in limits), f"{oil.where}: `{name}` is restricted by nothing")
