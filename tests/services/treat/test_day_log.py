"""The day log: appended, corrected by a further entry, told with both dates."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from softmend.errors import ConflictError, InputError, NotFoundError, RuleError
from softmend.records.action import Action, Hidden
from softmend.records.batch import Batch, BatchKind, Ingredient
from softmend.records.entry import chain_findings
from softmend.records.fragment import Code, Fragment, PlaceEvidence, Stand
from softmend.records.join import Assembly, JoinMade, PlannedJoin
from softmend.records.kinds import record_in
from softmend.records.material import Moved
from softmend.records.passing import Passed
from softmend.records.proposal import PlanStep
from softmend.services.passing import pass_rule
from softmend.services.people import come_to_the_bench
from softmend.services.propose.consents import points_hash
from softmend.services.propose.proposals import record_step
from softmend.services.recording import restore
from softmend.services.treat.batches import make_batch, stock_of
from softmend.services.treat.day_log import (
    contributors,
    joins_made,
    log_action,
    log_of,
    plan_assembly,
    plan_steps,
    repeat_last,
    totals_of,
)
from softmend.services.treat.fragments import change_fragment, fragment_in, number_fragment
from tests.services.conftest import crack

TODAY = "2026-03-02"
DONE = Action(0, "dry_cleaning", TODAY, not_in_plan_because="no plan is recorded yet", minutes=15)


ASKED = "asked for as an urgent case, and agreed by telephone"
BONDING = replace(DONE, action="bonding", wet_because=ASKED)


def log(bench, dossier_id) -> list:
    with bench.store.reading() as reader:
        return log_of(reader, dossier_id)


def test_log_entries_are_appended_corrected_by_a_further_entry_never_overwritten(
    bench, author, dossier_id
) -> None:
    first = log_action(bench, author, dossier_id, DONE)
    other = Action(0, "label", TODAY, not_in_plan_because="asked for")
    log_action(bench, author, dossier_id, other)
    wrong = replace(DONE, tool="soft brush")
    at = {"subject_id": first.subject_id, "based_on": first.id}
    with pytest.raises(RuleError, match="a correction is a further entry"):
        log_action(bench, author, dossier_id, wrong, **at)
    right = replace(wrong, correction_because="the tool was forgotten")
    log_action(bench, author, dossier_id, right, **at)
    one, two = log(bench, dossier_id)
    assert (one.action.number, two.action.number) == (1, 2)
    assert one.action.tool == "soft brush"
    assert [before.tool for before in one.earlier] == ["not known"]
    with bench.store.reading() as reader:
        assert record_in(reader.entry(first.id)).tool == "not known"


def test_a_correction_on_an_older_entry_is_told(bench, author, dossier_id) -> None:
    first = log_action(bench, author, dossier_id, DONE)
    right = replace(DONE, correction_because="x")
    at = {"subject_id": first.subject_id, "based_on": first.id}
    log_action(bench, author, dossier_id, right, **at)
    with pytest.raises(ConflictError):
        log_action(bench, author, dossier_id, right, **at)


WORDS = st.text("abc ", min_size=1, max_size=6).map(lambda text: f"x{text}")


@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25, deadline=None
)
@given(st.lists(st.tuples(st.booleans(), WORDS), min_size=1, max_size=8))
def test_the_log_only_grows_and_nothing_said_is_lost(bench, author, dossier_id, steps) -> None:
    known = log(bench, dossier_id)
    said = {one.entry.id: one.entry.hash for one in known}
    for corrects, words in steps:
        standing = log(bench, dossier_id)
        change = replace(DONE, result_observed=words)
        if corrects and standing:
            last = standing[-1]
            entry = log_action(
                bench,
                author,
                dossier_id,
                replace(change, correction_because=words),
                subject_id=last.entry.subject_id,
                based_on=last.entry.id,
            )
        else:
            entry = log_action(bench, author, dossier_id, change)
        said[entry.id] = entry.hash
    with bench.store.reading() as reader:
        journal = reader.entries(dossier_id)
    assert list(chain_findings(dossier_id, journal)) == []
    assert said.items() <= {entry.id: entry.hash for entry in journal}.items()
    numbers = [one.action.number for one in log(bench, dossier_id)]
    assert numbers == list(range(1, len(numbers) + 1))


def test_an_entry_of_the_log_is_not_brought_back_past_its_rules(bench, author, dossier_id) -> None:
    first = log_action(bench, author, dossier_id, DONE)
    with pytest.raises(RuleError, match="not brought back: action"):
        restore(bench, author, dossier_id=dossier_id, entry_id=first.id, based_on=first.id)


def test_a_late_entry_has_both_dates(bench, author, dossier_id) -> None:
    log_action(bench, author, dossier_id, replace(DONE, done_on="2026-02-27"))
    (late,) = log(bench, dossier_id)
    assert (late.is_late, late.action.done_on, late.written_on) == (True, "2026-02-27", TODAY)


def test_the_last_entry_is_repeated(bench, author, dossier_id) -> None:
    with pytest.raises(NotFoundError, match="no earlier entry of yours"):
        repeat_last(bench, author, dossier_id)
    log_action(bench, author, dossier_id, replace(DONE, done_on="2026-02-27"))
    repeat_last(bench, author, dossier_id)
    first, again = log(bench, dossier_id)
    assert again.action == replace(first.action, number=2, done_on=TODAY)


def test_hidden_later_actions_need_an_image_or_a_reason(bench, author, dossier_id, view_id) -> None:
    with pytest.raises(RuleError, match=r"Will this be hidden\?"):
        log_action(bench, author, dossier_id, BONDING)
    hidden = replace(BONDING, hidden=Hidden.YES)
    with pytest.raises(RuleError, match="neither an image nor a reason"):
        log_action(bench, author, dossier_id, hidden)
    log_action(bench, author, dossier_id, replace(hidden, hidden_view_ids=(view_id,)))
    # The picture shows the first face only; a second face is asked about again.
    with pytest.raises(RuleError, match="neither an image nor a reason"):
        repeat_last(bench, author, dossier_id)


@pytest.mark.parametrize(
    "named",
    [
        {"mark_ids": ("no",)},
        {"zone_ids": ("no",)},
        {"view_ids": ("no",)},
        {"paper_ids": ("no",)},
        {"plan_step_id": "no"},
        {"also_by_ids": ("no",)},
        {"moved": (Moved("wax", batch_id="no"),)},
    ],
)
def test_an_entry_names_only_what_is_there(bench, author, dossier_id, named) -> None:
    with pytest.raises(NotFoundError):
        log_action(bench, author, dossier_id, replace(DONE, **named))


def test_wet_work_before_its_questions_says_why(bench, author, dossier_id) -> None:
    with pytest.raises(RuleError, match="before the first wet step was owed: Nobody asked"):
        log_action(bench, author, dossier_id, replace(DONE, action="gel_cleaning"))
    log_action(bench, author, dossier_id, replace(DONE, action="gel_cleaning", wet_because=ASKED))


def test_a_step_of_the_plan_is_logged_once_somebody_consented_or_passed_the_rule(
    bench, author, dossier_id
) -> None:
    step = PlanStep(0, "dry_cleaning", "brush off loose dust", "until nothing more comes")
    planned = record_step(bench, author, dossier_id, step)
    with bench.store.reading() as reader:
        assert plan_steps(reader, dossier_id) == [(planned.subject_id, "1 brush off loose dust")]
        about = points_hash(reader, dossier_id)
    in_plan = replace(DONE, plan_step_id=planned.subject_id, not_in_plan_because="")
    with pytest.raises(RuleError) as told:
        log_action(bench, author, dossier_id, in_plan)
    assert told.value.rule == 2
    pass_rule(bench, author, dossier_id, Passed(2, about, "the owner is away", "the curator"))
    log_action(bench, author, dossier_id, in_plan)
    assert not log(bench, dossier_id)[0].action.is_departure


def test_the_contributors_are_taken_from_the_log(bench, author, dossier_id) -> None:
    helper = come_to_the_bench(bench, "B. Helper").id
    log_action(bench, author, dossier_id, replace(DONE, also_by_ids=(helper,)))
    assert contributors(log(bench, dossier_id)) == [author.person_id, helper]


RESIN = Batch(0, BatchKind.ADHESIVE, "resin", TODAY, (Ingredient("resin", 20.0),))


def test_amounts_used_of_a_batch_come_from_the_log(bench, author, dossier_id) -> None:
    batch = make_batch(bench, author, dossier_id, RESIN)
    moved = Moved("resin", batch_id=batch.subject_id, mass_g=1.5, expanded_percent=2.0)
    log_action(bench, author, dossier_id, replace(DONE, moved=(moved,)))
    repeat_last(bench, author, dossier_id)
    with bench.store.reading() as reader:
        (stock,) = stock_of(reader, dossier_id)
        totals = totals_of(log_of(reader, dossier_id))
    assert (stock.batch.number, stock.made_g, stock.left_g) == (1, 20.0, 17.0)
    assert [total.times for total in totals] == [2]
    early = replace(DONE, done_on="2026-02-27", moved=(moved,))
    with pytest.raises(InputError, match="Batch 1 was not made yet"):
        log_action(bench, author, dossier_id, early)


def joined(**change) -> Action:
    """Return the log entry of a join."""
    join = JoinMade("J1", "", TODAY)
    return replace(BONDING, hidden=Hidden.NO, join=replace(join, **change))


def test_joins_are_made_in_their_order_each_after_a_signed_dry_fit(
    bench, author, dossier_id
) -> None:
    second = come_to_the_bench(bench, "B. Second").id
    joins = (PlannedJoin("J1", ("beam", "tine")), PlannedJoin("J2", ("tine", "tip"), ("J1",)))
    plan_assembly(bench, author, dossier_id, Assembly(joins), "")
    with pytest.raises(RuleError, match="no signed dry fit"):
        log_action(bench, author, dossier_id, joined())
    with pytest.raises(RuleError, match="J2 comes after J1"):
        log_action(bench, author, dossier_id, joined(name="J2", dry_fit_by_id=second))
    log_action(bench, author, dossier_id, joined(dry_fit_by_id=second))
    log_action(bench, author, dossier_id, joined(name="J2", dry_fit_by_id=second))
    with bench.store.reading() as reader:
        assert joins_made(reader, dossier_id) == ["J1", "J2"]
    with pytest.raises(RuleError, match="A join is made once"):
        repeat_last(bench, author, dossier_id)


def test_joins_that_wait_for_each_other_are_refused(bench, author, dossier_id) -> None:
    joins = (PlannedJoin("J1", ("a", "b"), ("J2",)), PlannedJoin("J2", ("b", "c"), ("J1",)))
    with pytest.raises(RuleError, match="wait for each other"):
        plan_assembly(bench, author, dossier_id, Assembly(joins), "")


def test_a_join_bonds_the_fragments_it_names_or_nothing_is_written(
    bench, author, dossier_id, view_id
) -> None:
    second = come_to_the_bench(bench, "B. Second").id
    entry = number_fragment(bench, author, dossier_id, Fragment(0, "in the tray"))
    near = PlaceEvidence("J1", Code.D, "found in the crack beside it", view_id=view_id)
    piece = replace(record_in(entry), stand=Stand.CANDIDATE, evidence=(near,))
    entry = change_fragment(bench, author, dossier_id, entry.subject_id, piece, entry.id)
    piece = replace(piece, stand=Stand.PLACED_DRY, place="J1")
    entry = change_fragment(bench, author, dossier_id, entry.subject_id, piece, entry.id)
    join = joined(dry_fit_by_id=second, fragment_ids=(entry.subject_id,))
    with pytest.raises(RuleError, match="may not be bonded at J1: evidence D"):
        log_action(bench, author, dossier_id, join)
    assert log(bench, dossier_id) == []
    better = replace(piece, evidence=(near, replace(near, code=Code.A)))
    change_fragment(bench, author, dossier_id, entry.subject_id, better, entry.id)
    log_action(bench, author, dossier_id, join)
    with bench.store.reading() as reader:
        _, bonded = fragment_in(reader, dossier_id, entry.subject_id)
    assert (bonded.stand, bonded.place, bonded.second_id) == (Stand.BONDED, "J1", second)


def test_a_place_is_a_mark_of_the_map_or_words(bench, author, dossier_id, view_id) -> None:
    from softmend.services.examine.marks import record_mark

    mark = record_mark(bench, author, dossier_id, crack(view_id))
    log_action(bench, author, dossier_id, replace(DONE, mark_ids=(mark.subject_id,)))
    log_action(bench, author, dossier_id, replace(DONE, place="underside of the burr"))
    assert [one.action.place for one in log(bench, dossier_id)] == [
        "not known",
        "underside of the burr",
    ]
