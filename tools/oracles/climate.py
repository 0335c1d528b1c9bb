"""Moist air and showcases by other programs: the oracle of `softmend.science.climate`.

    python -m tools.oracles.climate

writes tests/checks/softmend-climate-oracle.csv; the tests compute some of it live. Nothing of the
package goes in: psychrolib and CoolProp for air, a stiff integrator of scipy for cases.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import itertools
from collections.abc import Iterator
from pathlib import Path

import CoolProp.CoolProp
import numpy as np
import psychrolib
from scipy.integrate import solve_ivp

OUT = Path(__file__).parents[2] / "tests" / "checks" / "softmend-climate-oracle.csv"
PRESSURE = 101_325.0
AIRS = ((5.0, 80.0), (10.0, 80.0), (20.0, 50.0), (25.0, 65.0), (30.0, 95.0), (40.0, 20.0))
CASES = {"leaky": (10.0, 0.0), "ordinary": (1.0, 0.0), "wood": (1.0, 4.0), "tight gel": (0.2, 8.0)}
CAPACITY, DRIFT, WARMING, DAYS = 2e-3, 0.2, 1.5, 20

Row = tuple[str, str, str, str, str, str]


def row(name: str, inputs: str, value: float, tolerance: float, by: str) -> Row:
    """Return one line of the file."""
    return name, inputs, f"{value:.9g}", f"{tolerance:.3g}", "recomputed", by


def air_rows() -> Iterator[Row]:
    """Yield saturation, dew points, ratios, volumes and heats by two libraries."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    for t in (0.01, 5.0, 20.0, 25.0, 50.0):
        own = psychrolib.GetSatVapPres(t)
        yield row(f"saturation_{t:g}", f"{t:g} C; Pa", own, 1e-6 * own, "psychrolib")
        real = CoolProp.CoolProp.PropsSI("P", "T", t + 273.15, "Q", 0, "Water")
        yield row(f"saturation_real_{t:g}", f"{t:g} C; Pa", real, 3.2e-4 * real, "CoolProp")
    for t, rh in AIRS:
        given = f"{t:g} C; {rh:g} %RH"
        name = f"{t:g}_{rh:g}"
        dew = psychrolib.GetTDewPointFromRelHum(t, rh / 100)
        yield row(f"dew_{name}", f"{given}; C", dew, 2e-3, "psychrolib")
        ratio = psychrolib.GetHumRatioFromRelHum(t, rh / 100, PRESSURE)
        yield row(f"ratio_{name}", f"{given}; kg/kg", ratio, 1e-6 * ratio, "psychrolib")
        volume = psychrolib.GetMoistAirVolume(t, ratio, PRESSURE)
        yield row(f"volume_{name}", f"{given}; m3/kg", volume, 1e-5 * volume, "psychrolib")
        heat = psychrolib.GetMoistAirEnthalpy(t, ratio)
        yield row(f"heat_{name}", f"{given}; J/kg", heat, 1e-4 * abs(heat) + 1, "psychrolib")
        real = CoolProp.CoolProp.HAPropsSI("W", "T", t + 273.15, "R", rh / 100, "P", PRESSURE)
        yield row(f"ratio_real_{name}", f"{given}; kg/kg", real, 5.5e-3 * real, "CoolProp")
        dew = CoolProp.CoolProp.HAPropsSI("D", "T", t + 273.15, "R", rh / 100, "P", PRESSURE)
        yield row(f"dew_real_{name}", f"{given}; C", dew - 273.15, 0.015, "CoolProp")


def density(t: float) -> float:
    """Return the vapour of saturated air for each %RH [kg/m3], by psychrolib."""
    return float(psychrolib.GetSatVapPres(t)) / (100 * 461.5 * (t + 273.15))


def room(hour: float) -> tuple[float, float]:
    """Return humidity [%] and temperature [degC] of an invented room."""
    day = hour / 24
    return 50 + 12 * np.sin(day / 3) + 4 * np.sin(2 * np.pi * day), 20 + 2 * np.sin(day / 4)


def case_end(exchange: float, buffer: float) -> float:
    """Return the humidity of a case after some days, the room straight between full hours."""
    hours = np.arange(DAYS * 24 + 1, dtype=np.float64).tolist()
    vapour = np.array([room(h)[0] * density(room(h)[1]) for h in hours])
    held = buffer * CAPACITY

    def water(rh: float, t: float) -> float:
        return density(t) * rh + held * (rh - DRIFT * (t - 20.0))

    def humidity(mass: float, t: float) -> float:
        return (mass + held * DRIFT * (t - 20.0)) / (density(t) + held)

    mass = water(50.0, room(0)[1] + WARMING)
    for start, end in itertools.pairwise(hours):
        t = room(end)[1] + WARMING

        def flow(h: float, m: np.ndarray, t: float = t) -> np.ndarray:
            outside = np.interp(h, hours, vapour)
            return exchange / 24 * (outside - density(t) * humidity(float(m[0]), t))

        mass = solve_ivp(flow, (start, end), [mass], rtol=1e-11, atol=1e-14).y[0, -1]
    return float(humidity(mass, room(hours[-1])[1] + WARMING))


def case_rows() -> Iterator[Row]:
    """Yield the humidity in cases after twenty days, by a general integrator."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    for name, (exchange, buffer) in CASES.items():
        given = f"N {exchange:g} a day; {buffer:g} kg/m3; {DAYS} d; %RH"
        yield row(f"case_{name}", given, case_end(exchange, buffer), 1e-5, "scipy solve_ivp")


def main() -> int:
    """Write the file."""
    with OUT.open("w", encoding="utf-8", newline="") as file:
        lines = csv.writer(file, lineterminator="\n")
        lines.writerow(("name", "inputs", "expected", "tolerance", "kind", "where"))
        lines.writerows([*air_rows(), *case_rows()])
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
