"""Law and ethics as facts with dates: a flag never says what may be done, and it goes stale."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN, Certainty, Material

FRESH_MONTHS = 12
"""After this many months a law field is asked again (rule 17)."""

# Bone, ivory and antler look alike: what is called bone stays possibly human until somebody who
# can tell has said otherwise (practice.md 2.11).
_LIKE_BONE = re.compile(
    r"\b(bones?|skulls?|teeth|tooth|remains)\b(?!\s+(glue|black|ash|char|china)\b)", re.IGNORECASE
)


class Topic(Enum):
    """What a flag is about."""

    SPECIES = "species"
    HUMAN_REMAINS = "human remains"
    OWNERSHIP = "ownership and origin"
    SACRED = "sacred or restricted"
    OTHER = "other"


class Human(Enum):
    """Whether the remains may be human; nobody asked is the careful answer."""

    POSSIBLY = "possibly human"
    NOT_HUMAN = "identified as not human"
    NOT_ASKED = "not asked"


@dataclass(frozen=True)
class LegalFlag:
    """One legal or ethical fact: whose rule, on what ground, checked when and by whom.

    There is no field for what may be done: the program holds facts and dates, never a verdict.
    """

    number: int
    topic: Topic
    rule: str
    checked_on: str
    checked_by: str
    taxon: str = NOT_KNOWN
    ground: str = NOT_KNOWN
    certainty: Certainty = Certainty.NOT_KNOWN
    jurisdiction: str = NOT_KNOWN
    documents_reported: str = NOT_KNOWN
    human: Human = Human.NOT_ASKED

    @property
    def is_possibly_human(self) -> bool:
        """Say whether this flag keeps thumbnails and public packages off (rule 16)."""
        return self.human is Human.POSSIBLY


@dataclass(frozen=True)
class Loan:
    """A loan or another way out of the house: every law field is asked again for it."""

    number: int
    to_whom: str
    leaves_on: str = NOT_KNOWN
    jurisdiction: str = NOT_KNOWN


def checked_flag(flag: LegalFlag, today: date) -> LegalFlag:
    """Return the flag if it is dated and signed (rule 17); a species needs its ground."""
    if not flag.rule.strip():
        raise InputError("A flag needs the rule or question it is about")
    if flag.checked_by.strip() in ("", NOT_KNOWN):
        raise RuleError("A law field names who checked it", rule=17, remedy="Give the name")
    if day_of(flag.checked_on) > today:
        raise InputError(
            "A check cannot lie in the future",
            value=flag.checked_on,
            allowed=f"up to {today.isoformat()}",
        )
    if flag.taxon != NOT_KNOWN and flag.ground == NOT_KNOWN:
        raise InputError(
            "A species needs its ground",
            value=flag.taxon,
            remedy="Say how it was told (section, analysis, label), or leave it as not known",
        )
    if flag.human is Human.NOT_HUMAN and flag.taxon == NOT_KNOWN:
        raise InputError(
            "“Identified as not human” needs what it was identified as",
            remedy="Give the animal or family, and how it was told",
        )
    return flag


def day_of(text: str) -> date:
    """Return a whole date as typed, 2026-03-02; a law field needs no less (rule 17)."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError as unread:
        raise RuleError(
            f"A law field is dated to the day; got {text.strip() or 'nothing'}",
            rule=17,
            remedy="Write the date as 2026-03-02",
        ) from unread


def stale_law(flag: LegalFlag, today: date, loans_since: Iterable[Loan] = ()) -> str:
    """Return why a flag must be asked again (rule 17), or "" while it is fresh.

    `loans_since` are the loans and exits recorded after the flag was.
    """
    for loan in loans_since:
        return f"a loan to {loan.to_whom} was recorded after the check of {flag.checked_on}"
    checked = day_of(flag.checked_on)
    months = (today.year - checked.year) * 12 + today.month - checked.month
    if months - (today.day < checked.day) >= FRESH_MONTHS:
        return f"checked on {flag.checked_on}, more than {FRESH_MONTHS} months ago"
    return ""


def human_caution(flags: Iterable[LegalFlag], materials: Iterable[Material]) -> str:
    """Return why the dossier is treated as possibly human (rule 16), or "" when it is not.

    Bone that nobody has identified counts; a named person's identification ends it.
    """
    known = list(flags)
    for flag in known:
        if flag.is_possibly_human:
            return f"flag {flag.number} says “{flag.human.value}”"
    if any(flag.human is Human.NOT_HUMAN for flag in known):
        return ""
    for material in materials:
        if _LIKE_BONE.search(material.material):
            return f"nobody has recorded whose “{material.material}” it is"
    return ""
