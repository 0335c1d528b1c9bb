"""Where a fill will be seen: from the visitor's distance, at the bench, and what else will do."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from softmend.catalogue.computation import Answer, Asked, Computation, Model
from softmend.catalogue.sight_look import (
    M_PER_MM,
    VerdictInput,
    WindowInput,
    made_ready,
    short,
    working_of,
)

if TYPE_CHECKING:
    from softmend.science.tint.window import Hatch, Looking

HITTABLE = 0.3
"""Narrowest window, CIEDE2000, that a mixture in whole drops can be made to hit."""
CAUTIONS = (
    "Unseen (index below 1 at the visitor's distance) and found (1.5 at the bench) are conventions "
    "of the house: they mean “does not draw the eye”, not “cannot be detected”.",
    "The house sets both distances. Six inches needs young eyes or a loupe.",
    "The model sees still, even colours at one lamp: gloss, relief and raking light are not in it. "
    "Look at the dry fill from both distances, two people.",
)


class SeenFrom(Model):
    """What is left of the difference from one distance, and how it stands out of the surround.

    `index` is the difference over what draws the eye there; `grain` the same for missing texture.
    """

    distance_mm: float
    difference: float
    surround_noise: float
    index: float
    grain: float | None
    text: str


class Cue(Model):
    """Something other than a flat colour by which a fill can be found near and not far."""

    name: str
    text: str


class VerdictAnswer(Answer):
    """Seen or not from each distance, and a plain sentence."""

    unseen_far: bool | None = None
    found_near: bool | None = None
    beside: float | None = None
    far: SeenFrom | None = None
    near: SeenFrom | None = None
    text: str = ""
    cues: tuple[Cue, ...] = ()


class DirectionWindow(Model):
    """The differences allowed in one direction, CIEDE2000 side by side; null where there are none.

    `step_least` and `step_most` are the same in steps of L*, a* or b*. `most_unseen` and
    `least_found` stand also where they contradict each other.
    """

    direction: str
    least: float | None
    most: float | None
    step_least: float | None
    step_most: float | None
    most_unseen: float
    least_found: float | None
    text: str


class WindowAnswer(Answer):
    """The allowed differences by direction, a plain sentence, and cues where there are none."""

    windows: tuple[DirectionWindow, ...] = ()
    text: str = ""
    cues: tuple[Cue, ...] = ()


def sight_verdict(given: VerdictInput, asked: Asked) -> VerdictAnswer:
    """Return whether a fill is unseen far away and found near."""
    from softmend.science.tint.difference import colour_difference_ciede2000

    looking, fill, words, texture = made_ready(given, asked, given.fill)
    far = _seen(given, looking, fill, looking.far, looking.noise_far, texture.get("far"))
    near = _seen(given, looking, fill, looking.near, looking.noise_near, texture.get("near"))
    unseen = max(far.index, far.grain or 0) < 1
    found = max(near.index, near.grain or 0) >= _found()
    beside = float(colour_difference_ciede2000(fill, looking.ground))
    return VerdictAnswer(
        unseen_far=unseen,
        found_near=found,
        beside=short(beside),
        far=far,
        near=near,
        text=_verdict_text(far, near, unseen=unseen, found=found),
        cues=() if unseen and found else _cues(looking),
        warnings=words,
        working=working_of(given),
    )


def sight_window(given: WindowInput, asked: Asked) -> WindowAnswer:
    """Return the differences from the surround that are unseen far away and found near."""
    from softmend.science.tint.window import allowed_window

    looking, _, words, _ = made_ready(given, asked, None)
    rows = []
    for direction in given.directions:
        found = allowed_window(looking, direction)
        numbers = (found.least, found.most, found.step_least, found.step_most)
        least, most, step_least, step_most = (
            None if one is None else short(one) for one in numbers
        )
        rows.append(
            DirectionWindow(
                direction=direction, least=least, most=most, step_least=step_least,
                step_most=step_most, most_unseen=short(found.most_unseen),
                least_found=None if found.least_found is None else short(found.least_found),
                text=_window_text(direction, least, most, step_least, step_most),
            )
        )  # fmt: skip
    some = [one for one in rows if _width(one) >= HITTABLE]
    return WindowAnswer(
        windows=tuple(rows),
        text=_windows_text(given, looking, some),
        cues=() if some else _cues(looking),
        warnings=words,
        working=working_of(given),
    )


def _seen(
    given: VerdictInput,
    looking: Looking,
    fill: Sequence[float],
    distance: float,
    noise: float,
    grains: tuple[float, float] | None,
) -> SeenFrom:
    from softmend.science.tint.seen_picture import seen_difference_of_outline
    from softmend.science.tint.visibility import index

    if given.outline_mm is None:
        left = float(looking.seen(fill, distance))
    else:
        left = seen_difference_of_outline(
            [[x * M_PER_MM, y * M_PER_MM] for x, y in given.outline_mm],
            fill,
            looking.ground,
            looking.white,
            distance,
        )
    stands_out = float(index(left, noise, looking.noticed))
    grain = None if grains is None else abs(grains[0] - grains[1]) / looking.noticed
    return SeenFrom(
        distance_mm=distance / M_PER_MM,
        difference=short(left),
        surround_noise=short(noise),
        index=short(stands_out),
        grain=None if grain is None else short(grain),
        text=f"from {distance / M_PER_MM:g} mm {left:.1f} CIEDE2000 are left, "
        f"{stands_out:.1f} times what draws the eye",
    )


def _cues(looking: Looking) -> tuple[Cue, ...]:
    """Return what tells a fill from the object where a flat colour cannot do both."""
    from softmend.science.tint.window import hatch_for

    found = hatch_for(looking)
    cues = [] if found is None else [Cue(name="hatch", text=_hatch_text(found))]
    return (
        *cues,
        Cue(name="level", text="Set the fill 0.2 to 0.5 mm lower: raking light shows it, the "
            "gallery's light hardly does."),
        Cue(name="gloss", text="Give the skin another sheen than the object: seen when the head "
            "moves, not from afar."),
        Cue(name="grain", text="Leave out the object's grain on the fill: missing at the "
            "bench, too fine to be missed from afar."),
        Cue(name="ultraviolet", text="A skin that glows otherwise under ultraviolet is found again "
            "by whoever looks for it; say so in the report."),
    )  # fmt: skip


def _hatch_text(found: Hatch) -> str:
    return (
        f"Match the mean colour and hatch it ± {found.step:g} L* with a line every "
        f"{found.period / M_PER_MM:.1f} mm: {found.seen_far:.2f} CIEDE2000 are left far away, "
        f"{found.seen_near:.1f} near."
    )


def _verdict_text(far: SeenFrom, near: SeenFrom, *, unseen: bool, found: bool) -> str:
    if unseen and found:
        return (
            f"Unseen from {far.distance_mm:g} mm and found from {near.distance_mm:g} mm: "
            f"{far.text}; {near.text}."
        )
    faults = []
    if not unseen:
        most = max(far.index, far.grain or 0)
        faults.append(f"it is seen from {far.distance_mm:g} mm ({most:.1f}; unseen is below 1)")
    if not found:
        most = max(near.index, near.grain or 0)
        faults.append(
            f"it is not found from {near.distance_mm:g} mm ({most:.1f}; found is {_found():g} or "
            "more)"
        )
    return f"As toned, {' and '.join(faults)}."


def _window_text(
    direction: str,
    least: float | None,
    most: float | None,
    step_least: float | None,
    step_most: float | None,
) -> str:
    if least is None or most is None or step_least is None or step_most is None:
        return f"{direction}: no flat colour does both"
    axis = {"lighter": "L*", "darker": "L*", "redder": "a*", "greener": "a*"}.get(direction, "b*")
    unit = "of chroma" if direction == "duller" else axis
    narrow = "" if most - least >= HITTABLE else ": too narrow to hit with drops"
    return (
        f"{direction}: {least:.1f} to {most:.1f} CIEDE2000 ({step_least:.1f} to {step_most:.1f} "
        f"{unit}){narrow}"
    )


def _windows_text(given: WindowInput, looking: Looking, some: list[DirectionWindow]) -> str:
    size = f"{given.width_mm:g} mm"
    if some:
        widest = max(some, key=_width)
        return f"On this {size} fill the most room is {widest.text}."
    from softmend.science.tint.window import hatch_for

    found = hatch_for(looking)
    hatch = (
        "use another cue" if found is None
        else f"match the mean and hatch at {found.period / M_PER_MM:.1f} mm"
    )  # fmt: skip
    return f"On this {size} fill no flat colour does both; {hatch}."


def _width(found: DirectionWindow) -> float:
    """Return how wide a window is; 0 where there is none."""
    if found.least is None or found.most is None:
        return 0.0
    return found.most - found.least


def _found() -> float:
    from softmend.science.tint.visibility import FOUND

    return FOUND


COMPUTATIONS = {
    "sight.verdict": Computation(
        name="sight.verdict",
        title="Where a fill will be seen",
        input_model=VerdictInput,
        output_model=VerdictAnswer,
        function=sight_verdict,
        formula="S-CIELAB, kernels of 1996; index = difference left / √(T0² + (2 N)²); unseen "
        "below 1 far away, found from 1.5 near",
        sources=("zhang1996", "sharma2005", "softmend-colour"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_sight.py",
    ),
    "sight.window": Computation(
        name="sight.window",
        title="How far a fill may differ and do both",
        input_model=WindowInput,
        output_model=WindowAnswer,
        function=sight_window,
        formula="the steps along each direction at which the index is below 1 far away and 1.5 or "
        "more near",
        sources=("zhang1996", "softmend-colour"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_sight.py",
    ),
}
