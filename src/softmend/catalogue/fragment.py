"""Outlines of loose flakes in the photograph of a tray; with them, the seats of a flake."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    WorkingValue,
    estimate,
)
from softmend.catalogue.eyes import (
    PictureFile,
    Ring,
    Scale,
    Traced,
    picture_of,
    scale_lines,
    traced,
)
from softmend.catalogue.fragment_seats import EDGE_SD_PX, MM_PER_M, SEATS, SIDE_UP
from softmend.catalogue.surface import TwoClicks, surface_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from softmend.science.photo.fragment_outline import Flake
    from softmend.science.photo.surface import Surface

MM2_PER_M2 = 1e6
METHOD, VERSION = "edge half way between the ground and each flake", "2"
SOFT = (
    "The edge of {which} is soft in places, as a shadow's is: look at the outline, and draw it "
    "again where it takes in a shadow; others may have one too. Light from all round and a dark "
    "ground leave none."
)
TOUCHING = "{which} touched and were parted at the neck between them: look at that edge."


class OutlinesInput(Model):
    """A photograph of a tray of loose flakes on a plain ground, its scale set."""

    picture_file: PictureFile
    scale: Scale
    ground: Literal["dark", "light", "not known"] = "not known"
    region_px: Ring | None = None
    smallest_mm: Annotated[Number, Field(gt=0, le=500)] = 3.0


class FlakeFound(Model):
    """One flake: its outline in the picture and in mm, its area, and how long it is.

    `outline_mm` is as it lies on the tray, from the middle of the flake. `was_touching` says that
    it was parted from a neighbour, `has_soft_edge` that a part of its edge may be a shadow's.
    """

    number: int
    outline_px: Traced
    outline_mm: Traced
    area_mm2: Estimate
    longest_mm: Estimate
    is_cut: bool
    was_touching: bool
    has_soft_edge: bool


class OutlinesAnswer(Answer):
    """The flakes of a tray, from the top left to the bottom right."""

    flakes: tuple[FlakeFound, ...] = ()
    method: str = METHOD
    version: str = VERSION


def fragment_outlines(given: OutlinesInput, asked: Asked) -> OutlinesAnswer:
    """Return the outlines of the flakes on a tray; what holds the scale's own points is none."""
    from softmend.science.photo.fragment_ground import Ground
    from softmend.science.photo.fragment_outline import flakes, holds_any

    picture = picture_of(asked)
    surface = surface_of(given.scale, asked)
    least = given.smallest_mm * _px_per_mm(surface, picture)
    seen = flakes(picture, Ground(given.ground), max(least, 5.0), given.region_px)
    of_scale = _scale_points(given.scale)
    found = [one for one in seen if not holds_any(one.outline_px, of_scale)]
    shown = tuple(_shown(one, number, surface, asked) for number, one in enumerate(found, start=1))
    return OutlinesAnswer(
        answer="answer" if shown else "cannot say",
        reasons=() if shown else (f"Nothing of {given.smallest_mm:g} mm or more lies there.",),
        flakes=shown,
        warnings=_warnings(shown, len(seen) - len(found)),
        working=(*scale_lines(given.scale), *_asked_lines(given)),
    )


def _shown(one: Flake, number: int, surface: Surface, asked: Asked) -> FlakeFound:
    from softmend.science.photo.polygon import measured_area

    placed = surface.positions(one.outline_px) * MM_PER_M
    area = measured_area(surface, one.outline_px[::2], [], 0.0, EDGE_SD_PX, seed=asked.seed)
    return FlakeFound(
        number=number,
        outline_px=traced(one.outline_px),
        outline_mm=tuple(
            (round(float(x), 3), round(float(y), 3)) for x, y in placed - placed.mean(axis=0)
        ),
        area_mm2=estimate(area, MM2_PER_M2, "mm²"),
        longest_mm=_longest(one, surface, asked),
        is_cut=one.is_cut,
        was_touching=one.was_touching,
        has_soft_edge=one.has_soft_edge,
    )


def _longest(one: Flake, surface: Surface, asked: Asked) -> Estimate:
    """Return the distance of the two places on the outline that lie farthest apart."""
    from softmend.science.photo.fragment_outline import farthest_apart
    from softmend.science.photo.polygon import measured_length

    ring = one.outline_px
    ends = ring[list(farthest_apart(surface.positions(ring)))]
    return estimate(measured_length(surface, ends, EDGE_SD_PX, seed=asked.seed), MM_PER_M, "mm")


def _px_per_mm(surface: Any, picture: Any) -> float:
    from softmend.science.photo.across import metres_across

    rows, columns = picture.shape[:2]
    return 1e-3 / metres_across(surface, [columns / 2, rows / 2], [1.0, 0.0])


def _scale_points(scale: Any) -> list[list[float]]:
    """Return places that lie on the scale itself: on a bar that was clicked, on printed markers."""
    if isinstance(scale, TwoClicks):
        (ax, ay), (bx, by) = scale.end_a_px[0], scale.end_b_px[0]
        return [[ax + share * (bx - ax), ay + share * (by - ay)] for share in (0.1, 0.5, 0.9)]
    return [
        [sum(corner[axis] for corner in marker.corners_px) / 4 for axis in (0, 1)]
        for marker in getattr(scale, "markers", ())
    ]


def _warnings(shown: Sequence[FlakeFound], of_scale: int) -> tuple[str, ...]:
    cut = sum(one.is_cut for one in shown)
    soft = [one.number for one in shown if one.has_soft_edge]
    touching = [one.number for one in shown if one.was_touching]
    return (
        *((f"{cut} of them run out of the picture.",) if cut else ()),
        *((SOFT.format(which=_numbers(soft)),) if soft else ()),
        *((TOUCHING.format(which=_numbers(touching).capitalize()),) if touching else ()),
        *(("What holds the scale's own points was left out.",) if of_scale else ()),
    )


def _numbers(numbers: Sequence[int]) -> str:
    said = ", ".join(str(number) for number in numbers)
    return f"flake {said}" if len(numbers) == 1 else f"flakes {said}"


def _asked_lines(given: OutlinesInput) -> tuple[WorkingValue, ...]:
    words = {
        "ground": given.ground,
        "smallest flake": f"{given.smallest_mm:g} mm",
        "an edge lies off by, one standard deviation": f"{EDGE_SD_PX:g} px",
        "method": f"{METHOD}, version {VERSION}",
    }
    return tuple(
        WorkingValue(name=name, text=text, kind="estimated", origin="typed")
        for name, text in words.items()
    )


COMPUTATIONS = {
    "fragment.outlines": Computation(
        name="fragment.outlines",
        title="Outlines of loose flakes on a tray",
        input_model=OutlinesInput,
        output_model=OutlinesAnswer,
        function=fragment_outlines,
        formula="edge half way between the ground (a curved sheet fitted through the rim and what "
        "is like it) and each flake; flakes that touch are parted at a narrow neck",
        sources=("otsu1979", "holland1977", "jcgm100"),
        cautions=(SIDE_UP, "Photograph the tray square on, flakes apart, ground all round."),
        checked="tests/science/photo/test_fragment.py",
    ),
    **SEATS,
}
