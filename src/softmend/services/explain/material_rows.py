"""Materials to look through: every value with its mark and source, and sources that disagree."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from softmend.records.shelf import SaidOfSystem
from softmend.services.explain.bench_units import unit_of
from softmend.services.explain.own_values import (
    OwnRow,
    known_materials,
    own_rows,
    own_systems,
    said_of_system,
)
from softmend.services.store import Reader
from softmend.tables import table
from softmend.tables.materials import NAME, MaterialValue, material_values, materials
from softmend.tables.references import source_words

OWN_GROUP = "own"
GROUPS = ("substrate", "hard fill", "reversible fill", "coating", OWN_GROUP)
GROUP_WORDS = {
    "substrate": "What objects are made of",
    "hard fill": "Old hard fills",
    "reversible fill": "Reversible fills and binders",
    "coating": "Coatings",
    OWN_GROUP: "This bench's own",
}
# A property reads as a person says it; the others are their own names.
_WORDS = {
    "emc_30rh": "moisture at 30 %RH",
    "emc_50rh": "moisture at 50 %RH",
    "emc_50rh_adsorption": "moisture at 50 %RH, taking up",
    "emc_50rh_desorption": "moisture at 50 %RH, giving off",
    "emc_70rh": "moisture at 70 %RH",
    "glass_transition": "glass transition",
    "modulus": "stiffness (modulus)",
    "moisture_strain_radial_minus_tangential": "moisture strain, radial less tangential",
    "ph": "acidity",
    "poisson": "Poisson's ratio",
}


@dataclass(frozen=True)
class PropertyRow:
    """One value as the page shows it, in the bench's unit; `own` is set for the bench's own."""

    property: str
    words: str
    condition: str
    low: str
    typical: str
    high: str
    unit: str
    kind: str
    source: str
    note: str
    is_sign_unknown: bool
    own: OwnRow | None = None


@dataclass(frozen=True)
class Says:
    """What one source says of one property: the value, and the small line under it."""

    text: str
    small: str = ""


@dataclass(frozen=True)
class Quarrel:
    """One thing on which sources disagree: what each says, side by side, in their own words.

    `lines` has a line a property, with a cell a source; "says nothing" where a source is silent.
    """

    about: str
    sources: tuple[str, ...]
    lines: tuple[tuple[str, tuple[Says, ...]], ...]
    sentence: str


@dataclass(frozen=True)
class MaterialShown:
    """One material: its group, values, disagreements, and what is said of it in words."""

    name: str
    group: str
    rows: tuple[PropertyRow, ...]
    quarrels: tuple[Quarrel, ...]
    said: tuple[SaidOfSystem, ...]
    states: tuple[str, ...]


def by_group(reader: Reader) -> dict[str, list[str]]:
    """Return the names of all materials in their groups."""
    groups = {group: materials(group) for group in GROUPS if group != OWN_GROUP}
    listed = {name for names in groups.values() for name in names}
    groups[OWN_GROUP] = [name for name in known_materials(reader) if name not in listed]
    return groups


def material_shown(reader: Reader, name: str) -> MaterialShown:
    """Return one material with the bench's own values first."""
    in_table = material_values(name) if name in materials() or not _is_own(reader, name) else []
    group = next((group for group, names in by_group(reader).items() if name in names), OWN_GROUP)
    own = own_rows(reader, name)
    rows = [*(_own_row(one) for one in own), *(_table_row(one, group) for one in in_table)]
    rows.sort(key=lambda row: (row.words, row.own is None, row.condition))
    states = dict.fromkeys(row.condition for row in rows if row.condition)
    return MaterialShown(
        name=name,
        group=group,
        rows=tuple(rows),
        quarrels=tuple(_quarrels(in_table)),
        said=tuple(said_of_system(reader, name)),
        states=tuple(states),
    )


def property_words(name: str) -> str:
    """Return a property as a person says it."""
    return _WORDS.get(name, name.replace("_", " "))


def property_choices(group: str = "") -> list[tuple[str, str, str]]:
    """Return each property with its words and the unit in which it is typed for a group."""
    names = {str(row["property"]) for row in table(NAME).rows}
    found = [(name, property_words(name), unit_of(name, group).text) for name in names]
    return sorted(found, key=lambda one: one[1])


def _is_own(reader: Reader, name: str) -> bool:
    systems = {system.material for _, system in own_systems(reader)}
    return name in systems or bool(own_rows(reader, name))


def _own_row(row: OwnRow) -> PropertyRow:
    own = row.value
    return PropertyRow(
        own.property,
        property_words(own.property),
        own.condition,
        low=_short(own.low),
        typical=_short(own.typical),
        high=_short(own.high),
        unit=own.unit,
        kind=own.kind,
        source=row.origin,
        note="" if own.note == "not known" else own.note,
        is_sign_unknown=False,
        own=row,
    )


def _table_row(value: MaterialValue, group: str) -> PropertyRow:
    unit = unit_of(value.property, group)
    return PropertyRow(
        value.property,
        property_words(value.property),
        value.condition,
        low=_short(value.low / unit.factor),
        typical=_short(value.typical / unit.factor),
        high=_short(value.high / unit.factor),
        unit=unit.text,
        kind=value.kind,
        source=source_words(value.source),
        note=value.note,
        is_sign_unknown=value.distribution["family"] == "random_sign",
    )


def _quarrels(values: Sequence[MaterialValue]) -> Iterable[Quarrel]:
    """Yield each family of properties in which two sources do not overlap."""
    for stem in dict.fromkeys(one.property for one in values):
        rows = [one for one in values if one.property == stem]
        # What was worked out from both sides of a quarrel takes no side in it.
        apart = [one for one in rows if ";" not in one.source]
        if len({one.source for one in apart}) < 2 or not _disagree(apart):
            continue
        family = stem.rpartition("_")[0]
        within = [one for one in values if one.property.rpartition("_")[0] == family]
        within = [one for one in within if ";" not in one.source]
        sources = tuple(dict.fromkeys(one.source for one in within))
        names = tuple(dict.fromkeys(one.property for one in within))
        yield Quarrel(
            about=property_words(family),
            sources=tuple(source_words(one) for one in sources),
            lines=tuple(
                (property_words(name), tuple(_says(within, name, source) for source in sources))
                for name in names
            ),
            sentence=_sentence(values),
        )


def _disagree(rows: Sequence[MaterialValue]) -> bool:
    return any(
        first.source != second.source and (first.high < second.low or second.high < first.low)
        for first in rows
        for second in rows
    )


def _says(rows: Sequence[MaterialValue], name: str, source: str) -> Says:
    found = [one for one in rows if one.property == name and one.source == source]
    if not found:
        return Says("says nothing")
    unit = unit_of(name)
    texts, small = [], []
    for one in found:
        low, typical, high = (
            _short(point / unit.factor) for point in (one.low, one.typical, one.high)
        )
        texts.append(typical if low == high else f"{typical} ({low} to {high})")
        # A note of the table may speak of its own lines above.
        note = one.note.partition("; this contradicts")[0]
        small += [part for part in (one.kind, one.condition, note) if part]
    return Says(f"{' · '.join(texts)} {unit.text}".strip(), ", ".join(dict.fromkeys(small)))


def _sentence(values: Sequence[MaterialValue]) -> str:
    if any(one.distribution["family"] == "random_sign" for one in values):
        return (
            "Which direction moves more is not known, so computations take either sign with even "
            "chance. One crack's width at two humidities settles it for this object."
        )
    return "Computations take the row of the state that you choose, never a mean of the two."


def _short(value: float) -> str:
    """Return a number of a table to three digits at most, never as a power of ten."""
    from decimal import Decimal

    rounded = Decimal(f"{value:.3g}")
    text = format(rounded, "f")
    return (text.rstrip("0").rstrip(".") if "." in text else text).replace("-", "−")
