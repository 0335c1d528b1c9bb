"""The short job: one option beside nothing in one transaction, a photograph after, one print."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import docx
import pypdfium2
import pytest

from softmend.errors import ConflictError, InputError
from softmend.records.consent import Decision
from softmend.records.proposal import NOTHING, Option
from softmend.report.sections import SIGNED_KEY
from softmend.report.short_report import short_sections
from softmend.services.house_forms import read_house_forms, short_docx
from softmend.services.propose.consents import (
    Answered,
    points_hash,
    record_consent,
    standings_in,
)
from softmend.services.propose.proposals import options_in, write_options
from softmend.services.recording import current_records
from softmend.services.short_job import (
    OneOption,
    asked_of_a_short_job,
    bring_in_after,
    one_option_in,
    print_short_job,
    short_job_reports,
    write_one_option,
)
from tests.report.reading import failures
from tests.report.test_condition_report import PROFILES

PHOTOGRAPH = Path(__file__).parents[1] / "data" / "photographs" / "10.jpg"
FACING = OneOption(
    nothing_result="the patch stays loose",
    nothing_risk="it is lost",
    what="lay the patch down",
    action_id="facing",
    result="it lies",
    risk="the tissue hides it",
    stop_rule="stop at the first gloss",
    is_chosen=True,
    because="it has to travel",
)


def steps(bench, dossier_id) -> list:
    with bench.store.reading() as reader:
        return [one for _, one in current_records(reader, dossier_id, "plan_step")]


def test_the_option_is_written_with_its_one_step_and_do_nothing_beside_it(
    bench, author, dossier_id
) -> None:
    with bench.store.reading() as reader:
        assert one_option_in(reader, dossier_id) == ("", None)
    first = write_one_option(bench, author, dossier_id, FACING, "")
    with bench.store.reading() as reader:
        assert one_option_in(reader, dossier_id) == (first.id, FACING)
        options = options_in(reader, dossier_id)[1]
    assert [one.name for one in options.rows] == [NOTHING, "do less", "lay the patch down"]
    assert options.chosen == "lay the patch down"
    (step,) = steps(bench, dossier_id)
    assert (step.number, step.action_id, step.stop_rule) == (1, "facing", "stop at the first gloss")
    changed = replace(FACING, stop_rule="stop when it lies")
    write_one_option(bench, author, dossier_id, changed, first.id)
    (step,) = steps(bench, dossier_id)
    assert (step.number, step.stop_rule) == (1, "stop when it lies")


def test_choosing_nothing_takes_the_step_out_with_its_reason(bench, author, dossier_id) -> None:
    first = write_one_option(bench, author, dossier_id, FACING, "")
    nothing = replace(FACING, is_chosen=False, because="it lies still by itself")
    write_one_option(bench, author, dossier_id, nothing, first.id)
    assert steps(bench, dossier_id) == []
    with bench.store.reading() as reader:
        assert options_in(reader, dossier_id)[1].chosen == NOTHING
        struck = reader.entries(dossier_id)[-1]
    assert "do nothing" in struck.payload


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"what": " "}, "The option needs what would be done"),
        ({"stop_rule": ""}, "A step needs its stop rule"),
        ({"because": "not known"}, "Choosing an option needs a reason"),
        ({"action_id": "magic"}, "There is no such action"),
        ({"action_id": ""}, "No action is chosen"),
        ({"what": "fill with a 20 % resin"}, "%"),
    ],
)
def test_a_refused_option_leaves_nothing_behind(
    bench, author, dossier_id, change, sentence
) -> None:
    from softmend.errors import SoftmendError

    with bench.store.reading() as reader:
        before = reader.head(dossier_id)
    with pytest.raises(SoftmendError, match=sentence):
        write_one_option(bench, author, dossier_id, replace(FACING, **change), "")
    with bench.store.reading() as reader:
        assert reader.head(dossier_id) == before


def test_an_option_that_another_changed_meanwhile_is_not_overwritten(
    bench, author, dossier_id
) -> None:
    write_one_option(bench, author, dossier_id, FACING, "")
    with pytest.raises(ConflictError):
        write_one_option(bench, author, dossier_id, replace(FACING, result="mine"), "")


def test_a_proposal_with_more_options_is_changed_where_they_stand(
    bench, author, dossier_id
) -> None:
    first = write_one_option(bench, author, dossier_id, FACING, "")
    with bench.store.reading() as reader:
        held = options_in(reader, dossier_id)[1]
    more = write_options(
        bench, author, dossier_id, replace(held, fuller=(*held.fuller, Option("more"))), first.id
    )
    with pytest.raises(InputError, match="more than one option or step"):
        write_one_option(bench, author, dossier_id, FACING, more.id)


def test_a_change_of_the_option_voids_the_consent_to_it(bench, author, dossier_id) -> None:
    first = write_one_option(bench, author, dossier_id, FACING, "")
    with bench.store.reading() as reader:
        seen = points_hash(reader, dossier_id)
    said = Answered(Decision.YES, "the owner", "owner", "2026-03-02", no_paper_because="by post")
    record_consent(bench, author, dossier_id, said, seen)
    write_one_option(bench, author, dossier_id, replace(FACING, stop_rule="later"), first.id)
    with bench.store.reading() as reader:
        assert standings_in(reader, dossier_id)[-1].is_void


def test_the_photograph_after_says_so_and_the_print_holds_the_whole_job(
    bench, author, dossier_id
) -> None:
    write_one_option(bench, author, dossier_id, FACING, "")
    bring_in_after(bench, author, dossier_id, PHOTOGRAPH, "after.jpg")
    with bench.store.reading() as reader:
        ((_, view),) = current_records(reader, dossier_id, "view")
        asked = {one.item: one.is_there for one in asked_of_a_short_job(reader, dossier_id)}
    assert view.stage == "after treatment"
    assert asked == {"photograph_after": True, "options": True, "consent": False, "log": False}
    printed = print_short_job(bench, dossier_id)
    assert printed == print_short_job(bench, dossier_id)
    pages = (one.get_textpage().get_text_range() for one in pypdfium2.PdfDocument(printed))
    text = " ".join(" ".join(pages).split())
    places = [
        text.index(words)
        for words in ("Hazards and handling", "Condition grade", "Options", "lay the patch down",
                      "Day log", "To be signed", "About this print")
    ]  # fmt: skip
    assert places == sorted(places)


@pytest.mark.parametrize("profile", PROFILES)
def test_the_print_of_a_short_job_is_archival_and_accessible(
    bench, author, dossier_id, profile
) -> None:
    write_one_option(bench, author, dossier_id, FACING, "")
    bring_in_after(bench, author, dossier_id, PHOTOGRAPH, "after.jpg")
    assert failures(print_short_job(bench, dossier_id), profile) == []


def test_the_editable_document_of_a_short_job_holds_what_its_print_holds(
    bench, author, dossier_id
) -> None:
    write_one_option(bench, author, dossier_id, FACING, "")
    bring_in_after(bench, author, dossier_id, PHOTOGRAPH, "after.jpg")
    made = short_docx(bench, dossier_id)
    assert made == short_docx(bench, dossier_id)
    document = docx.Document(io.BytesIO(made))
    titles = [one.text for one in document.paragraphs if one.style.name == "Heading 1"]
    reports = short_job_reports(bench, dossier_id)[:3]
    printed = [one.title for one in short_sections(*reports) if one.key != SIGNED_KEY]
    assert titles == [*printed, "Signed"]
    assert {"Options", "Day log", "Consent"} <= set(titles)
    cells = {cell.text for table in document.tables for row in table.rows for cell in row.cells}
    assert any("lay the patch down" in text for text in cells)
    # The house's own heading takes the place of ours.
    forms = read_house_forms('[short_report]\noptions = "What could be done"')
    renamed = docx.Document(io.BytesIO(short_docx(replace(bench, forms=forms), dossier_id)))
    assert "What could be done" in [one.text for one in renamed.paragraphs]
