"""Withdrawal on the page: asked first, never silent, and what must go elsewhere is listed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest

from softmend.records.dossier import Hazard, HazardStatus
from softmend.records.view import Paper
from softmend.services.dossiers import record_hazard
from softmend.services.keeping import verify
from softmend.services.recording import record_one

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

DECIDED = {"decided_by": "A. Keeper, head of house", "because": "a person asked for it"}


@pytest.fixture
def secret(bench: Bench, author: Author, dossier_id: str) -> str:
    said = Hazard("mould", HazardStatus.PRESENT, handling="told by somebody who asked for silence")
    return record_hazard(bench, author, dossier_id, said).id


@pytest.fixture
def paper(bench: Bench, author: Author, dossier_id: str) -> str:
    sha256 = bench.store.files.put(io.BytesIO(b"a letter"))
    record = Paper(1, "letter.pdf", sha256, 8, "a letter")
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=bench.fresh_id(),
        record=record,
        based_on="",
    ).id


def test_the_page_says_what_stays_before_anything_is_erased(
    client: TestClient, dossier_id: str, secret: str
) -> None:
    page = client.get(f"/dossiers/{dossier_id}/entries/{secret}/withdraw")
    assert "cannot be brought back" in page.text
    assert "the chain still verifies" in page.text


def test_withdrawn_words_are_gone_the_chain_holds_and_copies_elsewhere_are_listed(
    client: TestClient, bench: Bench, dossier_id: str, secret: str
) -> None:
    done = client.post(f"/dossiers/{dossier_id}/entries/{secret}/withdraw", data=DECIDED)
    assert "in every backup" in done.text
    with bench.store.reading() as reader:
        assert reader.entry(secret).payload is None
    assert verify(bench.store).is_sound
    journal = client.get(f"/dossiers/{dossier_id}/journal").text
    assert "content withdrawn" in journal
    assert "asked for silence" not in journal


@pytest.mark.parametrize("missing", ["decided_by", "because"])
def test_nothing_is_withdrawn_without_a_name_and_a_reason(
    client: TestClient, bench: Bench, dossier_id: str, secret: str, missing: str
) -> None:
    answer = client.post(
        f"/dossiers/{dossier_id}/entries/{secret}/withdraw", data=DECIDED | {missing: " "}
    )
    assert answer.status_code in (409, 422)
    with bench.store.reading() as reader:
        assert reader.entry(secret).payload is not None


def test_a_file_is_withdrawn_with_its_words_left_standing(
    client: TestClient, bench: Bench, dossier_id: str, paper: str
) -> None:
    address = f"/dossiers/{dossier_id}/entries/{paper}/withdraw"
    assert "the file, with its upright copy" in client.get(address).text
    done = client.post(address, data=DECIDED | {"what": "file"})
    assert "in every backup: files/" in done.text
    assert list(bench.store.files.all()) == []
    assert verify(bench.store).is_sound


def test_an_entry_of_another_dossier_is_not_found(
    client: TestClient, dossier_id: str, secret: str
) -> None:
    other = "00000000-0000-7000-8000-000000000001"
    assert client.get(f"/dossiers/{other}/entries/{secret}/withdraw").status_code == 404
