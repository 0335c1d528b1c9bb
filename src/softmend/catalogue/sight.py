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
    from softmend.science.tint.window import hatch_for

    looking, fill, words, texture = made_ready(given, asked, given.fill)
    far = _seen(looking, fill, looking.far, looking.noise_far, texture.get("far"))
    near = _seen(looking, fill, looking.near, looking.noise_near, texture.get("near"))
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
        cues=() if unseen and found else _cues(hatch_for(looking), far.grain, near.grain),
        warnings=words,
        working=working_of(given),
    )


def sight_window(given: WindowInput, asked: Asked) -> WindowAnswer:
    """Return the differences from the surround that are unseen far away and found near."""
    from softmend.science.tint.window import allowed_window, hatch_for

    looking, _, words, texture = made_ready(given, asked, None)
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
    far, near = _missing_grain(looking, texture)
    missed = far is not None and far >= 1
    hatch = hatch_for(looking) if missed or not some else None
    return WindowAnswer(
        windows=tuple(rows),
        text=_windows_text(given, hatch, some) + _grain_sentence(given, far, near),
        cues=() if some and not missed else _cues(hatch, far, near),
        warnings=words,
        working=working_of(given),
    )


def _seen(
    looking: Looking,
    fill: Sequence[float],
    distance: float,
    noise: float,
    grains: tuple[float, float] | None,
) -> SeenFrom:
    from softmend.science.tint.visibility import index

    left = float(looking.seen(fill, distance))
    stands_out = float(index(left, noise, looking.noticed))
    grain = None if grains is None else abs(grains[0] - grains[1]) / looking.noticed
    lacking = "" if grain is None else f"; the missing grain is {grain:.1f} times that"
    return SeenFrom(
        distance_mm=distance / M_PER_MM,
        difference=short(left),
        surround_noise=short(noise),
        index=short(stands_out),
        grain=None if grain is None else short(grain),
        text=f"from {distance / M_PER_MM:g} mm {left:.1f} CIEDE2000 are left, "
        f"{stands_out:.1f} times what draws the eye{lacking}",
    )


def _missing_grain(
    looking: Looking, texture: dict[str, tuple[float, float]]
) -> tuple[float | None, float | None]:
    """Return how the grain that a flat fill lacks stands out from afar and near, if it is known."""
    own = [texture.get(place) for place in ("far", "near")]
    far, near = (None if one is None else one[0] / looking.noticed for one in own)
    return far, near


def _grain_sentence(given: WindowInput, far: float | None, near: float | None) -> str:
    if far is None or near is None:
        return ""
    if far >= 1:
        return (
            f" Its surround has a grain that is seen from {given.far_mm:g} mm ({far:.1f} times "
            "what draws the eye): any flat fill is seen by lacking it, so stipple it as strongly."
        )
    if near >= _found():
        return (
            f" The grain that a flat fill lacks is found from {given.near_mm:g} mm ({near:.1f}) "
            f"and not seen from {given.far_mm:g} mm ({far:.1f}): the mean colour, flat, does both."
        )
    return ""


def _cues(
    found: Hatch | None, far: float | None = None, near: float | None = None
) -> tuple[Cue, ...]:
    """Return what tells a fill from the object where a flat colour cannot do both."""
    hatch = [] if found is None else [Cue(name="hatch", text=_hatch_text(found))]
    grain = Cue(name="grain", text=_grain_cue(far, near))
    does = far is not None and near is not None and far < 1 and near >= _found()
    return (
        *([grain] if does else []),
        *hatch,
        Cue(name="level", text="Set the fill 0.2 to 0.5 mm lower: raking light shows it, the "
            "gallery's light hardly does."),
        Cue(name="gloss", text="Give the skin another sheen than the object: seen when the head "
            "moves, not from afar."),
        *([] if does else [grain]),
        Cue(name="ultraviolet", text="A skin that glows otherwise under ultraviolet is found again "
            "by whoever looks for it; say so in the report."),
    )  # fmt: skip


def _grain_cue(far: float | None, near: float | None) -> str:
    if far is None or near is None:
        return (
            "Leave out the object's grain on the fill: missing at the bench, too fine to be missed "
            "from afar."
        )
    if far >= 1:
        return (
            "Stipple the fill about as strongly as the object's own grain, which is seen from "
            "afar; another cue must then tell it at the bench."
        )
    if near >= _found():
        return (
            f"Leave out the object's grain on the fill: found at the bench ({near:.1f} times what "
            f"draws the eye), not missed from afar ({far:.1f})."
        )
    return f"The object's grain is faint ({near:.1f} at the bench): leaving it out tells nothing."


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
        why = " by the grain that it lacks" if most > far.index else ""
        faults.append(
            f"it is seen from {far.distance_mm:g} mm{why} ({most:.1f}; unseen is below 1)"
        )
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


def _windows_text(given: WindowInput, found: Hatch | None, some: list[DirectionWindow]) -> str:
    size = f"{given.width_mm:g} mm"
    if some:
        widest = max(some, key=_width)
        return f"On this {size} fill the most room is {widest.text}."
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
