"""Openings and records through the catalogue, in millimetres and days."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pytest

from softmend import catalogue
from softmend.errors import InputError

DRYING = {"before_percent": 50, "after_percent": 40}
MODEL = {**DRYING, "radius_mm": 50, "radial_percent": 0.01, "tangential_percent": 0.025}
READINGS = {
    "first_width_mm": 1.0,
    "second_width_mm": {"value": {"value": 1.2, "expanded": 0.02}},
    "first_percent": 55,
    "second_percent": 45,
}


def test_a_slit_opens_on_drying_when_it_moves_more_round_than_across() -> None:
    found = catalogue.run("moisture.opening", MODEL)
    assert found["used"] == "modelled"
    assert found["opening_mm"]["mean"] == pytest.approx(2 * math.pi * 50 * 0.0015)
    damp = catalogue.run("moisture.opening", {**MODEL, "before_percent": 40, "after_percent": 50})
    assert damp["opening_mm"]["mean"] == pytest.approx(-found["opening_mm"]["mean"])


def test_a_held_slab_opens_by_its_own_shrinkage() -> None:
    given = {**DRYING, "held": "held slab", "spacing_mm": 100, "tangential_percent": 0.04}
    found = catalogue.run("moisture.opening", given)
    assert found["opening_mm"]["mean"] == pytest.approx(100 * 0.0004 * 10)


def test_measured_beats_modelled_and_both_are_shown() -> None:
    found = catalogue.run("moisture.opening", {**MODEL, "readings": READINGS})
    assert found["used"] == "measured"
    assert found["opening_mm"]["mean"] == pytest.approx(0.2, rel=0.01)
    assert found["per_percent_mm"]["mean"] == pytest.approx(0.02, rel=0.01)
    assert found["modelled_mm"]["mean"] == pytest.approx(0.471, rel=0.01)
    assert (
        "The measured opening was used, not the free strains given beside it." in found["warnings"]
    )


def test_a_sign_that_is_not_known_is_said_and_a_measurement_settles_it() -> None:
    unsure = {"value": {"family": "random_sign", "median": 0.015, "cv": 0.6}}
    found = catalogue.run(
        "moisture.opening", {**DRYING, "radius_mm": 50, "mismatch_percent": unsure}
    )
    assert "Whether the crack opens or closes is not known." in found["warnings"]
    assert found["opening_mm"]["low"] == pytest.approx(-found["opening_mm"]["high"], rel=0.05)
    settled = catalogue.run(
        "moisture.opening",
        {**DRYING, "radius_mm": 50, "mismatch_percent": unsure, "readings": READINGS},
    )
    assert settled["opening_mm"]["expanded"] < found["opening_mm"]["expanded"] / 10


def test_a_gauge_beside_a_logger_gives_a_lag_in_days() -> None:
    hours = np.arange(0, 24 * 300, 12.0)
    air = 50 + 8 * np.sin(hours / 24 / 9)
    widths = 1 - 0.02 * (air - 50)
    record = {
        "taken_hours": hours[60::24].tolist(),
        "widths_mm": widths[60::24].tolist(),
        "air_hours": hours.tolist(),
        "air_percent": air.tolist(),
    }
    found = catalogue.run("moisture.opening", {**DRYING, "record": record})
    assert found["per_percent_mm"]["mean"] == pytest.approx(0.02, rel=0.02)
    assert found["lag_high_days"] < 1


def test_with_nothing_known_it_cannot_say() -> None:
    found = catalogue.run("moisture.opening", DRYING)
    assert found["answer"] == "cannot say"
    assert found["reasons"] == [
        "Neither a measured opening nor radius and free strains are given; measure the crack's "
        "width at two humidities."
    ]


def test_a_tusk_feels_a_part_of_the_season() -> None:
    air = (50 + 15 * np.sin(2 * np.pi * np.arange(730) / 365)).tolist()
    given = {
        "form": "cylinder",
        "size_mm": 30,
        "diffusivity_mm2_per_day": {"value": {"family": "log_normal", "median": 0.69, "cv": 1.3}},
        "step_hours": 24,
        "air_percent": air,
        "placed_percent": 50,
    }
    found = catalogue.run("moisture.response", given)
    assert found["air_fall_percent"] == pytest.approx(15, abs=0.01)
    assert 0 < found["felt_fall_percent"]["typical"] < 15
    assert found["half_time_days"]["typical"] == pytest.approx(82, rel=0.02)
    assert len(found["mean_percent"]) == len(found["core_percent"]) == 730
    assert min(found["core_percent"]) > min(found["mean_percent"])


def test_times_without_readings_are_refused() -> None:
    record = {"taken_hours": [0, 1, 2, 3], "widths_mm": [1, 1, 1, 1], "air_hours": [0, 1, 2],
              "air_percent": [50, 40]}  # fmt: skip
    with pytest.raises(InputError, match="Times and readings are not as many"):
        catalogue.run("moisture.opening", {**DRYING, "record": record})
