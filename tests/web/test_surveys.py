"""The survey pages: a list is pasted and drawn from, graded one by one or pasted, told in words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
from typing import TYPE_CHECKING

import pytest

from softmend.services.surveys import opened_survey

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Bench

HTMX = {"hx-request": "true"}
LIST = "number,shelf\n" + "\n".join(f"A {n},shelf {n // 20}" for n in range(1, 201))


@pytest.fixture
def address(client: TestClient) -> str:
    asked = {"title": "antlers in the store", "collection_count": "200", "is_invented": "true"}
    made = client.post("/surveys", data=asked)
    assert made.status_code == 303
    return made.headers["location"]


@pytest.fixture
def drawn(client: TestClient, address: str) -> str:
    made = client.post(f"{address}/sample", data={"pasted": LIST, "draw": "60"})
    assert made.status_code == 303
    return address


def read(bench: Bench, address: str):
    with bench.store.reading() as reader:
        return opened_survey(reader, address.rsplit("/", 1)[1])


def said(client: TestClient, address: str) -> str:
    return html.unescape(client.get(address).text)


def test_an_empty_list_of_surveys_teaches(client: TestClient) -> None:
    assert "No survey yet" in client.get("/surveys").text


def test_a_survey_is_listed_and_says_how_many_to_draw(client: TestClient, address: str) -> None:
    assert "antlers in the store" in client.get("/surveys").text
    assert "antlers in the store" not in client.get("/").text
    page = said(client, address)
    assert "Next: paste the list and draw 66 by lot." in page
    assert "<strong>invented</strong>" in page


def test_a_lot_cannot_be_repeated_until_it_pleases(
    client: TestClient, bench: Bench, drawn: str
) -> None:
    first = read(bench, drawn)
    again = {"pasted": LIST, "draw": "60", "based_on": first.sample_entry_id}
    assert client.post(f"{drawn}/sample", data=again).status_code == 303
    assert read(bench, drawn).sample == first.sample


def test_objects_are_graded_one_after_the_other(
    client: TestClient, bench: Bench, drawn: str
) -> None:
    first, second, *_ = read(bench, drawn).sample.objects
    assert f"<h2>{first.object_number}</h2>" in said(client, drawn)
    given = {"object_number": first.object_number, "grade": "3", "because": "loose", "grading": "1"}
    assert client.post(f"{drawn}/grade", data=given).status_code == 303
    page = said(client, drawn)
    assert f"<h2>{second.object_number}</h2>" in page
    assert "Next: 59 objects are left to grade." in page
    missing = {**given, "object_number": second.object_number, "grade": "0", "because": ""}
    refused = client.post(f"{drawn}/grade", data=missing, headers=HTMX)
    assert "has neither a grade nor a reason" in refused.text
    unchosen = {**given, "object_number": second.object_number, "grade": "", "because": "loose"}
    refused = client.post(f"{drawn}/grade", data=unchosen, headers=HTMX)
    assert f"No grade is chosen for “{second.object_number}”" in html.unescape(refused.text)


def test_the_second_grading_does_not_see_the_first(
    client: TestClient, bench: Bench, drawn: str
) -> None:
    first = read(bench, drawn).sample.objects[0]
    told = "a reason that the other must not read"
    given = {"object_number": first.object_number, "grade": "4", "because": told, "grading": "1"}
    client.post(f"{drawn}/grade", data=given)
    page = said(client, f"{drawn}?grading=2")
    assert f"<h2>{first.object_number}</h2>" in page
    assert told not in page
    assert "checked" not in page


def test_the_result_is_told_in_plain_words_with_the_interval(
    client: TestClient, bench: Bench, drawn: str
) -> None:
    objects = read(bench, drawn).sample.objects
    grades = "\n".join(f"{one.object_number};{3 if n < 18 else 1}" for n, one in enumerate(objects))
    assert client.post(f"{drawn}/grades", data={"pasted": grades}).status_code == 303
    page = said(client, drawn)
    assert "of this collection are unstable (grade 3 or 4): 18 of the 60 graded." in page
    assert "Every object of the sample has its answer in this grading." in page
    again = "\n".join(f"{one.object_number};{2 if n < 3 else 1}" for n, one in enumerate(objects))
    client.post(f"{drawn}/grades", data={"pasted": again, "grading": "2"})
    assert "Alpha " in said(client, drawn)


def test_the_table_goes_out(client: TestClient, drawn: str) -> None:
    table = client.get(f"{drawn}/grades.csv")
    assert table.headers["content-type"] == "text/csv; charset=utf-8"
    assert len(table.text.splitlines()) == 61


def test_what_is_asked_may_change_and_the_size_follows(
    client: TestClient, bench: Bench, drawn: str
) -> None:
    asked = {
        "based_on": read(bench, drawn).survey_entry_id, "title": "antlers",
        "half_width_percent": "5", "collection_count": "200", "objects_on_a_shelf": "20",
        "likeness": "0.1",
    }  # fmt: skip
    assert client.post(drawn, data=asked).status_code == 303
    # 384.146 x 2.9 = 1114.0; 1114.0 / (1 + 1113.0 / 200) = 169.7.
    assert "Grade 170 of 200 objects" in said(client, drawn)


@pytest.mark.parametrize(
    ("form", "words"),
    [
        ({"title": ""}, "A survey needs a title"),
        ({"title": "x", "collection_count": "many"}, "The size of the collection is not a number"),
        ({"title": "x", "likeness": "0.1"}, "Shelves need both"),
    ],
)
def test_what_cannot_be_asked_is_refused_in_the_form(
    client: TestClient, form: dict[str, str], words: str
) -> None:
    refused = client.post("/surveys", data=form, headers=HTMX)
    assert refused.status_code == 422
    assert words in refused.text


def test_an_object_outside_the_sample_is_not_found_in_it(client: TestClient, drawn: str) -> None:
    assert client.get(f"{drawn}?object_number=Z").status_code == 422
    page = client.get("/surveys/00000000-0000-7000-8000-00000000000a")
    assert page.status_code == 404


def test_a_survey_is_not_opened_as_a_dossier(client: TestClient, address: str) -> None:
    survey_id = address.rsplit("/", 1)[1]
    assert client.get(f"/dossiers/{survey_id}").status_code == 404
