"""Trays of loose flakes: what was asked of a photograph, and what became of each outline."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError
from softmend.records.mark import BY_HAND, Position

_LETTERS = "abcdefghijklmnopqrstuvwxyz"
SMALLEST_ASKED_MM, LARGEST_ASKED_MM = 0.5, 500.0


class TrayGround(Enum):
    """What the flakes lie on."""

    DARK = "dark"
    LIGHT = "light"
    NOT_KNOWN = "not known"


class OutlineAnswer(Enum):
    """What a person said of an outline on a tray."""

    ACCEPTED = "accepted"
    STRUCK = "struck"


@dataclass(frozen=True)
class Tray:
    """A photograph of a tray: what the flakes lie on, and how long the smallest of them is."""

    view_id: str
    ground: TrayGround = TrayGround.NOT_KNOWN
    smallest_mm: float = 3.0


@dataclass(frozen=True)
class FlakeOutline:
    """One outline on a tray under its letter, as a person answered it.

    `drawn_how` names the method and its version where the machine found it; `fragment_id` is the
    fragment of the ledger that it is, "" while nobody said. `because` tells why it was struck.
    """

    view_id: str
    letter: str
    outline_px: tuple[Position, ...]
    answer: OutlineAnswer
    drawn_how: str = BY_HAND
    fragment_id: str = ""
    because: str = ""


def checked_tray(tray: Tray) -> Tray:
    """Return what is asked of a tray if flakes can be so small."""
    if not SMALLEST_ASKED_MM <= tray.smallest_mm <= LARGEST_ASKED_MM:
        raise InputError(
            "The smallest flake cannot be so long",
            value=f"{tray.smallest_mm:g} mm",
            allowed=f"{SMALLEST_ASKED_MM:g} to {LARGEST_ASKED_MM:g} mm",
        )
    return tray


def checked_outline_of_flake(outline: FlakeOutline) -> FlakeOutline:
    """Return an outline if it has its letter, and a fragment only while it is accepted."""
    if not re.fullmatch("[a-z]{1,3}", outline.letter):
        raise InputError(
            "An outline on a tray has a letter", value=outline.letter, allowed="a to z, aa, ab, …"
        )
    if outline.fragment_id and outline.answer is OutlineAnswer.STRUCK:
        raise InputError(
            f"Outline {outline.letter} was struck and is no fragment",
            remedy="Accept the outline first",
        )
    return outline


def letter_of(number: int) -> str:
    """Return the letter of a number from 0: a to z, then aa, ab and so on."""
    high, low = divmod(number, len(_LETTERS))
    return (letter_of(high - 1) if high else "") + _LETTERS[low]


def free_letter(taken: Iterable[str]) -> str:
    """Return the first letter that nobody has."""
    used = set(taken)
    number = 0
    while letter_of(number) in used:
        number += 1
    return letter_of(number)
