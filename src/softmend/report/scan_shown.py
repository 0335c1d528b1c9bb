"""What is said of one scan, on the page and in print: every number is already text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, field

from softmend.report.content import Working

CANNOT_KNOW = (
    "Not a lifting calculation: weigh it; a competent person signs. Two people, the load limits of "
    "the gear and the house's own rules come first.",
    "Cracks inside that nobody saw void every figure of stress.",
)
TO_STABILISE = (
    "To stabilise the void, never to rebuild a missing end: no continuation of the object is "
    "offered."
)


@dataclass(frozen=True)
class Grid:
    """A small table: its columns, and rows of text whose first cell names the row."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class ScanPart:
    """One thing that was asked of a scan: what is said, its numbers, or why there is no answer.

    `tells_mass` keeps it off every print but the registrar's; `without_mass` is what stands there
    instead. `stale_because` is "" while the kept answer holds.
    """

    key: str
    title: str
    sentences: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    grid: Grid | None = None
    reasons: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    work: Working | None = None
    stale_because: str = ""
    tells_mass: bool = False
    without_mass: ScanPart | None = None


@dataclass(frozen=True)
class StillShown:
    """A still: what is drawn over it as SVG, its size in pixels, caption, words, its picture."""

    number: int
    svg: str
    width_px: int
    height_px: int
    caption: str
    alternative: str
    sha256: str
    for_mount_maker: bool
    stale_because: str = ""


@dataclass(frozen=True)
class ChangeShown:
    """What changed between two scans: which they are, what is told of it, its coloured stills."""

    title: str
    about: tuple[tuple[str, str], ...]
    part: ScanPart
    stills: tuple[StillShown, ...] = ()


@dataclass(frozen=True)
class ScanShown:
    """One scan with everything that is said of it."""

    number: int
    name: str
    about: tuple[tuple[str, str], ...]
    parts: tuple[ScanPart, ...] = ()
    stills: tuple[StillShown, ...] = ()
    mass_for_mount_maker: bool = False
    cannot_know: tuple[str, ...] = field(default=CANNOT_KNOW)

    def told(self, *, with_mass: bool) -> tuple[ScanPart, ...]:
        """Return the parts as a print may show them: the mass is for the registrar alone."""
        if with_mass:
            return self.parts
        return tuple(one.without_mass or one for one in self.parts)

    def part(self, key: str) -> ScanPart | None:
        """Return one part by its key, or None."""
        return next((one for one in self.parts if one.key == key), None)
