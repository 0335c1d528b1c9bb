"""The API under generated requests: no 5xx, and no answer that its description leaves out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest
import schemathesis
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings, strategies
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from softmend.records.dossier import Dossier
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import View
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import open_dossier
from softmend.services.examine.marks import record_mark
from softmend.services.fake_store import FakeStore
from softmend.services.people import come_to_the_bench
from softmend.services.recording import record_one
from softmend.web.app import create_app

if TYPE_CHECKING:
    from collections.abc import Iterator

TOKEN = "fuzz"
CASES_AN_OPERATION = 25
FEWEST_OPERATIONS = 10
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]


@dataclass(frozen=True)
class Target:
    """A bench with something on it, the cookies of a person, and ids that exist."""

    bench: Bench
    cookie: str
    ids: dict[str, str]


@pytest.fixture(scope="module")
def target() -> Iterator[Target]:
    store = FakeStore()
    bench = Bench(store)
    author = Author(come_to_the_bench(bench, "Ida Invented").id, "fuzzing")
    facts = Dossier("an invented thing", "1", "an invented museum", "to be fuzzed")
    dossier_id = open_dossier(bench, author, facts)
    view = View(1, "a.png", "0" * 64, 10, "0" * 64, 400, 300, 8, "sRGB")
    view_id = bench.fresh_id()
    record_one(bench, author, dossier_id=dossier_id, subject_id=view_id, record=view, based_on="")
    line = Geometry(Shape.LINE, (((10.0, 10.0), (100.0, 50.0)),))
    mark = record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),)))
    with TestClient(create_app(bench, TOKEN), base_url="http://localhost") as client:
        client.get("/", params={"token": TOKEN})
        client.post(
            "/who",
            data={"name": "Ida Invented", "purpose": "fuzzing"},
            headers={"sec-fetch-site": "same-origin"},
        )
        cookie = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
    ids = {"dossier_id": dossier_id, "view_id": view_id, "mark_id": mark.subject_id}
    yield Target(bench, cookie, ids)
    store.close()


def test_every_answer_is_one_that_is_described(target: Target) -> None:
    headers = {"cookie": target.cookie, "host": "localhost", "x-softmend": "1"}
    schema = schemathesis.openapi.from_asgi(
        "/api/v1/openapi.json", create_app(target.bench, TOKEN), headers=headers
    )
    statuses: Counter[int] = Counter()
    operations = [result.ok() for result in schema.get_all_operations()]
    for operation in operations:
        fuzz(operation, headers, target.ids, statuses)
    assert len(operations) >= FEWEST_OPERATIONS
    # The requests reach past the gate and the router: some are taken, some are refused in words.
    assert {200, 201, 404, 422} <= set(statuses)


def fuzz(
    operation: schemathesis.APIOperation,
    headers: dict[str, str],
    ids: dict[str, str],
    statuses: Counter[int],
) -> None:
    """Send generated requests to one operation, half of them about things that exist."""

    @settings(
        max_examples=CASES_AN_OPERATION,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(), is_about_something=strategies.booleans())
    def send(case: schemathesis.Case, is_about_something: bool) -> None:
        if is_about_something:
            known = set(ids) & set(case.path_parameters or {})
            case.path_parameters.update({name: ids[name] for name in known})
        response = case.call_and_validate(headers=headers, checks=CHECKS)
        statuses[response.status_code] += 1

    send()
