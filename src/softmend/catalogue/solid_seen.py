"""Where marks drawn on a photograph lie along a scanned object, so that supports keep clear."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from softmend.catalogue.computation import (
    Asked,
    Computation,
    Model,
    Number,
    Point,
    Words,
    WorkingValue,
)
from softmend.catalogue.solid_scan import (
    MM_PER_M,
    Place,
    ScanAnswer,
    ScanInput,
    length_working,
    scanned,
)
from softmend.catalogue.surface import AnyScale, ClickSpread, scale_working, surface_of
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.propagation import Spread
    from softmend.science.solid.seen_along import Pairs, SeenAlong

ALL_ROUND = (
    "A stretch counts all round the object: from one photograph nobody knows how far round it a "
    "mark runs. A person may set one aside with a reason."
)
NEAR_CAMERA = (
    "A near camera draws what stands before the picked places larger; three places or more show it "
    "in their scatter, two do not."
)

DrawnKind = Literal[
    "crack", "join", "old fill", "new fill", "inscription", "protected", "lifting or loose"
]
Part2D = Annotated[list[Point], Field(min_length=1, max_length=20_000)]


class LikePlace(Model):
    """One place on both: in pixels of the photograph, and in the scan's file's coordinates."""

    at_px: Point
    at: Place


class DrawnMark(Model):
    """A mark or a zone as it is drawn on the photograph: points and lines, or outlines.

    `drawn_sd_px` is how far off a point of it may lie, one standard deviation.
    """

    name: Words
    kind: DrawnKind
    parts_px: Annotated[list[Part2D], Field(min_length=1, max_length=200)]
    is_outline: bool = False
    drawn_sd_px: Annotated[Number, Field(ge=0, le=1000)] = 1.0


class MarksAlongInput(ScanInput):
    """A scan, a photograph's scale, like places on both, and what is drawn on the photograph.

    `pick_mm` and `pick_px` are how far off a pick may lie (k = 1); supports stay `clear_mm` away.
    """

    scale: AnyScale
    places: Annotated[list[LikePlace], Field(min_length=2, max_length=20)]
    drawn: list[DrawnMark] = Field(default=[], max_length=400)
    pick_mm: Annotated[Number, Field(gt=0, le=100)] = 3
    pick_px: ClickSpread = 4
    clear_mm: Annotated[Number, Field(ge=0, le=2000)] = 20


class SeenStretch(Model):
    """Where one mark lies along the object, and the stretch on which nothing may press for it.

    `seen_from_percent` and `seen_to_percent` are as drawn, each ± `expanded_mm` (k = 2).
    """

    name: str
    kind: DrawnKind
    seen_from_percent: float
    seen_to_percent: float
    expanded_mm: float
    from_percent: float
    to_percent: float


class NotPlaced(Model):
    """A mark that cannot be placed along the object from these places, and why."""

    name: str
    kind: DrawnKind
    why: str


class LaidPlace(Model):
    """A like place as it was taken: its number, and where it lies along the object."""

    number: int
    at_percent: float


class MarksAlongAnswer(ScanAnswer):
    """Stretches along the object, in percent from its thicker end, and how well the picks fit.

    `scatter_mm` is None with two places: then nothing shows how well they fit.
    """

    length_mm: float | None = None
    places: tuple[LaidPlace, ...] = ()
    pick_sd_mm: float | None = None
    scatter_mm: float | None = None
    most_tilt_degrees: float | None = None
    stretches: tuple[SeenStretch, ...] = ()
    not_placed: tuple[NotPlaced, ...] = ()


def solid_marks_along(given: MarksAlongInput, asked: Asked) -> MarksAlongAnswer:
    """Return where what is drawn on a photograph lies along the object, or why it is not known."""
    from softmend.science.solid.beam import beam_of
    from softmend.science.solid.seen_along import seen_along

    scan = scanned(given, asked)
    if isinstance(scan, tuple):
        return MarksAlongAnswer(answer="cannot say", reasons=scan)
    states = tuple(str(state) for state in scan.shape.states)
    working = (*length_working(given, scan), *scale_working(given.scale), *_picks_working(given))
    try:
        beam = beam_of(scan.mesh)
        pairs = _pairs(given, scan).in_order(beam)
        spans, spans_sd = _spans(given, asked, pairs)
        view = seen_along(beam, pairs, spans, spans_sd)
    except InputError as refused:
        return MarksAlongAnswer(
            answer="cannot say", reasons=(refused.sentence(),), states=states, working=working
        )
    told, missed = _stretches(given, view)
    return MarksAlongAnswer(
        states=states,
        length_mm=float(f"{MM_PER_M * view.length:.4g}"),
        places=tuple(
            LaidPlace(number=name, at_percent=round(100 * float(at) / view.length, 1))
            for name, at in zip(pairs.names, view.at, strict=True)
        ),
        pick_sd_mm=float(f"{MM_PER_M * view.sd:.2g}"),
        scatter_mm=None if view.scatter is None else float(f"{MM_PER_M * view.scatter:.2g}"),
        most_tilt_degrees=float(round(view.tilts_deg.max())),
        stretches=told,
        not_placed=missed,
        warnings=(*scan.notes, *_few(given), ALL_ROUND, NEAR_CAMERA),
        working=working,
    )


def _pairs(given: MarksAlongInput, scan: Any) -> Pairs:
    from softmend.science.solid.holding import vectors
    from softmend.science.solid.seen_along import Pairs

    return Pairs(
        vectors([one.at_px for one in given.places]),
        scan.places([one.at for one in given.places]),
        tuple(range(1, len(given.places) + 1)),
        given.pick_mm / MM_PER_M,
        given.pick_px,
    )


def _spans(given: MarksAlongInput, asked: Asked, pairs: Pairs) -> tuple[list[float], list[float]]:
    """Return how far each place lies from the next by the photograph's own scale, and its sd."""
    found = []
    for k in range(len(pairs.names) - 1):
        line = [[float(x) for x in one] for one in pairs.pixels[k : k + 2]]
        names = f"laces {pairs.names[k]} and {pairs.names[k + 1]}"
        if line[0] == line[1]:
            raise InputError(
                f"P{names} are one on the photograph", value=f"{line[0][0]:g}, {line[0][1]:g} px",
                remedy="pick one of them again",
            )  # fmt: skip
        found.append(_span(given, asked, line, f"p{names}"))
    return [one.mean for one in found], [one.sd for one in found]


def _span(given: MarksAlongInput, asked: Asked, line: list[list[float]], names: str) -> Spread:
    from softmend.science.photo.polygon import measured_length

    try:
        surface = surface_of(given.scale, asked, line)
        return measured_length(surface, line, given.pick_px, seed=asked.seed)
    except InputError as refused:
        raise InputError(
            f"The photograph's scale cannot tell how far {names} lie apart: "
            f"{refused.problem[:1].lower()}{refused.problem[1:]}",
            allowed=refused.allowed,
            remedy="pick them nearer to the middle of the object",
        ) from refused


def _stretches(
    given: MarksAlongInput, view: SeenAlong
) -> tuple[tuple[SeenStretch, ...], tuple[NotPlaced, ...]]:
    from softmend.science.solid.seen_along import stretch_along

    told, missed = [], []
    for one in given.drawn:
        found = stretch_along(
            view, one.parts_px, is_closed=one.is_outline, drawn_sd=one.drawn_sd_px
        )
        if found is None:
            missed.append(NotPlaced(name=one.name, kind=one.kind, why=_BEYOND))
            continue
        low, high, expanded = found
        away = expanded + given.clear_mm / MM_PER_M
        told.append(
            SeenStretch(
                name=one.name,
                kind=one.kind,
                seen_from_percent=_percent(low, view),
                seen_to_percent=_percent(high, view),
                expanded_mm=float(f"{MM_PER_M * expanded:.2g}"),
                from_percent=_percent(max(low - away, 0.0), view),
                to_percent=_percent(min(high + away, view.length), view),
            )
        )
    return tuple(told), tuple(missed)


_BEYOND = (
    "It lies farther beyond the outermost place than the last two lie apart: pick a place nearer "
    "to it. Until then it keeps no support away."
)


def _percent(at: float, view: SeenAlong) -> float:
    return round(100 * at / view.length, 1)


def _few(given: MarksAlongInput) -> tuple[str, ...]:
    if len(given.places) > 2:
        return ()
    return ("Two places fit always: pick a third to see how well they do.",)


def _picks_working(given: MarksAlongInput) -> tuple[WorkingValue, ...]:
    off = f"{given.pick_mm:g} mm on the scan, {given.pick_px:g} px on the photograph (k = 1)"
    return (
        WorkingValue(
            name="how far off a pick may lie", kind="estimated", origin="typed", text=off
        ),
        WorkingValue(
            name="supports stay clear by", kind="estimated", origin="typed",
            text=f"{given.clear_mm:g} mm beyond the uncertainty",
        ),
    )  # fmt: skip


COMPUTATIONS: dict[str, Computation] = {
    "solid.marks_along": Computation(
        name="solid.marks_along",
        title="Where marks on a photograph lie along the object",
        input_model=MarksAlongInput,
        output_model=MarksAlongAnswer,
        function=solid_marks_along,
        formula="like places in order along the middle line, even between them; ± 2 sd of a pick, "
        "how far the middle line strays between picks, and how it turns for what lies beside them",
        sources=("softmend-solids",),
        cautions=(ALL_ROUND, NEAR_CAMERA),
        checked="tests/science/solid/test_seen_along.py",
    ),
}
