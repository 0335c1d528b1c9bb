"""What a condition report says: one tree of frozen records that a service fills.

Records are handed over as they stand; whatever was computed arrives as text that is already
rounded to the digits it deserves, with its uncertainty and its kind. The report adds nothing.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from softmend.errors import MissingEvidenceError
from softmend.pictures.drawing import Drawing, ScaleBar
from softmend.pictures.view_plan import PlanShape
from softmend.records.bookkeeping import NotDone
from softmend.records.condition import Grade, Overall
from softmend.records.dossier import NOT_KNOWN, Dossier, Hazard, ObjectHead
from softmend.records.examination import Examination
from softmend.records.legal import LegalFlag
from softmend.records.mark import Mark
from softmend.records.view import NotExamined, Paper, View
from softmend.records.zone import BodyZone, OnZone

if TYPE_CHECKING:
    from softmend.report.scan_shown import ChangeShown, ScanShown


class Audience(Enum):
    """Who the copy is for: only the registrar's carries the place and the mass of the object."""

    BENCH = "bench"
    REGISTRAR = "registrar"


@dataclass(frozen=True)
class Quantity:
    """One number as printed: rounded text, ± at k = 2, unit, and what kind of number it is.

    `value` may be a range ("0.4 – 1.9") or "not known"; `plus_minus` is empty where a range
    already says it. `caution` is the small line beneath ("flat reading, at least").
    """

    name: str
    value: str
    plus_minus: str = ""
    unit: str = ""
    kind: str = ""
    caution: str = ""

    @property
    def text(self) -> str:
        """Return the number in one piece: "410 ± 9 mm"."""
        spread = f" ± {self.plus_minus}" if self.plus_minus else ""
        unit = f" {self.unit}" if self.unit else ""
        return f"{self.value}{spread}{unit}"


@dataclass(frozen=True)
class ReportView:
    """One view: its record, its picture's name among `pictures`, and what is drawn on it.

    Drawings are in pixels of the view's canonical copy; `scale_statement` is a full sentence
    and says so when no scale was set; then `scale_bar` is None.
    """

    view: View
    picture: str
    drawings: tuple[Drawing, ...] = ()
    scale_bar: ScaleBar | None = None
    scale_statement: str = "No scale was set on this view: it gives no millimetres."


@dataclass(frozen=True)
class MarkRow:
    """One mark with its code and term in words, its quantities, and the views that show it."""

    mark: Mark
    code: str
    term: str
    seen_on: tuple[int, ...]
    quantities: tuple[Quantity, ...] = ()


@dataclass(frozen=True)
class ZoneRow:
    """One zone of either level, its code, the view it was drawn on, and its area.

    `accuracy` says in millimetres how truly it was drawn ("± 0.6 mm"); empty without a scale.
    `recipe` is what a new tone was mixed from, or that none is kept; empty for every other zone.
    """

    zone: BodyZone | OnZone
    code: str
    view_number: int
    area: Quantity
    accuracy: str = ""
    recipe: str = ""


@dataclass(frozen=True)
class Total:
    """A sum over marks or zones: by term, zone or side."""

    by: str
    name: str
    count: int
    quantities: tuple[Quantity, ...]


@dataclass(frozen=True)
class FillRow:
    """How much would fill one crack or void, and how its depth is known.

    A void that was picked on a scan has a name of its own (V2) and no mark's number.
    """

    mark_number: int
    section: str
    depth_known_how: str
    volume: Quantity
    name: str = ""


@dataclass(frozen=True)
class GradeRow:
    """One grade, and the words for the place that it was given to."""

    grade: Grade
    place: str


@dataclass(frozen=True)
class FlagRow:
    """One legal flag as printed; `stale_because` is empty while it is fresh."""

    flag: LegalFlag
    stale_because: str


@dataclass(frozen=True)
class PassedRow:
    """One rule passed: its number, what it asks for, for what it was passed, why, by whom."""

    rule: int
    asks: str
    about: str
    because: str
    by: str
    passed_on: str


@dataclass(frozen=True)
class MovedRow:
    """One crack of one comparison, in the words that are printed; `stale` is "" while it holds."""

    mark: str
    term: str
    between: str
    finding: str
    grounds: str
    state: str
    stale: str


@dataclass(frozen=True)
class WorkingValue:
    """One value that went into a computation: its kind, and where it came from."""

    name: str
    text: str
    kind: str
    origin: str


@dataclass(frozen=True)
class Working:
    """One computation as it was run; `stale_because` is empty while the run is current.

    `title` is what the catalogue calls it; `computation` is the name by which it is run again.
    `tables` are those its values came from, with their versions. A row of `compared` is a fill,
    what is said of it, how much walls and tip bear of what they stand, how often the object gives
    first.
    """

    computation: str
    about: str
    formula: str
    source: str
    values: tuple[WorkingValue, ...]
    results: tuple[Quantity, ...]
    cautions: tuple[str, ...] = ()
    stale_because: str = ""
    title: str = ""
    tables: str = ""
    compared: tuple[tuple[str, ...], ...] = ()

    @property
    def heading(self) -> str:
        """Return what it was run about and what it is called."""
        return f"{self.about} · {self.title or self.computation}"


@dataclass(frozen=True)
class Provenance:
    """What the report was made from: the dossier's head hash, its count, its newest entry's time.

    `newest_at` is written as in an entry: "2026-03-02T09:15:30.250Z[Europe/Oslo]".
    """

    head_hash: str
    entry_count: int
    newest_at: str
    software_version: str


@dataclass(frozen=True)
class ExplainedRow:
    """One crack, coating or join explained: where, in one sentence, when it was kept."""

    where: str
    sentence: str
    kept_on: str
    stale_because: str = ""


@dataclass(frozen=True)
class ConditionReport:
    """A condition report, whole: what is printed, and the dossier's JSON that goes with a print."""

    dossier: Dossier
    provenance: Provenance
    dossier_json: str = ""
    examined_by: str = NOT_KNOWN
    version: int = 1
    audience: Audience = Audience.BENCH
    object_head: ObjectHead | None = None
    hazards: tuple[Hazard, ...] = ()
    flags: tuple[FlagRow, ...] = ()
    examination: Examination | None = None
    plan_shape: PlanShape = PlanShape.BOX
    views: tuple[ReportView, ...] = ()
    marks: tuple[MarkRow, ...] = ()
    zones: tuple[ZoneRow, ...] = ()
    totals: tuple[Total, ...] = ()
    fills: tuple[FillRow, ...] = ()
    grades: tuple[GradeRow, ...] = ()
    grade_definitions: tuple[tuple[int, str], ...] = ()
    overall: Overall | None = None
    overall_extent: str = NOT_KNOWN
    not_examined: tuple[NotExamined, ...] = ()
    not_done: tuple[NotDone, ...] = ()
    papers: tuple[Paper, ...] = ()
    passings: tuple[PassedRow, ...] = ()
    explained: tuple[ExplainedRow, ...] = ()
    moved: tuple[MovedRow, ...] = ()
    scans: tuple[ScanShown, ...] = ()
    changes: tuple[ChangeShown, ...] = ()
    workings: tuple[Working, ...] = ()

    @property
    def attached_json(self) -> bytes:
        """Return the dossier's JSON as every archival print carries it."""
        if not self.dossier_json:
            raise MissingEvidenceError(
                "A print carries its dossier; this report was gathered to be read"
            )
        return self.dossier_json.encode("utf-8")
