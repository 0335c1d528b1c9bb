"""What prints say of an object's place: kept answers, without what tells which place it is."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.report.content import Working


@dataclass(frozen=True)
class CoatWay:
    """One way to keep the object, and how far its surface swings over each time, as text."""

    way: str
    swings: tuple[str, ...]


@dataclass(frozen=True)
class ClimateShown:
    """What was kept of a place, of its light and of a coating; empty parts were not kept.

    `works` name the room and the case by their values: they are for the registrar alone.
    """

    sentences: tuple[str, ...] = ()
    band: str = ""
    basis: str = ""
    wrong_mean: str = ""
    strip: str = ""
    strip_words: str = ""
    strip_size: tuple[float, float] = (0.0, 0.0)
    triggers: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    gel: tuple[tuple[str, str], ...] = ()
    light: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    coat_decision: str = ""
    coat_over: tuple[str, ...] = ()
    coat_ways: tuple[CoatWay, ...] = ()
    coat_added: tuple[str, ...] = ()
    coat_basis: tuple[str, ...] = ()
    coat_stale: tuple[str, ...] = ()
    stale: tuple[str, ...] = ()
    works: tuple[Working, ...] = ()
