"""By eye first: trial cards beside the object, where each is seen, and recipes that are kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.looking import FAR_MM, NEAR_MM
from softmend.records.trial_card import Beside, Dryness, Seen, Sheen, TrialCard, Way
from softmend.services.bench import Bench
from softmend.services.paints_looking import distances_in
from softmend.services.propose.tint_cards import (
    STEPS,
    SURROUNDS,
    card_sight,
    cards_in,
    record_card,
)
from softmend.services.propose.tint_keep import keep_by_eye, kept_tint, tints_in, tone_zones
from softmend.services.propose.tint_search import choices
from softmend.services.propose.tint_size import tinted_places
from softmend.services.recording import current_record, current_records
from softmend.services.store import Reader
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.pages.propose.frame import EntryId, Line, Number, Text, frame
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/propose/tint"
HERE = "propose/tint"
FARTHEST_MM, LARGEST_MM = 100_000.0, 10_000.0


class CardForm(BaseModel):
    """The form of a trial card."""

    subject_id: EntryId = ""
    based_on: EntryId = ""
    mark_number: Number = 1
    mixed: Text = ""
    made_on: Line = ""
    dryness: Dryness = Dryness.NOT_KNOWN
    dried_h: Line = ""
    coats: Line = ""
    lamp: Line = ""
    beside: Beside = Beside.NOT_KNOWN
    way: Way = Way.NOT_KNOWN
    sheen: Sheen = Sheen.NOT_KNOWN
    from_far: Seen = Seen.NOT_LOOKED
    from_near: Seen = Seen.NOT_LOOKED
    far_mm: Line = ""
    near_mm: Line = ""
    width_mm: Line = ""
    length_mm: Line = ""
    surround: Line = ""
    view_number: Annotated[int, Field(ge=0, le=2_147_483_647)] = 0
    judged_by: Line = ""
    second_look_by: Line = ""
    note: Text = ""

    def record(self) -> TrialCard:
        """Return what was typed as a record."""
        far = maybe_number(self.far_mm, _("The visitor's distance"), "mm", 100, FARTHEST_MM)
        near = maybe_number(self.near_mm, _("The distance at the bench"), "mm", 50, FARTHEST_MM)
        return TrialCard(
            number=0,
            mark_number=self.mark_number,
            mixed=self.mixed.strip().replace("\r\n", "\n"),
            made_on=known(self.made_on),
            dryness=self.dryness,
            dried_h=maybe_number(self.dried_h, _("How long it dried"), "h", 0, 10_000),
            coats=known(self.coats),
            lamp=known(self.lamp),
            beside=self.beside,
            way=self.way,
            sheen=self.sheen,
            from_far=self.from_far,
            from_near=self.from_near,
            far_mm=FAR_MM if far is None else far,
            near_mm=NEAR_MM if near is None else near,
            width_mm=maybe_number(self.width_mm, _("The width"), "mm", 0.01, LARGEST_MM),
            length_mm=maybe_number(self.length_mm, _("The length"), "mm", 0.01, LARGEST_MM),
            surround=known(self.surround),
            view_number=self.view_number,
            judged_by=known(self.judged_by),
            second_look_by=known(self.second_look_by),
            note=known(self.note),
        )


class KeepCardForm(BaseModel):
    """The form that keeps a trial as the recipe of its fill."""

    based_on: EntryId = ""
    found_again: Text = ""
    on_zone_number: Annotated[int, Field(ge=0, le=2_147_483_647)] = 0


@router.get(AT)
def tint(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark: Annotated[int, Query(ge=0)] = 0,
) -> Response:
    """Show the recipes that are kept, the trials so far, and the card of a new one."""
    with bench.store.reading() as reader:
        shown = _frame(bench, reader, dossier_id)
        cards = [
            (entry, card, card_sight(reader, dossier_id, card))
            for entry, card in cards_in(reader, dossier_id)
        ]
        shown |= {"kept": tints_in(reader, dossier_id), **_offered(reader, dossier_id)}
        _entry, distances = distances_in(reader)
    chosen = TrialCard(0, mark, "", far_mm=distances.far_mm, near_mm=distances.near_mm)
    return render(
        request, "propose/tint.html", cards=cards, chosen=chosen, chosen_entry="", subject_id="",
        **shown,
    )  # fmt: skip


@router.post(f"{AT}/cards")
def write_card(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[CardForm, Form()],
) -> Response:
    """Record a trial card; a size left empty is that of the fill as drawn."""
    card = form.record()
    if card.width_mm is None or card.length_mm is None:
        card = _sized(bench, dossier_id, card)
    entry = record_card(
        bench,
        person.author,
        dossier_id,
        card,
        subject_id=form.subject_id,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/tint/cards/{entry.subject_id}")


@router.get(f"{AT}/cards/{{card_id}}")
def card(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, card_id: Id
) -> Response:
    """Show one trial: what was mixed, where it will be seen, and how it is kept."""
    with bench.store.reading() as reader:
        shown = _frame(bench, reader, dossier_id)
        entry, chosen = current_record(reader, dossier_id, "trial_card", card_id)
        shown |= _offered(reader, dossier_id)
        place = next(
            (one for one in shown["places"] if one.mark.number == chosen.mark_number), None
        )
        shown |= {
            "told": card_sight(reader, dossier_id, chosen),
            "zones": [zone for _e, zone in tone_zones(reader, dossier_id)],
            "kept": kept_tint(reader, dossier_id, place.mark_id) if place else None,
            "place": place,
        }
    return render(
        request, "propose/tint_card.html", chosen=chosen, chosen_entry=entry.id,
        subject_id=card_id, **shown,
    )  # fmt: skip


@router.post(f"{AT}/cards/{{card_id}}/keep")
def keep_card(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    card_id: Id,
    form: Annotated[KeepCardForm, Form()],
) -> Response:
    """Keep a trial's mixture, word for word, as the recipe of its fill."""
    keep_by_eye(
        bench,
        person.author,
        dossier_id,
        card_id,
        found_again=form.found_again.strip(),
        on_zone_number=form.on_zone_number,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/tint")


def tint_frame(bench: Bench, reader: Reader, dossier_id: str, sub: str) -> dict[str, Any]:
    """Return what the frame of every page of a tint shows; `sub` is the part that is open."""
    return {**frame(bench, reader, dossier_id, HERE), "sub": sub}


def _frame(bench: Bench, reader: Reader, dossier_id: str) -> dict[str, Any]:
    return tint_frame(bench, reader, dossier_id, "eye")


def _offered(reader: Reader, dossier_id: str) -> dict[str, Any]:
    there = choices(reader, dossier_id)
    return {
        "places": tinted_places(reader, dossier_id),
        "views": [view for _e, view in current_records(reader, dossier_id, "view")],
        "lamps": [words for _name, words in there.lamps],
        "surrounds": [
            *((one.key, one.words) for one in there.targets),
            *((name, _("{name} (a guess)", name=name)) for name in SURROUNDS),
        ],
        "besides": [(one, STEPS.get(one)) for one in Beside],
        "ways": list(Way),
        "sheens": list(Sheen),
        "seens": list(Seen),
        "drynesses": list(Dryness),
    }


def _sized(bench: Bench, dossier_id: str, card: TrialCard) -> TrialCard:
    with bench.store.reading() as reader:
        places = tinted_places(reader, dossier_id)
    size = next((one.size for one in places if one.mark.number == card.mark_number), None)
    if size is None:
        return card
    return replace(
        card,
        width_mm=card.width_mm if card.width_mm is not None else size.width_mm,
        length_mm=card.length_mm if card.length_mm is not None else size.length_mm,
    )
