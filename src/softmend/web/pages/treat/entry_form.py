"""The form of a log entry: what a touch at the bench sends, as a record."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, TypeVar

from pydantic import BaseModel, Field

from softmend.records.action import Action, Consolidation, Hidden, TakingDown, Weighed
from softmend.records.dossier import NOT_KNOWN
from softmend.records.join import JoinMade
from softmend.records.mark import KnownHow
from softmend.records.material import Direction, Fate, Moved, Stays
from softmend.web.numbers import known, maybe_number

Line = Annotated[str, Field(max_length=2000)]
Ids = Annotated[list[Annotated[str, Field(max_length=40)]], Field(max_length=500)]
Lines = Annotated[list[Line], Field(max_length=50)]

OTHER = "other"
CONSOLIDATIONS = ("consolidation",)
JOINS = ("bonding", "pinning", "bridging")
TAKING_DOWN = ("mechanical_removal", "softening")
_LARGEST = 1_000_000.0

T = TypeVar("T")


class EntryForm(BaseModel):
    """Everything that a log entry can say; nearly all of it may stay untouched."""

    based_on: str = Field("", max_length=40)
    correction_because: Line = ""
    action: str = Field("", max_length=60)
    action_words: Line = ""
    done_on: str = Field("", max_length=10)
    place: Line = ""
    mark_ids: Ids = []
    zone_ids: Ids = []
    minutes_chip: str = Field("", max_length=10)
    minutes: Line = ""
    plan_step_id: str = Field("", max_length=40)
    not_in_plan_because: Line = ""
    agreed_with: Line = ""
    tool: Line = ""
    result_observed: str = Field("", max_length=20_000)
    hidden: Hidden = Hidden.NOT_KNOWN
    hidden_view_ids: Ids = []
    hidden_because: Line = ""
    wet_because: Line = ""
    also_by_ids: Ids = []
    view_ids: Ids = []
    paper_ids: Ids = []
    moved_batch: Lines = []
    moved_material: Lines = []
    moved_direction: Annotated[list[Direction], Field(max_length=50)] = []
    moved_amount: Lines = []
    moved_unit: Lines = []
    moved_expanded_percent: Lines = []
    moved_stays: Annotated[list[Stays], Field(max_length=50)] = []
    moved_fate: Annotated[list[Fate], Field(max_length=50)] = []
    moved_kept_where: Lines = []
    weighed: Weighed = Weighed.VESSEL
    mass_before_g: Line = ""
    mass_after_g: Line = ""
    reading_expanded_g: Line = ""
    depth_mm: Line = ""
    depth_known_how: KnownHow = KnownHow.NOT_KNOWN
    sheen_observed: Line = ""
    stop_sign: Line = ""
    join_name: str = Field("", max_length=60)
    dry_fit_by_id: str = Field("", max_length=40)
    dry_fit_on: str = Field("", max_length=10)
    fragment_ids: Ids = []
    clamp: Line = ""
    cure_hours: Line = ""
    fit_observed: Line = ""
    distance_to_original_mm: Line = ""
    magnification: Line = ""

    def record(self, batches: dict[str, str]) -> Action:
        """Return what was typed; `batches` gives the material's name of each batch id."""
        action = self.action_words.strip() if self.action == OTHER else self.action
        step_id = "" if self.plan_step_id in ("", "none") else self.plan_step_id
        return Action(
            number=0,
            action=action,
            done_on=self.done_on.strip(),
            place=known(self.place),
            mark_ids=tuple(self.mark_ids),
            zone_ids=tuple(self.zone_ids),
            moved=self._moved(batches),
            minutes=maybe_number(
                self.minutes.strip() or self.minutes_chip, "The time", "min", 0.1, 1440
            ),
            plan_step_id=step_id,
            not_in_plan_because="" if step_id else self.not_in_plan_because.strip(),
            agreed_with=known(self.agreed_with),
            tool=known(self.tool),
            result_observed=known(self.result_observed),
            hidden=self.hidden,
            hidden_view_ids=tuple(self.hidden_view_ids) if self.hidden is Hidden.YES else (),
            hidden_because=self.hidden_because.strip() if self.hidden is Hidden.YES else "",
            also_by_ids=tuple(self.also_by_ids),
            view_ids=tuple(self.view_ids),
            paper_ids=tuple(self.paper_ids),
            consolidation=self._consolidation() if self.action in CONSOLIDATIONS else None,
            join=self._join() if self.action in JOINS and self.join_name.strip() else None,
            taking_down=self._taking_down() if self.action in TAKING_DOWN else None,
            wet_because=self.wet_because.strip(),
            correction_because=self.correction_because.strip(),
        )

    def _moved(self, batches: dict[str, str]) -> tuple[Moved, ...]:
        count = max(len(self.moved_batch), len(self.moved_material))
        rows = (self._moved_row(index, batches) for index in range(count))
        return tuple(row for row in rows if row is not None)

    def _moved_row(self, index: int, batches: dict[str, str]) -> Moved | None:
        batch = _at(self.moved_batch, index, "").strip()
        material = _at(self.moved_material, index, "").strip() or batches.get(batch, "")
        if not (batch or material):
            return None
        unit = _at(self.moved_unit, index, "g")
        direction = _at(self.moved_direction, index, Direction.PUT_ON)
        is_off = direction is Direction.TAKEN_OFF
        much = maybe_number(
            _at(self.moved_amount, index, ""),
            f"The amount of {material}",
            unit,
            0.0001,
            _LARGEST,
        )
        percent = _at(self.moved_expanded_percent, index, "")
        fate, kept_where = _at(self.moved_fate, index, Fate.NOT_KNOWN), self.moved_kept_where
        return Moved(
            material=material,
            direction=direction,
            batch_id=batch,
            mass_g=None if unit == "mL" else much,
            volume_ml=much if unit == "mL" else None,
            expanded_percent=maybe_number(percent, "The amount's uncertainty", "%", 0, 100),
            stays=Stays.NOT_KNOWN if is_off else _at(self.moved_stays, index, Stays.NOT_KNOWN),
            fate=fate if is_off else Fate.NOT_KNOWN,
            kept_where=known(_at(kept_where, index, "")) if is_off else NOT_KNOWN,
        )

    def _consolidation(self) -> Consolidation:
        return Consolidation(
            weighed=self.weighed,
            mass_before_g=maybe_number(self.mass_before_g, "The mass before", "g", 0, _LARGEST),
            mass_after_g=maybe_number(self.mass_after_g, "The mass after", "g", 0, _LARGEST),
            reading_expanded_g=maybe_number(
                self.reading_expanded_g, "The reading's uncertainty", "g", 0, _LARGEST
            ),
            depth_mm=maybe_number(self.depth_mm, "The depth", "mm", 0, 10_000),
            depth_known_how=self.depth_known_how,
            sheen_observed=known(self.sheen_observed),
            stop_sign=known(self.stop_sign),
        )

    def _join(self) -> JoinMade:
        return JoinMade(
            name=self.join_name.strip(),
            dry_fit_by_id=self.dry_fit_by_id,
            dry_fit_on=self.dry_fit_on.strip() or NOT_KNOWN,
            fragment_ids=tuple(self.fragment_ids),
            clamp=known(self.clamp),
            cure_hours=maybe_number(self.cure_hours, "The cure", "h", 0, 10_000),
            fit_observed=known(self.fit_observed),
        )

    def _taking_down(self) -> TakingDown:
        return TakingDown(
            depth_reached_mm=maybe_number(self.depth_mm, "The depth", "mm", 0, 10_000),
            depth_known_how=self.depth_known_how,
            distance_to_original_mm=maybe_number(
                self.distance_to_original_mm, "The distance to the original", "mm", 0, 10_000
            ),
            magnification=known(self.magnification),
            stop_sign=known(self.stop_sign),
        )


def _at(values: Sequence[T], index: int, otherwise: T) -> T:
    """Return one row's answer; rows that a form did not send are as nobody touched them."""
    return values[index] if index < len(values) else otherwise
