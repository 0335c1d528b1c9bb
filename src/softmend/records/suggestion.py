"""A suggested crack as a person answered it: accepted by hand, or refused."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.mark import Position


@dataclass(frozen=True)
class SuggestionAnswer:
    """One suggestion on a view, by which method, and whether it was accepted by hand.

    `mark_number` is the mark that an accepted one became; 0 where it was refused.
    """

    view_id: str
    line_px: tuple[Position, ...]
    method: str
    version: str
    sensitivity: float
    is_accepted: bool
    mark_number: int = 0


def checked_answer(answer: SuggestionAnswer) -> SuggestionAnswer:
    """Return an answer if what was suggested is a line."""
    if len(answer.line_px) < 2:
        raise InputError(
            "A suggestion is a line of two points or more",
            value=f"{len(answer.line_px)} points",
            remedy="Look for suggestions again",
        )
    return answer
