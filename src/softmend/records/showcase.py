"""A showcase of the house: volume, exchange measured or guessed, buffer, warming, gel routine."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.crack_model import Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.place import check_told


@dataclass(frozen=True)
class Showcase:
    """One case in a place of the house; what is left out stays wide and is said so.

    `start_percent` is the humidity that its buffer was brought to; None: the room's own.
    `source_m2` is what gives off gases inside, such as wood or fresh paint, by its face.
    `buffer_from` is what the mass of the buffer rests on: weighed in, or computed for what.
    """

    place_id: str
    name: str
    volume_m3: float
    exchange_per_day: Told | None = None
    buffer: str = NOT_KNOWN
    buffer_kg: float = 0.0
    capacity_g_per_kg: Told | None = None
    warming_k: Told | None = None
    start_percent: float | None = None
    source_m2: float = 0.0
    gel_checked_every_days: float | None = None
    gel_conditioned_on: str = NOT_KNOWN
    gel_routine: str = NOT_KNOWN
    note: str = NOT_KNOWN
    buffer_from: str = NOT_KNOWN


SHOWCASE_LIMITS: dict[str, tuple[str, str, float, float]] = {
    "exchange_per_day": ("The air exchange", "changes a day", 0.001, 500),
    "capacity_g_per_kg": ("What the buffer takes up", "g/kg for each %RH", 0.01, 50),
    "warming_k": ("How much warmer it is than the room", "K", -5, 20),
}


def checked_showcase(case: Showcase) -> Showcase:
    """Return a case if it has a name and a volume, and a buffer says what it takes up."""
    if not 0 < len(case.name.strip()) <= 120:
        raise InputError("A case needs a name", value=case.name[:50], allowed="1 to 120 characters")
    for words, value, most, unit in (
        ("The volume of the case", case.volume_m3, 1000.0, "m³"),
        ("The mass of the buffer", case.buffer_kg, 1e5, "kg"),
        ("What gives off gases", case.source_m2, 1e4, "m²"),
    ):
        least = 0.001 if unit == "m³" else 0.0
        if not least <= value <= most:
            raise InputError(
                f"{words} is outside what is possible",
                value=f"{value:g} {unit}",
                allowed=f"{least:g} to {most:g} {unit}",
                remedy="Correct the number",
            )
    for name, (words, unit, least, most) in SHOWCASE_LIMITS.items():
        told: Told | None = getattr(case, name)
        if told is not None:
            check_told(told, words, unit, least, most)
    if case.buffer_kg > 0 and case.capacity_g_per_kg is None:
        raise InputError(
            "What the buffer takes up is not given",
            allowed="g for each kg and %RH, with where it is from",
            remedy="Ask the supplier for the figure corrected for hysteresis",
        )
    if case.start_percent is not None and not 0 <= case.start_percent <= 100:
        raise InputError(
            "The humidity that the buffer was brought to is impossible",
            value=f"{case.start_percent:g} %RH",
            allowed="0 to 100 %RH",
        )
    return case
