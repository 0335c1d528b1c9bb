"""The marked cracks in each plan: how far each opens between the dampest and the driest moment."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from softmend.records.crack_model import BodyAround
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.explain.binding import Bound, bound_crack
from softmend.services.explain.crack import cracks_in, fills_on
from softmend.services.explain.measured_opening import measured_opening, opening_inputs
from softmend.services.places.plans import Plan, Where
from softmend.services.store import Reader

ORIGIN = "the place's record, as the object's mean follows it"


@dataclass(frozen=True)
class InPlan:
    """One crack in one plan: its opening, and what gives first there with each fill."""

    plan: str
    opening: Outcome
    gives: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class CrackInPlans:
    """One crack in every plan; `lacks` says why nothing can be said of it."""

    number: int
    words: str
    used: str
    plans: tuple[InPlan, ...] = ()
    lacks: str = ""


def cracks_in_plans(reader: Reader, dossier_id: str, plans: Sequence[Plan]) -> list[CrackInPlans]:
    """Return what each marked crack does in each plan."""
    found = []
    for entry, mark in cracks_in(reader, dossier_id):
        bound = bound_crack(reader, dossier_id, entry, mark)
        found.append(_one(reader, dossier_id, bound, plans))
    return found


def felt_climate(where: Where) -> dict[str, Any]:
    """Return the fall and rise that the object's mean feels, from the middle of what it does."""
    middle = (where.least.typical + where.most.typical) / 2
    fall = sorted(max(middle - one, 0.0) for one in _points(where.least))
    rise = sorted(max(one - middle, 0.0) for one in _points(where.most))
    return {"fall_percent": _sourced(fall), "rise_percent": _sourced(rise)}


def _one(reader: Reader, dossier_id: str, bound: Bound, plans: Sequence[Plan]) -> CrackInPlans:
    number = bound.mark.number
    words = ", ".join(part for part in (bound.mark.part, bound.mark.side) if part != "not known")
    asked, used = _movement(reader, dossier_id, bound)
    if not asked:
        lacks = next(
            (one.sentence for one in bound.missing if one.field in ("mismatch_percent", "body")),
            "How it moves with humidity is known only for a round shaft, or once it is measured.",
        )
        return CrackInPlans(number, words, "", lacks=lacks)
    return CrackInPlans(
        number, words, used, tuple(_in_plans(reader, dossier_id, bound, asked, plans))
    )


def _in_plans(
    reader: Reader, dossier_id: str, bound: Bound, asked: dict[str, Any], plans: Sequence[Plan]
) -> Iterator[InPlan]:
    for plan in plans:
        mean = plan.where("mean")
        if mean is None:
            continue
        span = {"before_percent": mean.most.typical, "after_percent": mean.least.typical}
        yield InPlan(
            plan.key,
            outcome("moisture.opening", span | asked),
            tuple(_gives(reader, dossier_id, bound, mean)),
        )


def _gives(reader: Reader, dossier_id: str, bound: Bound, mean: Where) -> Iterator[tuple[str, str]]:
    """Yield what gives first with each fill when the place's own swing stands for the climate."""
    missing = tuple(
        one for one in bound.missing if one.field not in ("fall_percent", "rise_percent")
    )
    moved = replace(
        bound, payload={**bound.payload, "climate": felt_climate(mean)}, missing=missing
    )
    if missing:
        return
    for fill in fills_on(reader, dossier_id, moved):
        if fill.giving is not None:
            yield fill.name, str(fill.giving["sentence"])


def _movement(reader: Reader, dossier_id: str, bound: Bound) -> tuple[dict[str, Any], str]:
    measured = measured_opening(reader, dossier_id, bound.mark_id)
    if measured is not None:
        return opening_inputs(measured.record), "measured"
    radius = bound.payload.get("crack", {}).get("radius_mm")
    mismatch = bound.payload.get("movement", {}).get("mismatch_percent")
    if bound.model.body is BodyAround.PLANE or radius is None or mismatch is None:
        return {}, ""
    return {"radius_mm": radius, "mismatch_percent": mismatch}, "modelled"


def _points(one: Any) -> tuple[float, float, float]:
    return one.low, one.typical, one.high


def _sourced(points: Sequence[float]) -> dict[str, Any]:
    low, typical, high = points
    value: Any = {"low": low, "typical": typical, "high": high}
    if not low < typical < high:
        value = typical
    return {"value": value, "kind": "derived", "origin": ORIGIN}
