"""A dossier that came in a package without names: every page says so of whoever wrote it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from softmend.errors import NotFoundError
from softmend.records.action import Action, Hidden
from softmend.records.batch import Batch, BatchKind, Ingredient
from softmend.services.bench import Author
from softmend.services.people import NOT_NAMED, erase_name, name_at_the_bench, name_of, names_in
from softmend.services.treat.batches import make_batch
from softmend.services.treat.day_log import log_action
from softmend.services.treat.labels import batch_label
from softmend.services.treat.treatment_content import treatment_as_text
from tests.report.reading import text_of

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Bench

ELSEWHERE = Author("01900000-0000-7000-8000-0000000000aa", "treatment")
GLUE = Batch(0, BatchKind.ADHESIVE, "glue", "2026-03-02", (Ingredient("glue", 1.0),))
DUSTED = Action(
    0, "dry_cleaning", "2026-03-02", minutes=20, hidden=Hidden.NO,
    not_in_plan_because="no plan is written yet",
)  # fmt: skip


def test_whoever_a_package_did_not_name_is_said_to_be_so_on_every_page(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    assert name_of(bench, ELSEWHERE.person_id) == NOT_NAMED
    batch = make_batch(bench, ELSEWHERE, dossier_id, GLUE)
    logged = log_action(bench, ELSEWHERE, dossier_id, DUSTED)
    for page in (f"treat/log/{logged.subject_id}", "treat/batches", "journal"):
        answer = client.get(f"/dossiers/{dossier_id}/{page}")
        assert answer.status_code == 200
        assert NOT_NAMED in answer.text, page
    told = treatment_as_text(bench, dossier_id)
    assert NOT_NAMED in told["treatment_log"]
    assert NOT_NAMED in told["treatment_contributors"]
    assert NOT_NAMED in text_of(batch_label(bench, dossier_id, batch.subject_id))
    with bench.store.reading() as reader:
        assert names_in(reader)[""] == "not known"


def test_nobody_who_is_not_on_the_list_of_people_comes_to_the_bench(
    client: TestClient, bench: Bench
) -> None:
    said = {"person_id": ELSEWHERE.person_id, "purpose": "treatment"}
    assert client.post("/who", data=said).status_code == 404
    for refused in (name_at_the_bench, erase_name):
        with pytest.raises(NotFoundError, match="There is no such person at this bench"):
            refused(bench, ELSEWHERE.person_id)
