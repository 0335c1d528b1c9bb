"""Treat as a person meets it: the log in a few touches, batches, the ledger, the record."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pypdfium2
import pytest

from softmend.records.fragment import Stand
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import View
from softmend.services.examine.marks import record_mark
from softmend.services.people import come_to_the_bench
from softmend.services.recording import record_one
from softmend.services.treat.batches import stock_of
from softmend.services.treat.day_log import assembly_of, log_of
from softmend.services.treat.fragments import incidents_of, ledger_of

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench
    from softmend.services.treat.day_log import Logged

HTMX = {"hx-request": "true"}
QUICK = {
    "action": "dry_cleaning",
    "plan_step_id": "none",
    "not_in_plan_because": "no plan is recorded yet",
}
MIXTURE = {
    "solute": "resin",
    "solute_density_g_per_ml": "1.15",
    "solvent": "acetone",
    "solvent_density_g_per_ml": "0,785",
    "written_percent": "20",
    "basis": "w/v of solution",
    "amount": "100",
    "wanted": "solution_volume_ml",
}


@pytest.fixture
def today(bench: Bench) -> str:
    from softmend.services.days import bench_day

    return bench_day(bench)


@pytest.fixture
def view_id(bench: Bench, author: Author, dossier_id: str) -> str:
    view = View(1, "front.jpg", "0" * 64, 10, "0" * 64, 400, 300, 8, "sRGB")
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=bench.fresh_id(),
        record=view,
        based_on="",
    ).subject_id


def log(bench: Bench, dossier_id: str) -> list[Logged]:
    with bench.store.reading() as reader:
        return log_of(reader, dossier_id)


def text_of(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_bounded() for page in document)


def test_an_entry_needs_an_action_and_a_place_no_more(
    client: TestClient, bench: Bench, author: Author, dossier_id: str, view_id: str, today: str
) -> None:
    line = Geometry(Shape.LINE, (((10.0, 10.0), (100.0, 50.0)),))
    mark = record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),)))
    page = client.get(f"/dossiers/{dossier_id}/treat").text
    assert "mark 1 crack" in page
    said = QUICK | {"mark_ids": mark.subject_id, "minutes_chip": "15", "done_on": today}
    assert client.post(f"/dossiers/{dossier_id}/treat", data=said).status_code == 303
    (one,) = log(bench, dossier_id)
    assert (one.words, one.action.minutes) == ("dry surface cleaning", 15.0)
    assert one.action.mark_ids == (mark.subject_id,)
    assert "dry surface cleaning" in client.get(f"/dossiers/{dossier_id}/treat").text.casefold()


def test_the_last_entry_is_repeated_in_one_tap(
    client: TestClient, bench: Bench, dossier_id: str, today: str
) -> None:
    said = QUICK | {"done_on": today}
    client.post(f"/dossiers/{dossier_id}/treat", data=said)
    assert "Same again, today" in client.get(f"/dossiers/{dossier_id}/treat").text
    assert client.post(f"/dossiers/{dossier_id}/treat/again").status_code == 303
    first, again = log(bench, dossier_id)
    assert (first.action.action, again.action.number) == (again.action.action, 2)


def test_a_hidden_face_is_asked_for_in_the_form(
    client: TestClient, dossier_id: str, today: str
) -> None:
    said = QUICK | {"action": "filling", "done_on": today, "wet_because": "agreed"}
    refused = client.post(f"/dossiers/{dossier_id}/treat", data=said, headers=HTMX)
    assert refused.status_code == 409
    assert "Will this be hidden?" in refused.text
    assert "<html" not in refused.text


def test_wet_work_shows_what_is_owed_and_takes_a_reason(
    client: TestClient, bench: Bench, dossier_id: str, today: str
) -> None:
    address = f"/dossiers/{dossier_id}/treat"
    assert "something is owed before the first wet step" in client.get(address).text
    said = QUICK | {"action": "gel_cleaning", "done_on": today}
    refused = client.post(address, data=said, headers=HTMX)
    assert "was owed: Nobody asked whether a sample is wanted first" in refused.text
    client.post(address, data=said | {"wet_because": "active loss, agreed by telephone"})
    assert log(bench, dossier_id)[0].action.wet_because == "active loss, agreed by telephone"


def test_a_correction_keeps_what_was_said(
    client: TestClient, bench: Bench, dossier_id: str, today: str
) -> None:
    said = QUICK | {"done_on": today}
    client.post(f"/dossiers/{dossier_id}/treat", data=said)
    (one,) = log(bench, dossier_id)
    page = f"/dossiers/{dossier_id}/treat/log/{one.entry.subject_id}"
    assert "Correct it with a further entry" in client.get(page).text
    right = said | {"based_on": one.entry.id, "tool": "soft brush"}
    refused = client.post(page, data=right, headers=HTMX)
    assert "A log entry is never overwritten" in refused.text
    client.post(page, data=right | {"correction_because": "the tool was forgotten"})
    text = client.get(page).text
    assert "What it said before" in text
    assert "the tool was forgotten" in text


def test_a_voice_note_is_an_entry_that_is_sorted_later(
    client: TestClient, bench: Bench, dossier_id: str, today: str
) -> None:
    note = {"attached": ("note.m4a", b"\x00\x00\x00\x18ftypM4A ", "audio/mp4")}
    client.post(f"/dossiers/{dossier_id}/treat/attach", files=note)
    (one,) = log(bench, dossier_id)
    assert not one.action.is_sorted
    front = client.get(f"/dossiers/{dossier_id}/treat").text
    assert "Sort one log entry" in front
    page = f"/dossiers/{dossier_id}/treat/log/{one.entry.subject_id}"
    assert "Sort it: what was done?" in client.get(page).text
    said = QUICK | {"done_on": today, "based_on": one.entry.id}
    client.post(page, data=said | {"paper_ids": one.action.paper_ids[0]})
    (sorted_one,) = log(bench, dossier_id)
    assert sorted_one.action.is_sorted
    assert sorted_one.action.paper_ids == one.action.paper_ids


def test_everything_that_an_entry_can_say_is_kept(
    client: TestClient, bench: Bench, dossier_id: str, view_id: str, today: str
) -> None:
    said = QUICK | {
        "action": "consolidation",
        "done_on": today,
        "wet_because": "agreed",
        "hidden": "will be hidden",
        "hidden_view_ids": view_id,
        "moved_batch": ["", ""],
        "moved_material": ["animal glue", "loose dust"],
        "moved_direction": ["put on", "taken off"],
        "moved_amount": ["1,5", "0.2"],
        "moved_unit": ["mL", "g"],
        "moved_expanded_percent": ["10", ""],
        "moved_stays": ["stays", "not known"],
        "moved_fate": ["not known", "kept"],
        "moved_kept_where": ["", "bag 3"],
        "mass_before_g": "52.31",
        "mass_after_g": "50.11",
        "depth_mm": "",
        "stop_sign": "no more was taken up",
        "also_by_name": "B. Helper",
    }
    answer = client.post(f"/dossiers/{dossier_id}/treat", data=said)
    assert answer.status_code == 303, answer.text
    action = log(bench, dossier_id)[0].action
    glue, dust = action.moved
    assert (glue.volume_ml, glue.expanded_percent, dust.kept_where) == (1.5, 10.0, "bag 3")
    assert action.consolidation is not None
    assert action.consolidation.mass_after_g == 50.11
    assert len(action.also_by_ids) == 1


def test_a_batch_is_made_to_a_percentage_with_its_basis(
    client: TestClient, bench: Bench, dossier_id: str, today: str
) -> None:
    address = f"/dossiers/{dossier_id}/treat/batches"
    batch = MIXTURE | {"name": "resin for joins", "made_on": today, "way": "percentage"}
    refused = client.post(address, data=batch | {"basis": ""}, headers=HTMX)
    assert "A bare percentage is refused; got 20 %" in refused.text
    assert client.post(address, data=batch).status_code == 303
    with bench.store.reading() as reader:
        (stock,) = stock_of(reader, dossier_id)
    assert [one.name for one in stock.batch.ingredients] == ["resin", "acetone"]
    page = client.get(address).text
    assert "resin 20 g" in page
    label = client.get(f"{address}/{stock.entry.subject_id}/label.pdf")
    text = text_of(label.content)
    assert "Batch 1 · resin for joins" in text
    assert "T 1.2" in text


def test_a_batch_is_corrected_with_what_it_was_made_from_in_the_form(
    client: TestClient, bench: Bench, dossier_id: str, today: str
) -> None:
    address = f"/dossiers/{dossier_id}/treat/batches"
    batch = MIXTURE | {"name": "resin", "made_on": today, "way": "percentage"}
    client.post(address, data=batch)
    with bench.store.reading() as reader:
        entry = stock_of(reader, dossier_id)[0].entry
    form = client.get(address, params={"correct": entry.subject_id}).text
    assert 'value="100"' in form.replace("100.0", "100")
    right = batch | {"based_on": entry.id, "amount": "50"}
    assert client.post(f"{address}/{entry.subject_id}", data=right).status_code == 303
    with bench.store.reading() as reader:
        (stock,) = stock_of(reader, dossier_id)
    assert stock.batch.ingredients[0].mass_g == pytest.approx(10.0, abs=0.1)


def test_the_calculator_and_its_label_need_no_dossier(client: TestClient) -> None:
    assert "Solution calculator" in client.get("/calculator").text
    page = client.get("/calculator", params=MIXTURE).text
    # practice.md 2.5: 20 g in 100 mL of solution is 23.6 % w/w, ideal mixing (recalled).
    assert "w/v of solution" in page
    assert "23.57 ± 0.48 %" in page
    assert "20.0 g of resin" in page
    refused = client.get("/calculator", params=MIXTURE | {"basis": ""})
    assert "A bare percentage is refused" in refused.text
    text = text_of(client.get("/calculator/label.pdf", params=MIXTURE).content)
    assert "resin in acetone" in text


FOUND = {"found_where": "tray under the burr", "mass_g": "1.2"}


def fragment(bench: Bench, dossier_id: str) -> tuple[str, str, Stand]:
    with bench.store.reading() as reader:
        entry, one = ledger_of(reader, dossier_id).fragments[0]
    return entry.subject_id, entry.id, one.stand


def test_a_fragment_goes_from_the_tray_to_a_bond_on_evidence_and_two_pairs_of_eyes(
    client: TestClient, bench: Bench, dossier_id: str, view_id: str
) -> None:
    address = f"/dossiers/{dossier_id}/treat/fragments"
    client.post(address, data=FOUND)
    assert "about 1.2\u00a0g" in client.get(address).text

    def step(path: str = "", **said: str) -> str:
        subject, based_on, _stand = fragment(bench, dossier_id)
        data = said | {"based_on": based_on}
        return client.post(f"{address}/{subject}{path}", data=data, headers=HTMX).text

    step("/evidence", place="J7", code="D", reason_observed="in the crack", view_id=view_id)
    step("/trials", place="J6", seats="false", seen_observed="rocks")
    step(stand="placed dry", place="J7")
    second = come_to_the_bench(bench, "B. Second").id
    refused = step(stand="bonded", second_id=second)
    assert "may not be bonded at J7: evidence D" in refused
    subject, _entry, stand = fragment(bench, dossier_id)
    assert stand is Stand.PLACED_DRY
    page = client.get(f"{address}/{subject}").text
    assert page.index("None of these") < page.index("not enough to bond")
    assert "does not seat" in page
    step("/evidence", place="J7", code="A", reason_observed="no light", view_id=view_id)
    step(stand="bonded", second_id=second)
    assert fragment(bench, dossier_id)[2] is Stand.BONDED


def test_what_is_not_placed_goes_into_a_bag_with_a_label_and_missing_opens_an_incident(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    base = f"/dossiers/{dossier_id}/treat"
    client.post(f"{base}/fragments", data=FOUND)
    bag = {"kept_where": "drawer 4", "not_placed_because": "no seat", "packed_on": "2026-03-02"}
    client.post(f"{base}/bags", data=bag)
    with bench.store.reading() as reader:
        bag_entry = ledger_of(reader, dossier_id).bags[0][0]
    for said in (
        {"stand": "unplaced"},
        {"stand": "bagged", "bag_id": bag_entry.subject_id},
    ):
        subject, based_on, _stand = fragment(bench, dossier_id)
        client.post(f"{base}/fragments/{subject}", data=said | {"based_on": based_on})
    label = text_of(client.get(f"{base}/bags/{bag_entry.subject_id}/label.pdf").content)
    assert "Bag 1 · 1 fragment" in label
    assert "no seat" in label
    subject, based_on, _stand = fragment(bench, dossier_id)
    lost = {"stand": "missing", "because": "bag torn", "based_on": based_on}
    client.post(f"{base}/fragments/{subject}", data=lost)
    page = client.get(f"{base}/fragments").text
    assert "Incident 1 is open: fragment 1 is missing" in page
    with bench.store.reading() as reader:
        ((incident, _one),) = incidents_of(reader, dossier_id)
    closed = {"closed_how": "found in the bin", "based_on": incident.id}
    client.post(f"{base}/incidents/{incident.subject_id}", data=closed)
    assert "Ended: found in the bin" in client.get(f"{base}/fragments").text


def test_joins_stand_in_the_order_in_which_they_can_be_made(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    address = f"/dossiers/{dossier_id}/treat/joins"
    said = {
        "name": ["J2", "J1", ""],
        "pieces": ["tine, tip", "beam, tine", ""],
        "after": ["J1", "", ""],
    }
    assert client.post(address, data=said).status_code == 303
    page = client.get(address).text
    assert page.index("<strong>J1") < page.index("<strong>J2")
    with bench.store.reading() as reader:
        entry_id, assembly = assembly_of(reader, dossier_id)
    assert len(assembly.joins) == 2
    circle = said | {"after": ["J1", "J2", ""], "based_on": entry_id}
    assert "wait for each other" in client.post(address, data=circle, headers=HTMX).text


def test_the_look_up_tells_which_objects_carry_it(
    client: TestClient, dossier_id: str, today: str
) -> None:
    said = QUICK | {"done_on": today, "moved_batch": "", "moved_material": "beeswax"}
    client.post(f"/dossiers/{dossier_id}/treat", data=said)
    assert "limewood figurehead" in client.get("/look-up", params={"search": "beesw"}).text
    assert "No batch and no log entry" in client.get("/look-up", params={"search": "x"}).text
    assert "Which objects carry it?" in client.get("/look-up").text


def test_the_record_is_shown_as_text_and_printed(
    client: TestClient, dossier_id: str, today: str
) -> None:
    said = QUICK | {"done_on": today, "moved_material": "beeswax", "moved_amount": "2"}
    client.post(f"/dossiers/{dossier_id}/treat", data=said)
    page = client.get(f"/dossiers/{dossier_id}/treat/record").text
    assert "Materials put on and taken off" in page
    pdf = client.get(f"/dossiers/{dossier_id}/treat/record.pdf")
    assert pdf.headers["content-disposition"] == 'attachment; filename="T-1.2-treatment-record.pdf"'
    assert "dry surface cleaning" in text_of(pdf.content)


def test_the_stage_is_in_the_rail_and_on_the_front_page(
    client: TestClient, dossier_id: str
) -> None:
    front = client.get(f"/dossiers/{dossier_id}").text
    assert f'href="/dossiers/{dossier_id}/treat"' in front
    assert "Log what was done" in front


def test_what_is_typed_is_shown_and_never_run(
    client: TestClient, dossier_id: str, today: str
) -> None:
    evil = "<script>alert(1)</script>"
    said = QUICK | {"done_on": today, "place": evil, "result_observed": evil}
    client.post(f"/dossiers/{dossier_id}/treat", data=said)
    for path in ("treat", "treat/record"):
        assert evil not in client.get(f"/dossiers/{dossier_id}/{path}").text


def test_a_form_with_nonsense_is_told_in_words(
    client: TestClient, dossier_id: str, today: str
) -> None:
    said = QUICK | {"done_on": today, "moved_material": "wax", "moved_stays": "forever"}
    refused = client.post(f"/dossiers/{dossier_id}/treat", data=said, headers=HTMX)
    assert refused.status_code == 422
    assert json.dumps("forever").strip('"') in refused.text
