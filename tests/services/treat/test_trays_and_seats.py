"""The demo's tray against its truth: outlines, seats, looks, and what the services refuse."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError, NotFoundError, RuleError
from softmend.records.dossier import Dossier, Size
from softmend.records.fragment import Fragment, Stand
from softmend.records.kinds import record_in
from softmend.records.seat import SeatSearch, Verdict
from softmend.records.tray import OutlineAnswer, Tray, TrayGround
from softmend.services.bench import Author, Bench
from softmend.services.demo.fragments import flake_named, fragments_truth, lay_out_fragments
from softmend.services.dossiers import open_dossier
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import scales_in
from softmend.services.examine.views import views_in
from softmend.services.fake_store import FakeStore
from softmend.services.next_steps import loose_flakes, next_steps
from softmend.services.people import come_to_the_bench
from softmend.services.treat.fragments import change_fragment, ledger_of, number_fragment
from softmend.services.treat.seats import (
    found_seats,
    kept_seats,
    look_for_seats,
    looks_at,
    record_look,
    record_search,
    seats_asked,
    seats_shown,
)
from softmend.services.treat.trays import (
    answer_outline,
    ask_of_tray,
    find_outlines,
    flakes_on,
    found_on,
    measured_flake,
    number_from_tray,
    outline_of,
    tray_asked,
)
from softmend.services.treat.treat_steps import treat_steps

TRUTH = fragments_truth()


@pytest.fixture(scope="module")
def laid():
    """The antler's tray and losses, laid out in a dossier of their own."""
    store = FakeStore()
    bench = Bench(store)
    author = Author(come_to_the_bench(bench, "Ida Invented").id, "treatment")
    facts = Dossier("antler", "EX 1", "an invented museum", "flakes came off", Size.FULL, True)
    dossier_id = open_dossier(bench, author, facts)
    tray_id = lay_out_fragments(bench, author, dossier_id)
    yield bench, author, dossier_id, tray_id
    store.close()


def lying(laid) -> list:
    bench, _, dossier_id, tray_id = laid
    with bench.store.reading() as reader:
        question = tray_asked(reader, dossier_id, tray_id)
        return flakes_on(reader, dossier_id, tray_id, found_on(bench, question))


def numbered(laid, name: str) -> str:
    """Number a flake of the truth, if nobody has, and return its fragment's id."""
    bench, author, dossier_id, _ = laid
    flake = flake_named(TRUTH, lying(laid), name)
    if flake.outline.fragment_id:
        return flake.outline.fragment_id
    fragment_id = number_from_tray(bench, author, dossier_id, flake.outline, "on the tray", "Ida")
    linked = replace(flake.outline, fragment_id=fragment_id)
    answer_outline(bench, author, dossier_id, linked, flake.entry.id if flake.entry else "")
    return fragment_id


def searched(laid, name: str):
    """Look for the seats of a flake of the truth; return the question and the answer."""
    bench, author, dossier_id, _ = laid
    search = SeatSearch(numbered(laid, name))
    record_search(bench, author, dossier_id, search)
    with bench.store.reading() as reader:
        question = seats_asked(reader, dossier_id, search)
    look_for_seats(None, bench, dossier_id, question)
    return question, found_seats(bench, question)


def test_every_flake_of_the_tray_is_outlined_and_measured_within_its_uncertainty(laid) -> None:
    bench, _, dossier_id, tray_id = laid
    flakes = lying(laid)
    assert len(flakes) == len(TRUTH["tray"]["flakes"])
    with bench.store.reading() as reader:
        scale = scales_in(reader, dossier_id)[tray_id].inputs
    for name, ring in TRUTH["tray"]["flakes"].items():
        flake = flake_named(TRUTH, flakes, name)
        found = measured_flake(flake.outline.outline_px, scale)["area"]["area_mm2"]
        pairs = zip(ring, ring[1:] + ring[:1], strict=True)
        true = abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2
        true /= TRUTH["tray"]["px_per_mm"] ** 2
        assert found["mean"] == pytest.approx(true, abs=1.5 * found["expanded"]), name
        assert flake.outline.drawn_how.startswith(("found (edge half way", "drawn by hand"))


def test_the_true_seat_of_each_flake_is_first_and_a_flake_without_one_is_not_unique(laid) -> None:
    bench, _, dossier_id, _ = laid
    names = list(TRUTH["surface"]["losses"])
    with bench.store.reading() as reader:
        losses = [mark for _, mark in marks_in(reader, dossier_id) if mark.term_id == "loss"]
    number_of = {name: mark.number for name, mark in zip(names, losses, strict=True)}
    for name, seat in TRUTH["tray"]["seat_of"].items():
        _, answer = searched(laid, name)
        best = answer["candidates"][0]
        if seat:
            assert best["number"] == number_of[seat], name
            assert best["uniqueness"]["typical"] > 0.2, name
            assert best["residual_mm"]["typical"] < 0.2, name
        else:
            assert not answer["is_unique"], name
            assert best["uniqueness"]["typical"] < 0.15, name


def test_growth_lines_are_read_across_the_edge_of_the_true_seat(laid) -> None:
    _, answer = searched(laid, "1")
    best = answer["candidates"][0]
    assert best["pattern"] > 0.3
    assert best["pattern_expanded"] > 0


def test_candidates_stand_unranked_until_each_overlay_was_looked_at(laid) -> None:
    bench, author, dossier_id, _ = laid
    question, answer = searched(laid, "4")
    marks = [question.loss(one["number"]) for one in answer["candidates"]]
    best = marks[0].mark.number
    for number, loss in enumerate(sorted(marks, key=lambda one: -one.mark.number)):
        with bench.store.reading() as reader:
            shown = seats_shown(reader, dossier_id, question, answer)
        assert not shown.is_ranked
        assert shown.left == len(marks) - number
        numbers = [one.loss.mark.number for one in shown.candidates]
        assert numbers == sorted(numbers)
        record_look(
            bench, author, dossier_id, question, mark_id=loss.entry.subject_id,
            verdict=Verdict.CANNOT_TELL, seen_observed="a gap on one side",
        )  # fmt: skip
    with bench.store.reading() as reader:
        shown = seats_shown(reader, dossier_id, question, answer)
    assert shown.is_ranked
    assert shown.candidates[0].loss.mark.number == best


def test_a_look_keeps_the_run_with_inputs_and_version_and_places_nothing(laid) -> None:
    bench, _, dossier_id, _ = laid
    fragment_id = numbered(laid, "1")
    with bench.store.reading() as reader:
        entry, run, stale = kept_seats(reader, dossier_id, fragment_id)
        question = seats_asked(reader, dossier_id, SeatSearch(fragment_id))
        looks = looks_at(reader, dossier_id, question, run.outputs)
        fragments = [one for _, one in ledger_of(reader, dossier_id).fragments]
    assert stale == ""
    assert run.inputs == question.inputs
    assert run.outputs["version"] == "2"
    assert {look.run_id for look in looks.values()} == {entry.id}
    assert all(one.stand is Stand.NUMBERED and not one.evidence for one in fragments)


def test_another_allowance_is_another_question_and_earlier_looks_do_not_hold_for_it(laid) -> None:
    bench, author, dossier_id, _ = laid
    search = SeatSearch(numbered(laid, "5"), wear_mm=0.3, either_side_up=True)
    record_search(bench, author, dossier_id, search)
    with bench.store.reading() as reader:
        question = seats_asked(reader, dossier_id, search)
    assert found_seats(bench, question) is None
    with pytest.raises(InputError, match="Seats were not looked for as things stand now"):
        record_look(
            bench, author, dossier_id, question, mark_id="", verdict=Verdict.FITS,
            seen_observed="nothing follows",
        )  # fmt: skip
    look_for_seats(None, bench, dossier_id, question)
    with bench.store.reading() as reader:
        shown = seats_shown(reader, dossier_id, question, found_seats(bench, question))
    assert shown.left == len(shown.candidates)
    assert shown.none_of_these is None


def test_a_look_without_words_or_at_no_candidate_is_refused(laid) -> None:
    bench, author, dossier_id, _ = laid
    question, answer = searched(laid, "1")
    at = (bench, author, dossier_id, question)
    mark_id = question.loss(answer["candidates"][0]["number"]).entry.subject_id
    with pytest.raises(InputError, match="A look says what was seen"):
        record_look(*at, mark_id=mark_id, verdict=Verdict.FITS, seen_observed=" ")
    with pytest.raises(RuleError, match="This loss is no candidate of the search that stands"):
        record_look(*at, mark_id="somewhere", verdict=Verdict.FITS, seen_observed="it fits")


def test_a_struck_outline_stays_struck_when_flakes_are_found_again(laid) -> None:
    bench, author, dossier_id, tray_id = laid
    flake = flake_named(TRUTH, lying(laid), "2")
    based_on = flake.entry.id if flake.entry else ""
    struck = replace(flake.outline, answer=OutlineAnswer.STRUCK, fragment_id="", because="a crumb")
    entry = answer_outline(bench, author, dossier_id, struck, based_on)
    ask_of_tray(bench, author, dossier_id, Tray(tray_id, TrayGround.NOT_KNOWN, 2.0))
    with bench.store.reading() as reader:
        question = tray_asked(reader, dossier_id, tray_id)
    find_outlines(None, bench, dossier_id, question)
    again = flake_named(TRUTH, lying(laid), "2")
    assert again.is_struck
    assert len({one.outline.letter for one in lying(laid)}) == len(lying(laid))
    linked = replace(struck, fragment_id=numbered(laid, "1"))
    with pytest.raises(InputError, match="was struck and is no fragment"):
        answer_outline(bench, author, dossier_id, linked, entry.id)


def test_one_fragment_lies_on_a_tray_once(laid) -> None:
    bench, author, dossier_id, _ = laid
    flake = flake_named(TRUTH, lying(laid), "3")
    twice = replace(flake.outline, fragment_id=numbered(laid, "1"))
    with pytest.raises(InputError, match="This fragment lies on this tray already"):
        answer_outline(bench, author, dossier_id, twice, flake.entry.id if flake.entry else "")


def test_what_cannot_be_asked_is_refused_in_words(laid) -> None:
    bench, author, dossier_id, tray_id = laid
    with pytest.raises(InputError, match="The smallest flake cannot be so long; got 0"):
        ask_of_tray(bench, author, dossier_id, Tray(tray_id, smallest_mm=0.1))
    with pytest.raises(InputError, match="The wear of the edge is outside what is possible"):
        record_search(bench, author, dossier_id, SeatSearch(numbered(laid, "1"), wear_mm=9.0))
    with bench.store.reading() as reader:
        view_id = views_in(reader, dossier_id)[0][0].subject_id
        assert tray_asked(reader, dossier_id, view_id) is None
        with pytest.raises(NotFoundError, match="This fragment has no outline yet"):
            outline_of(reader, dossier_id, "nobody")
        assert record_in(reader.latest("tray", tray_id)).view_id == tray_id


def test_a_numbered_flake_that_no_tray_shows_is_a_next_step(laid) -> None:
    bench, author, _, _ = laid
    facts = Dossier("tine", "EX 2", "an invented museum", "a flake came off", Size.NOTE, True)
    dossier_id = open_dossier(bench, author, facts)
    entry = number_fragment(bench, author, dossier_id, Fragment(0, "in the box"))
    told = "Photograph fragment 1 on a tray, where it can be laid out safely."
    with bench.store.reading() as reader:
        for steps in (next_steps(reader, dossier_id), treat_steps(bench, reader, dossier_id)):
            assert [one.page for one in steps if one.sentence == told] == ["treat/trays"]
    bag = Fragment(1, "in the box", stand=Stand.MISSING, because="not in the box any more")
    change_fragment(bench, author, dossier_id, entry.subject_id, bag, entry.id)
    with bench.store.reading() as reader:
        assert loose_flakes(reader, dossier_id) == []


def test_outlines_that_wait_and_flakes_whose_seat_nobody_sought_are_next_steps() -> None:
    store = FakeStore()
    bench = Bench(store)
    author = Author(come_to_the_bench(bench, "Ida Invented").id, "treatment")
    facts = Dossier("antler", "EX 3", "an invented museum", "flakes came off", Size.FULL, True)
    dossier_id = open_dossier(bench, author, facts)
    tray_id = lay_out_fragments(bench, author, dossier_id)
    laid = bench, author, dossier_id, tray_id

    def steps(page: str) -> list[str]:
        with bench.store.reading() as reader:
            found = treat_steps(bench, reader, dossier_id)
        return [one.sentence for one in found if one.page == page]

    def waiting() -> int:
        return sum(one.entry is None for one in lying(laid))

    before = waiting()
    assert before > 1
    (told,) = steps(f"treat/trays/{tray_id}")
    assert told.startswith(f"Answer {before} outlines on the tray of view ")
    flakes = lying(laid)
    new = next(n for n in TRUTH["tray"]["flakes"] if flake_named(TRUTH, flakes, n).entry is None)
    fragment_id = numbered(laid, new)
    seats = f"treat/fragments/{fragment_id}/seats"
    with bench.store.reading() as reader:
        number = record_in(reader.latest("fragment", fragment_id)).number
    assert steps(seats) == [f"Look for the seat of fragment {number}."]
    record_search(bench, author, dossier_id, SeatSearch(fragment_id))
    assert steps(seats) == []
    for flake in lying(laid):
        if flake.entry is None:
            struck = replace(flake.outline, answer=OutlineAnswer.STRUCK, because="a crumb")
            answer_outline(bench, author, dossier_id, struck, "")
    assert steps(f"treat/trays/{tray_id}") == []
    store.close()
