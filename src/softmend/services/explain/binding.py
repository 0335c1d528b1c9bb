"""Where the dossier supplies each field of a crack's mechanics, and what it does not supply.

Width and depth are the mark's, else those of the void on a scan that is linked with it; shape,
state and climate are what was said of the crack; matter is the bench's own values, then the table's
rows for that very state; a measured opening stands before the modelled one; a climate that nobody
said is the kept record of the object's place.
What nobody knows is named as missing and never filled in.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from statistics import median
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.records.crack_model import BodyAround, CrackModel, Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.mark import DepthStation, KnownHow, Mark, Section, WidthStation
from softmend.services.explain.binding_matter import UNITS, WORDS, matter_values
from softmend.services.explain.bounded import bounded
from softmend.services.explain.crack_void import Offered, void_offered
from softmend.services.explain.measured_opening import measured_opening
from softmend.services.places.felt import Felt, felt_in
from softmend.services.recording import current_records
from softmend.services.store import Reader

NINETIETH = 1.645 / 2
"""From a half-width at k = 2 to the distance between the middle and the 5 or 95 % point."""

BODIES = {
    BodyAround.CYLINDER: "cylinder",
    BodyAround.HOLLOW: "hollow cylinder",
    BodyAround.PLANE: "plane",
}
# What cannot be done without; a strength may be left out.
NEEDED = ("modulus_gpa", "poisson", "toughness_mpa_m05")


@dataclass(frozen=True)
class Missing:
    """One thing that is not known: the field of the form, or "mark", and a sentence."""

    field: str
    sentence: str


@dataclass(frozen=True)
class Bound:
    """One crack with all that the dossier supplies; `missing` is empty when it can be asked.

    `payload` holds crack, matter, movement and climate as the computations take them.
    """

    entry: Entry
    mark: Mark
    model: CrackModel
    model_entry_id: str
    payload: Mapping[str, Any] = field(default_factory=dict)
    missing: tuple[Missing, ...] = ()
    read_entry_ids: tuple[str, ...] = ()
    used: str = NOT_KNOWN
    sources: Mapping[str, Sourced] = field(default_factory=dict)

    @property
    def mark_id(self) -> str:
        """Return the id of the mark as a subject."""
        return self.entry.subject_id


def model_of(reader: Reader, dossier_id: str, mark_id: str) -> tuple[str, CrackModel]:
    """Return what was said of a crack and the entry that says so; nothing said is an answer."""
    for entry, model in current_records(reader, dossier_id, "crack_model"):
        if entry.subject_id == mark_id:
            return entry.id, model
    return "", CrackModel()


def bound_crack(reader: Reader, dossier_id: str, entry: Entry, mark: Mark) -> Bound:
    """Return what the dossier supplies to the mechanics of one crack."""
    model_entry_id, model = model_of(reader, dossier_id, entry.subject_id)
    missing: list[Missing] = []
    offered = None
    if not (mark.widths and mark.depths):
        offered = void_offered(reader, dossier_id, entry.subject_id)
    crack = _crack(mark, model, missing, offered)
    matter, sources, matter_ids = _matter(reader, model, missing)
    measured = measured_opening(reader, dossier_id, entry.subject_id)
    movement: dict[str, Any] = {}
    if "mismatch_percent" in sources:
        movement["mismatch_percent"] = _plain(sources["mismatch_percent"])
    if measured is not None:
        opens = measured.per_percent_mm
        opens = opens.model_copy(update={"origin": f"entry:{measured.entry_id}, {opens.origin}"})
        movement["measured_mm"] = _plain(opens)
        sources["measured_mm"] = opens
    if not movement:
        missing.append(
            Missing(
                "mismatch_percent",
                "How the crack moves with humidity is not known: measure its width at two "
                "humidities, or say how much more the object moves tangentially than radially.",
            )
        )
    felt = None if model.fall_percent is not None else felt_in(reader, dossier_id)
    ids = [entry.id, model_entry_id, *matter_ids, measured.entry_id if measured else ""]
    ids += [felt.entry_id if felt else "", *(offered.read_entry_ids if offered else ())]
    return Bound(
        entry=entry,
        mark=mark,
        model=model,
        model_entry_id=model_entry_id,
        payload={
            "crack": crack,
            "matter": matter,
            "movement": movement,
            "climate": _climate(model, missing) if felt is None else _felt_climate(felt),
        },
        missing=tuple(missing),
        read_entry_ids=tuple(one for one in ids if one),
        used="measured" if measured else "modelled" if movement else NOT_KNOWN,
        sources=sources,
    )


def width_of(stations: tuple[WidthStation, ...]) -> Sourced | None:
    """Return the width of a crack from its stations: the middle one, and how far they spread."""
    if not stations:
        return None
    widths = [one.width_mm for one in stations]
    middle, blur = median(widths), NINETIETH * max(one.expanded_mm for one in stations)
    low = middle - math.hypot(middle - min(widths), blur)
    high = middle + math.hypot(max(widths) - middle, blur)
    means = ", ".join(dict.fromkeys(one.measured_with for one in stations))
    return _three(max(low, middle / 10), middle, high, "measured", f"the mark: {means}")


def depth_of(stations: tuple[DepthStation, ...]) -> tuple[Sourced, str] | None:
    """Return the depth where the crack is deepest, and how it is known."""
    deepest = max(stations, key=lambda one: one.typical_mm, default=None)
    if deepest is None:
        return None
    how = deepest.known_how
    kind = "measured" if how in (KnownHow.GAUGE, KnownHow.XRAY) else "estimated"
    points = (deepest.low_mm, deepest.typical_mm, deepest.high_mm)
    return _three(*points, kind, f"the mark: {how.value}"), how.value


def told_value(told: Told, entry_id: str = "") -> Sourced:
    """Return what a person said as an input, with its kind and origin."""
    grounds = "" if told.grounds == NOT_KNOWN else f": {told.grounds}"
    origin = f"{f'entry:{entry_id}' if entry_id else 'typed'}{grounds}"
    return _three(told.low, told.typical, told.high, told.basis.value, origin)


def _crack(
    mark: Mark, model: CrackModel, missing: list[Missing], offered: Offered | None
) -> dict[str, Any]:
    width, depth = width_of(mark.widths), depth_of(mark.depths)
    if offered is not None:
        width, depth = width or offered.width, depth or (offered.depth, KnownHow.SEEN.value)
    if width is None:
        missing.append(Missing("mark", "Its width is not known: measure it at one place or more."))
    if depth is None:
        missing.append(
            Missing("mark", "Its depth is not known: give a range, however wide; do not probe.")
        )
    found: dict[str, Any] = {"section": "V" if mark.section is not Section.RECTANGLE else
                             "parallel, bottom bonded"}  # fmt: skip
    if width is not None:
        found["width_mm"] = _plain(width)
    if depth is not None:
        found |= {"depth_mm": _plain(depth[0]), "known_how": depth[1]}
    if model.body is BodyAround.NOT_KNOWN:
        missing.append(Missing("body", "What the crack runs into is not said: a shaft or a side."))
        return found
    found["body"] = BODIES[model.body]
    if model.body is not BodyAround.PLANE:
        _radius(model, found, missing)
    return found


def _radius(model: CrackModel, found: dict[str, Any], missing: list[Missing]) -> None:
    if model.radius_mm is None:
        missing.append(
            Missing("radius_mm", "The radius is not known: half the width across is near enough.")
        )
    else:
        found["radius_mm"] = _plain(told_value(model.radius_mm))
    if model.body is BodyAround.HOLLOW:
        if model.inner_radius_mm is None:
            missing.append(Missing("inner_radius_mm", "The radius of the hollow is not known."))
        else:
            found["inner_radius_mm"] = _plain(told_value(model.inner_radius_mm))


def _matter(
    reader: Reader, model: CrackModel, missing: list[Missing]
) -> tuple[dict[str, Any], dict[str, Sourced], tuple[str, ...]]:
    sources: dict[str, Sourced] = {}
    read: tuple[str, ...] = ()
    if model.material == NOT_KNOWN:
        missing.append(Missing("material", "The material at the crack is not said."))
    if model.preservation == NOT_KNOWN:
        missing.append(
            Missing(
                "preservation",
                "Its state of preservation is not said: fresh values do not hold for old matter.",
            )
        )
    if NOT_KNOWN not in (model.material, model.preservation):
        sources, read = matter_values(reader, model.material, model.preservation)
        if model.body is BodyAround.PLANE:
            # Of a flat side it counts how much is held back, which no table can know.
            sources.pop("mismatch_percent", None)
    sources |= {
        name: told_value(told) for name in UNITS if (told := getattr(model, name)) is not None
    }
    sources = {name: bounded(name, value) for name, value in sources.items()}
    for name in NEEDED:
        if name not in sources and NOT_KNOWN not in (model.material, model.preservation):
            missing.append(
                Missing(
                    name,
                    f"The {WORDS[name]} of {model.material} in the state “{model.preservation}” "
                    "is not in the table; the nearest fresh value is not taken. Type your own.",
                )
            )
    matter = {name: _plain(sources[name]) for name in UNITS if name in sources}
    matter.pop("mismatch_percent", None)
    named = {"material": model.material, "preservation": model.preservation}
    return {**named, **matter}, sources, read


def _climate(model: CrackModel, missing: list[Missing]) -> dict[str, Any]:
    if model.fall_percent is None:
        missing.append(
            Missing(
                "fall_percent",
                "How far the humidity falls in a usual year, as the object feels it, is not said.",
            )
        )
        return {}
    found = {"fall_percent": _plain(told_value(model.fall_percent))}
    if model.rise_percent is not None:
        found["rise_percent"] = _plain(told_value(model.rise_percent))
    return found


def _felt_climate(felt: Felt) -> dict[str, Any]:
    """Return the swing from the place's record, where nobody said how the humidity falls."""
    return {"fall_percent": _plain(felt.fall), "rise_percent": _plain(felt.rise)}


def _three(low: float, typical: float, high: float, kind: str, origin: str) -> Sourced:
    value: Any = {"low": low, "typical": typical, "high": high}
    if not low < typical < high:
        value = typical
    return Sourced.model_validate({"value": value, "kind": kind, "origin": origin[:500]})


def _plain(value: Sourced) -> dict[str, Any]:
    return value.model_dump(mode="json")
