"""Long work in a process of its own: progress, limits, stop, and what a killed program leaves."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from softmend.errors import LimitError, NotFoundError
from softmend.house import opened_house
from softmend.records.rows import JobRow
from softmend.services.jobs import Jobs, Report, mark_interrupted

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from softmend.services.bench import Bench

LIMIT_S = 60.0


def cut_tiles(folder: Path, report: Report, count: int) -> str:
    (folder / "half-done").write_bytes(b"x")
    for number in range(1, count + 1):
        report(number, count, f"tile {number}")
    return f"{count} tiles"


def never_end(folder: Path, report: Report) -> str:
    (folder / "half-done").write_bytes(b"x")
    report(1, 2, "begun")
    while True:
        time.sleep(0.01)


def refuse(folder: Path, report: Report) -> str:
    raise LimitError("This picture is too large", value="900 MP", allowed="400 MP")


def take_memory(folder: Path, report: Report, count: int) -> str:
    return str(len(bytearray(count)))


def die(folder: Path, report: Report) -> str:
    os.kill(os.getpid(), signal.SIGTERM)
    return "never"


@pytest.fixture
def jobs(bench: Bench) -> Iterator[Jobs]:
    made = Jobs(bench)
    yield made
    made.close()


def wait_until(is_so: Callable[[], bool]) -> None:
    end = time.monotonic() + LIMIT_S
    while not is_so():
        assert time.monotonic() < end
        time.sleep(0.02)


def row_of(bench: Bench, job_id: str) -> JobRow:
    with bench.store.reading() as reader:
        return reader.job(job_id)


def test_a_job_reports_its_progress_and_its_result(jobs: Jobs) -> None:
    row = jobs.wait(jobs.start("tiles", "d1", cut_tiles, 7), LIMIT_S)
    assert (row.state, row.done, row.total, row.result) == ("done", 7, 7, "7 tiles")
    assert (row.kind, row.dossier_id, row.message) == ("tiles", "d1", "tile 7")


def test_a_refusal_in_a_job_is_its_sentence(jobs: Jobs) -> None:
    row = jobs.wait(jobs.start("tiles", None, refuse), LIMIT_S)
    assert row.state == "failed"
    assert row.message == "This picture is too large; got 900 MP; allowed: 400 MP."


def test_a_stop_ends_the_process_and_leaves_nothing(jobs: Jobs, bench: Bench) -> None:
    job_id = jobs.start("tiles", "d1", never_end)
    wait_until(lambda: row_of(bench, job_id).message == "begun")
    process = jobs._processes[job_id]
    jobs.stop(job_id)
    row = jobs.wait(job_id, LIMIT_S)
    assert (row.state, row.message) == ("stopped", "Stopped; nothing half done was kept.")
    assert process.exitcode == -signal.SIGKILL
    with bench.store.files.working_folder() as folder:
        assert list(folder.parent.rglob("half-done")) == []
    with pytest.raises(NotFoundError, match="does not run here"):
        jobs.stop(job_id)


def test_jobs_that_wait_their_turn_are_stopped_too(jobs: Jobs, bench: Bench) -> None:
    running = [jobs.start("tiles", "d1", never_end) for _ in range(2)]
    wait_until(lambda: all(row_of(bench, each).message == "begun" for each in running))
    waiting = jobs.start("tiles", "d1", never_end)
    assert row_of(bench, waiting).state == "waiting"
    jobs.close()
    assert [row_of(bench, each).state for each in (*running, waiting)] == ["stopped"] * 3


def test_a_job_has_a_limit_of_memory(bench: Bench) -> None:
    jobs = Jobs(bench, memory_bytes=1 << 30)
    row = jobs.wait(jobs.start("tiles", None, take_memory, 2 << 30), LIMIT_S)
    assert (row.state, row.message) == ("failed", "The work needs more memory than 1024 MiB.")
    row = jobs.wait(jobs.start("tiles", None, take_memory, 1 << 20), LIMIT_S)
    assert (row.state, row.result) == ("done", str(1 << 20))


def test_a_job_whose_process_dies_has_failed(jobs: Jobs) -> None:
    row = jobs.wait(jobs.start("tiles", None, die), LIMIT_S)
    assert (row.state, row.message) == ("failed", "The work ended without an answer (status -15).")


def test_only_rows_of_dead_programs_are_interrupted(bench: Bench) -> None:
    host = socket.gethostname()
    row = JobRow("j1", "tiles", "d1", "running", 1, 9, "", "", "a", "a", f"{host}:{2**22 + 1}")
    rows = (
        row,
        replace(row, id="j2", state="done"),
        replace(row, id="j3", runner="another-bench:5"),
        replace(row, id="j4", runner=f"{host}:{os.getppid()}"),
        replace(row, id="j5", state="waiting", runner=""),
    )
    with bench.store.writing() as writer:
        for each in rows:
            writer.save_job(each)
        writer.commit()
    assert sorted(mark_interrupted(bench)) == ["j1", "j5"]
    assert row_of(bench, "j1").message == "The program ended before the work did; start it again."


KILLED = """
import sys, time
from softmend.house import open_house
from softmend.services.jobs import Jobs
from tests.services.test_jobs import never_end
house = open_house(sys.argv[1])
if __name__ == "__main__":
    jobs = Jobs(house.bench)
    job_id = jobs.start("tiles", None, never_end)
    while True:
        with house.store.reading() as reader:
            if reader.job(job_id).message == "begun":
                print(jobs._processes[job_id].pid, flush=True)
        time.sleep(0.05)
"""


def test_a_killed_program_leaves_an_interrupted_job_and_no_files(tmp_path: Path) -> None:
    script = tmp_path / "killed.py"
    script.write_text(KILLED)
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(["src", "."])}
    program = subprocess.Popen(
        [sys.executable, script, tmp_path / "house"], stdout=subprocess.PIPE, env=environment
    )
    with program:
        assert program.stdout is not None
        child = int(program.stdout.readline())
        program.kill()
    wait_until(lambda: not _exists(child))
    assert list((tmp_path / "house" / "working").rglob("half-done"))
    with opened_house(tmp_path / "house") as house:
        Jobs(house.bench)
        with house.store.reading() as reader:
            assert [job.state for job in reader.jobs()] == ["interrupted"]
    assert list((tmp_path / "house" / "working").iterdir()) == []


def _exists(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    # A child that ended but was not yet waited for by its new parent still has a number.
    with open(f"/proc/{number}/stat", encoding="utf-8") as stat:
        return stat.read().rpartition(")")[2].split()[0] != "Z"
