"""The pages of Return and the bench sheets, over the application with a store in memory."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import io
import zipfile
from typing import TYPE_CHECKING

import docx
import pytest

from softmend.services.hand_over.custody import receipts_in
from softmend.services.recording import current_records
from softmend.services.treat.bench_sheet import sheets_in
from tests.services.hand_over_sample import CARE, CRATE, PLACE, RECEIPT, USUAL, hand_back
from tests.services.photographed import camera, drawn_sheet, jpeg, photograph

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

PAGES = ("curator", "mount-maker", "registrar", "front-of-house", "next-conservator", "care-sheet")
STAGE = ("", "/care", "/custody", "/places", "/papers", "/closing")
RECEIPT_FORM = {
    "way": "received", "what": "the antler beam", "owner": "an invented house",
    "from_whom": "R. Registrar", "to_whom": "A. Conservator", "reason": "treatment",
    "handed_on": "2020-03-01", "return_on": "2020-06-01", "condition_observed": "cracked",
}  # fmt: skip


@pytest.mark.parametrize("name", STAGE)
def test_every_page_starts_with_what_to_do_next(
    client: TestClient, dossier_id: str, name: str
) -> None:
    shown = client.get(f"/dossiers/{dossier_id}/return{name}")
    assert shown.status_code == 200
    content = shown.text[shown.text.index("<main") :]
    assert content.index('class="next"') < content.index("<h1")
    assert f'href="/dossiers/{dossier_id}/return"' in shown.text


@pytest.mark.parametrize("name", PAGES)
def test_each_reader_s_page_comes_as_pdf_docx_and_text(
    client: TestClient, bench: Bench, author: Author, dossier_id: str, name: str
) -> None:
    hand_back(bench, author, dossier_id)
    at = f"/dossiers/{dossier_id}/return/{name}"
    pdf = client.get(f"{at}.pdf")
    assert pdf.content.startswith(b"%PDF-")
    assert "T-1.2" in pdf.headers["content-disposition"]
    document = docx.Document(io.BytesIO(client.get(f"{at}.docx").content))
    heads = [one.text for one in document.paragraphs if one.style.name == "Heading 1"]
    assert heads[0] == "Hazards and handling"
    text = client.get(f"{at}/text").text
    assert "Copy as text" in text
    assert (PLACE in text) == (name == "registrar")


def test_an_unknown_page_and_an_unknown_receipt_are_said_to_be_unknown(
    client: TestClient, dossier_id: str
) -> None:
    at = f"/dossiers/{dossier_id}/return"
    assert client.get(f"{at}/thief.pdf").status_code == 404
    assert client.get(f"{at}/receipts/9.pdf").status_code == 422


def test_places_and_receipts_stay_on_the_registrar_s_pages(
    client: TestClient, bench: Bench, author: Author, dossier_id: str
) -> None:
    hand_back(bench, author, dossier_id)
    here = f"/dossiers/{dossier_id}"
    assert PLACE in client.get(f"{here}/return/places").text
    assert RECEIPT.from_whom in client.get(f"{here}/return/custody").text
    for name in ("", "/examine", "/condition", "/words", "/quantities", "/report", "/journal",
                 "/return", "/return/care", "/return/papers", "/return/closing",
                 "/treat/sheets"):  # fmt: skip
        shown = client.get(f"{here}{name}").text
        for secret in (PLACE, USUAL, CRATE):
            assert secret not in shown, (name, secret)
    plain = client.get(f"/api/v1{here}").text
    assert PLACE not in plain
    assert CRATE not in plain


def test_a_receipt_is_written_printed_and_signed(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    at = f"/dossiers/{dossier_id}/return"
    assert client.post(f"{at}/custody", data=RECEIPT_FORM).status_code == 303
    assert client.get(f"{at}/receipts/1.pdf").content.startswith(b"%PDF-")
    assert "overdue" in client.get(f"{at}/custody").text
    assert "Receipt 1 is overdue" not in client.get(f"{at}").text  # hazards are more urgent
    signed = {"paper": ("receipt.pdf", b"signed", "application/pdf")}
    told = {"of_what": "receipt 1", "signed_by": "both", "signed_on": "2020-03-01"}
    assert client.post(f"{at}/papers", data=told, files=signed).status_code == 303
    with bench.store.reading() as reader:
        (line,) = receipts_in(bench, reader, dossier_id)
    form = {"subject_id": line.entry.subject_id, "based_on": line.entry.id, "paper_number": "1"}
    assert client.post(f"{at}/custody/signed", data=form).status_code == 303
    assert "signed: paper 1" in client.get(f"{at}/custody").text
    assert "signed copy: receipt 1" in client.get(f"{at}/papers").text


def test_closing_lists_what_is_missing_and_refuses_in_words(
    client: TestClient, dossier_id: str
) -> None:
    at = f"/dossiers/{dossier_id}/return/closing"
    shown = client.get(at).text
    assert "things are missing for this size" in shown
    assert "The date of the next check is missing" in shown
    assert "Two copies in two hands are asked for; none is logged" in shown
    form = {"outcome": "treated", "signed_by": "A", "closed_on": "2020-01-01"}
    refused = client.post(at, data=form)
    assert refused.status_code == 409
    assert "not done, because" in refused.text
    answer = {"asked": "log", "because": "nothing was done"}
    assert client.post(f"{at}/not-done", data=answer).status_code == 303
    assert "nothing was done" in client.get(at).text


def test_a_dossier_is_closed_and_opened_again_from_its_pages(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    from softmend.services.hand_over.closing import closing_state

    at = f"/dossiers/{dossier_id}/return"
    care = {"next_check_on": "2126-01-01", "lift_points": "by the base", "rh_band": ""}
    assert client.post(f"{at}/care", data=care).status_code == 303
    with bench.store.reading() as reader:
        missing = [one.item for one in closing_state(reader, dossier_id).missing]
    for item in missing:
        client.post(f"{at}/closing/not-done", data={"asked": item, "because": "a test"})
    for rule in ("11", "19"):
        passing = {"rule": rule, "because": "a test", "by": "H. Head"}
        assert client.post(f"{at}/closing/pass", data=passing).status_code == 303
    form = {"outcome": "nothing was done", "signed_by": "A", "closed_on": "2020-01-01"}
    assert client.post(f"{at}/closing", data=form).status_code == 303
    assert "Closed on 2020-01-01" in client.get(f"{at}/closing").text
    assert client.post(f"{at}/care", data=care).status_code == 409
    assert client.post(f"{at}/closing/open-again", data={"because": " "}).status_code == 422
    again = {"because": "a piece fell"}
    assert client.post(f"{at}/closing/open-again", data=again).status_code == 303
    assert "Opened again, because a piece fell" in client.get(f"{at}/closing").text


def test_a_copy_given_away_is_logged(client: TestClient, bench: Bench, dossier_id: str) -> None:
    at = f"/dossiers/{dossier_id}/return/closing"
    with bench.store.reading() as reader:
        head = reader.head(dossier_id)
    form = {"to_whom": "the owner", "package_hash": "D" * 64, "entry_count": str(head.count),
            "head_hash": head.hash, "handed_on": "2026-03-02"}  # fmt: skip
    assert client.post(f"{at}/copy", data=form).status_code == 303
    assert "one is logged" in client.get(at).text
    for wrong in ({"package_hash": "x"}, {"head_hash": "e" * 64}, {"entry_count": "many"}):
        assert client.post(f"{at}/copy", data=form | wrong).status_code == 422


def test_a_package_is_made_for_a_custodian_logged_and_given(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    at = f"/dossiers/{dossier_id}/return/closing"
    given = client.post(f"{at}/package", data={"to_whom": " the  owner ", "carried_how": "by hand"})
    assert given.status_code == 200
    assert zipfile.is_zipfile(io.BytesIO(given.content))
    assert 'filename="T-1.2-package.zip"' in given.headers["content-disposition"]
    with bench.store.reading() as reader:
        ((_, logged),) = current_records(reader, dossier_id, "hand_over")
    assert logged.to_whom == "the owner"
    assert logged.package_hash == hashlib.sha256(given.content).hexdigest()
    assert client.post(f"{at}/package", data={"to_whom": " "}).status_code == 422
    assert "The newest package holds" not in client.get(at).text


def test_the_condition_report_is_editable_and_the_house_s_table_can_be_copied(
    client: TestClient, dossier_id: str
) -> None:
    content = client.get(f"/dossiers/{dossier_id}/condition-report.docx").content
    assert docx.Document(io.BytesIO(content)).core_properties.language == "en-GB"
    shown = client.get(f"/dossiers/{dossier_id}/return/papers").text
    assert "house.toml" in shown
    assert "hazards = &#34;Hazards and handling&#34;" in shown


def test_a_bench_sheet_goes_there_and_back(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    at = f"/dossiers/{dossier_id}/treat/sheets"
    assert client.post(at, data={"view_id": "", "note": "tray 2"}).status_code == 303
    with bench.store.reading() as reader:
        (line,) = sheets_in(reader, dossier_id)
    pdf = client.get(f"{at}/{line.entry.subject_id}.pdf").content
    picture = jpeg(photograph(drawn_sheet(pdf), camera()))
    back = {"photograph": ("sheet.jpg", picture, "image/jpeg")}
    assert client.post(f"{at}/{line.entry.subject_id}", files=back).status_code == 303
    shown = client.get(at).text
    assert "Reported, handwritten" in shown
    with bench.store.reading() as reader:
        ((entry, _),) = sheets_in(reader, dossier_id)[0].backs
    squared = client.get(f"{at}/{entry.subject_id}/squared-up.jpg")
    assert squared.content.startswith(b"\xff\xd8\xff")
    assert client.get(f"{at}/{entry.subject_id}/underlay.png").status_code == 404
    wrong = {"photograph": ("cat.jpg", jpeg(photograph(drawn_sheet(pdf), camera())[:400]), "x")}
    refused = client.post(f"{at}/{line.entry.subject_id}", files=wrong)
    assert refused.status_code == 422
    assert "corner marks of this sheet were not found" in refused.text


def test_care_is_asked_with_its_date(client: TestClient, dossier_id: str) -> None:
    at = f"/dossiers/{dossier_id}/return/care"
    assert client.post(at, data={"lift_points": "by the base"}).status_code == 422
    assert client.post(at, data={"next_check_on": "2001-01-01"}).status_code == 422
    form = {"next_check_on": "2126-01-01", "light": CARE.light}
    assert client.post(at, data=form).status_code == 303
    assert CARE.light in client.get(at).text
