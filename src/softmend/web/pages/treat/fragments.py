"""Treat: the fragments ledger, its bags and incidents. No place is ever stated as a fact."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.fragment import (
    CODE_WORDS,
    Bag,
    Code,
    Fragment,
    PlaceEvidence,
    Stand,
    Trait,
    Trial,
    may_bond,
    next_stands,
    place_words,
)
from softmend.records.incident import Incident
from softmend.services.days import bench_day
from softmend.services.dossiers import opened
from softmend.services.examine.views import views_in
from softmend.services.people import people_at_the_bench
from softmend.services.recording import current_record
from softmend.services.store import Reader
from softmend.services.treat.fragments import (
    change_fragment,
    close_incident,
    fragment_in,
    incidents_of,
    ledger_of,
    move_bag,
    number_fragment,
    open_bag,
    open_incident,
)
from softmend.services.treat.labels import bag_label
from softmend.services.treat.treat_steps import treat_steps
from softmend.services.treat.treatment_words import fragment_mass, fragments_named
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.pages.treat.batches import label_answer
from softmend.web.rendering import render
from softmend.web.viewing import view_name

router = APIRouter()

Line = Annotated[str, Field(max_length=2000)]
ViewIds = Annotated[list[Annotated[str, Field(max_length=40)]], Field(max_length=100)]


class FoundForm(BaseModel):
    """A found fragment."""

    found_where: Line = ""
    found_on: str = Field("", max_length=10)
    mass_g: Line = ""
    mass_expanded_g: Line = ""
    look_observed: Line = ""
    view_ids: ViewIds = Field(default_factory=list)

    def record(self, found_by: str) -> Fragment:
        """Return what was typed as a record."""
        return Fragment(
            number=0,
            found_where=self.found_where.strip(),
            found_on=known(self.found_on),
            found_by=found_by,
            mass_g=maybe_number(self.mass_g, "The mass", "g", 0.0001, 1_000_000),
            mass_expanded_g=maybe_number(
                self.mass_expanded_g, "The mass's uncertainty", "g", 0, 1_000_000
            ),
            look_observed=known(self.look_observed),
            view_ids=tuple(self.view_ids),
        )


class EvidenceForm(BaseModel):
    """One piece of evidence for one place."""

    based_on: str = Field("", max_length=40)
    place: Line = ""
    code: Code = Code.D
    trait: Trait = Trait.NONE
    reason_observed: Line = ""
    view_id: str = Field("", max_length=40)


class TrialForm(BaseModel):
    """One trial at a place."""

    based_on: str = Field("", max_length=40)
    place: Line = ""
    seats: str = Field("", pattern="^(true|false|)$")
    seen_observed: Line = ""


class StandForm(BaseModel):
    """Where a fragment goes next."""

    based_on: str = Field("", max_length=40)
    stand: Stand
    place: Line = ""
    second_id: str = Field("", max_length=40)
    bag_id: str = Field("", max_length=40)
    kept_where: Line = ""
    because: Line = ""


class BagForm(BaseModel):
    """A bag's label."""

    based_on: str = Field("", max_length=40)
    kept_where: Line = ""
    not_placed_because: Line = ""
    packed_on: str = Field("", max_length=10)

    def record(self) -> Bag:
        """Return what was typed as a record."""
        return Bag(
            number=0,
            kept_where=self.kept_where.strip(),
            not_placed_because=self.not_placed_because.strip(),
            packed_on=self.packed_on.strip(),
        )


@router.get("/dossiers/{dossier_id}/treat/fragments")
def ledger(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Show the balance, the fragments, the bags and the incidents."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        held = ledger_of(reader, dossier_id)
        incidents = incidents_of(reader, dossier_id)
        steps = treat_steps(bench, reader, dossier_id)
        views = _views(reader, dossier_id)
    return render(
        request,
        "treat/fragments.html",
        here="treat/fragments",
        dossier=dossier,
        steps=steps,
        ledger=held,
        incidents=incidents,
        views=views,
        today=bench_day(bench),
        place_words=place_words,
        fragment_mass=fragment_mass,
        fragments_named=fragments_named,
    )


@router.post("/dossiers/{dossier_id}/treat/fragments")
def number_found(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[FoundForm, Form()],
) -> Response:
    """Number a found fragment."""
    number_fragment(bench, person.author, dossier_id, form.record(person.name))
    return go_on(request, f"/dossiers/{dossier_id}/treat/fragments")


@router.get("/dossiers/{dossier_id}/treat/fragments/{fragment_id}")
def fragment_page(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, fragment_id: Id
) -> Response:
    """Show one fragment, what is said of its place, and where it may go next."""
    with bench.store.reading() as reader:
        dossier = opened(reader, dossier_id)
        entry, fragment = fragment_in(reader, dossier_id, fragment_id)
        held = ledger_of(reader, dossier_id)
        views = _views(reader, dossier_id)
    places = list(dict.fromkeys(one.place for one in fragment.evidence))
    return render(
        request,
        "treat/fragment.html",
        here="treat/fragments",
        dossier=dossier,
        entry=entry,
        fragment=fragment,
        places=[(place, may_bond(fragment.evidence, place)) for place in places],
        said=place_words(fragment),
        fragment_mass=fragment_mass,
        nexts=next_stands(fragment),
        bags=held.bags,
        views=views,
        people=[one for one in people_at_the_bench(bench) if one.id != person.person_id],
        codes=CODE_WORDS,
        traits=list(Trait),
    )


@router.post("/dossiers/{dossier_id}/treat/fragments/{fragment_id}/evidence")
def add_evidence(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    fragment_id: Id,
    form: Annotated[EvidenceForm, Form()],
) -> Response:
    """Add evidence for a place; a numbered fragment becomes a candidate by it."""
    with bench.store.reading() as reader:
        _entry, before = fragment_in(reader, dossier_id, fragment_id)
    trait = form.trait if form.code is Code.B else Trait.NONE
    one = PlaceEvidence(
        form.place.strip(), form.code, form.reason_observed.strip(), trait, form.view_id
    )
    stand = Stand.CANDIDATE if before.stand is Stand.NUMBERED else before.stand
    after = replace(before, evidence=(*before.evidence, one), stand=stand)
    change_fragment(bench, person.author, dossier_id, fragment_id, after, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/treat/fragments/{fragment_id}")


@router.post("/dossiers/{dossier_id}/treat/fragments/{fragment_id}/trials")
def add_trial(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    fragment_id: Id,
    form: Annotated[TrialForm, Form()],
) -> Response:
    """Add a trial; that a fragment does not seat is worth as much as that it does."""
    with bench.store.reading() as reader:
        _entry, before = fragment_in(reader, dossier_id, fragment_id)
    if not form.seats:
        raise InputError("A trial says whether it seats", remedy="Choose: seats, or does not seat")
    trial = Trial(
        form.place.strip(), form.seats == "true", known(form.seen_observed), bench_day(bench)
    )
    after = replace(before, trials=(*before.trials, trial))
    change_fragment(bench, person.author, dossier_id, fragment_id, after, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/treat/fragments/{fragment_id}")


@router.post("/dossiers/{dossier_id}/treat/fragments/{fragment_id}")
def move_on(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    fragment_id: Id,
    form: Annotated[StandForm, Form()],
) -> Response:
    """Let a fragment go on to where it stands next."""
    with bench.store.reading() as reader:
        _entry, before = fragment_in(reader, dossier_id, fragment_id)
    after = replace(
        before,
        stand=form.stand,
        place=form.place.strip() or before.place,
        second_id=form.second_id if form.stand is Stand.BONDED else before.second_id,
        bag_id=form.bag_id if form.stand is Stand.BAGGED else "",
        kept_where=known(form.kept_where),
        because=form.because.strip(),
    )
    change_fragment(bench, person.author, dossier_id, fragment_id, after, form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/treat/fragments/{fragment_id}")


@router.post("/dossiers/{dossier_id}/treat/bags")
def record_bag(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[BagForm, Form()],
) -> Response:
    """Open a bag."""
    open_bag(bench, person.author, dossier_id, form.record())
    return go_on(request, f"/dossiers/{dossier_id}/treat/fragments")


@router.post("/dossiers/{dossier_id}/treat/bags/{bag_id}")
def record_bags_place(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    bag_id: Id,
    form: Annotated[BagForm, Form()],
) -> Response:
    """Record where a bag lies now."""
    move_bag(bench, person.author, dossier_id, bag_id, form.record(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/treat/fragments")


@router.get("/dossiers/{dossier_id}/treat/bags/{bag_id}/label.pdf")
def bags_label(bench: BenchHere, person: PersonHere, dossier_id: Id, bag_id: Id) -> Response:
    """Give the label of a bag."""
    with bench.store.reading() as reader:
        number = current_record(reader, dossier_id, "bag", bag_id)[1].number
    return label_answer(bag_label(bench, dossier_id, bag_id), f"bag-{number}")


@router.post("/dossiers/{dossier_id}/treat/incidents")
def record_incident(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    what_observed: Annotated[str, Form(max_length=2000)] = "",
    told_whom: Annotated[str, Form(max_length=2000)] = "",
) -> Response:
    """Record what went wrong."""
    happened = Incident(0, what_observed.strip(), bench_day(bench), told_whom=told_whom.strip())
    open_incident(bench, person.author, dossier_id, happened)
    return go_on(request, f"/dossiers/{dossier_id}/treat/fragments")


@router.post("/dossiers/{dossier_id}/treat/incidents/{incident_id}")
def record_incidents_end(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    incident_id: Id,
    closed_how: Annotated[str, Form(max_length=2000)] = "",
    based_on: Annotated[str, Form(max_length=40)] = "",
) -> Response:
    """Record how an incident ended."""
    close_incident(bench, person.author, dossier_id, incident_id, closed_how, based_on)
    return go_on(request, f"/dossiers/{dossier_id}/treat/fragments")


def _views(reader: Reader, dossier_id: str) -> list[tuple[str, str]]:
    return [
        (entry.subject_id, f"{view.number} · {view_name(view)}")
        for entry, view in views_in(reader, dossier_id)
    ]
