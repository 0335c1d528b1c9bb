"""A logger's file on its way in: how it reads on one screen, to be confirmed before it counts."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import Response
from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.logger_file import Beside, LoggerFile
from softmend.services.places.house import cases_in, place_of
from softmend.services.places.reading import (
    Guess,
    confirm,
    confirm_each,
    first_lines,
    guessed,
    take_in,
)
from softmend.web.answering import go_on
from softmend.web.caller import BenchHere, Id, PersonHere
from softmend.web.numbers import known, maybe_number
from softmend.web.rendering import render
from softmend.web.uploads import received
from softmend.web.words import said as _

router = APIRouter()

Line = Annotated[str, Field(max_length=200)]
Lines = Annotated[list[Line], Field(max_length=200)]
Sha = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
DELIMITERS = ("comma", "semicolon", "tab", "bar", "blanks")
DECIMALS = ("point", "comma")
ORDERS = ("day first", "month first", "year first")
TEMPERATURES = ("°C", "°F", "K")
HUMIDITIES = ("%", "share")
MEANINGS = ("temperature", "relative humidity", "carbon dioxide", "light", "logger", "not used")


class StatedForm(BaseModel):
    """What a person states of a file; an empty answer leaves the guess standing."""

    name: Line = ""
    delimiter: Line = ""
    decimal: Line = ""
    day_order: Line = ""
    zone: Line = ""
    temperature_unit: Line = ""
    humidity_unit: Line = ""
    counted_from: Line = ""
    column: Annotated[list[Line], Field(max_length=200)] = []
    meaning: Annotated[list[Line], Field(max_length=200)] = []

    def stated(self) -> dict[str, Any]:
        """Return the answers as the reader takes them."""
        chosen = {
            "delimiter": self.delimiter,
            "decimal": self.decimal,
            "day_order": self.day_order,
            "zone": self.zone.strip(),
            "temperature_unit": self.temperature_unit,
            "humidity_unit": self.humidity_unit,
            "counted_from": self.counted_from.strip(),
        }
        found: dict[str, Any] = {name: value for name, value in chosen.items() if value}
        pairs = zip(self.column, self.meaning, strict=False)
        meanings = {column: meaning for column, meaning in pairs if column and meaning}
        return found | ({"meanings": meanings} if meanings else {})


class ConfirmForm(StatedForm):
    """The confirmed reading with the logger's own facts."""

    logger: Line = ""
    hangs: Line = ""
    rh_offset_percent: Line = ""
    temperature_offset_degc: Line = ""
    calibrated_on: Line = ""
    calibrated_how: Line = ""
    sensor_percent: Line = ""
    seen: Line = ""
    each_in_file: Lines = []
    each_logger: Lines = []
    each_hangs: Lines = []
    each_rh_offset: Lines = []
    each_temperature_offset: Lines = []

    def each(self, place_id: str, sha256: str) -> dict[str, LoggerFile]:
        """Return a record for each logger of the file that got a name."""
        rows = (self.each_in_file, self.each_logger, self.each_hangs, self.each_rh_offset,
                self.each_temperature_offset)  # fmt: skip
        if len({len(one) for one in rows}) > 1:
            raise InputError("The table of loggers is not whole", remedy="Load the page again")
        found = {}
        for in_file, logger, hangs, percent, kelvin in zip(*rows, strict=True):
            if logger.strip():
                told = {"logger": logger, "hangs": hangs, "rh_offset_percent": percent,
                        "temperature_offset_degc": kelvin}  # fmt: skip
                found[in_file] = self.model_copy(update=told).record(place_id, sha256)
        return found

    def record(self, place_id: str, sha256: str) -> LoggerFile:
        """Return the record that the reading fills in; `hangs` is the room, or a case by its id."""
        offset = maybe_number(self.rh_offset_percent, _("The offset of humidity"), "%RH", -20, 20)
        warmer = maybe_number(
            self.temperature_offset_degc, _("The offset of temperature"), "K", -10, 10
        )
        sensor = maybe_number(self.sensor_percent, _("The sensor's error"), "%RH", 0, 20)
        return LoggerFile(
            place_id=place_id,
            logger=self.logger.strip(),
            original_name=self.name or "logger file",
            original_sha256=sha256,
            delimiter="",
            decimal="",
            day_order="",
            zone="",
            temperature_unit="",
            humidity_unit="",
            start_at="",
            end_at="",
            reading_count=0,
            step_hours=0.0,
            coverage_percent=0.0,
            beside=Beside.CASE if self.hangs else Beside.ROOM,
            showcase_id=self.hangs,
            rh_offset_percent=offset or 0.0,
            temperature_offset_degc=warmer or 0.0,
            calibrated_on=known(self.calibrated_on),
            calibrated_how=known(self.calibrated_how),
            sensor_percent=3.0 if sensor is None else sensor,
        )


@router.post("/places/{place_id}/files")
def take(
    request: Request, bench: BenchHere, person: PersonHere, place_id: Id, readings: UploadFile
) -> Response:
    """Keep a file as it is, and go on to how it reads."""
    with bench.store.reading() as reader:
        place_of(reader, place_id)
    with received(bench, readings) as path:
        sha256 = take_in(bench, path)
    name = (readings.filename or "logger file")[:200]
    asked = urlencode({"name": name})
    return go_on(request, f"/places/{place_id}/files/{sha256}?{asked}")


@router.get("/places/{place_id}/files/{sha256}")
def look(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    sha256: str,
    asked: Annotated[StatedForm, Query()],
) -> Response:
    """Show how a file reads, with its first rows, what stood out and what is asked."""
    with bench.store.reading() as reader:
        place = place_of(reader, place_id)
        cases = cases_in(reader, place_id)
    stated = asked.stated()
    guess = guessed(bench, _hash(sha256), asked.name, stated)
    lines = first_lines(bench, sha256)
    return render(
        request,
        "places/bring_in.html",
        place=place,
        cases=cases,
        guess=guess,
        lines=lines,
        asked=asked,
        stated=stated,
        questions=_questions(guess, asked, place.place.zone),
        meanings=MEANINGS,
        columns=_columns(guess.answer, asked),
    )


@router.post("/places/{place_id}/files/{sha256}")
def confirm_reading(
    request: Request,
    bench: BenchHere,
    person: PersonHere,
    place_id: Id,
    sha256: str,
    form: Annotated[ConfirmForm, Form()],
) -> Response:
    """Record the file as it was confirmed; a zone that nobody named is not taken for granted."""
    stated = form.stated()
    if not form.zone.strip():
        raise InputError(
            "The clock of the logger is not confirmed",
            allowed="UTC, an offset such as UTC+01:00, or a zone such as Europe/Oslo",
            remedy="Say which clock the logger kept",
        )
    if form.each_in_file:
        confirm_each(bench, person.author, form.each(place_id, _hash(sha256)), stated)
    else:
        confirm(bench, person.author, form.record(place_id, _hash(sha256)), stated)
    return go_on(request, f"/places/{place_id}")


def _hash(text: str) -> str:
    if len(text) != 64 or not set(text) <= set("0123456789abcdef"):
        raise InputError("This names no file", value=text[:80])
    return text


def _questions(guess: Guess, asked: StatedForm, zone: str) -> list[dict[str, Any]]:
    """Return what is asked: name, words, choices, what stands, and what it rests on."""
    found = guess.answer or {}
    place_zone = "" if zone == NOT_KNOWN else zone
    is_told = found.get("zone_from", "") != "nothing in the file"
    clock = asked.zone or (found.get("zone", "") if is_told else "")
    return [
        {"name": "delimiter", "words": _("Between values stands"), "choices": DELIMITERS,
         "stands": asked.delimiter or found.get("delimiter", ""), "from": ""},
        {"name": "decimal", "words": _("Decimal sign"), "choices": DECIMALS,
         "stands": asked.decimal or found.get("decimal", ""), "from": ""},
        {"name": "day_order", "words": _("Order of the date"), "choices": ORDERS,
         "stands": asked.day_order or found.get("day_order", ""),
         "from": found.get("day_order_from", "")},
        {"name": "temperature_unit", "words": _("Temperature in"), "choices": TEMPERATURES,
         "stands": asked.temperature_unit or found.get("temperature_unit", ""), "from": ""},
        {"name": "humidity_unit", "words": _("Humidity in"), "choices": HUMIDITIES,
         "stands": asked.humidity_unit or _humidity_unit(found), "from": ""},
        *_start_asked(guess, asked),
        {"name": "zone", "words": _("The logger's clock"), "choices": (),
         "stands": clock or place_zone, "from": found.get("zone_from", ""),
         "hint": _("As UTC, UTC+01:00 or Europe/Oslo.")},
    ]  # fmt: skip


def _start_asked(guess: Guess, asked: StatedForm) -> list[dict[str, Any]]:
    """Return the question of the start, where the rows count their time from one."""
    told = (guess.answer or {}).get("time_told", "")
    if not (asked.counted_from or guess.is_for_start or told.startswith("counted from")):
        return []
    return [
        {"name": "counted_from", "words": _("Time is counted from"), "choices": (),
         "stands": asked.counted_from, "from": "" if asked.counted_from else told,
         "hint": _("As 2024-03-15 22:00, by the logger's clock.")},
    ]  # fmt: skip


def _humidity_unit(found: Any) -> str:
    units = [
        one["unit"] for one in found.get("columns", ()) if one["meaning"] == "relative humidity"
    ]
    return "share" if units and units[0] not in ("%", "") else "%" if units else ""


def _columns(answer: Any, asked: StatedForm) -> list[tuple[str, str, str]]:
    """Return each column of the file: its name, what it was taken for, what was stated of it."""
    told = dict(zip(asked.column, asked.meaning, strict=False))
    return [
        (one["name"], one["meaning"], told.get(one["name"], ""))
        for one in (answer or {}).get("columns", ())
    ]
