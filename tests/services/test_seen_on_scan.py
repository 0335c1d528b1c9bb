"""Marks of a photograph keep supports away on the scan: found, set aside, stale, printed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from softmend.errors import InputError, NotFoundError
from softmend.records.kinds import record_in
from softmend.records.mark import Geometry, Shape
from softmend.records.scan import ForbiddenStretch, ScanHolding, ScanLength, ScanLine, ScanMatter
from softmend.records.scan import ScanUnitName as Unit
from softmend.report.one_page import Page
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import record_mark
from softmend.services.examine.views import import_photograph
from softmend.services.fake_store import FakeStore
from softmend.services.hand_over.outputs import page_as_text, page_for
from softmend.services.people import come_to_the_bench
from softmend.services.recording import current_record
from softmend.services.solid.asking import answered, keep_answers, measure_later, open_questions
from softmend.services.solid.inputs import BENDING, MASS, SEEN, SUPPORTS
from softmend.services.solid.pads import laid_of, pads_now
from softmend.services.solid.scans import (
    OnScan,
    confirm_length,
    on_scan,
    record_line,
    say_holding,
    say_matter,
    strike_on_scan,
)
from softmend.services.solid.seen_shown import seen_parts
from softmend.services.solid.seen_stretches import (
    AGAIN,
    ASIDE,
    COUNTS,
    NO_PLACE,
    SeenOnScan,
    also_on_scans,
    count_stretch_again,
    lay_photograph,
    seen_on_scan,
    set_stretch_aside,
    with_seen_forbidden,
)
from softmend.services.solid.shown import scan_shown
from tests.services.scanned import on_bone, with_scan
from tests.services.seen import at_px, crack_at, laid, photographed, protected_at

HELD = ScanHolding(
    down=(0.0, 1.0, 0.0), pad_length_mm=20, forbidden=(ForbiddenStretch(92, 94, "old number"),)
)
WHY = "it lies on top as the bone is held"


class Laid:
    """A dossier with the bone scanned and photographed, and what stands on both."""

    def __init__(self, bench: Bench, author: Author, folder: Path) -> None:
        self.bench, self.author = bench, author
        self.dossier_id, self.scan_id = with_scan(bench, author, folder)
        here = (bench, author, self.dossier_id)
        self.view_id = photographed(*here, folder)
        self.crack_id = crack_at(*here, self.view_id, 120, 160)
        self.zone_id = protected_at(*here, self.view_id, 230)
        confirm_length(*here, self.scan_id, ScanLength(340, 1, Unit.MM), "")
        self.lay(20, 170, 320)
        self.compute()

    def hold(self) -> None:
        """Say what it is made of and how it is held, and have the supports computed."""
        here = (self.bench, self.author, self.dossier_id, self.scan_id)
        say_matter(*here, ScanMatter("antler (compact)"), "")
        say_holding(*here, HELD, "")
        self.compute()

    def z_mm(self, percent: float) -> float:
        """Return a place along the bone as a height: the answer counts from the thicker end."""
        assert self.seen.answer is not None
        first, *_rest = self.seen.answer.outputs["places"]
        return 3.4 * (percent if first["number"] == 1 else 100 - percent)

    def ends_mm(self, told: dict[str, Any], name: str) -> list[float]:
        """Return both ends of a stretch as heights, the lower first."""
        return sorted(self.z_mm(told[f"{name}_{end}_percent" if name else f"{end}_percent"])
                      for end in ("from", "to"))  # fmt: skip

    def lay(self, *z_mm: float, based_on: str = "") -> None:
        said = laid(self.scan_id, self.view_id, *z_mm)
        lay_photograph(self.bench, self.author, self.dossier_id, said, based_on)

    def compute(self) -> None:
        measure_later(self.bench, None, self.dossier_id, self.scan_id)
        keep_answers(self.bench, self.author, self.dossier_id, self.scan_id)

    @property
    def on(self) -> OnScan:
        with self.bench.store.reading() as reader:
            return on_scan(reader, self.dossier_id, self.scan_id)

    @property
    def seen(self) -> SeenOnScan:
        with self.bench.store.reading() as reader:
            (found,) = seen_on_scan(reader, self.dossier_id, self.on)
        return found

    @property
    def open(self) -> list[str]:
        with self.bench.store.reading() as reader:
            return [one.computation for one in open_questions(reader, self.dossier_id, self.on)]

    def states(self) -> dict[str, str]:
        return {one.drawn.name: one.state for one in self.seen.stretches}

    def stale(self, *keys: str) -> tuple[str, ...]:
        """Return why parts of the scan's page are stale, "" for each that holds."""
        with self.bench.store.reading() as reader:
            shown = scan_shown(reader, self.dossier_id, self.on)
        parts = [shown.part(key) for key in keys]
        return tuple(part.stale_because if part else "not there" for part in parts)

    def forbidden(self) -> list[dict[str, Any]]:
        """Return what the kept answer on supports kept clear of."""
        with self.bench.store.reading() as reader:
            found = answered(reader, self.dossier_id, SUPPORTS, self.scan_id)
        assert found is not None
        stretches: list[dict[str, Any]] = found.run.inputs["forbidden"]
        return stretches


@pytest.fixture
def bench() -> Iterator[Bench]:
    store = FakeStore()
    yield Bench(store, zone="Europe/Oslo")
    store.close()


@pytest.fixture
def there(bench: Bench, tmp_path: Path) -> Laid:
    author = Author(come_to_the_bench(bench, "Ida Invented").id, "examination")
    return Laid(bench, author, tmp_path)


def test_a_crack_and_a_protected_zone_of_the_photograph_keep_supports_away(there: Laid) -> None:
    """The bone is 340 mm long and drawn at 5 px to the mm, so where each lies is known."""
    there.hold()
    assert there.states() == {"mark 1, crack": COUNTS, "SZ1, protected evidence": COUNTS}
    for one, low, high in zip(there.seen.stretches, (120, 230), (160, 240), strict=True):
        told = one.told
        assert told is not None
        assert told["expanded_mm"] < 12
        assert there.ends_mm(told, "seen") == pytest.approx([low, high], abs=told["expanded_mm"])
        near, far = there.ends_mm(told, "")
        assert near < low - 20
        assert far > high + 20
    words = [one["why"] for one in there.forbidden()]
    assert words[0] == "old number"
    assert words[1].startswith("mark 1, crack, on view 1 (crack, ± ")
    assert words[2].startswith("SZ1, protected evidence, on view 1 (protected, ± ")
    middle = (there.forbidden()[1]["from_percent"] + there.forbidden()[1]["to_percent"]) / 2
    refused = pads_now(there.bench, there.on, [10, middle])
    assert not refused["stands"]
    assert "mark 1, crack, on view 1" in refused["sentence"]
    shown = laid_of(there.bench, there.on)
    assert shown is not None
    assert len(shown.forbidden) == 3
    here = (there.bench, there.author, there.dossier_id, there.scan_id, there.view_id)
    set_stretch_aside(*here, there.crack_id, WHY)
    assert there.open == [SUPPORTS, BENDING]
    there.compute()
    assert [one["why"].split(",")[0] for one in there.forbidden()] == ["old number", "SZ1"]
    text = page_as_text(page_for(there.bench, there.dossier_id, Page.MOUNT_MAKER))
    assert "Nothing may press here" in text
    assert "old number" in text
    assert "On view 1: where no support may press" in text
    assert "SZ1, protected evidence" in text
    assert f"set aside: {WHY}" in text
    assert "does not count" not in text
    crack_at(there.bench, there.author, there.dossier_id, there.view_id, 60, 80)
    text = page_as_text(page_for(there.bench, there.dossier_id, Page.MOUNT_MAKER))
    later = "stale, because it does not count what came later: mark 2, crack on view 1"
    assert f"How it is held: {later}" in text
    assert f"Nothing may press here: {later}" in text


def test_supports_that_kept_clear_of_nothing_are_stale_once_something_is_drawn(
    there: Laid,
) -> None:
    here = (there.bench, there.author, there.dossier_id)
    say_matter(*here, there.scan_id, ScanMatter("antler (compact)"), "")
    say_holding(*here, there.scan_id, replace(HELD, forbidden=()), "")
    for drawn_id in (there.crack_id, there.zone_id):
        set_stretch_aside(*here, there.scan_id, there.view_id, drawn_id, WHY)
    there.compute()
    assert there.forbidden() == []
    assert there.stale("supports", "bending") == ("", "")
    protected_at(*here, there.view_id, 60)
    line = ScanLine(0, there.scan_id, "crack", (on_bone(120), on_bone(160)))
    entry = record_line(*here, line)
    why = (
        "stale, because it does not count what came later: line 1, crack; "
        "SZ2, protected evidence on view 1"
    )
    assert there.stale("supports", "bending") == (why, why)
    report = page_as_text(page_for(there.bench, there.dossier_id, Page.MOUNT_MAKER))
    assert f"How it is held: {why}" in report
    there.compute()
    assert there.stale("supports", "bending") == ("", "")
    assert len(there.forbidden()) >= 1
    strike_on_scan(*here, "scan_line", entry.subject_id, "drawn on the wrong scan")
    assert "line 1 was struck" in there.stale("supports")[0]


def test_an_answer_that_another_version_left_is_not_kept(
    there: Laid, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = (there.bench, there.author, there.dossier_id, there.scan_id)
    say_matter(*here, ScanMatter("antler (compact)"), "")
    with monkeypatch.context() as earlier:
        earlier.setattr("softmend.services.solid.measuring_mesh.__version__", "0.0.earlier")
        measure_later(there.bench, None, there.dossier_id, there.scan_id)
    assert keep_answers(*here) == 0
    assert there.open == [MASS]
    measure_later(there.bench, None, there.dossier_id, there.scan_id)
    assert keep_answers(*here) == 1


def test_one_set_aside_is_told_with_its_reason_and_can_count_again(there: Laid) -> None:
    here = (there.bench, there.author, there.dossier_id, there.scan_id, there.view_id)
    with pytest.raises(InputError, match="set aside for a reason"):
        set_stretch_aside(*here, there.crack_id, " ")
    set_stretch_aside(*here, there.crack_id, WHY)
    assert there.states()["mark 1, crack"] == ASIDE
    assert list(there.on.seen[0].set_aside) == ["mark 1, crack"]
    with there.bench.store.reading() as reader:
        (part,) = seen_parts(reader, there.dossier_id, there.on)
    assert part.grid is not None
    assert part.grid.rows[0][0] == "mark 1, crack"
    assert part.grid.rows[0][3:] == ("none", f"set aside: {WHY}")
    assert part.grid.rows[1][4] == COUNTS
    count_stretch_again(*here, there.crack_id, "it is held the other way now")
    assert there.states()["mark 1, crack"] == COUNTS
    with pytest.raises(NotFoundError, match="not set aside"):
        count_stretch_again(*here, there.crack_id, "again")


def test_what_was_set_aside_counts_again_when_the_object_is_held_another_way(there: Laid) -> None:
    here = (there.bench, there.author, there.dossier_id, there.scan_id)
    say_holding(*here, HELD, "")
    set_stretch_aside(*here, there.view_id, there.crack_id, WHY)
    for held, state in (
        (replace(HELD, friction=0.5), ASIDE),
        (replace(HELD, down=(0.0, -1.0, 0.0)), AGAIN),
    ):
        standing = there.on.holding
        assert standing is not None
        say_holding(*here, held, standing[0].id)
        assert there.states()["mark 1, crack"] == state
    assert there.on.seen[0].set_aside == {}


def test_a_mark_that_is_drawn_anew_makes_its_stretch_stale(there: Laid) -> None:
    with there.bench.store.reading() as reader:
        entry, mark = current_record(reader, there.dossier_id, "mark", there.crack_id)
    here = (there.bench, there.author, there.dossier_id)
    set_stretch_aside(*here, there.scan_id, there.view_id, there.crack_id, WHY)
    line = Geometry(Shape.LINE, ((at_px(120, 6), at_px(200, 6)),))
    longer = replace(mark, sightings=(replace(mark.sightings[0], geometry=line),))
    record_mark(*here, longer, subject_id=there.crack_id, based_on=entry.id)
    assert there.open == [SEEN]
    assert "mark 1 changed" in there.seen.notices[0]
    there.compute()
    told = there.seen.stretches[0].told
    assert told is not None
    assert there.ends_mm(told, "seen") == pytest.approx([120, 200], abs=told["expanded_mm"])
    assert there.states()["mark 1, crack"] == AGAIN


def test_pads_keep_clear_of_what_is_drawn_but_for_what_is_set_aside(there: Laid) -> None:
    """The job takes its own new answer before the one that was kept."""
    old = there.seen.answer
    assert old is not None
    kept = {"about": "x", "view": "view 1", "outputs": old.outputs, "aside": []}
    inputs: dict[str, Any] = {"forbidden": [{"from_percent": 1, "to_percent": 2, "why": "typed"}]}
    assert len(with_seen_forbidden(inputs, [kept], [])["forbidden"]) == 3
    aside = {**kept, "aside": ["mark 1, crack"]}
    clear = with_seen_forbidden(inputs, [aside], [])["forbidden"]
    assert [one["why"].split(",")[0] for one in clear] == ["typed", "SZ1"]
    new = {"about": "x", "outputs": {"stretches": []}}
    assert with_seen_forbidden(inputs, [kept], [new]) == inputs
    assert with_seen_forbidden(inputs, [{**kept, "outputs": None}], []) == inputs


def test_what_cannot_be_placed_or_does_not_fit_is_said_and_keeps_nothing_away(
    there: Laid, tmp_path: Path
) -> None:
    here = (there.bench, there.author, there.dossier_id)
    entry = there.on.seen[0].entry
    said = record_in(entry)
    there.lay(20, 60, based_on=entry.id)
    there.compute()
    assert set(there.states().values()) == {NO_PLACE}
    assert "pick a place nearer to it" in there.seen.stretches[0].because
    places = list(said.places)
    places[1] = replace(places[1], at_px=at_px(250, 10))
    entry = there.on.seen[0].entry
    lay_photograph(*here, replace(said, places=tuple(places)), entry.id)
    there.compute()
    (notice,) = there.seen.notices
    assert "end-on between places 3 and 2" in notice
    assert set(there.states().values()) == {NO_PLACE}
    assert there.seen.stretches[0].because == "the photograph could not be laid along the scan"
    strike_on_scan(*here, "scan_view", entry.subject_id, "laid along the wrong scan")
    assert there.on.seen == ()
    with pytest.raises(InputError, match="2 to 20, along the object"):
        lay_photograph(*here, laid(there.scan_id, there.view_id, 20), "")
    path = tmp_path / "bare.png"
    Image.new("RGB", (500, 400), (90, 90, 90)).save(path)
    bare = import_photograph(*here, path, "bare.png").subject_id
    with pytest.raises(NotFoundError, match="View 2 has no scale"):
        lay_photograph(*here, laid(there.scan_id, bare, 20, 300), "")


def test_a_mark_knows_the_scans_on_which_it_stands_too(there: Laid) -> None:
    here = (there.bench, there.author, there.dossier_id)
    line = ScanLine(0, there.scan_id, "crack", (on_bone(120), on_bone(160)), there.crack_id)
    record_line(*here, line)
    with there.bench.store.reading() as reader:
        also = also_on_scans(reader, there.dossier_id, there.crack_id)
        zone = also_on_scans(reader, there.dossier_id, there.zone_id)
    assert [one.part for one in also] == ["lines", "supports"]
    assert also[0].words == "line 1, crack"
    assert [one.part for one in zone] == ["supports"]
