"""Closing, custody and places: the rules that hold before a dossier may rest."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError, RuleError
from softmend.records.closing import (
    CareSheet,
    Closing,
    Finding,
    Reopened,
    check_can_close,
    check_date_finding,
    check_is_closed,
    check_is_open,
    checked_care,
    checked_closing,
    checked_reopening,
    copies_findings,
    deposit_findings,
    not_passed,
    unwarranted_fill,
)
from softmend.records.custody import Receipt, Way, check_correction, checked_receipt, is_overdue
from softmend.records.handover import HandOver
from softmend.records.kinds import KINDS
from softmend.records.location import Location, checked_location
from softmend.records.passing import Passed, about_closing
from softmend.records.payload import from_payload

TODAY = date(2026, 3, 2)
RECEIPT = Receipt(
    1, Way.IN, "antler", "a house", "R. Registrar", "A. Conservator", "treatment",
    "2026-03-01", "2026-06-01", "cracked",
)  # fmt: skip


def handed(to_whom: str, count: int = 10) -> HandOver:
    return HandOver(to_whom, "d" * 64, count, "e" * 64, "2026-03-02")


def test_closing_needs_next_check_date_two_copies_logged_deposit_checksummed() -> None:
    rules = [
        *check_date_finding(None),
        *copies_findings([handed("the owner")]),
        *deposit_findings([], []),
    ]
    assert [finding.rule for finding in rules] == [19, 19, 19]
    for finding in rules:
        with pytest.raises(RuleError, match="a named person passes the rule"):
            check_can_close([], [finding])


def test_two_copies_in_one_hand_are_one_copy() -> None:
    assert copies_findings([handed("The Owner"), handed("the owner ")])
    assert copies_findings([handed("the owner"), handed("the conservator")]) == []


def test_a_package_is_old_once_something_was_recorded_that_it_does_not_hold() -> None:
    before = ["dossier"] * 10
    assert deposit_findings([handed("a"), handed("b")], [*before, "hand_over", "custody"]) == []
    (finding,) = deposit_findings([handed("a")], [*before, "hand_over", "mark"])
    assert finding.sentence == "The newest package holds 10 entries; 1 entry was recorded since"


def test_rule_19_may_be_passed_by_a_named_person_and_no_other_rule_with_it() -> None:
    findings = [Finding(19, "no copies", "x"), Finding(11, "coating", "y")]
    passed = [Passed(19, "closing 1", "the owner is dead", "H. Head")]
    assert not_passed(findings, passed, "closing 1") == [findings[1]]
    assert not_passed(findings, [replace(passed[0], about="a fill")], "closing 1") == findings


def test_a_pass_for_one_closing_does_not_hold_for_the_next() -> None:
    findings = [Finding(19, "no copies", "x")]
    passed = [Passed(19, about_closing(1), "the owner is dead", "H. Head")]
    assert not_passed(findings, passed, about_closing(2)) == findings


def test_a_pass_that_was_recorded_before_closings_were_counted_reads_as_the_first_closings() -> (
    None
):
    said = {"rule": 19, "about": "closing", "because": "the owner is dead", "by": "H. Head"}
    upgrades = KINDS["passed"].upgrades
    old = from_payload(Passed, json.dumps(said), 1, upgrades)
    assert old == Passed(19, "closing 1", "the owner is dead", "H. Head")
    fill = from_payload(Passed, json.dumps({**said, "about": "fill of mark 3"}), 1, upgrades)
    assert fill.about == "fill of mark 3"
    tone = {**said, "about": "tone of zone 4 over original zone 12 by up to 20.0 px"}
    renamed = from_payload(Passed, json.dumps(tone), 1, upgrades)
    assert renamed.about == "tone of zone SZ4 over original zone Z12 by up to 20.0 px"


def test_a_dossier_that_is_open_is_not_opened_again() -> None:
    with pytest.raises(RuleError, match="This dossier is open"):
        check_is_closed(is_closed=False)
    check_is_closed(is_closed=True)


@pytest.mark.parametrize(
    ("place", "where"), [("left tine", "at “left tine”"), ("not known", "at a place not known")]
)
def test_a_fill_logged_at_no_mark_says_how_it_gets_its_warrant(place: str, where: str) -> None:
    sentence = unwarranted_fill(4, place)
    assert sentence.startswith(f"Log entry 4 filled {where} and at no mark, so it has no warrant")
    assert "correct the entry with the mark" in sentence


def test_closing_lists_what_is_missing_and_offers_not_done_because() -> None:
    with pytest.raises(RuleError) as refused:
        check_can_close(["a photograph", "a log"], [])
    assert "2 things are missing: a photograph; a log" in str(refused.value)
    assert "“not done, because …”" in str(refused.value)


def test_a_closed_dossier_takes_what_still_happens_and_opens_by_a_further_entry() -> None:
    with pytest.raises(RuleError, match="closed since entry 12"):
        check_is_open("mark", 12, 0)
    for kind in ("hand_over", "custody", "location", "reopened", "withdrawal", "paper"):
        check_is_open(kind, 12, 0)
    # The law is asked again when the object leaves.
    for kind in ("legal_flag", "loan", "passed"):
        check_is_open(kind, 12, 0)
    check_is_open("mark", 12, 13)
    check_is_open("mark", 0, 0)
    with pytest.raises(InputError, match="needs its reason"):
        checked_reopening(Reopened("  "))


@pytest.mark.parametrize(
    ("closing", "words"),
    [
        (Closing("2026-03-03", "treated", "A", "x"), "has not come yet"),
        (Closing("2026-03-02", "treated", " ", "x"), "needs who signs"),
        (Closing("2026-03-02", "not known", "A", "x"), "needs how it ended"),
        (Closing("in March", "treated", "A", "x"), "cannot be read"),
    ],
)
def test_a_closing_is_dated_signed_and_says_how_it_ended(closing: Closing, words: str) -> None:
    with pytest.raises(InputError, match=words):
        checked_closing(closing, TODAY)


def test_the_next_check_lies_ahead_and_a_band_says_its_basis() -> None:
    with pytest.raises(InputError, match="lies in the past"):
        checked_care(CareSheet("2026-03-02"), TODAY)
    with pytest.raises(InputError, match="needs its basis"):
        checked_care(CareSheet("2027-03-02", rh_band="50 %"), TODAY)
    care = CareSheet("2027-03-02", rh_band="50 %", rh_band_basis="an agreement of the lender")
    assert checked_care(care, TODAY) is care


@pytest.mark.parametrize(
    "name", ["what", "owner", "from_whom", "to_whom", "reason", "condition_observed"]
)
def test_a_receipt_names_thing_owner_parties_reason_and_state(name: str) -> None:
    for nothing in ("", "  ", "not known"):
        with pytest.raises(InputError, match="A receipt needs"):
            checked_receipt(replace(RECEIPT, **{name: nothing}), TODAY)
    assert checked_receipt(RECEIPT, TODAY) is RECEIPT


def test_a_hand_over_that_has_not_happened_has_no_receipt() -> None:
    with pytest.raises(InputError, match="has not happened yet"):
        checked_receipt(replace(RECEIPT, handed_on="2026-03-03"), TODAY)


@given(st.text(max_size=12))
def test_a_signed_receipt_is_never_rewritten(words: str) -> None:
    signed = replace(RECEIPT, paper_number=4)
    other = replace(signed, condition_observed=words)
    if words == signed.condition_observed:
        return
    with pytest.raises(RuleError, match="was signed and is not rewritten"):
        check_correction(signed, other)
    check_correction(signed, replace(signed, paper_number=5))


@pytest.mark.parametrize(
    ("return_on", "overdue"),
    [("2026-03-01", True), ("2026-03-02", False), ("stays with the owner", False)],
)
def test_only_a_day_can_be_overdue(return_on: str, overdue: bool) -> None:
    assert is_overdue(replace(RECEIPT, return_on=return_on), TODAY) is overdue


def test_a_place_may_be_not_known_but_not_blank_and_not_in_the_future() -> None:
    place = Location("bag 2", "not known", "2026-03-01")
    assert checked_location(place, TODAY) is place
    with pytest.raises(InputError, match="place of bag 2 is missing"):
        checked_location(replace(place, place=" "), TODAY)
    with pytest.raises(InputError, match="has not happened yet"):
        checked_location(replace(place, since_on="2026-04-01"), TODAY)
