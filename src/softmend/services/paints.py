"""Paints, lamps and colour charts of the house: what is there, and what is still missing of each.

They stand in the house's journal of materials, so every bench on one store shares them.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from softmend.errors import NotFoundError
from softmend.records.colour_reading import ColourChart, checked_chart
from softmend.records.entry import Entry
from softmend.records.lamp import Lamp, LampPlace, checked_lamp
from softmend.records.paint import Paint, PaintRole, Reading, ReadingOf, checked_paint
from softmend.services.bench import Author, Bench
from softmend.services.house_journal import (
    HOUSE_ID,
    house_is_open,
    opened_house,
    record_in_house,
)
from softmend.services.recording import append_record, current_records
from softmend.services.store import Reader, Writer

# The sets of readings from which K and S come, the best for a translucent skin first.
SETS: tuple[tuple[ReadingOf, ...], ...] = (
    (ReadingOf.OVER_BLACK, ReadingOf.OVER_WHITE, ReadingOf.BARE_BLACK, ReadingOf.BARE_WHITE),
    (ReadingOf.OVER_BLACK, ReadingOf.THICK),
    (ReadingOf.MASSTONE, ReadingOf.TINT, ReadingOf.WHITE_THICK),
)
FIELDS = {
    ReadingOf.OVER_BLACK: "over_black",
    ReadingOf.OVER_WHITE: "over_white",
    ReadingOf.BARE_BLACK: "black",
    ReadingOf.BARE_WHITE: "white",
    ReadingOf.THICK: "hiding",
    ReadingOf.MASSTONE: "masstone",
    ReadingOf.TINT: "tint",
    ReadingOf.WHITE_THICK: "white_hiding",
}


@dataclass(frozen=True)
class KeptPaint:
    """One paint of the house with the entry that says so."""

    entry_id: str
    subject_id: str
    paint: Paint

    @property
    def set(self) -> tuple[ReadingOf, ...]:
        """Return the whole set of readings that it has, or () when it has none."""
        there = {one.of for one in self.paint.readings}
        return next((one for one in SETS if there >= set(one)), ())

    @property
    def lacks(self) -> str:
        """Return what it still needs before a recipe can be searched with it, or ""."""
        if self.paint.role is PaintRole.PULP:
            there = self.paint.reading(ReadingOf.PULP_AND_SKIN)
            return "" if there else "a reading of pulp and clear skin, from the same press"
        if not self.set:
            there_of = {one.of for one in self.paint.readings}
            missing = [one.value for one in SETS[0] if one not in there_of]
            return f"readings: {', '.join(missing)}"
        if ReadingOf.TINT in self.set:
            is_told = self.paint.paint_in_tint_percent is not None
            return "" if is_told else "the share of paint in the tint"
        return "" if self.paint.thickness_um is not None else "the dry thickness of its films"


@dataclass(frozen=True)
class KeptLamp:
    """One lamp of the house with the entry that says so."""

    entry_id: str
    subject_id: str
    lamp: Lamp


@dataclass(frozen=True)
class KeptChart:
    """One colour chart of the house with the entry that says so."""

    entry_id: str
    subject_id: str
    chart: ColourChart


def paints_in(reader: Reader) -> list[KeptPaint]:
    """Return the paints of the house: paints, whites, binders, pulps, each by name."""
    order = list(PaintRole)
    found = [KeptPaint(*one) for one in _kept(reader, "paint")]
    return sorted(found, key=lambda one: (order.index(one.paint.role), one.paint.name.casefold()))


def lamps_in(reader: Reader) -> list[KeptLamp]:
    """Return the lamps of bench and gallery, by name."""
    found = [KeptLamp(*one) for one in _kept(reader, "lamp")]
    return sorted(found, key=lambda one: one.lamp.name.casefold())


def charts_in(reader: Reader) -> list[KeptChart]:
    """Return the house's own colour charts, by name."""
    found = [KeptChart(*one) for one in _kept(reader, "colour_chart")]
    return sorted(found, key=lambda one: one.chart.name.casefold())


def paint_named(reader: Reader, name: str) -> KeptPaint:
    """Return one paint by its name; NotFoundError names those that there are."""
    paints = paints_in(reader)
    found = next((one for one in paints if one.paint.name == name), None)
    if found is None:
        raise NotFoundError(
            "There is no paint of that name here",
            value=name,
            allowed=", ".join(one.paint.name for one in paints) or "none yet",
        )
    return found


def record_paint(bench: Bench, author: Author, paint: Paint, based_on: str = "") -> Entry:
    """Record one paint; a further version of the same name replaces it."""
    return _record(bench, author, f"paint:{paint.name.strip()}", checked_paint(paint), based_on)


def record_lamp(bench: Bench, author: Author, lamp: Lamp, based_on: str = "") -> Entry:
    """Record one lamp of bench or gallery."""
    checked = checked_lamp(lamp)
    if checked.standard:
        check_standard(checked.standard)
    return _record(bench, author, f"lamp:{checked.name.strip()}", checked, based_on)


def record_chart(bench: Bench, author: Author, chart: ColourChart, based_on: str = "") -> Entry:
    """Record a colour chart of the house's own."""
    return _record(bench, author, f"chart:{chart.name.strip()}", checked_chart(chart), based_on)


def append_paint(bench: Bench, writer: Writer, author: Author, paint: Paint) -> Entry:
    """Record a paint inside an open transaction, on whatever stands there now."""
    subject_id = f"{HOUSE_ID}:paint:{paint.name.strip()}"
    standing = writer.latest("paint", subject_id)
    return append_record(
        bench,
        writer,
        author,
        dossier_id=opened_house(bench, writer, author),
        subject_id=subject_id,
        record=checked_paint(paint),
        based_on=standing.id if standing else "",
    )


def check_standard(name: str) -> None:
    """Refuse a lamp that is not in the CIE's set."""
    from softmend.catalogue.colour_reading import lamp_names

    if name not in lamp_names():
        raise NotFoundError(
            "That lamp is not in the CIE's set", value=name, allowed=", ".join(lamp_names())
        )


def as_asked(reading: Reading) -> dict[str, Any]:
    """Return a reading as a computation takes it, with how it was measured."""
    return {
        "name": reading.name,
        "wavelengths_nm": list(reading.wavelengths_nm),
        "reflectance": list(reading.values),
        "unit": "fraction",
        "geometry": reading.geometry,
        "specular": reading.specular if reading.specular in SPECULAR else "not known",
        "uv": reading.uv,
    }


SPECULAR = ("included", "excluded")


def drawdowns_of(kept: KeptPaint) -> dict[str, Any]:
    """Return the drawdowns of a paint as tint.characterise takes them."""
    paint = kept.paint
    found: dict[str, Any] = {"paint_percent": paint.paint_percent}
    for of in kept.set:
        reading = paint.reading(of)
        if reading is not None:
            found[FIELDS[of]] = as_asked(reading)
    if paint.cards_are_matte:
        found["bare_surface"] = {"k1": 0, "k2": 0}
    if paint.thickness_um is not None:
        found["thickness_um"] = paint.thickness_um
    if paint.paint_in_tint_percent is not None:
        found["paint_in_tint_percent"] = paint.paint_in_tint_percent
    return found


def used_readings(paints: Iterable[KeptPaint]) -> tuple[Reading, ...]:
    """Return the readings that a recipe with some paints rests on."""
    found = []
    for kept in paints:
        wanted = kept.set or (ReadingOf.PULP_AND_SKIN,)
        found += [kept.paint.reading(of) for of in wanted]
    return tuple(one for one in found if one is not None)


def usual_lamps() -> tuple[tuple[str, LampPlace], ...]:
    """Return the lamps that are taken while the house has named none of its own."""
    return (
        ("D65", LampPlace.DAYLIGHT),
        ("LED-B2", LampPlace.GALLERY),
        ("FL11", LampPlace.BENCH),
    )


def _kept(reader: Reader, kind: str) -> list[tuple[str, str, Any]]:
    if not house_is_open(reader):
        return []
    return [
        (entry.id, entry.subject_id, record)
        for entry, record in current_records(reader, HOUSE_ID, kind)
    ]


def _record(bench: Bench, author: Author, subject: str, record: object, based_on: str) -> Entry:
    return record_in_house(bench, author, f"{HOUSE_ID}:{subject}", record, based_on)
