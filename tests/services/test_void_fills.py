"""A void of a scan counts as a fill: in the sum, in the hours, and for its crack, once linked.

By hand: a socket of radius 10 mm and depth 15 mm holds pi 10^2 15 = 4.71 mL; 4 layers of 4 mm reach
its bottom; its mouth of 314 mm2 spans 20 mm, so that it is 15.7 mm wide on the mean.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from softmend import catalogue
from softmend.records.crack_model import Told
from softmend.records.estimate import EstimateClass, Plan, PlanTask, ThreeHours, WaitAfter
from softmend.records.mark import DepthStation, KnownHow, WidthStation
from softmend.records.scan import ScanLength, ScanMatter
from softmend.records.view import View
from softmend.report.content import Audience
from softmend.report.text import as_text
from softmend.services.examine.marks import record_mark
from softmend.services.examine.printing import report_of
from softmend.services.examine.scales import set_scale
from softmend.services.explain.crack import crack_numbered
from softmend.services.explain.crack_void import asked_of_voids
from softmend.services.propose.fills import Fills, fills_in, record_fills
from softmend.services.propose.hours import estimates_in, plan_to_begin_with, record_estimate
from softmend.services.recording import record_one
from softmend.services.runs import runs_in
from softmend.services.solid.asking import answered
from softmend.services.solid.inputs import MASS
from softmend.services.solid.scans import (
    confirm_length,
    link_void,
    on_scan,
    record_void,
    say_matter,
)
from softmend.services.solid.shown import scan_shown
from softmend.tables.materials import material_value
from tests.services.conftest import crack
from tests.services.seen import SCALE
from tests.services.test_scans import compute, with_socket

if TYPE_CHECKING:
    from pathlib import Path

    from softmend.records.entry import Entry
    from softmend.services.bench import Author, Bench

SOCKET_ML = np.pi * 10**2 * 15 / 1000
PULP = "tissue or pulp + PVAc dispersion"


@pytest.fixture
def filled(bench: Bench, author: Author, tmp_path: Path) -> tuple[str, str, Entry]:
    """A dossier with a socket on its scan 2, laid in layers of 4 mm; nothing is linked."""
    dossier_id, scan_id, void = with_socket(bench, author, tmp_path)
    said = replace(void, material=PULP, layer_mm=4, hours_a_layer=Told(0.2, 0.3, 0.5))
    entry = record_void(bench, author, dossier_id, said)
    compute(bench, author, dossier_id, scan_id)
    return dossier_id, scan_id, entry


def sums(bench: Bench, dossier_id: str) -> Fills:
    with bench.store.reading() as reader:
        return fills_in(reader, dossier_id)


def begun(bench: Bench, dossier_id: str) -> Plan:
    with bench.store.reading() as reader:
        return plan_to_begin_with(bench, reader, dossier_id)


def void_task(plan: Plan) -> PlanTask:
    (task,) = [one for one in plan.tasks if one.name == "Fill void 1 of scan 2"]
    return task


def marked(bench: Bench, author: Author, dossier_id: str) -> Entry:
    view = View(1, "front.jpg", "a" * 64, 10, "b" * 64, 1000, 800, 8, "sRGB")
    record_one(bench, author, dossier_id=dossier_id, subject_id="v", record=view, based_on="")
    return record_mark(bench, author, dossier_id, crack("v"))


def test_a_volume_that_was_measured_is_summed_with_its_range() -> None:
    scanned = {"shape": "scanned", "name": "void 1", "volume_ml": {"value": {
        "low": 4.0, "typical": 5.0, "high": 6.0}}}  # fmt: skip
    box = {"shape": "void", "name": "mark 1", "area_mm2": 1000, "depth_mm": 3,
           "section": "rectangle"}  # fmt: skip
    found = catalogue.run("fill.volume", {"parts": [scanned, box]})
    assert found["total_ml"]["typical"] == pytest.approx(8.0, rel=0.01)
    assert found["total_ml"]["low"] == pytest.approx(7.0, rel=0.01)
    assert found["total_ml"]["high"] == pytest.approx(9.0, rel=0.01)


def test_the_void_counts_in_the_sum_until_it_changes(
    bench: Bench, author: Author, filled: tuple[str, str, Entry]
) -> None:
    dossier_id, scan_id, _ = filled
    fills = sums(bench, dossier_id)
    assert fills.answer is not None
    total = fills.answer["total_ml"]
    assert total["typical"] == pytest.approx(SOCKET_ML, rel=0.01)
    assert total["low"] < SOCKET_ML < total["high"]
    ((void, text),) = fills.voids
    assert (void.name, void.reason) == ("void 1 of scan 2", "")
    assert text == fills.total_text
    record_fills(bench, author, dossier_id)
    (row,) = report_of(bench, dossier_id).fills
    assert (row.name, row.section, row.volume.text) == ("V1", "void 1 of scan 2", text)
    with bench.store.reading() as reader:
        length = on_scan(reader, dossier_id, scan_id).length
    assert length is not None
    again = ScanLength(131, 0.5)
    confirm_length(bench, author, dossier_id, scan_id, again, length[0].id)
    fills = sums(bench, dossier_id)
    assert (fills.answer, fills.total_text) == (None, "not known")
    assert "compute it again" in fills.voids[0][0].reason
    with bench.store.reading() as reader:
        kept = [stale for _, run, stale in runs_in(reader, dossier_id)
                if run.computation == "fill.volume"]  # fmt: skip
    assert kept[0].startswith("stale, because")


def test_layers_hours_and_drying_go_into_the_estimate_with_their_basis(
    bench: Bench, author: Author, filled: tuple[str, str, Entry]
) -> None:
    dossier_id, scan_id, entry = filled
    plan = begun(bench, dossier_id)
    task = void_task(plan)
    assert task.hours == ThreeHours(0.8, 1.2, 2.0)
    names = [one.like or one.name for one in plan.tasks]
    assert names.index(task.name) < names.index("mount")
    # 2 days a layer by the table of laying.
    assert task.wait == WaitAfter(8, 8, 8)
    kept = record_estimate(bench, author, dossier_id, EstimateClass.ROUGH, "seen once", plan)
    with bench.store.reading() as reader:
        (one,) = estimates_in(reader, dossier_id)
    assert one.entry.id == kept.id
    assert "void of scan 2: 4 layers of 0.2 to 0.5 h (estimated)" in one.estimate.basis
    assert one.stale_because == ""
    typed = replace(
        plan,
        tasks=tuple(
            replace(one, hours=ThreeHours(1, 2, 3)) if one is task else one for one in plan.tasks
        ),
    )
    record_estimate(bench, author, dossier_id, EstimateClass.ROUGH, "by hand", typed)
    with bench.store.reading() as reader:
        by_hand = estimates_in(reader, dossier_id)[0].estimate
    assert "void of scan" not in by_hand.basis
    assert void_task(begun(bench, dossier_id)).hours == ThreeHours(1, 2, 3)
    left_out = replace(plan, tasks=tuple(one for one in plan.tasks if one is not task))
    record_estimate(bench, author, dossier_id, EstimateClass.ROUGH, "without it", left_out)
    assert task.name not in {one.name for one in begun(bench, dossier_id).tasks}
    with bench.store.reading() as reader:
        void = on_scan(reader, dossier_id, scan_id).voids[0][1]
    thinner = replace(void, layer_mm=2)
    record_void(bench, author, dossier_id, thinner, entry.subject_id, entry.id)
    compute(bench, author, dossier_id, scan_id)
    assert void_task(begun(bench, dossier_id)).hours == ThreeHours(1.6, 2.4, 4.0)
    with bench.store.reading() as reader:
        first = estimates_in(reader, dossier_id)[-1]
    assert first.stale_because.startswith("stale, because")


def test_one_socket_picked_twice_and_a_crack_counted_beside_its_void_are_said(
    bench: Bench, author: Author, filled: tuple[str, str, Entry]
) -> None:
    dossier_id, scan_id, entry = filled
    assert sums(bench, dossier_id).voids[0][0].twice == ""
    with bench.store.reading() as reader:
        void = on_scan(reader, dossier_id, scan_id).voids[0][1]
    record_void(bench, author, dossier_id, replace(void, what="the same hole again"))
    compute(bench, author, dossier_id, scan_id)
    fills = sums(bench, dossier_id)
    assert fills.answer is not None
    assert fills.answer["total_ml"]["typical"] == pytest.approx(2 * SOCKET_ML, rel=0.01)
    assert "overlaps that of void 2" in fills.voids[0][0].twice
    with bench.store.reading() as reader:
        shown = scan_shown(reader, dossier_id, on_scan(reader, dossier_id, scan_id))
    part = shown.part("void-2")
    assert part is not None
    assert part.warnings[0].startswith("Its rim overlaps that of void 1: one opening picked twice")
    mark = marked(bench, author, dossier_id)
    link_void(bench, author, dossier_id, entry.subject_id, mark.subject_id, entry.id)
    compute(bench, author, dossier_id, scan_id)
    pace = void_task(begun(bench, dossier_id)).pace
    assert pace is not None
    assert "overlaps that of void 2" in pace.rests_on
    # Without a scale the mark's own length is not known, and no hours stand beside the void's.
    assert "stands in the filling of cracks too" not in pace.rests_on
    set_scale(bench, author, dossier_id, "v", SCALE, based_on="")
    pace = void_task(begun(bench, dossier_id)).pace
    assert pace is not None
    assert "Mark 1, the same loss, stands in the filling of cracks too, with" in pace.rests_on


def test_mass_and_centre_are_told_before_and_after_the_planned_fill(
    bench: Bench, author: Author, filled: tuple[str, str, Entry]
) -> None:
    dossier_id, scan_id, _entry = filled
    say_matter(bench, author, dossier_id, scan_id, ScanMatter("antler (compact)"), "")
    compute(bench, author, dossier_id, scan_id)
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
        part = scan_shown(reader, dossier_id, on).part("filled")
        mass = answered(reader, dossier_id, MASS, scan_id)
    assert part is not None
    assert part.work is not None
    assert mass is not None
    facts = dict(part.facts)
    assert facts["Mass before"] == mass.outputs["computed_mass_g"]["text"]
    pulp = material_value(PULP, "density")
    assert pulp is not None
    added = {one.name: one for one in part.work.results}["added"]
    heavier = SOCKET_ML * pulp.typical / 1000
    assert float(added.value.split()[0]) == pytest.approx(heavier, abs=0.06)
    # The socket lies on the axis in the top: the centre rises towards its middle at 42.5 mm.
    own = mass.outputs["centre"][2]
    grams = mass.outputs["computed_mass_g"]["typical"]
    rise = heavier / (grams + heavier) * (42.5 - own)
    assert float(facts["It moves by"].split()[0]) == pytest.approx(rise, rel=0.06)
    told = report_of(bench, dossier_id, Audience.REGISTRAR)
    assert facts["The fills add"] in as_text(told)["scans"]
    assert facts["The fills add"] not in as_text(report_of(bench, dossier_id))["scans"]


def test_only_a_linked_void_says_how_wide_and_deep_its_crack_is(
    bench: Bench, author: Author, filled: tuple[str, str, Entry]
) -> None:
    dossier_id, scan_id, entry = filled
    mark = marked(bench, author, dossier_id)

    def crack_asked() -> dict:
        with bench.store.reading() as reader:
            bound = crack_numbered(reader, dossier_id, 1)
        assert ("width_mm" in bound.payload["crack"]) == (
            "mark" not in {one.field for one in bound.missing}
        )
        return bound.payload["crack"]

    def said() -> str:
        with bench.store.reading() as reader:
            return asked_of_voids(reader, dossier_id)["void-1"].sentence

    assert said() == "Link this void with its mark to ask which gives first."
    assert "width_mm" not in crack_asked()
    link_void(bench, author, dossier_id, entry.subject_id, mark.subject_id, entry.id)
    assert "width_mm" not in crack_asked()
    compute(bench, author, dossier_id, scan_id)
    assert said().startswith("Which gives first at mark 1: with this void's depth and width")
    asked = crack_asked()
    assert asked["depth_mm"]["value"]["typical"] == pytest.approx(15, abs=0.2)
    assert asked["width_mm"]["value"]["typical"] == pytest.approx(np.pi * 5, rel=0.02)
    assert asked["width_mm"]["kind"] == "estimated"
    assert "void 1 of scan 2" in asked["width_mm"]["origin"]
    fills = sums(bench, dossier_id)
    assert fills.answer is not None
    assert [fill.text for fill in fills.each] == ["counted as void 1 of scan 2"]
    assert fills.answer["total_ml"]["typical"] == pytest.approx(SOCKET_ML, rel=0.01)
    measured = replace(
        crack("v"),
        widths=(WidthStation(0.0, 2.0, 0.2, "feeler gauge"),),
        depths=(DepthStation(0.0, 8.0, 10.0, 12.0, KnownHow.GAUGE),),
    )
    record_mark(bench, author, dossier_id, measured, subject_id=mark.subject_id, based_on=mark.id)
    asked = crack_asked()
    assert asked["depth_mm"]["value"]["typical"] == 10.0
    assert asked["width_mm"]["origin"] == "the mark: feeler gauge"
