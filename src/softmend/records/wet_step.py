"""Before the first wet step: sampling, the reserve, protected evidence, and the one lock."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN, Certainty, Material
from softmend.records.zone import OnIt, OnZone, on_zone_name


class Reply(Enum):
    """An answer to a question that must be asked; not asked is not no."""

    YES = "yes"
    NO = "no"
    NOT_ASKED = "not asked"


class Way(Enum):
    """What opens the lock for wet work; opened is not safe."""

    LOCKED = "locked"
    BARRIER = "a barrier"
    FITTED_DRY = "pre-formed and fitted dry"
    REASON = "a person's recorded reason"


@dataclass(frozen=True)
class Evidence:
    """What was decided about one zone of protected evidence, and by whom.

    `may_be_worked` is the named yes that cleaning, fill or tone in the zone needs.
    """

    zone_number: int
    may_be_worked: bool
    by: str
    because: str = NOT_KNOWN


@dataclass(frozen=True)
class BeforeWet:
    """The answers that are owed before anything wet touches the object."""

    sampling_first: Reply = Reply.NOT_ASKED
    sampling_asked_of: str = NOT_KNOWN
    sampling_done: str = NOT_KNOWN
    type_figured_or_dated: Reply = Reply.NOT_ASKED
    type_grounds: str = NOT_KNOWN
    no_reserve_because: str = NOT_KNOWN
    remains_approved_by: str = NOT_KNOWN
    evidence: tuple[Evidence, ...] = ()
    way: Way = Way.LOCKED
    way_because: str = NOT_KNOWN
    way_by: str = NOT_KNOWN


@dataclass(frozen=True)
class WetFinding:
    """One thing that stands between the object and the first wet step."""

    key: str
    problem: str
    remedy: str


NOT_SAFE = "Open is not safe: no solvent here is proven harmless."
LAID_WITH_WATER = (
    "Glue, gelatin, isinglass, starch paste, casein, gouache and watercolour are laid with water, "
    "though their names do not say so. No rule knows them by name: this lock before wet work holds "
    "them, and a wet step that is logged before it was opened asks for a person's reason."
)
"""What rests on this lock alone: a rule by name would also stop taking old glue off dry."""


def checked_before_wet(answers: BeforeWet) -> BeforeWet:
    """Return the answers if each that was given names who gave it."""
    if answers.sampling_first is not Reply.NOT_ASKED and answers.sampling_asked_of == NOT_KNOWN:
        raise InputError("The answer about sampling names who was asked")
    for one in answers.evidence:
        if one.by.strip() in ("", NOT_KNOWN):
            raise InputError(
                f"The decision about protected evidence {on_zone_name(one.zone_number)} "
                "needs a name"
            )
    if answers.way is not Way.LOCKED and NOT_KNOWN in (answers.way_because, answers.way_by):
        raise InputError(
            "Opening the lock for wet work needs a reason and a name",
            value=answers.way.value,
            remedy="Say which barrier or why, and who decides",
        )
    return answers


def locked_material(materials: Iterable[Material], words: Iterable[str]) -> str:
    """Return the material that the lock for wet work is for, or "" when none is.

    A material that nobody has identified is locked as well: it follows the careful path.
    """
    known = list(materials)
    if not known:
        return "material not known"
    listed = "|".join(re.escape(word) for word in words)
    # "limewood" and "buckhorn" are locked too, and "soaked" is no oak.
    pattern = re.compile(rf"\b(?:{listed})s?\b|(?:wood|horn|bone|ivory)\b", re.IGNORECASE)
    for material in known:
        if pattern.search(material.material):
            return material.material
        if material.material == NOT_KNOWN or material.certainty is Certainty.NOT_KNOWN:
            return f"{material.material} (not identified)"
    return ""


def wet_findings(
    answers: BeforeWet, on_zones: Sequence[OnZone], locked_for: str, remains: str = ""
) -> tuple[WetFinding, ...]:
    """Return what is still owed before the first wet step; empty when it may begin.

    `locked_for` is the material that the lock is for; `remains` says why they may be human.
    """
    found = [*_sampling(answers), *_reserve(answers, on_zones), *_evidence(answers, on_zones)]
    if remains and answers.remains_approved_by == NOT_KNOWN:
        found.append(
            WetFinding(
                "remains",
                "What may be human is not treated or sampled without a named approval",
                f"Treated so because {remains}; say who approved",
            )
        )
    if locked_for and answers.way is Way.LOCKED:
        found.append(
            WetFinding(
                "lock",
                f"Wet work is locked: {locked_for}",
                "Name a barrier, “pre-formed and fitted dry”, or a person's reason",
            )
        )
    return tuple(found)


def refuse_unready(findings: Sequence[WetFinding]) -> None:
    """Refuse a wet step while anything is owed."""
    if findings:
        problems = "; ".join(finding.problem for finding in findings)
        raise RuleError(f"Not before the first wet step: {problems}", remedy=findings[0].remedy)


def _sampling(answers: BeforeWet) -> Iterable[WetFinding]:
    if answers.sampling_first is Reply.NOT_ASKED:
        yield WetFinding(
            "sampling",
            "Nobody asked whether a sample is wanted first",
            "Consolidant, solvent and glue spoil dating, DNA, protein and isotope work: ask",
        )
    if answers.sampling_first is Reply.YES and answers.sampling_done == NOT_KNOWN:
        yield WetFinding(
            "sampling_done", "The sample that is wanted was not taken", "Take it, or say why not"
        )
    if answers.type_figured_or_dated is Reply.NOT_ASKED:
        yield WetFinding(
            "type",
            "Nobody asked whether it is a type, figured or dated specimen",
            "Ask the curator; such specimens need an approval of their own",
        )
    if answers.type_figured_or_dated is Reply.YES and answers.type_grounds == NOT_KNOWN:
        yield WetFinding(
            "type_approval",
            "A type, figured or dated specimen needs an approval of its own",
            "Say who approved wet work, and when",
        )


def _reserve(answers: BeforeWet, on_zones: Sequence[OnZone]) -> Iterable[WetFinding]:
    has_reserve = any(zone.on_it is OnIt.UNTREATED_RESERVE for zone in on_zones)
    if not has_reserve and answers.no_reserve_because == NOT_KNOWN:
        yield WetFinding(
            "reserve",
            "No untreated reserve is drawn",
            "Draw it on a view, or say why none is kept",
        )


def _evidence(answers: BeforeWet, on_zones: Sequence[OnZone]) -> Iterable[WetFinding]:
    decided = {one.zone_number for one in answers.evidence}
    for zone in on_zones:
        if zone.on_it is OnIt.PROTECTED_EVIDENCE and zone.number not in decided:
            yield WetFinding(
                f"evidence_{zone.number}",
                f"Nobody decided about protected evidence {zone.name}",
                "Say that it is kept out of, or who gave a named yes",
            )
