"""What taking old work off says in print: every number is already text, failures are kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.report.content import ConditionReport, Working


@dataclass(frozen=True)
class TriedRow:
    """One spot test as it is printed: where, what, how, what it did to coating and object."""

    number: int
    patch: str
    done_on: str
    agent: str
    role: str
    how: tuple[str, ...]
    coating: str
    on_object: str
    seen: tuple[str, ...]
    is_stop: bool


@dataclass(frozen=True)
class PatchPicture:
    """One grid on its photograph: the picture's name, the patches over it, and its size."""

    caption: str
    small: str
    picture: str
    overlay: str
    width_px: float
    height_px: float
    words: str


@dataclass(frozen=True)
class WayRow:
    """How one removal is gone about, or why the old work is left."""

    name: str
    decision: str
    facts: tuple[tuple[str, str], ...]
    stretches: tuple[tuple[str, str, str], ...]
    warnings: tuple[str, ...]
    owed: tuple[str, ...]


@dataclass(frozen=True)
class AgentRow:
    """One agent in the table of what will take it off."""

    agent: str
    chance: str
    wording: str
    keep: str
    air: str
    look: str


@dataclass(frozen=True)
class Chart:
    """A drawing with its caption and its words."""

    svg: str
    size: tuple[float, float]
    caption: str
    words: str


@dataclass(frozen=True)
class AirPrint:
    """The air over the work in print: sentences, facts, questions with their answers."""

    text: str
    fire: str
    is_highly_flammable: bool
    against: tuple[tuple[str, str, str, str], ...]
    facts: tuple[tuple[str, str], ...]
    asked: tuple[tuple[str, str], ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    stale_because: str = ""


@dataclass(frozen=True)
class RemovalShown:
    """Everything that a dossier says about taking old work off; empty parts are left out."""

    tests: tuple[TriedRow, ...] = ()
    pictures: tuple[PatchPicture, ...] = ()
    decisions: tuple[tuple[str, str], ...] = ()
    locks: tuple[tuple[str, str], ...] = ()
    behaves: str = ""
    next_swab: str = ""
    spot_stale: str = ""
    ways: tuple[WayRow, ...] = ()
    off_text: str = ""
    off_stale: str = ""
    agents: tuple[AgentRow, ...] = ()
    refused: str = ""
    strips: tuple[Chart, ...] = ()
    crack_words: str = ""
    ternary: Chart | None = None
    air: AirPrint | None = None
    spot_marks: str = ""
    off_marks: str = ""
    air_marks: str = ""
    footer: str = ""
    workings: tuple[Working, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Say whether nothing was recorded of it."""
        return not (self.tests or self.ways or self.agents or self.air or self.locks)


@dataclass(frozen=True)
class RemovalPrint:
    """One print about taking old work off: the object and its hazards, and what is shown."""

    about: ConditionReport
    shown: RemovalShown
