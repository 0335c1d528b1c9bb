"""Before anything comes off: left or taken off, looked behind, held, in checked stretches."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Path, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.catalogue.solvency_agent import FOOTER
from softmend.pictures.patches import stretches_svg
from softmend.records.removal import (
    Behind,
    ByLiquid,
    ByTool,
    Does,
    Held,
    Leaving,
    Means,
    Precaution,
    RemovalWay,
    Stretch,
)
from softmend.records.spot_test import Carrier, Share
from softmend.services.examine.views import views_in
from softmend.services.legal_flags import today_at
from softmend.services.propose.crack_distance import crack_words
from softmend.services.propose.removing_gate import object_facts
from softmend.services.propose.removing_ways import (
    add_stretch,
    check_stretch_done,
    paces_tested,
    record_way,
    way_of,
)
from softmend.services.propose.solvent_shelf import shelf_for
from softmend.services.propose.spot_tests_pictures import tiles_over, whole_of
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.pages.propose.frame import EntryId, Line, frame
from softmend.web.pages.propose.spot import tiles_at
from softmend.web.pages.propose.spot_form import MOST_PARTS, Name, shares_typed
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

RemovalNumber = Annotated[int, Path(ge=1, le=2_147_483_647)]
Chosen = Annotated[str, Query(pattern=f"{ID_PATTERN}|^$")]


class WayForm(BaseModel):
    """The form of how one removal is gone about."""

    based_on: EntryId = ""
    leaving: Leaving = Leaving.NOT_DECIDED
    leaving_because: Line = ""
    leaving_by: Name = ""
    behind: Behind = Behind.NOT_KNOWN
    behind_known_how: Line = ""
    held: Annotated[list[Held], Field(max_length=3)] = []
    held_how: Annotated[list[Line], Field(max_length=3)] = []
    is_confined: bool = False
    means: Means = Means.TOOL
    tool: Line = ""
    heat_degc: Line = ""
    depth_allowed_mm: Line = ""
    distance_to_original_mm: Line = ""
    support: Line = ""
    magnification: Line = ""
    stop_sign: Line = ""
    tool_residues: Line = ""
    pace: Line = ""
    liquid_pace: Line = ""
    solvent: Annotated[list[Name], Field(max_length=MOST_PARTS)] = []
    percent: Annotated[list[Line], Field(max_length=MOST_PARTS)] = []
    carrier: Carrier = Carrier.SWAB
    carrier_name: Name = ""
    carried: Name = ""
    does: Does = Does.NOT_KNOWN
    dwell_s: Line = ""
    cleared_with: Name = ""
    cleared_s: Line = ""
    residues: Line = ""
    stays_away_mm: Line = ""
    crack_blocked_with: Line = ""

    def record(self, number: int, stretches: tuple[Stretch, ...]) -> RemovalWay:
        """Return what was typed as a record; the stretches are drawn apart."""
        return RemovalWay(
            removal_number=number,
            leaving=self.leaving,
            leaving_because=known(self.leaving_because),
            leaving_by=known(self.leaving_by),
            behind=self.behind,
            behind_known_how=known(self.behind_known_how),
            supported=self._held(0),
            faced=self._held(1),
            secured=self._held(2),
            is_confined=self.is_confined,
            means=self.means,
            by_tool=self._tool(),
            by_liquid=self._liquid(),
            stretches=stretches,
        )

    def _held(self, place: int) -> Precaution:
        if place >= len(self.held):
            return Precaution()
        how = self.held_how[place] if place < len(self.held_how) else ""
        return Precaution(self.held[place], known(how))

    def _tool(self) -> ByTool:
        return ByTool(
            tool=known(self.tool),
            heat_degc=maybe_number(self.heat_degc, _("The heat of the tool"), "°C", 20, 400),
            depth_allowed_mm=maybe_number(self.depth_allowed_mm, _("The depth"), "mm", 0, 1000),
            distance_to_original_mm=maybe_number(
                self.distance_to_original_mm, _("The distance to the original"), "mm", 0, 1000
            ),
            support=known(self.support),
            magnification=known(self.magnification),
            stop_sign=known(self.stop_sign),
            residues=known(self.tool_residues),
            cm2_per_hour=maybe_number(self.pace, _("The pace"), "cm² an hour", 0.001, 10_000),
        )

    def _liquid(self) -> ByLiquid:
        return ByLiquid(
            shares=shares_typed(self.solvent, self.percent),
            carrier=self.carrier,
            carrier_name=known(self.carrier_name),
            carrier_shares=(Share(self.carried.strip()),) if self.carried.strip() else None,
            does=self.does,
            dwell_s=maybe_number(self.dwell_s, _("The dwell"), "s", 0, 86_400),
            cleared_with=known(self.cleared_with),
            cleared_s=maybe_number(self.cleared_s, _("The time of clearing"), "s", 0, 86_400),
            residues=known(self.residues),
            stays_away_mm=maybe_number(self.stays_away_mm, _("The distance"), "mm", 0, 1000),
            crack_blocked_with=known(self.crack_blocked_with),
            cm2_per_hour=maybe_number(
                self.liquid_pace, _("The pace"), "cm² an hour", 0.001, 10_000
            ),
        )


class StretchForm(BaseModel):
    """The form of one stretch: where it begins and ends on a view."""

    based_on: EntryId = ""
    view_id: Annotated[str, Field(pattern=ID_PATTERN)]
    from_x_px: Line = ""
    from_y_px: Line = ""
    to_x_px: Line = ""
    to_y_px: Line = ""
    what: Line = ""

    def record(self) -> Stretch:
        """Return what was tapped as a record."""

        def place(text: str, what: str) -> float:
            return typed_number(text, what, "px", 0, 100_000)

        return Stretch(
            view_id=self.view_id,
            from_x_px=place(self.from_x_px, _("Where it begins, across")),
            from_y_px=place(self.from_y_px, _("Where it begins, down")),
            to_x_px=place(self.to_x_px, _("Where it ends, across")),
            to_y_px=place(self.to_y_px, _("Where it ends, down")),
            what=known(self.what),
        )


@router.get("/dossiers/{dossier_id}/propose/removing/{number}")
def removing(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    number: RemovalNumber,
    view: Chosen = "",
) -> Response:
    """Show how one removal is gone about, its stretches on the photograph, and the form."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/removals")
        one = way_of(reader, dossier_id, number)
        views = views_in(reader, dossier_id)
        solvents, _has = shelf_for(reader, today_at(bench), object_facts(reader, dossier_id))
        paces = paces_tested(reader, dossier_id)
        words = crack_words(reader, one.way)
    first = one.said.stretches[0].view_id if one.said.stretches else ""
    wanted = view or first
    on = next((held for held in views if held[0].subject_id == wanted), views[0] if views else None)
    return render(
        request,
        "propose/removing.html",
        one=one,
        way=one.said,
        views=views,
        on=on,
        picture=_stretches(dossier_id, on, one.said.stretches) if on else "",
        view_numbers={entry.subject_id: held.number for entry, held in views},
        solvents=solvents,
        paces=paces,
        crack_words=words,
        choices={"leaving": list(Leaving), "behind": list(Behind), "held": list(Held),
                 "means": list(Means), "does": list(Does), "carriers": list(Carrier)},
        footer=FOOTER,
        **shown,
    )  # fmt: skip


@router.post("/dossiers/{dossier_id}/propose/removing/{number}")
def write_way(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    number: RemovalNumber,
    form: Annotated[WayForm, Form()],
) -> Response:
    """Record how one removal is gone about."""
    with bench.store.reading() as reader:
        stretches = way_of(reader, dossier_id, number).said.stretches
    record_way(bench, person.author, dossier_id, form.record(number, stretches), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose/removing/{number}")


@router.post("/dossiers/{dossier_id}/propose/removing/{number}/stretch")
def draw_stretch(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    number: RemovalNumber,
    form: Annotated[StretchForm, Form()],
) -> Response:
    """Record one more stretch behind those that are drawn."""
    add_stretch(bench, person.author, dossier_id, number, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose/removing/{number}")


@router.post("/dossiers/{dossier_id}/propose/removing/{number}/checked")
def check_stretch(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    number: RemovalNumber,
    place: Annotated[int, Form(ge=1, le=1000)],
    based_on: Annotated[str, Form(max_length=40)] = "",
    view_id: Annotated[str, Form(pattern=f"{ID_PATTERN}|^$")] = "",
    seen: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Record that a stretch is done, with the photograph after it."""
    check_stretch_done(
        bench, person.author, dossier_id, number, place, view_id, seen.strip(), based_on
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/removing/{number}")


def _stretches(dossier_id: str, on: tuple[Any, Any], stretches: tuple[Stretch, ...]) -> str:
    entry, view = on
    here = [one if one.view_id == entry.subject_id else None for one in stretches]
    tiles = tiles_over(view, whole_of(view), tiles_at(dossier_id, entry.subject_id))
    return stretches_svg(here, tiles, (view.width_px, view.height_px))
