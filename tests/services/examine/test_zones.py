"""Zones: exactly one body per place, shared vertices, and tone never on original (rule 7)."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest
from shapely.geometry import Polygon
from shapely.ops import unary_union

from softmend.errors import RuleError
from softmend.records.kinds import record_in
from softmend.records.passing import Passed
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.services.examine.scales import set_scale
from softmend.services.examine.zones import (
    ToneOnOriginalError,
    record_body_zone,
    record_on_zone,
    zones_on_view,
)
from softmend.services.passing import pass_rule


def box(left: float, top: float, right: float, bottom: float):
    return (((left, top), (right, top), (right, bottom), (left, bottom)),)


def body(view_id: str, rings, kind: Body = Body.ORIGINAL) -> BodyZone:
    return BodyZone(0, view_id, kind, rings, accuracy_px=3.0)


def tone(view_id: str, rings) -> OnZone:
    return OnZone(0, view_id, OnIt.NEW_TONE, rings, accuracy_px=3.0)


def polygons(bench, dossier_id, view_id) -> list[Polygon]:
    with bench.store.reading() as reader:
        zones, _ = zones_on_view(reader, dossier_id, view_id)
    return [Polygon(zone.rings[0], zone.rings[1:]) for _, zone in zones]


def test_a_new_body_zone_is_cut_against_its_neighbours_and_the_partition_is_exact(
    bench, author, dossier_id, view_id
) -> None:
    record_body_zone(bench, author, dossier_id, body(view_id, box(10, 10, 200, 200)))
    slanted = (((150.0, 20.0), (390.0, 47.3), (333.3, 400.0), (20.0, 190.0)),)
    record_body_zone(bench, author, dossier_id, body(view_id, slanted, Body.OLD_KEPT))
    pieces = polygons(bench, dossier_id, view_id)
    whole = unary_union([Polygon(box(10, 10, 200, 200)[0]), Polygon(slanted[0])])
    # Snapping to the 0.01 px grid moves an edge by at most 0.01 px along its length.
    assert sum(piece.area for piece in pieces) == pytest.approx(whole.area, abs=0.01 * whole.length)
    for index, one in enumerate(pieces):
        for other in pieces[index + 1 :]:
            assert one.intersection(other).area == 0.0


def test_a_zone_that_is_cut_in_two_gives_two_zones_with_numbers_of_their_own(
    bench, author, dossier_id, view_id
) -> None:
    record_body_zone(bench, author, dossier_id, body(view_id, box(100, 10, 120, 300)))
    entries = record_body_zone(
        bench, author, dossier_id, body(view_id, box(20, 100, 220, 160), Body.UNCERTAIN)
    )
    numbers = [record_in(entry).number for entry in entries]
    assert sorted(numbers) == [1, 2, 3]
    with bench.store.reading() as reader:
        zones, _ = zones_on_view(reader, dossier_id, view_id)
    assert [zone.body for _, zone in zones] == [Body.ORIGINAL, Body.UNCERTAIN, Body.UNCERTAIN]


def test_tone_on_original_is_refused_and_nothing_is_written(
    bench, author, dossier_id, view_id
) -> None:
    record_body_zone(bench, author, dossier_id, body(view_id, box(10, 10, 200, 200)))
    with pytest.raises(RuleError, match="lies over original zone Z1 by up to") as refused:
        record_on_zone(bench, author, dossier_id, tone(view_id, box(150, 50, 300, 150)))
    assert refused.value.rule == 7
    with bench.store.reading() as reader:
        assert reader.current(dossier_id, "on_zone") == []


def test_an_overlap_is_told_in_mm_where_a_scale_is_set_and_a_pass_outlives_the_scale(
    bench, author, dossier_id, view_id
) -> None:
    record_body_zone(bench, author, dossier_id, body(view_id, box(10, 10, 200, 200)))
    drawn = tone(view_id, box(150, 50, 300, 150))
    with pytest.raises(ToneOnOriginalError, match=r"by up to 50\.0 px") as before:
        record_on_zone(bench, author, dossier_id, drawn)
    bar = {
        "method": "two_clicks", "end_a_px": [[10.0, 40.0]], "end_b_px": [[110.0, 40.0]],
        "length_mm": {"value": {"value": 50.0, "expanded": 0.5}},
    }  # fmt: skip
    set_scale(bench, author, dossier_id, view_id, bar, based_on="")
    with pytest.raises(ToneOnOriginalError, match="by up to 25 mm, where the drawing is exact to"):
        record_on_zone(bench, author, dossier_id, drawn)
    # A pass in the words from before the scale is a pass of the same overlap.
    passed = Passed(7, before.value.about[0], "a bridge of tone", "H. Head")
    pass_rule(bench, author, dossier_id, passed)
    record_on_zone(bench, author, dossier_id, drawn)
    with bench.store.reading() as reader:
        assert len(reader.current(dossier_id, "on_zone")) == 1


def test_tone_that_touches_within_the_accuracy_of_the_drawing_is_taken(
    bench, author, dossier_id, view_id
) -> None:
    record_body_zone(bench, author, dossier_id, body(view_id, box(10, 10, 200, 200)))
    record_on_zone(bench, author, dossier_id, tone(view_id, box(198, 50, 300, 150)))
    with bench.store.reading() as reader:
        assert len(reader.current(dossier_id, "on_zone")) == 1


def test_original_cannot_be_drawn_under_tone_afterwards(bench, author, dossier_id, view_id) -> None:
    record_on_zone(bench, author, dossier_id, tone(view_id, box(150, 50, 300, 150)))
    with pytest.raises(RuleError, match="lies under the tone of zone SZ1"):
        record_body_zone(bench, author, dossier_id, body(view_id, box(10, 10, 200, 200)))
