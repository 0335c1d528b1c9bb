"""Gases both ways through a case: what it keeps out, what of its own it keeps in; and dust."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.records.showcase import Showcase
from softmend.science.climate.dust import dust_share
from softmend.science.climate.pollutant import concentration, share_from_room
from softmend.services.places.plans import Ranged
from softmend.tables import table
from softmend.tables.case_assumed import case_assumed

DAY, HOUR = 86400.0, 3600.0
KG_PER_UG = 1e-9
DISTANCES = ("first", "second", "third")


@dataclass(frozen=True)
class Gas:
    """One gas: what of the room's gets in, in percent, and what the case's own comes to.

    `own_ug_per_m3` is None where nothing inside gives it off, or how fast it goes is not known.
    """

    name: str
    harms: str
    note: str
    from_room_percent: Ranged | None
    own_ug_per_m3: Ranged | None
    kind: str
    source: str


def gases_of(case: Showcase | None) -> tuple[Gas, ...]:
    """Return both ways of a case for each gas of the table; nothing without a case."""
    if case is None:
        return ()
    told = case.exchange_per_day
    exchange = _guessed() if told is None else (told.low, told.typical, told.high)
    found = []
    for row in table("case_gases").rows:
        speed = row["deposition_m_per_h"]
        share = own = None
        if isinstance(speed, float):
            inward = [_share(one, speed) for one in exchange]
            share = Ranged(*(100 * one for one in sorted(inward)))
            if case.source_m2 > 0 and "wood" in _comes_from(str(row["comes_from"])):
                per_volume = case.source_m2 / case.volume_m3
                own = Ranged(*sorted(_own(one, speed, per_volume) for one in exchange))
        found.append(
            Gas(str(row["gas"]), str(row["harms"]), str(row["note"]), share, own,
                str(row["kind"]), f"{row['source']}, {row['where']}")
        )  # fmt: skip
    return tuple(found)


def dust_beside_path() -> tuple[tuple[float, float], ...]:
    """Return distances from the visitors' path [m] and the share of its dust there [%]."""
    rows = (case_assumed(f"{one} distance from the path") for one in DISTANCES)
    return tuple((one.typical, 100 * float(dust_share(one.typical))) for one in rows)


def assumed_of_gases() -> tuple[float, float, str]:
    """Return what the gases rest on: surface [m2/m3], acid given off [ug/(m2 h)], and its mark."""
    loading, emission = case_assumed("surface that takes a gas up"), case_assumed("acid given off")
    return loading.typical, emission.typical, f"{loading.kind}, {loading.source}"


def _guessed() -> tuple[float, float, float]:
    return case_assumed("air exchange").points


def _comes_from(text: str) -> str:
    return text + " wood" if "oak" in text or "paint" in text else text


def _share(a_day: float, speed_m_h: float) -> float:
    return float(share_from_room(a_day / DAY, speed_m_h / HOUR, _loading()))


def _own(a_day: float, speed_m_h: float, per_volume: float) -> float:
    emission = case_assumed("acid given off").typical * KG_PER_UG / HOUR
    found = concentration(a_day / DAY, emission, per_volume, speed_m_h / HOUR, _loading())
    return float(found) / KG_PER_UG


def _loading() -> float:
    return case_assumed("surface that takes a gas up").typical
