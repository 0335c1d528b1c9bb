"""Cracks suggested inside a drawn region."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Model,
    Number,
    WorkingValue,
)
from softmend.catalogue.eyes import PictureFile, Ring, Traced, picture_of, traced

if TYPE_CHECKING:
    from collections.abc import Iterable

    from softmend.science.photo.light import Plane
    from softmend.science.photo.network import Predict
    from softmend.science.photo.suggest import Suggestion
    from softmend.science.photo.thinned import Mask

METHOD = "darkness and curvature across a line, two thresholds"
NETWORK = "network that learned from drawn cracks, two thresholds"
VERSION = "2"
MEASURED = {"classical": 0.70, "network": 0.82}
"""Mean F1 within 5 px on surfaces drawn as photographed; benchmarks/suggest_network.py holds it."""

SUGGESTED = (
    "Suggestions, not findings: on a material not seen before half of them are wrong. Accept or "
    "refuse each by hand; what is accepted stays marked as suggested."
)

Sensitivity = Annotated[Number, Field(ge=0, le=100)]


class SuggestInput(Model):
    """A photograph, the region to look in, and one sensitivity (0 strict to 100).

    The defaults are the single setting that did best on all surfaces that were drawn for the
    test. Ruled and smoothly drawn lines are left out unless `even_lines` is true: switch it on
    where cracks follow a straight grain. Without a region the whole picture is looked at, its edges
    and outlines too. The network has to be installed (the extra “suggest”); it is at its best at
    a sensitivity of about 55.
    """

    picture_file: PictureFile
    region_px: Ring | None = None
    holes_px: Annotated[list[Ring], Field(max_length=200, default_factory=list)]
    sensitivity: Sensitivity = 45.0
    least_px: Annotated[Number, Field(ge=8, le=10_000)] = 40.0
    even_lines: bool = False
    engine: Literal["classical", "network"] = "classical"


class SuggestedCrack(Model):
    """One suggested crack, their length together, and how far it stands out from around it.

    Its first line is the longest way through it; each further one is a branch.
    """

    lines_px: tuple[Traced, ...]
    together_px: float
    stands_out: float


class SuggestAnswer(Answer):
    """Suggested cracks, those that stand out most first, and what could not be looked at."""

    suggestions: tuple[SuggestedCrack, ...] = ()
    more: int = 0
    looked_at_percent: float = 0.0
    method: str = METHOD
    version: str = VERSION


def photo_suggest(given: SuggestInput, asked: Asked) -> SuggestAnswer:
    """Return suggested cracks inside a region."""
    from softmend.science.photo.light import coded_grey
    from softmend.science.photo.suggest import allowed

    grey = coded_grey(picture_of(asked))
    where = allowed(grey, given.region_px, given.holes_px)
    found, more = FINDERS[given.engine](given, grey, where)
    warnings = (SUGGESTED, *_no_region(given), *_too_many(more))
    return SuggestAnswer(
        suggestions=suggested(found),
        more=more,
        looked_at_percent=round(100 * float(where.mean()), 1),
        method=METHODS[given.engine],
        warnings=warnings,
        working=(
            _line("sensitivity", f"{given.sensitivity:g}"),
            _line("ruled and smoothly drawn lines", "kept" if given.even_lines else "left out"),
            _line("engine", f"{METHODS[given.engine]}, version {VERSION}"),
        ),
    )


def _classical(given: SuggestInput, grey: Plane, where: Mask) -> tuple[list[Suggestion], int]:
    from softmend.science.photo.standing_out import levels
    from softmend.science.photo.suggest import suggestions

    level = levels(grey, where)
    return suggestions(grey, level, given.sensitivity, given.least_px, even_lines=given.even_lines)


def _network(given: SuggestInput, grey: Plane, where: Mask) -> tuple[list[Suggestion], int]:
    from softmend.science.photo.network import chances, suggested_by_network

    chance = chances(grey, where, _predict())
    return suggested_by_network(
        grey, chance, given.sensitivity, given.least_px, even_lines=given.even_lines
    )


FINDERS = {"classical": _classical, "network": _network}
METHODS = {"classical": METHOD, "network": NETWORK}


@lru_cache(maxsize=1)
def _predict() -> Predict:
    from softmend.science.photo.network import predictor
    from softmend.tables.suggest_network import suggest_network

    return predictor(suggest_network())


def suggested(found: Iterable[Suggestion]) -> tuple[SuggestedCrack, ...]:
    """Return suggestions as they are shown: a line that runs on through forks, then branches."""
    from softmend.science.photo.branches import joined_lines

    return tuple(
        SuggestedCrack(
            lines_px=tuple(traced(line) for line in joined_lines(one.lines_px)),
            together_px=round(one.length_px, 1),
            stands_out=round(one.level, 2),
        )
        for one in found
    )


def _no_region(given: SuggestInput) -> tuple[str, ...]:
    if given.region_px is not None:
        return ()
    return ("No region was drawn: outlines, labels and the background are suggested as well.",)


def _too_many(more: int) -> tuple[str, ...]:
    if not more:
        return ()
    return (f"{more} more are not shown: lower the sensitivity or draw a smaller region.",)


def _line(name: str, text: str) -> WorkingValue:
    return WorkingValue(name=name, text=text, kind="estimated", origin="typed")


COMPUTATIONS = {
    "photo.suggest": Computation(
        name="photo.suggest",
        title="Cracks suggested in a region",
        input_model=SuggestInput,
        output_model=SuggestAnswer,
        function=photo_suggest,
        formula="√(largest of (blur at 1.6 σ − blur at σ) × largest curvature across the line), "
        "over (0.8 of its mean around + 0.2 of its mean), what is above 3 times that cut; kept "
        "above 0.4 T where it passes T = 14·2^(−sensitivity/30)",
        sources=("lindeberg1998", "canny1986", "softmend-imaging"),
        cautions=(
            SUGGESTED,
            "Glare and the edge of the region are not looked at: nothing is suggested there.",
        ),
        checked="tests/science/photo/test_suggest.py",
    ),
}
