"""Make the tables of solvents from the first list, and account for every value.

    python tools/normalise_solvents.py FIRST_LIST.csv

The first list has one solvent a row and a mark beside each group of values. Here a property is a
row with its own unit, kind and source, Hansen parameters have one row a set, and limits one row a
list and period. `solvents/` holds other names and the limits that the first list gave in words.
Values are counted by kind before and after, each table by itself. Left out on purpose: the limits
of one Canadian province, undated, which a library prints without saying whose they are.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import re
import sys
from collections import Counter
from pathlib import Path

HERE = Path(__file__).resolve().parent
TABLES = HERE.parent / "src" / "softmend" / "tables"
Row = dict[str, str]
OWN = "softmend-solvents"
BULK = (("molar_mass", "mw", "mw_mark", "kg/mol", 1e-3),
        ("density", "density", "", "kg/m3", 1e3),
        ("molar_volume", "vm", "vm_mark", "m3/mol", 1e-6),
        ("boiling_point", "bp_C", "bp_mark", "degC", 1.0))  # fmt: skip
VAPOUR = (("vapour_pressure_20", "pv20_kPa", "pv_mark", "Pa", 1e3),
          ("vapour_pressure_25", "pv25_kPa", "pv_mark", "Pa", 1e3),
          ("evaporation_rate", "rer", "rer_mark", "1", 1.0),
          ("flash_point", "flash_C", "flash_mark", "degC", 1.0),
          ("lower_flammable_limit", "lfl_pct", "lfl_mark", "1", 0.01))  # fmt: skip
KIND_OF = (("library", "library"), ("quoted", "quoted"), ("recalled", "recalled"),
           ("derived", "derived"), ("as ethanol", "derived"), ("grade", "recalled"))  # fmt: skip
LIBRARIES = (("thermo", "thermo-library"), ("HSPiPy 1", "hspipy-library"),
             ("chemicals", "chemicals-library"))  # fmt: skip
RECALLED_FROM = (("supplier charts", "astm-d3539"), ("supplier SDS", "supplier-sds"),
                 ("Gardon", "gardon1976;burke1984;horie1987"), ("Hansen 2007", "hansen2007"),
                 ("Sherwood", "sherwood2014"))  # fmt: skip
LISTS = {
    "UK EH40": ("United Kingdom", "EH40/2005, fourth edition", "2020", "hse-eh40"),
    "US OSHA PEL": ("United States", "29 CFR 1910.1000", "not known", "osha-1910-1000"),
    "US NIOSH REL": ("United States", "Pocket Guide", "not known", "niosh-pocket-guide"),
    "US AIHA WEEL": ("United States", "not known", "not known", ""),
    "US ACGIH TLV": ("United States", "not known", "not known", ""),
    "US EPA": ("United States", "rule of 2024", "2024", ""),
    "German MAK": ("Germany", "not known", "not known", ""),
    "EU": ("European Union", "not known", "not known", ""),
}
EDITIONS = {"eu-directive-2019-1831": ("Directive (EU) 2019/1831", "2019"),
            "eu-directive-2000-39": ("Directive 2000/39/EC", "2000")}  # fmt: skip


def main() -> None:
    """Read, check the counts, write."""
    first = read(Path(sys.argv[1]))
    names = {row["id"]: row["also_called"] for row in read(HERE / "solvents" / "also_called.csv")}
    if set(names) - {row["id"] for row in first}:
        raise SystemExit("A name is kept for a solvent that is not in the first list")
    made = {
        "solvents": [identity(row, names.get(row["id"], "")) for row in first],
        "solvent_hansen": [one for row in first for one in hansen(row)],
        "solvent_values": [one for row in first for one in values(row, BULK)],
        "solvent_vapour": [one for row in first for one in values(row, VAPOUR)],
        "solvent_teas": [teas(row) for row in first if row["fd_pub"]],
        "exposure_limits": [one for row in first for one in limits(row)] + other_limits(first),
    }
    refuse_lost(first, made)
    for name, rows in made.items():
        write(TABLES / f"{name}.csv", rows)
        print(f"{name}: {len(rows)} rows, {dict(Counter(row['kind'] for row in rows))}")


def read(path: Path) -> list[Row]:
    """Return the rows of a file."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def write(path: Path, rows: list[Row]) -> None:
    """Write a table."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def marked(mark: str) -> Row:
    """Return source, place and kind of a mark of the first list."""
    kind = next((kind for start, kind in KIND_OF if mark.startswith(start)), "")
    if not kind:
        raise SystemExit(f"No kind is known for the mark “{mark}”")
    if kind == "library":
        source = next(key for word, key in LIBRARIES if word in mark)
    elif kind == "recalled":
        source = next((key for word, key in RECALLED_FROM if word in mark), OWN)
    else:
        source = OWN
    where = re.sub(r"^(library|recalled|derived):? ?(\(low confidence\): )?", "", mark)
    return {"source": source, "where": where or kind, "kind": kind}


def identity(row: Row, also: str) -> Row:
    """Return what a solvent is, with its hazard statements as remembered."""
    return {
        "id": row["id"], "name": row["name"], "also_called": also, "cas": row["cas"],
        "group": row["group"], "status": row["status"],
        "hazard_statements": "" if row["h_statements"] == "none" else row["h_statements"],
        "on_objects": without_codes(row["substrate_note"].strip("-")),
        "note": without_codes(row["note"]),
        "source": "clp-annex-six", "where": "hazard statements as remembered; the SDS prevails",
        "kind": "recalled",
    }  # fmt: skip


def without_codes(text: str) -> str:
    """Return a text with the short codes of its sources as a word that a reader knows."""
    return re.sub(r"\(S-\w+[^)]*\)", "(quoted)", text)


def hansen(row: Row) -> list[Row]:
    """Return the chosen Hansen parameters and every other set that disagrees."""
    chosen = dict(zip(("d", "p", "h"), (row["dD"], row["dP"], row["dH"]), strict=True))
    found = [hansen_row(row, "chosen", chosen, marked(row["hsp_mark"]))]
    for other in filter(None, row["hsp_other_sets"].split(" | ")):
        ((numbers, which),) = re.findall(r"^([\d./]+) \((.+)\)$", other)
        split = dict(zip(("d", "p", "h"), numbers.split("/"), strict=True))
        where = {"source": "chemicals-library", "where": f"chemicals 1.5.2 {which}",
                 "kind": "library"}  # fmt: skip
        found.append(hansen_row(row, "other", split, where))
    return found


def hansen_row(row: Row, which: str, numbers: Row, where: Row) -> Row:
    """Return one set of Hansen parameters."""
    return {
        "solvent": row["id"], "set": which, "dispersion_sqrt_mpa": numbers["d"],
        "polar_sqrt_mpa": numbers["p"], "hydrogen_sqrt_mpa": numbers["h"], **where,
    }  # fmt: skip


def values(row: Row, wanted: tuple[tuple[str, str, str, str, float], ...]) -> list[Row]:
    """Return the properties of a solvent in SI, a range by its two ends."""
    found = []
    for name, column, mark, unit, factor in wanted:
        text = row[column]
        none_by_test = not text and bool(mark) and row[mark].startswith("recalled: none")
        if none_by_test:
            found.append({"solvent": row["id"], "property": name, "low": "", "high": "",
                          "unit": unit, **marked(row[mark]), "note": "none by test"})  # fmt: skip
        if not text:
            continue
        low, _, high = text.partition("-") if re.fullmatch(r"\d+-\d+", text) else (text, "", text)
        stands = marked(row[mark]) if mark else {
            "source": OWN, "where": "first list, without a mark of its own", "kind": "recalled",
        }  # fmt: skip
        quoted = row["rer_quoted"]
        also = f"another chart prints {quoted} (quoted)" if quoted else ""
        found.append({
            "solvent": row["id"], "property": name, "low": number(low, factor),
            "high": number(high, factor), "unit": unit, **stands,
            "note": also if name == "evaporation_rate" else "",
        })  # fmt: skip
    return found


def number(text: str, factor: float) -> str:
    """Return a number in the table's unit, without the computer's last digits."""
    return f"{float(text) * factor:.6g}"


def teas(row: Row) -> Row:
    """Return the printed fractional parameters, a scale of their own."""
    return {
        "solvent": row["id"], "dispersion_percent": row["fd_pub"], "polar_percent": row["fp_pub"],
        "hydrogen_percent": row["fh_pub"], **marked(row["teas_pub_mark"]),
    }  # fmt: skip


def limits(row: Row) -> list[Row]:
    """Return the British and American limits of a solvent; none set is a row of its own."""
    found = []
    kind = "recalled"
    note = row["uk_note"]
    for ppm, mass, period in (("uk8_ppm", "uk8_mg", "8 h"), ("uk15_ppm", "uk15_mg", "15 min")):
        if row[ppm] or row[mass]:
            found.append(limit(row, "UK EH40", period, row[ppm], row[mass], note, kind))
    if note.startswith("no UK limit"):
        found.append(limit(row, "UK EH40", "none set", "", "", note, kind))
    kind = "quoted" if row["us_mark"].startswith("quoted") else "recalled"
    for column, name in (("osha_pel_ppm", "US OSHA PEL"), ("niosh_rel_ppm", "US NIOSH REL"),
                         ("niosh_st_ppm", "US NIOSH REL")):  # fmt: skip
        usual = "15 min" if column == "niosh_st_ppm" else "8 h"
        found += [limit(row, name, *one, kind) for one in american(row[column], usual)]
    return found


def american(text: str, usual: str) -> list[tuple[str, str, str, str]]:
    """Return period, ppm, mg/m3 and note of each limit that a cell of the first list holds."""
    if not text:
        return []
    note = "carcinogen: as low as can be" if text.startswith("Ca") else ""
    rest = text.removeprefix("Ca").strip()
    if not rest:
        return [("none set", "", "", note)]
    found = []
    for part in re.findall(r"(?:C |ST |STEL )?[\d.]+(?: mg/m3)?", rest):
        period = "ceiling" if part.startswith("C ") else "15 min" if part[0] == "S" else usual
        value = re.findall(r"[\d.]+", part)[0]
        mass = value if part.endswith("mg/m3") else ""
        words = [note, *re.findall(r"mist|Stoddard", rest)]
        found.append((period, "" if mass else value, mass, "; ".join(filter(None, words))))
    return found


def limit(row: Row, name: str, period: str, ppm: str, mass: str, note: str, kind: str) -> Row:
    """Return one limit of one list."""
    country, edition, date, source = LISTS[name]
    return {
        "solvent": row["id"], "list": name, "country": country, "edition": edition, "date": date,
        "period": period, "ppm": ppm, "mg_per_m3": mass, "note": note, "source": source,
        "where": "as remembered; check the publication" if kind == "recalled" else "an excerpt",
        "kind": kind,
    }  # fmt: skip


def other_limits(first: list[Row]) -> list[Row]:
    """Return the limits of other lists, typed from the words of the first list."""
    typed = read(HERE / "solvents" / "other_limits.csv")
    in_words = {row["id"] for row in first if row["other_limit"]}
    if {one["solvent"] for one in typed} != in_words:
        raise SystemExit(f"Limits in words that nobody typed: {in_words}")
    made = []
    for one in typed:
        country, edition, date, _ = LISTS[one["list"]]
        edition, date = EDITIONS.get(one["source"], (edition, date))
        made.append({
            "solvent": one["solvent"], "list": one["list"], "country": country,
            "edition": edition, "date": date, "period": one["period"], "ppm": one["ppm"],
            "mg_per_m3": one["mg_per_m3"], "note": one["note"], "source": one["source"],
            "where": "as remembered; check the publication" if one["kind"] == "recalled"
            else "an excerpt", "kind": one["kind"],
        })  # fmt: skip
    return made


def refuse_lost(first: list[Row], made: dict[str, list[Row]]) -> None:
    """Stop when a table does not hold as many values of each kind as the first list does."""
    for name, wanted in (("solvent_values", BULK), ("solvent_vapour", VAPOUR)):
        before = Counter(
            marked(row[mark])["kind"] if mark else "recalled"
            for row in first for _, column, mark, _, _ in wanted
            if row[column] or (mark and row[mark].startswith("recalled: none"))
        )  # fmt: skip
        refuse_difference(name, before, made[name])
    sets = Counter(marked(row["hsp_mark"])["kind"] for row in first)
    sets["library"] += sum(len(row["hsp_other_sets"].split(" | ")) for row in first
                           if row["hsp_other_sets"])  # fmt: skip
    refuse_difference("solvent_hansen", sets, made["solvent_hansen"])
    printed = Counter(marked(row["teas_pub_mark"])["kind"] for row in first if row["fd_pub"])
    refuse_difference("solvent_teas", printed, made["solvent_teas"])
    british = sum(bool(row["uk8_ppm"] or row["uk8_mg"]) + bool(row["uk15_ppm"] or row["uk15_mg"])
                  for row in first)  # fmt: skip
    kept = [one for one in made["exposure_limits"]
            if one["list"] == "UK EH40" and one["period"] != "none set"]  # fmt: skip
    if len(kept) != british:
        raise SystemExit(f"The rows do not add up: {british} British limits became {len(kept)}")


def refuse_difference(name: str, before: Counter[str], rows: list[Row]) -> None:
    """Stop when the kinds of one table do not add up."""
    after = Counter(row["kind"] for row in rows)
    if before != after:
        raise SystemExit(f"The rows do not add up: {name}: {dict(before)} became {dict(after)}")
    print(f"{name}: {dict(before)} before")


if __name__ == "__main__":
    main()
