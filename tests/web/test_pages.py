"""The pages as a person meets them: forms taken, refused in words, nothing lost."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import View
from softmend.records.zone import Body
from softmend.services.dossiers import opened
from softmend.services.examine.marks import marks_in, record_mark
from softmend.services.examine.quantities import scales_in
from softmend.services.examine.zones import zones_on_view
from softmend.services.recording import current_records, record_one

if TYPE_CHECKING:
    from fastapi import FastAPI
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

DRAFT = "00000000-0000-7000-8000-00000000000d"
HTMX = {"hx-request": "true"}
LINE = {"type": "LineString", "coordinates": [[10, 10], [100, 50]]}
AREA = {"type": "Polygon", "coordinates": [[[10, 10], [110, 10], [110, 60], [10, 60]]]}


@pytest.fixture
def view_id(bench: Bench, author: Author, dossier_id: str) -> str:
    view = View(1, "front.jpg", "0" * 64, 10, "0" * 64, 400, 300, 8, "sRGB")
    entry = record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=bench.fresh_id(),
        record=view,
        based_on="",
    )
    return entry.subject_id


def drawn(shape: dict[str, object]) -> dict[str, str]:
    """What the hidden fields beside the picture hold after Done."""
    return {"draft_id": DRAFT, "geometry_draft": DRAFT, "geometry": json.dumps(shape)}


def test_a_dossier_is_opened_with_three_facts_and_found_again(client: TestClient) -> None:
    facts = {
        "what": "limewood figurehead",
        "number": "T 7",
        "number_issued_by": "an invented museum",
        "why_here": "cracked",
        "size": "note",
        "is_invented": "true",
    }
    made = client.post("/dossiers", data=facts)
    assert made.status_code == 303
    front = client.get(made.headers["location"])
    assert "limewood figurehead" in front.text
    assert "invented" in front.text
    assert "limewood figurehead" in client.get("/", params={"search": "limew"}).text
    assert "No dossier has words that begin like" in client.get("/", params={"search": "x"}).text


def test_a_missing_fact_is_said_in_the_form(client: TestClient) -> None:
    refused = client.post("/dossiers", data={"what": "a thing"}, headers=HTMX)
    assert refused.status_code == 422
    assert "A dossier is opened with three facts; its number is missing" in refused.text
    assert "<html" not in refused.text


def test_what_is_typed_is_shown_and_never_run(client: TestClient) -> None:
    evil = "<script>alert(1)</script>"
    facts = {"what": evil, "number": "1", "number_issued_by": "x", "why_here": "x"}
    made = client.post("/dossiers", data=facts)
    front = client.get(made.headers["location"]).text
    assert evil not in front
    assert "&lt;script&gt;" in front


def test_every_page_of_an_invented_dossier_says_so(client: TestClient, dossier_id: str) -> None:
    pages = ("", "/examine", "/object", "/hazards", "/condition", "/words", "/quantities",
             "/report", "/journal")  # fmt: skip
    for page in pages:
        shown = client.get(f"/dossiers/{dossier_id}{page}")
        assert shown.status_code == 200, page
        assert "invented</strong>" in shown.text, page


def test_the_object_is_described_with_numbers_in_plain_decimals(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    form = {
        "title": "figurehead, left arm",
        "owner": "",
        "mass_g": "1200,5",
        "material_part": ["arm", ""],
        "material_material": ["limewood", ""],
        "material_how": ["by eye", ""],
        "material_certainty": ["likely", "not known"],
        "measure_name": "length",
        "measure_value_mm": "812.5",
        "measure_expanded_mm": "3",
        "measure_how": "tape",
    }
    assert client.post(f"/dossiers/{dossier_id}/object", data=form).status_code == 303
    with bench.store.reading() as reader:
        head = opened(reader, dossier_id).object_head
    assert head.owner == "not known"
    assert head.mass_g == 1200.5
    assert [material.material for material in head.materials] == ["limewood"]
    assert head.measures[0].value_mm == 812.5


@pytest.mark.parametrize("typed", ["12 mm", "1e5", "nan", "9**9", "1,2,3", "--3", "0x10"])
def test_a_number_that_is_not_plain_is_refused(
    client: TestClient, dossier_id: str, typed: str
) -> None:
    form = {"title": "x", "measure_name": "length", "measure_value_mm": typed,
            "measure_expanded_mm": "", "measure_how": ""}  # fmt: skip
    refused = client.post(f"/dossiers/{dossier_id}/object", data=form, headers=HTMX)
    assert refused.status_code == 422
    assert "length is not a number" in refused.text


def test_a_form_based_on_an_older_state_shows_both_and_offers_the_way_on(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    address = f"/dossiers/{dossier_id}/object"
    assert client.post(address, data={"title": "the first"}).status_code == 303
    told = client.post(address, data={"title": "the second"}, headers=HTMX)
    assert told.status_code == 409
    assert "the first" in told.text
    assert "the second" in told.text
    with bench.store.reading() as reader:
        standing = opened(reader, dossier_id)
    assert standing.title == "the first"
    assert f'name="based_on" value="{standing.object_entry_id}"' in told.text
    again = {"title": "the second", "based_on": ["", standing.object_entry_id]}
    assert client.post(address, data=again).status_code == 303


def test_hazards_are_answered_at_once_or_one_by_one(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    address = f"/dossiers/{dossier_id}/hazards"
    assert client.post(f"{address}/not-tested").status_code == 303
    with bench.store.reading() as reader:
        assert all(entry_id for _, entry_id, _ in opened(reader, dossier_id).hazards)
    clear = {"hazard": "arsenic", "status": "tested clear"}
    refused = client.post(address, data=clear, headers=HTMX)
    assert refused.status_code == 409
    assert "needs the method and its detection limit" in refused.text
    present = {"hazard": "arsenic", "status": "present", "handling": "gloves"}
    assert client.post(address, data=present).status_code == 303
    assert "Arsenic: present" in client.get(f"/dossiers/{dossier_id}").text


def test_a_mark_is_recorded_once_however_often_its_form_is_sent(
    client: TestClient, bench: Bench, dossier_id: str, view_id: str
) -> None:
    address = f"/dossiers/{dossier_id}/views/{view_id}/marks"
    form = {**drawn(LINE), "term_id": "crack", "note_observed": "fine"}
    assert client.post(address, data=form).status_code == 303
    assert client.post(address, data=form, headers=HTMX).status_code == 409
    with bench.store.reading() as reader:
        ((_entry, mark),) = marks_in(reader, dossier_id)
    assert mark.number == 1


def test_a_mark_is_changed_joined_struck_and_its_earlier_state_brought_back(
    client: TestClient, bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    line = Geometry(Shape.LINE, (((10.0, 10.0), (100.0, 50.0)),))
    first = record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),)))
    other = record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),)))
    here = f"/dossiers/{dossier_id}"
    form = {
        "mark_id": first.subject_id,
        "based_on": first.id,
        "term_id": "split",
        "asks_stations": "true",
        "depth_along_mm": "0",
        "depth_low_mm": "1",
        "depth_typical_mm": "3",
        "depth_high_mm": "8",
        "depth_known_how": "not known",
    }
    assert client.post(f"{here}/views/{view_id}/marks", data=form).status_code == 303
    page = client.get(f"{here}/marks/{first.subject_id}").text
    assert "split" in page
    assert first.subject_id not in page.replace(f"/marks/{first.subject_id}", "").replace(
        f"?mark={first.subject_id}", ""
    )
    with bench.store.reading() as reader:
        standing = reader.latest("mark", first.subject_id)
    assert standing is not None
    back = {"entry_id": first.id, "based_on": standing.id}
    assert client.post(f"{here}/restore", data=back).status_code == 303
    with bench.store.reading() as reader:
        standing = reader.latest("mark", first.subject_id)
    assert standing is not None
    join = {"based_on": standing.id, "joined_id": other.subject_id, "overlap_percent": "10"}
    assert client.post(f"{here}/marks/{first.subject_id}/join", data=join).status_code == 303
    with bench.store.reading() as reader:
        ((entry, mark),) = marks_in(reader, dossier_id)
    assert mark.term_id == "crack"
    assert len(mark.sightings) == 2
    strike = f"{here}/marks/{first.subject_id}/strike"
    bare = client.post(strike, data={"based_on": entry.id}, headers=HTMX)
    assert "Nothing is struck without a reason" in bare.text
    assert client.post(strike, data={"based_on": entry.id, "because": "drawn twice"}).is_redirect
    with bench.store.reading() as reader:
        assert marks_in(reader, dossier_id) == []


def test_the_drawing_of_one_mark_never_goes_into_another(
    client: TestClient, bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    line = Geometry(Shape.LINE, (((10.0, 10.0), (100.0, 50.0)),))
    mark = record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),)))
    form = {
        "mark_id": mark.subject_id,
        "based_on": mark.id,
        "note_observed": "seen again",
        "geometry": json.dumps({"type": "LineString", "coordinates": [[1, 1], [2, 2]]}),
        "geometry_draft": DRAFT,
    }
    client.post(f"/dossiers/{dossier_id}/views/{view_id}/marks", data=form)
    with bench.store.reading() as reader:
        ((_entry, changed),) = marks_in(reader, dossier_id)
    assert changed.note_observed == "seen again"
    assert changed.sightings[0].geometry == line


def test_a_zone_is_recorded_on_its_level(
    client: TestClient, bench: Bench, dossier_id: str, view_id: str
) -> None:
    address = f"/dossiers/{dossier_id}/views/{view_id}/zones"
    form = {**drawn(AREA), "what": "original", "grounds_observed": "grain runs on"}
    assert client.post(address, data=form).status_code == 303
    with bench.store.reading() as reader:
        body, _on_it = zones_on_view(reader, dossier_id, view_id)
    assert [zone.body for _entry, zone in body] == [Body.ORIGINAL]
    tone = {**form, "draft_id": DRAFT[:-1] + "e", "geometry_draft": DRAFT[:-1] + "e",
            "what": "new tone"}  # fmt: skip
    refused = client.post(address, data=tone, headers=HTMX)
    assert refused.status_code == 409
    assert "This tone lies over original zone Z1" in refused.text


def test_a_scale_is_set_by_two_clicks_and_no_number_comes_before(
    client: TestClient, bench: Bench, dossier_id: str, view_id: str
) -> None:
    here = f"/dossiers/{dossier_id}/views/{view_id}"
    measure = f"/api/v1{here}/measure"
    headers = {"x-softmend": "1"}
    offered = client.post(measure, json={"geometry": LINE}, headers=headers).json()
    assert offered["text"] == ""
    assert "set one" in offered["small"]
    unclicked = client.post(f"{here}/scale", data={"length_mm": "100"}, headers=HTMX)
    assert "Nothing is clicked on the picture" in unclicked.text
    clicked = {"method": "two_clicks", "ends": [[[10, 200]], [[310, 200]]]}
    form = {"way": "two_clicks", "points": json.dumps(clicked), "length_mm": "100"}
    assert client.post(f"{here}/scale", data=form).status_code == 303
    with bench.store.reading() as reader:
        assert scales_in(reader, dossier_id)[view_id].inputs["end_b_px"] == [[310, 200]]
    read = client.post(measure, json={"geometry": LINE}, headers=headers).json()
    # sqrt(90² + 40²) px at 3 px to the millimetre, by hand: 32.8 mm.
    assert float(read["text"].split(" ± ")[0]) == pytest.approx(32.8, abs=0.3)
    assert read["text"].endswith("mm")


@pytest.mark.parametrize("turn", range(4))
@pytest.mark.parametrize("is_backward", [False, True])
def test_corners_are_put_in_order_however_they_were_clicked(turn: int, is_backward: bool) -> None:
    from softmend.web.pages.examine.scales import corners_in_order

    wanted = [[10.0, 12.0], [90.0, 8.0], [95.0, 70.0], [5.0, 66.0]]
    clicked = [wanted[(turn + step) % 4] for step in range(4)]
    assert corners_in_order(clicked[::-1] if is_backward else clicked) == wanted


def test_not_examined_and_not_done_are_answers(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    gap = {"place": "underside", "because": "cannot be turned safely"}
    assert client.post(f"/dossiers/{dossier_id}/not-examined", data=gap).status_code == 303
    answer = {"asked": "photograph", "because": "the camera is away"}
    assert client.post(f"/dossiers/{dossier_id}/not-done", data=answer).status_code == 303
    assert "the camera is away" in client.get(f"/dossiers/{dossier_id}/report").text
    with bench.store.reading() as reader:
        ((_entry, recorded),) = current_records(reader, dossier_id, "not_examined")
    assert recorded.place == "underside"


def test_a_paper_is_kept_hashed_and_quoted(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    form = {"what": "report of an earlier owner", "quoted_reported": "glued in 1931"}
    file = {"paper": ("../../etc/report.pdf", b"%PDF-nothing", "application/pdf")}
    assert client.post(f"/dossiers/{dossier_id}/papers", data=form, files=file).is_redirect
    with bench.store.reading() as reader:
        ((_entry, paper),) = current_records(reader, dossier_id, "paper")
    assert paper.quoted_reported == "glued in 1931"
    assert bench.store.files.path(paper.original_sha256).read_bytes() == b"%PDF-nothing"
    assert "glued in 1931" in client.get(f"/dossiers/{dossier_id}/examine").text


def test_nothing_of_another_dossier_is_reached_through_this_one(
    client: TestClient, bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    from softmend.records.dossier import Dossier
    from softmend.services.dossiers import open_dossier

    other = open_dossier(bench, author, Dossier("another", "2", "a museum", "to look"))
    assert client.get(f"/dossiers/{other}/views/{view_id}").status_code == 404
    assert client.get(f"/dossiers/{other}/views/{view_id}/small.jpg").status_code == 404
    form = {**drawn(LINE), "term_id": "crack"}
    assert client.post(f"/dossiers/{other}/views/{view_id}/marks", data=form).status_code == 404


@pytest.mark.parametrize("tile", ["9/0_0", "99/0_0", "9/-1_0", "9/..%2f..%2fx_0", "a/0_0"])
def test_a_tile_that_is_not_there_is_not_found(
    client: TestClient, dossier_id: str, view_id: str, tile: str
) -> None:
    answer = client.get(f"/dossiers/{dossier_id}/views/{view_id}/tiles/{tile}.jpg")
    assert answer.status_code in (404, 422)


@pytest.mark.parametrize("path", ["/boom", "/api/v1/boom"])
def test_a_mistake_of_our_own_is_admitted_and_guarded(
    client: TestClient, app: FastAPI, path: str
) -> None:
    def boom() -> None:
        raise ZeroDivisionError

    app.get(path)(boom)
    answer = client.get(path)
    assert answer.status_code == 500
    assert "Softmend made a mistake" in answer.text
    assert "ZeroDivision" not in answer.text
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def test_fill_volumes_are_kept_and_called_stale_when_a_mark_changes(
    client: TestClient, bench: Bench, dossier_id: str, view_id: str
) -> None:
    here = f"/dossiers/{dossier_id}"
    clicked = {"method": "two_clicks", "ends": [[[10, 200]], [[310, 200]]]}
    scale = {"points": json.dumps(clicked), "length_mm": "100"}
    client.post(f"{here}/views/{view_id}/scale", data=scale)
    stations = {
        "asks_stations": "true",
        "depth_along_mm": "0",
        "depth_low_mm": "1",
        "depth_typical_mm": "3",
        "depth_high_mm": "8",
        "depth_known_how": "seen",
        "width_along_mm": "0",
        "width_mm": "1",
        "width_expanded_mm": "0.1",
        "width_measured_with": "gauge",
    }
    mark = {**drawn(LINE), "term_id": "crack", **stations}
    assert client.post(f"{here}/views/{view_id}/marks", data=mark).status_code == 303
    assert client.post(f"{here}/quantities/fills").status_code == 303
    shown = client.get(f"{here}/quantities").text
    assert "mL" in shown
    assert "tale, because" not in shown
    with bench.store.reading() as reader:
        ((entry, _mark),) = marks_in(reader, dossier_id)
    change = {"mark_id": entry.subject_id, "based_on": entry.id, "note_observed": "wider"}
    assert client.post(f"{here}/views/{view_id}/marks", data=change).status_code == 303
    assert "Stale, because mark 1 changed on" in client.get(f"{here}/quantities").text
