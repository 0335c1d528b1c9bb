"""Where a fill is seen: tried out, on the user's own photograph, from two distances."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.records.looking import FAR_MM, NEAR_MM
from softmend.services.bench import Bench
from softmend.services.paints_looking import distances_in, own_verdict
from softmend.services.propose.sight import (
    AskedOfSight,
    can_be_shown,
    seen_picture,
    sight_place,
    sight_shown,
)
from softmend.services.propose.tint_cards import SURROUNDS, distance_words
from softmend.services.propose.tint_keep import keep_sight, kept_tint
from softmend.services.propose.tint_search import choices
from softmend.services.propose.tint_size import TintedPlace, tinted_places
from softmend.services.store import Reader
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.pages.propose.frame import EntryId
from softmend.web.pages.propose.tint import AT, tint_frame
from softmend.web.pages.propose.tint_recipe import MarkId, chosen_place
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()
SIGHT_AT = f"{AT}/sight"
Step = Annotated[float, Field(ge=-30, le=30)]
Distance = Annotated[float, Field(ge=100, le=100_000)]
Size = Annotated[float | None, Field(gt=0, le=10_000)]
SLIDERS = (
    ("lightness", _("Lighter or darker"), "L*", _("Minus is darker; keep within about 0.5.")),
    ("redness", _("Redder or greener"), "a*", _("Minus is greener.")),
    ("yellowness", _("Yellower or bluer"), "b*", _("Minus is bluer; there is most room here.")),
)


class SightForm(BaseModel):
    """What is tried out; left out is no difference, and the house's usual distances."""

    lightness: Step = 0.0
    redness: Step = 0.0
    yellowness: Step = 0.0
    far_mm: Distance = FAR_MM
    near_mm: Annotated[float, Field(ge=50, le=100_000)] = NEAR_MM
    width_mm: Size = None
    length_mm: Size = None
    surround: Annotated[str, Field(max_length=300)] = ""
    hatch_step: Annotated[float, Field(ge=0, le=10)] = 0.0
    hatch_period_mm: Annotated[float, Field(ge=0.2, le=20)] = 0.8

    def asked(self) -> AskedOfSight:
        """Return what is tried out."""
        return AskedOfSight(**self.model_dump())


class PictureForm(SightForm):
    """The same, with the distance that the picture is seen from."""

    from_mm: Annotated[float, Field(ge=50, le=100_000)] = NEAR_MM

    def asked(self) -> AskedOfSight:
        """Return what is tried out, without the distance of the picture."""
        return AskedOfSight(**self.model_dump(exclude={"from_mm"}))


class KeepForm(SightForm):
    """The same, kept with the recipe."""

    based_on: EntryId = ""

    def asked(self) -> AskedOfSight:
        """Return what is tried out."""
        return AskedOfSight(**self.model_dump(exclude={"based_on"}))


@router.get(SIGHT_AT)
def sight(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, mark: MarkId = ""
) -> Response:
    """Show where the fill on a mark is seen, and let it be tried out."""
    with bench.store.reading() as reader:
        shown = tint_frame(bench, reader, dossier_id, "sight")
        places = tinted_places(reader, dossier_id)
        place = chosen_place(places, mark)
        there = choices(reader, dossier_id)
        surround = there.targets[0].key if there.targets else ""
        _entry, distances = distances_in(reader)
        form = SightForm(surround=surround, far_mm=distances.far_mm, near_mm=distances.near_mm)
        shown |= {
            "house": distances,
            "kept": kept_tint(reader, dossier_id, place.mark_id) if place else None,
            "surrounds": [
                *((one.key, one.words) for one in there.targets),
                *((name, _("{name} (a guess)", name=name)) for name in SURROUNDS),
            ],
        }
        if place is not None:
            shown |= _answer(bench, reader, dossier_id, place, form, person.author.person_id)
    return render(
        request, "propose/sight.html", places=places, place=place, form=form, sliders=SLIDERS,
        **shown,
    )  # fmt: skip


@router.get(f"{SIGHT_AT}/{{mark_id}}/answer")
def answer(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    form: Annotated[SightForm, Query()],
) -> Response:
    """Give the verdict for what is tried out; nothing is recorded."""
    with bench.store.reading() as reader:
        place = sight_place(reader, dossier_id, mark_id)
        shown = _answer(bench, reader, dossier_id, place, form, person.author.person_id)
    return render(request, "propose/sight_answer.html", **shown)


@router.get(f"{SIGHT_AT}/{{mark_id}}/seen.jpg")
def picture(
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    form: Annotated[PictureForm, Query()],
) -> Response:
    """Give the fill on the user's own photograph as it is seen from a distance."""
    data = seen_picture(bench, dossier_id, mark_id, form.asked(), form.from_mm)
    return Response(data, media_type="image/jpeg")


@router.post(f"{SIGHT_AT}/{{mark_id}}/keep")
def keep(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    form: Annotated[KeepForm, Form()],
) -> Response:
    """Keep where the fill is seen with its recipe."""
    keep_sight(bench, person.author, dossier_id, mark_id, form.asked(), form.based_on)
    return go_on(request, f"/dossiers/{dossier_id}/propose/tint")


def _answer(
    bench: Bench,
    reader: Reader,
    dossier_id: str,
    place: TintedPlace,
    form: SightForm,
    person_id: str,
) -> dict[str, Any]:
    asked = form.asked()
    found = sight_shown(bench, reader, dossier_id, place, asked)
    query = {name: value for name, value in form.model_dump().items() if value is not None}
    here = f"/dossiers/{dossier_id}/propose/tint/sight/{place.mark_id}/seen.jpg"
    pictures = [
        (f"{here}?{urlencode({**query, 'from_mm': mm})}", words, distance_words(mm))
        for mm, words in (
            (form.far_mm, _("At the visitor's distance")),
            (form.near_mm, _("At the bench")),
        )
    ]
    is_shown = can_be_shown(reader, dossier_id, place)
    return {
        "found": found,
        "pictures": pictures if is_shown else [],
        "own": own_verdict(reader, person_id, found.verdict_inputs),
        "distances": [distance_words(mm) for mm in (form.far_mm, form.near_mm)],
    }
