"""The weeks of a plan: bars on one axis, waits in their own hatch, the legend always there."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest

from softmend import catalogue
from softmend.errors import InputError
from softmend.pictures.weeks import Span, WeekBar, Weeks, weeks_of, weeks_svg

SVG = "{http://www.w3.org/2000/svg}"
BONDING = WeekBar(
    "Dry-fit and bonding", Span(0, 0, 0), Span(3, 5, 9), Span(5, 7, 12), wait="drying"
)
ASKING = WeekBar("Proposal", Span(5, 7, 12), Span(6, 8, 13), Span(15, 22, 40), wait="consent")
REPORT = WeekBar("Report", Span(15, 22, 40), Span(16, 24, 42), Span(16, 24, 42))
PLAN = Weeks("2026-11-02", "2026-12-20", Span(16, 24, 42), (BONDING, ASKING, REPORT))


def tree(weeks: Weeks) -> ElementTree.Element:
    """Return the picture as a tree; what is not well formed fails here."""
    return ElementTree.fromstring(weeks_svg(weeks))


def texts(weeks: Weeks) -> list[str]:
    return [node.text or "" for node in tree(weeks).iter(f"{SVG}text")]


def boxes(weeks: Weeks, fill: str) -> list[tuple[float, float]]:
    """Return left and right edge of every bar of that fill, the legend's last left out."""
    found = [
        (float(node.get("x", "0")), float(node.get("x", "0")) + float(node.get("width", "0")))
        for node in tree(weeks).iter(f"{SVG}rect")
        if node.get("fill") == fill
    ]
    return found[:-1]


def test_bars_lie_on_one_axis_of_days() -> None:
    (first, second, third) = boxes(PLAN, "#1c5d63")
    per_day = (first[1] - first[0]) / 5
    assert (second[0] - first[0]) / per_day == pytest.approx(7, abs=0.05)
    assert (third[1] - first[0]) / per_day == pytest.approx(24, abs=0.05)


def test_each_wait_has_its_own_hatch_and_the_legend_names_it() -> None:
    patterns = [node.get("id") for node in tree(PLAN).iter(f"{SVG}pattern")]
    assert patterns == ["weeks-drying", "weeks-consent"]
    assert len(boxes(PLAN, "url(#weeks-drying)")) == 1
    assert texts(PLAN)[-4:] == ["bench hours", "5 to 95 %", "drying", "waiting for consent"]


def test_a_plan_without_waits_names_none() -> None:
    alone = replace(PLAN, bars=(REPORT,))
    assert texts(alone)[-2:] == ["bench hours", "5 to 95 %"]
    assert list(tree(alone).iter(f"{SVG}pattern")) == []


def test_the_day_it_is_wanted_stands_on_the_axis_and_only_when_there_is_one() -> None:
    assert "wanted 2026-12-20" in texts(PLAN)
    assert not [said for said in texts(replace(PLAN, wanted_on="")) if "wanted" in said]


def test_a_far_deadline_leaves_the_work_its_room_behind_a_cut_that_is_named() -> None:
    far = replace(PLAN, wanted_on="2032-06-22")
    said = texts(far)
    assert "wanted 2032-06-22" in said
    # 2032-06-22 is 2059 days after 2026-11-02; the axis shows 42 days and a fiftieth more.
    assert said[said.index("axis cut:") :][:3] == ["axis cut:", f"{(2060 - 42.84) / 7:.0f} weeks",
                                                   "not drawn"]  # fmt: skip
    (first, *_) = boxes(far, "#1c5d63")
    assert (first[1] - first[0]) / 5 > 0.7 * (boxes(PLAN, "#1c5d63")[0][1] - 188.0) / 5
    for node in tree(far).iter(f"{SVG}line"):
        assert float(node.get("x2", "0")) <= 720


def test_a_deadline_near_the_end_is_drawn_on_the_axis_itself() -> None:
    assert "axis cut:" not in texts(PLAN)
    assert "axis cut:" not in texts(replace(PLAN, wanted_on=""))


def test_a_band_reaches_from_the_earliest_start_to_the_latest_end() -> None:
    pale = boxes(PLAN, "#d5e2e2")
    solid = boxes(PLAN, "#1c5d63")
    per_day = (solid[0][1] - solid[0][0]) / 5
    assert (pale[0][1] - pale[0][0]) / per_day == pytest.approx(9, abs=0.05)
    assert (pale[-1][0] - solid[0][0]) / per_day == pytest.approx(16, abs=0.1)


@pytest.mark.parametrize("days", [3, 30, 300, 3000])
def test_a_plan_of_any_length_has_few_ticks_and_stays_inside(days: float) -> None:
    long = WeekBar("Filling", Span(0, 0, 0), Span(days / 2, days, days), Span(days, days, days))
    plan = Weeks("2026-11-02", "", Span(days, days, days), (long,))
    ticks = [said for said in texts(plan) if said.isdigit()]
    assert 2 <= len(ticks) <= 11 or days == 3
    for node in tree(plan).iter(f"{SVG}rect"):
        assert float(node.get("x", "0")) + float(node.get("width", "0")) <= 720.5


def test_a_name_that_is_no_markup_stays_a_name() -> None:
    odd = replace(REPORT, name="<b>Clear</b> & lift cracks, then number every single fragment")
    told = " ".join(texts(replace(PLAN, bars=(odd,))))
    assert "<b>Clear</b> &" in told


def test_a_plan_without_a_task_has_no_picture() -> None:
    with pytest.raises(InputError, match="A plan without a task has no picture"):
        weeks_svg(replace(PLAN, bars=()))


def test_the_answer_of_the_computation_is_drawn_as_it_is() -> None:
    exact = {"by": "three_points", "least_hours": 4, "likely_hours": 4, "most_hours": 4}
    plan = {
        "tasks": [{"name": "glue", "effort": exact, "wait_days": 2}],
        "start_on": "2026-11-02",
        "wanted_on": "2026-11-20",
        "bench_hours": 20,
    }
    weeks = weeks_of(plan, catalogue.run("effort.finish", plan))
    assert weeks.bars[0].wait == "drying"
    # Four hours are the whole of Monday; dry on the evening of Wednesday, the third day.
    assert weeks.bars[0].end.typical == pytest.approx(1.0)
    assert weeks.end.typical == pytest.approx(3.0)
    assert weeks_svg(weeks) == weeks_svg(weeks)
