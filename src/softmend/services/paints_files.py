"""Colour files in and out: what a file seems to hold is shown, and recorded once confirmed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from softmend.errors import InputError, NotFoundError
from softmend.records.colour_reading import ColourChart
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.paint import Paint, PaintRole, Reading, ReadingOf
from softmend.services.bench import Author, Bench
from softmend.services.computing import kept_files
from softmend.services.house_journal import HOUSE_ID
from softmend.services.paints import append_paint, as_asked, paints_in
from softmend.services.store import Reader, Writer

EVERY_PAINT = ""
"""The paint of a bare ground: it belongs to every paint of its file."""
FACTORS = {"as read": 1.0, "it was in percent": 0.01, "it was in shares of 1": 100.0}
FORMS = {
    "csv": ("text/csv; charset=utf-8", "CSV"),
    "cgats": ("text/plain; charset=utf-8", "CGATS.17"),
    "cxf": ("application/xml", "CxF3"),
}
_PLACES = (
    (ReadingOf.BARE_BLACK, r"^(?:bare black|black (?:ground|card|backing))"),
    (ReadingOf.BARE_WHITE, r"^(?:bare white|white (?:ground|card|backing))"),
    (ReadingOf.PULP_AND_SKIN, r"pulp (?:and|\+|with) (?:clear )?skin"),
    (ReadingOf.OVER_BLACK, r"\W*(?:over|on|against) black\b.*"),
    (ReadingOf.OVER_WHITE, r"\W*(?:over|on|against) white\b.*"),
    (ReadingOf.MASSTONE, r"\W*(?:mass ?tone|full ?tone)\b.*"),
    (ReadingOf.TINT, r"\W*(?:tint|reduction|with white)\b.*"),
    (ReadingOf.THICK, r"\W*(?:thick(?: pad)?|hiding|pad)\b.*"),
)


@dataclass(frozen=True)
class GuessedRow:
    """One sample of a file and what it is taken for until somebody confirms it."""

    place: int
    sample: str
    paint: str
    of: ReadingOf
    reach: str
    least: float
    most: float
    way: str
    lab: tuple[float, float, float] | None


@dataclass(frozen=True)
class Guess:
    """What a colour file seems to hold; nothing is recorded yet, the file is kept."""

    file_name: str
    file_sha256: str
    kind: str
    notes: tuple[str, ...]
    rows: tuple[GuessedRow, ...]
    without_curve: int


@dataclass(frozen=True)
class ConfirmedRow:
    """What a person says of one sample: the paint it is of, and what lay under the instrument."""

    place: int
    paint: str
    of: ReadingOf


@dataclass(frozen=True)
class Said:
    """What a person says of a whole file: its unit, and how it was measured where it is silent."""

    unit: str = "as read"
    geometry: str = NOT_KNOWN
    specular: str = NOT_KNOWN
    uv: str = NOT_KNOWN
    thickness_um: float | None = None
    paint_percent: float = 100.0
    is_invented: bool = False


def keep_colour_file(bench: Bench, path: Path) -> str:
    """Keep a colour file as it came and return its SHA-256; a file that cannot be read is not."""
    from softmend.intake.colour_file import read_colour_file

    read_colour_file(path)
    with path.open("rb") as file:
        return bench.store.files.put(file)


def guess_of_file(bench: Bench, sha256: str, file_name: str) -> Guess:
    """Return what a kept file seems to hold."""
    held = _held(bench, sha256)
    rows = tuple(
        _guessed(place, sample) for place, sample in enumerate(held.samples) if sample.values
    )
    return Guess(
        file_name=file_name,
        file_sha256=sha256,
        kind=held.kind,
        notes=tuple(held.notes),
        rows=rows,
        without_curve=len(held.samples) - len(rows),
    )


def record_guess(
    bench: Bench,
    author: Author,
    sha256: str,
    file_name: str,
    rows: Sequence[ConfirmedRow],
    said: Said,
) -> list[Entry]:
    """Record the confirmed readings of a file, each with its paint; other readings stay as well."""
    held = _held(bench, sha256)
    readings = [(row, _reading(held, row, sha256, file_name, said)) for row in rows]
    shared = tuple(one for row, one in readings if row.paint.strip() == EVERY_PAINT)
    names = list(dict.fromkeys(row.paint.strip() for row, _ in readings if row.paint.strip()))
    if not names:
        raise InputError(
            "No reading was said to be of a paint",
            remedy="Name the paint beside each reading; leave it empty for a bare ground only",
        )
    with bench.store.writing() as writer:
        entries = []
        for name in names:
            own = tuple(one for row, one in readings if row.paint.strip() == name)
            paint = _with_readings(writer, name, own, shared, said)
            entries.append(append_paint(bench, writer, author, paint))
        writer.commit()
    return entries


def exported(bench: Bench, reader: Reader, names: Sequence[str], form: str) -> bytes:
    """Return readings of some paints as a file; unlike ways of measuring never share one."""
    from softmend.exchange.colour_files import curves_cgats, curves_csv, curves_cxf

    made_at = bench.at().partition(".")[0]
    writers: dict[str, Callable[[Sequence[Reading]], bytes]] = {
        "csv": curves_csv,
        "cgats": curves_cgats,
        "cxf": partial(curves_cxf, made_at=made_at),
    }
    if form not in writers:
        raise InputError("That form is not written", value=form, allowed=", ".join(FORMS))
    wanted = [one.paint for one in paints_in(reader) if not names or one.paint.name in names]
    curves = [
        replace(one, name=f"{paint.name}, {one.of.value}")
        for paint in wanted
        for one in paint.readings
    ]
    if not curves:
        raise InputError("There is no reading to export", remedy="Import readings first")
    return writers[form](curves)


def colours_of(readings: Sequence[Reading]) -> list[tuple[float, float, float]]:
    """Return the colour of each reading for D65 and the 2° observer."""
    from softmend.services.examine.quantities import outcome

    if not readings:
        return []
    found = outcome("colour.lab", {"readings": [as_asked(one) for one in readings]})
    return [tuple(one["by_lamp"][0]["lab"]) for one in found["colours"]]


def readings_of_file(
    bench: Bench, sha256: str, file_name: str, of: ReadingOf, said: Said
) -> list[Reading]:
    """Return every curve of a kept file as a reading of one kind."""
    held = _held(bench, sha256)
    rows = [
        ConfirmedRow(place, "", of) for place, sample in enumerate(held.samples) if sample.values
    ]
    if not rows:
        raise InputError(
            "The file holds no curve",
            remedy="Export the spectra from the measuring program, not only the colours",
        )
    return [_reading(held, row, sha256, file_name, said) for row in rows]


def lamp_samples(bench: Bench, sha256: str) -> list[str]:
    """Return the names of the lamps in a kept file."""
    return [one.name for one in _held(bench, sha256).samples if one.values]


def _held(bench: Bench, sha256: str) -> Any:
    if not bench.store.files.has(sha256):
        raise NotFoundError(
            "That colour file is not here any more", remedy="Bring the file in again"
        )
    return kept_files(bench, {"readings_file": sha256})["readings_file"]


def _guessed(place: int, sample: Any) -> GuessedRow:
    paint, of = guessed_name(sample.name)
    at = sample.wavelengths_nm
    reading = Reading(
        sample.name, of, at, sample.values, sample.geometry, sample.specular, sample.uv,
        sample.backing, sample.aperture_mm, sample.readings,
    )  # fmt: skip
    return GuessedRow(
        place=place,
        sample=sample.name,
        paint=paint,
        of=of,
        reach=f"{at[0]:g} to {at[-1]:g} nm, {len(at)} values",
        least=min(sample.values),
        most=max(sample.values),
        way=reading.way,
        lab=_colour(reading),
    )


def _colour(reading: Reading) -> tuple[float, float, float] | None:
    try:
        return colours_of([reading])[0]
    except InputError:
        # What is no reflectance as it stands, such as an unscaled file, has no colour to show.
        return None


def guessed_name(name: str) -> tuple[str, ReadingOf]:
    """Return the paint that a sample's name tells of, and what seems to have been read."""
    plain = name.strip()
    for of, pattern in _PLACES:
        found = re.search(pattern, plain, re.IGNORECASE)
        if found is None:
            continue
        if of in (ReadingOf.BARE_BLACK, ReadingOf.BARE_WHITE):
            return EVERY_PAINT, of
        if of is ReadingOf.PULP_AND_SKIN:
            return plain, of
        return plain[: found.start()].strip(" ,;:-–") or plain, of
    return plain, ReadingOf.OTHER


def _reading(held: Any, row: ConfirmedRow, sha256: str, file_name: str, said: Said) -> Reading:
    if not 0 <= row.place < len(held.samples):
        raise NotFoundError("The file has no such reading", value=row.place + 1)
    if said.unit not in FACTORS:
        raise InputError("That unit is not known", value=said.unit, allowed=", ".join(FACTORS))
    sample = held.samples[row.place]
    return Reading(
        name=sample.name,
        of=row.of,
        wavelengths_nm=tuple(sample.wavelengths_nm),
        values=tuple(round(FACTORS[said.unit] * value, 8) for value in sample.values),
        geometry=_first_known(sample.geometry, said.geometry),
        specular=_first_known(sample.specular, said.specular),
        uv=_first_known(sample.uv, said.uv),
        backing=sample.backing,
        aperture_mm=sample.aperture_mm,
        readings=sample.readings,
        file_name=file_name.strip()[-200:] or NOT_KNOWN,
        file_sha256=sha256,
    )


def _first_known(of_file: str, said: str) -> str:
    """Return what the file says, else what the person says; the file is never overruled."""
    return of_file if of_file != NOT_KNOWN else (said.strip() or NOT_KNOWN)


def _with_readings(
    writer: Writer, name: str, own: tuple[Reading, ...], shared: tuple[Reading, ...], said: Said
) -> Paint:
    standing = writer.latest("paint", f"{HOUSE_ID}:paint:{name}")
    before: Paint | None = None
    if standing is not None and standing.kind == "paint" and standing.payload is not None:
        before = record_in(standing)
    pulp = any(one.of is ReadingOf.PULP_AND_SKIN for one in own)
    added = own if pulp else (*own, *shared)
    if before is not None:
        kept = tuple(one for one in before.readings if one not in added)
        thickness = said.thickness_um if said.thickness_um is not None else before.thickness_um
        return replace(before, readings=(*kept, *added), thickness_um=thickness)
    role = PaintRole.PULP if pulp else guessed_role(name)
    return Paint(
        name=name,
        role=role,
        readings=added,
        thickness_um=None if pulp else said.thickness_um,
        paint_percent=100.0 if pulp else said.paint_percent,
        is_invented=said.is_invented,
    )


def guessed_role(name: str) -> PaintRole:
    """Return what a new paint is for, as its name tells it."""
    words = name.casefold()
    if re.search(r"\bwhite\b", words):
        return PaintRole.WHITE
    if re.search(r"\bbinder\b|\bmedium\b", words):
        return PaintRole.BINDER
    return PaintRole.PAINT


def chart_of_file(
    bench: Bench, sha256: str, name: str, rows: int, columns: int, note: str
) -> ColourChart:
    """Return a chart from a file of its patches, row by row: curves, or L*, a*, b* for D50."""
    from softmend.services.examine.quantities import outcome

    held = _held(bench, sha256)
    labs = []
    for place, sample in enumerate(held.samples):
        if sample.values:
            reading = _reading(held, ConfirmedRow(place, "", ReadingOf.OTHER), sha256, "", Said())
            asked = {"readings": [as_asked(reading)], "lamps": ["D50"]}
            found = outcome("colour.lab", asked)["colours"][0]["by_lamp"][0]["lab"]
            labs.append((found[0], found[1], found[2]))
        elif sample.lab is not None:
            labs.append(sample.lab)
    return ColourChart(name.strip(), rows, columns, tuple(labs), note=note)
