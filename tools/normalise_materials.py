"""Make `materials.csv` of the tables from the first list of values, and account for every row.

    python tools/normalise_materials.py FIRST_LIST.csv

The first list has one value a row and mixed units. Here every property gets one name and one SI
unit, every source its key, every row the parameters of its distribution. `materials/added.csv`
holds the values that the first list gave only in prose. Rows are counted by kind before and after;
a row that was two values in one becomes two, and the counts say so.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import math
import re
import sys
from collections import Counter
from pathlib import Path

HERE = Path(__file__).resolve().parent
TABLE = HERE.parent / "src" / "softmend" / "tables" / "materials.csv"
COLUMNS = (
    "group", "material", "property", "condition", "low", "typical", "high", "unit", "family",
    "cv", "sd", "least", "most", "source", "where", "kind", "note",
)  # fmt: skip
KINDS = {"quoted": "quoted", "recalled": "recalled", "estimate": "estimated"}
WHERE = {
    "quoted": "abstract or excerpt",
    "recalled": "recalled, not read again",
    "estimate": "our estimate, with the source in view",
}
OWN = ("softmend-materials", "our engineering range")

# First unit -> unit of the table and what one of the first is in it.
UNITS = {
    "%": ("1", 0.01),
    "% per %RH": ("1/%RH", 0.01),
    "% of dry mass": ("kg/kg", 0.01),
    "% EMC at 50 %RH": ("kg/kg", 0.01),
    "strain per % mass": ("1", 100.0),
    "C": ("degC", 1.0),
    "Pa m^0.5": ("Pa·m^0.5", 1.0),
}
# A name starts with what the quantity is; "along" is the tusk or shaft axis, or the grain.
NAMES = [
    (r"^E_hoof$", "modulus_hoof"), (r"^E_flexural$", "modulus_flexural"),
    (r"^E_(L|axial)$", "modulus_along"), (r"^E_transverse$", "modulus_across"),
    (r"^E_R$", "modulus_radial"), (r"^E_T$", "modulus_tangential"), (r"^E$", "modulus"),
    (r"^tensile_strength_axial$", "tensile_strength_along"),
    (r"^tensile_strength_transverse$", "tensile_strength_across"),
    (r"^K_Ic?_?c?_across$", "toughness_across"), (r"^K_c_(\w+)$", r"toughness_\1"),
    (r"^K_c$", "toughness"), (r"^G_c_(\w+)$", r"fracture_energy_\1"),
    (r"^G_f_across$", "fracture_energy_across"), (r"^J_c_hoof$", "fracture_energy_hoof"),
    (r"^EMC_(\d+)RH$", r"emc_\1rh"), (r"^GAB_(adsorption|desorption)$", r"emc_50rh_\1"),
    (r"^GAB_vm$", "gab_monolayer"),
    (r"^hygro_axial$", "moisture_strain_along"), (r"^hygro_transverse$", "moisture_strain_across"),
    (r"^hygro_(\w+)$", r"moisture_strain_\1"), (r"^hygro$", "moisture_strain"),
    (r"^total_change_axial$", "total_change_along"),
    (r"^total_shrinkage_transverse$", "total_shrinkage_across"),
    (r"^poisson_LR$", "poisson_longitudinal_radial"), (r"^paris_exponent_m$", "paris_exponent"),
    (r"^Tg$", "glass_transition"), (r"^softening_or_melting$", "softening_point"),
    (r"^drying_strain_per_mass_loss$", "drying_strain_per_water_lost"), (r"^pH$", "ph"),
]  # fmt: skip
FAMILIES = {
    "exact": "exact",
    "log-normal": "log_normal",
    "normal": "normal",
    "normal (truncate 0 to 0.495)": "truncated_normal",
    "log-normal magnitude, random sign": "random_sign",
}
SHARES = {"solids", "porosity", "water_content"}
"""Parts of a whole: a normal value must not leave 0 to 1."""

GAB = re.compile(r"^vm ([\d.]+) %, c ([\d.]+), k ([\d.]+)$")
# A condition that tells how the value was worked out is a note, not a state of the material.
WORKED_OUT = re.compile(r"^(0\.\d+ |K\^2|derived|taken as|radial \d)")
DROPPED_NOTES = {
    "cv column is the standard deviation in K for Tg rows",
    "cv column is sd in pH units",
    "log-normal, sd of ln = 1.0; upper end is the wet-bone NMR value",
}
Row = dict[str, str]


def main() -> None:
    """Read, check the counts, write."""
    keys = {row["id"]: row["key"] for row in read(HERE / "materials" / "sources.csv")}
    first = read(Path(sys.argv[1]))
    added = read(HERE / "materials" / "added.csv")
    before = counted([*first, *added], "basis")
    parts = [part for row in [*first, *added] for part in single_values(row)]
    made = [normalised(row, keys) for row in parts]
    after = counted(made, "kind")
    # Four pairs of wood isotherm constants give three values each (quoted); the two constants of
    # the ivory isotherm and two double shrinkage rows give two and one each.
    expected = before + Counter({"quoted": 4 * 3 + 2, "estimate": 2})
    if after != Counter({KINDS[basis]: number for basis, number in expected.items()}):
        raise SystemExit(f"The rows do not add up: {dict(before)} became {dict(after)}")
    refuse_twice(made)
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(sorted(made, key=lambda row: (row["group"], row["material"])))
    print(f"first list {dict(counted(first, 'basis'))}, added {dict(counted(added, 'basis'))}")
    print(f"table {dict(after)}")


def read(path: Path) -> list[Row]:
    """Return the rows of a file."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def counted(rows: list[Row], column: str) -> Counter[str]:
    """Return how many rows there are of each kind."""
    return Counter(row[column] for row in rows)


def single_values(row: Row) -> list[Row]:
    """Return a row, or the rows that it holds when it is several values in one."""
    gab = GAB.match(row["condition"])
    if gab:
        way = row["property"].removeprefix("GAB_")
        return [
            {**row, "condition": ""},
            *gab_constants(row, f"_{way}", {"monolayer": gab[1], "c": gab[2], "k": gab[3]}),
        ]
    if row["property"] == "GAB_vm":
        return [{**row, "condition": ""}, *gab_constants(row, "", {"c": "18", "k": "0.81"})]
    if row["property"] == "shrinkage_green_to_dry":
        ends = {"radial": row["low"], "tangential": row["high"]}
        return [
            {**row, "property": f"shrinkage_green_to_dry_{way}", "condition": "", "note": "",
             "low": value, "typical": value, "high": value}
            for way, value in ends.items()
        ]  # fmt: skip
    return [row]


def gab_constants(row: Row, way: str, constants: Row) -> list[Row]:
    """Return the constants of an isotherm as rows; they were fitted together and have no spread."""
    return [
        {**row, "property": f"gab_{name}{way}", "condition": "", "low": value, "typical": value,
         "high": value, "unit": "% of dry mass" if name == "monolayer" else "1", "cv": "",
         "distribution": "exact", "note": "fitted together with the other constants"}
        for name, value in constants.items()
    ]  # fmt: skip


def normalised(row: Row, keys: Row) -> Row:
    """Return a row under the table's names and units, with its distribution's parameters."""
    name = next(
        (
            re.sub(old, new, row["property"])
            for old, new in NAMES
            if re.search(old, row["property"])
        ),
        row["property"],
    )
    unit, factor = UNITS.get(row["unit"], (row["unit"], 1.0))
    typical = float(row["typical"]) * factor
    source = ";".join(dict.fromkeys(keys[one] for one in row["source_ids"].split())) or OWN[0]
    return {
        "group": row["group"],
        "material": row["material"],
        "property": name,
        "condition": condition_of(row),
        "low": number(float(row["low"]) * factor),
        "typical": number(typical),
        "high": number(float(row["high"]) * factor),
        "unit": unit,
        **distribution(row, name, typical),
        "source": source,
        "where": WHERE[row["basis"]] if row["source_ids"] else OWN[1],
        "kind": KINDS[row["basis"]],
        "note": note_of(row),
    }


def condition_of(row: Row) -> str:
    """Return a condition that says what it means by itself."""
    if row["condition"] == "same":
        return "RH span not stated in the quotation"
    if row["property"] == "softening_or_melting":
        return "softening or melting"
    return "" if WORKED_OUT.match(row["condition"]) else row["condition"]


def note_of(row: Row) -> str:
    """Return the note of a row, with how its value was worked out."""
    how = row["condition"] if WORKED_OUT.match(row["condition"]) else ""
    own = "" if row["note"] in DROPPED_NOTES else row["note"]
    return "; ".join(part for part in (how, own) if part)


def distribution(row: Row, name: str, typical: float) -> Row:
    """Return the family of a row and the parameters that the typical value does not give."""
    family = FAMILIES[row["distribution"]]
    cv, sd, least, most = "", "", "", ""
    if family in {"log_normal", "random_sign"}:
        spread = float(row["cv"])
        # The first list holds the sd of the logarithm of a diffusivity where others have a CV.
        cv = number(math.sqrt(math.expm1(spread**2)) if name == "moisture_diffusivity" else spread)
    elif family != "exact":
        sd = row["sd_abs"] or number(float(row["cv"]) * abs(typical))
    if family == "truncated_normal":
        least, most = "0", "0.495"
    elif family == "normal" and name in SHARES:
        family, least, most = "truncated_normal", "0", "1"
    return {"family": family, "cv": cv, "sd": sd, "least": least, "most": most}


def number(value: float) -> str:
    """Return a number without the computer's last digits."""
    return f"{value:.6g}"


def refuse_twice(rows: list[Row]) -> None:
    """Stop when two rows give one property of one material in one state, or mix units."""
    states = Counter((row["material"], row["property"], row["condition"]) for row in rows)
    twice = [state for state, count in states.items() if count > 1]
    units = {(row["property"], row["unit"]) for row in rows}
    mixed = [name for name, count in Counter(name for name, _ in units).items() if count > 1]
    if twice or mixed:
        raise SystemExit(f"Two rows for {twice}, two units for {mixed}")


if __name__ == "__main__":
    main()
