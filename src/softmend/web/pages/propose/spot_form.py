"""The form of one spot test, filled in gloves: what was typed becomes a record, or is refused."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.spot_test import (
    Carrier,
    Clearance,
    Coating,
    OnObject,
    Role,
    Share,
    SpotTest,
    Tack,
    ToolUse,
)
from softmend.web.caller import ID_PATTERN
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.pages.propose.frame import EntryId, Line, Number
from softmend.web.words import said as _

Name = Annotated[str, Field(max_length=200)]
ViewId = Annotated[str, Field(pattern=ID_PATTERN)]
MOST_PARTS = 3
TACK_AFTER = (1.0, 5.0, 30.0)


class SpotForm(BaseModel):
    """The form of one spot test."""

    subject_id: EntryId = ""
    based_on: EntryId = ""
    grid_number: Number
    patch: Number
    done_on: Line = ""
    role: Role = Role.TEST
    repeats_number: Line = ""
    layer: Annotated[int, Field(ge=1, le=9)] = 1
    solvent: Annotated[list[Name], Field(max_length=MOST_PARTS)] = []
    percent: Annotated[list[Line], Field(max_length=MOST_PARTS)] = []
    carrier: Carrier = Carrier.SWAB
    carrier_name: Name = ""
    carried: Name = ""
    batch: Line = ""
    area_mm2: Line = ""
    applied_ml: Line = ""
    dwell_s: Line = ""
    passes: Line = ""
    waited_minutes: Line = ""
    cleared_with: Name = ""
    cleared_s: Line = ""
    residue: Line = ""
    tool: Line = ""
    heat_degc: Line = ""
    depth_reached_mm: Line = ""
    distance_to_original_mm: Line = ""
    support: Line = ""
    stop_sign: Line = ""
    work_minutes: Line = ""
    coating: Coating | None = None
    on_object: OnObject | None = None
    swab: Line = ""
    tack: Annotated[list[Line], Field(max_length=3)] = []
    gloss: Line = ""
    ultraviolet: Line = ""
    magnification: Line = ""
    temperature_degc: Line = ""
    rh_percent: Line = ""
    stop_because: Line = ""
    view_ids: Annotated[list[ViewId], Field(max_length=20)] = []
    wet_because: Line = ""
    correction_because: Line = ""

    def record(self, today: str) -> SpotTest:
        """Return what was typed as a record; an empty number is not known."""
        if self.coating is None or self.on_object is None:
            raise InputError(
                _("What it did is not said"),
                remedy=_("Choose one for the coating and one for the object; “none” is an answer"),
            )
        is_tool, is_dry = self.role is Role.TOOL, self.role is Role.DRY
        no_liquid = is_tool or is_dry
        return SpotTest(
            number=0,
            grid_number=self.grid_number,
            patch=self.patch,
            done_on=self.done_on.strip() or today,
            role=self.role,
            repeats_number=self._repeats(),
            layer=self.layer,
            shares=() if no_liquid else shares_typed(self.solvent, self.percent),
            carrier=Carrier.SWAB if no_liquid else self.carrier,
            carrier_name=known(self.carrier_name),
            carrier_shares=(Share(self.carried.strip()),) if self.carried.strip() else None,
            batch=known(self.batch),
            area_mm2=maybe_number(self.area_mm2, _("The area"), "mm²", 0.1, 1e6),
            applied_ml=maybe_number(self.applied_ml, _("The volume"), "mL", 0.0001, 1000),
            dwell_s=maybe_number(self.dwell_s, _("The dwell"), "s", 0, 86_400),
            passes=self._passes(),
            waited_minutes=maybe_number(self.waited_minutes, _("The wait"), "min", 0, 100_000),
            clearance=self._clearance(),
            tool=self._tool() if is_tool else None,
            coating_observed=self.coating,
            object_observed=self.on_object,
            swab_observed=known(self.swab),
            tack=tuple(
                Tack(after, text.strip())
                for after, text in zip(TACK_AFTER, self.tack, strict=False)
                if text.strip()
            ),
            gloss_observed=known(self.gloss),
            ultraviolet_observed=known(self.ultraviolet),
            magnification=known(self.magnification),
            temperature_degc=maybe_number(self.temperature_degc, _("The air"), "°C", -40, 100),
            rh_percent=maybe_number(self.rh_percent, _("The humidity"), "%", 0, 100),
            stop_because=known(self.stop_because),
            view_ids=tuple(self.view_ids),
            wet_because=self.wet_because.strip(),
            correction_because=self.correction_because.strip(),
        )

    def _repeats(self) -> int | None:
        if self.role is not Role.REPEAT:
            return None
        found = maybe_number(self.repeats_number, _("The repeated test"), "", 1, 1e6)
        return None if found is None else int(found)

    def _passes(self) -> int | None:
        found = maybe_number(self.passes, _("The number of rolls"), "", 0, 10_000)
        return None if found is None else int(found)

    def _clearance(self) -> Clearance | None:
        if not self.cleared_with.strip():
            return None
        return Clearance(
            self.cleared_with.strip(),
            maybe_number(self.cleared_s, _("The time of clearing"), "s", 0, 86_400),
            known(self.residue),
        )

    def _tool(self) -> ToolUse:
        return ToolUse(
            tool=known(self.tool),
            heat_degc=maybe_number(self.heat_degc, _("The heat of the tool"), "°C", 20, 400),
            depth_reached_mm=maybe_number(
                self.depth_reached_mm, _("The depth reached"), "mm", 0, 1000
            ),
            distance_to_original_mm=maybe_number(
                self.distance_to_original_mm, _("The distance to the original"), "mm", 0, 1000
            ),
            support=known(self.support),
            stop_sign=known(self.stop_sign),
            work_minutes=maybe_number(self.work_minutes, _("The minutes"), "min", 0.1, 1440),
        )


def shares_typed(names: Sequence[str], percents: Sequence[str]) -> tuple[Share, ...]:
    """Return the liquids of an agent; one alone is the whole, several say their shares."""
    typed = [
        (name.strip(), percents[place] if place < len(percents) else "")
        for place, name in enumerate(names)
        if name.strip()
    ]
    if len(typed) == 1:
        return (Share(typed[0][0]),)
    return tuple(
        Share(name, typed_number(text, _("The share of {name}", name=name), "%", 0.1, 100))
        for name, text in typed
    )
