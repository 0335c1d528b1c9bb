"""Hours and weeks: the table of practice, rates from a log, and no percentage from guesses."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from softmend import catalogue
from softmend.errors import InputError
from softmend.tables import table
from tests.science.checks import expected

PRACTICE = expected("softmend-practice")
FEW = [{"quantity": 40, "took_hours": 6}, {"quantity": 25, "took_hours": 4}]
MANY = [{"quantity": 100.0 + i, "took_hours": 9.0 + i % 3} for i in range(12)]


def of_the_table() -> list[dict]:
    names = ("least_hours", "likely_hours", "most_hours")
    return [
        {"name": row["title"], "effort": {"by": "three_points", **{n: row[n] for n in names}}}
        for row in table("task_hours").rows
    ]


def filling(log: list[dict], name: str = "fill", quantity: float = 400) -> dict:
    effort = {
        "by": "quantity", "quantity": quantity, "unit": "crack_cm", "like": "filling", "log": log,
    }  # fmt: skip
    return {"name": name, "effort": effort}


def finished(tasks: list[dict], **more: object) -> dict:
    plan = {"tasks": tasks, "start_on": "2026-11-02", "bench_hours": 20, **more}
    return catalogue.run("effort.finish", plan)


def finished_or_refused(tasks: list[dict], **more: object) -> dict | InputError:
    try:
        return finished(tasks, **more)
    except InputError as refused:
        return refused


def test_the_table_of_practice() -> None:
    found = catalogue.run("effort.hours", {"tasks": of_the_table()})
    PRACTICE["likely_hours"].accept(found["likely_hours"])
    PRACTICE["mean_hours"].accept(found["mean_hours"])
    PRACTICE["sd_independent_hours"].accept(found["sd_apart_hours"])
    PRACTICE["sd_together_hours"].accept(found["sd_together_hours"])
    assert found["total_hours"]["mean"] == pytest.approx(375, abs=1)
    assert found["total_hours"]["drivers"]
    assert "no chance of a date is given yet" in found["warnings"][0]


def test_hours_grow_from_the_marks_and_learn_from_the_log() -> None:
    guess = catalogue.run("effort.hours", {"tasks": [filling([])]})["tasks"][0]
    learned = catalogue.run("effort.hours", {"tasks": [filling(MANY)]})["tasks"][0]
    # The table guesses 50 h for 800 cm; the log says about 0.095 h for a centimetre.
    assert guess["hours"]["typical"] == pytest.approx(25, rel=0.02)
    assert guess["rests_on"] == "a guess"
    assert learned["hours"]["typical"] == pytest.approx(400 * 0.095, rel=0.05)
    assert learned["rests_on"] == "12 like tasks logged, 120 h, and a guess"
    ratio = [row["high"] / row["low"] for row in (guess["hours"], learned["hours"])]
    assert ratio[1] < ratio[0] / 3


def test_a_log_that_two_tasks_share_counts_once() -> None:
    tasks = [filling(FEW, "left"), filling(FEW, "right")]
    assert catalogue.run("effort.hours", {"tasks": tasks})["logged_hours"] == 10


@pytest.mark.parametrize("log", [[], FEW])
def test_no_percentage_for_a_date_from_guesses(log: list[dict]) -> None:
    found = finished([filling(log)], wanted_on="2026-12-04")
    assert found["chance_percent"] is None
    assert found["text"].endswith("from guesses")
    assert found["wanted_text"].startswith("the date lies")


def test_a_bench_that_has_logged_enough_is_given_a_chance() -> None:
    found = finished([filling(MANY)], wanted_on="2026-11-13")
    assert found["chance_percent"] is not None
    assert found["text"].endswith("from 120 logged hours")
    assert found["warnings"] == []


def test_a_log_of_one_small_task_does_not_speak_for_a_plan_of_others() -> None:
    tasks = [filling(MANY, quantity=50), *of_the_table()]
    assert finished(tasks, wanted_on="2027-06-01")["chance_percent"] is None


def exact(name: str, hours: float, **more: object) -> dict:
    points = {"least_hours": hours, "likely_hours": hours, "most_hours": hours}
    return {"name": name, "effort": {"by": "three_points", **points}, **more}


def test_a_plan_by_hand_with_consent_drying_and_a_holiday() -> None:
    # Monday 2 November 2026, 4 h a day: proposed on Monday, answer after 7 days, on Tuesday 10th
    # glued 8 h (Tuesday, Thursday; Wednesday off), 2 days of drying, filled on Monday 16th.
    plan = [
        exact("propose", 4, wait_days=7, wait="consent"),
        exact("glue", 8, wait_days=2),
        exact("fill", 4),
    ]
    found = finished(plan, days_off=["2026-11-11"])
    assert found["middle_on"] == "2026-11-16"
    still = {row["because"]: row["working_days"]["typical_days"] for row in found["standing_still"]}
    assert still == pytest.approx({"consent": 5, "drying": 1})
    assert [bar["end"]["typical_days"] for bar in found["bars"]] == pytest.approx([1, 11, 15])
    assert found["bars"][1]["wait"] == "drying"


def test_work_that_need_not_wait_goes_on() -> None:
    glue, report = exact("glue", 4, wait_days=5), exact("report", 8, after=[])
    last = exact("fill", 4, after=["glue", "report"])
    assert finished([glue, report, last])["middle_on"] == "2026-11-09"


def test_the_same_seed_gives_the_same_weeks() -> None:
    plan = {"tasks": of_the_table(), "start_on": "2026-11-02", "bench_hours": 20}
    assert catalogue.run("effort.finish", plan, 3) == catalogue.run("effort.finish", plan, 3)


@pytest.mark.parametrize(
    ("task", "words"),
    [
        (
            {"name": "x", "effort": {"by": "quantity", "quantity": 3, "unit": "cm"}},
            "The task “x” has no rate to begin with",
        ),
        (
            {"name": "x", "effort": {**filling([])["effort"], "unit": "mm"}},
            "The table counts “filling” in another unit than the task “x”; got mm; "
            "allowed: crack_cm",
        ),
        (
            {"name": "x", "effort": {**filling([])["effort"], "like": "gilding"}},
            "The table of hours has no such task; got gilding",
        ),
        (exact("x", 3, after=["y"]), "“x” comes after a task that is not in the plan; got y"),
    ],
)
def test_a_task_that_cannot_be_told_is_refused(task: dict, words: str) -> None:
    with pytest.raises(InputError) as refused:
        finished([task])
    assert words in str(refused.value)


@settings(deadline=None, max_examples=40)
@given(
    st.floats(0, 1e6),
    st.floats(1e-6, 1e6),
    st.floats(0.01, 10),
    st.lists(st.tuples(st.floats(1e-6, 1e6), st.floats(1e-3, 1e5)), max_size=4),
    st.floats(0, 1e5),
    st.floats(0.1, 100),
)
def test_whatever_is_typed_is_answered_or_refused_in_words(
    quantity: float, median: float, cv: float, log: list, wait: float, week: float
) -> None:
    effort = {
        "by": "quantity", "quantity": quantity, "unit": "cm",
        "guess": {"median_hours": median, "cv": cv},
        "log": [{"quantity": much, "took_hours": hours} for much, hours in log],
    }  # fmt: skip
    task = {"name": "x", "effort": effort, "wait_days": wait}
    found = finished_or_refused([task], bench_hours=week, wanted_on="2026-12-01")
    if isinstance(found, InputError):
        assert found.allowed
    else:
        assert found["early_on"] <= found["middle_on"] <= found["late_on"]


def test_two_tasks_of_one_name_and_a_day_before_the_start_are_refused() -> None:
    with pytest.raises(InputError, match="Two tasks of a plan have one name; got a"):
        finished([exact("a", 1), exact("a", 1)])
    with pytest.raises(InputError, match="lies before the start; got 2026-10-01"):
        finished([exact("a", 1)], wanted_on="2026-10-01")


def test_no_person_goes_in() -> None:
    for name in ("effort.hours", "effort.finish"):
        words = json.dumps(catalogue.schema(name)["input"]["properties"])
        assert not any(word in words for word in ("person", "author", "who", "by_id"))
    with pytest.raises(InputError):
        finished([{**exact("a", 1), "person": "somebody"}])


@pytest.mark.parametrize(
    ("name", "payload", "status"),
    [
        ("effort.finish", {"tasks": [exact("a", 7)], "start_on": "2026-11-02", "bench_hours": 20},
         0),
        ("effort.hours", {"tasks": []}, 2),
        ("survey.agreement", {"objects": []}, 3),
    ],
)  # fmt: skip
def test_from_the_command_line(tmp_path: Path, name: str, payload: dict, status: int) -> None:
    given = tmp_path / "never seen before.json"
    given.write_text(json.dumps(payload), "utf-8")
    ran = subprocess.run(
        [sys.executable, "-m", "softmend.cli", "compute", name, "--in", str(given)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == status, ran.stderr
    assert json.loads(ran.stdout)["answer"] if status != 2 else json.loads(ran.stderr)["error"]
