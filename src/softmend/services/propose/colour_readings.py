"""Colours of the object: from a photograph with a chart, confirmed, or from an instrument."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from softmend import catalogue
from softmend.errors import InputError, MissingEvidenceError, NotFoundError
from softmend.records.colour_reading import (
    ColourReading,
    ReadHow,
    ReadPlace,
    checked_colours,
)
from softmend.records.entry import Entry
from softmend.records.mark import Position, Shape
from softmend.records.paint import Reading, ReadingOf
from softmend.records.view import View
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import marks_on_view
from softmend.services.examine.quantities import Outcome
from softmend.services.examine.vocabulary import term
from softmend.services.examine.zones import zones_on_view
from softmend.services.numbered import record_numbered
from softmend.services.paints import as_asked, charts_in
from softmend.services.paints_files import Said, readings_of_file
from softmend.services.recording import current_record, current_records
from softmend.services.store import Reader

STANDARD_CHARTS = ("after 2014", "before 2014")
STANDARD_WORDS = "common chart of 24 patches, printed {edition}"
FEW_PLACES = 5
SMALL_APERTURE_MM = 4.0
LEAST_SPREAD = 0.3
"""No mean of readings is surer than one instrument's own repeat, L*."""
_MARGIN_PX = 8
# A wrong order of corners is told by the chart itself: so much worse, and so much better another.
_BAD, _BETTER = 3.0, 0.5


@dataclass(frozen=True)
class AskedOfPhotograph:
    """What is asked of a photograph: its chart, the four clicks, the places, the coding."""

    view_id: str
    chart: str
    corners_px: tuple[Position, ...]
    places: tuple[tuple[str, tuple[Position, ...]], ...] = ()
    coding: str = "srgb"
    correction: str = "better"
    card_view_id: str = ""


def chart_names(reader: Reader) -> list[tuple[str, str]]:
    """Return the charts that can be named, the house's own first: key and words."""
    own = [(f"own:{one.chart.name}", one.chart.name) for one in charts_in(reader)]
    return [*own, *((one, STANDARD_WORDS.format(edition=one)) for one in STANDARD_CHARTS)]


def places_offered(
    reader: Reader, dossier_id: str, view_id: str
) -> list[tuple[str, tuple[Position, ...]]]:
    """Return the areas already drawn on a view, by name: marks and zones of the body."""
    body, _on_it = zones_on_view(reader, dossier_id, view_id)
    found = [(f"zone {zone.name}, {zone.body.value}", zone.rings[0]) for _, zone in body]
    for _entry, mark in marks_on_view(reader, dossier_id, view_id):
        for seen in mark.sightings:
            if seen.view_id == view_id and seen.geometry.shape is Shape.AREA:
                words = f"mark {mark.number}, {term(mark.term_id).term}"
                found.append((words, seen.geometry.parts[0]))
    return found


def colours_on_photograph(
    bench: Bench, dossier_id: str, asked: AskedOfPhotograph
) -> tuple[dict[str, Any], Outcome]:
    """Return what a photograph's chart and places say, and the inputs; nothing is recorded."""
    with bench.store.reading() as reader:
        _, view = current_record(reader, dossier_id, "view", asked.view_id)
        chart = _chart(reader, asked.chart)
        card = None
        if asked.card_view_id:
            _, card = current_record(reader, dossier_id, "view", asked.card_view_id)
    inputs = {
        "photograph_file": view.canonical_sha256,
        "chart": {**chart, "corners_px": [list(point) for point in asked.corners_px]},
        "regions": [
            {"name": name, "outline_px": [list(point) for point in ring]}
            for name, ring in asked.places
        ],
        "coding": asked.coding,
        "correction": asked.correction,
    }
    if card is not None:
        inputs["card_file"] = card.canonical_sha256
    return _in_best_order(bench, view, card, inputs)


def record_photograph(
    bench: Bench, author: Author, dossier_id: str, asked: AskedOfPhotograph, *, confirmed: bool
) -> Entry:
    """Record the colours of a photograph, once its patches were looked at and confirmed."""
    if not confirmed:
        raise MissingEvidenceError(
            "The patches were not confirmed",
            remedy="Look at the squares on the picture: each must lie inside its patch",
        )
    inputs, answer = colours_on_photograph(bench, dossier_id, asked)
    places = tuple(_place(one, inputs) for one in answer["regions"] if one["lab"] is not None)
    record = ColourReading(
        number=0,
        how=ReadHow.PHOTOGRAPH,
        places=places,
        view_id=asked.view_id,
        chart=asked.chart.removeprefix("own:"),
        quality=answer["text"],
        warnings=tuple(answer["warnings"]),
        asked=inputs,
        answered=answer,
    )
    return record_numbered(bench, author, dossier_id, checked_colours(record))


def record_instrument(
    bench: Bench,
    author: Author,
    dossier_id: str,
    sha256: str,
    file_name: str,
    name: str,
    said: Said,
) -> Entry:
    """Record the readings of a file as one place of the object: their mean and their spread."""
    readings = readings_of_file(bench, sha256, file_name, ReadingOf.OTHER, said)
    place, words = mean_place(name, readings)
    record = ColourReading(
        number=0,
        how=ReadHow.INSTRUMENT,
        places=(place,),
        quality=f"{len(readings)} readings, mean taken",
        warnings=words,
    )
    return record_numbered(bench, author, dossier_id, checked_colours(record))


def mean_place(name: str, readings: Sequence[Reading]) -> tuple[ReadPlace, tuple[str, ...]]:
    """Return the mean of several readings of one place, its colour in words, and warnings."""
    rasters = {one.wavelengths_nm for one in readings}
    ways = {(one.geometry, one.specular, one.uv) for one in readings}
    if len(rasters) != 1 or len(ways) != 1:
        raise InputError(
            "The readings were made in different ways",
            value="; ".join(sorted(one.way for one in readings))[:160],
            allowed="one instrument, one geometry, specular and UV setting",
            remedy="Import those of one way at a time",
        )
    from softmend.science.digits import rounded

    columns = list(zip(*(one.values for one in readings), strict=True))
    mean = replace(
        readings[0],
        name=name.strip() or "object",
        values=tuple(round(math.fsum(values) / len(readings), 8) for values in columns),
        readings=len(readings),
    )
    labs = _labs([mean, *readings])
    lab, each = labs[0], labs[1:]
    spread = _spread(each)
    words = []
    if len(readings) < FEW_PLACES:
        words.append(f"{len(readings)} places were read: five or more make a better mean.")
    if mean.aperture_mm is not None and mean.aperture_mm < SMALL_APERTURE_MM:
        words.append(
            f"The aperture is {mean.aperture_mm:g} mm: under 4 mm a translucent object reads too "
            "dark."
        )
    parts = ", ".join(
        f"{axis} {rounded(value, max(2 * off, LEAST_SPREAD)).text()}"
        for axis, value, off in zip(("L*", "a*", "b*"), lab, spread, strict=True)
    )
    text = f"{parts} for D65; ± is twice the spread of {len(readings)} places"
    return ReadPlace(mean.name, text, lab_spread=spread, reading=mean), tuple(words)


def colour_readings_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, ColourReading]]:
    """Return the colours of the object that were recorded, the newest first."""
    found: list[tuple[Entry, ColourReading]] = current_records(reader, dossier_id, "colour_reading")
    return sorted(found, key=lambda one: -one[1].number)


@dataclass(frozen=True)
class Target:
    """A colour of the object that a tint can aim at, by the reading that it is from."""

    key: str
    words: str
    entry_id: str
    place: ReadPlace

    @property
    def reading(self) -> dict[str, Any]:
        """Return it as a computation takes it."""
        if self.place.reading is not None:
            return as_asked(self.place.reading)
        return {
            "name": self.place.name, "lab": list(self.place.lab or ()), "lamp": "D50",
            "observer_degrees": 2,
        }  # fmt: skip

    @property
    def is_estimated(self) -> bool:
        """Say whether its curve has to be estimated from a colour."""
        return self.place.reading is None


def targets_in(reader: Reader, dossier_id: str) -> list[Target]:
    """Return the colours that a tint can aim at: curves before colours, the newest first."""
    found = [
        Target(
            f"{reading.number}:{place_number}",
            f"{place.name} ({reading.how.value}, reading {reading.number})",
            entry.id,
            place,
        )
        for entry, reading in colour_readings_in(reader, dossier_id)
        for place_number, place in enumerate(reading.places)
    ]
    return sorted(found, key=lambda one: one.is_estimated)


def _labs(readings: Sequence[Reading]) -> list[tuple[float, float, float]]:
    from softmend.services.paints_files import colours_of

    return colours_of(readings)


def _spread(labs: Sequence[tuple[float, float, float]]) -> tuple[float, float, float]:
    """Return the standard deviation of L*, a*, b* over places; 0 for one place."""
    found = []
    for axis in range(3):
        values = [one[axis] for one in labs]
        mean = math.fsum(values) / len(values)
        squares = math.fsum((value - mean) ** 2 for value in values)
        found.append(math.sqrt(squares / (len(values) - 1)) if len(values) > 1 else 0.0)
    return (round(found[0], 3), round(found[1], 3), round(found[2], 3))


def _chart(reader: Reader, name: str) -> dict[str, Any]:
    if name in STANDARD_CHARTS:
        return {"rows": 4, "columns": 6, "known": name}
    own = next((one.chart for one in charts_in(reader) if f"own:{one.chart.name}" == name), None)
    if own is None:
        raise NotFoundError(
            "There is no chart of that name",
            value=name,
            allowed=", ".join(key for key, _ in chart_names(reader)),
        )
    return {
        "rows": own.rows,
        "columns": own.columns,
        "patches_lab": [list(one) for one in own.patches_lab],
    }


def _in_best_order(
    bench: Bench, view: View, card: View | None, inputs: dict[str, Any]
) -> tuple[dict[str, Any], Outcome]:
    """Return the answer to the corners as clicked, or as the chart says they must have been."""
    files, shift = _part_of_picture(bench, view, card, inputs)
    corners = inputs["chart"]["corners_px"]
    if len(corners) != 4:
        raise InputError(
            "A chart has four corners",
            value=len(corners),
            allowed="4",
            remedy="Click the outer corners of the field of patches, from the first patch round",
        )
    answer = _answer(inputs, files, shift)
    if answer["leave_one_out"] <= _BAD:
        return inputs, answer
    best = (inputs, answer)
    for turned in _orders(corners)[1:]:
        other = {**inputs, "chart": {**inputs["chart"], "corners_px": turned}}
        try:
            found = _answer(other, files, shift)
        except InputError:
            # Corners in an order in which no chart can be seen.
            continue
        if found["leave_one_out"] < best[1]["leave_one_out"]:
            best = (other, found)
    if best[1]["leave_one_out"] > _BETTER * answer["leave_one_out"]:
        return inputs, answer
    said = "The corners were taken in another order than clicked: the chart fits so, and not else."
    return best[0], {**best[1], "warnings": [said, *best[1]["warnings"]]}


def _orders(corners: list[list[float]]) -> list[list[list[float]]]:
    """Return four corners from each of them on, going round either way; as they are first."""
    return [
        [round_it[(first + step) % 4] for step in range(4)]
        for round_it in (corners, corners[::-1])
        for first in range(4)
    ]


def _answer(inputs: dict[str, Any], files: dict[str, Any], shift: Position) -> Outcome:
    left, top = shift
    chart = inputs["chart"]
    moved = {
        **inputs,
        "chart": {**chart, "corners_px": [[x - left, y - top] for x, y in chart["corners_px"]]},
        "regions": [
            {**one, "outline_px": [[x - left, y - top] for x, y in one["outline_px"]]}
            for one in inputs["regions"]
        ],
    }
    answer = catalogue.run("colour.from_photograph", moved, files=files)
    for patch in answer["patches"]:
        patch["outline_px"] = [
            [round(x + left, 2), round(y + top, 2)] for x, y in patch["outline_px"]
        ]
    return answer


def _part_of_picture(
    bench: Bench, view: View, card: View | None, inputs: dict[str, Any]
) -> tuple[dict[str, Any], Position]:
    """Return the part of a picture that holds the chart and the places, and where it begins."""
    from softmend.intake.canonical import read_canonical

    points = [*inputs["chart"]["corners_px"]]
    for one in inputs["regions"]:
        points += one["outline_px"]
    if not points:
        return {}, (0.0, 0.0)
    left = max(0, math.floor(min(x for x, _ in points)) - _MARGIN_PX)
    top = max(0, math.floor(min(y for _, y in points)) - _MARGIN_PX)
    right = min(view.width_px, math.ceil(max(x for x, _ in points)) + _MARGIN_PX)
    foot = min(view.height_px, math.ceil(max(y for _, y in points)) + _MARGIN_PX)
    if right - left < _MARGIN_PX or foot - top < _MARGIN_PX:
        raise InputError("The clicks lie outside the picture", remedy="Click on the picture")
    files = {}
    for field, kept in (("photograph_file", view), ("card_file", card)):
        if kept is None:
            continue
        if (kept.width_px, kept.height_px) != (view.width_px, view.height_px):
            raise InputError(
                "The picture of the grey card has another size than the photograph",
                value=f"{kept.width_px} × {kept.height_px} px",
                allowed=f"{view.width_px} × {view.height_px} px",
                remedy="Take both with the same camera settings",
            )
        pixels = read_canonical(bench.store.files.path(kept.canonical_sha256))
        files[field] = pixels[top:foot, left:right]
    return files, (float(left), float(top))


def _place(found: Outcome, inputs: dict[str, Any]) -> ReadPlace:
    ring = next(one["outline_px"] for one in inputs["regions"] if one["name"] == found["name"])
    lab, spread = found["lab"], found["lab_spread"]
    return ReadPlace(
        name=found["name"],
        text=found["text"],
        lab=(lab[0], lab[1], lab[2]),
        lab_spread=None if spread is None else (spread[0], spread[1], spread[2]),
        uncertainty=found["uncertain_by"],
        outline_px=tuple((float(x), float(y)) for x, y in ring),
    )
