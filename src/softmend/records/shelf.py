"""What a bench stocks and permits, and the values that it measured or typed itself.

They belong to the house, not to one object: a journal of its own beside the dossiers, opened by
the entry "bench_materials". What a dossier computed with them is kept in its runs.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from typing import Any

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN

LONGEST_NAME = 200
KINDS_OF_VALUE = (
    "measured",
    "reviewed",
    "handbook",
    "maker's sheet",
    "quoted",
    "recalled",
    "estimated",
    "derived",
    "library",
)
"""The closed list of marks that a value may carry."""

SYSTEM_ASPECTS = ("comes off with", "acidity", "hazard", "caution", "bond", "carries water")
"""What is said in words of a fill system, in the order of the table of fill systems."""


COMES_OFF = ("easily", "with effort", "hardly", "not in practice")
"""How a fill comes off again, from the gentlest; systems are compared by it."""
THICKEST_LAYER_MM, LONGEST_DRYING_DAYS = 1000.0, 1000.0


class Stocked(Enum):
    """Whether a material is at hand."""

    HERE = "here"
    NOT_HERE = "not here"
    NOT_KNOWN = "not known"


class Permitted(Enum):
    """Whether this house lets a material be used."""

    YES = "permitted"
    ASK = "ask first"
    NO = "not permitted"
    NOT_KNOWN = "not known"


class Freshness(Enum):
    """How a material stands to its date."""

    IN_DATE = "in date"
    PAST = "past its date"
    NO_DATE = "no date"


@dataclass(frozen=True)
class BenchMaterials:
    """The opening of the house's journal of materials."""

    title: str = "materials of this bench"


@dataclass(frozen=True)
class ShelfItem:
    """One material as this bench has it: at hand or not, permitted or not, and until when."""

    material: str
    stocked: Stocked = Stocked.HERE
    permitted: Permitted = Permitted.YES
    because: str = NOT_KNOWN
    supplier: str = NOT_KNOWN
    lot: str = NOT_KNOWN
    use_until_on: str = NOT_KNOWN
    note: str = NOT_KNOWN

    def freshness(self, today: date) -> Freshness:
        """Return how the material stands to its date."""
        if self.use_until_on == NOT_KNOWN:
            return Freshness.NO_DATE
        return Freshness.IN_DATE if _day(self.use_until_on) >= today else Freshness.PAST

    def is_offered(self, today: date) -> bool:
        """Say whether the material comes first where fills are compared."""
        return (
            self.stocked is Stocked.HERE
            and self.permitted is Permitted.YES
            and self.freshness(today) is not Freshness.PAST
        )


@dataclass(frozen=True)
class OwnValue:
    """One property of one material in one state, as this bench knows it.

    `low`, `typical` and `high` are the 5, 50 and 95 % points in `unit`; `distribution` is what
    computes, empty where the three points do. `computation`, `inputs` and `outputs` keep the bench
    test, empty for a typed value.
    """

    material: str
    property: str
    condition: str
    low: float
    typical: float
    high: float
    unit: str
    kind: str
    source: str
    known_on: str = NOT_KNOWN
    note: str = NOT_KNOWN
    distribution: dict[str, Any] = field(default_factory=dict)
    computation: str = ""
    inputs: dict[str, Any] = field(default_factory=dict)
    outputs: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class SaidOfSystem:
    """One thing said in words of a fill system, with its mark and source."""

    aspect: str
    wording: str
    kind: str
    source: str


@dataclass(frozen=True)
class OwnSystem:
    """A fill system of this bench's own: its name, what is said of it, and how it is laid.

    `reversible` is one of COMES_OFF or not known; layers are as thick at most as dries well.
    """

    material: str
    said: tuple[SaidOfSystem, ...] = ()
    note: str = NOT_KNOWN
    reversible: str = NOT_KNOWN
    layer_mm: float | None = None
    layer_drying_days: float | None = None


def checked_item(item: ShelfItem) -> ShelfItem:
    """Return a line of the shelf if it names a material and a refusal says why."""
    _named(item.material)
    if item.permitted in (Permitted.NO, Permitted.ASK) and item.because in ("", NOT_KNOWN):
        raise InputError(
            f"“{item.material}” is {item.permitted.value}, without a reason",
            remedy="Say in a few words why, or who is to be asked",
        )
    if item.use_until_on != NOT_KNOWN:
        _day(item.use_until_on)
    return item


def checked_value(value: OwnValue) -> OwnValue:
    """Return an own value if it is in order, has a mark, and says where it is from."""
    _named(value.material)
    points = (value.low, value.typical, value.high)
    if not all(math.isfinite(one) and abs(one) <= 1e9 for one in points):
        raise InputError("A value is not a number that can be used", value=str(points))
    if not value.low <= value.typical <= value.high:
        raise InputError(
            "Low, typical and high are not in order",
            value=f"{value.low:g}, {value.typical:g}, {value.high:g} {value.unit}".strip(),
            allowed="low at most typical, typical at most high",
            remedy="One in twenty lies below low, half below typical, one in twenty above high",
        )
    _sourced(value.kind, value.source, f"{value.property.replace('_', ' ')} of {value.material}")
    if value.known_on != NOT_KNOWN:
        _day(value.known_on)
    return value


def checked_system(system: OwnSystem) -> OwnSystem:
    """Return a fill system if it has a name and each thing said of it has a mark and a source."""
    _named(system.material)
    for one in system.said:
        if one.aspect not in SYSTEM_ASPECTS:
            raise InputError(
                "That is not asked of a fill system",
                value=one.aspect,
                allowed=", ".join(SYSTEM_ASPECTS),
            )
        _sourced(one.kind, one.source, f"“{one.aspect}” of {system.material}")
    if system.reversible not in (*COMES_OFF, NOT_KNOWN):
        raise InputError(
            "That does not say how the fill comes off",
            value=system.reversible,
            allowed=", ".join((*COMES_OFF, NOT_KNOWN)),
        )
    layer, drying = system.layer_mm, system.layer_drying_days
    if layer is not None and not 0 < layer <= THICKEST_LAYER_MM:
        raise InputError(
            "The thickest layer is outside what is possible", value=f"{layer:g} mm",
            allowed=f"above 0, to {THICKEST_LAYER_MM:g} mm",
        )  # fmt: skip
    if drying is not None and not 0 <= drying <= LONGEST_DRYING_DAYS:
        raise InputError(
            "The drying of a layer is outside what is possible", value=f"{drying:g} d",
            allowed=f"0 to {LONGEST_DRYING_DAYS:g} d",
        )  # fmt: skip
    return system


def typed_points(value: Mapping[str, Any]) -> dict[str, Any]:
    """Return the distribution that three points stand for, as computations take it."""
    return {name: value[name] for name in ("low", "typical", "high")}


def _named(material: str) -> None:
    if not 0 < len(material.strip()) <= LONGEST_NAME:
        raise InputError(
            "A material needs a name",
            value=material[:50],
            allowed=f"1 to {LONGEST_NAME} characters",
            remedy="Name it as you name it at the bench, without a brand",
        )


def _sourced(kind: str, source: str, what: str) -> None:
    if kind not in KINDS_OF_VALUE:
        raise InputError(
            f"The {what} has no mark that is known", value=kind, allowed=", ".join(KINDS_OF_VALUE)
        )
    if source.strip() in ("", NOT_KNOWN):
        raise InputError(
            f"The {what} has no source",
            remedy="Say where it is from: a sheet, a book and page, or “my own judgement”",
        )


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as unread:
        raise InputError(
            "This is not a day", value=text, allowed="year-month-day, such as 2026-03-02"
        ) from unread
