"""The rules that hold while the object is examined and treated, each by its sentence.

They are tested through the services on both databases: the refusal, or why it cannot come about,
and the named person's pass with its printed reason where one is allowed. Rules 13 to 22 are in
test_the_rules_of_words_and_prints.py, but for rule 18, which is in test_the_rules_of_places.py.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest
from sqlalchemy import text

from softmend.errors import InputError, RuleError, SoftmendError, StaleError
from softmend.records.action import Hidden
from softmend.records.batch import Batch, BatchKind, Ingredient
from softmend.records.closing import Closing
from softmend.records.condition import Grade, GradeBasis, Overall
from softmend.records.fragment import Bag, Code, Fragment, PlaceEvidence, Stand, Trait
from softmend.records.kinds import record_in
from softmend.records.passing import PASSABLE, Passed, about_closing, checked_passing
from softmend.records.proposal import (
    Coat,
    Coating,
    Options,
    PlanFill,
    PlanMaterial,
    Proposal,
    Warrant,
)
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.services.bench import Author
from softmend.services.examine.grades import answer_not_done, grade_place, grades_in
from softmend.services.examine.marks import record_mark
from softmend.services.examine.zones import Yes, record_body_zone, record_on_zone
from softmend.services.hand_over.closing import (
    close_dossier,
    closing_state,
    pass_at_closing,
    reopen_dossier,
)
from softmend.services.keeping import verify
from softmend.services.passing import pass_rule
from softmend.services.propose.consents import points_hash, standings_in
from softmend.services.propose.proposal_content import proposal_as_text
from softmend.services.propose.proposals import (
    made_up,
    options_in,
    record_fill,
    record_material,
    record_step,
    write_options,
    write_proposal,
)
from softmend.services.recording import current_records, restore, strike
from softmend.services.restoring import bring_back
from softmend.services.treat import fragments
from softmend.services.treat.batches import make_batch
from softmend.services.treat.day_log import log_action, log_of
from softmend.services.treat.fragments import ledger_of, number_fragment, open_bag
from softmend.services.treat.treatment_content import treatment_as_text
from tests.rules.treating import (
    DUSTED,
    FILLED,
    STEP,
    TODAY,
    agree,
    agreed_step,
    box,
    is_printed,
    line,
    pass_by_name,
    step_on,
)

HARD = (1, 3, 5, 6, 9, 13, 14, 18, 20, 21, 22)


@pytest.mark.parametrize("rule", [*HARD, 12, 15])
def test_a_hard_rule_has_no_way_round(bench, author, dossier_id, rule) -> None:
    passed = Passed(rule, "anything", "in a hurry", "H. Head")
    with pytest.raises(RuleError, match=f"Rule {rule} has no way round"):
        pass_rule(bench, author, dossier_id, passed)
    with bench.store.reading() as reader:
        assert reader.current(dossier_id, "passed") == []


@pytest.mark.parametrize("missing", ["about", "because", "by"])
def test_a_rule_is_passed_by_a_named_person_for_one_thing_with_a_reason(missing) -> None:
    whole = Passed(8, "fill of mark 1", "the mount needs it", "H. Head")
    assert checked_passing(whole) is whole
    with pytest.raises(InputError, match="Passing rule 8 needs"):
        checked_passing(replace(whole, **{missing: " "}))
    assert {*HARD, 12, 15} | PASSABLE == set(range(1, 23))


def test_rule_1_no_record_without_purpose_author_date(bench, author, dossier_id) -> None:
    grade = Grade("part", "beam", 2, "old", GradeBasis.SEEN)
    for nobody in (Author("", "treatment"), Author(author.person_id, " ")):
        with pytest.raises(RuleError, match="Nothing is recorded without") as refused:
            grade_place(bench, nobody, dossier_id, grade, based_on="")
        assert refused.value.rule == 1
    with pytest.raises(RuleError, match="The time of an entry is not written as agreed"):
        grade_place(replace(bench, zone=""), author, dossier_id, grade, based_on="")
    with bench.store.reading() as reader:
        assert [entry.kind for entry in reader.entries(dossier_id)] == ["dossier"]


def test_rule_2_no_consent_survives_a_change_of_a_point_it_was_given_to(
    bench, author, dossier_id
) -> None:
    entry = record_step(bench, author, dossier_id, STEP)
    planned = replace(DUSTED, plan_step_id=entry.subject_id, not_in_plan_because="")
    with pytest.raises(RuleError, match="Nobody has consented"):
        log_action(bench, author, dossier_id, planned)
    agree(bench, author, dossier_id)
    log_action(bench, author, dossier_id, planned)

    def change(entry, **change):
        at = {"subject_id": entry.subject_id, "based_on": entry.id}
        return record_step(bench, author, dossier_id, replace(record_in(entry), **change), **at)

    entry = change(entry, why="the dust holds damp")  # wording, no point
    log_action(bench, author, dossier_id, planned)
    entry = change(entry, stop_rule="go on until it shines")
    with pytest.raises(StaleError, match=r"void, because a listed point changed.*until it shines"):
        log_action(bench, author, dossier_id, planned)
    with bench.store.reading() as reader:
        assert standings_in(reader, dossier_id)[-1].is_void
        seen = points_hash(reader, dossier_id)
    pass_by_name(bench, author, dossier_id, 2, seen)
    log_action(bench, author, dossier_id, planned)
    assert is_printed(bench, dossier_id, 2)
    # The pass was for those points and for no later change.
    change(entry, what="wash it")
    with pytest.raises(StaleError):
        log_action(bench, author, dossier_id, planned)


def test_rule_3_log_entries_are_appended_corrected_by_a_further_entry_never_overwritten(
    bench, author, dossier_id
) -> None:
    first = log_action(bench, author, dossier_id, DUSTED)
    at = {"subject_id": first.subject_id, "based_on": first.id}
    with pytest.raises(RuleError, match="never overwritten"):
        log_action(bench, author, dossier_id, replace(DUSTED, tool="sponge"), **at)
    right = replace(DUSTED, tool="sponge", correction_because="it was the sponge")
    after = log_action(bench, author, dossier_id, right, **at)
    with pytest.raises(RuleError, match="not brought back") as refused:
        restore(bench, author, dossier_id=dossier_id, entry_id=first.id, based_on=after.id)
    assert refused.value.rule == 3
    with bench.store.reading() as reader:
        (logged,) = log_of(reader, dossier_id)
        assert [one.tool for one in logged.earlier] == ["not known"]
    assert verify(bench.store).is_sound
    # Whoever rewrites the database itself is found out.
    with bench.store._engine.begin() as connection:
        connection.execute(
            text("UPDATE entry SET payload = replace(payload, 'sponge', 'knife') WHERE id = :id"),
            {"id": after.id},
        )
    damage = [finding.what for finding in verify(bench.store).findings if finding.is_damage]
    assert "content was changed after it was recorded" in damage


def test_rule_4_the_overall_grade_is_the_worst_zone_grade(bench, author, dossier_id) -> None:
    for part, grade in (("beam", 1), ("tine", 3), ("burr", 2)):
        said = Grade("part", part, grade, "seen in raking light", GradeBasis.SEEN)
        grade_place(bench, author, dossier_id, said, based_on="")
    # A reason can be printed; the worst grade still stands.
    pass_by_name(bench, author, dossier_id, 4, "tine")
    with bench.store.reading() as reader:
        assert grades_in(reader, dossier_id)[1] == Overall(3, 1, 3)
    assert is_printed(bench, dossier_id, 4)


def test_rule_5_the_fragment_balance_holds_at_every_save(
    bench, author, dossier_id, monkeypatch
) -> None:
    found = Fragment(0, "in the tray", TODAY, mass_g=1.2)
    bag = open_bag(bench, author, dossier_id, Bag(0, "drawer 4", "no seat found", TODAY))

    def balance():
        with bench.store.reading() as reader:
            return ledger_of(reader, dossier_id).balance

    one, two, three = (number_fragment(bench, author, dossier_id, found) for _ in range(3))
    one = step_on(bench, author, dossier_id, one, stand=Stand.UNPLACED)
    step_on(bench, author, dossier_id, one, stand=Stand.BAGGED, bag_id=bag.subject_id)
    step_on(bench, author, dossier_id, two, stand=Stand.MISSING, because="searched everywhere")
    strike(
        bench, author, dossier_id=dossier_id, kind="fragment", subject_id=three.subject_id,
        because="a crumb of plaster", based_on=three.id,
    )  # fmt: skip
    held = balance()
    assert (held.numbered, held.bagged, held.missing, held.struck) == (3, 1, 1, 1)
    assert held.numbered == held.accounted
    count = fragments.balance_of
    monkeypatch.setattr(
        fragments, "balance_of", lambda pieces, *numbers: count(list(pieces)[1:], *numbers)
    )
    with pytest.raises(RuleError, match="4 fragments were numbered and 3 are accounted for") as no:
        number_fragment(bench, author, dossier_id, found)
    assert no.value.rule == 5
    monkeypatch.undo()
    assert balance() == held


def test_rule_6_no_bonding_on_evidence_d(bench, author, second, dossier_id, view_id) -> None:
    def seen(code, place="J7", trait=Trait.NONE):
        return PlaceEvidence(place, code, "looked at under the lens", trait, view_id)

    def placed(*evidence):
        entry = number_fragment(bench, author, dossier_id, Fragment(0, "in the crack"))
        entry = step_on(bench, author, dossier_id, entry, stand=Stand.CANDIDATE, evidence=evidence)
        return step_on(bench, author, dossier_id, entry, stand=Stand.PLACED_DRY, place="J7")

    bond = {"stand": Stand.BONDED, "second_id": second}
    near = placed(seen(Code.D), seen(Code.D))
    for refused in (near, placed(seen(Code.C), seen(Code.D)), placed(seen(Code.A, "J8"))):
        with pytest.raises(RuleError, match="may not be bonded at J7") as told:
            step_on(bench, author, dossier_id, refused, **bond)
        assert told.value.rule == 6
    bonded = step_on(bench, author, dossier_id, placed(seen(Code.A)), **bond)
    # A bond is no way to carry a fragment to a place that nothing speaks for.
    with pytest.raises(RuleError, match="may not be bonded at J9: evidence none"):
        step_on(bench, author, dossier_id, bonded, place="J9")
    with pytest.raises(RuleError, match="may not be bonded at J7: evidence D"):
        step_on(bench, author, dossier_id, bonded, evidence=(seen(Code.D),))
    with bench.store.reading() as reader:
        assert ledger_of(reader, dossier_id).balance.bonded == 1


def test_rule_7_new_tone_never_lies_on_original(bench, author, dossier_id, view_id) -> None:
    original = BodyZone(0, view_id, Body.ORIGINAL, box(10, 10, 80, 100), accuracy_px=2.0)
    record_body_zone(bench, author, dossier_id, original)
    tone = OnZone(0, view_id, OnIt.NEW_TONE, box(60, 20, 120, 60), accuracy_px=2.0)
    with pytest.raises(RuleError, match=r"over original zone Z1 by up to 20\.0 px") as refused:
        record_on_zone(bench, author, dossier_id, tone)
    assert refused.value.rule == 7
    assert "a named person passes the rule" in refused.value.remedy
    # A pass names who and why, and holds for the overlap that its giver saw.
    for no_pass in (Yes("reason 7", " "), Yes(" ", "H. Head")):
        with pytest.raises(SoftmendError):
            record_on_zone(bench, author, dossier_id, tone, passed=no_pass)
    seen = Yes("reason 7", "H. Head", ("tone of zone SZ1 over original zone Z1 by up to 3 px",))
    with pytest.raises(RuleError, match=r"by up to 20\.0 px"):
        record_on_zone(bench, author, dossier_id, tone, passed=seen)
    with bench.store.reading() as reader:
        assert reader.current(dossier_id, "passed") == []
    by_name = Yes("reason 7", "H. Head", refused.value.about)
    toned = record_on_zone(bench, author, dossier_id, tone, passed=by_name)
    assert is_printed(bench, dossier_id, 7)
    # The pass is for that overlap: a wider one is asked for again.
    wider = replace(tone, rings=box(40, 20, 120, 60))
    at = {"subject_id": toned.subject_id, "based_on": toned.id}
    with pytest.raises(RuleError, match=r"by up to 40\.0 px"):
        record_on_zone(bench, author, dossier_id, wider, **at)
    off = record_on_zone(bench, author, dossier_id, replace(tone, rings=box(90, 20, 120, 60)), **at)
    # An earlier state that lay on what is original by now does not come back either.
    under = BodyZone(0, view_id, Body.ORIGINAL, box(80, 10, 88, 100), accuracy_px=2.0)
    record_body_zone(bench, author, dossier_id, under)
    with pytest.raises(RuleError, match="over original zone Z2"):
        bring_back(bench, author, dossier_id=dossier_id, entry_id=toned.id, based_on=off.id)
    with pytest.raises(RuleError, match="not brought back"):
        restore(bench, author, dossier_id=dossier_id, entry_id=toned.id, based_on=off.id)


def test_rule_7_original_drawn_under_new_tone_needs_the_same_pass(
    bench, author, dossier_id, view_id
) -> None:
    tone = OnZone(0, view_id, OnIt.NEW_TONE, box(60, 20, 120, 60), accuracy_px=2.0)
    record_on_zone(bench, author, dossier_id, tone)
    record_on_zone(bench, author, dossier_id, replace(tone, rings=box(60, 70, 90, 90)))
    original = BodyZone(0, view_id, Body.ORIGINAL, box(10, 10, 80, 100), accuracy_px=2.0)
    with pytest.raises(RuleError, match=r"tone of zone SZ1 .*; .*tone of zone SZ2 ") as refused:
        record_body_zone(bench, author, dossier_id, original)
    assert len(refused.value.about) == 2
    by_name = Yes("reason 7", "H. Head", refused.value.about)
    record_body_zone(bench, author, dossier_id, original, passed=by_name)
    with bench.store.reading() as reader:
        told = [one.about for _, one in current_records(reader, dossier_id, "passed")]
    assert told == list(refused.value.about)


def test_rule_8_every_fill_has_a_warrant_and_a_way_to_be_detected(
    bench, author, dossier_id, view_id
) -> None:
    first, other = (record_mark(bench, author, dossier_id, line(view_id)) for _ in range(2))
    bare = PlanFill(0, (1,))
    with pytest.raises(RuleError, match=r"needs its warrant.*way to be detected") as refused:
        record_fill(bench, author, dossier_id, bare)
    assert refused.value.rule == 8
    for lacking in ({"detected_by": "not known"}, {"warrant_grounds": "not known"}):
        whole = PlanFill(
            0, (1,), Warrant.EDGES, "both edges survive", detected_by="dull in ultraviolet"
        )
        with pytest.raises(RuleError):
            record_fill(bench, author, dossier_id, replace(whole, **lacking))
        with pytest.raises(RuleError):
            record_fill(bench, author, dossier_id, replace(whole, **dict.fromkeys(lacking, " ")))
    record_fill(bench, author, dossier_id, bare, passed_because="reason 8", passed_by="H. Head")
    assert is_printed(bench, dossier_id, 8)
    # What was filled past the plan is asked about before closing.
    for mark in (first, other):
        filled = replace(FILLED, mark_ids=(mark.subject_id,))
        log_action(bench, author, dossier_id, filled)
    with bench.store.reading() as reader:
        asked = [one for one in closing_state(reader, dossier_id).findings if one.rule == 8]
    assert [one.sentence for one in asked] == ["Mark 2 was filled and has no warrant"]
    pass_by_name(bench, author, dossier_id, 8, about_closing(1))
    with bench.store.reading() as reader:
        state = closing_state(reader, dossier_id)
    assert (8, "reason 8", "H. Head") in state.passed
    assert not [one for one in state.findings if one.rule == 8]


def test_rule_8_sees_a_fill_that_is_logged_at_a_place_in_words(
    bench, author, dossier_id, view_id
) -> None:
    def asked():
        with bench.store.reading() as reader:
            found = closing_state(reader, dossier_id).findings
        return [(one.sentence, one.page) for one in found if one.rule == 8]

    mark = record_mark(bench, author, dossier_id, line(view_id))
    placed = replace(FILLED, place="the left tine, near its tip")
    entry = log_action(bench, author, dossier_id, placed)
    ((sentence, page),) = asked()
    assert "Log entry 1 filled at “the left tine, near its tip” and at no mark" in sentence
    assert page == "treat"
    # The remedy: the entry names its mark, and the mark's fill has its warrant.
    right = replace(
        record_in(entry), mark_ids=(mark.subject_id,), correction_because="it was mark 1"
    )
    at = {"subject_id": entry.subject_id, "based_on": entry.id}
    log_action(bench, author, dossier_id, right, **at)
    assert asked() == [("Mark 1 was filled and has no warrant", "propose/fills")]
    warranted = PlanFill(
        0, (1,), Warrant.EDGES, "both edges survive", detected_by="dull in ultraviolet"
    )
    record_fill(bench, author, dossier_id, warranted)
    assert asked() == []
    # The mark is struck later: what was filled there is asked about again.
    strike(
        bench, author, dossier_id=dossier_id, kind="mark", subject_id=mark.subject_id,
        because="drawn twice", based_on=mark.id,
    )  # fmt: skip
    assert len(asked()) == 1


def test_a_pass_for_closing_is_asked_for_again_once_the_dossier_was_reopened(
    bench, author, dossier_id
) -> None:
    def state():
        with bench.store.reading() as reader:
            return closing_state(reader, dossier_id)

    for asked in state().missing:
        answer_not_done(bench, author, dossier_id, asked.item, "only looked at", based_on="")
    closing = Closing(TODAY, "looked at", "A. Conservator", "")
    for rule in (11, 19):
        pass_at_closing(bench, author, dossier_id, rule, f"reason {rule}", "H. Head")
    entry = close_dossier(bench, author, dossier_id, closing, "")
    assert {rule for rule, _, _ in state().passed} == {11, 19}
    reopen_dossier(bench, author, dossier_id, "a new crack was seen")
    assert state().passed == ()
    assert {one.rule for one in state().findings} == {11, 19}
    with pytest.raises(RuleError) as refused:
        close_dossier(bench, author, dossier_id, closing, entry.id)
    assert refused.value.rule == 11
    for rule in (11, 19):
        pass_at_closing(bench, author, dossier_id, rule, "the same again", "H. Head")
    close_dossier(bench, author, dossier_id, closing, entry.id)
    # Both passes stay to be read, each with its closing.
    printed = treatment_as_text(bench, dossier_id)["passed"]
    for words in ("closing 1", "reason 11", "closing 2", "the same again"):
        assert words in printed


def test_rule_9_a_percentage_without_basis_is_refused(bench, author, dossier_id) -> None:
    resin = PlanMaterial(0, "acrylic resin, 5 %")
    glue = Batch(0, BatchKind.ADHESIVE, "glue 10%", TODAY, (Ingredient("glue", 1.0),))
    for refused in (
        lambda: record_step(bench, author, dossier_id, replace(STEP, what="apply at 5 percent")),
        lambda: record_material(bench, author, dossier_id, resin),
        lambda: make_batch(bench, author, dossier_id, glue),
        lambda: log_action(bench, author, dossier_id, replace(DUSTED, tool="swab, 2,5 % soap")),
        lambda: made_up(
            solute="resin", solvent="acetone", written_percent=5.0, basis="%",
            solute_density_g_per_ml=1.15, solvent_density_g_per_ml=0.79, density_origin="typed",
        ),
    ):  # fmt: skip
        with pytest.raises(RuleError) as told:
            refused()
        assert told.value.rule == 9
    record_material(bench, author, dossier_id, replace(resin, generic_name="resin, 5 % w/w"))


def test_rule_10_hidden_later_actions_need_an_image_or_a_reason(
    bench, author, dossier_id, view_id
) -> None:
    mark = record_mark(bench, author, dossier_id, line(view_id)).subject_id
    filled = replace(FILLED, mark_ids=(mark,))
    for refused in (Hidden.NOT_KNOWN, Hidden.YES):
        with pytest.raises(RuleError) as told:
            log_action(bench, author, dossier_id, replace(filled, hidden=refused))
        assert told.value.rule == 10
    hides = replace(filled, hidden=Hidden.YES)
    log_action(bench, author, dossier_id, replace(hides, hidden_view_ids=(view_id,)))
    log_action(bench, author, dossier_id, replace(hides, hidden_because="the lamp had failed"))
    printed = treatment_as_text(bench, dossier_id)
    assert any("the lamp had failed" in said for said in printed.values())
    assert any("A. Conservator" in said for said in printed.values())


def test_rule_11_the_coating_question_is_answered_before_closing(bench, author, dossier_id) -> None:
    def findings():
        with bench.store.reading() as reader:
            return [one.rule for one in closing_state(reader, dossier_id).findings]

    bare = Proposal(coating=Coating(Coat.NONE))
    with pytest.raises(RuleError, match="needs its reasons") as told:
        write_proposal(bench, author, dossier_id, bare, "")
    assert told.value.rule == 11
    assert 11 in findings()
    with pytest.raises(RuleError):
        close_dossier(bench, author, dossier_id, Closing(TODAY, "done", "A. Conservator", ""), "")
    pass_by_name(bench, author, dossier_id, 11, "coating")
    assert 11 in findings()
    pass_by_name(bench, author, dossier_id, 11, about_closing(1))
    assert 11 not in findings()
    assert is_printed(bench, dossier_id, 11)


def test_rule_11_no_coating_with_its_reasons_is_an_answer(bench, author, dossier_id) -> None:
    none = Proposal(coating=Coating(Coat.NONE, ("a film would trap dust",)))
    write_proposal(bench, author, dossier_id, none, "")
    with bench.store.reading() as reader:
        assert 11 not in [one.rule for one in closing_state(reader, dossier_id).findings]


def test_rule_12_do_nothing_is_in_every_options_table(bench, author, dossier_id) -> None:
    with bench.store.reading() as reader:
        assert options_in(reader, dossier_id)[1].rows[0].name == "do nothing"
    for renamed in ("nothing", "later"):
        table = Options(nothing=replace(Options().nothing, name=renamed))
        with pytest.raises(RuleError) as told:
            write_options(bench, author, dossier_id, table, "")
        assert told.value.rule == 12
    write_options(bench, author, dossier_id, Options(), "")
    with bench.store.reading() as reader:
        ((entry, options),) = current_records(reader, dossier_id, "options")
    assert [one.name for one in options.rows] == ["do nothing", "do less"]
    assert "do nothing" in proposal_as_text(bench, dossier_id)["options"].lower()
    strike(
        bench, author, dossier_id=dossier_id, kind="options", subject_id=entry.subject_id,
        because="written for another object", based_on=entry.id,
    )  # fmt: skip
    with bench.store.reading() as reader:
        assert options_in(reader, dossier_id)[1] == Options()


def test_a_step_of_the_plan_is_logged_under_a_consent_that_stands(
    bench, author, dossier_id
) -> None:
    step = agreed_step(bench, author, dossier_id)
    planned = replace(DUSTED, plan_step_id=step.subject_id, not_in_plan_because="")
    entry = log_action(bench, author, dossier_id, planned)
    assert record_in(entry).number == 1
