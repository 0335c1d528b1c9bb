"""Packing in a process of its own: progress, a stop, the same bytes, and nothing logged before."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import pytest

from softmend.errors import ConflictError, InputError, NotFoundError
from softmend.house import opened_house
from softmend.services.deposit.apart import Packages
from softmend.services.deposit.archive import pack
from softmend.services.deposit.outward import Receiver
from softmend.services.jobs import Jobs
from softmend.services.recording import current_records
from tests.services.deposit_sample import author_at, opened_dossier, photograph

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from softmend.services.bench import Author, Bench

LIMIT_S = 60.0


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    with opened_house(tmp_path / "house") as house:
        yield house.bench


@pytest.fixture
def author(bench: Bench) -> Author:
    return author_at(bench)


@pytest.fixture
def dossier_id(bench: Bench, author: Author) -> str:
    made = opened_dossier(bench, author)
    for number in range(1, 4):
        photograph(bench, author, made, number)
    return made


@pytest.fixture
def jobs(bench: Bench) -> Iterator[Jobs]:
    made = Jobs(bench)
    yield made
    made.close()


@pytest.fixture
def packages(bench: Bench, jobs: Jobs) -> Iterator[Packages]:
    made = Packages(bench, jobs)
    yield made
    made.close()


def handed(bench: Bench, dossier_id: str) -> list:
    with bench.store.reading() as reader:
        return [one for _, one in current_records(reader, dossier_id, "hand_over")]


def test_a_package_made_apart_is_the_package_and_is_logged_when_it_is_taken(
    bench, author, dossier_id, jobs, packages, tmp_path
) -> None:
    job_id = packages.start(dossier_id, "  the   owner ", "by hand")
    row = jobs.wait(job_id, LIMIT_S)
    assert row.state == "done", row.message
    assert (row.done, row.total) == (100, 100)
    (line,) = packages.lines(dossier_id)
    assert (line.to_whom, line.is_there, line.is_taken) == ("the owner", True, False)
    assert handed(bench, dossier_id) == []
    at_once = pack(bench, dossier_id, tmp_path / "at-once.zip",
                   receiver=Receiver("the owner", with_names=True))  # fmt: skip
    taken = packages.take(author, job_id)
    assert taken.read_bytes() == at_once.path.read_bytes()
    (logged,) = handed(bench, dossier_id)
    assert (logged.to_whom, logged.carried_how) == ("the owner", "by hand")
    assert (logged.package_hash, logged.head_hash) == (at_once.sha256, at_once.head.hash)
    packages.take(author, job_id)
    assert len(handed(bench, dossier_id)) == 1


def test_a_stopped_package_leaves_nothing_and_logs_nothing(
    bench, author, dossier_id, jobs, packages
) -> None:
    job_id = packages.start(dossier_id, "the owner")
    while jobs.wait(job_id, 0.0).state == "waiting":
        time.sleep(0.01)
    packages.stop(job_id)
    (line,) = packages.lines(dossier_id)
    assert line.job.state == "stopped"
    assert not line.is_there
    with pytest.raises(ConflictError, match="not there to be taken"):
        packages.take(author, job_id)
    assert handed(bench, dossier_id) == []


def test_what_cannot_be_packed_is_refused_before_a_process_starts(
    bench, dossier_id, packages
) -> None:
    with pytest.raises(InputError, match="A copy needs a receiver"):
        packages.start(dossier_id, "  ")
    with pytest.raises(NotFoundError):
        packages.start("01900000-0000-7000-8000-000000000000", "the owner")
    assert packages.lines(dossier_id) == []


def test_a_package_of_an_earlier_start_is_not_offered(bench, author, dossier_id, jobs) -> None:
    first = Packages(bench, jobs)
    job_id = first.start(dossier_id, "the owner")
    jobs.wait(job_id, LIMIT_S)
    first.close()
    later = Packages(bench, jobs)
    assert later.lines(dossier_id) == []
    with pytest.raises(NotFoundError, match="not made here"):
        later.take(author, job_id)
