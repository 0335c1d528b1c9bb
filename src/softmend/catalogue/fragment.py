"""Outlines of loose flakes, and candidate seats for a flake among the marked losses."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    Point,
    WorkingValue,
    estimate,
)
from softmend.catalogue.eyes import (
    PictureFile,
    Ring,
    Scale,
    ScaleOrNone,
    Traced,
    picture_of,
    scale_lines,
    traced,
)
from softmend.catalogue.surface import surface_of
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.photo.fragment_seat import Candidate, EdgeAllowance

MM_PER_M = 1e3
MM2_PER_M2 = 1e6
EDGE_SD_PX = 0.5
LOW_UNIQUENESS, GOOD_SCORE = 0.15, 0.6
ONLY_LISTS = (
    "This only lists candidates. A seat is a person's finding by the evidence codes of the record; "
    "nothing is placed by the program, and “none of these” is always an answer."
)
SIDE_UP = "Flakes lie with their outer side up; one that lies the other way round finds no seat."

RingMm = Annotated[list[Point], Field(min_length=3, max_length=20_000)]
AllowanceMm = Annotated[Number, Field(ge=0.01, le=5)]


class OutlinesInput(Model):
    """A photograph of a tray of loose flakes on a plain ground, its scale set."""

    picture_file: PictureFile
    scale: Scale
    ground: Literal["dark", "light", "not known"] = "not known"
    region_px: Ring | None = None
    smallest_mm: Annotated[Number, Field(gt=0, le=500)] = 3.0


class FlakeFound(Model):
    """One flake: its outline in the picture and in mm, its area, and how long it is.

    `outline_mm` is as it lies on the tray, from the middle of the flake.
    """

    number: int
    outline_px: Traced
    outline_mm: Traced
    area_mm2: Estimate
    longest_mm: float
    is_cut: bool


class OutlinesAnswer(Answer):
    """The flakes of a tray, from the top left to the bottom right."""

    flakes: tuple[FlakeFound, ...] = ()


class Outline(Model):
    """An outline by its number, in mm, or in px of a photograph whose scale is set."""

    number: Annotated[int, Field(ge=0, le=1_000_000)] = 0
    outline_px: Ring | None = None
    outline_mm: RingMm | None = None


class SeatsInput(Model):
    """A flake, the marked losses, and how far worn edges may lie apart.

    Outlines in px need the scale of their photograph. With both photographs the surface is looked
    at across the matched edge as well.
    """

    flake: Outline
    losses: Annotated[list[Outline], Field(min_length=1, max_length=500)]
    flake_scale: ScaleOrNone = None
    scale: ScaleOrNone = None
    tray_file: PictureFile | None = None
    object_file: PictureFile | None = None
    wear_mm: AllowanceMm = 0.2
    gap_mm: AllowanceMm = 0.5
    over_mm: AllowanceMm = 0.3
    most: Annotated[int, Field(ge=1, le=50)] = 5


class SeatFound(Model):
    """One candidate seat: how the flake is moved there and how its edge fits.

    `uniqueness` is how far its score leads that of the best other loss. `overlay` is the flake's
    outline in the loss, in px of the object's photograph, or in mm when that is how losses came.
    """

    number: int
    score: float
    uniqueness: float
    residual_mm: float
    matched_mm: float
    matched_percent: float
    covered_percent: float
    overhang_percent: float
    gap_mm: float
    turn_degrees: float
    overlay: Traced
    pattern: float | None = None
    grey_difference: float | None = None
    text: str = ""


class SeatsAnswer(Answer):
    """Candidate seats of a flake, the best fit first; shown unranked until an overlay was seen."""

    none_of_these: str = "none of these"
    candidates: tuple[SeatFound, ...] = ()
    is_unique: bool = False


def fragment_outlines(given: OutlinesInput, asked: Asked) -> OutlinesAnswer:
    """Return the outlines of the flakes on a tray."""
    from softmend.science.photo.fragment_outline import Ground, flakes
    from softmend.science.photo.polygon import measured_area

    picture = picture_of(asked)
    surface = surface_of(given.scale, asked)
    least = given.smallest_mm * _px_per_mm(surface, picture)
    found = flakes(picture, Ground(given.ground), max(least, 5.0), given.region_px)
    shown = []
    for number, one in enumerate(found, start=1):
        placed = surface.positions(one.outline_px) * MM_PER_M
        middle = placed - placed.mean(axis=0)
        area = measured_area(surface, one.outline_px[::2], [], 0.0, EDGE_SD_PX, seed=asked.seed)
        across = placed[:, None] - placed[None, :: max(len(placed) // 200, 1)]
        shown.append(
            FlakeFound(
                number=number,
                outline_px=traced(one.outline_px),
                outline_mm=_fine(middle),
                area_mm2=estimate(area, MM2_PER_M2, "mm²"),
                longest_mm=round(float(((across**2).sum(axis=2) ** 0.5).max()), 2),
                is_cut=one.is_cut,
            )
        )
    cut = sum(one.is_cut for one in shown)
    return OutlinesAnswer(
        answer="answer" if shown else "cannot say",
        reasons=() if shown else (f"Nothing of {given.smallest_mm:g} mm or more lies there.",),
        flakes=tuple(shown),
        warnings=(f"{cut} of them run out of the picture.",) if cut else (),
        working=scale_lines(given.scale),
    )


def _px_per_mm(surface: Any, picture: Any) -> float:
    from softmend.science.photo.across import metres_across

    rows, columns = picture.shape[:2]
    return 1e-3 / metres_across(surface, [columns / 2, rows / 2], [1.0, 0.0])


def _fine(points: Any) -> Traced:
    return tuple((round(float(x), 3), round(float(y), 3)) for x, y in points)


def fragment_seats(given: SeatsInput, asked: Asked) -> SeatsAnswer:
    """Return the candidate seats of one flake among the losses."""
    from softmend.science.photo.fragment_seat import EdgeAllowance, candidates

    rule = EdgeAllowance(given.wear_mm / 1e3, given.gap_mm / 1e3, given.over_mm / 1e3)
    flake = _metres(given.flake, given.flake_scale, asked, "flake", "flake_scale")
    numbers = [one.number for one in given.losses]
    if len(set(numbers)) < len(numbers):
        raise InputError(
            "Two losses have one number", value=sorted(numbers), remedy="Number each loss once"
        )
    losses = {
        one.number: _metres(one, given.scale, asked, f"loss {one.number}", "scale")
        for one in given.losses
    }
    found = [one for one in candidates(flake, losses, rule, given.most) if one.seat.score > 0]
    shown = tuple(_shown(given, asked, flake, one) for one in found)
    best = found[0] if found else None
    is_unique = best is not None and (
        best.uniqueness >= LOW_UNIQUENESS and best.seat.score >= GOOD_SCORE
    )
    return SeatsAnswer(
        answer="answer" if shown else "cannot say",
        reasons=() if shown else ("The flake fits into none of these losses.",),
        candidates=shown,
        is_unique=is_unique,
        warnings=(*_weak(is_unique=is_unique), SIDE_UP, ONLY_LISTS),
        working=(*scale_lines(given.scale), *scale_lines(given.flake_scale), *_rule(rule)),
    )


def _metres(one: Outline, scale: Any, asked: Asked, name: str, field: str) -> Any:
    from softmend.science.photo.surface import point_array

    if (one.outline_px is None) == (one.outline_mm is None):
        raise InputError(
            f"The outline of the {name} is given not once but otherwise",
            allowed="outline_px, or outline_mm",
            remedy="Give one of the two",
        )
    if one.outline_mm is not None:
        return point_array(one.outline_mm, 3) / MM_PER_M
    if scale is None:
        raise InputError(
            f"The outline of the {name} is in pixels and its photograph has no scale",
            allowed="a scale",
            remedy=f"Set {field}, or give the outline in mm",
        )
    points = one.outline_px or []
    return surface_of(scale, asked, points).positions(point_array(points, 3))


def _shown(given: SeatsInput, asked: Asked, flake: Any, one: Candidate) -> SeatFound:
    seat = one.seat
    pattern, difference = _surface(given, asked, flake, one)
    fit = (
        f"{1e3 * seat.matched_m:.0f} mm of edge ({100 * seat.matched_share:.0f} %) within "
        f"{1e3 * seat.residual_m:.2f} mm"
    )
    return SeatFound(
        number=one.number,
        score=round(seat.score, 3),
        uniqueness=round(one.uniqueness, 3),
        residual_mm=round(1e3 * seat.residual_m, 3),
        matched_mm=round(1e3 * seat.matched_m, 2),
        matched_percent=round(100 * seat.matched_share, 1),
        covered_percent=round(100 * seat.covered_share, 1),
        overhang_percent=round(100 * seat.outside_share, 1),
        gap_mm=round(1e3 * seat.gap_m, 3),
        turn_degrees=round(math.degrees(seat.turn_rad), 2),
        overlay=_overlay(given, asked, flake, one),
        pattern=pattern,
        grey_difference=difference,
        text=fit,
    )


def _overlay(given: SeatsInput, asked: Asked, flake: Any, one: Candidate) -> Traced:
    placed = one.seat.placed(flake)
    loss = next(each for each in given.losses if each.number == one.number)
    if loss.outline_px is None or given.scale is None:
        return _fine(placed * MM_PER_M)
    return traced(_to_px(given, asked, loss, placed))


def _to_px(given: SeatsInput, asked: Asked, loss: Outline, placed: Any) -> Any:
    """Return places on the object in px of its photograph, by the local scale at the loss."""
    from softmend.science.photo.fragment_field import local_px
    from softmend.science.photo.surface import point_array

    ring = point_array(loss.outline_px or [], 3)
    surface = surface_of(given.scale, asked, ring.tolist())
    return local_px(ring, surface.positions(ring), placed)


def _surface(
    given: SeatsInput, asked: Asked, flake: Any, one: Candidate
) -> tuple[float | None, float | None]:
    """Return how lines and colour run on, where both photographs were given."""
    from softmend.science.photo.across import metres_across
    from softmend.science.photo.fragment_surface import continuity
    from softmend.science.photo.light import coded_grey
    from softmend.science.photo.surface import point_array

    loss = next(each for each in given.losses if each.number == one.number)
    is_seen = given.tray_file and given.object_file
    if not (is_seen and given.flake.outline_px and loss.outline_px):
        return None, None
    here = point_array(given.flake.outline_px, 3)
    there = _to_px(given, asked, loss, one.seat.placed(flake))
    scales = [
        1 / metres_across(surface_of(scale, asked, place.tolist()), place.mean(axis=0), [1.0, 0.0])
        for scale, place in ((given.flake_scale, here), (given.scale, there))
    ]
    found = continuity(
        coded_grey(picture_of(asked, "tray_file")),
        coded_grey(picture_of(asked, "object_file")),
        here,
        there,
        scales[0],
        scales[1],
    )
    rounded = [None if v is None else round(v, 2) for v in (found.pattern, found.difference)]
    return rounded[0], rounded[1]


def _weak(*, is_unique: bool) -> tuple[str, ...]:
    if is_unique:
        return ()
    return ("No seat stands out: the flake may belong to none of these losses.",)


def _rule(rule: EdgeAllowance) -> tuple[WorkingValue, ...]:
    texts = {
        "wear of the edge": rule.wear,
        "flake smaller all round by up to": rule.gap,
        "flake larger by the thickness of its edge, up to": rule.over,
    }
    return tuple(
        WorkingValue(name=name, text=f"{1e3 * value:g} mm", kind="estimated", origin="typed")
        for name, value in texts.items()
    )


COMPUTATIONS = {
    "fragment.outlines": Computation(
        name="fragment.outlines",
        title="Outlines of loose flakes on a tray",
        input_model=OutlinesInput,
        output_model=OutlinesAnswer,
        function=fragment_outlines,
        formula="edge half way between the ground (median of the picture's rim) and the flakes "
        "(above the threshold that parts the two best)",
        sources=("otsu1979", "jcgm100"),
        cautions=(SIDE_UP, "Photograph the tray square on, flakes apart, ground all round."),
        checked="tests/science/photo/test_fragment.py",
    ),
    "fragment.seats": Computation(
        name="fragment.seats",
        title="Candidate seats of a flake",
        input_model=SeatsInput,
        output_model=SeatsAnswer,
        function=fragment_seats,
        formula="score = matched share × exp(−(residual / 2 wear)²) × (0.7 + 0.3 covered share) × "
        "(1 − 3 outside share), after the best rigid movement, never turned over",
        sources=("umeyama1991",),
        cautions=(ONLY_LISTS, SIDE_UP),
        checked="tests/science/photo/test_fragment.py",
    ),
}
