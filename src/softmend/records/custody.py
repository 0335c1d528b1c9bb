"""Custody: what was received or handed out, between whom, why, when, and in what state."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN


class Way(Enum):
    """Which way a thing went over the threshold."""

    IN = "received"
    OUT = "handed out"


@dataclass(frozen=True)
class Receipt:
    """One receipt of custody: the thing, its owner, both parties, the reason, the dates, its state.

    `return_on` is a day, or words such as "stays with the owner". The signatures stand on the
    paper whose number is `paper_number`; without one, `no_paper_because` says why.
    """

    number: int
    way: Way
    what: str
    owner: str
    from_whom: str
    to_whom: str
    reason: str
    handed_on: str
    return_on: str = NOT_KNOWN
    condition_observed: str = NOT_KNOWN
    packed_how: str = NOT_KNOWN
    paper_number: int | None = None
    no_paper_because: str = NOT_KNOWN

    @property
    def is_signed(self) -> bool:
        """Say whether the signed paper is in the dossier."""
        return self.paper_number is not None


def checked_receipt(receipt: Receipt, today: date) -> Receipt:
    """Return the receipt if it says what, whose, between whom, why, when and in what state."""
    for name, value in (
        ("what changes hands", receipt.what),
        ("the owner", receipt.owner),
        ("who hands it over", receipt.from_whom),
        ("who takes it", receipt.to_whom),
        ("the reason", receipt.reason),
        ("the state it is in", receipt.condition_observed),
    ):
        if value.strip() in ("", NOT_KNOWN):
            raise InputError(f"A receipt needs {name}", remedy="Both parties sign for it")
    if past_day(receipt.handed_on, "The day of the hand-over") > today:
        raise InputError(
            "This hand-over has not happened yet",
            value=receipt.handed_on,
            allowed=f"up to {today.isoformat()}",
            remedy="Write the receipt when the thing changes hands",
        )
    return receipt


def past_day(text: str, what: str) -> date:
    """Return a whole date as typed, 2026-03-02, named `what` where it cannot be read."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError as unread:
        raise InputError(
            f"{what} cannot be read",
            value=text.strip() or "nothing",
            allowed="a date, as 2026-03-02",
        ) from unread


def check_correction(before: Receipt, after: Receipt) -> None:
    """Refuse a later version of a receipt that says another thing than the one signed for."""
    if before.number != after.number:
        raise RuleError("A receipt keeps its number", rule=3, remedy="Write a new receipt")
    if before.is_signed and as_signed(before) != as_signed(after):
        raise RuleError(
            f"Receipt {before.number} was signed and is not rewritten",
            rule=3,
            remedy="Write a further receipt that says what was wrong",
        )


def as_signed(receipt: Receipt) -> tuple[str, ...]:
    """Return the words of a receipt that its signatures stand under."""
    return (
        receipt.way.value,
        receipt.what,
        receipt.owner,
        receipt.from_whom,
        receipt.to_whom,
        receipt.reason,
        receipt.handed_on,
        receipt.return_on,
        receipt.condition_observed,
        receipt.packed_how,
    )


def is_overdue(receipt: Receipt, today: date) -> bool:
    """Say whether a thing should have gone back by now; words in place of a day never are."""
    try:
        return date.fromisoformat(receipt.return_on.strip()) < today
    except ValueError:
        return False
