"""The closed list of entry kinds: the record each holds, its version, and its human number."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from softmend.errors import InputError, MissingEvidenceError
from softmend.records.action import Action
from softmend.records.air_question import AirQuestion
from softmend.records.batch import Batch
from softmend.records.bench_sheet import BenchSheet, SheetBack
from softmend.records.bookkeeping import NotDone, Run, Struck, Withdrawal
from softmend.records.closing import CareSheet, Closing, Reopened
from softmend.records.coating import CoatingModel
from softmend.records.colour_reading import ColourChart, ColourReading
from softmend.records.comparison_of_views import ComparisonOfViews
from softmend.records.condition import Grade
from softmend.records.consent import Consent, WordingNoted
from softmend.records.crack_model import CrackModel
from softmend.records.custody import Receipt
from softmend.records.dossier import Dossier, Hazard, ObjectHead
from softmend.records.entry import Entry
from softmend.records.estimate import Estimate
from softmend.records.examination import Examination
from softmend.records.fragment import Bag, Fragment
from softmend.records.handover import HandOver
from softmend.records.holding import JoinModel
from softmend.records.incident import Incident
from softmend.records.join import Assembly
from softmend.records.lamp import Lamp
from softmend.records.legal import LegalFlag, Loan
from softmend.records.light import LightPlan, PastLight
from softmend.records.location import Location
from softmend.records.logger_file import LoggerFile
from softmend.records.looking import EyeTest, SightDistances
from softmend.records.mark import Mark
from softmend.records.opening import MeasuredOpening
from softmend.records.paint import Paint
from softmend.records.passing import Passed, named_as_today
from softmend.records.payload import Upgrade, from_payload, is_unchanging
from softmend.records.place import ObjectInAir, ObjectPlace, Place, PlaceRun
from softmend.records.priority import Priority
from softmend.records.proposal import (
    Options,
    PlanFill,
    PlanMaterial,
    PlanRemoval,
    PlanStep,
    Proposal,
)
from softmend.records.removal import (
    CrackDistance,
    LockOverride,
    RemovalWay,
    SolventItem,
    SolventTurnedOn,
)
from softmend.records.scan import (
    Scan,
    ScanComparison,
    ScanHolding,
    ScanLength,
    ScanLine,
    ScanMatter,
    ScanStill,
    ScanVoid,
)
from softmend.records.scan_seen import ScanView, StretchSetAside
from softmend.records.seat import SeatLook, SeatSearch
from softmend.records.securing import Securing
from softmend.records.shelf import BenchMaterials, OwnSystem, OwnValue, ShelfItem
from softmend.records.showcase import Showcase
from softmend.records.spot_test import PatchGrid, SpotDecision, SpotTest
from softmend.records.suggestion import SuggestionAnswer
from softmend.records.survey import SampleList, Survey, SurveyGrade
from softmend.records.tint_recipe import TintRecipe
from softmend.records.tray import FlakeOutline, Tray
from softmend.records.trial_card import TrialCard
from softmend.records.view import NotExamined, Paper, Scale, View
from softmend.records.watched_folder import WatchedFolder
from softmend.records.wet_step import BeforeWet
from softmend.records.width_profile import SecondTracing
from softmend.records.zone import BodyZone, OnZone


@dataclass(frozen=True)
class Kind:
    """One kind of entry: its record, its payload version and how old versions are upgraded."""

    record: type
    version: int = 1
    is_numbered: bool = False
    upgrades: Mapping[int, Upgrade] = field(default_factory=dict)


KINDS: dict[str, Kind] = {
    "dossier": Kind(Dossier),
    "object_head": Kind(ObjectHead),
    "hazard": Kind(Hazard),
    "examination": Kind(Examination),
    "view": Kind(View, is_numbered=True),
    "scale": Kind(Scale),
    "paper": Kind(Paper, is_numbered=True),
    "not_examined": Kind(NotExamined),
    "mark": Kind(Mark, is_numbered=True),
    "body_zone": Kind(BodyZone, is_numbered=True),
    "on_zone": Kind(OnZone, is_numbered=True),
    "grade": Kind(Grade),
    "legal_flag": Kind(LegalFlag, is_numbered=True),
    "loan": Kind(Loan, is_numbered=True),
    "options": Kind(Options),
    "proposal": Kind(Proposal),
    "plan_step": Kind(PlanStep, is_numbered=True),
    "plan_material": Kind(PlanMaterial, is_numbered=True),
    "plan_fill": Kind(PlanFill, is_numbered=True),
    "plan_removal": Kind(PlanRemoval, is_numbered=True),
    "consent": Kind(Consent, is_numbered=True),
    "wording_noted": Kind(WordingNoted),
    "securing": Kind(Securing, is_numbered=True),
    "before_wet": Kind(BeforeWet),
    "passed": Kind(Passed, version=2, upgrades={1: named_as_today}),
    "batch": Kind(Batch, is_numbered=True),
    "action": Kind(Action, is_numbered=True),
    "assembly": Kind(Assembly),
    "fragment": Kind(Fragment, is_numbered=True),
    "bag": Kind(Bag, is_numbered=True),
    "incident": Kind(Incident, is_numbered=True),
    "estimate": Kind(Estimate, is_numbered=True),
    "priority": Kind(Priority),
    "survey": Kind(Survey),
    "sample_list": Kind(SampleList),
    "survey_grade": Kind(SurveyGrade),
    "bench_materials": Kind(BenchMaterials),
    "shelf_item": Kind(ShelfItem),
    "own_value": Kind(OwnValue),
    "own_system": Kind(OwnSystem),
    "paint": Kind(Paint),
    "lamp": Kind(Lamp),
    "colour_chart": Kind(ColourChart),
    "sight_distances": Kind(SightDistances),
    "eye_test": Kind(EyeTest),
    "colour_reading": Kind(ColourReading, is_numbered=True),
    "trial_card": Kind(TrialCard, is_numbered=True),
    "tint_recipe": Kind(TintRecipe),
    "place": Kind(Place),
    "showcase": Kind(Showcase),
    "logger_file": Kind(LoggerFile),
    "object_place": Kind(ObjectPlace),
    "object_in_air": Kind(ObjectInAir),
    "place_run": Kind(PlaceRun),
    "light_plan": Kind(LightPlan),
    "past_light": Kind(PastLight),
    "measured_opening": Kind(MeasuredOpening),
    "second_tracing": Kind(SecondTracing),
    "comparison_of_views": Kind(ComparisonOfViews),
    "suggestion_answer": Kind(SuggestionAnswer),
    "tray": Kind(Tray),
    "flake_outline": Kind(FlakeOutline),
    "seat_search": Kind(SeatSearch),
    "seat_look": Kind(SeatLook),
    "scan": Kind(Scan, is_numbered=True),
    "scan_length": Kind(ScanLength),
    "scan_matter": Kind(ScanMatter),
    "scan_holding": Kind(ScanHolding),
    "scan_line": Kind(ScanLine, is_numbered=True),
    "scan_void": Kind(ScanVoid, is_numbered=True),
    "scan_comparison": Kind(ScanComparison),
    "scan_still": Kind(ScanStill, is_numbered=True),
    "scan_view": Kind(ScanView),
    "stretch_set_aside": Kind(StretchSetAside),
    "coating_model": Kind(CoatingModel),
    "join_model": Kind(JoinModel),
    "crack_model": Kind(CrackModel),
    "patch_grid": Kind(PatchGrid, is_numbered=True),
    "spot_test": Kind(SpotTest, is_numbered=True),
    "spot_decision": Kind(SpotDecision),
    "lock_override": Kind(LockOverride),
    "solvent_turned_on": Kind(SolventTurnedOn),
    "solvent_item": Kind(SolventItem),
    "crack_distance": Kind(CrackDistance),
    "watched_folder": Kind(WatchedFolder),
    "removal_way": Kind(RemovalWay),
    "air_question": Kind(AirQuestion),
    "run": Kind(Run),
    "struck": Kind(Struck),
    "not_done": Kind(NotDone),
    "hand_over": Kind(HandOver),
    "custody": Kind(Receipt, is_numbered=True),
    "location": Kind(Location),
    "care": Kind(CareSheet),
    "closing": Kind(Closing),
    "reopened": Kind(Reopened),
    "bench_sheet": Kind(BenchSheet, is_numbered=True),
    "sheet_back": Kind(SheetBack),
    "withdrawal": Kind(Withdrawal),
}


MOST_SHARED = 1024
"""A page reads the marks of its dossier many times over; so many records are kept read."""


def kind_of(record: object) -> str:
    """Return the name of the kind that holds this record."""
    for name, kind in KINDS.items():
        if type(record) is kind.record:
            return name
    raise InputError("This is not something a dossier can hold", value=type(record).__name__)


def record_in(entry: Entry) -> Any:
    """Return the record that an entry holds, upgraded to today's version."""
    if entry.payload is None:
        raise MissingEvidenceError(f"The content of entry {entry.number} was withdrawn")
    kind = KINDS[entry.kind]
    if is_unchanging(kind.record):
        return _shared(entry.kind, entry.payload, entry.payload_version)
    return from_payload(kind.record, entry.payload, entry.payload_version, kind.upgrades)


@lru_cache(maxsize=MOST_SHARED)
def _shared(kind_name: str, payload: str, version: int) -> Any:
    """Return the record of a payload; whoever reads the same again is given the same."""
    kind = KINDS[kind_name]
    return from_payload(kind.record, payload, version, kind.upgrades)
