"""Places, cases, loggers' files and light as records: what each asks for, what each refuses."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from softmend.errors import InputError, RuleError
from softmend.records.crack_model import Told
from softmend.records.kinds import KINDS, kind_of
from softmend.records.light import (
    LightLine,
    LightPart,
    LightPlan,
    PastLight,
    checked_past,
    checked_plan,
)
from softmend.records.logger_file import Beside, LoggerFile, check_band_record, checked_file
from softmend.records.payload import as_plain, from_plain
from softmend.records.place import (
    ObjectInAir,
    ObjectPlace,
    Place,
    PlaceRun,
    Shape,
    checked_in_air,
    checked_object_place,
    checked_place,
)
from softmend.records.showcase import Showcase, checked_showcase

FILE = LoggerFile(
    "p", "north wall", "a.csv", "a" * 64, "comma", "point", "year first", "UTC", "°C", "%",
    "2024-01-01T00:00Z", "2024-03-01T00:00Z", 1440, 1.0, 99.0,
)  # fmt: skip
CASE = Showcase("p", "case by the stairs", 1.2, Told(0.3, 1, 3))
BODY = ObjectInAir(Shape.CYLINDER, Told(25, 30, 35))
PLAN = LightPlan((LightLine("lamps", 50, 8, 300, 30),), (LightPart("undyed ivory"),))
TODAY = date(2026, 3, 2)


@pytest.mark.parametrize(
    "record",
    [
        Place("long gallery"),
        FILE,
        CASE,
        BODY,
        PLAN,
        ObjectPlace("p", "2026-01-01", "c"),
        PastLight("a loan", "2025-05-01", 12000.0),
        PlaceRun("climate.band", {}, {}, "1", {}, 0),
    ],
    ids=lambda one: type(one).__name__,
)
def test_each_is_a_kind_that_comes_back_as_it_went(record: object) -> None:
    assert from_plain(KINDS[kind_of(record)].record, as_plain(record)) == record


@pytest.mark.parametrize(
    ("check", "record", "said"),
    [
        (checked_place, Place(" "), "A place needs a name"),
        (checked_file, replace(FILE, logger=""), "A logger needs a name"),
        (checked_file, replace(FILE, rh_offset_percent=2.0), "An offset needs its calibration"),
        (checked_file, replace(FILE, rh_offset_percent=50.0), "outside what is possible"),
        (checked_file, replace(FILE, beside=Beside.CASE), "needs its case"),
        (checked_showcase, replace(CASE, volume_m3=0), "volume of the case is outside"),
        (checked_showcase, replace(CASE, buffer_kg=4), "What the buffer takes up is not given"),
        (checked_showcase, replace(CASE, exchange_per_day=Told(3, 1, 2)), "three points that rise"),
        (checked_in_air, replace(BODY, low_limit_percent=70), "not in order"),
        (checked_in_air, replace(BODY, size_mm=Told(0, 1, 2)), "outside what is possible"),
        (checked_plan, replace(PLAN, lines=()), "needs a light"),
        (checked_plan, replace(PLAN, parts=()), "parts that the light falls on"),
        (checked_plan, replace(PLAN, lines=(LightLine("x", 50, 25, 1),)), "hours a day is outside"),
        (checked_past, PastLight("x", "2025-01-01", -1.0), "The dose is outside"),
        (checked_past, PastLight("x", "spring", 1.0), "cannot be read"),
    ],
)
def test_what_is_refused_says_why(check, record, said) -> None:
    with pytest.raises(InputError, match=said):
        check(record)


def test_a_first_day_to_come_is_a_plan_and_days_are_in_order() -> None:
    assert checked_object_place(ObjectPlace("p", "2026-04-01")).is_planned(TODAY)
    assert not ObjectPlace("p", "2026-03-02").is_planned(TODAY)
    with pytest.raises(InputError, match="lies before the first"):
        checked_object_place(ObjectPlace("p", "2026-01-01", until_on="2025-01-01"))
    with pytest.raises(InputError, match="cannot be read"):
        checked_object_place(ObjectPlace("p", "soon"))


def test_a_calibrated_file_and_an_exact_value_are_taken() -> None:
    told = replace(FILE, rh_offset_percent=-1.5, calibrated_how="over a saturated salt")
    assert checked_file(told) == told
    assert checked_showcase(replace(CASE, exchange_per_day=Told(1, 1, 1)))


def test_rule_18_thirteen_months_hourly_or_no_band() -> None:
    check_band_record(395.25, 1.0)
    check_band_record(500, 1 / 6)
    with pytest.raises(RuleError, match="thirteen months; this record spans 264 days") as short:
        check_band_record(264, 1.0)
    assert short.value.rule == 18
    with pytest.raises(RuleError, match="hourly readings; this record has one in 2 h"):
        check_band_record(500, 2.0)
