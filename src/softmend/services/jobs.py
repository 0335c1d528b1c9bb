"""Long work: one spawned process a job, with limits, a progress row and a stop that always works.

The child never touches the database: it sends its progress through a pipe, and a thread of the
parent writes it down.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import multiprocessing
import os
import signal
import socket
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from softmend.errors import Cancelled, NotFoundError, SoftmendError
from softmend.records.rows import JobRow
from softmend.services.bench import Bench

MEMORY_BYTES = 4 << 30
"""What a job may take by default: an accepted picture may use 3 GB, and Python needs its own."""

_AT_ONCE = 2
_ENDED = frozenset({"done", "failed", "stopped", "interrupted"})
_PROGRESS_PAUSE_S = 0.2

Report = Callable[[int, int, str], None]
"""Called by a job with how much is done, of how much, and a word on it."""

Target = Callable[..., str]
"""A module-level function `target(folder, report, *args) -> result`; `folder` is its own."""


class Jobs:
    """The jobs of this program at one bench; several may wait, two run at once."""

    def __init__(self, bench: Bench, memory_bytes: int = MEMORY_BYTES) -> None:
        """Take over the bench: what an earlier program left running is "interrupted" now."""
        self._bench = bench
        self._memory_bytes = memory_bytes
        self._runner = f"{socket.gethostname()}:{os.getpid()}"
        self._room = threading.Semaphore(_AT_ONCE)
        self._threads: dict[str, threading.Thread] = {}
        self._processes: dict[str, BaseProcess] = {}
        self._stopped: set[str] = set()
        self._lock = threading.Lock()
        mark_interrupted(bench)

    def start(self, kind: str, dossier_id: str | None, target: Target, *args: Any) -> str:
        """Begin a job and return its id at once."""
        now = self._bench.at()
        row = JobRow(self._bench.fresh_id(), kind, dossier_id, "waiting", 0, 0, "", "", now, now,
                     self._runner)  # fmt: skip
        self._save(row)
        thread = threading.Thread(target=self._look_after, args=(row, target, args), daemon=True)
        self._threads[row.id] = thread
        thread.start()
        return row.id

    def stop(self, job_id: str) -> None:
        """Stop a job by ending its process; nothing half done is kept."""
        with self._lock:
            if job_id not in self._threads:
                raise NotFoundError("This job does not run here")
            self._stopped.add(job_id)
            process = self._processes.get(job_id)
        if process is not None:
            _kill(process)

    def wait(self, job_id: str, timeout_s: float | None = None) -> JobRow:
        """Return the job's row once it has ended, or as it is when the time is up."""
        thread = self._threads.get(job_id)
        if thread is not None:
            thread.join(timeout_s)
        with self._bench.store.reading() as reader:
            return reader.job(job_id)

    def close(self) -> None:
        """Stop every job and wait for its end."""
        for job_id, thread in list(self._threads.items()):
            if thread.is_alive():
                self.stop(job_id)
                thread.join()

    def _look_after(self, row: JobRow, target: Target, args: tuple[Any, ...]) -> None:
        with self._room, self._bench.store.files.working_folder() as folder:
            try:
                row = self._run(replace(row, state="running"), folder, target, args)
            except Cancelled:
                row = replace(row, state="stopped", message="Stopped; nothing half done was kept.")
            except SoftmendError as failed:
                row = replace(row, state="failed", message=failed.sentence())
        self._save(row)
        with self._lock:
            self._threads.pop(row.id)
            self._processes.pop(row.id, None)

    def _run(self, row: JobRow, folder: Path, target: Target, args: tuple[Any, ...]) -> JobRow:
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe(duplex=False)
        process = context.Process(
            target=_child, args=(theirs, self._memory_bytes, target, folder, args), daemon=True
        )
        with self._lock:
            if row.id in self._stopped:
                raise Cancelled("The job was stopped before it began")
            process.start()
            self._processes[row.id] = process
        theirs.close()
        self._save(row)
        try:
            return self._ended(row, ours, process)
        finally:
            _kill(process)
            process.join()
            ours.close()

    def _ended(self, row: JobRow, pipe: Connection, process: BaseProcess) -> JobRow:
        newest = row
        while True:
            try:
                word, *said = pipe.recv()
            except (EOFError, OSError):
                break
            if word == "progress":
                newest = replace(newest, done=said[0], total=said[1], message=said[2])
                # Progress that comes in a rush is written down once.
                if not pipe.poll(_PROGRESS_PAUSE_S):
                    self._save(newest)
            elif word == "done":
                return replace(newest, state="done", result=said[0])
            else:
                return replace(newest, state="failed", message=said[0])
        if row.id in self._stopped:
            raise Cancelled("The job was stopped")
        process.join()
        return replace(
            newest,
            state="failed",
            message=f"The work ended without an answer (status {process.exitcode}).",
        )

    def _save(self, row: JobRow) -> None:
        with self._bench.store.writing() as writer:
            writer.save_job(replace(row, changed_at=self._bench.at()))
            writer.commit()


def mark_interrupted(bench: Bench) -> list[str]:
    """Mark jobs whose program is gone as interrupted, and return their ids.

    Their temporary files went when the store was opened: a working folder dies with its program.
    """
    with bench.store.writing() as writer:
        cut_off = [
            job for job in writer.jobs() if job.state not in _ENDED and not _is_alive(job.runner)
        ]
        for job in cut_off:
            message = "The program ended before the work did; start it again."
            writer.save_job(
                replace(job, state="interrupted", message=message, changed_at=bench.at())
            )
        writer.commit()
    return [job.id for job in cut_off]


def _is_alive(runner: str) -> bool:
    host, _, number = runner.rpartition(":")
    if host != socket.gethostname():
        # A job of another bench is that bench's own to mark.
        return bool(host)
    # Our own number on an old row was another program's before us.
    if int(number) == os.getpid():
        return False
    if sys.platform == "win32":
        # os.kill would end the process there.
        import ctypes

        handle = ctypes.windll.kernel32.OpenProcess(0x00100000, False, int(number))
        ctypes.windll.kernel32.CloseHandle(handle)
        return bool(handle)
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def _kill(process: BaseProcess) -> None:
    if sys.platform != "win32" and process.pid is not None and process.is_alive():
        # The child leads a group of its own, so that what it started ends with it.
        with suppress(ProcessLookupError, PermissionError):
            if os.getpgid(process.pid) == process.pid:
                os.killpg(process.pid, signal.SIGKILL)
    process.kill()


def _child(
    pipe: Connection, memory_bytes: int, target: Target, folder: Path, args: tuple[Any, ...]
) -> None:
    _limit_this_process(memory_bytes)
    threading.Thread(target=_end_with_parent, daemon=True).start()

    def report(done: int, total: int, message: str = "") -> None:
        pipe.send(("progress", done, total, message))

    try:
        pipe.send(("done", target(folder, report, *args)))
    except SoftmendError as failed:
        pipe.send(("failed", failed.sentence()))
    except MemoryError:
        pipe.send(("failed", f"The work needs more memory than {memory_bytes >> 20} MiB."))


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _limit_this_process(memory_bytes: int) -> None:
    if sys.platform == "win32":
        return
    os.setsid()
    if sys.platform == "linux":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))
