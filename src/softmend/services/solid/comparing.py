"""Two scans of two dates: asked for, laid on one another in a job, kept as a run, coloured."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from softmend import catalogue
from softmend.errors import InputError
from softmend.records.entry import Entry
from softmend.records.scan import ScanComparison, checked_comparison
from softmend.services.bench import Author, Bench
from softmend.services.jobs import Jobs, Report
from softmend.services.recording import record_one
from softmend.services.runs import record_run
from softmend.services.solid.asking import Answered, answered
from softmend.services.solid.change_stills import (
    draw_change,
    keep_stills,
    wanted_stills,
)
from softmend.services.solid.measuring_mesh import checked_scan_in, display_mesh, scan_folder
from softmend.services.solid.pair import (
    COLOURS,
    COMPARE,
    Pair,
    compared_folder,
    comparison_inputs,
    pair_of,
)
from softmend.services.store import Reader

if TYPE_CHECKING:
    from softmend.catalogue.solid_scan import CheckedScan

COMPARING = "compare scans"
ANSWER = "answer.json"


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


def compare_scans_later(bench: Bench, jobs: Jobs | None, dossier_id: str, pair: Pair) -> str:
    """Start the job that lays the later scan on the earlier one; "" where it was done at once."""
    inputs, _read = comparison_inputs(pair)
    work = (
        json.dumps(inputs),
        str(scan_folder(bench, pair.earlier.scan.original_sha256)),
        str(scan_folder(bench, pair.later.scan.original_sha256)),
        str(compared_folder(bench, pair)),
        json.dumps(
            {
                "stills": [asdict(one) for one in wanted_stills(pair)],
                "down": list(pair.earlier.held.down),
            }
        ),
    )
    if jobs is None:
        scans_compared(Path(work[3]), _say_nothing, *work)
        return ""
    return jobs.start(COMPARING, dossier_id, scans_compared, *work)


def scans_compared(
    _: Path, report: Report, inputs_text: str, earlier: str, later: str, folder: str, stills: str
) -> str:
    """Compare two scans in a process of its own, colour the copy for the eye, draw the stills."""
    inputs = json.loads(inputs_text)
    report(0, 4, "taking up both measuring meshes")
    scans = (checked_scan_in(Path(earlier)), checked_scan_in(Path(later)))
    report(1, 4, "laying the later scan on the earlier one")
    files = {"earlier_scan_file": scans[0], "later_scan_file": scans[1]}
    outputs = catalogue.run(COMPARE, inputs, files=files)
    into = Path(folder)
    into.mkdir(parents=True, exist_ok=True)
    if outputs["answer"] == "answer":
        report(2, 4, "colouring the copy for the eye")
        mm = _distances(inputs, outputs, scans, Path(earlier))
        (into / COLOURS).write_bytes(mm.astype("<f4").tobytes())
        report(3, 4, "drawing the stills of what changed")
        draw_change(into, display_mesh(Path(earlier)), mm, inputs, outputs, json.loads(stills))
    unfinished = into / f"{ANSWER}.part"
    unfinished.write_text(json.dumps({"inputs": inputs, "outputs": outputs}), "utf-8")
    unfinished.rename(into / ANSWER)
    return "compared"


def keep_comparison(bench: Bench, author: Author, dossier_id: str, pair: Pair) -> bool:
    """Keep what a comparison found as a run; False while there is nothing to keep."""
    path = compared_folder(bench, pair) / ANSWER
    if pair.asked is None or not path.is_file():
        return False
    told = json.loads(path.read_text("utf-8"))
    entry = record_run(
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
    keep_stills(bench, author, dossier_id, pair, path.parent, entry.id)
    return True


def compared(reader: Reader, dossier_id: str, pair: Pair) -> Answered | None:
    """Return the kept answer on two scans, or None."""
    return answered(reader, dossier_id, COMPARE, pair.subject)


def comparison_waits(bench: Bench, pair: Pair, found: Answered | None) -> bool:
    """Say whether the job has answered and nobody kept it yet."""
    if pair.asked is None or (found is not None and not found.stale):
        return False
    return (compared_folder(bench, pair) / ANSWER).is_file()


def colours_path(bench: Bench, pair: Pair) -> Path | None:
    """Return where the distances at the corners of the copy lie [mm], or None."""
    path = compared_folder(bench, pair) / COLOURS
    return path if path.is_file() else None


def _distances(
    inputs: dict[str, Any],
    outputs: dict[str, Any],
    scans: tuple[CheckedScan, CheckedScan],
    earlier: Path,
) -> Any:
    """Return the signed distance at each corner of the copy for the eye [mm]."""
    from softmend.catalogue.solid_change import CompareInput
    from softmend.catalogue.solid_scan import in_metres, unit_of
    from softmend.science.solid.holding import vectors
    from softmend.science.solid.painted import distances_at_corners

    given = CompareInput.model_validate(inputs)
    if given.earlier_length is None or given.later_length is None:
        raise InputError("Both scans need their measured length", remedy="Confirm their units")
    factor = unit_of(scans[0].shape, given.earlier_length).factor
    later = in_metres(scans[1].shape, unit_of(scans[1].shape, given.later_length).factor).mesh
    laid = later.moved(vectors(outputs["rotation"]), vectors(outputs["shift_mm"], 1e-3))
    return 1e3 * distances_at_corners(display_mesh(earlier).scaled(factor), laid)


def _say_nothing(_done: int, _total: int, _message: str = "") -> None:
    """Take a report of progress when nobody waits for one."""
