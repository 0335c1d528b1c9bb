"""A survey is a journal like any other in every store, and in no list of dossiers."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from softmend.errors import NotFoundError
from softmend.records.entry import chain_findings
from softmend.records.projection import projection_of
from softmend.records.survey import SampledObject, SampleList, Survey, SurveyGrade
from softmend.services.keeping import verify
from tests.storage.making import an_entry, an_opening

if TYPE_CHECKING:
    from softmend.services.store import Store

SAMPLE = SampleList((SampledObject("A 1"), SampledObject("A 2", "shelf 3")), "by lot")


def fill(store: Store) -> None:
    """Keep one dossier and one survey of three entries."""
    with store.writing() as writer:
        writer.append(an_opening("dossier-1"))
        writer.append(an_entry("survey-1", "survey-1", Survey("teeth in the store"), 1))
        writer.append(an_entry("survey-1", "survey-1", SAMPLE, 2))
        writer.append(an_entry("survey-1", "survey-1:1:A 1", SurveyGrade("A 1", 3), 3))
        writer.commit()


def test_a_survey_is_listed_apart_from_dossiers(store: Store) -> None:
    fill(store)
    with store.reading() as reader:
        assert [row.dossier_id for row in reader.dossiers()] == ["dossier-1"]
        assert reader.dossier_count() == 1
        assert (reader.dossiers("teeth"), reader.dossier_count("teeth")) == ([], 0)
        (row,) = reader.surveys()
        assert (row.dossier_id, row.title, row.entry_count) == ("survey-1", "teeth in the store", 3)
        assert reader.dossier_ids() == ["dossier-1", "survey-1"]


def test_its_chain_and_projections_are_those_of_its_entries(store: Store) -> None:
    fill(store)
    with store.reading() as reader:
        entries = reader.entries("survey-1")
        assert list(chain_findings("survey-1", entries)) == []
        assert reader.projection("survey-1") == projection_of(entries)
        assert [entry.kind for entry in reader.current("survey-1")] == [
            "sample_list", "survey", "survey_grade",
        ]  # fmt: skip
    with store.writing() as writer:
        writer.rebuild("survey-1")
        writer.commit()
    with store.reading() as reader:
        assert reader.projection("survey-1") == projection_of(entries)
        assert reader.dossier_count() == 1


def test_the_newest_title_stands_in_the_list(store: Store) -> None:
    fill(store)
    with store.writing() as writer:
        writer.append(an_entry("survey-1", "survey-1", Survey("all the teeth"), 4))
        writer.commit()
    with store.reading() as reader:
        assert [row.title for row in reader.surveys()] == ["all the teeth"]


def test_a_grade_opens_no_journal(store: Store) -> None:
    with store.writing() as writer, pytest.raises(NotFoundError):
        writer.append(an_entry("survey-2", "survey-2:1:A 1", SurveyGrade("A 1", 3)))


def test_verify_walks_a_survey_too(store: Store) -> None:
    fill(store)
    found = verify(store)
    assert found.findings == ()
    assert found.entry_count == 4
