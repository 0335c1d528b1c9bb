"""Candidate seats for a flake among the marked losses: listed, never chosen."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Any

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
    from softmend.science.photo.fragment_spread import SeatSpread
    from softmend.science.photo.fragment_surface import Continuity

MM_PER_M = 1e3
EDGE_SD_PX, EDGE_SD_MM = 0.5, 0.05
LOW_UNIQUENESS, GOOD_SCORE = 0.15, 0.6
METHOD, VERSION = "stretches of edge laid on one another, then the best rigid movement", "2"
ONLY_LISTS = (
    "This only lists candidates. A seat is a person's finding by the evidence codes of the record; "
    "nothing is placed by the program, and “none of these” is always an answer."
)
SIDE_UP = "Flakes lie with their outer side up; one that lies the other way round finds no seat."
EITHER_SIDE = (
    "Each flake was tried with either side up, because somebody said that its sides look alike: "
    "twice as many chances to fit by accident."
)
TESTED = (
    "Seats were tested on drawn breakage with 0.2 mm of wear, never on this material: a good fit "
    "of outlines is not evidence A."
)

RingMm = Annotated[list[Point], Field(min_length=3, max_length=20_000)]
AllowanceMm = Annotated[Number, Field(ge=0.01, le=5)]


class Outline(Model):
    """An outline by its number, in mm, or in px of a photograph whose scale is set.

    `scale` is its own where it was drawn on another photograph than the rest.
    """

    number: Annotated[int, Field(ge=0, le=1_000_000)] = 0
    outline_px: Ring | None = None
    outline_mm: RingMm | None = None
    scale: ScaleOrNone = None


class SeatsInput(Model):
    """A flake, the marked losses, and how far worn edges may lie apart.

    Outlines in px need the scale of their photograph. With both photographs the surface is looked
    at across the matched edge as well. `over_mm` is how much larger a flake may look all round by
    the thickness of its edge.
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
    either_side_up: bool = False
    most: Annotated[int, Field(ge=1, le=50)] = 5


class SeatFound(Model):
    """One candidate seat: how the flake is moved there and how its edge fits.

    `uniqueness` is how far its score leads that of the best other loss. `overlay` is the flake's
    outline in the loss, in px of the object's photograph, or in mm when that is how losses came;
    its points are those of the flake's outline, one for one. `pattern` says how growth lines and
    grain run on across the edge (1: they do; 0: no relation).
    """

    number: int
    score: float
    uniqueness: Estimate
    residual_mm: Estimate
    matched_mm: Estimate
    matched_percent: float
    covered_percent: float
    overhang_percent: float
    gap_mm: float
    turn_degrees: float
    is_turned_over: bool
    overlay: Traced
    pattern: float | None = None
    pattern_expanded: float | None = None
    grey_difference: float | None = None
    grey_expanded: float | None = None
    text: str = ""


class SeatsAnswer(Answer):
    """Candidate seats of a flake, the best fit first; shown unranked until an overlay was seen."""

    none_of_these: str = "none of these"
    candidates: tuple[SeatFound, ...] = ()
    is_unique: bool = False
    method: str = METHOD
    version: str = VERSION


def fragment_seats(given: SeatsInput, asked: Asked) -> SeatsAnswer:
    """Return the candidate seats of one flake among the losses."""
    from softmend.science.photo.fragment_seat import EdgeAllowance, candidates

    rule = EdgeAllowance(given.wear_mm / 1e3, given.gap_mm / 1e3, given.over_mm / 1e3)
    flake = _metres(given.flake, given.flake_scale, asked, "flake", "flake_scale")
    losses = _losses(given, asked)
    tried = candidates(flake, losses, rule, max(given.most, 2), either_side=given.either_side_up)
    known = [one for one in tried if one.seat.score > 0]
    spreads = _spreads(given, asked, flake, losses, rule, known) if known else ()
    pairs = list(zip(known, spreads, strict=True))[: given.most]
    shown = tuple(_shown(given, asked, flake, rule, *pair) for pair in pairs)
    best = known[0] if known else None
    is_unique = best is not None and (
        best.uniqueness >= LOW_UNIQUENESS and best.seat.score >= GOOD_SCORE
    )
    side = EITHER_SIDE if given.either_side_up else SIDE_UP
    return SeatsAnswer(
        answer="answer" if shown else "cannot say",
        reasons=() if shown else ("The flake fits into none of these losses.",),
        candidates=shown,
        is_unique=is_unique,
        warnings=(*_weak(is_unique=is_unique), side, ONLY_LISTS),
        working=(*scale_lines(given.scale), *scale_lines(given.flake_scale), *_rule(rule, given)),
    )


def _losses(given: SeatsInput, asked: Asked) -> dict[int, Any]:
    numbers = [one.number for one in given.losses]
    if len(set(numbers)) < len(numbers):
        raise InputError(
            "Two losses have one number", value=sorted(numbers), remedy="Number each loss once"
        )
    return {
        one.number: _metres(one, given.scale, asked, f"loss {one.number}", "scale")
        for one in given.losses
    }


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
    own = one.scale or scale
    if own is None:
        raise InputError(
            f"The outline of the {name} is in pixels and its photograph has no scale",
            allowed="a scale",
            remedy=f"Set {field}, or give the outline in mm",
        )
    points = one.outline_px or []
    return surface_of(own, asked, points).positions(point_array(points, 3))


def _spreads(
    given: SeatsInput,
    asked: Asked,
    flake: Any,
    losses: dict[int, Any],
    rule: EdgeAllowance,
    known: list[Candidate],
) -> tuple[SeatSpread, ...]:
    """Return how surely each fit is known: by both scales, and by how truly edges are drawn."""
    from softmend.science.photo.fragment_spread import seat_spreads

    loss = next((one for one in given.losses if one.outline_px), Outline())
    drawn = [
        (given.flake.scale or given.flake_scale, given.flake.outline_px),
        (loss.scale or given.scale, loss.outline_px),
    ]
    known_as = [_outline_sd(scale, points, asked) for scale, points in drawn]
    relative = math.hypot(*(one[0] for one in known_as))
    edge = math.hypot(*(one[1] for one in known_as))
    placed = [(losses[one.number], one.seat) for one in known]
    return seat_spreads(flake, placed, rule, min(relative, 0.5), min(edge, 5e-3), asked.seed)


def _outline_sd(scale: Any, points_px: Any, asked: Asked) -> tuple[float, float]:
    """Return how truly outlines are known: their scale [1] and their edge [m]."""
    from softmend.science.photo.polygon import measured_scale

    if scale is None or not points_px:
        return 0.0, EDGE_SD_MM / MM_PER_M
    middle = [sum(point[axis] for point in points_px) / len(points_px) for axis in (0, 1)]
    found = measured_scale(surface_of(scale, asked, points_px), middle, seed=asked.seed)
    return found.sd / found.mean, EDGE_SD_PX / found.mean


def _shown(
    given: SeatsInput,
    asked: Asked,
    flake: Any,
    rule: EdgeAllowance,
    one: Candidate,
    spreads: SeatSpread,
) -> SeatFound:
    seat = one.seat
    run_on = _surface(given, asked, flake, rule, one)
    residual = estimate(spreads.residual, MM_PER_M, "mm")
    matched = estimate(spreads.matched, MM_PER_M, "mm")
    of_run = [] if run_on is None else [
        (run_on.pattern, run_on.pattern_sd), (run_on.difference, run_on.difference_sd)
    ]  # fmt: skip
    rounded = [
        (None, None) if value is None else (round(value, 2), round(2 * sd, 2))
        for value, sd in of_run
    ] or [(None, None)] * 2
    return SeatFound(
        number=one.number,
        score=round(seat.score, 3),
        uniqueness=estimate(spreads.uniqueness, 1.0, ""),
        residual_mm=residual,
        matched_mm=matched,
        matched_percent=round(100 * seat.matched_share, 1),
        covered_percent=round(100 * seat.covered_share, 1),
        overhang_percent=round(100 * seat.outside_share, 1),
        gap_mm=round(1e3 * seat.gap_m, 3),
        turn_degrees=round(math.degrees(seat.turn_rad), 2),
        is_turned_over=seat.is_turned_over,
        overlay=_overlay(given, asked, flake, one),
        pattern=rounded[0][0],
        pattern_expanded=rounded[0][1],
        grey_difference=rounded[1][0],
        grey_expanded=rounded[1][1],
        text=f"{matched.text} of edge ({100 * seat.matched_share:.0f} %) runs along the edge of "
        f"the loss, scattering by {residual.text}",
    )


def _overlay(given: SeatsInput, asked: Asked, flake: Any, one: Candidate) -> Traced:
    placed = one.seat.placed(flake)
    loss = next(each for each in given.losses if each.number == one.number)
    if loss.outline_px is None:
        return tuple((round(float(x), 3), round(float(y), 3)) for x, y in placed * MM_PER_M)
    return traced(_to_px(given, asked, loss, placed))


def _to_px(given: SeatsInput, asked: Asked, loss: Outline, placed: Any) -> Any:
    """Return places on the object in px of its photograph, by the local scale at the loss."""
    from softmend.science.photo.fragment_field import local_px
    from softmend.science.photo.surface import point_array

    ring = point_array(loss.outline_px or [], 3)
    surface = surface_of(loss.scale or given.scale, asked, ring.tolist())
    return local_px(ring, surface.positions(ring), placed)


def _surface(
    given: SeatsInput, asked: Asked, flake: Any, rule: EdgeAllowance, one: Candidate
) -> Continuity | None:
    """Return how lines and colour run on at the matched edge, where both photographs are given."""
    from softmend.science.photo.across import metres_across
    from softmend.science.photo.fragment_field import EdgeField
    from softmend.science.photo.fragment_surface import continuity
    from softmend.science.photo.light import coded_grey
    from softmend.science.photo.surface import point_array

    loss = next(each for each in given.losses if each.number == one.number)
    is_seen = given.tray_file and given.object_file and not one.seat.is_turned_over
    # The photograph of the object is the one of the common scale.
    if not (is_seen and given.flake.outline_px and loss.outline_px and loss.scale is None):
        return None
    placed = one.seat.placed(flake)
    ring = _metres(loss, given.scale, asked, "loss", "scale")
    off, _ = EdgeField.of(ring).at(placed[:, 0] + 1j * placed[:, 1])
    matched = abs(off - one.seat.gap_m) <= rule.matched
    here = point_array(given.flake.outline_px, 3)
    there = _to_px(given, asked, loss, placed)
    scales = [
        1 / metres_across(surface_of(scale, asked, place.tolist()), place.mean(axis=0), [1.0, 0.0])
        for scale, place in ((given.flake_scale, here), (given.scale, there))
    ]
    greys = [coded_grey(picture_of(asked, name)) for name in ("tray_file", "object_file")]
    return continuity(greys[0], greys[1], here, there, scales[0], scales[1], matched)


def _weak(*, is_unique: bool) -> tuple[str, ...]:
    if is_unique:
        return ()
    return ("No seat stands out: the flake may belong to none of these losses.",)


def _rule(rule: EdgeAllowance, given: SeatsInput) -> tuple[WorkingValue, ...]:
    texts = {
        "wear of the edge": rule.wear,
        "flake smaller all round by up to": rule.gap,
        "flake larger by the thickness of its edge, up to": rule.over,
    }
    lines = {name: f"{1e3 * value:g} mm" for name, value in texts.items()}
    lines["side up"] = "either" if given.either_side_up else "as it lies"
    lines["losses looked at"] = str(len(given.losses))
    lines["method"] = f"{METHOD}, version {VERSION}"
    return tuple(
        WorkingValue(name=name, text=text, kind="estimated", origin="typed")
        for name, text in lines.items()
    )


SEATS = {
    "fragment.seats": Computation(
        name="fragment.seats",
        title="Candidate seats of a flake",
        input_model=SeatsInput,
        output_model=SeatsAnswer,
        function=fragment_seats,
        formula="score = matched share × exp(−(residual / 2 wear)²) × (0.7 + 0.3 covered share) × "
        "(1 − 3 outside share), after the best rigid movement; uniqueness = its lead over the "
        "best other loss",
        sources=("umeyama1991", "jcgm101", "bartlett1946"),
        cautions=(ONLY_LISTS, TESTED),
        checked="tests/science/photo/test_fragment.py",
    ),
}
