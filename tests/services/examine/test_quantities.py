"""Quantities: derived from pixels and scale, each stretch counted once; fills and reasons."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError, MissingEvidenceError
from softmend.records.mark import (
    DepthStation,
    Geometry,
    KnownHow,
    Mark,
    Role,
    Section,
    Shape,
    Sighting,
    WidthStation,
)
from softmend.records.view import View
from softmend.services.examine.marks import record_mark
from softmend.services.examine.quantities import mark_quantities, measured_drawing, scales_in
from softmend.services.examine.scales import set_scale
from softmend.services.propose.fills import fills_in, record_fills
from softmend.services.recording import record_one
from softmend.services.runs import runs_in
from tests.services.conftest import crack

# 10 px to the millimetre: a bar of 100 mm that is 1000 px long, lying in the plane measured.
SCALE = {
    "method": "two_clicks",
    "end_a_px": [[0.0, 700.0]],
    "end_b_px": [[1000.0, 700.0]],
    "length_mm": {"value": {"value": 100.0, "expanded": 0.2}},
    "stand": {
        "offset_mm": {"value": {"value": 0.0, "expanded": 1.0}},
        "camera_distance_mm": {"value": {"value": 800.0, "expanded": 20.0}},
    },
}


@pytest.fixture
def scaled(bench, author, dossier_id, view_id) -> str:
    return set_scale(bench, author, dossier_id, view_id, SCALE, based_on="").id


def quantities(bench, dossier_id, mark: Mark):
    with bench.store.reading() as reader:
        return mark_quantities(mark, scales_in(reader, dossier_id))


def test_without_a_scale_there_are_no_millimetres(bench, author, dossier_id, view_id) -> None:
    (length,) = quantities(bench, dossier_id, crack(view_id))
    assert (length.mean, length.text) == (None, "no scale on this view")


def test_a_length_follows_the_scale_that_stands(bench, author, dossier_id, view_id, scaled) -> None:
    drawn = crack(view_id, (100.0, 100.0), (500.0, 400.0))
    (length,) = quantities(bench, dossier_id, drawn)
    # The 3-4-5 triangle: 500 px at 10 px/mm.
    assert length.mean == pytest.approx(50.0, abs=length.expanded)
    double = SCALE | {"length_mm": {"value": {"value": 200.0, "expanded": 0.2}}}
    set_scale(bench, author, dossier_id, view_id, double, based_on=scaled)
    (length,) = quantities(bench, dossier_id, drawn)
    assert length.mean == pytest.approx(100.0, abs=length.expanded)


def other_view(bench, author, dossier_id) -> str:
    view = View(2, "side.jpg", "c" * 64, 10, "d" * 64, 1000, 800, 8, "sRGB")
    record_one(bench, author, dossier_id=dossier_id, subject_id="view-2", record=view, based_on="")
    set_scale(bench, author, dossier_id, "view-2", SCALE, based_on="")
    return "view-2"


def line(view_id: str, length_px: float, role: Role, overlap: float = 0.0) -> Sighting:
    geometry = Geometry(Shape.LINE, (((100.0, 100.0), (100.0 + length_px, 100.0)),))
    return Sighting(view_id, geometry, role, overlap)


def test_a_crack_that_continues_on_another_view_is_counted_once_where_the_views_overlap(
    bench, author, dossier_id, view_id, scaled
) -> None:
    second = other_view(bench, author, dossier_id)
    joined = replace(
        crack(view_id),
        sightings=(line(view_id, 400, Role.FIRST), line(second, 300, Role.CONTINUES, 1 / 3)),
    )
    (length,) = quantities(bench, dossier_id, joined)
    # 40 mm, and of 30 mm a third is seen already: 60 mm in all.
    assert length.mean == pytest.approx(60.0, rel=0.002)
    parts = [
        quantities(bench, dossier_id, replace(joined, sightings=(replace(seen, role=Role.FIRST),)))
        for seen in joined.sightings
    ]
    first, second_part = (part[0].expanded for part in parts)
    # Two views, two scales: their uncertainties add in squares (JCGM 100:2008, 5.1.2).
    assert length.expanded == pytest.approx((first**2 + (second_part * 2 / 3) ** 2) ** 0.5)


def test_of_two_sightings_of_one_stretch_the_one_known_best_is_counted(
    bench, author, dossier_id, view_id, scaled
) -> None:
    second = other_view(bench, author, dossier_id)
    poor = SCALE | {"length_mm": {"value": {"value": 100.0, "expanded": 20.0}}}
    with bench.store.reading() as reader:
        standing = scales_in(reader, dossier_id)[second].entry_id
    set_scale(bench, author, dossier_id, second, poor, based_on=standing)
    seen_twice = replace(
        crack(view_id),
        sightings=(line(second, 330, Role.FIRST), line(view_id, 300, Role.SAME_STRETCH, 1.0)),
    )
    (length,) = quantities(bench, dossier_id, seen_twice)
    assert length.mean == pytest.approx(30.0, rel=0.002)


def test_a_better_sighting_of_half_the_crack_takes_the_place_of_that_half_only(
    bench, author, dossier_id, view_id, scaled
) -> None:
    second = other_view(bench, author, dossier_id)
    poor = SCALE | {"length_mm": {"value": {"value": 100.0, "expanded": 20.0}}}
    with bench.store.reading() as reader:
        standing = scales_in(reader, dossier_id)[second].entry_id
    set_scale(bench, author, dossier_id, second, poor, based_on=standing)
    half = replace(
        crack(view_id),
        sightings=(line(second, 400, Role.FIRST), line(view_id, 200, Role.SAME_STRETCH, 0.5)),
    )
    (length,) = quantities(bench, dossier_id, half)
    # 20 mm from the better view and half of 40 mm from the poor one.
    assert length.mean == pytest.approx(40.0, rel=0.01)


def test_a_scale_that_is_none_is_refused_and_nothing_is_recorded(
    bench, author, dossier_id, view_id
) -> None:
    short = SCALE | {"end_b_px": [[5.0, 700.0]]}
    with pytest.raises(InputError, match="too close together"):
        set_scale(bench, author, dossier_id, view_id, short, based_on="")
    with bench.store.reading() as reader:
        assert scales_in(reader, dossier_id) == {}


def test_what_is_being_drawn_is_measured_without_recording(bench, dossier_id, view_id) -> None:
    from softmend.services.examine.quantities import Scaled

    square = Geometry(Shape.AREA, (((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)),))
    area = measured_drawing(square, Scaled("", SCALE))
    assert area.mean == pytest.approx(100.0, rel=0.01)
    assert measured_drawing(square, None).text == "no scale on this view"


def measured_crack(view_id: str) -> Mark:
    return replace(
        crack(view_id, (100.0, 100.0), (600.0, 100.0)),
        section=Section.V,
        widths=(WidthStation(0.0, 2.0, 0.2, "feeler gauge"),),
        depths=(DepthStation(0.0, 8.0, 10.0, 12.0, KnownHow.GAUGE),),
    )


def test_a_fill_is_length_by_width_by_depth_by_its_section(
    bench, author, dossier_id, view_id, scaled
) -> None:
    record_mark(bench, author, dossier_id, measured_crack(view_id))
    record_mark(bench, author, dossier_id, crack(view_id))
    with bench.store.reading() as reader:
        fills = fills_in(reader, dossier_id)
    # A V of 50 mm x 2 mm x 10 mm holds half of 1000 mm3: 0.5 mL.
    assert fills.answer["parts"][0]["volume_ml"]["typical"] == pytest.approx(0.5, rel=0.05)
    assert [fill.reason for fill in fills.each] == [
        "",
        "it has no width and no depth; give one, however wide.",
    ]


def test_a_kept_run_is_stale_once_a_mark_it_read_has_changed(
    bench, author, dossier_id, view_id, scaled
) -> None:
    entry = record_mark(bench, author, dossier_id, measured_crack(view_id))
    record_fills(bench, author, dossier_id)
    with bench.store.reading() as reader:
        assert [stale for _, _, stale in runs_in(reader, dossier_id)] == [""]
    record_mark(
        bench,
        author,
        dossier_id,
        replace(measured_crack(view_id), place="12 cm from the proximal end"),
        subject_id=entry.subject_id,
        based_on=entry.id,
    )
    with bench.store.reading() as reader:
        ((_, run, stale),) = runs_in(reader, dossier_id)
    assert stale == "stale, because mark 1 changed on 2026-03-02"
    assert run.computation == "fill.volume"


def test_nothing_is_kept_where_no_volume_can_be_told(bench, author, dossier_id, view_id) -> None:
    record_mark(bench, author, dossier_id, crack(view_id))
    with pytest.raises(MissingEvidenceError, match="No fill volume can be told yet"):
        record_fills(bench, author, dossier_id)
