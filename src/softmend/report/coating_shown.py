"""What is said of one lifting coating, on the page and in print: every number is already text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.report.content import Working

CANNOT_KNOW = (
    "Model of one even coating on even layers with one straight peeling edge.",
    "It does not know dirt, grease or salts at the foot of the coating, or water that gets in.",
    "Adhesion and tension are estimates unless this bench measured them; none is published for "
    "ivory, bone or antler.",
    "A coating that presses, because the body has shrunk under it, buckles: that is not in it.",
)


@dataclass(frozen=True)
class PatternShown:
    """One way of giving: its drawing, what it frees and asks, and how surely it comes."""

    name: str
    svg: str
    words: str
    factor: str
    energy: str
    asks: str
    wording: str
    is_known: bool


@dataclass(frozen=True)
class CoatingShown:
    """A coating explained: sentences, pictures, numbers; `reasons` says why nothing can be said.

    `stale_because` is "" while a kept run holds, or where nothing was kept.
    """

    name: str
    what: str
    sentences: tuple[str, ...]
    reasons: tuple[str, ...]
    facts: tuple[tuple[str, str], ...] = ()
    drawing: str = ""
    drawing_size: tuple[float, float] = (1.0, 1.0)
    drawing_words: str = ""
    patterns: tuple[PatternShown, ...] = ()
    measure_next: tuple[tuple[str, int], ...] = ()
    warnings: tuple[str, ...] = ()
    cannot_know: tuple[str, ...] = CANNOT_KNOW
    work: Working | None = None
    stale_because: str = ""
