"""Gases both ways through a case: what it keeps out, what of its own it keeps in; and dust."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.records.showcase import Showcase
from softmend.science.climate.dust import dust_share
from softmend.science.climate.pollutant import concentration, share_from_room
from softmend.services.places.plans import Ranged
from softmend.tables import table

DAY, HOUR = 86400.0, 3600.0
GUESSED = (0.3, 1.0, 3.0)
"""Air changes a day of a case that nobody measured; estimated."""
LOADING = 6.0
"""Surface that takes a gas up, in each m3 of a case [m2/m3]; estimated."""
EMISSION = 10e-9 / HOUR
"""Acid given off by wood or fresh paint [kg/(m2 s)], 10 ug/(m2 h); estimated."""
UG_PER_KG = 1e9
DISTANCES_M = (0.5, 1.0, 1.5)


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
    exchange = GUESSED if told is None else (told.low, told.typical, told.high)
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
    return tuple((one, 100 * float(dust_share(one))) for one in DISTANCES_M)


def _comes_from(text: str) -> str:
    return text + " wood" if "oak" in text or "paint" in text else text


def _share(a_day: float, speed_m_h: float) -> float:
    return float(share_from_room(a_day / DAY, speed_m_h / HOUR, LOADING))


def _own(a_day: float, speed_m_h: float, per_volume: float) -> float:
    found = concentration(a_day / DAY, EMISSION, per_volume, speed_m_h / HOUR, LOADING)
    return UG_PER_KG * float(found)
