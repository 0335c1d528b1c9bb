"""A pair of scans: what was asked of both, what goes into the computation, where it lies."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from softmend.errors import InputError
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.scan import ScanComparison
from softmend.services.bench import Bench
from softmend.services.recording import current_records
from softmend.services.solid.inputs import length_inputs
from softmend.services.solid.measuring_mesh import asked_folder
from softmend.services.solid.scans import OnScan, on_scan
from softmend.services.store import Reader

COMPARE = "solid.compare"
COLOURS = "colours.f32"


@dataclass(frozen=True)
class Pair:
    """Two scans and what was asked of them, None before anybody asked."""

    earlier: OnScan
    later: OnScan
    asked: tuple[Entry, ScanComparison] | None

    @property
    def subject(self) -> str:
        """Return the subject of the comparison."""
        return f"{self.earlier.scan_id}:{self.later.scan_id}"


def pair_of(reader: Reader, dossier_id: str, earlier_id: str, later_id: str) -> Pair:
    """Return two scans of a dossier; one scan is not compared with itself."""
    if earlier_id == later_id:
        raise InputError("A scan cannot be compared with itself", remedy="Choose another scan")
    earlier, later = (on_scan(reader, dossier_id, one) for one in (earlier_id, later_id))
    entry = reader.latest("scan_comparison", f"{earlier_id}:{later_id}")
    stands = entry is not None and entry.kind != "struck" and entry.payload is not None
    return Pair(earlier, later, (entry, record_in(entry)) if entry and stands else None)


def pairs_asked(reader: Reader, dossier_id: str) -> list[Pair]:
    """Return every pair of scans of a dossier that somebody asked to compare."""
    return [
        pair_of(reader, dossier_id, said.earlier_scan_id, said.later_scan_id)
        for _entry, said in current_records(reader, dossier_id, "scan_comparison")
    ]


def comparison_inputs(pair: Pair) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Return what solid.compare is asked, and the entries that were read."""
    said = pair.asked[1] if pair.asked else ScanComparison("", "")
    read = [pair.earlier.entry.id, pair.later.entry.id]
    read += [pair.asked[0].id] if pair.asked else []
    inputs: dict[str, Any] = {
        "earlier_scan_file": pair.earlier.scan.original_sha256,
        "later_scan_file": pair.later.scan.original_sha256,
        "noise_mm": said.noise_mm,
        "level_mm": said.level_mm,
        "changed": [
            {"middle": list(one.middle), "radius_mm": one.radius_mm} for one in said.changed
        ],
        "earlier_picks": [list(one) for one in said.earlier_picks] or None,
        "later_picks": [list(one) for one in said.later_picks] or None,
    }
    for name, on in (("earlier_length", pair.earlier), ("later_length", pair.later)):
        if on.length is not None:
            inputs[name] = length_inputs(on.length[1], f"entry:{on.length[0].id}")
            read.append(on.length[0].id)
    return inputs, tuple(read)


def compared_folder(bench: Bench, pair: Pair) -> Path:
    """Return where the answer on a pair lies as it is asked now, or will."""
    inputs, _read = comparison_inputs(pair)
    return asked_folder(bench, pair.earlier.scan.original_sha256, "compared", inputs)
