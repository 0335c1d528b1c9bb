"""Air, loggers' files and bands as computations: what is answered, warned of and refused."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from pathlib import Path

import pytest

from softmend import catalogue
from softmend.cli.compute import compute
from softmend.errors import InputError
from softmend.intake.logger import open_logger
from softmend.tables import table
from tests.intake.logger_texts import DIALECTS, file_of

LOGGERS = Path(__file__).parents[1] / "data" / "loggers"
EIGHTEEN = LOGGERS / "house_eighteen_months_hourly.csv"
NINE = LOGGERS / "house_nine_months_hourly.csv"


def run(name: str, path: Path, **payload: object) -> dict:
    return catalogue.run(
        name, {"logger_file": path.name, **payload}, files={"logger_file": open_logger(path)}
    )


def test_the_air_of_a_room_and_of_a_warmed_case() -> None:
    found = catalogue.run(
        "climate.air",
        {
            "temperature_degc": {"value": {"value": 20, "expanded": 0.5}},
            "rh_percent": {"value": {"value": 50, "expanded": 3}},
            "other_degc": 23,
        },
    )
    assert found["dew_point_degc"]["typical"] == pytest.approx(9.27, abs=0.02)
    assert found["vapour_pressure_pa"]["typical"] == pytest.approx(1169, abs=3)
    assert found["other_rh_percent"]["typical"] == pytest.approx(41.6, abs=0.1)
    assert found["other_rh_percent"]["text"] == "41.6 ± 2.8 %RH"
    assert found["mould_limit_percent"] == pytest.approx(80, abs=0.1)


def test_a_whirled_pair_of_thermometers() -> None:
    found = catalogue.run("climate.air", {"temperature_degc": 40, "wet_bulb_degc": 20})
    assert found["rh_percent"]["mean"] == pytest.approx(13.98, abs=0.01)
    with pytest.raises(InputError, match="given twice, or not at all"):
        catalogue.run("climate.air", {"temperature_degc": 40})


def test_below_zero_the_convention_is_said() -> None:
    found = catalogue.run("climate.air", {"temperature_degc": -5, "rh_percent": 80})
    assert "over liquid water" in found["warnings"][0]


def test_the_guess_is_shown_with_the_first_rows_and_what_is_unsure() -> None:
    found = run("climate.read", NINE)
    assert (found["delimiter"], found["decimal"], found["zone"]) == ("comma", "point", "UTC+02:00")
    assert found["first_rows"][0] == ["2010-11-28 00:00:00", "21.20", "25.70"]
    assert [one["meaning"] for one in found["columns"]] == [
        "time", "temperature", "relative humidity",
    ]  # fmt: skip
    logger = found["loggers"][0]
    assert (logger["start_at"], logger["step_hours"]) == ("2010-11-27T22:00Z", 1.0)
    assert [one["coverage_percent"] for one in logger["series"]] == [100.0, 100.0]
    assert found["working"][0]["text"].startswith("SHA-256 ")


def test_handling_at_the_start_of_a_real_record_is_pointed_at() -> None:
    found = run("climate.read", LOGGERS / "house_three_weeks_10min.csv")
    handled = found["loggers"][0]["series"][1]["handled"]
    assert handled[0]["start_at"] == "2020-12-18T13:15Z"
    assert 0.3 <= handled[0]["hours"] <= 1.5
    assert any("begins as if handled" in one for one in found["warnings"])


def test_the_band_of_eighteen_months() -> None:
    found = run("climate.band", EIGHTEEN, stable=True)
    assert found["answer"] == "answer"
    assert found["lower_found_percent"] == pytest.approx(-6.295, abs=0.001)
    assert found["upper_found_percent"] == pytest.approx(6.739, abs=0.001)
    assert found["band"].startswith("-10.0 to +10.0 %RH around the season's level, each edge ± 3")
    assert found["year_to"] == "2012-07-29T22:00Z"
    assert found["year_from"] == "2011-07-30T23:00Z"
    assert any("not around 50 %" in one for one in found["warnings"])
    assert any("By construction 14 %" in one for one in found["warnings"])
    assert found["level"][0]["at"] == "2011-02-14T22:00Z"


def test_nine_months_give_only_so_far_and_the_reason() -> None:
    found = run("climate.band", NINE)
    assert found["answer"] == "cannot say"
    assert "too short for a yearly band; got 264 days; allowed: 13 months" in found["reasons"][0]
    assert found["so_far"]["days"] == 264
    assert found["lower_found_percent"] is None
    assert any("No band is shown" in one for one in found["warnings"])
    assert any("Was the object stable" in one for one in found["warnings"])


def test_published_bands_stand_side_by_side_with_source_edition_and_mark() -> None:
    found = run("climate.band", EIGHTEEN)["published"]
    assert len(found) == len(table("climate_bands").rows) >= 10
    assert all(one["kind"] in {"recalled", "quoted"} and one["source"] for one in found)
    first = found[0]
    assert first["limits"] == "35 to 65 %RH, 10 to 25 °C"
    shares = first["rh_below_percent"], first["rh_above_percent"], first["rh_doubtful_percent"]
    assert all(0 <= share <= 100 for share in shares)
    assert found[-1]["limits"] == "no number is held"


def test_joins_newer_than_the_record_and_an_unsound_past_are_warned_of() -> None:
    found = run("climate.band", EIGHTEEN, stable=False, new_joins=True)
    words = " ".join(found["warnings"])
    assert "does not vouch for an object whose joins are new" in words
    assert "was not stable in this climate" in words
    assert "does not vouch" in " ".join(catalogue.entry("climate.band").cautions)


def test_calibration_is_added_and_said() -> None:
    plain, moved = run("climate.band", NINE), run("climate.band", NINE, rh_offset_percent=2.0)
    apart = moved["so_far"]["mean_percent"] - plain["so_far"]["mean_percent"]
    assert apart == pytest.approx(2.0, abs=1e-9)
    assert "Calibration: +2 %RH" in moved["warnings"][0]


def test_readings_in_the_input_itself_do_as_well() -> None:
    hours = list(range(400 * 24))
    found = catalogue.run(
        "climate.band", {"air_hours": hours, "air_percent": [50.0] * len(hours), "stable": True}
    )
    assert found["year_mean_percent"] == 50
    assert found["level"][0]["at"] == "hour 360"
    with pytest.raises(InputError, match="not as many"):
        catalogue.run("climate.band", {"air_hours": [0, 1], "air_percent": [1, 2, 3]})
    with pytest.raises(InputError, match="No record was given"):
        catalogue.run("climate.band", {})


def test_one_of_several_loggers_is_chosen_by_name(tmp_path: Path) -> None:
    path = tmp_path / "wide.csv"
    path.write_bytes(
        file_of("time,T1,RH1,T2,RH2\n", lambda t, a, b: f"{t:%Y-%m-%d %H:%M},{a},{b},{a},{b + 9}")
    )
    with pytest.raises(InputError, match="The file holds several loggers; got 1, 2"):
        run("climate.band", path)
    with pytest.raises(InputError, match="There is no such logger in the file; got 3"):
        run("climate.band", path, logger_name="3")
    found = run("climate.band", path, logger_name="2")
    assert found["so_far"]["least_percent"] == 54
    assert len(run("climate.read", path)["loggers"]) == 2


def test_a_stated_reading_goes_through_to_intake(tmp_path: Path) -> None:
    path = tmp_path / "short.csv"
    path.write_text("when,a,b\n" + "".join(f"0{d}/03/2024 12:00,20,5{d}\n" for d in range(1, 8)))
    with pytest.raises(InputError, match="Whether day or month comes first cannot be known"):
        run("climate.read", path)
    found = run(
        "climate.read",
        path,
        reading={"day_order": "day first", "zone": "Europe/Helsinki", "meanings": {
            "a": "temperature", "b": "relative humidity",
        }},
    )  # fmt: skip
    assert found["loggers"][0]["start_at"] == "2024-03-01T10:00Z"
    assert found["unsure"] == []
    with pytest.raises(InputError, match="There is no such column; got c"):
        run("climate.read", path, reading={"day_order": "day first", "meanings": {"c": "light"}})


def test_gaps_spikes_and_order_are_said_before_any_result(tmp_path: Path) -> None:
    lines = [
        f"2024-03-{1 + i // 24:02d} {i % 24:02d}:00,20,{50 + (i % 5) / 10}" for i in range(600)
    ]
    lines[300] = lines[300].rsplit(",", 1)[0] + ",100.0"
    lines[310] = lines[310].rsplit(",", 1)[0] + ",640"
    del lines[400:430]
    lines[10], lines[11] = lines[11], lines[10]
    lines.insert(20, lines[20])
    path = tmp_path / "rough.csv"
    path.write_text("time UTC,T,RH\n" + "\n".join(lines))
    words = " ".join(run("climate.read", path)["warnings"])
    for told in (
        "1 reading of no possible humidity", "1 row out of order",
        "1 reading at a moment that has one already", "Coverage 9", "2 gaps, the longest 31 h",
        "1 spike of humidity",
    ):  # fmt: skip
        assert told in words, told


@pytest.mark.parametrize("name", list(DIALECTS)[:4])
def test_the_command_line_reads_a_file_by_a_plain_option(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "file.csv"
    path.write_bytes(DIALECTS[name])
    assert compute("climate.read", **{"logger-file": path}) == 0
    assert json.loads(capsys.readouterr().out)["row_count"] == 30
    (tmp_path / "in.json").write_text(json.dumps({"logger_file": "file.csv"}))
    assert compute("climate.band", in_file=tmp_path / "in.json") == 3
    assert "too short" in json.loads(capsys.readouterr().out)["reasons"][0]


def test_an_option_that_is_no_file_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert compute("climate.read", **{"colour": Path("x")}) == 2
    said = json.loads(capsys.readouterr().err)["error"]["sentence"]
    assert said.startswith("There is no such option; got --colour")
    assert compute("climate.read", **{"logger-file": Path("/nowhere/none.csv")}) == 2
    assert "There is no such file; got none.csv" in capsys.readouterr().err
