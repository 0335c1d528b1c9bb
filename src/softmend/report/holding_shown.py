"""What is said of one join, on the page and in print: every number is already text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.report.content import Working

CANNOT_KNOW = (
    "Not a lifting calculation and no proof of safety: weigh the piece; a competent person signs.",
    "Model of one flat joint in an even material; inner cracks that nobody knows void it.",
    "What lasts of a bond under steady load, and how it softens with warmth, are estimates.",
    "No bond strength on ivory, bone or antler has been published that we know of.",
)


@dataclass(frozen=True)
class JoinShown:
    """A join explained: sentences, picture, numbers; `reasons` says why nothing can be said.

    `stale_because` is "" while a kept run holds, or where nothing was kept.
    """

    name: str
    what: str
    adhesive: str
    sentences: tuple[str, ...]
    reasons: tuple[str, ...]
    facts: tuple[tuple[str, str], ...] = ()
    drawing: str = ""
    drawing_size: tuple[float, float] = (1.0, 1.0)
    drawing_words: str = ""
    measure_next: tuple[tuple[str, int], ...] = ()
    warnings: tuple[str, ...] = ()
    cannot_know: tuple[str, ...] = CANNOT_KNOW
    work: Working | None = None
    stale_because: str = ""
