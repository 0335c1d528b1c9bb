"""Zones of surface: what a place is made of, and what lies on it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError, NotFoundError
from softmend.records.entry import Entry
from softmend.records.mark import Shape
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.services.bench import Bench
from softmend.services.dossiers import opened
from softmend.services.drafts import drop_draft
from softmend.services.examine.report_rows import zone_words
from softmend.services.examine.tone_recipe import ToneRecipe, recipe_of_tone
from softmend.services.examine.vocabulary import parts_of, sides
from softmend.services.examine.zones import (
    ToneOnOriginalError,
    Yes,
    record_body_zone,
    record_on_zone,
)
from softmend.services.recording import current_record, strike
from softmend.services.solid.seen_stretches import OnAScan, also_on_scans
from softmend.services.store import Reader
from softmend.web.answering import go_on
from softmend.web.caller import AtTheBench, BenchHere, Id, PersonHere
from softmend.web.errors import error_body, status_of
from softmend.web.numbers import known, typed_number
from softmend.web.pages.journal import lines_of
from softmend.web.rendering import is_partial, render
from softmend.web.shapes import geometry_in

router = APIRouter()

Line = Annotated[str, Field(max_length=2000)]
AnId = Annotated[str, Field(max_length=40)]
_MOST_PX = 1000.0
AnyZone = BodyZone | OnZone


class ZoneForm(BaseModel):
    """The form of a zone; `what` is the word of either level."""

    zone_id: AnId = ""
    draft_id: AnId = ""
    based_on: AnId = ""
    geometry: Annotated[str, Field(max_length=3_000_000)] = ""
    geometry_mark: AnId = ""
    geometry_draft: AnId = ""
    what: Line = ""
    accuracy_px: Line = "5"
    part: Line = ""
    side: Line = ""
    grounds_observed: Line = ""
    checked_how: Line = ""
    passed_because: Line = ""
    passed_by: Line = ""
    passed_about: Annotated[list[Line], Field(max_length=200)] = []

    @property
    def yes(self) -> Yes:
        """Return the pass of a tone over original that was given with the zone, if any."""
        return Yes(self.passed_because, self.passed_by, tuple(self.passed_about))

    def zone(self, view_id: str, standing: AnyZone | None) -> AnyZone:
        """Return what was drawn and said as a record of its level."""
        rings = self._rings() or (standing.rings if standing else ())
        said: dict[str, Any] = {
            "number": 0,
            "view_id": view_id,
            "rings": rings,
            "accuracy_px": typed_number(
                self.accuracy_px, "How exactly it is drawn", "px", 0.1, _MOST_PX
            ),
            "part": known(self.part),
            "side": known(self.side),
            "grounds_observed": known(self.grounds_observed),
            "checked_how": self.checked_how.strip() or "not checked",
        }
        if self.what in {body.value for body in Body}:
            zone: AnyZone = BodyZone(body=Body(self.what), **said)
        elif self.what in {on_it.value for on_it in OnIt}:
            zone = OnZone(on_it=OnIt(self.what), **said)
        else:
            raise InputError("Say what this zone is", remedy="Choose one of the list")
        if standing is not None and type(zone) is not type(standing):
            raise InputError(
                "What a place is made of and what lies on it are different zones",
                remedy="Draw the other one anew",
            )
        return zone

    def _rings(self) -> tuple[Any, ...]:
        is_for_this = (
            self.geometry_mark == self.zone_id
            if self.zone_id
            else self.geometry_draft == self.draft_id
        )
        if not (self.geometry and is_for_this):
            return ()
        geometry = geometry_in(self.geometry)
        if geometry.shape is not Shape.AREA:
            raise InputError("A zone is an area", remedy="Draw round its edge")
        return geometry.parts


@router.get("/dossiers/{dossier_id}/views/{view_id}/zones/new")
def new_zone(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    draft_id: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """Give the panel for a zone that was just drawn."""
    return _panel(request, dossier_id, view_id, None, draft_id=draft_id)


@router.get("/dossiers/{dossier_id}/views/{view_id}/zones/{zone_id}")
def zone_panel(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    zone_id: Id,
    based_on: Annotated[str, Query(max_length=40)] = "",
    edited: bool = False,
) -> Response:
    """Give the panel of a zone."""
    with bench.store.reading() as reader:
        entry, zone = zone_of(reader, dossier_id, zone_id)
        recipe = _recipe_of(reader, dossier_id, zone)
        also = also_on_scans(reader, dossier_id, zone_id)
    return _panel(
        request, dossier_id, view_id, zone, zone_id=zone_id, based_on=based_on or entry.id,
        is_changed=edited, recipe=recipe, also=also,
    )  # fmt: skip


@router.post("/dossiers/{dossier_id}/views/{view_id}/zones")
def record(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    view_id: Id,
    form: Annotated[ZoneForm, Form()],
) -> Response:
    """Record a zone; a body zone is cut against its neighbours.

    A refused tone over original comes back with the fields of a named person's pass (rule 7).
    """
    try:
        recorded = _recorded(bench, person, dossier_id, view_id, form)
    except ToneOnOriginalError as refused:
        if not is_partial(request):
            raise
        return render(
            request,
            "examine/part_zone_pass.html",
            status=status_of(refused),
            problem=error_body(refused)["error"],
            about=refused.about,
            because=form.passed_because,
            by=form.passed_by,
        )
    drop_draft(bench, person.person_id, "mark", form.zone_id or form.draft_id)
    return go_on(request, f"/dossiers/{dossier_id}/views/{view_id}?mark={recorded}")


def _recorded(
    bench: Bench, person: AtTheBench, dossier_id: str, view_id: str, form: ZoneForm
) -> str:
    standing = None
    if form.zone_id:
        with bench.store.reading() as reader:
            _entry, standing = zone_of(reader, dossier_id, form.zone_id)
    zone = form.zone(view_id, standing)
    at: dict[str, Any] = {
        "passed": form.yes,
        "subject_id": form.zone_id or form.draft_id,
        "based_on": form.based_on,
    }
    if isinstance(zone, BodyZone):
        return record_body_zone(bench, person.author, dossier_id, zone, **at)[0].subject_id
    return record_on_zone(bench, person.author, dossier_id, zone, **at).subject_id


@router.get("/dossiers/{dossier_id}/zones/{zone_id}")
def history(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, zone_id: Id
) -> Response:
    """Show every state that a zone has had."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        entry, zone = zone_of(reader, dossier_id, zone_id)
        lines = lines_of(reader, reader.history(entry.kind, zone_id))
        recipe = _recipe_of(reader, dossier_id, zone)
        also = also_on_scans(reader, dossier_id, zone_id)
    return render(
        request,
        "examine/zone.html",
        here="zone",
        dossier=dossier,
        entry=entry,
        zone=zone,
        word=zone_words(zone),
        lines=lines,
        recipe=recipe,
        also_on_scans=also,
    )


@router.post("/dossiers/{dossier_id}/zones/{zone_id}/strike")
def strike_zone(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    zone_id: Id,
    based_on: Annotated[str, Form(max_length=40)],
    because: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Take a zone out of the current state, with a reason."""
    with bench.store.reading() as reader:
        entry, zone = zone_of(reader, dossier_id, zone_id)
    strike(
        bench,
        person.author,
        dossier_id=dossier_id,
        kind=entry.kind,
        subject_id=zone_id,
        because=because,
        based_on=based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/views/{zone.view_id}")


def _recipe_of(reader: Reader, dossier_id: str, zone: AnyZone) -> ToneRecipe | None:
    """Return what a new tone was mixed from, or that none is kept; nothing for other zones."""
    if not isinstance(zone, OnZone) or zone.on_it is not OnIt.NEW_TONE:
        return None
    return recipe_of_tone(reader, dossier_id, zone.number)


def zone_of(reader: Reader, dossier_id: str, zone_id: str) -> tuple[Entry, AnyZone]:
    """Return a zone of either level."""
    for kind in ("body_zone", "on_zone"):
        latest = reader.latest(kind, zone_id)
        if latest is not None:
            return current_record(reader, dossier_id, kind, zone_id)
    raise NotFoundError("There is no such zone in this dossier")


def _panel(
    request: Request,
    dossier_id: str,
    view_id: str,
    zone: AnyZone | None,
    *,
    zone_id: str = "",
    draft_id: str = "",
    based_on: str = "",
    is_changed: bool = False,
    recipe: ToneRecipe | None = None,
    also: tuple[OnAScan, ...] = (),
) -> Response:
    shown = zone or BodyZone(0, view_id, Body.UNCERTAIN, (), 5.0)
    return render(
        request,
        "examine/part_zone.html",
        dossier_id=dossier_id,
        view_id=view_id,
        zone=shown,
        word=zone_words(shown),
        zone_id=zone_id,
        draft_id=draft_id,
        based_on=based_on,
        is_changed=is_changed,
        recipe=recipe,
        also_on_scans=also,
        bodies=list(Body),
        on_its=list(OnIt),
        is_body=isinstance(shown, BodyZone),
        parts=parts_of(),
        sides=sides(),
    )
