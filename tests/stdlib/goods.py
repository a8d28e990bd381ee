"""Ingredients, formats and bases against their tables."""
import re
from collections import defaultdict

from library import CODES, D, check, field, num, points, same, scopes, table, text, value

STATES = {"liquid_20c": ("liquid", "20"), "fat_20c_approx": ("soft_fat", "20"), "solid_20c": ("solid_wax", "20"),
          "true_solid": ("crystal", "20"), "liquid_50c": ("melted_50", "50"), "liquid_60c": ("melted_60", "60"),
          "not_applicable": ("part", None)}
ingredients = table("ingredients.csv")
check(len(ingredients) == 160, "ingredients.csv: 160 rows expected")
check({row["id"] for row in ingredients} == set(D["ingredient"]), "ingredients differ from the table")


def ends(row, *keys):
    """What a range should read: the different figures of the row, in order."""
    out = []
    for key in keys:
        if row[key] != "" and (not out or num(row[key]) != out[-1] or len(keys) == 3):
            out.append(num(row[key]))
    return out if len(set(out)) > 1 else out[:1]


for row in ingredients:
    good = D["ingredient"].get(row["id"])
    if good is None:
        continue
    at = f"{good.where}: {row['id']}"
    state, warm = STATES[row["density_basis"]]
    check(value(good, "state") == state and value(good, "role") == row["kind"], f"{at}: state or role")
    check((text(value(good, "inci")) if value(good, "inci") else "") == row["inci"], f"{at}: inci")
    check((text(value(good, "cas")) if value(good, "cas") else "") == row["cas"], f"{at}: cas")
    check(points(value(good, "density")) == ends(row, "density_min", "density", "density_max"), f"{at}: density")
    density = field(good, "density")
    check(not density or density.items[0][2:8] == ["g", "/", "ml", "at", warm, "C"], f"{at}: unit of the density")
    check(points(value(good, "melts")) == ends(row, "melts_min", "melts_max"), f"{at}: melting range")
    check(points(value(good, "saponification")) ==
          ends(row, "saponification_min", "saponification_typical", "saponification_max"), f"{at}: saponification")
    check(points(value(good, "iodine")) == ends(row, "iodine_min", "iodine_max"), f"{at}: iodine value")
    for word, key in (("bulk", "bulk"), ("flash", "flash_c"), ("keeps", "keeps_months")):
        check(same(value(good, word), row[key]), f"{at}: {word}")
    for word, unit in (("bulk", ["g", "/", "ml"]), ("melts", ["C"]), ("flash", ["C"]), ("keeps", ["months"]),
                       ("saponification", ["mg", "/", "g"]), ("iodine", [])):
        check(field(good, word).words()[2:] == unit or not field(good, word), f"{at}: unit of {word}")
    for word in ("density", "melts", "saponification", "iodine"):
        ranged = points(value(good, word))
        check(ranged == sorted(ranged), f"{at}: {word} out of order")
    # The first source is the density's; where another kind of text was read for it, the table says which kind.
    standing = {"high": "standard", "medium": "recalled", "low": "vague"}.get(row["confidence"], row["confidence"])
    if row["source"] == "common practice":
        standing = "practice"
    check(value(good, "source") == standing, f"{at}: standing {value(good, 'source')}, not {standing}")
    for inner in field(good, "contains").block or []:
        check(inner[2] == row["id"] and inner[0] == "100", f"{at}: only a pure substance has a composition")

# ---------------------------------------------------------------- formats and bases

FORMAT_NAMES = {"rollon_oil_5ml": "roll_on", "rollon_oil_10ml": "roll_on", "pipette_oil_15ml": "pipette_oil",
                "pipette_oil_30ml": "pipette_oil", "edc": "eau_de_cologne", "edt": "eau_de_toilette",
                "edp": "eau_de_parfum", "bath_oil_emulsified": "bath_oil", "soap_cold_process": "soap_bar",
                "lotion": "body_lotion", "cream_face": "face_cream", "facial_oil_cleanser": "cleansing_oil",
                "hand_sanitiser_gel": "hand_gel", "bath_milk_powder": "bath_milk"}
LOAD_OF = {"w/w of total": "total", "w/w of base": "base", "w/w of oils": "fats", "w/w of wax": "wax"}
ADDED_FORMATS = {"candle"}
formats = table("formats.csv")
check(len(formats) == 49, "formats.csv: 49 rows expected")
check({FORMAT_NAMES.get(r["id"], r["id"]) for r in formats} | ADDED_FORMATS == set(D["format"]),
      "formats differ from the table")
for row in formats:
    name = FORMAT_NAMES.get(row["id"], row["id"])
    kind = D["format"].get(name)
    if kind is None:
        continue
    at = f"{kind.where}: {name}"
    check(value(kind, "contact") == row["contact"], f"{at}: contact")
    listed = {inner[1] for inner in kind.block if inner[0] == "source"}
    check("practice" in listed and ("recalled" in listed or row["category"] == "not_ifra"),
          f"{at}: sources of the trade's habits and of the category")
    category = value(kind, "category")
    wanted_category = "inhalation" if row["category"] == "not_ifra" else CODES[row["category"]]
    check(wanted_category in scopes(category), f"{at}: category {category} is not in {wanted_category}")
    load = field(kind, "load")
    if row["load_basis"] in LOAD_OF:
        check(load and points(load[1]) == [num(row[k]) for k in ("load_min", "load_typical", "load_max")] and
              load.items[0][2:] == ["%", "of", LOAD_OF[row["load_basis"]]], f"{at}: load")
    elif row["load_basis"].startswith("neat"):
        check(load and load.items[0][1:] == ["neat"], f"{at}: load should be neat")
    else:
        check(not load and row["load_max"] == "0", f"{at}: this format has no load")
    sizes = {f"{a} {b}" for a, b in re.findall(r"(?<!-)\b(\d+(?:\.\d+)?) (ml|g)\b", row["sizes"].split(" (")[0])}
    got = {" ".join(item[-2:]) for item in field(kind, "sizes").items if item}
    check(sizes <= got, f"{at}: sizes {sorted(sizes - got)} are missing")
    check(bool(got) == bool(value(kind, "sizes")), f"{at}: sizes")
    units = {size.split()[1] for size in got}
    check(value(kind, "sold_by") == ("mass" if "g" in units else "volume"), f"{at}: sold_by")
    for word, key, unit in (("fill", "fill_percent", "%"), ("extra", "extra_percent", "%"),
                            ("keeps", "keeps_months", "months")):
        check(same(value(kind, word), row[key]) and value(kind, word, 2) == unit, f"{at}: {word}")
    steps = [re.sub(r"^\d+ ", "", s) for s in row["steps"].split("; ")]
    check([text(s) for s in field(kind, "steps").words()[1:]] == steps, f"{at}: steps")
    base = value(kind, "usual_base")
    check(not base or base in D["base"], f"{at}: usual base `{base}` is not declared")

base_rows = defaultdict(list)
for row in table("base_rows.csv"):
    base_rows[row["format"]].append(row)
check(len(base_rows) == 31, "base_rows.csv: 31 bases expected")
bases_seen = set()
for name, rows in base_rows.items():
    kind = FORMAT_NAMES.get(name, name)
    total = sum(num(r["percent_of_total"]) for r in rows)
    check(total == 100, f"base_rows.csv: {name} adds up to {total}")
    solid = {r["ingredient"]: num(r["percent_of_total"]) for r in rows if r["ingredient"] != "fragrance"}
    if not solid:
        check(field(D["format"][kind], "load")[1] == "neat", f"format `{kind}` has no base and is not neat")
        continue
    base = D["base"].get(value(D["format"][kind], "usual_base"))
    check(base is not None, f"format `{kind}` has no usual base")
    if base is None:
        continue
    bases_seen.add(base[1])
    got, rest, blends = {}, [], 0
    for phase in base.block:
        if phase[0] != "phase":
            continue
        for row in phase.block:
            if row.words() == ["blend"]:
                blends += 1
            elif row[0] == "rest":
                rest.append(row[1])
            elif not re.fullmatch(r"[\d.]+", row[0]):
                check(False, f"{row.where}: no amount")
            else:
                check(row.items[0][1:4] == ["%", "of", "total"], f"{row.where}: not of total")
                got[row[4]] = num(row[0])
    check(blends == 1 and len(rest) == 1, f"{base.where}: one `blend` and one `rest`")
    if len(rest) == 1:
        blend = sum(num(r["percent_of_total"]) for r in rows if r["ingredient"] == "fragrance")
        got[rest[0]] = 100 - blend - sum(got.values())
        check(rest[0] in solid and solid[rest[0]] == max(solid.values()), f"{base.where}: `rest` is not the largest")
    check(got == solid, f"{base.where}: {name} differs from the table")
    for ingredient in got:
        check(ingredient in D["ingredient"], f"{base.where}: `{ingredient}` is no ingredient")
check(bases_seen == set(D["base"]), f"bases without a table: {sorted(set(D['base']) - bases_seen)}")
