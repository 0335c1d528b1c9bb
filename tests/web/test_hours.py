"""The hours pages: a plan is tried, recorded and kept; words before any percentage."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from softmend.records.estimate import EstimateClass
from softmend.services.propose.hours import estimates_in
from softmend.services.propose.task_quantities import task_rows

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Bench

HTMX = {"hx-request": "true"}
COLUMNS = (
    "quantity",
    "least_hours",
    "likely_hours",
    "most_hours",
    "wait_low",
    "wait_typical",
    "wait_high",
)


def typed(**more: object) -> dict[str, object]:
    """Return the form with every task of the table, the jobs chosen, and one blank row."""
    rows = list(task_rows().values())
    form: dict[str, object] = {
        "estimate_class": EstimateClass.ROUGH.value,
        "basis": "seen once",
        "start_on": "2026-11-02",
        "typical_hours": "20",
        "low_hours": "",
        "high_hours": "",
        "weekday": ["Monday", "Tuesday", "Wednesday"],
        "days_off": "2026-12-24 to 2027-01-02\n2027-05-01",
        "included": [str(key) for key, row in enumerate(rows) if row.is_job],
        "like": [row.task for row in rows] + [""],
        "name": [row.title for row in rows] + [""],
        "wait_for": ["drying"] * (len(rows) + 1),
        "starts": ["after the task before"] * (len(rows) + 1),
        **{column: [""] * (len(rows) + 1) for column in COLUMNS},
    }
    return {**form, **more}


def kept(bench: Bench, dossier_id: str) -> list:
    with bench.store.reading() as reader:
        return estimates_in(reader, dossier_id)


def test_before_an_estimate_the_page_says_what_to_do(client: TestClient, dossier_id: str) -> None:
    page = client.get(f"/dossiers/{dossier_id}/propose/hours").text
    assert "Next: estimate the hours, however roughly." in page
    assert "weeks of work: not estimated" in client.get(f"/dossiers/{dossier_id}").text


def test_the_form_offers_every_task_and_chooses_the_jobs(
    client: TestClient, dossier_id: str
) -> None:
    page = client.get(f"/dossiers/{dossier_id}/propose/hours/new").text
    for row in task_rows().values():
        assert row.title.replace("&", "&amp;") in page
    jobs = sum(row.is_job for row in task_rows().values())
    assert len(re.findall(r'name="included"[^>]*checked', page)) == jobs
    assert page.count('name="like"') == page.count('name="starts"') == len(task_rows()) + 2


def test_a_plan_is_tried_without_being_recorded(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    tried = client.post(f"/dossiers/{dossier_id}/propose/hours/try", data=typed(), headers=HTMX)
    assert tried.status_code == 200
    assert re.search(r"\d+ to \d+ weeks, from guesses", tried.text)
    assert "<svg" in tried.text
    assert kept(bench, dossier_id) == []


def test_an_estimate_is_recorded_with_its_calendar_and_shown(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    made = client.post(f"/dossiers/{dossier_id}/propose/hours", data=typed())
    assert made.status_code == 303
    (one,) = kept(bench, dossier_id)
    assert one.estimate.basis == "seen once"
    assert one.estimate.plan.calendar.weekdays == ("Monday", "Tuesday", "Wednesday")
    assert len(one.estimate.plan.calendar.dates_off()) == 11
    page = client.get(f"/dossiers/{dossier_id}/propose/hours").text
    assert "rough: before the examination" in page
    assert "seen once" in page
    assert "from guesses" in client.get(f"/dossiers/{dossier_id}").text
    assert client.post(f"/dossiers/{dossier_id}/propose/hours", data=typed()).status_code == 303
    assert [one.estimate.number for one in kept(bench, dossier_id)] == [2, 1]


def test_no_chance_in_hundred_is_told_from_guesses(client: TestClient, dossier_id: str) -> None:
    client.post(
        f"/dossiers/{dossier_id}/object", data={"title": "arm", "deadline_on": "2027-06-01"}
    )
    client.post(f"/dossiers/{dossier_id}/propose/hours", data=typed())
    page = client.get(f"/dossiers/{dossier_id}/propose/hours").text
    assert "The date lies" in page
    assert not re.search(r"of 1?00? cases|\d ?% chance", page)


def test_nobody_is_named_beside_the_hours(client: TestClient, dossier_id: str) -> None:
    client.post(f"/dossiers/{dossier_id}/propose/hours", data=typed())
    main = client.get(f"/dossiers/{dossier_id}/propose/hours").text.split("<main")[1]
    assert "Ida Invented" not in main


def test_a_task_of_ones_own_and_a_wait_are_taken(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    last = len(task_rows())
    form = typed(included=[str(last)])
    cells = {"name": "lift the beam", "least_hours": "1", "likely_hours": "2,5", "most_hours": "6",
             "wait_typical": "3", "wait_high": "9"}  # fmt: skip
    for column, cell in cells.items():
        form[column] = [*form[column][:last], cell]
    assert client.post(f"/dossiers/{dossier_id}/propose/hours", data=form).status_code == 303
    (task,) = kept(bench, dossier_id)[0].estimate.plan.tasks
    assert (task.name, task.hours.likely_hours) == ("lift the beam", 2.5)
    assert (task.wait.low_days, task.wait.typical_days, task.wait.high_days) == (3, 3, 9)
    again = client.get(f"/dossiers/{dossier_id}/propose/hours/new").text
    assert 'value="lift the beam"' in again


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"basis": ""}, "needs its basis"),
        ({"included": []}, "A plan needs a task"),
        ({"start_on": "soon"}, "The start cannot be read; got soon"),
        ({"typical_hours": ""}, "Bench hours a week is not a number"),
        ({"weekday": []}, "A bench is worked on weekdays"),
        ({"days_off": "Christmas"}, "A line of days off cannot be read; got Christmas"),
        ({"like": ["filling"]}, "The form came incomplete"),
    ],
)
def test_what_cannot_be_planned_is_refused_in_the_form(
    client: TestClient, bench: Bench, dossier_id: str, changes: dict[str, object], words: str
) -> None:
    refused = client.post(
        f"/dossiers/{dossier_id}/propose/hours", data=typed(**changes), headers=HTMX
    )
    assert refused.status_code in (409, 422)
    assert words in refused.text
    assert "<html" not in refused.text
    assert kept(bench, dossier_id) == []


def test_a_task_that_grows_with_what_nobody_marked_is_refused_with_the_ways_out(
    client: TestClient, dossier_id: str
) -> None:
    filling = str(list(task_rows()).index("filling"))
    refused = client.post(
        f"/dossiers/{dossier_id}/propose/hours", data=typed(included=[filling]), headers=HTMX
    )
    assert refused.status_code == 409
    assert "nothing is marked" in refused.text
    assert "or give three hours" in refused.text


def test_the_deadline_stands_on_the_hours_and_not_at_the_bench(
    client: TestClient, dossier_id: str
) -> None:
    client.post(
        f"/dossiers/{dossier_id}/object", data={"title": "arm", "deadline_on": "2031-05-06"}
    )
    client.post(f"/dossiers/{dossier_id}/propose/hours", data=typed())
    assert "2031-05-06" in client.get(f"/dossiers/{dossier_id}/propose/hours").text
    for bench_page in ("/examine", "/condition", "/quantities"):
        shown = client.get(f"/dossiers/{dossier_id}{bench_page}").text
        assert "2031-05-06" not in shown
        assert "from guesses" not in shown


def test_the_pace_of_a_task_keeps_its_source_until_a_person_alters_it(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    names = list(task_rows())
    at, blank = names.index("old_coating_off"), [""] * (len(names) + 1)

    def one(text: str) -> list[str]:
        return [*blank[:at], text, *blank[at + 1 :]]

    said = "removal 1 with scalpel: 4 cm² an hour (estimated, one pace, to a factor of two)"
    form = {"included": [str(at)], "quantity": one("8"), "pace_was": one("4"),
            "pace_said": one(said), "pace_entry": one("")}  # fmt: skip
    for text, rests_on, hours in (("4", said, 2.0), ("2", "typed into the plan", 4.0)):
        sent = client.post(
            f"/dossiers/{dossier_id}/propose/hours", data=typed(**form, pace=one(text))
        )
        assert sent.status_code == 303
        estimate = kept(bench, dossier_id)[0].estimate
        assert rests_on in estimate.basis
        assert rests_on in estimate.hours_run.outputs["tasks"][0]["rests_on"]
        assert estimate.hours_run.outputs["total_hours"]["typical"] == pytest.approx(
            hours, rel=0.01
        )
    wrong = client.post(
        f"/dossiers/{dossier_id}/propose/hours", data=typed(**form, pace=one("fast"))
    )
    assert wrong.status_code == 422
    assert "The pace of “Old coating off”" in wrong.text
