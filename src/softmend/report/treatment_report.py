"""What a treatment record says, gathered from a dossier's log at one moment.

Rows arrive as text that is already worded and rounded. Minutes stand beside tasks only, never
beside a name: no report shows one named person's speed.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.report.content import ConditionReport, ReportView, Working
from softmend.report.fragment_shown import SeatsShown, TrayShown
from softmend.report.removal_shown import RemovalShown
from softmend.report.tint_shown import TintShown


@dataclass(frozen=True)
class LogRow:
    """One log entry: two days, who, what and where, with what, what came of it."""

    number: int
    done_on: str
    written_on: str
    who: str
    what: str
    where: str
    plan: str
    with_what: tuple[str, ...]
    detail: tuple[str, ...]
    result: str
    is_departure: bool
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class MaterialRow:
    """One material's totals, and what of it remains where."""

    material: str
    batch: str
    put_on: str
    taken_off: str
    remains: str
    where: str


@dataclass(frozen=True)
class BatchRow:
    """One batch: its makings by mass, when, by whom, how it comes off."""

    number: int
    name: str
    make_up: tuple[str, ...]
    made: str
    comes_off: str


@dataclass(frozen=True)
class FragmentRow:
    """One fragment: where found, where it stands, and what is said of its place."""

    number: int
    found: str
    mass: str
    stand: str
    place: str


@dataclass(frozen=True)
class HiddenFace:
    """One face that was hidden: its picture, or the reason that there is none."""

    about: str
    because: str = ""
    shown: ReportView | None = None


@dataclass(frozen=True)
class TreatmentReport:
    """A treatment record, whole; `about` carries the object, its hazards and the provenance."""

    about: ConditionReport
    log: tuple[LogRow, ...] = ()
    materials: tuple[MaterialRow, ...] = ()
    removed: tuple[tuple[str, str], ...] = ()
    batches: tuple[BatchRow, ...] = ()
    fragments: tuple[FragmentRow, ...] = ()
    balance: str = ""
    masses: str = ""
    bags: tuple[tuple[str, str, str], ...] = ()
    incidents: tuple[tuple[str, str, str], ...] = ()
    hidden: tuple[HiddenFace, ...] = ()
    joins: tuple[tuple[str, str, str], ...] = ()
    time_by_task: tuple[tuple[str, str], ...] = ()
    contributors: tuple[str, ...] = ()
    unsorted: int = 0
    removal: RemovalShown | None = None
    tints: tuple[TintShown, ...] = ()
    workings: tuple[Working, ...] = ()
    trays: tuple[TrayShown, ...] = ()
    seats: tuple[SeatsShown, ...] = ()
