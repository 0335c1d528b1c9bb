"""Extreme but well-formed numbers are answered or refused in one sentence; nothing breaks."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
import warnings
from itertools import product

import pytest

from softmend import catalogue
from softmend.errors import SoftmendError

EXTREMES = (-1e9, -1.0, 0.0, 1e-9, 0.5, 40.0, 1e5, 1e9)
HOURS = [float(h) for h in range(60)]
AIR = [50.0 + 10 * math.sin(h) for h in HOURS]
RECORD = {"air_hours": HOURS, "air_percent": AIR}
BODY = {"form": "cylinder", "size_mm": 30, "diffusivity_mm2_per_day": 4}
CASE = {"volume_m3": 1, "buffer_kg": 4, "exchange_per_day": 0.5, "capacity_g_per_kg": 2,
        "warming_k": 0.5, "buffer_drift": 0.2}  # fmt: skip
GEL = {"volume_m3": 1, "exchange_per_day": 1, "capacity_g_per_kg": 2, "capacity_from": "batch",
       "room_percent": 35, "set_percent": 50, "drift_percent": 5, "held_days": 90,
       "room_swing_percent": 15, "wanted_swing_percent": 5}  # fmt: skip
DECAY = [420 + 4000 * math.exp(-h / 24) for h in HOURS]
LIT = {"what": "lamps", "light_lux": 50, "hours_a_day": 8, "days_a_year": 300,
       "ultraviolet_uw_per_lm": 10}  # fmt: skip


def answered(name: str, payload: dict) -> str:
    """Return the answer's word, or the refusal; a warning of numpy is an error here."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            return str(catalogue.run(name, payload)["answer"])
        except SoftmendError as refused:
            return refused.sentence()


def varied() -> list[tuple[str, dict]]:
    """Return each computation with each of its numbers at each extreme."""
    found: list[tuple[str, dict]] = []
    for value in EXTREMES:
        for name in ("temperature_degc", "rh_percent", "other_degc", "pressure_kpa"):
            plain = {"temperature_degc": 20, "rh_percent": 50, "other_degc": 25}
            found.append(("climate.air", plain | {name: value}))
        for name, place in product(("air_hours", "air_percent", "air_degc"), (0, 30, 59)):
            values = {"air_degc": [20.0] * 60} | RECORD
            values = values | {name: [*values[name][:place], value, *values[name][place + 1 :]]}
            found.append(("climate.band", values))
            found.append(("climate.response", values | {"body": BODY}))
            found.append(
                ("showcase.simulate", values | {"case": CASE, "body": BODY, "samples": 50})
            )
        for name in BODY.keys() - {"form"}:
            body = BODY | {name: value}
            found.append(("climate.response", RECORD | {"body": body}))
            found.append(("coating.worth", {"body": body, "case": CASE}))
        for name in CASE:
            case = CASE | {name: value}
            found.append(("coating.worth", {"body": BODY, "case": case}))
            plain = RECORD | {"room_degc": 20, "case": case, "samples": 50}
            found.append(("showcase.simulate", plain))
        found += [
            ("showcase.buffer", GEL | {name: value}) for name in GEL if name != "capacity_from"
        ]
        for place in (0, 30, 59):
            read = [*DECAY[:place], value, *DECAY[place + 1 :]]
            found.append(("showcase.air_exchange", {"tracer_hours": HOURS, "tracer_ppm": read}))
            times = [*HOURS[:place], value, *HOURS[place + 1 :]]
            found.append(("showcase.air_exchange", {"tracer_hours": times, "tracer_ppm": DECAY}))
        for name in LIT.keys() - {"what"}:
            plan = {"plan": [LIT | {name: value}], "parts": [{"part": "undyed ivory"}]}
            found.append(("light.budget", plan))
    return found


@pytest.mark.parametrize("name", sorted({name for name, _ in varied()}))
def test_extreme_numbers_are_answered_or_refused(name: str) -> None:
    told = [answered(name, payload) for one, payload in varied() if one == name]
    assert all(word in {"answer", "cannot say"} or word.endswith(".") for word in told)
    assert any(word == "answer" or word == "cannot say" for word in told)
