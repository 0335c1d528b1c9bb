"""The invented antler from request to re-check on SQLite: no rule bypassed, all prints valid."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import replace
from itertools import count
from typing import TYPE_CHECKING

import docx
import page
import pytest

from softmend.records.fragment import Stand
from softmend.report.one_page import Page
from softmend.services.demo.layout import lay_out_examined
from softmend.services.deposit.archive import pack, unpack
from softmend.services.examine.comparison import since_last_examination
from softmend.services.examine.grades import grades_in
from softmend.services.examine.printing import (
    print_crack_map,
    print_registrars_report,
    print_report,
    report_of,
)
from softmend.services.hand_over.outputs import page_for, print_page, receipt_for
from softmend.services.house_forms import page_docx, report_docx
from softmend.services.keeping import PrintedHead, verify
from softmend.services.propose.hours import newest_estimate, plan_against_actual, weeks_said
from softmend.services.propose.proposal_content import print_proposal
from softmend.services.recording import current_records
from softmend.services.treat.bench_sheet import make_sheet, print_sheet
from softmend.services.treat.day_log import log_of
from softmend.services.treat.fragments import ledger_of
from softmend.services.treat.labels import bag_label, batch_label
from softmend.services.treat.treatment_content import print_treatment, treatment_as_text
from softmend.storage.store import open_store
from tests.report.reading import failures, text_of
from tests.rules import whole_job
from tests.rules.whole_job import ARCHIVE, Clock, Job

if TYPE_CHECKING:
    from collections.abc import Iterator

PROFILES = (page.ValidationProfile.PDF_A_3A, page.ValidationProfile.PDF_UA_1)


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Job]:
    """The whole job, done once; each stage tries what its rules refuse before it obeys them."""
    from softmend.services.bench import Bench

    folder = tmp_path_factory.mktemp("whole-job")
    store = open_store(f"sqlite:///{(folder / 'softmend.sqlite').as_posix()}", folder)
    clock = Clock()
    # The same ids on every run, so that every print has the same bytes on every run.
    numbers = count(1)
    bench = Bench(
        store,
        clock=clock,
        fresh_id=lambda: f"00000000-0000-7000-8000-{next(numbers):012x}",
        zone="Europe/Oslo",
    )
    done = whole_job.begin(bench, clock, lay_out_examined(bench)[0], folder)
    for stage in (
        whole_job.secure_now, whole_job.propose, whole_job.consent, whole_job.before_wet,
        whole_job.treat, whole_job.give_back, whole_job.look_again,
    ):  # fmt: skip
        stage(done)
    yield done
    store.close()


@pytest.fixture(scope="module")
def prints(job: Job) -> dict[str, bytes]:
    """Everything that the job prints."""
    bench, dossier_id = job.bench, job.dossier_id
    sheet = make_sheet(bench, job.author, dossier_id, job.views()[1].subject_id)
    pages = {one.value: print_page(page_for(bench, dossier_id, one)) for one in Page}
    return {
        "condition report": print_report(bench, dossier_id),
        "registrar's report": print_registrars_report(bench, dossier_id),
        "crack map": print_crack_map(bench, dossier_id, 1),
        "proposal": print_proposal(bench, dossier_id),
        "treatment record": print_treatment(bench, dossier_id),
        "receipt": print_page(receipt_for(bench, dossier_id, 1)),
        "batch label": batch_label(bench, dossier_id, job.kept["batch"].subject_id),
        "bag label": bag_label(bench, dossier_id, job.kept["bag"].subject_id),
        "bench sheet": print_sheet(bench, dossier_id, sheet.subject_id),
        **pages,
    }


def test_every_print_is_archival_and_accessible(prints: dict[str, bytes]) -> None:
    assert len(prints) == 9 + len(Page)
    broken = {
        name: found
        for name, pdf in prints.items()
        if (found := [one for profile in PROFILES for one in failures(pdf, profile)])
    }
    assert broken == {}


def test_the_prints_tell_the_job(job: Job, prints: dict[str, bytes]) -> None:
    proposal = text_of(prints["proposal"])
    for words in (
        "yes with limits",
        "photographs after every day",
        "No coating",
        "lift the cradle",
    ):
        assert words.lower() in proposal.lower()
    treated = text_of(prints["treatment record"])
    for words in ("3 numbered = 1 bonded + 1 bagged", "found while the old fill came down"):
        assert words in treated
    assert "damp swab, tested on shed antler" in text_of(prints[Page.NEXT_CONSERVATOR.value])
    assert "an invented gallery" not in treated
    assert "an invented gallery" in text_of(prints[Page.REGISTRAR.value])
    assert "bonded at J1 on evidence A" in treated


def test_every_report_has_an_editable_document(job: Job) -> None:
    written = report_docx(job.bench, job.dossier_id)
    assert any(one.text for one in docx.Document(io.BytesIO(written)).paragraphs)
    made = page_docx(job.bench, page_for(job.bench, job.dossier_id, Page.CURATOR))
    assert docx.Document(io.BytesIO(made)).paragraphs


def test_nothing_was_passed_and_everything_balances(job: Job) -> None:
    with job.bench.store.reading() as reader:
        assert reader.current(job.dossier_id, "passed") == []
        ledger = ledger_of(reader, job.dossier_id)
        overall = grades_in(reader, job.dossier_id)[1]
        log = log_of(reader, job.dossier_id)
        decisions = [
            one.decision.value for _, one in current_records(reader, job.dossier_id, "consent")
        ]
    assert ledger.balance.numbered == ledger.balance.accounted == 3
    assert [one.stand for _, one in ledger.fragments] == [
        Stand.BONDED, Stand.BAGGED, Stand.RETURNED,
    ]  # fmt: skip
    assert overall is not None
    assert overall.grade == 2
    assert decisions == ["no", "yes with limits"]
    assert [one.words for one in log if one.action.is_departure] == ["bonding"]
    assert not any(one.is_late for one in log)


def test_hours_of_the_plan_stand_against_the_log(job: Job) -> None:
    with job.bench.store.reading() as reader:
        kept = newest_estimate(reader, job.dossier_id)
        lines = plan_against_actual(reader, job.dossier_id, kept.estimate)
        assert "week" in weeks_said(reader, job.dossier_id)
    assert lines
    # 4 h, repeated once, of taking down; 2 h held, 0.5 h bonded, 2 h filled.
    (spent,) = [
        said for said in treatment_as_text(job.bench, job.dossier_id).values() if "8.0 h" in said
    ]
    assert "2.0 h" in spent


def test_what_changed_since_the_last_examination_is_told(job: Job) -> None:
    with job.bench.store.reading() as reader:
        since = since_last_examination(reader, job.dossier_id)
    assert since is not None
    told = {change.about: change for change in since.changes}
    assert "Mark 1 (crack)" not in told
    lines = [line.sentence for line in told["Mark 2 (crack)"].lines]
    assert any("grown" in line for line in lines)


def test_the_journal_verifies_against_the_printed_head(job: Job, prints: dict[str, bytes]) -> None:
    report = report_of(job.bench, job.dossier_id)
    said = report.provenance
    assert said.head_hash in text_of(prints["condition report"])
    head = PrintedHead(said.entry_count, said.head_hash)
    assert verify(job.bench.store, [head]).is_sound


def test_packed_unpacked_and_packed_again_it_is_the_same(job: Job) -> None:
    first = pack(job.bench, job.dossier_id, job.folder / "first.zip", receiver=ARCHIVE)
    away = job.folder / "away"
    away.mkdir()
    store = open_store(f"sqlite:///{(away / 'softmend.sqlite').as_posix()}", away)
    there = replace(job.bench, store=store)
    unpack(there, first.path)
    second = pack(there, job.dossier_id, job.folder / "second.zip", receiver=ARCHIVE)
    assert verify(store).is_sound
    assert second.path.read_bytes() == first.path.read_bytes()
    store.close()
