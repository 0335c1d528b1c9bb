"""The pages people read: one page each for those who receive the object, and the receipts.

Only the registrar's page carries place, mass and dates of movement; the mount-maker's page has the
mass where somebody said, with the way of holding, that it may.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from softmend.records.closing import CareSheet
from softmend.records.custody import Receipt
from softmend.records.dossier import NOT_KNOWN
from softmend.records.legal import LegalFlag
from softmend.records.location import Location
from softmend.report.blocks import Section
from softmend.report.climate_shown import ClimateShown
from softmend.report.content import ConditionReport
from softmend.report.scan_shown import ScanShown


class Page(Enum):
    """One page, named by who reads it or what it is."""

    CURATOR = "curator"
    MOUNT_MAKER = "mount-maker"
    REGISTRAR = "registrar"
    FRONT_OF_HOUSE = "front-of-house"
    NEXT_CONSERVATOR = "next-conservator"
    CARE = "care-sheet"


@dataclass(frozen=True)
class UndoRow:
    """One material of the log: where it went, how much, whether it remains, how it is undone."""

    material: str
    batch: str
    where: str
    amount: str
    remains: str
    undone_how: str


@dataclass(frozen=True)
class Removed:
    """Something taken off in the log, and where it is kept; its place is for the registrar."""

    material: str
    fate: str
    kept_where: str


@dataclass(frozen=True)
class HandedOver:
    """Everything that the pages are made from, gathered at one moment."""

    report: ConditionReport
    care: CareSheet | None = None
    flags: tuple[tuple[LegalFlag, str], ...] = ()
    receipts: tuple[Receipt, ...] = ()
    places: tuple[Location, ...] = ()
    materials: tuple[UndoRow, ...] = ()
    removed: tuple[Removed, ...] = ()
    chosen_option: str = NOT_KNOWN
    chosen_because: str = NOT_KNOWN
    decision: str = NOT_KNOWN
    coating: str = NOT_KNOWN
    departures: tuple[str, ...] = ()
    work: tuple[str, ...] = ()
    work_from_to: str = NOT_KNOWN
    worked_by: str = NOT_KNOWN
    incidents: tuple[str, ...] = ()
    climate: ClimateShown | None = None
    scans: tuple[ScanShown, ...] = ()


@dataclass(frozen=True)
class Signature:
    """A line to sign on: who signs, as what, and the date if it is known."""

    role: str
    name: str
    date: str = ""


@dataclass(frozen=True)
class OnePage:
    """One page as it is printed or copied as text."""

    key: str
    title: str
    report: ConditionReport
    sections: tuple[Section, ...]
    signatures: tuple[Signature, ...] = ()
