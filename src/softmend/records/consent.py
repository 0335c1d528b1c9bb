"""Consent to listed points: tied to their hash, voided by a change of a point (rule 2)."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from softmend.errors import InputError, RuleError, StaleError
from softmend.records.canonical import canonical_json, sha256_text
from softmend.records.dossier import NOT_KNOWN
from softmend.records.passing import Passed, passing_of
from softmend.records.payload import as_plain
from softmend.records.proposal import (
    Hours,
    Options,
    PlanFill,
    PlanMaterial,
    PlanRemoval,
    PlanStep,
    Proposal,
    total_hours,
)

Plain = dict[str, Any]


class Decision(Enum):
    """What the owner, or who stands for the owner, decided; no is a respectable end."""

    YES = "yes"
    WITH_LIMITS = "yes with limits"
    NO = "no"


@dataclass(frozen=True)
class Consent:
    """A decision as it was reported: whose, on which points, with which paper.

    `points_json` and `wording_json` are canonical JSON, kept so that a later change can be shown.
    """

    number: int
    decision: Decision
    given_by: str
    role: str
    decided_on: str
    points_hash: str
    points_json: str
    wording_hash: str
    wording_json: str
    limits: str = NOT_KNOWN
    paper_number: int | None = None
    no_paper_because: str = NOT_KNOWN


@dataclass(frozen=True)
class WordingNoted:
    """A change of wording after consent: who was told, and what it read like then."""

    consent_number: int
    wording_hash: str
    wording_json: str
    told_to: str
    told_on: str
    note: str = NOT_KNOWN


@dataclass(frozen=True)
class Plan:
    """Everything that a consent is asked for, as it stands."""

    proposal: Proposal
    options: Options
    steps: tuple[PlanStep, ...] = ()
    materials: tuple[PlanMaterial, ...] = ()
    fills: tuple[PlanFill, ...] = ()
    removals: tuple[PlanRemoval, ...] = ()
    outlines: Mapping[str, str] = field(default_factory=dict)

    @property
    def hours(self) -> Hours | None:
        """Return the hours of all steps together."""
        return total_hours(step.hours for step in self.steps)


@dataclass(frozen=True)
class Difference:
    """One thing that reads otherwise now: where, what stood there, what stands there."""

    where: str
    before: str
    now: str

    @property
    def sentence(self) -> str:
        """Return the difference in one sentence."""
        if not self.before:
            return f"{self.where} is new: {self.now}"
        if not self.now:
            return f"{self.where} is gone: {self.before}"
        return f"{self.where} was “{self.before}”, now “{self.now}”"


@dataclass(frozen=True)
class Standing:
    """Where a consent stands today: the points that changed void it, wording does not."""

    consent: Consent
    changed_points: tuple[Difference, ...] = ()
    changed_wording: tuple[Difference, ...] = ()

    @property
    def is_void(self) -> bool:
        """Say whether a point changed since."""
        return bool(self.changed_points)

    @property
    def allows_work(self) -> bool:
        """Say whether work on the listed points may go on."""
        return self.consent.decision is not Decision.NO and not self.is_void


# What of each record a person consents to; the rest of it is wording.
_STEP = ("action_id", "what", "stop_rule", "mark_numbers", "body_zone_numbers",
         "on_zone_numbers", "material_numbers")  # fmt: skip
_MATERIAL = ("generic_name", "grade", "make_up", "route", "comes_off_how")
_FILL = ("mark_numbers", "warrant", "level", "set_back_mm", "texture", "tone", "tone_distance_m",
         "detected_by", "material_numbers")  # fmt: skip
_REMOVAL = ("what", "body_zone_numbers", "mark_numbers", "kept_where")
_PROPOSAL = ("aims", "coating", "sampling_asked", "limits", "residual_risk", "hours_agreed_h",
             "hours_over_percent", "comes_back_when")  # fmt: skip
_NOT_WORDING = frozenset({"number", "place"})


def listed_points(plan: Plan) -> Plain:
    """Return the points that a consent is given to, as plain data: its hash is the consent's.

    Everything numbered stands under its number, so that a change can be named; drawn areas
    stand as the hash of their outline.
    """
    return {
        "step": _numbered(plan.steps, _STEP),
        "order_of_steps": [step.number for step in ordered(plan.steps)],
        "material": _numbered(plan.materials, _MATERIAL),
        "fill": _numbered(plan.fills, _FILL),
        "removal": _numbered(plan.removals, _REMOVAL),
        "area": dict(plan.outlines),
        **_some(as_plain(plan.proposal), _PROPOSAL),
    }


def wording(plan: Plan) -> Plain:
    """Return everything in a proposal that is said around the points."""
    kept: Plain = {
        name: value for name, value in as_plain(plan.proposal).items() if name not in _PROPOSAL
    }
    kept["options"] = as_plain(plan.options)
    for name, records, points in (
        ("step", plan.steps, _STEP),
        ("material", plan.materials, _MATERIAL),
        ("fill", plan.fills, _FILL),
        ("removal", plan.removals, _REMOVAL),
    ):
        kept[name] = {
            str(record.number): {
                field: value
                for field, value in as_plain(record).items()
                if field not in points and field not in _NOT_WORDING
            }
            for record in records
        }
    return kept


def hash_of(plain: Mapping[str, Any]) -> str:
    """Return the SHA-256 of plain data's canonical JSON: the order of names plays no part."""
    return sha256_text(canonical_json(plain))


def hash_of_points(plan: Plan) -> str:
    """Return the hash of a plan's listed points."""
    return hash_of(listed_points(plan))


def ordered(steps: Sequence[PlanStep]) -> tuple[PlanStep, ...]:
    """Return the steps in the order in which they are meant to be done."""
    return tuple(sorted(steps, key=lambda step: (step.place, step.number)))


def checked_consent(consent: Consent) -> Consent:
    """Return the consent if it names who, in which role, when, and its paper or why not."""
    for name, value in (
        ("who gave it", consent.given_by),
        ("their role", consent.role),
        ("its date", consent.decided_on),
    ):
        if value.strip() in ("", NOT_KNOWN):
            raise InputError(f"A consent needs {name}", remedy="It is recorded as reported")
    if consent.decision is Decision.WITH_LIMITS and consent.limits == NOT_KNOWN:
        raise InputError(
            "“Yes with limits” needs the limits", remedy="Write them as they were said"
        )
    if consent.paper_number is None and consent.no_paper_because == NOT_KNOWN:
        raise InputError(
            "A consent is reported and needs its signed paper",
            remedy="Attach the paper and give its number, or say why there is none",
        )
    return consent


def standing(
    consent: Consent, plan: Plan, noted: Sequence[WordingNoted] = (), points_hash: str = ""
) -> Standing:
    """Return where a consent stands: no consent survives a change of a point (rule 2).

    Wording is compared with what was last noted as told. Whoever asks for several consents of one
    plan hands the `points_hash` of it.
    """
    said = consent.wording_json
    for note in noted:
        if note.consent_number == consent.number:
            said = note.wording_json
    changed = (
        ()
        if (points_hash or hash_of_points(plan)) == consent.points_hash
        else differences(json.loads(consent.points_json), listed_points(plan))
    )
    return Standing(
        consent, (*changed, *_hours_passed(plan)), differences(json.loads(said), wording(plan))
    )


def _hours_passed(plan: Plan) -> Iterator[Difference]:
    """Yield that the estimate has passed what was agreed; within it an estimate may move."""
    agreed, over = plan.proposal.hours_agreed_h, plan.proposal.hours_over_percent
    if agreed is None or over is None or plan.hours is None:
        return
    most = agreed * (1 + over / 100)
    if plan.hours.likely_h > most:
        yield Difference("hours", f"up to {most:.3g} h", f"{plan.hours.likely_h:.3g} h likely")


def refuse_without_consent(
    standings: Sequence[Standing], points_hash: str, passings: Sequence[Passed] = ()
) -> None:
    """Refuse work that nobody consented to as it stands (rule 2), unless a named person passes it.

    A pass holds for the points that it was given for, and for no later change.
    """
    if passing_of(passings, 2, points_hash):
        return
    if not standings:
        raise RuleError(
            "Nobody has consented to this proposal", rule=2, remedy="Print it and record the answer"
        )
    newest = standings[-1]
    if newest.consent.decision is Decision.NO:
        raise RuleError(
            f"{newest.consent.given_by} said no on {newest.consent.decided_on}",
            rule=2,
            remedy="A decline is a respectable end: close the dossier, or propose anew",
        )
    if newest.is_void:
        changes = "; ".join(change.sentence for change in newest.changed_points)
        raise StaleError(
            f"The consent of {newest.consent.decided_on} is void, because a listed point changed",
            value=changes,
            remedy="Ask again for the points as they stand",
        )


def differences(before: Any, now: Any, where: str = "") -> tuple[Difference, ...]:
    """Return what reads otherwise in two pieces of plain data, in words that name the place."""
    return tuple(_differences(as_plain(before), as_plain(now), where))


def _differences(before: Any, now: Any, where: str) -> Iterator[Difference]:
    if isinstance(before, Mapping) and isinstance(now, Mapping):
        for name in dict.fromkeys([*before, *now]):
            yield from _differences(before.get(name), now.get(name), _deeper(where, str(name)))
    elif _is_rows(before) and _is_rows(now):
        for place in range(max(len(before), len(now))):
            first = before[place] if place < len(before) else None
            second = now[place] if place < len(now) else None
            yield from _differences(first, second, f"{where} {place + 1}".strip())
    elif before != now:
        yield Difference(where, _words(before), _words(now))


def _is_rows(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], Mapping)


def _deeper(where: str, name: str) -> str:
    spoken = name.replace("_", " ")
    return f"{where}, {spoken}" if where and not name.isdigit() else f"{where} {spoken}".strip()


def _words(value: Any) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, list):
        return ", ".join(_words(item) for item in value) or "none"
    if isinstance(value, Mapping):
        return "; ".join(
            f"{name.replace('_', ' ')}: {_words(item)}" for name, item in value.items()
        )
    return f"{value:g}" if isinstance(value, float) else str(value)


def _numbered(records: Sequence[Any], points: tuple[str, ...]) -> Plain:
    return {str(record.number): _some(as_plain(record), points) for record in records}


def _some(plain: Plain, names: tuple[str, ...]) -> Plain:
    return {name: plain[name] for name in names}
