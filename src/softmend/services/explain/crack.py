"""One crack and its fills: what each does to the object, as recorded or tried out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any

from softmend.errors import NotFoundError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.mark import Mark, Shape
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.examine.vocabulary import term
from softmend.services.explain.binding import Bound, bound_crack
from softmend.services.explain.binding_fill import System, fill_system, system_names
from softmend.services.explain.what_if import Tried, with_tried
from softmend.services.recording import current_records
from softmend.services.store import Reader

CRACK_FAMILIES = ("cracks", "joins")
GIVING, SHARING, COMPARING = "joint.first_to_give", "joint.load_sharing", "joint.compare_fills"
TRIED_OUT = "tried out on the page"
QUICK, WHOLE, SIDE_BY_SIDE = 11, 17, 12
"""Two to these powers draws: to try out, to keep, and to try out every fill at once."""


class Role(Enum):
    """Which fill is meant: the one that is in, or the one that is proposed or tried."""

    OLD = "old"
    NEW = "new"


@dataclass(frozen=True)
class FillOn:
    """One fill on one crack: who gives first and who carries what, or why it cannot be said."""

    role: Role
    name: str
    origin: str
    system: System | None = None
    giving: Outcome | None = None
    sharing: Outcome | None = None
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True)
class Named:
    """The name of a fill and where the dossier has it from."""

    name: str
    origin: str
    read_entry_ids: tuple[str, ...] = ()


def cracks_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, Mark]]:
    """Return the marks whose mechanics can be asked: drawn lines that are cracks, gaps or joins."""
    return [(entry, mark) for entry, mark in marks_in(reader, dossier_id) if _is_crack(mark)]


def crack_numbered(reader: Reader, dossier_id: str, number: int) -> Bound:
    """Return one crack by its human number, with all that the dossier supplies."""
    for entry, mark in cracks_in(reader, dossier_id):
        if mark.number == number:
            return bound_crack(reader, dossier_id, entry, mark)
    raise NotFoundError(
        "There is no crack or gap of that number",
        value=number,
        remedy="Only what is drawn as a line can open: a crack, a gap, a join",
    )


def fill_named(reader: Reader, dossier_id: str, bound: Bound, role: Role) -> Named | None:
    """Return which fill is in, or is to come: what was said, else what the plan names."""
    if role is Role.OLD:
        name = bound.model.old_fill
        said = bound.model.old_fill_grounds
        origin = "as recorded" + ("" if said == NOT_KNOWN else f": {said}")
        return None if name == NOT_KNOWN else Named(name, origin)
    if bound.model.new_fill != NOT_KNOWN:
        return Named(bound.model.new_fill, "chosen here")
    return _planned(reader, dossier_id, bound.mark.number)


def fills_on(
    reader: Reader,
    dossier_id: str,
    bound: Bound,
    tried: Tried | None = None,
    new_fill: str = "",
    draws_log2: int = QUICK,
) -> list[FillOn]:
    """Return what the old fill and the proposed or tried one do; nothing is recorded."""
    found = []
    for role in Role:
        named = fill_named(reader, dossier_id, bound, role)
        is_another = new_fill and (named is None or named.name != new_fill)
        if role is Role.NEW and is_another:
            named = Named(new_fill, TRIED_OUT)
        if named is not None:
            found.append(_fill_on(reader, bound, role, named, tried, draws_log2))
    return found


def side_by_side(
    reader: Reader,
    bound: Bound,
    names: list[str],
    tried: Tried | None = None,
    draws_log2: int = SIDE_BY_SIDE,
) -> Outcome | None:
    """Return fills side by side for one crack, or None while something of the crack is missing."""
    systems = [one for name in names if (one := fill_system(reader, name)) is not None]
    if bound.missing or not systems:
        return None
    payload = with_tried(bound.payload, tried or Tried())
    fills = [one.payload for one in systems]
    return outcome(COMPARING, {**payload, "fills": fills, "draws_log2": draws_log2})


def as_modelled(bound: Bound, one: FillOn, tried: Tried | None = None) -> Outcome | None:
    """Return who carries what had the movement not been measured, or None where there is no model.

    A measured opening is used wherever there is one; this stands beside it, so that it is seen
    what the measurement took away from the band.
    """
    movement = bound.payload["movement"]
    if one.system is None or not {"measured_mm", "mismatch_percent"} <= set(movement):
        return None
    asked = asked_of(bound, one.system, tried, QUICK)
    asked["movement"] = {"mismatch_percent": movement["mismatch_percent"]}
    return outcome(SHARING, asked)


def _fill_on(
    reader: Reader, bound: Bound, role: Role, named: Named, tried: Tried | None, draws_log2: int
) -> FillOn:
    system = fill_system(reader, named.name)
    if system is None:
        reason = f"The stiffness of “{named.name}” is not known: add your own value."
        return FillOn(role, named.name, named.origin, reasons=(reason,))
    if bound.missing:
        reasons = tuple(one.sentence for one in bound.missing)
        return FillOn(role, named.name, named.origin, system, reasons=reasons)
    giving = outcome(GIVING, asked_of(bound, system, tried, draws_log2))
    sharing = outcome(SHARING, asked_of(bound, system, tried, draws_log2))
    if giving["answer"] == "cannot say":
        reasons = tuple(giving["reasons"])
        return FillOn(role, named.name, named.origin, system, None, sharing, reasons)
    return FillOn(role, named.name, named.origin, system, giving, sharing)


def asked_of(bound: Bound, system: System, tried: Tried | None, draws_log2: int) -> dict[str, Any]:
    """Return what a computation about one fill on one crack is asked."""
    payload = with_tried(bound.payload, tried or Tried())
    return {**payload, "fill": system.payload, "draws_log2": draws_log2}


def _planned(reader: Reader, dossier_id: str, number: int) -> Named | None:
    known = {name.casefold(): name for name in system_names(reader)}
    materials: Mapping[int, tuple[Entry, Any]] = {
        one.number: (entry, one)
        for entry, one in current_records(reader, dossier_id, "plan_material")
    }
    for entry, fill in current_records(reader, dossier_id, "plan_fill"):
        if number not in fill.mark_numbers:
            continue
        for wanted in fill.material_numbers:
            if wanted in materials:
                told, material = materials[wanted]
                name = known.get(material.generic_name.casefold())
                if name is not None:
                    return Named(name, f"the plan, fill {fill.number}", (entry.id, told.id))
    return None


def _is_crack(mark: Mark) -> bool:
    is_line = mark.sightings[0].geometry.shape is Shape.LINE
    return is_line and term(mark.term_id).family in CRACK_FAMILIES
