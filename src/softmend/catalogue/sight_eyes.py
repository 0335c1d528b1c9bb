"""What one person's eyes notice, from a self-test on a screen or on paper."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Model,
    Number,
    WorkingValue,
)
from softmend.catalogue.sight_look import Millimetres, short
from softmend.errors import InputError

CAUTIONS = (
    "Twelve bars tell an eye to a factor of about 1.5 only; the band says so.",
    "An ordinary screen was taken to follow sRGB and its pixels to be as large as was measured.",
    "It is a test of this task, not of health: nothing is diagnosed.",
)


class TriedBar(Model):
    """One bar that was shown: its width, how much lighter or darker it is, and the answer."""

    width_mm: Millimetres
    length_mm: Millimetres
    bar: tuple[Number, Number, Number]
    ground: tuple[Number, Number, Number]
    was_right: bool


class EyesInput(Model):
    """The bars of a self-test and how far away they were. `bar` and `ground` are L*, a*, b*."""

    distance_mm: Millimetres = 600.0
    bars: Annotated[list[TriedBar], Field(min_length=1, max_length=200)]


class EyesAnswer(Answer):
    """What draws this person's eye, CIEDE2000, its 90 % band, and each bar's own difference."""

    noticed: float | None = None
    low: float | None = None
    high: float | None = None
    differences: tuple[float, ...] = ()
    text: str = ""


def sight_eyes(given: EyesInput, asked: Asked) -> EyesAnswer:
    """Return what draws a person's eye, from bars found or missed."""
    from softmend.science.tint.eyes import noticed_difference

    shown = [bar_difference(one, given.distance_mm) for one in given.bars]
    found = noticed_difference(shown, [one.was_right for one in given.bars])
    right = sum(one.was_right for one in given.bars)
    low, typical, high = (short(one) for one in (found.low, found.typical, found.high))
    return EyesAnswer(
        noticed=typical,
        low=low,
        high=high,
        differences=tuple(short(one) for one in shown),
        text=f"{right} of {len(shown)} bars were found: {found.typical:.1f} CIEDE2000 draws this "
        f"eye ({found.low:.1f} to {found.high:.1f}); the usual is 1.",
        working=(
            WorkingValue(
                name="bars", text=f"{right} of {len(shown)} found", kind="measured", origin="typed"
            ),
            WorkingValue(
                name="distance", text=f"{given.distance_mm:g} mm", kind="measured", origin="typed"
            ),
        ),
    )


def bar_difference(one: TriedBar, distance_mm: float) -> float:
    """Return what is left of a bar's difference from where it was looked at."""
    from softmend.science.tint.visibility import Bar, bar_gains, seen_difference

    gains = bar_gains(Bar(one.width_mm / 1e3, one.length_mm / 1e3, distance_mm / 1e3))
    found = float(seen_difference(one.bar, one.ground, DAYLIGHT, gains))
    if found < ROUNDING:
        raise InputError("A bar has no difference to see", value=one.bar, allowed="another colour")
    return found


DAYLIGHT = (95.047, 100.0, 108.883)
ROUNDING = 1e-3
"""A smaller difference is what the arithmetic leaves of two equal colours [CIEDE2000]."""

COMPUTATIONS = {
    "sight.eyes": Computation(
        name="sight.eyes",
        title="What one person's eyes notice",
        input_model=EyesInput,
        output_model=EyesAnswer,
        function=sight_eyes,
        formula="chance of right = 0.5 + 0.48 (1 − exp(−(E / detected)²)), started from 0.53 "
        "within a factor of 2; what draws the eye = detected / 0.53",
        sources=("softmend-colour", "watson2005", "zhang1996"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_sight_eyes.py",
    ),
}
