"""What is said of one tinted skin in print: every number is already text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.report.content import Working

CANNOT_KNOW = (
    "The tint lies on the fill only; over original it is refused where it is drawn.",
    "“Unseen” means that it does not draw the eye, not that it cannot be detected.",
    "The model knows still, even colours: gloss, relief and raking light are not in it.",
)


@dataclass(frozen=True)
class TintShown:
    """One recipe on one fill: how it is mixed, under which lamps, where seen, how found again."""

    title: str
    way: str
    lines: tuple[str, ...]
    cup: str
    facts: tuple[tuple[str, str], ...]
    sight: tuple[tuple[str, str], ...]
    strips: tuple[str, ...] = ()
    drawdown: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    works: tuple[Working, ...] = ()
    stale_because: str = ""
