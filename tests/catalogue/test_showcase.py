"""Objects, cases, coatings and light as computations: ranges, drivers, and every warning."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from softmend import catalogue
from softmend.errors import InputError
from softmend.intake.logger import LoggerFile, open_logger
from tests.science.checks import expected

LOGGERS = Path(__file__).parents[1] / "data" / "loggers"
EIGHTEEN = {"logger_file": open_logger(LOGGERS / "house_eighteen_months_hourly.csv")}
CHECKS = expected("softmend-climate")
RECORD = {"logger_file": "room.csv"}
TUSK = {"form": "cylinder", "size_mm": 30}
KNOWN = TUSK | {"diffusivity_mm2_per_day": 4.32, "uptake_kg_per_m3": 1.85}
GEL = {
    "volume_m3": 1, "buffer_kg": 4, "exchange_per_day": 0.2, "capacity_g_per_kg": 2,
    "warming_k": 0.5,
}  # fmt: skip


def words(found: dict) -> str:
    return " ".join((*found["warnings"], *found["reasons"]))


def simulate(**payload: object) -> dict:
    return catalogue.run("showcase.simulate", RECORD | payload, files=EIGHTEEN)


def test_surface_mean_and_core_stand_side_by_side() -> None:
    found = catalogue.run("climate.response", RECORD | {"body": KNOWN}, files=EIGHTEEN)
    assert [one["place"] for one in found["places"]] == ["air", "surface", "mean", "core"]
    air, surface, mean, core = (one["least_percent"]["typical"] for one in found["places"])
    assert air < surface < mean < core
    half = CHECKS["cylinder_t50"].value * 0.03**2 / 5e-11 / 86400
    assert found["half_time_days"]["typical"] == pytest.approx(half, rel=1e-3)
    assert 300 < len(found["points"]) <= 400
    assert "Strain is a range, without a limit" in words(found)
    assert found["held_strain"]["low"] < found["held_strain"]["high"] / 10


def test_an_unknown_diffusivity_is_wide_and_said() -> None:
    found = catalogue.run("climate.response", RECORD | {"body": TUSK}, files=EIGHTEEN)
    half = found["half_time_days"]
    assert half["high"] == pytest.approx(20 * half["low"])
    assert "span a factor of 20" in words(found)
    assert "Its uptake was assumed" in words(found)


def test_a_film_slows_and_a_short_record_is_said() -> None:
    hours = list(range(24 * 40))
    air = [50 + 10 * math.sin(h / 4) for h in hours]
    film = {"film": {"thickness_um": 20, "permeability_barrer": 1000}}
    runs = [
        catalogue.run("climate.response", {"air_hours": hours, "air_percent": air, "body": body})
        for body in (KNOWN, KNOWN | film)
    ]
    bare, coated = (one["places"][1]["most_percent"]["typical"] for one in runs)
    assert coated < bare - 5
    assert "it has not seen a whole year" in words(runs[0])
    slow = KNOWN | {"size_mm": 100}
    found = catalogue.run(
        "climate.response", {"air_hours": hours, "air_percent": air, "body": slow}
    )
    assert "shorter than the object's half time" in words(found)


def test_a_case_in_its_room_gives_ranges_and_what_to_measure() -> None:
    case = {"volume_m3": 1, "buffer_kg": 4, "capacity_g_per_kg": {"value": 2, "kind": "recalled"}}
    found = simulate(case=case, body=TUSK)
    places = {one["place"]: one for one in found["places"]}
    assert set(places) == {"case", "surface", "mean", "core"}
    assert places["case"]["hours_below"]["text"].endswith("h a year")
    assert found["measure_next"][0] == "air exchange"
    first = found["points"][100]
    assert first["case"]["low"] < first["case"]["typical"] < first["case"]["high"]
    assert first["core"]["high"] - first["core"]["low"] > 0
    said = words(found)
    for told in (
        "The air exchange is guessed", "from a brochure or memory",
        "a third to three times", "is guessed, 0 to 2 K",
        "The diffusivity of this object is not known", "The sensor may be off by 3 %RH",
        "Buffer steadies; it does not lift. Your room averages 40 %; this case will settle there.",
        "steady at the wrong place",
    ):  # fmt: skip
        assert told in said, told


def test_a_measured_case_has_no_warning_of_guesses() -> None:
    said = words(simulate(case=GEL, body=KNOWN, low_limit_percent=30))
    for not_told in ("guessed", "not known", "brochure", "wrong place"):
        assert not_told not in said


def test_a_case_with_gel_is_steadier_and_no_moister() -> None:
    open_case, gel = (
        simulate(case=case, samples=50)
        for case in (GEL | {"buffer_kg": 0, "exchange_per_day": 5}, GEL)
    )
    wide, narrow = (
        one["places"][0]["most_percent"]["typical"] - one["places"][0]["least_percent"]["typical"]
        for one in (open_case, gel)
    )
    assert narrow < wide / 2
    means = [one["places"][0]["mean_percent"]["typical"] for one in (open_case, gel)]
    assert means[0] == pytest.approx(means[1], abs=3)


def test_a_conditioned_case_is_said_to_drift() -> None:
    said = words(simulate(case=GEL | {"start_percent": 55}, samples=50))
    assert "started at 55 %, this case drifts there unless its gel is conditioned" in said


def test_an_estimated_exchange_is_widened() -> None:
    case = GEL | {"exchange_per_day": {"value": 1.0, "kind": "estimated"}}
    half = simulate(case=case, samples=100)["half_time_days"]
    assert half["high"] / half["low"] == pytest.approx(10, rel=0.2)


def test_the_same_seed_gives_the_same_case() -> None:
    payload = RECORD | {"case": {"volume_m3": 1}, "samples": 50}
    runs = [catalogue.run("showcase.simulate", payload, seed, EIGHTEEN) for seed in (1, 1, 2)]
    assert runs[0] == runs[1] != runs[2]


def test_what_a_case_lacks_is_asked_for() -> None:
    with pytest.raises(InputError, match="What the buffer takes up is not given"):
        simulate(case={"volume_m3": 1, "buffer_kg": 4})
    hours, air = list(range(100)), [50.0] * 100
    plain = {"air_hours": hours, "air_percent": air, "case": {"volume_m3": 1}}
    with pytest.raises(InputError, match="holds no temperature, and none is given"):
        catalogue.run("showcase.simulate", plain)
    assert catalogue.run("showcase.simulate", plain | {"room_degc": 20})["answer"] == "answer"


HOLD = {
    "volume_m3": 1, "exchange_per_day": 1, "capacity_g_per_kg": 2,
    "capacity_from": "measured on this batch", "room_percent": 35, "set_percent": 50,
    "drift_percent": 5, "held_days": 90,
}  # fmt: skip


def test_gel_by_formula_stands_beside_the_exact_mass() -> None:
    found = catalogue.run("showcase.buffer", HOLD)
    CHECKS["gel_1"].accept(found["formula_kg"]["typical"])
    CHECKS["gel_1_exact"].accept(found["exact_kg"]["typical"])
    CHECKS["gel_1_drift"].accept(found["formula_drift_percent"]["typical"])
    assert "errs to the safe side" in words(found)
    near = catalogue.run("showcase.buffer", HOLD | {"drift_percent": 14})
    assert "asks for far too much" in words(near)
    none = catalogue.run("showcase.buffer", HOLD | {"drift_percent": 15})
    assert none["formula_kg"]["typical"] == none["exact_kg"]["typical"] == 0
    assert "no gel is needed" in words(none)


def test_a_guessed_exchange_makes_the_gel_a_range() -> None:
    guess = {"value": {"low": 0.3, "typical": 1, "high": 3}, "kind": "estimated"}
    found = catalogue.run("showcase.buffer", HOLD | {"exchange_per_day": guess})
    assert found["exact_kg"]["high"] > 8 * found["exact_kg"]["low"]
    assert found["exact_kg"]["drivers"][0]["name"] == "exchange"
    assert "measure it before buying gel" in words(found)


def test_buffer_for_a_season_and_what_is_missing() -> None:
    season = {name: HOLD[name] for name in list(HOLD)[:4]}
    swing = {"room_swing_percent": 15, "wanted_swing_percent": 5}
    found = catalogue.run("showcase.buffer", season | swing)
    CHECKS["season_15_1_2"].accept(found["season_kg"]["typical"])
    CHECKS["season_lag_15"].accept(found["season_lag_days"])
    with pytest.raises(InputError, match="What the buffer is for is not given"):
        catalogue.run("showcase.buffer", season)
    with pytest.raises(InputError, match="capacity_from"):
        catalogue.run("showcase.buffer", {n: v for n, v in HOLD.items() if n != "capacity_from"})


def decay(hours: int, top: float = 4000.0, rate: float = 0.5) -> dict:
    times = np.arange(0, hours, 0.25)
    noise = np.random.default_rng(0).normal(0, 15, times.size)
    read = 420 + top * np.exp(-rate * times / 24) + noise
    return {"tracer_hours": times.tolist(), "tracer_ppm": read.tolist()}


def test_air_exchange_with_the_room_read_assumed_or_fitted() -> None:
    fitted = catalogue.run("showcase.air_exchange", decay(72))
    assert fitted["low_per_day"] < 0.5 < fitted["high_per_day"]
    assert "The background was fitted" in words(fitted)
    room = {"background_ppm": {"value": {"value": 420, "expanded": 10}}}
    read = catalogue.run("showcase.air_exchange", decay(72) | room)
    assumed = catalogue.run(
        "showcase.air_exchange",
        decay(72) | {"background_ppm": {"value": 420, "kind": "estimated"}},
    )
    widths = [one["high_per_day"] - one["low_per_day"] for one in (read, assumed)]
    assert widths[0] < widths[1]
    assert "The background was assumed" in words(assumed)
    assert len(fitted["curve_ppm"]) == len(fitted["read_ppm"]) == len(fitted["curve_hours"])
    assert fitted["text"].endswith("per day (95 %)")


def test_a_decay_that_says_nothing_is_no_answer() -> None:
    short = catalogue.run("showcase.air_exchange", decay(3, top=200))
    assert short["answer"] == "cannot say"
    assert short["exchange_per_day"] is None
    rising = {"tracer_hours": [float(h) for h in range(20)], "tracer_ppm": [500.0] * 20}
    found = catalogue.run("showcase.air_exchange", rising)
    assert found["answer"] == "cannot say"
    assert "does not fade" in found["reasons"][0]
    weak = catalogue.run("showcase.air_exchange", decay(20, top=900, rate=3))
    assert "The start is weak" in words(weak)
    assert "run 24 h or longer" in words(weak)


def test_a_logger_of_carbon_dioxide_is_read(tmp_path: Path) -> None:
    lines = "".join(
        f"2024-05-{1 + h // 24:02d} {h % 24:02d}:00,{420 + 4000 * math.exp(-h / 24):.0f}\n"
        for h in range(96)
    )
    file = LoggerFile(("time,CO2 ppm\n" + lines).encode())
    found = catalogue.run("showcase.air_exchange", RECORD, files={"logger_file": file})
    assert found["exchange_per_day"] == pytest.approx(1, rel=0.01)
    with pytest.raises(InputError, match="The record holds no tracer"):
        catalogue.run("showcase.air_exchange", RECORD, files=EIGHTEEN)
    with pytest.raises(InputError, match="No record was given"):
        catalogue.run("showcase.air_exchange", {})


WORTH = {"body": KNOWN, "case": GEL, "room_mean_percent": 48}


def test_coat_or_case_is_the_table_of_the_reference() -> None:
    found = catalogue.run("coating.worth", WORTH)
    plans = {one["plan"]: one for one in found["plans"]}
    for plan, name in (
        ("open", "open"), ("open, coated", "film_1000"), ("in a case with buffer", "gel_236"),
        ("in a case with buffer, coated", "gel_236_film"),
    ):  # fmt: skip
        for days, share in zip((1, 7, 30, 365), plans[plan]["shares"], strict=True):
            CHECKS[f"plan_{name}_{days}_surface"].accept(share["surface"]["typical"])
            CHECKS[f"plan_{name}_{days}_mean"].accept(share["mean"]["typical"])
    assert [one["over"] for one in plans["open"]["shares"]] == ["day", "week", "month", "year"]


def test_the_words_of_the_decision() -> None:
    found = catalogue.run("coating.worth", WORTH)
    assert found["decision"] == (
        "In a case with buffer a coating adds nothing worth having. A coating is only worth "
        "modelling where no case is possible, and then for hours to weeks."
    )
    assert found["added_in_case"][3] == (
        "Over a year of ± 12 %RH the surface sees ± 2.9 %RH without a film and ± 2.0 with a "
        "perfect one: less than the sensor's error apart (± 3)."
    )
    assert "more than the sensor's error" in found["added_without_case"][0]
    assert "taken as perfect" in words(found)
    assert len(found["measured_films"]) == 7


def test_a_wrong_mean_is_said_before_any_coating() -> None:
    found = catalogue.run("coating.worth", WORTH | {"room_mean_percent": 35})
    assert "held at the wrong place, steadily" in words(found)
    bare = catalogue.run("coating.worth", {"body": TUSK, "case": {"volume_m3": 1}})
    assert [one["plan"] for one in bare["plans"]] == [
        "open", "open, coated", "in a case", "in a case, coated",
    ]  # fmt: skip
    assert "A case does not change the mean" in words(bare)
    assert bare["plans"][2]["shares"][0]["surface"]["low"] < 0.2
    with pytest.raises(InputError, match="There is no such film; got gold leaf"):
        catalogue.run("coating.worth", WORTH | {"film_name": "gold leaf"})


LAMPS = {"what": "lamps", "light_lux": 50, "hours_a_day": 8, "days_a_year": 300,
         "ultraviolet_uw_per_lm": 30}  # fmt: skip


def test_the_dose_stands_against_each_rule_by_its_name() -> None:
    found = catalogue.run("light.budget", {"plan": [LAMPS], "parts": [{"part": "undyed ivory"}]})
    CHECKS["dose_50"].accept(found["dose_lux_hours"])
    assert found["fallen"][0]["ultraviolet_mw_per_m2"] == pytest.approx(1.5)
    rules = {one["rule"]: one for one in found["rules"]}
    assert set(rules) == {"CIE 157", "stricter practice", "strictest practice"}
    assert rules["CIE 157"]["used_percent"] == pytest.approx(20)
    assert rules["stricter practice"]["words"] == (
        "By stricter practice the plan overspends: 120 % of 100 000 lx h a year."
    )
    assert "Strictest practice gives no yearly budget" in rules["strictest practice"]["words"]
    assert all(one["kind"] in {"recalled", "quoted"} for one in found["rules"])
    for told in ("differ six-fold", "darkness is not free", "Daylight, openings and cleaning"):
        assert told in words(found)


def test_the_most_sensitive_part_decides_and_loans_count() -> None:
    parts = [{"part": "undyed ivory"}, {"part": "dyed ivory"}, {"part": "undyed wood"}]
    loan = {"what": "a loan", "dose_lux_hours": 9000, "in_this_year": True}
    found = catalogue.run("light.budget", {"plan": [LAMPS], "parts": parts, "past": [loan]})
    assert (found["decides"], found["sensitivity"]) == ("dyed ivory", "high")
    rule = found["rules"][0]
    assert rule["budget_lux_hours"] == 15_000
    assert rule["used_percent"] == pytest.approx(100 * 129_000 / 15_000)
    assert rule["days_to_spend"] == pytest.approx(6000 / (120_000 / 365.25))
    faded = next(one for one in found["parts"] if one["part"] == "dyed ivory")
    assert faded["fade_years_filtered"] == pytest.approx(25)


def test_daylight_spends_a_budget_and_bright_lamps_are_said() -> None:
    sun = {"what": "daylight", "light_lux": 500, "hours_a_day": 8, "days_a_year": 365.25,
           "ultraviolet_uw_per_lm": 400}  # fmt: skip
    found = catalogue.run(
        "light.budget", {"plan": [sun], "parts": [{"part": "undyed bone or antler"}]}
    )
    CHECKS["daylight"].accept(found["rules"][0]["days_to_spend"])
    assert "500 lx is above its 200 lx" in found["rules"][0]["words"]
    assert "filter it to 75 or less; 10 can be reached" in words(found)


def test_a_part_that_is_not_known_is_asked_for() -> None:
    with pytest.raises(InputError, match="The sensitivity of a part is not known; got feathers"):
        catalogue.run("light.budget", {"plan": [LAMPS], "parts": [{"part": "feathers"}]})
    stated = [{"part": "feathers", "sensitivity": "high", "blue_wool": 2}]
    found = catalogue.run("light.budget", {"plan": [LAMPS], "parts": stated})
    assert found["parts"][0]["fade_years_filtered"] == pytest.approx(1e6 / 120_000)


@pytest.mark.parametrize(
    ("wool", "sensitivity"),
    [(1, "high"), (3, "high"), (4, "medium"), (6, "medium"), (7, "low"), (8, "low")],
)
def test_a_blue_wool_names_the_class_of_a_part_of_any_name(wool: int, sensitivity: str) -> None:
    parts = [{"part": "red ink of the engraving", "blue_wool": wool}]
    one = catalogue.run("light.budget", {"plan": [LAMPS], "parts": parts})["parts"][0]
    assert (one["sensitivity"], one["blue_wool"]) == (sensitivity, wool)
    assert (one["kind"], one["source"]) == ("estimated", "typed")
    assert one["fade_years_filtered"] > one["fade_years_rich"] > 0


def test_an_answer_from_exact_values_is_not_shown_to_twelve_figures() -> None:
    found = catalogue.run(
        "climate.air", {"temperature_degc": {"value": 20}, "rh_percent": {"value": 50}}
    )
    assert found["dew_point_degc"]["text"] == "9.272 °C"
    assert found["vapour_pressure_pa"]["text"] == "1169 Pa"
