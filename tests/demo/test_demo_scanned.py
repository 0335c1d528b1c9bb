"""The demo's scans in a dossier: said as a person says it, computed, and near their truth."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from importlib.resources import files

from softmend.records.dossier import Dossier, Size
from softmend.services.bench import Author, Bench
from softmend.services.demo.scanning import lay_out_scans
from softmend.services.dossiers import open_dossier
from softmend.services.fake_store import FakeStore
from softmend.services.people import come_to_the_bench
from softmend.services.recording import current_records
from softmend.services.solid.asking import answered, keep_answers, measure_later
from softmend.services.solid.inputs import LENGTH, SUPPORTS, VOID, VOLUME
from softmend.services.solid.scans import on_scan, scans_in

TRUTH = json.loads((files("softmend") / "demo" / "scan-truth.json").read_text("utf-8"))


def test_the_demos_antler_is_measured_filled_and_held_near_its_truth() -> None:
    store = FakeStore()
    bench = Bench(store, zone="Europe/Oslo")
    author = Author(come_to_the_bench(bench, "Ida Invented").id, "examination")
    facts = Dossier("antler beam", "EX 1", "an invented museum", "display", Size.FULL, True)
    dossier_id = open_dossier(bench, author, facts)
    lay_out_scans(bench, author, dossier_id, [])
    with store.reading() as reader:
        assert len(current_records(reader, dossier_id, "scan_comparison")) == 1
        scan_id, later_id = (entry.subject_id for entry, _ in scans_in(reader, dossier_id))
    assert later_id != scan_id
    measure_later(bench, None, dossier_id, scan_id)
    keep_answers(bench, author, dossier_id, scan_id)
    with store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)

        def told(name: str, about: str) -> dict[str, object]:
            found = answered(reader, dossier_id, name, about)
            assert found is not None
            return found.outputs

        volume = told(VOLUME, scan_id)["volume_ml"]
        void = told(VOID, on.voids[0][0].subject_id)["volume_ml"]
        lengths = [told(LENGTH, entry.subject_id)["length_mm"] for entry, _ in on.lines]
        pads = told(SUPPORTS, scan_id)["pads"]
    assert _holds(volume, TRUTH["volume_mm3"] / 1000)
    assert _holds(void, TRUTH["void"]["volume_mm3"] / 1000)
    known = {one["name"]: one["length_mm"].get("before") for one in TRUTH["cracks"]}
    for (_entry, line), length in zip(on.lines, lengths, strict=True):
        # Told to half a percent: the surface that a scan sees is a little rough.
        assert isinstance(length, dict)
        assert abs(length["typical"] / known[line.what] - 1) < 0.006, line.what
    assert isinstance(pads, list)
    assert len(pads) == 3
    store.close()


def _holds(told: object, truth: float) -> bool:
    """Say whether a told range holds the truth."""
    assert isinstance(told, dict)
    return bool(told["low"] <= truth <= told["high"])
