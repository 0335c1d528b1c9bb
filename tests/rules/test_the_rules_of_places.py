"""Rule 18 by its sentence, on both databases, from files as loggers wrote them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import RuleError
from softmend.records.passing import Passed
from softmend.records.place import Place
from softmend.services.passing import pass_rule
from softmend.services.places.account import account_of, yearly_band
from softmend.services.places.house import loggers_in, record_place
from softmend.services.places.record import record_of
from tests.services.places.conftest import LOGGERS, LONG, SHORT, log_place


@pytest.fixture
def place_id(bench, author) -> str:
    return record_place(bench, author, Place("long gallery")).subject_id


def the_record(bench, place_id):
    with bench.store.reading() as reader:
        files = loggers_in(reader, place_id)["north wall"]
        return record_of(bench, "north wall", files), account_of(bench, reader, place_id)


def test_rule_18_a_yearly_band_is_refused_under_13_months_hourly(
    bench, author, place_id, tmp_path
) -> None:
    log_place(bench, author, place_id, SHORT, tmp_path)
    record, account = the_record(bench, place_id)
    with pytest.raises(RuleError, match="spans 264 days") as refused:
        yearly_band(record)
    assert refused.value.rule == 18
    assert not account.band.is_yearly
    assert account.band.answer["band"] == ""
    assert account.band.answer["level"] == []
    assert account.band.answer["so_far"]["days"] == pytest.approx(264, abs=0.1)


def test_rule_18_eighteen_months_hourly_give_their_band(bench, author, place_id, tmp_path) -> None:
    log_place(bench, author, place_id, LONG, tmp_path)
    record, account = the_record(bench, place_id)
    yearly_band(record)
    assert account.band.is_yearly
    assert account.band.answer["lower_allowed_percent"] == -10


def test_rule_18_the_same_months_read_every_second_hour_give_none(
    bench, author, place_id, tmp_path, monkeypatch
) -> None:
    lines = (LOGGERS / LONG).read_text("utf-8").splitlines(keepends=True)
    thin = tmp_path / "thin"
    thin.mkdir()
    (thin / LONG).write_text("".join([lines[0], *lines[1::2]]), "utf-8")
    monkeypatch.setattr("tests.services.places.conftest.LOGGERS", thin)
    log_place(bench, author, place_id, LONG, tmp_path)
    record, account = the_record(bench, place_id)
    with pytest.raises(RuleError, match="one in 2 h"):
        yearly_band(record)
    assert "needs hourly readings" in account.band.refused
    assert account.band.answer["lower_allowed_percent"] is None


def test_rule_18_is_hard_nobody_passes_it(bench, author, dossier_id) -> None:
    with pytest.raises(RuleError):
        pass_rule(bench, author, dossier_id, Passed(18, "band", "we need one", "A. Curator"))
