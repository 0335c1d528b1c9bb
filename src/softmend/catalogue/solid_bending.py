"""Bending stress of a held object, and in the section of each crack and join."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from softmend.catalogue.computation import Asked, Computation, Model, Number
from softmend.catalogue.solid_hold import Held, HoldInput, footing, lying, pad_places, weighed
from softmend.catalogue.solid_scan import (
    MM_PER_M,
    NOT_LIFTING,
    At,
    Place,
    ScanAnswer,
    length_working,
)
from softmend.catalogue.solid_standing import PA_PER_MPA
from softmend.catalogue.solid_supports import CRACKS
from softmend.errors import InputError

MOST_TOLD = 60
ONE_PIECE = (
    "Model of one sound piece: the near field of a pad (one radius), layers, grain and inner "
    "cracks are outside it."
)


class CrackGiven(Model):
    """A crack or join: a point of the scan where it shows, and how deep the section is lost."""

    number: Annotated[int, Field(ge=0, le=1_000_000)] = 0
    at: Place
    depth_mm: Annotated[Number, Field(ge=0, le=2000)]


class BendingInput(HoldInput):
    """An object on pads, and the cracks and joins whose sections are asked about."""

    cracks: list[CrackGiven] = Field(default=[], max_length=100)


class CrackFound(Model):
    """The stress in the section of a crack: whole, and net of what is lost."""

    number: int
    at_percent: float
    stress_mpa: float
    net_stress_mpa: float
    lost_percent: float


class SectionFound(Model):
    """One section: where, its radius, its stress."""

    at_percent: float
    at: At
    radius_mm: float
    stress_mpa: float


class BendingAnswer(ScanAnswer):
    """The stress along an object on its supports; "not a beam" is an answer."""

    is_beam: bool | None = None
    mass_g: float | None = None
    length_mm: float | None = None
    pads_percent: tuple[float, ...] = ()
    forces_n: tuple[float, ...] = ()
    stress_mpa: float | None = None
    stress_at_percent: float | None = None
    cracks: tuple[CrackFound, ...] = ()
    sections: tuple[SectionFound, ...] = ()


def solid_bending(given: BendingInput, asked: Asked) -> BendingAnswer:
    """Return the bending stress of a held object, or why there is none."""
    weight = weighed(given, asked)
    if isinstance(weight, tuple):
        return BendingAnswer(answer="cannot say", reasons=weight)
    try:
        found = lying(given, weight)
    except InputError as refused:
        return BendingAnswer(
            answer="cannot say", is_beam=False, reasons=(refused.sentence(),),
            mass_g=float(f"{weight.weight / 9.80665 * 1e3:.4g}"), warnings=(CRACKS, NOT_LIFTING),
            states=tuple(str(state) for state in weight.weighty.scan.shape.states),
        )  # fmt: skip
    general: dict[str, Any] = {
        "states": tuple(str(state) for state in found.weighty.scan.shape.states),
        "mass_g": float(f"{found.weight / 9.80665 * 1e3:.4g}"),
        "length_mm": float(f"{MM_PER_M * found.beam.length:.4g}"),
        "working": length_working(given, found.weighty.scan),
    }
    tail = (ONE_PIECE, CRACKS, NOT_LIFTING)
    if not found.beam.is_beam:
        return BendingAnswer(
            answer="cannot say",
            is_beam=False,
            reasons=tuple(f"Not a beam: {why}." for why in found.beam.reasons),
            warnings=tail,
            **general,
        )
    supports = _supports(given, found)
    if isinstance(supports, str):
        return BendingAnswer(
            answer="cannot say", is_beam=True, reasons=(supports,), warnings=tail, **general
        )
    return BendingAnswer(
        is_beam=True, warnings=(*found.weighty.scan.notes, *tail), **general,
        **_told(given, found, supports),
    )  # fmt: skip


def _supports(given: BendingInput, found: Held) -> Any:
    import math

    from softmend.catalogue.solid_supports import candidates

    if given.pads:
        at = pad_places(given, found)
        feet = [footing(given, found.undersides, float(one)) for one in at]
        carried = found.holding.carried(feet, found.weight)
        if not carried.stands:
            return "It tips off these supports: no stress at rest can be told."
        forces = carried.forces
    else:
        if len(found.free) < given.place:
            return "Too few places are left for its pads: free more of the object, or give pads."
        layouts = candidates(given, found).layouts(given.place)
        best = layouts.best(given.pressure_limit_kpa * 1e3, given.tipping_least)
        best = layouts.best(math.inf, 0.0) if best is None else best
        if best is None:
            return "No places are left on which only pushing pads hold it."
        at, forces = layouts.at[best], layouts.forces[best]
    return found.holding.supports(at, forces, given.pad_length_mm / MM_PER_M)


def _told(given: BendingInput, found: Held, supports: Any) -> dict[str, Any]:
    from softmend.science.solid.bending import bending_stress

    beam = found.beam
    stress = bending_stress(beam, supports, found.weight, found.down)
    radius = dict(zip(beam.at.tolist(), beam.radii.tolist(), strict=True))
    sections = [
        SectionFound(
            at_percent=round(100 * float(at) / beam.length, 1),
            at=found.weighty.scan.at(beam.place(at)),
            radius_mm=round(MM_PER_M * radius[float(at)], 2),
            stress_mpa=float(f"{value / PA_PER_MPA:.2g}"),
        )
        for at, value in zip(stress.at, stress.tension, strict=True)
        if float(at) in radius
    ]
    return {
        "pads_percent": tuple(round(100 * float(x) / beam.length, 1) for x in supports.at),
        "forces_n": tuple(float(f"{x:.3g}") for x in supports.forces),
        "stress_mpa": float(f"{stress.largest / PA_PER_MPA:.2g}"),
        "stress_at_percent": round(100 * stress.worst_at / beam.length),
        "cracks": tuple(_crack(one, found, supports) for one in given.cracks),
        "sections": tuple(sections[:MOST_TOLD]),
    }


def _crack(one: CrackGiven, found: Held, supports: Any) -> CrackFound:
    from softmend.science.solid.bending import crack_stress, internal
    from softmend.science.solid.holding import vectors

    point = found.weighty.scan.places(one.at)
    beam = found.beam
    at = found.holding.nearest(point)
    moments, forces = internal(beam, supports, found.weight, found.down, vectors([at]))
    told = crack_stress(beam, (moments[0], forces[0]), at, point, one.depth_mm / MM_PER_M)
    return CrackFound(
        number=one.number,
        at_percent=round(100 * at / beam.length, 1),
        stress_mpa=float(f"{told.whole / PA_PER_MPA:.2g}"),
        net_stress_mpa=float(f"{told.net / PA_PER_MPA:.2g}"),
        lost_percent=round(100 * told.lost_share, 1),
    )


COMPUTATIONS: dict[str, Computation] = {
    "solid.bending": Computation(
        name="solid.bending",
        title="Bending of a held object",
        input_model=BendingInput,
        output_model=BendingAnswer,
        function=solid_bending,
        formula="N/A and unsymmetric bending at the outline of each section, Winkler's factor in "
        "the plane of the bend, torsion T r / J; largest principal stress s/2 + √(s²/4 + t²); at a "
        "crack on what is left of the section",
        sources=("softmend-solids", "machinerys2020"),
        cautions=(ONE_PIECE, CRACKS, NOT_LIFTING),
        checked="tests/science/solid/test_bending.py",
    ),
}
