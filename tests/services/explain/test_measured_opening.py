"""The measured opening of a crack: recorded on its mark, before the model, the model beside it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from softmend.errors import InputError, NotFoundError
from softmend.records.opening import MeasuredOpening, OpeningWay, WidthReading, WidthSeries
from softmend.services.examine.marks import record_mark
from softmend.services.explain.measured_opening import (
    measured_opening,
    modelled_beside,
    record_opening,
    strike_opening,
)
from tests.services.conftest import crack

TWO = MeasuredOpening(
    OpeningWay.PHOTOGRAPHS,
    (
        WidthReading("2026-01-10", 1.30, 0.02, 42.0, 2.0),
        WidthReading("2025-08-02", 1.10, 0.02, 58.0, 2.0),
    ),
)
# Ivory by the table: which of radial and tangential is larger is not known.
MODEL = {
    "radius_mm": {"value": 50},
    "mismatch_percent": {
        "value": {"family": "random_sign", "median": 0.015, "cv": 0.6},
        "kind": "estimated",
    },
}


def series(lag_days: float, opens_mm: float) -> MeasuredOpening:
    """A logger every six hours for 200 days, and a gauge read every ten days behind it."""
    hours = [6.0 * n for n in range(801)]
    air = [50 + 10 * math.sin(2 * math.pi * one / 24 / 90) for one in hours]
    felt, last = [], air[0]
    for one in air:
        last += (one - last) * (1 - math.exp(-6 / (24 * lag_days)))
        felt.append(last)
    taken = list(range(120, 801, 40))
    # A gauge that reads to a hundredth of a millimetre.
    widths = [round(1.0 - opens_mm * (felt[n] - 50), 3) for n in taken]
    return MeasuredOpening(
        OpeningWay.SERIES,
        series=WidthSeries(
            "2025-06-01", tuple(hours[n] for n in taken), tuple(widths), tuple(hours), tuple(air)
        ),
    )


@pytest.fixture
def mark_id(bench, author, dossier_id, view_id) -> str:
    return record_mark(bench, author, dossier_id, crack(view_id)).subject_id


def read(bench, dossier_id, mark_id):
    with bench.store.reading() as reader:
        return measured_opening(reader, dossier_id, mark_id)


def test_a_mark_has_no_measured_opening_until_one_is_recorded(bench, dossier_id, mark_id) -> None:
    assert read(bench, dossier_id, mark_id) is None


def test_two_readings_give_an_opening_for_each_percent(bench, author, dossier_id, mark_id) -> None:
    record_opening(bench, author, dossier_id, mark_id, TWO)
    found = read(bench, dossier_id, mark_id)
    assert found.per_percent_mm.kind == "measured"
    assert "two photographs" in found.per_percent_mm.origin
    # 0.20 mm over 16 %RH; ± from 0.02 mm twice and 2 %RH twice.
    band = found.per_percent_mm.uncertain().band
    assert band.typical == pytest.approx(0.2 / 16, rel=0.01)
    assert band.high - band.low < 0.006


def test_a_measurement_narrows_what_the_model_says(bench) -> None:
    both = modelled_beside(TWO, MODEL)
    assert both["used"] == "measured"
    measured = both["opening_mm"]["high"] - both["opening_mm"]["low"]
    modelled = both["modelled_mm"]["high"] - both["modelled_mm"]["low"]
    assert both["modelled_mm"]["low"] < 0 < both["modelled_mm"]["high"]
    assert both["opening_mm"]["low"] > 0
    assert measured < modelled / 10


def test_a_lag_is_fitted_against_the_logger(bench, author, dossier_id, mark_id) -> None:
    record_opening(bench, author, dossier_id, mark_id, series(12.0, 0.01))
    found = read(bench, dossier_id, mark_id)
    assert found.per_percent_mm.uncertain().typical == pytest.approx(0.01, rel=0.05)
    assert found.answer["lag_low_days"] < 12.0 < found.answer["lag_high_days"] * 1.05
    assert found.answer["lag_typical_days"] == pytest.approx(12.0, rel=0.15)


def test_a_struck_measurement_gives_the_model_its_place_back(
    bench, author, dossier_id, mark_id
) -> None:
    entry = record_opening(bench, author, dossier_id, mark_id, TWO)
    strike_opening(bench, author, dossier_id, mark_id, "gauge had slipped", entry.id)
    assert read(bench, dossier_id, mark_id) is None


@pytest.mark.parametrize(
    ("opening", "sentence"),
    [
        (replace(TWO, readings=TWO.readings[:1]), "Two readings are needed"),
        (
            replace(TWO, readings=(replace(TWO.readings[0], air_percent=58.0), TWO.readings[1])),
            "too near to each other",
        ),
        (
            replace(TWO, readings=(replace(TWO.readings[0], read_on=""), TWO.readings[1])),
            "A width needs its day",
        ),
        (
            replace(TWO, readings=(replace(TWO.readings[0], expanded_mm=0.0), TWO.readings[1])),
            "A width or its ± is not possible",
        ),
        (
            replace(TWO, readings=(replace(TWO.readings[0], air_percent=120.0), TWO.readings[1])),
            "A humidity or its ± is not possible",
        ),
        (MeasuredOpening(OpeningWay.SERIES), "A series needs the widths"),
    ],
)
def test_slips_in_a_measured_opening_are_told_in_words(
    bench, author, dossier_id, mark_id, opening, sentence
) -> None:
    with pytest.raises(InputError, match=sentence):
        record_opening(bench, author, dossier_id, mark_id, opening)
    assert read(bench, dossier_id, mark_id) is None


def test_an_opening_belongs_to_a_mark_of_its_dossier(bench, author, dossier_id) -> None:
    with pytest.raises(NotFoundError):
        record_opening(bench, author, dossier_id, "no such mark", TWO)
