"""The demo's rendered pair, before and after a dry winter, compared as at a revisit.

Checked against: src/softmend/demo/truth.json, the mesh that both pictures were rendered from.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import math
import re
from dataclasses import dataclass, replace
from importlib.resources import as_file, files
from typing import Any

import pytest

from softmend.errors import InputError
from softmend.records.comparison_of_views import ComparisonOfViews
from softmend.records.dossier import Dossier, Size
from softmend.records.examination import Examination
from softmend.records.kinds import record_in
from softmend.records.mark import Geometry, Mark, Shape, Sighting, State
from softmend.services.bench import Author, Bench
from softmend.services.demo.layout import demo_scale
from softmend.services.dossiers import open_dossier
from softmend.services.examine.grades import write_examination
from softmend.services.examine.marks import marks_in, marks_on_view, record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.examine.suggesting import Suggested, answer_suggestion, answer_to
from softmend.services.examine.views import describe_view, import_photograph
from softmend.services.explain.measured_opening import measured_opening
from softmend.services.fake_store import FakeStore
from softmend.services.people import come_to_the_bench
from softmend.services.recording import current_record
from softmend.services.revisit.comparing import (
    Asked,
    answer_folder,
    answer_of,
    asked,
    compare_later,
    comparison_between,
    keep_moved,
    moved_between,
    record_comparison,
)
from softmend.services.revisit.front import moved_rows, next_check_on, pairs_in, revisit_steps
from softmend.services.revisit.growth import growth_of
from softmend.services.revisit.laying import EARLIER, LAID
from softmend.services.revisit.moved import cracks_moved, record_as_opening, record_state
from softmend.services.runs import run_about

BEFORE, AFTER = "antler-front-normal.jpg", "antler-front-normal-after.jpg"
TRUTH = json.loads(files("softmend.demo").joinpath("truth.json").read_text("utf-8"))
PICTURES = {one["file"]: one for one in TRUTH["pictures"]}


@dataclass
class Revisited:
    """A bench with both views, the cracks traced on the first, and the answer."""

    bench: Bench
    author: Author
    dossier_id: str
    earlier: str
    later: str
    outputs: dict[str, Any]

    @property
    def question(self) -> Asked:
        with self.bench.store.reading() as reader:
            standing = comparison_between(reader, self.earlier, self.later)
            assert standing is not None
            return asked(reader, self.dossier_id, *standing)

    @property
    def at(self) -> tuple[Bench, Author, str]:
        return self.bench, self.author, self.dossier_id

    def mark(self, number: int) -> tuple[Any, Mark]:
        with self.bench.store.reading() as reader:
            return next(one for one in marks_in(reader, self.dossier_id) if one[1].number == number)


def bring_in(bench: Bench, author: Author, dossier_id: str, name: str, day: str) -> str:
    with as_file(files("softmend.demo").joinpath(name)) as path:
        entry = import_photograph(bench, author, dossier_id, path, name)
    view = replace(record_in(entry), side="front", taken_on=day)
    describe_view(bench, author, dossier_id, entry.subject_id, view, entry.id)
    return entry.subject_id


def feature_line(picture: str, feature: str) -> tuple[tuple[float, float], ...]:
    seen = next(one for one in PICTURES[picture]["sightings"] if one["feature"] == feature)
    return tuple((x, y) for x, y in seen["points_px"])


@pytest.fixture(scope="module")
def revisited():
    store = FakeStore()
    bench = Bench(store=store, zone="Europe/Oslo")
    author = Author(come_to_the_bench(bench, "A. Conservator").id, "revisit")
    dossier_id = open_dossier(
        bench, author, Dossier("beam", "INV 12", "an invented house", "to see", Size.FULL)
    )
    earlier = bring_in(bench, author, dossier_id, BEFORE, "2025-10-14")
    later = bring_in(bench, author, dossier_id, AFTER, "2026-03-16")
    scale = demo_scale(PICTURES[BEFORE], "bar")
    set_scale(bench, author, dossier_id, earlier, scale, based_on="")
    for feature in ("crack 1", "crack 2"):
        line = Geometry(Shape.LINE, (feature_line(BEFORE, feature),))
        record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(earlier, line),)))
    record_comparison(
        bench, author, dossier_id,
        ComparisonOfViews(earlier, later, "", 52.0, 38.0, 3.0, 20.0, 19.0, "an invented logger"),
    )  # fmt: skip
    found = Revisited(bench, author, dossier_id, earlier, later, {})
    assert compare_later(None, bench, dossier_id, found.question) == ""
    answer = answer_of(bench, found.question)
    assert answer is not None
    found.outputs = answer["outputs"]
    yield found
    store.close()


def test_the_later_view_lies_on_the_earlier_by_one_plane(revisited) -> None:
    whole = revisited.outputs["whole"]
    assert whole["is_one_plane"]
    assert whole["agreeing"] > 200
    folder = answer_folder(revisited.bench, revisited.question)
    assert (folder / EARLIER).stat().st_size > 10_000
    assert (folder / LAID).stat().st_size > 10_000


def test_the_crack_that_opened_is_said_to_have_opened_by_what_it_did(revisited) -> None:
    one = next(crack for crack in revisited.outputs["cracks"] if crack["number"] == 1)
    feature = next(
        feature
        for thing in TRUTH["objects"]
        for feature in thing["features"]
        if feature["name"] == "crack 1" and "states" in feature
    )
    widest = {when: max(feature["states"][when]["mouth_width_mm"]) for when in ("before", "after")}
    shown = [stretch for stretch in one["stretches"] if stretch["is_shown"]]
    assert shown
    for stretch in shown:
        wide = stretch["opening_mm"]
        assert 0 < wide["mean"] < widest["after"] - widest["before"] + wide["expanded"]
    # The air differs: it may have breathed, and is not said to have grown.
    assert one["state"] == "breathes with RH"


def test_a_crack_too_fine_for_the_photograph_is_not_known(revisited) -> None:
    moved = {one.mark.number: one for one in cracks_moved(revisited.question, revisited.outputs)}
    assert moved[2].offered is None
    assert "Narrower than twice the blur" in moved[2].finding
    entry, _mark = revisited.mark(2)
    with pytest.raises(InputError, match="Of mark 2 nothing can be said"):
        record_state(
            *revisited.at, entry.subject_id, revisited.question, revisited.outputs, entry.id
        )


def test_the_crack_of_the_winter_is_among_the_suggestions(revisited) -> None:
    new = feature_line(AFTER, "crack 4")
    plane = revisited.outputs["whole"]["to_earlier"]

    def carried(at: tuple[float, float]) -> tuple[float, float]:
        x, y, w = (sum(row[i] * (*at, 1.0)[i] for i in range(3)) for row in plane)
        return x / w, y / w

    truth = [carried(at) for at in new]
    lines = [line for one in revisited.outputs["new_cracks"] for line in one["lines_px"]]
    near = [at for line in lines for at in line if min(math.dist(at, other) for other in truth) < 5]
    assert near


def test_a_check_whose_view_was_taken_is_due_no_longer_and_asks_for_the_next_day(revisited) -> None:
    def asked_on(due: str) -> list[str]:
        with revisited.bench.store.reading() as reader:
            standing = reader.latest("examination", revisited.dossier_id)
        looked = Examination("check", examined_on="2025-10-14", next_check_on=due)
        at = standing.id if standing else ""
        write_examination(*revisited.at, looked, based_on=at)
        with revisited.bench.store.reading() as reader:
            pairs = pairs_in(reader, revisited.dossier_id)
            steps = revisit_steps(reader, revisited.dossier_id, "2026-03-20", pairs)
        return [one.sentence for one in steps]

    taken = asked_on("2026-03-16")
    assert "Compare view 2 with view 1." in taken
    assert taken[-1] == "Say when somebody looks again."
    assert "The check of 2026-03-16 is due." not in taken
    assert "The check of 2026-03-18 is due." in asked_on("2026-03-18")
    assert not any("looks again" in one for one in asked_on("2026-09-16"))
    assert "Say when somebody looks again." in asked_on("not known")


def test_kept_and_recorded_it_holds_though_the_words_of_the_mark_changed(revisited) -> None:
    keep_moved(*revisited.at, revisited.question)
    entry, _mark = revisited.mark(1)
    record_state(*revisited.at, entry.subject_id, revisited.question, revisited.outputs, entry.id)
    _entry, mark = revisited.mark(1)
    assert mark.state is State.BREATHES
    assert mark.state_grounds.startswith("views 1 and 2, 2025-10-14 and 2026-03-16; floor 1 px")
    assert "52 and 38 ± 3 %RH, 20 and 19 °C" in mark.state_grounds
    with revisited.bench.store.reading() as reader:
        moved = moved_between(reader, revisited.dossier_id, revisited.earlier, revisited.later)
        (pair,) = pairs_in(reader, revisited.dossier_id)
        steps = revisit_steps(reader, revisited.dossier_id, "2026-03-20", [pair])
        due = next_check_on(reader, revisited.dossier_id)
    assert moved is not None
    assert moved.stale == ""
    with revisited.bench.store.reading() as reader:
        assert run_about(reader, moved.run) == "view 1 and view 2"
    assert due == "not known"
    assert any("Say when somebody looks again" in one.sentence for one in steps)
    (first, second) = moved_rows([pair])
    assert re.match(r"opened by up to 0\.\d+ ± 0\.\d+ mm \(\d\.\d px\) on \d of", first.finding)
    assert second.state == "not known"
    growth = growth_of([pair])
    assert growth is not None
    assert growth.lines[0].number == 1
    assert growth.air == (("2025-10-14", 52.0), ("2026-03-16", 38.0))


def test_both_widths_become_the_measured_opening(revisited) -> None:
    entry, _mark = revisited.mark(1)
    record_as_opening(*revisited.at, entry.subject_id, revisited.question, revisited.outputs)
    with revisited.bench.store.reading() as reader:
        found = measured_opening(reader, revisited.dossier_id, entry.subject_id)
    assert found is not None
    assert found.record.way.value == "two photographs"
    assert found.record.readings[0].air_percent == 52.0
    assert found.record.readings[1].width_mm > found.record.readings[0].width_mm


def test_a_suggestion_that_is_accepted_becomes_a_mark_that_says_so(revisited) -> None:
    one = Suggested(revisited.later, ((100.0, 100.0), (200.0, 110.0)), "a method", "1", 50.0)
    answer_suggestion(*revisited.at, one, is_accepted=False)
    with revisited.bench.store.reading() as reader:
        assert answer_to(reader, one).is_accepted is False
        assert marks_on_view(reader, revisited.dossier_id, revisited.later) == []
    answer_suggestion(*revisited.at, one, is_accepted=True)
    with revisited.bench.store.reading() as reader:
        ((entry, mark),) = marks_on_view(reader, revisited.dossier_id, revisited.later)
        assert answer_to(reader, one).mark_number == mark.number
    assert mark.sightings[0].drawn_how.startswith("suggested (a method, version 1")
    with pytest.raises(InputError, match="accepted already"):
        answer_suggestion(*revisited.at, one, is_accepted=True)
    assert entry.kind == "mark"


def test_a_line_drawn_anew_asks_for_a_new_comparison(revisited) -> None:
    entry, mark = revisited.mark(2)
    moved = replace(
        mark,
        sightings=(
            Sighting(revisited.earlier, Geometry(Shape.LINE, (((9.0, 9.0), (90.0, 9.0)),))),
        ),
    )
    record_mark(*revisited.at, moved, subject_id=entry.subject_id, based_on=entry.id)
    assert answer_of(revisited.bench, revisited.question) is None
    with pytest.raises(InputError, match="not compared as things stand now"):
        keep_moved(*revisited.at, revisited.question)
    with revisited.bench.store.reading() as reader:
        current_record(reader, revisited.dossier_id, "mark", entry.subject_id)
        kept = moved_between(reader, revisited.dossier_id, revisited.earlier, revisited.later)
    assert kept is not None
    assert kept.stale.startswith("stale, because mark 2 changed")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"later_view_id": "one"}, "cannot be compared with itself"),
        ({"repeat_view_id": "two"}, "cannot be compared with itself"),
        ({"earlier_percent": 120.0}, "The humidity is not possible"),
        ({"air_expanded_percent": 0.0}, "The ± of the humidity is not possible"),
        ({"later_degc": 99.0}, "The temperature is not possible"),
    ],
)
def test_what_cannot_be_compared_is_refused(revisited, wrong, said) -> None:
    fine = ComparisonOfViews("one", "two")
    with pytest.raises(InputError, match=said):
        record_comparison(*revisited.at, replace(fine, **wrong))
