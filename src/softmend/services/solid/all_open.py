"""Everything asked of the scans of a dossier that has no answer: started and kept at once."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.records.rows import JobRow
from softmend.services.bench import Author, Bench
from softmend.services.jobs import Jobs
from softmend.services.solid.asking import (
    MEASURING,
    answers_wait,
    keep_answers,
    measure_later,
    open_questions,
)
from softmend.services.solid.attaching import READING
from softmend.services.solid.comparing import (
    COMPARING,
    compare_scans_later,
    compared,
    comparison_waits,
    keep_comparison,
)
from softmend.services.solid.measuring_mesh import found_in, scan_folder
from softmend.services.solid.pair import Pair, pairs_asked
from softmend.services.solid.scans import OnScan, on_scan, scans_in
from softmend.services.store import Reader

UNDER_WAY = ("waiting", "running")


@dataclass(frozen=True)
class AllOpen:
    """What has no answer that holds: scans with how many questions, and pairs; `waits` to be kept.

    `jobs` are those under way.
    """

    scans: tuple[tuple[OnScan, int], ...]
    pairs: tuple[Pair, ...]
    waits: bool
    jobs: tuple[JobRow, ...]

    @property
    def count(self) -> int:
        """Return how many questions are open."""
        return sum(number for _on, number in self.scans) + len(self.pairs)


def all_open(bench: Bench, reader: Reader, dossier_id: str) -> AllOpen:
    """Return everything on the scans of a dossier that can be computed now and is not."""
    each = [
        on_scan(reader, dossier_id, entry.subject_id) for entry, _ in scans_in(reader, dossier_id)
    ]
    here = [on for on in each if _is_read(bench, on)]
    asked = [(on, len(open_questions(reader, dossier_id, on))) for on in here]
    pairs = [(pair, compared(reader, dossier_id, pair)) for pair in pairs_asked(reader, dossier_id)]
    return AllOpen(
        scans=tuple((on, number) for on, number in asked if number),
        pairs=tuple(
            pair
            for pair, found in pairs
            if (found is None or found.stale)
            and _is_read(bench, pair.earlier)
            and _is_read(bench, pair.later)
            and pair.earlier.length is not None
            and pair.later.length is not None
        ),
        waits=any(answers_wait(bench, reader, dossier_id, on) for on, number in asked if number)
        or any(comparison_waits(bench, pair, found) for pair, found in pairs),
        jobs=tuple(
            job
            for job in reader.jobs(dossier_id)
            if job.kind in (READING, MEASURING, COMPARING) and job.state in UNDER_WAY
        ),
    )


def compute_all(bench: Bench, author: Author, jobs: Jobs | None, dossier_id: str) -> int:
    """Start a job for every scan and pair with something open; return how many.

    Without jobs all is computed and kept at once.
    """
    with bench.store.reading() as reader:
        found = all_open(bench, reader, dossier_id)
    if any(job.kind != READING for job in found.jobs):
        return 0
    for on, _number in found.scans:
        measure_later(bench, jobs, dossier_id, on.scan_id)
    for pair in found.pairs:
        compare_scans_later(bench, jobs, dossier_id, pair)
    if jobs is None:
        keep_all(bench, author, dossier_id)
    return len(found.scans) + len(found.pairs)


def keep_all(bench: Bench, author: Author, dossier_id: str) -> int:
    """Keep what the jobs have answered as runs, with all that went in; return how many."""
    with bench.store.reading() as reader:
        found = all_open(bench, reader, dossier_id)
    kept = sum(keep_answers(bench, author, dossier_id, on.scan_id) for on, _ in found.scans)
    return kept + sum(keep_comparison(bench, author, dossier_id, pair) for pair in found.pairs)


def _is_read(bench: Bench, on: OnScan) -> bool:
    return found_in(scan_folder(bench, on.scan.original_sha256)) is not None
