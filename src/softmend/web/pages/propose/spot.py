"""Spot tests: a grid of numbered patches on the photograph, what each did, and the next swab."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.catalogue.solvency_agent import FOOTER
from softmend.pictures.outcomes import coating_svg, object_svg
from softmend.pictures.patches import PatchShown, crop_of, grid_svg, view_svg
from softmend.records.spot_test import (
    Carrier,
    Coating,
    GoOn,
    OnObject,
    PatchGrid,
    Role,
    SpotDecision,
    SpotTest,
)
from softmend.services.bench import Bench
from softmend.services.days import bench_day
from softmend.services.examine.views import views_in
from softmend.services.legal_flags import today_at
from softmend.services.propose.air_over import air_shown
from softmend.services.propose.removing_gate import object_facts
from softmend.services.propose.removing_print import spot_sheets
from softmend.services.propose.removing_ways import near_cracks
from softmend.services.propose.solvent_shelf import shelf_for
from softmend.services.propose.spot_tests import (
    GridOn,
    decide_after,
    decisions_in,
    grids_in,
    lay_grid,
    patch_side_px,
    record_test,
    spot_tests_in,
    waits_for_decision,
)
from softmend.services.propose.spot_tests_answer import (
    NEXT,
    SPOT,
    keep_spot,
    kept_run,
    spot_answers,
)
from softmend.services.propose.spot_tests_pictures import tiles_over, whole_of
from softmend.services.propose.spot_tests_words import outcome_choices
from softmend.services.propose.wet_steps import wet_step_findings
from softmend.services.recording import current_record
from softmend.services.store import Reader
from softmend.services.workings import working
from softmend.web.answering import go_on
from softmend.web.caller import ID_PATTERN, BenchHere, Id, PersonHere
from softmend.web.numbers import known, typed_number
from softmend.web.pages.propose.frame import Line, frame
from softmend.web.pages.propose.spot_form import TACK_AFTER, SpotForm
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()

Chosen = Annotated[str, Query(pattern=f"{ID_PATTERN}|^$")]
ViewId = Annotated[str, Form(pattern=ID_PATTERN)]


class GridForm(BaseModel):
    """The form of a grid: where it begins on the view, how large a patch is, how many."""

    view_id: Annotated[str, Field(pattern=ID_PATTERN)]
    left_px: Line = ""
    top_px: Line = ""
    patch_mm: Line = ""
    patch_px: Line = ""
    columns: Annotated[int, Field(ge=1, le=12)] = 4
    rows: Annotated[int, Field(ge=1, le=12)] = 3
    because: Line = ""


@router.get("/dossiers/{dossier_id}/propose/spots")
def spots(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    grid: Annotated[int, Query(ge=0, le=10_000)] = 0,
    patch: Annotated[int, Query(ge=0, le=144)] = 0,
    test: Chosen = "",
    view: Chosen = "",
) -> Response:
    """Show the patches on the photograph, the tests beside them, and the form of one."""
    with bench.store.reading() as reader:
        shown = frame(bench, reader, dossier_id, "propose/spots")
        grids = grids_in(reader, dossier_id)
        tests = spot_tests_in(reader, dossier_id)
        entry_id, chosen = "", None
        if test:
            entry, chosen = current_record(reader, dossier_id, "spot_test", test)
            entry_id, grid, patch = entry.id, chosen.grid_number, chosen.patch
        here = next((one for one in grids if one.grid.number == grid), grids[-1] if grids else None)
        patch = patch or _next_patch(here, tests)
        shown |= _asked(bench, reader, dossier_id) | {
            "grids": grids,
            "at": here,
            "patch": patch,
            "tests": tests,
            "names": {one.grid.number: one.grid for one in grids},
            "views": views_in(reader, dossier_id),
            "kept": kept_run(reader, dossier_id, SPOT),
            "sheets": spot_sheets(reader, dossier_id),
        }
    views = shown["views"]
    placing = next((one for one in views if one[0].subject_id == view), views[0] if views else None)
    return render(
        request,
        "propose/spot.html",
        picture=_crop(dossier_id, here, tests, patch) if here else "",
        placing=placing,
        placing_svg=_whole(dossier_id, placing, grids) if placing else "",
        chosen=chosen,
        subject_id=test,
        entry_id=entry_id,
        **shown,
    )


@router.get("/dossiers/{dossier_id}/propose/spots/answer")
def answer(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Give what the coating behaves like and the next swab, as a part of the page."""
    with bench.store.reading() as reader:
        found = spot_answers(reader, dossier_id, today_at(bench))
        cracks = near_cracks(reader, dossier_id)
    return render(
        request,
        "propose/spot_answer.html",
        base=f"/dossiers/{dossier_id}",
        found=found,
        work=working(SPOT, _("spot tests"), found.spot),
        advice=working(NEXT, _("the next swab"), found.next_swab),
        footer=FOOTER,
        **cracks,
    )


@router.post("/dossiers/{dossier_id}/propose/spots/grid")
def write_grid(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[GridForm, Form()],
) -> Response:
    """Lay a grid of numbered patches on a view."""
    if form.patch_mm.strip():
        side_mm = typed_number(form.patch_mm, _("The side of a patch"), "mm", 0.5, 200)
        with bench.store.reading() as reader:
            side = patch_side_px(reader, dossier_id, form.view_id, side_mm)
    else:
        side = typed_number(form.patch_px, _("The side of a patch"), "px", 4, 5000)
    grid = PatchGrid(
        number=0,
        view_id=form.view_id,
        left_px=typed_number(form.left_px, _("The left edge"), "px", 0, 100_000),
        top_px=typed_number(form.top_px, _("The upper edge"), "px", 0, 100_000),
        patch_px=round(side, 2),
        columns=form.columns,
        rows=form.rows,
        because=known(form.because),
    )
    lay_grid(bench, person.author, dossier_id, grid)
    return go_on(request, f"/dossiers/{dossier_id}/propose/spots")


@router.post("/dossiers/{dossier_id}/propose/spots")
def write_test(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[SpotForm, Form()],
) -> Response:
    """Record one test; an effect on the object leads to the question whether to go on."""
    record_test(
        bench,
        person.author,
        dossier_id,
        form.record(bench_day(bench)),
        subject_id=form.subject_id,
        based_on=form.based_on,
    )
    return go_on(request, f"/dossiers/{dossier_id}/propose/spots?grid={form.grid_number}")


@router.post("/dossiers/{dossier_id}/propose/spots/decide")
def decide(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    test_number: Annotated[int, Form(ge=1)],
    decision: Annotated[GoOn, Form()],
    decided_by: Annotated[str, Form(max_length=200)] = "",
    because: Annotated[str, Form(max_length=500)] = "",
) -> Response:
    """Record what a person decides after a test touched the object."""
    made = SpotDecision(test_number, decision, decided_by.strip(), because.strip())
    decide_after(bench, person.author, dossier_id, made)
    return go_on(request, f"/dossiers/{dossier_id}/propose/spots")


@router.post("/dossiers/{dossier_id}/propose/spots/keep")
def keep(request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id) -> Response:
    """Keep what the tests say, for the proposal and its Workings."""
    keep_spot(bench, person.author, dossier_id)
    return go_on(request, f"/dossiers/{dossier_id}/propose/spots")


def _asked(bench: Bench, reader: Reader, dossier_id: str) -> dict[str, Any]:
    """Return what the form asks with: words, drawings, the shelf, and what is owed first."""
    solvents, has_shelf = shelf_for(reader, today_at(bench), object_facts(reader, dossier_id))
    return {
        "today": bench_day(bench),
        "roles": list(Role),
        "carriers": list(Carrier),
        "coatings": [(one, outcome_choices("coating")[one.value], coating_svg(one))
                     for one in Coating],
        "effects": [(one, outcome_choices("object")[one.value], object_svg(one))
                    for one in OnObject],
        "tack_after": TACK_AFTER,
        "solvents": solvents,
        "has_shelf": has_shelf,
        "waiting": waits_for_decision(reader, dossier_id),
        "decisions": decisions_in(reader, dossier_id),
        "ways_on": list(GoOn),
        "unasked": air_shown(reader, dossier_id).unasked,
        "owed_wet": [one.problem for one in wet_step_findings(reader, dossier_id)],
        "footer": FOOTER,
    }  # fmt: skip


def _next_patch(here: GridOn | None, tests: list[tuple[Any, SpotTest]]) -> int:
    if here is None:
        return 0
    used = {test.patch for _entry, test in tests if test.grid_number == here.grid.number}
    free = [patch for patch in range(1, here.grid.count + 1) if patch not in used]
    return free[0] if free else here.grid.count


def _crop(dossier_id: str, here: GridOn, tests: list[tuple[Any, SpotTest]], chosen: int) -> str:
    base = f"/dossiers/{dossier_id}"
    shown = [
        _patch(here.grid, patch, tests, chosen, f"{base}/propose/spots")
        for patch in range(1, here.grid.count + 1)
    ]
    size = (here.view.width_px, here.view.height_px)
    tiles = tiles_over(
        here.view, crop_of(here.grid, *size), tiles_at(dossier_id, here.grid.view_id)
    )
    label = _("Grid {letter} on view {n}", letter=here.grid.letter, n=here.view.number)
    return grid_svg(here.grid, shown, tiles, size, label)


def tiles_at(dossier_id: str, view_id: str) -> str:
    """Return where the tiles of a view lie."""
    return f"/dossiers/{dossier_id}/views/{view_id}/tiles"


def _patch(
    grid: PatchGrid, patch: int, tests: list[tuple[Any, SpotTest]], chosen: int, address: str
) -> PatchShown:
    on_it = [
        (entry, test) for entry, test in tests
        if (test.grid_number, test.patch) == (grid.number, patch)
    ]  # fmt: skip
    name = grid.name(patch)
    if not on_it:
        free = f"{address}?grid={grid.number}&patch={patch}#test"
        words = _("Patch {name}, free", name=name)
        return PatchShown(patch, words, address=free, is_chosen=patch == chosen)
    entry, test = on_it[-1]
    words = _(
        "Patch {name}, test {n}: {agent}, coating {coating}, object {effect}",
        name=name, n=test.number, agent=test.agent, coating=test.coating_observed.value,
        effect=test.object_observed.value,
    )  # fmt: skip
    return PatchShown(
        patch, words, test.coating_observed, test.object_observed,
        f"{address}?test={entry.subject_id}#test", is_chosen=patch == chosen,
    )  # fmt: skip


def _whole(dossier_id: str, placing: tuple[Any, Any], grids: list[GridOn]) -> str:
    entry, view = placing
    on_view = [one.grid for one in grids if one.grid.view_id == entry.subject_id]
    shown = [
        (grid, [PatchShown(n, grid.name(n)) for n in range(1, grid.count + 1)]) for grid in on_view
    ]
    tiles = tiles_over(view, whole_of(view), tiles_at(dossier_id, entry.subject_id))
    label = _("View {n}: tap where the grid begins", n=view.number)
    return view_svg(shown, tiles, (view.width_px, view.height_px), label)
