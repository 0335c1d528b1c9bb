"""Make `miscible_pairs.csv` and `miscible_families.csv` of the tables, and count the pairs.

    python tools/miscible_pairs.py

The 210 pairs of the 21 solvents of the shelf are typed one by one from what is remembered of them,
by family first and then by exception; other solvents are met by family, and a pair of families that
is not named is not known. None was mixed for this list: "mix 1 mL and look" stands beside each.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
from collections import Counter
from itertools import combinations, combinations_with_replacement
from pathlib import Path

TABLES = Path(__file__).resolve().parent.parent / "src" / "softmend" / "tables"
MIXES, DRY, PART, APART = "mixes", "mixes when dry", "mixes in part", "does not mix"
FAMILY = {
    "water": "water", "glycol": "glycol", "alcohol": "alcohol", "glycol ether": "glycol ether",
    "ketone": "ketone", "ketone-alcohol": "ketone", "ester": "ester", "carbonate": "ester",
    "ether": "ether", "chlorinated": "chlorinated", "aromatic": "aromatic", "terpene": "terpene",
    "hydrocarbon": "hydrocarbon", "hydrocarbon mix": "hydrocarbon", "siloxane": "siloxane",
    "dipolar aprotic": "dipolar",
}  # fmt: skip
OWN_FAMILY = {"propylene-carbonate": "dipolar", "gbl": "dipolar", "methanol": "methanol",
              "diethyl-ether": "ethyl ether", "dioxane": "water ether", "thf": "water ether",
              "dioxolane": "water ether", "benzyl-alcohol": "slow alcohol",
              "butan-1-ol": "slow alcohol", "butan-2-ol": "slow alcohol"}  # fmt: skip
# Families whose pairs mix; everything else is named below, or is not known.
ORGANIC = ("alcohol", "slow alcohol", "methanol", "glycol ether", "ketone", "ester", "ether",
           "ethyl ether", "water ether", "chlorinated", "aromatic", "terpene")  # fmt: skip
BY_FAMILY = {
    **{pair: MIXES for pair in combinations_with_replacement(ORGANIC, 2)},
    **{("hydrocarbon", one): MIXES for one in ("slow alcohol", "glycol ether", "ketone", "ester",
       "ether", "ethyl ether", "water ether", "chlorinated", "aromatic", "terpene",
       "hydrocarbon", "siloxane")},
    ("hydrocarbon", "alcohol"): DRY, ("terpene", "alcohol"): DRY,
    ("hydrocarbon", "methanol"): PART, ("terpene", "methanol"): PART,
    ("dipolar", "hydrocarbon"): APART, ("dipolar", "siloxane"): APART,
    ("dipolar", "terpene"): PART, ("dipolar", "aromatic"): MIXES, ("dipolar", "ketone"): MIXES,
    ("dipolar", "ester"): MIXES, ("dipolar", "alcohol"): MIXES, ("dipolar", "methanol"): MIXES,
    ("dipolar", "dipolar"): MIXES, ("dipolar", "glycol ether"): MIXES,
    ("dipolar", "chlorinated"): MIXES, ("dipolar", "water ether"): MIXES,
    ("glycol", "hydrocarbon"): APART, ("glycol", "siloxane"): APART, ("glycol", "terpene"): APART,
    ("glycol", "aromatic"): APART, ("glycol", "ester"): PART, ("glycol", "ketone"): PART,
    ("glycol", "chlorinated"): PART, ("glycol", "alcohol"): MIXES, ("glycol", "methanol"): MIXES,
    ("glycol", "glycol"): MIXES, ("glycol", "glycol ether"): MIXES,
    ("glycol", "ethyl ether"): APART, ("glycol", "dipolar"): PART,
    ("water", "hydrocarbon"): APART, ("water", "siloxane"): APART, ("water", "terpene"): APART,
    ("water", "aromatic"): APART, ("water", "chlorinated"): APART, ("water", "ester"): PART,
    ("water", "ether"): PART, ("water", "ethyl ether"): PART, ("water", "slow alcohol"): PART,
    ("water", "alcohol"): MIXES, ("water", "methanol"): MIXES, ("water", "glycol"): MIXES,
    ("siloxane", "siloxane"): MIXES, ("water", "water ether"): MIXES,
    ("water", "glycol ether"): MIXES,
}  # fmt: skip
FAMILY_NOTE = {DRY: "water, even 1 %, parts them", PART: "clear in some proportions only",
               APART: "two layers", MIXES: ""}  # fmt: skip
# What the family does not say of a pair.
EXCEPTIONS = {
    ("ethanol", "ws-low"): (DRY, "15 % ethanol parts with about 1 % water in the whole", "quoted"),
    ("ims", "heptane"): (PART, "its water parts it", "recalled"),
    ("ims", "isooctane"): (PART, "its water parts it", "recalled"),
    ("ims", "methylcyclohexane"): (PART, "its water parts it", "recalled"),
    ("ims", "ps-80-100"): (PART, "its water parts it", "recalled"),
    ("ims", "ws-low"): (PART, "its water parts it", "recalled"),
    ("propan-2-ol", "propylene-carbonate"): (PART, "may part when cool", "estimated"),
    ("isoamyl-acetate", "propylene-carbonate"): (PART, "may part when cool", "estimated"),
    ("dimethyl-carbonate", "ws-low"): (PART, "may part when cool", "estimated"),
    ("dimethyl-carbonate", "isooctane"): (PART, "may part when cool", "estimated"),
    ("dimethyl-carbonate", "heptane"): (DRY, "parts below about 10 degC", "recalled"),
    ("ethyl-lactate", "ws-low"): (DRY, "look at it cool", "estimated"),
    ("ethyl-lactate", "heptane"): (DRY, "look at it cool", "estimated"),
    ("ethyl-lactate", "isooctane"): (DRY, "look at it cool", "estimated"),
}  # fmt: skip
FIELDS = ("state", "note", "source", "where", "kind")


def main() -> None:
    """Write both tables and count them by state."""
    with (TABLES / "solvents.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    families = {row["id"]: OWN_FAMILY.get(row["id"]) or FAMILY[row["group"]] for row in rows}
    shelf = [row["id"] for row in rows if row["status"] == "ok"]
    pairs = [pair_row(*pair, families) for pair in combinations(shelf, 2)]
    if len(pairs) != 210:
        raise SystemExit(f"{len(pairs)} pairs, not 210: the shelf has changed")
    used = {frozenset((row["solvent_a"], row["solvent_b"])) for row in pairs}
    if {frozenset(pair) for pair in EXCEPTIONS} - used:
        raise SystemExit("An exception names a pair that is not on the shelf")
    write("miscible_pairs", ("solvent_a", "solvent_b", *FIELDS), pairs)
    kept = dict.fromkeys(tuple(sorted(pair)) for pair in BY_FAMILY)
    write("miscible_families", ("family_a", "family_b", *FIELDS),
          [family_row(*pair) for pair in kept])  # fmt: skip
    write(
        "miscible_family_of",
        ("solvent", "family", *FIELDS[2:]),
        [{"solvent": one, "family": name, **stood()} for one, name in families.items()],
    )
    print(Counter(row["state"] for row in pairs), Counter(row["kind"] for row in pairs))


def by_family(one: str, other: str) -> str:
    """Return the state of two families, or "" when it is not known; the last one named wins."""
    named = {frozenset(pair): state for pair, state in BY_FAMILY.items()}
    return named.get(frozenset((one, other)), "")


def pair_row(one: str, other: str, families: dict[str, str]) -> dict[str, str]:
    """Return the row of a pair of the shelf."""
    special = EXCEPTIONS.get((one, other)) or EXCEPTIONS.get((other, one))
    state, note, kind = special or (by_family(families[one], families[other]), "", "estimated")
    if not state:
        raise SystemExit(f"Nothing is known of {one} with {other}")
    return {"solvent_a": one, "solvent_b": other, "state": state,
            "note": note or FAMILY_NOTE[state], **stood(kind)}  # fmt: skip


def family_row(one: str, other: str) -> dict[str, str]:
    """Return the row of a pair of families."""
    state = by_family(one, other)
    return {"family_a": one, "family_b": other, "state": state, "note": FAMILY_NOTE[state],
            **stood()}  # fmt: skip


def stood(kind: str = "estimated") -> dict[str, str]:
    """Return source, place and kind of a row."""
    where = {"estimated": "by family; not mixed for this list", "recalled": "as remembered",
             "quoted": "section 3.3; an excerpt"}[kind]  # fmt: skip
    return {"source": "softmend-solvents", "where": where, "kind": kind}


def write(name: str, columns: tuple[str, ...], rows: list[dict[str, str]]) -> None:
    """Write one table."""
    with (TABLES / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main()
