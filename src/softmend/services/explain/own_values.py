"""Own values: what this bench measured or typed of a material, before what the table has.

A newer value of the same property in the same state stands before an older one, and a measured one
before any other. Fill systems of the bench's own are materials like those of the table.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.catalogue.material import sourced
from softmend.errors import InputError, NotFoundError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.shelf import (
    OwnSystem,
    OwnValue,
    SaidOfSystem,
    checked_system,
    checked_value,
    typed_points,
)
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.explain.bench_units import BenchUnit, properties, unit_named, unit_of
from softmend.services.house_journal import (
    HOUSE_ID,
    house_is_open,
    record_in_house,
    strike_in_house,
)
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.tables import table
from softmend.tables.materials import material_values, materials

SYSTEMS = "fill_systems"

# What each bench test measures: the property and the unit in which its answer hands it on.
TESTS: dict[str, tuple[str, str]] = {
    "bench.bending": ("modulus", "MPa"),
    "bench.shrinkage": ("volumetric_shrinkage", "%"),
    "bench.pull_off": ("bond_strength", "MPa"),
}
TEST_WORDS = {
    "bench.bending": "bar bending",
    "bench.shrinkage": "drying shrinkage",
    "bench.pull_off": "pull-off",
}


@dataclass(frozen=True)
class OwnRow:
    """An own value with the entry that holds it and the subject that a correction names."""

    entry_id: str
    subject_id: str
    value: OwnValue

    @property
    def origin(self) -> str:
        """Return where the value is from, as a working prints it."""
        how = TEST_WORDS.get(self.value.computation, "typed")
        day = "" if self.value.known_on == NOT_KNOWN else f", {self.value.known_on}"
        return f"this bench's own, {how}{day}: {self.value.source}"[:500]

    def sourced(self, unit: BenchUnit | None = None) -> Sourced:
        """Return the value as an input of a computation, in another unit when one is given."""
        from softmend.science.uncertain import Uncertain

        own = self.value
        given = own.distribution or typed_points(
            {"low": own.low, "typical": own.typical, "high": own.high}
        )
        if unit is not None and unit.text != own.unit:
            factor = unit_named(own.property, own.unit).factor / unit.factor
            is_typed = not own.distribution
            given = (
                {name: factor * given[name] for name in ("low", "typical", "high")}
                if is_typed
                else Uncertain.from_json(given).scaled(factor).to_json()
            )
        return Sourced.model_validate({"value": given, "kind": own.kind, "origin": self.origin})


@dataclass(frozen=True)
class Chosen:
    """A value that a computation takes, and the entry it is from; the table has none."""

    value: Sourced
    entry_id: str


def own_rows(
    reader: Reader,
    material: str | None = None,
    property_name: str | None = None,
    condition: str | None = None,
) -> list[OwnRow]:
    """Return the own values that match: measured ones first, newer before older."""
    if not house_is_open(reader):
        return []
    numbered = [
        (entry.number, OwnRow(entry.id, entry.subject_id, value))
        for entry, value in current_records(reader, HOUSE_ID, "own_value")
        if material in (None, value.material)
        and property_name in (None, value.property)
        and condition in (None, value.condition)
    ]
    numbered.sort(key=lambda one: (one[1].value.kind != "measured", -one[0]))
    return [row for _, row in numbered]


def chosen_value(
    reader: Reader,
    material: str,
    names: Iterable[str],
    unit: BenchUnit,
    condition: str | None = None,
) -> Chosen | None:
    """Return the first property of a list that is known: the bench's own, else the table's row.

    A state without a row has no value: nothing is taken from a nearby state. Without a state, the
    table's row counts only where it has one.
    """
    in_table = material_values(material) if material in materials() else []
    for name in names:
        own = own_rows(reader, material, name, condition)
        if own:
            return Chosen(own[0].sourced(unit), own[0].entry_id)
        rows = [
            one for one in in_table if one.property == name and condition in (None, one.condition)
        ]
        if len(rows) == 1:
            return Chosen(sourced(rows[0], 1 / unit.factor), "")
    return None


def own_systems(reader: Reader) -> list[tuple[Entry, OwnSystem]]:
    """Return the fill systems of this bench's own, by name."""
    if not house_is_open(reader):
        return []
    found: list[tuple[Entry, OwnSystem]] = current_records(reader, HOUSE_ID, "own_system")
    return sorted(found, key=lambda one: one[1].material.casefold())


def known_materials(reader: Reader) -> list[str]:
    """Return the names of all materials: the table's, the bench's own, and its fill systems."""
    own = {row.value.material for row in own_rows(reader)}
    systems = {system.material for _, system in own_systems(reader)}
    return sorted({*materials(), *own, *systems}, key=str.casefold)


def said_of_system(reader: Reader, material: str) -> list[SaidOfSystem]:
    """Return what is said in words of a fill system, the bench's own before the table's."""
    for _, system in own_systems(reader):
        if system.material == material:
            return list(system.said)
    return [
        SaidOfSystem(str(row["aspect"]), str(row["wording"]), str(row["kind"]), str(row["source"]))
        for row in table(SYSTEMS).rows
        if row["material"] == material
    ]


def record_own_value(
    bench: Bench, author: Author, value: OwnValue, *, subject_id: str = "", based_on: str = ""
) -> Entry:
    """Record a value that was typed; a correction names the subject that it corrects."""
    return _record(bench, author, _in_its_unit(checked_value(value)), subject_id, based_on)


def test_answer(computation: str, inputs: dict[str, Any]) -> Outcome:
    """Return what a bench test says, before anything is recorded."""
    if computation not in TESTS:
        raise NotFoundError(
            "There is no bench test of that name", value=computation, allowed=", ".join(TESTS)
        )
    return outcome(computation, inputs)


def record_test(
    bench: Bench, author: Author, blank: OwnValue, inputs: dict[str, Any], based_on: str = ""
) -> Entry:
    """Record what a bench test measured, with all that was read off; `blank` says of what."""
    answer = test_answer(blank.computation, inputs)
    property_name, unit = TESTS[blank.computation]
    name = f"{property_name}_lower_bound" if answer.get("at_least") else property_name
    if name not in properties():
        raise InputError("This bench test gives nothing that the table knows", value=name)
    low, typical, high = _band(answer)
    value = replace(
        blank,
        property=name,
        unit=unit,
        low=low,
        typical=typical,
        high=high,
        kind="measured",
        distribution=answer["use"],
        inputs=inputs,
        outputs=answer,
    )
    return _record(bench, author, checked_value(value), "", based_on)


def strike_own_value(
    bench: Bench, author: Author, subject_id: str, because: str, based_on: str
) -> Entry:
    """Strike an own value, with the reason; it stays in the journal."""
    return strike_in_house(bench, author, "own_value", subject_id, because, based_on)


def record_own_system(bench: Bench, author: Author, system: OwnSystem, based_on: str = "") -> Entry:
    """Record a fill system of this bench's own; its numbers are own values of the same name."""
    checked = checked_system(system)
    if checked.material in materials():
        raise InputError(
            "The table has a material of that name already",
            value=checked.material,
            allowed="a name of its own",
            remedy="Add your own values to it, or name the recipe: “pulp, our recipe of 2026”",
        )
    return record_in_house(
        bench, author, f"{HOUSE_ID}:system:{checked.material}", checked, based_on
    )


def strike_own_system(
    bench: Bench, author: Author, material: str, because: str, based_on: str
) -> Entry:
    """Strike a fill system of this bench's own, with the reason."""
    subject_id = f"{HOUSE_ID}:system:{material}"
    return strike_in_house(bench, author, "own_system", subject_id, because, based_on)


def _record(bench: Bench, author: Author, value: OwnValue, subject_id: str, based_on: str) -> Entry:
    return record_in_house(bench, author, subject_id or bench.fresh_id(), value, based_on)


def _in_its_unit(value: OwnValue) -> OwnValue:
    if value.property not in properties():
        unit_of(value.property)
    unit_named(value.property, value.unit)
    return value


def _band(answer: Outcome) -> tuple[float, float, float]:
    from softmend.science.uncertain import Uncertain

    band = Uncertain.from_json(answer["use"]).band
    return band.low, band.typical, band.high
