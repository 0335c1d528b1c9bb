"""Two scans of two dates: asked for, laid on one another in a job, kept as a run, coloured."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from softmend import catalogue
from softmend.errors import InputError
from softmend.records.canonical import canonical_json
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.scan import ScanComparison, checked_comparison
from softmend.services.bench import Author, Bench
from softmend.services.jobs import Jobs, Report
from softmend.services.recording import record_one
from softmend.services.runs import record_run
from softmend.services.solid.asking import Answered, answered
from softmend.services.solid.inputs import length_inputs
from softmend.services.solid.measuring_mesh import checked_scan_in, display_mesh, scan_folder
from softmend.services.solid.scans import OnScan, on_scan
from softmend.services.store import Reader

if TYPE_CHECKING:
    from softmend.catalogue.solid_scan import CheckedScan

COMPARE = "solid.compare"
COMPARING = "compare scans"
ANSWER, COLOURS = "answer.json", "colours.f32"


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


def record_scan_comparison(
    bench: Bench, author: Author, dossier_id: str, comparison: ScanComparison
) -> Entry:
    """Record what is compared; it stands in place of an earlier asking."""
    checked = checked_comparison(comparison)
    with bench.store.reading() as reader:
        pair = pair_of(reader, dossier_id, checked.earlier_scan_id, checked.later_scan_id)
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=pair.subject,
        record=checked,
        based_on=pair.asked[0].id if pair.asked else "",
    )


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


def compare_scans_later(bench: Bench, jobs: Jobs | None, dossier_id: str, pair: Pair) -> str:
    """Start the job that lays the later scan on the earlier one; "" where it was done at once."""
    inputs, _read = comparison_inputs(pair)
    work = (
        json.dumps(inputs),
        str(scan_folder(bench, pair.earlier.scan.original_sha256)),
        str(scan_folder(bench, pair.later.scan.original_sha256)),
        str(_folder(bench, pair)),
    )
    if jobs is None:
        scans_compared(Path(work[-1]), _say_nothing, *work)
        return ""
    return jobs.start(COMPARING, dossier_id, scans_compared, *work)


def scans_compared(
    _: Path, report: Report, inputs_text: str, earlier: str, later: str, folder: str
) -> str:
    """Compare two scans in a process of its own, and colour the copy for the eye."""
    inputs = json.loads(inputs_text)
    report(0, 3, "taking up both measuring meshes")
    scans = (checked_scan_in(Path(earlier)), checked_scan_in(Path(later)))
    report(1, 3, "laying the later scan on the earlier one")
    files = {"earlier_scan_file": scans[0], "later_scan_file": scans[1]}
    outputs = catalogue.run(COMPARE, inputs, files=files)
    into = Path(folder)
    into.mkdir(parents=True, exist_ok=True)
    if outputs["answer"] == "answer":
        report(2, 3, "colouring the copy for the eye")
        (into / COLOURS).write_bytes(_colours(inputs, outputs, scans, Path(earlier)))
    unfinished = into / f"{ANSWER}.part"
    unfinished.write_text(json.dumps({"inputs": inputs, "outputs": outputs}), "utf-8")
    unfinished.rename(into / ANSWER)
    return "compared"


def keep_comparison(bench: Bench, author: Author, dossier_id: str, pair: Pair) -> bool:
    """Keep what a comparison found as a run; False while there is nothing to keep."""
    path = _folder(bench, pair) / ANSWER
    if pair.asked is None or not path.is_file():
        return False
    told = json.loads(path.read_text("utf-8"))
    record_run(
        bench,
        author,
        dossier_id,
        computation=COMPARE,
        inputs=told["inputs"],
        outputs=told["outputs"],
        read_entry_ids=comparison_inputs(pair)[1],
        about=pair.subject,
        tables=("materials",),
    )
    return True


def compared(reader: Reader, dossier_id: str, pair: Pair) -> Answered | None:
    """Return the kept answer on two scans, or None."""
    return answered(reader, dossier_id, COMPARE, pair.subject)


def comparison_waits(bench: Bench, pair: Pair, found: Answered | None) -> bool:
    """Say whether the job has answered and nobody kept it yet."""
    if pair.asked is None or (found is not None and not found.stale):
        return False
    return (_folder(bench, pair) / ANSWER).is_file()


def colours_path(bench: Bench, pair: Pair) -> Path | None:
    """Return where the distances at the corners of the copy lie [mm], or None."""
    path = _folder(bench, pair) / COLOURS
    return path if path.is_file() else None


def _folder(bench: Bench, pair: Pair) -> Path:
    inputs, _read = comparison_inputs(pair)
    key = hashlib.sha256(canonical_json(inputs).encode()).hexdigest()
    return scan_folder(bench, pair.earlier.scan.original_sha256) / f"compared-{key[:32]}"


def _colours(
    inputs: dict[str, Any],
    outputs: dict[str, Any],
    scans: tuple[CheckedScan, CheckedScan],
    earlier: Path,
) -> bytes:
    from softmend.catalogue.solid_change import CompareInput
    from softmend.catalogue.solid_scan import in_metres, unit_of
    from softmend.science.solid.holding import vectors
    from softmend.science.solid.painted import distances_at_corners

    given = CompareInput.model_validate(inputs)
    if given.earlier_length is None or given.later_length is None:
        return b""
    factor = unit_of(scans[0].shape, given.earlier_length).factor
    later = in_metres(scans[1].shape, unit_of(scans[1].shape, given.later_length).factor).mesh
    laid = later.moved(vectors(outputs["rotation"]), vectors(outputs["shift_mm"], 1e-3))
    found = distances_at_corners(display_mesh(earlier).scaled(factor), laid)
    return bytes((1e3 * found).astype("<f4").tobytes())


def _say_nothing(_done: int, _total: int, _message: str = "") -> None:
    """Take a report of progress when nobody waits for one."""
