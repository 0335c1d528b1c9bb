"""Where a flake may have come from: what was looked for, and what a person saw by eye.

Candidates stand unranked, "none of these" first, until the overlay of each was looked at. A look
is no evidence of place: that is recorded on the fragment, by its codes.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError, RuleError

LEAST_MM, MOST_MM = 0.01, 5.0


class Verdict(Enum):
    """What an eye says of a flake laid on a loss."""

    FITS = "could be its seat"
    DOES_NOT_FIT = "does not fit"
    CANNOT_TELL = "cannot be told"


@dataclass(frozen=True)
class SeatSearch:
    """How far the edges of a flake and a loss may lie apart when its seats are looked for.

    `over_mm` is how much larger the flake may look by the thickness of its edge. Turned over it is
    tried only when somebody said that its sides look alike.
    """

    fragment_id: str
    wear_mm: float = 0.2
    gap_mm: float = 0.5
    over_mm: float = 0.3
    either_side_up: bool = False


@dataclass(frozen=True)
class SeatLook:
    """What a person saw when the flake lay on one loss; "" as the mark is "none of these".

    `run_id` is the kept run whose overlay was looked at.
    """

    fragment_id: str
    mark_id: str
    verdict: Verdict
    seen_observed: str
    run_id: str


def checked_search(search: SeatSearch) -> SeatSearch:
    """Return a search if its allowances can be."""
    for name, value in (
        ("The wear of the edge", search.wear_mm),
        ("How much smaller a flake may look", search.gap_mm),
        ("The thickness of the flake's edge", search.over_mm),
    ):
        if not LEAST_MM <= value <= MOST_MM:
            raise InputError(
                f"{name} is outside what is possible",
                value=f"{value:g} mm",
                allowed=f"{LEAST_MM:g} to {MOST_MM:g} mm",
            )
    return search


def checked_look(look: SeatLook, candidate_ids: Iterable[str]) -> SeatLook:
    """Return a look if its loss is among the candidates and what was seen stands in words."""
    if look.mark_id and look.mark_id not in set(candidate_ids):
        raise RuleError(
            "This loss is no candidate of the search that stands",
            remedy="Look for seats again, or record a trial on the fragment's page",
        )
    if not look.seen_observed.strip():
        raise InputError(
            "A look says what was seen",
            remedy="For example: the upper edge follows, the lower leaves a gap",
        )
    return look


def may_be_ranked(candidate_ids: Iterable[str], looked_at_ids: Iterable[str]) -> bool:
    """Say whether candidates may be shown in order of their fit: when each was looked at."""
    return set(candidate_ids) <= set(looked_at_ids)
