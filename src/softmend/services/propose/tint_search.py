"""A recipe by readings: what dossier and house supply to the search, and what it answers."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from softmend import catalogue
from softmend.errors import InputError
from softmend.pictures.tint_strip import StripField, StripRow
from softmend.records.paint import PaintRole, Reading, ReadingOf, check_specular, ways_in_words
from softmend.services.bench import Bench
from softmend.services.computing import kept_files
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.paints import (
    KeptLamp,
    KeptPaint,
    as_asked,
    drawdowns_of,
    lamps_in,
    paints_in,
    used_readings,
    usual_lamps,
)
from softmend.services.propose.colour_readings import Target, targets_in
from softmend.services.store import Reader

COAT_UM, BATCH_G, MOST_PAINTS = 60.0, 5.0, 4
LEAST_LAMPS = 2


@dataclass(frozen=True)
class AskedOfTint:
    """What a person asks of a tint: the target, what is at hand, the lamps, the coat, the cup."""

    target: str = ""
    pulp: str = ""
    paints: tuple[str, ...] = ()
    white: str = ""
    binder: str = ""
    lamps: tuple[str, ...] = ()
    thickness_um: float = COAT_UM
    batch_g: float = BATCH_G
    solids_percent: float = 20.0
    binder_solids_percent: float = 50.0
    coat_percent: float = 15.0
    most_paints: int = MOST_PAINTS


@dataclass(frozen=True)
class Choices:
    """What a tint can be made from: targets, paints by role, lamps by the name they go by."""

    targets: list[Target]
    paints: list[KeptPaint]
    whites: list[KeptPaint]
    binders: list[KeptPaint]
    pulps: list[KeptPaint]
    lamps: list[tuple[str, str]]

    @property
    def usual(self) -> AskedOfTint:
        """Return what is asked before a person has chosen: the newest of each, all paints."""
        return AskedOfTint(
            target=self.targets[0].key if self.targets else "",
            pulp=_first(self.pulps),
            paints=tuple(one.paint.name for one in self.paints if not one.lacks),
            white=_first(self.whites),
            binder=_first(self.binders),
            lamps=tuple(name for name, _ in self.lamps[:3]),
        )


@dataclass(frozen=True)
class BoundTint:
    """The inputs of tint.recipe, the entries they are from, and what stands in the way."""

    payload: dict[str, Any]
    read_entry_ids: tuple[str, ...]
    missing: tuple[str, ...]
    words: tuple[str, ...]
    target: Target | None = None
    lamp_words: dict[str, str] = field(default_factory=dict)


def choices(reader: Reader, dossier_id: str) -> Choices:
    """Return what a tint of this dossier can be made from."""
    paints = paints_in(reader)
    kept = lamps_in(reader)
    lamps = [(one.lamp.name, f"{one.lamp.name}, {one.lamp.place.value}") for one in kept]
    if not kept:
        lamps = [(name, f"{name}, taken for {place.value}") for name, place in usual_lamps()]

    def of(role: PaintRole) -> list[KeptPaint]:
        return [one for one in paints if one.paint.role is role]

    return Choices(
        targets=targets_in(reader, dossier_id),
        paints=of(PaintRole.PAINT),
        whites=of(PaintRole.WHITE),
        binders=of(PaintRole.BINDER),
        pulps=of(PaintRole.PULP),
        lamps=lamps,
    )


def bound_tint(reader: Reader, dossier_id: str, asked: AskedOfTint) -> BoundTint:
    """Return the inputs of a search for a recipe, or what is missing of them, in sentences."""
    there = choices(reader, dossier_id)
    target = next((one for one in there.targets if one.key == asked.target), None)
    pulp = _named(there.pulps, asked.pulp)
    paints = [one for one in there.paints if one.paint.name in asked.paints]
    white, binder = _named(there.whites, asked.white), _named(there.binders, asked.binder)
    used = [one for one in (*paints, white) if one is not None]
    clear = binder if binder is not None and not binder.lacks else None
    missing = _missing(target, pulp, paints, used, asked)
    if missing or target is None or pulp is None:
        return BoundTint({}, (), missing, (), target)
    ground, is_bare = _ground(pulp)
    readings = [*used_readings([*used, *([clear] if clear else [])]), ground]
    if target.place.reading is not None:
        readings.append(target.place.reading)
    check_specular(tuple(readings))
    lamps = [_lamp(reader, name) for name in asked.lamps]
    surface = _surface(readings)
    payload: dict[str, Any] = {
        "target": target.reading,
        "ground": as_asked(ground),
        "ground_surface": {"k1": 0, "k2": 0} if is_bare else surface,
        "surface": surface,
        "paints": [_paint(one) for one in paints],
        "white": None if white is None else _paint(white),
        "binder": None if clear is None else _paint(clear),
        "thickness_um": asked.thickness_um,
        "most_paints": asked.most_paints,
        "lamps": [lamp.lamp.asked_as if lamp else name
                  for lamp, name in zip(lamps, asked.lamps, strict=True)],
        "errors": {"coat_percent": asked.coat_percent},
        "batch": {
            "batch_g": asked.batch_g,
            "solids_percent": asked.solids_percent,
            "binder_solids_percent": asked.binder_solids_percent,
        },
        **_lamp_file(lamps),
    }  # fmt: skip
    kept = [*used, *([clear] if clear else []), pulp]
    ids = [target.entry_id, *(one.entry_id for one in kept)]
    ids += [lamp.entry_id for lamp in lamps if lamp]
    told = [*ways_in_words(tuple(readings))]
    if is_bare:
        told.append("The pulp was read bare: read pulp and clear skin, since wetting darkens pulp.")
    return BoundTint(
        payload=payload,
        read_entry_ids=tuple(dict.fromkeys(ids)),
        missing=(),
        words=tuple(told),
        target=target,
        lamp_words=dict(zip(payload["lamps"], asked.lamps, strict=True)),
    )


def answered(bench: Bench, name: str, payload: dict[str, Any]) -> Outcome:
    """Run a computation whose inputs may name a lamp file that the house keeps."""
    named = catalogue.files_named(payload)
    if not named:
        return outcome(name, payload)
    return catalogue.run(name, payload, files=kept_files(bench, named))


def strip_rows(bench: Bench, bound: BoundTint, recipe: Outcome) -> tuple[StripRow, ...]:
    """Return the strips of a recipe: each lamp, the object under it, the skin at three coats.

    No difference is shown as smaller than the one to be expected of a first coat.
    """
    asked = {"readings": [bound.payload["target"]], "lamps": bound.payload["lamps"]}
    if "lamp_file" in bound.payload:
        asked["lamp_file"] = bound.payload["lamp_file"]
    object_under = {
        one["lamp"]: one for one in answered(bench, "colour.lab", asked)["colours"][0]["by_lamp"]
    }
    rows = []
    for lamp, words in bound.lamp_words.items():
        fields = tuple(
            StripField(
                one["coat_percent"], _lab(one["lab"]), max(one["difference"], recipe["expected"])
            )
            for one in recipe["strips"]
            if one["lamp"] == lamp
        )
        note = "" if words == lamp else lamp
        rows.append(StripRow(words, note, _lab(object_under[lamp]["lab"]), fields))
    return tuple(rows)


def _first(kept: Sequence[KeptPaint]) -> str:
    return next((one.paint.name for one in kept if not one.lacks), "")


def _named(kept: Sequence[KeptPaint], name: str) -> KeptPaint | None:
    return next((one for one in kept if one.paint.name == name), None)


def _missing(
    target: Target | None,
    pulp: KeptPaint | None,
    paints: Sequence[KeptPaint],
    used: Sequence[KeptPaint],
    asked: AskedOfTint,
) -> tuple[str, ...]:
    found = []
    if target is None:
        found.append("Read a colour of the object: from a photograph or an instrument.")
    if pulp is None:
        found.append("Read pulp and clear skin, and keep it under Paints as a pulp.")
    elif pulp.lacks and pulp.paint.reading(ReadingOf.THICK) is None:
        found.append(f"“{pulp.paint.name}” needs {pulp.lacks}.")
    if not paints:
        found.append("Choose one paint or more.")
    found += [f"“{one.paint.name}” needs {one.lacks}." for one in used if one.lacks]
    if len(asked.lamps) < LEAST_LAMPS:
        found.append("Choose two lamps or more: a match under one can be lost under another.")
    return tuple(found)


def _ground(pulp: KeptPaint) -> tuple[Reading, bool]:
    """Return the reading of the ground, and whether it was bare when it was read."""
    skinned = pulp.paint.reading(ReadingOf.PULP_AND_SKIN)
    bare = pulp.paint.reading(ReadingOf.THICK)
    found = skinned or bare
    if found is None:
        raise InputError(f"“{pulp.paint.name}” has no reading", remedy="Read pulp and clear skin")
    return found, skinned is None


def _surface(readings: Sequence[Reading]) -> dict[str, Any]:
    excluded = any(one.specular == "excluded" for one in readings)
    return {"k1": 0.04, "k2": 0.6, "specular": "excluded" if excluded else "included"}


def _paint(kept: KeptPaint) -> dict[str, Any]:
    paint = kept.paint
    return {
        "name": paint.name,
        "drawdowns": drawdowns_of(kept),
        "fades": paint.fades.value,
        "stocks": [
            {"name": one.name, "paint_percent": one.paint_percent,
             "binder_percent": one.binder_percent, "drop_g": one.drop_g}
            for one in paint.stocks
        ],
    }  # fmt: skip


def _lamp(reader: Reader, name: str) -> KeptLamp | None:
    """Return a lamp of the house; one of the CIE's set that the house has not named is None."""
    found = next((one for one in lamps_in(reader) if one.lamp.name == name), None)
    if found is None:
        from softmend.services.paints import check_standard

        check_standard(name)
    return found


def _lamp_file(lamps: Sequence[KeptLamp | None]) -> dict[str, str]:
    files = {one.lamp.file_sha256 for one in lamps if one is not None and one.lamp.file_sha256}
    if len(files) > 1:
        raise InputError(
            "These lamps are from different files",
            value=f"{len(files)} files",
            allowed="lamps of the CIE's set, and of one file",
            remedy="Put the lamps of the house into one file and import that",
        )
    return {"lamp_file": files.pop()} if files else {}


def _lab(values: Sequence[float]) -> tuple[float, float, float]:
    return (values[0], values[1], values[2])
