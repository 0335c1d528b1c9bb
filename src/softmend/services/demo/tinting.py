"""The demo's tint: invented paints read in, a colour of the beam, trials by eye, a kept recipe."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from importlib.resources import as_file, files
from typing import Any

from softmend.records.colour_reading import ColourChart
from softmend.records.kinds import record_in
from softmend.records.lamp import Lamp, LampPlace
from softmend.records.paint import Fades, PaintRole, PaintStock
from softmend.records.payload import from_plain
from softmend.records.trial_card import TrialCard
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import marks_in
from softmend.services.examine.zones import record_body_zone, record_on_zone
from softmend.services.legal_flags import today_at
from softmend.services.paints import paints_in, record_chart, record_lamp, record_paint
from softmend.services.paints_files import (
    ConfirmedRow,
    Said,
    guess_of_file,
    keep_colour_file,
    record_guess,
)
from softmend.services.propose.colour_readings import (
    AskedOfPhotograph,
    record_instrument,
    record_photograph,
)
from softmend.services.propose.tint_cards import record_card
from softmend.services.propose.tint_keep import keep_by_readings
from softmend.services.propose.tint_search import AskedOfTint, choices
from softmend.services.propose.tint_size import TintedPlace, tinted_places
from softmend.services.store import Reader

Told = Mapping[str, Any]
_INSET = 0.9
"""The tone ends a little inside the fill, as a hand keeps it off the object."""


def stock_the_paints(bench: Bench, author: Author) -> None:
    """Read in the invented paints as a person would: guess shown, confirmed; lamps and a chart."""
    told = _told()
    sha256 = _kept(bench, told["paints_file"])
    guess = guess_of_file(bench, sha256, told["paints_file"])
    rows = [ConfirmedRow(row.place, row.paint, row.of) for row in guess.rows]
    said = Said(thickness_um=told["thickness_um"], paint_percent=told["paint_percent"],
                is_invented=True)  # fmt: skip
    record_guess(bench, author, sha256, told["paints_file"], rows, said)
    with bench.store.reading() as reader:
        paints = paints_in(reader)
    for kept in paints:
        stocks = told["stocks"]["white" if kept.paint.role is PaintRole.WHITE else "other"]
        is_pulp = kept.paint.role is PaintRole.PULP
        full = replace(
            kept.paint,
            stocks=() if is_pulp else tuple(PaintStock(**one) for one in stocks),
            fades=Fades.NOT_KNOWN if is_pulp else Fades.NO,
            note=told["note"],
        )
        record_paint(bench, author, full, kept.entry_id)
    for one in told["lamp"]:
        record_lamp(bench, author, Lamp(one["name"], LampPlace(one["place"]), one["standard"]))
    record_chart(bench, author, _chart(told["chart"]))


def tint_the_fill(bench: Bench, author: Author, dossier_id: str, views: Mapping[str, str]) -> None:
    """Read the beam's colour, judge two trials by eye, draw the tone on the fill, keep a recipe."""
    told = _told()
    _read_colours(bench, author, dossier_id, told, views)
    with bench.store.reading() as reader:
        place = _tinted(reader, dossier_id, told["tone"]["feature"])
    for card in told["card"]:
        record_card(bench, author, dossier_id, _card(bench, card, place))
    zone_number = _draw_tone(bench, author, dossier_id, told["tone"], place)
    with bench.store.reading() as reader:
        asked: AskedOfTint = choices(reader, dossier_id).usual
    keep_by_readings(
        bench, author, dossier_id, place.mark_id, asked, which="recommended",
        found_again=told["tone"]["found_again"], on_zone_number=zone_number,
    )  # fmt: skip


def _told() -> dict[str, Any]:
    return tomllib.loads((files("softmend") / "demo" / "tinting.toml").read_text("utf-8"))


def _kept(bench: Bench, name: str) -> str:
    with as_file(files("softmend") / "demo" / name) as path:
        return keep_colour_file(bench, path)


def _chart(told: Told) -> ColourChart:
    from softmend.pictures.tint_colour import lab_of_screen

    words = {name: told[name] for name in ("name", "rows", "columns", "is_invented", "note")}
    return ColourChart(**words, patches_lab=tuple(lab_of_screen(one) for one in told["srgb"]))


def _read_colours(
    bench: Bench, author: Author, dossier_id: str, told: Told, views: Mapping[str, str]
) -> None:
    photograph = told["photograph"]
    corners = demo_corners(photograph["file"], told["chart"]["frame_mm"])
    places = tuple(
        (one["name"], tuple((float(x), float(y)) for x, y in one["outline_px"]))
        for one in photograph["place"]
    )
    asked = AskedOfPhotograph(
        views[photograph["file"]], f"own:{told['chart']['name']}", corners, places
    )
    record_photograph(bench, author, dossier_id, asked, confirmed=True)
    instrument = told["instrument"]
    record_instrument(
        bench, author, dossier_id, _kept(bench, instrument["file"]), instrument["file"],
        instrument["name"], Said(),
    )  # fmt: skip


def demo_corners(file: str, frame_mm: float) -> tuple[tuple[float, float], ...]:
    """Return the corners of the field of patches on a demo picture, just inside its frame."""
    import json

    truth = json.loads((files("softmend") / "demo" / "truth.json").read_text("utf-8"))
    picture = next(one for one in truth["pictures"] if one["file"] == file)
    corners = picture["rectangle"]["corners_px"]
    inset = frame_mm * picture["px_per_mm"]
    middle = [sum(corner[axis] for corner in corners) / 4 for axis in (0, 1)]
    moved = [
        [corner[axis] + (inset if corner[axis] < middle[axis] else -inset) for axis in (0, 1)]
        for corner in corners
    ]
    return tuple((round(x, 1), round(y, 1)) for x, y in moved)


def _tinted(reader: Reader, dossier_id: str, feature: str) -> TintedPlace:
    terms = {mark.number: mark.term_id for _, mark in marks_in(reader, dossier_id)}
    return next(
        one for one in tinted_places(reader, dossier_id) if terms[one.mark.number] == feature
    )


def _card(bench: Bench, told: Told, place: TintedPlace) -> TrialCard:
    made_on = today_at(bench) - timedelta(days=told["made_on_days_ago"])
    said = {name: value for name, value in told.items() if name != "made_on_days_ago"}
    return from_plain(
        TrialCard,
        {
            "number": 0,
            "mark_number": place.mark.number,
            "made_on": made_on.isoformat(),
            "width_mm": place.size.width_mm,
            "length_mm": place.size.length_mm,
            **said,
        },
    )


def _draw_tone(
    bench: Bench, author: Author, dossier_id: str, told: Told, place: TintedPlace
) -> int:
    seen = place.mark.sightings[0]
    ring = seen.geometry.parts[0]
    words = {"part": "beam", "side": "front", "grounds_observed": told["grounds_observed"],
             "checked_how": "hand lens and ultraviolet-like light"}  # fmt: skip
    record_body_zone(
        bench, author, dossier_id, BodyZone(0, seen.view_id, Body.NEW_FILL, (ring,), 3.0, **words)
    )
    middle = [sum(point[axis] for point in ring) / len(ring) for axis in (0, 1)]
    inside = tuple(
        (middle[0] + _INSET * (x - middle[0]), middle[1] + _INSET * (y - middle[1]))
        for x, y in ring
    )
    entry = record_on_zone(
        bench, author, dossier_id, OnZone(0, seen.view_id, OnIt.NEW_TONE, (inside,), 3.0, **words)
    )
    zone: OnZone = record_in(entry)
    return zone.number
