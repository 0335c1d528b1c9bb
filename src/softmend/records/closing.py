"""Closing a dossier: the care sheet, what must stand before it, and opening it again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from softmend.errors import InputError, RuleError
from softmend.records.custody import past_day
from softmend.records.dossier import NOT_KNOWN
from softmend.records.handover import HandOver
from softmend.records.passing import Passed, passing_of

# A package is made before the lines that say that it was made and given away.
AFTER_DEPOSIT = frozenset(
    {"hand_over", "custody", "location", "passed", "not_done", "closing", "reopened"}
)
IN_A_CLOSED_DOSSIER = frozenset(
    {
        *("reopened", "hand_over", "custody", "location", "paper", "sheet_back", "withdrawal"),
        # The law is asked again when the object leaves, which it often does after closing.
        *("legal_flag", "loan", "passed"),
        # Where it stands, and the light that falls on it, go on after closing.
        *("object_place", "object_in_air", "place_run", "light_plan", "past_light"),
    }
)


@dataclass(frozen=True)
class CareSheet:
    """How the object is kept from now on, as answers; what nobody knows stays "not known".

    `rh_band_basis` says where the band is from. `next_check_on` is a day; later checks are words.
    """

    next_check_on: str
    lift_points: str = NOT_KNOWN
    handling: str = NOT_KNOWN
    no_touch_zones: str = NOT_KNOWN
    support: str = NOT_KNOWN
    light: str = NOT_KNOWN
    rh_band: str = NOT_KNOWN
    rh_band_basis: str = NOT_KNOWN
    temperature: str = NOT_KNOWN
    dust: str = NOT_KNOWN
    moves_with_rh: str = NOT_KNOWN
    watch_for: str = NOT_KNOWN
    whom_to_tell: str = NOT_KNOWN
    later_checks: str = NOT_KNOWN


@dataclass(frozen=True)
class Closing:
    """The end of a dossier's work, signed: how it ended, and what closing rested on."""

    closed_on: str
    outcome: str
    signed_by: str
    next_check_on: str
    copies_with: tuple[str, ...] = ()
    deposit_hash: str = ""


@dataclass(frozen=True)
class Reopened:
    """A closed dossier opened again, and why."""

    because: str


@dataclass(frozen=True)
class Finding:
    """One thing that a rule asks for before closing, and the page that it is answered on."""

    rule: int
    sentence: str
    page: str


def checked_care(care: CareSheet, today: date) -> CareSheet:
    """Return the care sheet if its next check is a day to come and a band says its basis."""
    if past_day(care.next_check_on, "The next check") <= today:
        raise InputError(
            "The next check lies in the past",
            value=care.next_check_on,
            allowed=f"after {today.isoformat()}",
            remedy="Give the day by which somebody looks again",
        )
    if care.rh_band != NOT_KNOWN and care.rh_band_basis == NOT_KNOWN:
        raise InputError(
            "A band of humidity needs its basis",
            value=care.rh_band,
            remedy="Say what it rests on: the object's own record, its place, or an agreement",
        )
    return care


def check_date_finding(care: CareSheet | None) -> list[Finding]:
    """Return that the next check date is missing (rule 19)."""
    if care is not None:
        return []
    return [Finding(19, "The date of the next check is missing", "return/care")]


def copies_findings(hand_overs: Iterable[HandOver]) -> list[Finding]:
    """Return that fewer than two hands hold a copy (rule 19)."""
    hands = {one.to_whom.strip().casefold() for one in hand_overs}
    if len(hands) >= 2:
        return []
    return [
        Finding(
            19,
            f"Two copies in two hands are asked for; {_hands(len(hands))} logged",
            "return/closing",
        )
    ]


def unwarranted_fill(log_number: int, place: str) -> str:
    """Return that a log entry filled something at no mark, so that no warrant is for it (rule 8).

    `place` is what the entry says in words, which may be "not known".
    """
    where = "at a place not known" if place == NOT_KNOWN else f"at “{place}”"
    return (
        f"Log entry {log_number} filled {where} and at no mark, so it has no warrant; "
        "correct the entry with the mark that was filled"
    )


def deposit_findings(hand_overs: Sequence[HandOver], journal_kinds: Sequence[str]) -> list[Finding]:
    """Return that no checksummed package holds what the dossier says now (rule 19).

    `journal_kinds` are the kinds of all entries in order. Entries made by handing over itself do
    not make a package old.
    """
    if not hand_overs:
        return [Finding(19, "No package with its checksum is logged", "return/closing")]
    newest = max(one.entry_count for one in hand_overs)
    since = [kind for kind in journal_kinds[newest:] if kind not in AFTER_DEPOSIT]
    if not since:
        return []
    words = "entry was" if len(since) == 1 else "entries were"
    return [
        Finding(
            19,
            f"The newest package holds {newest} entries; {len(since)} {words} recorded since",
            "return/closing",
        )
    ]


def not_passed(
    findings: Iterable[Finding], passings: Sequence[Passed], about: str
) -> list[Finding]:
    """Return the findings whose rule nobody passed by name, with a reason, for this closing."""
    return [one for one in findings if passing_of(passings, one.rule, about) is None]


def check_is_closed(*, is_closed: bool) -> None:
    """Refuse to open a dossier again that is open."""
    if not is_closed:
        raise RuleError("This dossier is open", remedy="Go on with it; there is nothing to reopen")


def check_can_close(missing: Sequence[str], findings: Sequence[Finding]) -> None:
    """Refuse to close while something is neither there, nor answered, nor passed."""
    if missing:
        raise RuleError(
            f"Before closing, {_things(len(missing))} missing: {'; '.join(missing)}",
            remedy="Record each, or answer “not done, because …”; that is printed",
        )
    for finding in findings:
        raise RuleError(
            finding.sentence,
            rule=finding.rule,
            remedy="Record it; or a named person passes the rule with a printed reason",
        )


def checked_closing(closing: Closing, today: date) -> Closing:
    """Return the closing if it is signed, dated, and says how the work ended."""
    if past_day(closing.closed_on, "The day of closing") > today:
        raise InputError(
            "This day has not come yet",
            value=closing.closed_on,
            allowed=f"up to {today.isoformat()}",
        )
    for name, value in (("who signs", closing.signed_by), ("how it ended", closing.outcome)):
        if value.strip() in ("", NOT_KNOWN):
            raise InputError(f"Closing needs {name}", remedy="Give it in words")
    return closing


def checked_reopening(reopened: Reopened) -> Reopened:
    """Return the reopening if it says why."""
    if not reopened.because.strip():
        raise InputError("Opening a closed dossier again needs its reason", remedy="Say why")
    return reopened


def check_is_open(kind: str, closing_number: int, reopened_number: int) -> None:
    """Refuse a further entry in a closed dossier, but for what still happens to a closed one.

    The numbers are those of the newest closing and reopening entry, 0 when there is none.
    """
    if closing_number > reopened_number and kind not in IN_A_CLOSED_DOSSIER:
        raise RuleError(
            f"This dossier is closed since entry {closing_number}",
            remedy="Open it again under Return, with a reason; the closing stays to be read",
        )


def _hands(count: int) -> str:
    return "none is" if count == 0 else "one is"


def _things(count: int) -> str:
    return "one thing is" if count == 1 else f"{count} things are"
