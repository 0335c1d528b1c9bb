"""Joins: own weight and lever arm against what lasts of the bond, warmth, and who gives first."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import Response

from softmend.records.crack_model import Basis
from softmend.records.holding import LIMITS, JoinModel, JoinOutline, Softens
from softmend.services.explain.binding_matter import STATES, offered_materials
from softmend.services.explain.joins import (
    BoundJoin,
    bound_join,
    join_named,
    joins_in,
    keep_join,
    kept_join,
    say_of_join,
)
from softmend.services.explain.joins_page import join_shown
from softmend.services.explain.material_rows import by_group
from softmend.services.workings import origin_words
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known
from softmend.web.pages.explain.frame import frame
from softmend.web.pages.told_form import Line, ToldForm, told_rows
from softmend.web.rendering import render
from softmend.web.words import said as _

router = APIRouter()
AT = "/dossiers/{dossier_id}/explain/joins"
Name = Annotated[str, Query(max_length=200)]
HINTS = {
    "bonded_share": _("Left empty: bonded all over."),
    "arm_mm": _("Square to the joint: hang the piece on a thread to find its centre."),
    "hang_degrees": _("0 sticks out sideways, 90 hangs down, −90 stands on its joint."),
    "handling": _("1 at rest; 2 to 4 when it is moved or bumped. Left empty: at rest."),
    "warmest_degc": _("Of the showcase on its warmest day, lamps and all."),
    "lasting_share": _("Left empty: one tenth to one half (an estimate)."),
    "glue_line_mm": _("Left empty, how far it creeps is not told."),
}


class SaidForm(ToldForm):
    """What is said of a join."""

    name: Line = ""
    outline: JoinOutline = JoinOutline.ELLIPSE
    adhesive: Line = ""
    softens: Softens = Softens.YES
    material: Line = ""
    preservation: Line = ""

    def record(self) -> JoinModel:
        """Return what was typed as a record."""
        return JoinModel(
            name=self.name.strip(),
            outline=self.outline,
            adhesive=known(self.adhesive),
            softens=self.softens,
            material=known(self.material),
            preservation=known(self.preservation),
            **self.told(LIMITS),
        )


@router.get(AT)
def joins(
    request: Request, bench: BenchHere, person: PersonHere, dossier_id: Id, join: Name = ""
) -> Response:
    """List the joins, and show one of them with its drawing and what is said of it."""
    with bench.store.reading() as reader:
        around = frame(bench, reader, dossier_id, "explain/joins")
        places = joins_in(reader, dossier_id)
        bounds = {one.name: bound_join(reader, dossier_id, one) for one in places}
        if join:
            join_named(reader, dossier_id, join)
        chosen = bounds.get(join) or next(iter(bounds.values()), None)
        kept = kept_join(reader, dossier_id, chosen.place.name) if chosen else None
        groups = by_group(reader)
    return render(
        request,
        "explain/joins.html",
        **around,
        joins=[join_shown(one) for one in bounds.values()],
        chosen=chosen,
        shown=join_shown(chosen) if chosen else None,
        kept=kept,
        rows=told_rows(chosen.model if chosen else JoinModel(""), LIMITS, HINTS, _taken(chosen)),
        bases=list(Basis),
        outlines=list(JoinOutline),
        softenings=list(Softens),
        adhesives=[*groups["reversible fill"], *groups["hard fill"], *groups["own"]],
        bodies=[*offered_materials(), *groups["own"]],
        states=STATES,
    )


@router.post(f"{AT}/said")
def record_said(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    form: Annotated[SaidForm, Form()],
) -> Response:
    """Record what is said of a join."""
    model = form.record()
    say_of_join(bench, person.author, dossier_id, model, form.based_on)
    return go_on(request, _address(dossier_id, model.name))


@router.post(f"{AT}/keep")
def keep(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    dossier_id: Id,
    name: Annotated[str, Form(max_length=200)],
) -> Response:
    """Keep whether a join holds with everything that was read."""
    keep_join(bench, person.author, dossier_id, name)
    return go_on(request, _address(dossier_id, name))


def _address(dossier_id: str, name: str) -> str:
    return f"/dossiers/{dossier_id}/explain/joins?{urlencode({'join': name})}"


def _taken(chosen: BoundJoin | None) -> dict[str, str]:
    from softmend.catalogue.joint_answer import banded

    if chosen is None:
        return {}
    return {
        name: f"{banded(value.uncertain().band, LIMITS[name][1])}, {value.kind}, "
        f"{origin_words(value.origin)}"
        for name, value in chosen.values.items()
        if name in LIMITS
    }
