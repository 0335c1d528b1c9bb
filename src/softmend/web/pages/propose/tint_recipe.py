"""A tint by readings: target, lamps, paints at hand; grams and drops, strips, one correction."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.pictures.tint_colour import NOT_A_REFERENCE
from softmend.pictures.tint_strip import strips_in_words, strips_svg
from softmend.services.bench import Bench
from softmend.services.paints_files import Said, keep_colour_file
from softmend.services.propose.tint_keep import (
    KINDS_OF_RECIPE,
    KeptTint,
    keep_by_readings,
    kept_tint,
    last_time,
    record_drawdown,
    tone_zones,
)
from softmend.services.propose.tint_search import (
    AskedOfTint,
    BoundTint,
    answered,
    bound_tint,
    choices,
    strip_rows,
)
from softmend.services.propose.tint_size import TintedPlace, tinted_places
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.pages.propose.frame import EntryId, Text
from softmend.web.pages.propose.tint import AT, tint_frame
from softmend.web.rendering import render
from softmend.web.uploads import received
from softmend.web.words import said as _

router = APIRouter()
RECIPE_AT = f"{AT}/recipe"
MarkId = Annotated[str, Query(pattern=f"{ID_PATTERN}|^$")]
Name = Annotated[str, Field(max_length=300)]
Names = Annotated[list[Name], Field(max_length=40)]
WHICH = {
    "recommended": _("Forgives most"),
    "fewest_paints": _("Fewest paints"),
    "closest": _("Closest if nothing goes wrong"),
}


class AskedForm(BaseModel):
    """What the page asks of a recipe; what is left out is taken as usual."""

    is_asked: bool = False
    target: Name = ""
    pulp: Name = ""
    paints: Names = []
    white: Name = ""
    binder: Name = ""
    lamps: Names = []
    thickness_um: Annotated[float, Field(gt=0, le=5000)] = 60.0
    batch_g: Annotated[float, Field(gt=0, le=10_000)] = 5.0
    solids_percent: Annotated[float, Field(gt=0, le=100)] = 20.0
    binder_solids_percent: Annotated[float, Field(gt=0, le=100)] = 50.0
    coat_percent: Annotated[float, Field(ge=0, le=50)] = 15.0
    most_paints: Annotated[int, Field(ge=1, le=4)] = 4
    which: Annotated[str, Field(pattern="^(recommended|fewest_paints|closest)$")] = "recommended"

    def asked(self, usual: AskedOfTint) -> AskedOfTint:
        """Return what is asked, or the usual where the form was not sent."""
        if not self.is_asked:
            return usual
        return AskedOfTint(
            target=self.target,
            pulp=self.pulp,
            paints=tuple(self.paints),
            white=self.white,
            binder=self.binder,
            lamps=tuple(self.lamps),
            thickness_um=self.thickness_um,
            batch_g=self.batch_g,
            solids_percent=self.solids_percent,
            binder_solids_percent=self.binder_solids_percent,
            coat_percent=self.coat_percent,
            most_paints=self.most_paints,
        )


class KeepForm(AskedForm):
    """The same, with how the tone is found again."""

    based_on: EntryId = ""
    found_again: Text = ""
    on_zone_number: Annotated[int, Field(ge=0, le=2_147_483_647)] = 0


@router.get(RECIPE_AT)
def recipe(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, mark: MarkId = ""
) -> Response:
    """Show what a recipe is searched from, the recipe, and what was kept of it before."""
    with bench.store.reading() as reader:
        shown = tint_frame(bench, reader, dossier_id, "readings")
        places = tinted_places(reader, dossier_id)
        place = chosen_place(places, mark)
        there = choices(reader, dossier_id)
        kept = kept_tint(reader, dossier_id, place.mark_id) if place else None
        bound = bound_tint(reader, dossier_id, there.usual)
        shown |= {
            "zones": [zone for _e, zone in tone_zones(reader, dossier_id)],
            "last": last_time(reader, dossier_id),
        }
    return render(
        request,
        "propose/tint_recipe.html",
        places=places,
        place=place,
        there=there,
        asked=there.usual,
        kept=kept,
        **shown,
        **_answer(bench, bound, "recommended", kept),
    )


@router.get(f"{RECIPE_AT}/answer")
def answer(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[AskedForm, Query()],
) -> Response:
    """Give the recipe for what is asked now; nothing is recorded."""
    with bench.store.reading() as reader:
        usual = replace(choices(reader, dossier_id).usual)
        bound = bound_tint(reader, dossier_id, form.asked(usual))
    return render(request, "propose/tint_answer.html", **_answer(bench, bound, form.which, None))


@router.post(f"{RECIPE_AT}/{{mark_id}}/keep")
def keep(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    form: Annotated[KeepForm, Form()],
) -> Response:
    """Keep the recipe for a fill, with all that went into the search."""
    with bench.store.reading() as reader:
        usual = choices(reader, dossier_id).usual
    keep_by_readings(
        bench,
        person.author,
        dossier_id,
        mark_id,
        form.asked(usual),
        which=form.which,
        found_again=form.found_again.strip(),
        on_zone_number=form.on_zone_number,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/tint/recipe?mark={mark_id}")


@router.post(f"{RECIPE_AT}/{{mark_id}}/drawdown")
def drawdown(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    mark_id: Id,
    readings: UploadFile,
    based_on: Annotated[str, Form(max_length=200)] = "",
) -> Response:
    """Record the reading of the dry drawdown and the one correction that it gives."""
    name = readings.filename or "drawdown"
    if not name.strip():
        raise InputError(_("No file was chosen"), remedy=_("Choose the file of the reading"))
    with received(bench, readings) as path:
        sha256 = keep_colour_file(bench, path)
    record_drawdown(
        bench, person.author, dossier_id, mark_id, sha256, name[-200:], Said(), based_on
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/tint/recipe?mark={mark_id}")


def chosen_place(places: list[TintedPlace], mark_id: str) -> TintedPlace | None:
    """Return the place that is asked for, else the first with a known size, else the first."""
    named = [one for one in places if one.mark_id == mark_id]
    sized = [one for one in places if one.size.width_mm is not None]
    found = [*named, *sized, *places]
    return found[0] if found else None


def _answer(bench: Bench, bound: BoundTint, which: str, kept: KeptTint | None) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "bound": bound, "which": which, "whiches": WHICH, "found": None, "kept_tint": kept,
        "not_a_reference": NOT_A_REFERENCE,
    }  # fmt: skip
    if bound.missing:
        return shown
    found = answered(bench, "tint.recipe", bound.payload)
    recipe = found[which if which in KINDS_OF_RECIPE else "recommended"]
    rows = strip_rows(bench, bound, recipe)
    return shown | {
        "found": found,
        "recipe": recipe,
        "strips": strips_svg(rows),
        "strips_words": strips_in_words(rows),
        "work": working("tint.recipe", bound.target.words if bound.target else "", found),
    }
