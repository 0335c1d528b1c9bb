"""A scan attached to a dossier: its original kept, read in a job, then one entry or nothing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from softmend.errors import ConflictError, InputError
from softmend.intake.scan_limits import STANDARD_SCAN
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.scan import Scan
from softmend.services.bench import Author, Bench
from softmend.services.jobs import Jobs
from softmend.services.numbered import append_numbered
from softmend.services.recording import current_record, current_records, record_one
from softmend.services.solid.measuring_mesh import found_in, read_scan_file, scan_folder
from softmend.services.store import Reader

MOST_SCAN_BYTES = STANDARD_SCAN.file_bytes
READING = "read scan"
_LONGEST_NAME = 200


@dataclass(frozen=True)
class AboutScan:
    """What a person says of a scan."""

    shows: str = NOT_KNOWN
    made_by: str = NOT_KNOWN
    made_on: str = NOT_KNOWN
    made_how: str = NOT_KNOWN


@dataclass(frozen=True)
class BeingRead:
    """A scan that is being read: its kept original, and the job, "" where it was read at once."""

    original_sha256: str
    job_id: str


def begin_reading(
    bench: Bench, jobs: Jobs | None, dossier_id: str, source: Path, name: str
) -> BeingRead:
    """Keep an original and begin to read it; without jobs it is read at once.

    A scan that is refused leaves nothing in the dossier; a file that no entry names is swept
    after a day.
    """
    STANDARD_SCAN.check_file_bytes(source.stat().st_size)
    if source.stat().st_size == 0:
        raise InputError("This file is empty", value=name, remedy="Choose the scan again")
    with bench.store.reading() as reader:
        reader.head(dossier_id)
    with source.open("rb") as original:
        sha256 = bench.store.files.put(original)
    with bench.store.reading() as reader:
        _refuse_twice(reader, dossier_id, sha256)
    return BeingRead(sha256, read_again(bench, jobs, dossier_id, sha256))


def read_again(bench: Bench, jobs: Jobs | None, dossier_id: str, original_sha256: str) -> str:
    """Read a kept original, for the first time or where its copies are not here; return the job."""
    original = str(bench.store.files.path(original_sha256))
    folder = scan_folder(bench, original_sha256)
    if found_in(folder) is not None:
        return ""
    if jobs is None:
        read_scan_file(folder, _say_nothing, original, str(folder))
        return ""
    return jobs.start(READING, dossier_id, read_scan_file, original, str(folder))


def take_in(
    bench: Bench,
    author: Author,
    dossier_id: str,
    original_sha256: str,
    name: str,
    about: AboutScan,
) -> Entry:
    """Record a scan that was read; the same one is not taken in twice."""
    found = found_in(scan_folder(bench, original_sha256))
    if found is None:
        raise InputError("This scan was not read", value=name, remedy="Bring it in again")
    scan = Scan(
        number=0,
        original_name=name.strip()[-_LONGEST_NAME:] or "scan",
        original_sha256=original_sha256,
        original_bytes=bench.store.files.size(original_sha256),
        form=found.form,
        faces=found.faces,
        points=found.points,
        greatest_length=found.greatest_length,
        states=found.states,
        shows=about.shows,
        made_by=about.made_by,
        made_on=about.made_on,
        made_how=about.made_how,
        intake_notes=found.notes,
    )
    with bench.store.writing() as writer:
        _refuse_twice(writer, dossier_id, original_sha256)
        entry = append_numbered(bench, writer, author, dossier_id, scan)
        writer.commit()
    return entry


def describe_scan(
    bench: Bench, author: Author, dossier_id: str, scan_id: str, about: AboutScan, based_on: str
) -> Entry:
    """Record what a scan shows, who made it, when and how; the scan itself cannot change."""
    with bench.store.reading() as reader:
        _, standing = current_record(reader, dossier_id, "scan", scan_id)
    described = replace(
        standing,
        shows=about.shows,
        made_by=about.made_by,
        made_on=about.made_on,
        made_how=about.made_how,
    )
    return record_one(
        bench, author, dossier_id=dossier_id, subject_id=scan_id, record=described,
        based_on=based_on,
    )  # fmt: skip


def _refuse_twice(reader: Reader, dossier_id: str, original_sha256: str) -> None:
    for _, scan in current_records(reader, dossier_id, "scan"):
        if scan.original_sha256 == original_sha256:
            raise ConflictError(
                f"This scan is in the dossier already, as scan {scan.number}",
                theirs=scan.original_name,
                remedy="Open that scan",
            )


def _say_nothing(_done: int, _total: int, _message: str = "") -> None:
    """Take a report of progress when nobody waits for one."""
