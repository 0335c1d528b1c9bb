"""Records told field by field read as people write: numbers with unit and uncertainty, no names."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

from softmend.records.bookkeeping import Run
from softmend.services.recording import record_one
from softmend.web.telling import changes

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

WIDTH = {"along_mm": 28.0, "width_mm": 0.8500000000000001, "expanded_mm": 0.1,
         "measured_with": "feeler gauge"}  # fmt: skip
DEPTH = {"along_mm": 118.0, "low_mm": 5.4, "typical_mm": 8.1, "high_mm": 11.7,
         "known_how": "gauge"}  # fmt: skip


def test_a_station_is_told_with_its_uncertainty_and_how_it_was_measured() -> None:
    told = dict(changes({}, {"widths": [WIDTH, {**WIDTH, "along_mm": 70.25}], "depths": [DEPTH]}))
    assert told == {
        "widths": "at 28 mm 0.85 ± 0.1 mm, feeler gauge; at 70.25 mm 0.85 ± 0.1 mm, feeler gauge",
        "depths": "at 118 mm 8.1 (5.4 to 11.7) mm, gauge",
    }


def test_the_journal_calls_a_computation_by_its_title(
    client: TestClient, bench: Bench, author: Author, dossier_id: str
) -> None:
    for name in ("fill.volume", "no.longer_there"):
        run = Run(name, {}, {}, "1", {}, 0)
        record_one(
            bench, author, dossier_id=dossier_id, subject_id=bench.fresh_id(), record=run,
            based_on="",
        )  # fmt: skip
    shown = client.get(f"/dossiers/{dossier_id}/journal").text
    assert "Volume of fill" in shown
    assert "fill.volume" not in shown
    assert "no.longer_there" in shown
