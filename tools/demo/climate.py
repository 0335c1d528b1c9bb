"""Write the demo's logger files: an invented gallery, a store, and a case that lags its gallery.

Nobody read these: they are drawn from a season, a day, weather and a few events with a fixed seed,
so that the same script writes the same bytes. What a person should notice is put in by hand: a
logger handled at first, one gap, one spike.

    .venv/bin/python tools/demo/climate.py src/softmend/demo
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
START = datetime(2024, 10, 20)
HANDLED = 3
GAP = (400, 431)
SPIKE = 2650
WEATHER_DAYS = 3.0
CASE_NAME = "case-logger.txt"
CASE_FROM_DAY, CASE_DAYS, CASE_LAG_DAYS, CASE_SEED = 200, 150, 24.0, 20243


@dataclass(frozen=True)
class Air:
    """How one invented place behaves: means, half-swings of season and day, weather, events."""

    name: str
    seed: int
    days: int
    rh: float
    season: float
    daily: float
    weather: float
    degc: float
    warmer: float
    events: int


PLACES = (
    Air("gallery-logger.txt", 20241, 412, 45.0, 9.5, 2.5, 4.0, 20.5, 1.8, 7),
    Air("store-logger.txt", 20242, 96, 51.0, 3.0, 0.6, 1.6, 17.0, 1.2, 1),
)


def weather(rng: np.random.Generator, hours: int, size: float) -> Array:
    """Return a slow wandering whose values forget each other within days."""
    keep = np.exp(-1 / (24 * WEATHER_DAYS))
    pushes = rng.normal(0, size * np.sqrt(1 - keep**2), hours)
    found = np.empty(hours)
    at = rng.normal(0, size)
    for hour in range(hours):
        at = keep * at + pushes[hour]
        found[hour] = at
    return found


def air_of(place: Air) -> tuple[Array, Array]:
    """Return humidity and temperature of a place, hour by hour."""
    rng = np.random.default_rng(place.seed)
    hours = np.arange(24 * place.days)
    # The heating dries the air most in the middle of January, some 90 days after the start.
    season = -np.cos(2 * np.pi * (hours / 24 - 88) / 365.25)
    day = np.sin(2 * np.pi * (hours % 24 - 9) / 24)
    rh = place.rh + place.season * season - place.daily * day
    rh += weather(rng, hours.size, place.weather)
    degc = place.degc + place.warmer * season + 0.8 * day + rng.normal(0, 0.1, hours.size)
    for _ in range(place.events):
        begin = int(rng.integers(200, hours.size - 200))
        long = int(rng.integers(6, 60))
        rh[begin : begin + long] += rng.normal(0, 11)
    return np.clip(rh, 12, 88), degc


def written(place: Air) -> str:
    """Return the file as a logger's own program would export it: semicolons, decimal commas."""
    rh, degc = air_of(place)
    degc[:HANDLED] += (4.5, 3.0, 1.2)
    rh[:HANDLED] += (14.0, 8.0, 3.0)
    lines = [
        "Invented record: nobody read it, no place is real",
        "Clock: UTC+01:00",
        "Date;Time;T (°C);RH (%)",
    ]
    if rh.size > SPIKE:
        rh[SPIKE] += 24.0
    for hour in range(rh.size):
        if GAP[0] <= hour < GAP[1]:
            continue
        at = START + timedelta(hours=hour)
        row = f"{at:%d.%m.%Y;%H:%M};{degc[hour]:.1f};{rh[hour]:.1f}"
        lines.append(row.replace(".", ",").replace(",", ".", 2))
    return "\n".join(lines) + "\n"


def case_air() -> tuple[Array, Array]:
    """Return humidity and temperature in the gallery's case: its air, late and evened out."""
    rng = np.random.default_rng(CASE_SEED)
    rh, degc = air_of(PLACES[0])
    keep = np.exp(-1 / (24 * CASE_LAG_DAYS))
    inside = np.empty(rh.size)
    at = float(rh[: 24 * 30].mean())
    for hour in range(rh.size):
        at = keep * at + (1 - keep) * rh[hour]
        inside[hour] = at
    part = slice(24 * CASE_FROM_DAY, 24 * (CASE_FROM_DAY + CASE_DAYS))
    found = inside[part] + rng.normal(0, 0.15, 24 * CASE_DAYS)
    return found, degc[part] + 0.6


def case_written() -> str:
    """Return the case's file, from a logger of another make: commas, decimal points."""
    rh, degc = case_air()
    first = START + timedelta(days=CASE_FROM_DAY)
    lines = ["Invented record: nobody read it, no case is real", "Time (UTC+01:00),Temp °C,RH %"]
    lines += [
        f"{first + timedelta(hours=hour):%Y-%m-%d %H:%M},{degc[hour]:.1f},{rh[hour]:.1f}"
        for hour in range(rh.size)
    ]
    return "\n".join(lines) + "\n"


def main(folder: Path) -> None:
    """Write the files."""
    (folder / CASE_NAME).write_text(case_written(), "utf-8", newline="\n")
    for place in PLACES:
        (folder / place.name).write_text(written(place), "utf-8", newline="\n")
        print(folder / place.name)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
