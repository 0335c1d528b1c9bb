"""Widths of a drawn crack of known width, kept as a run, put on the mark; tracing it twice."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from PIL import Image

from softmend.errors import InputError
from softmend.records.mark import Geometry, Shape
from softmend.services.examine.marks import record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.examine.views import import_photograph
from softmend.services.examine.widths import (
    MEASURED_WITH,
    BlurWay,
    measure_width,
    put_on_mark,
    second_tracing,
    trace_again,
    width_kept,
)
from softmend.services.recording import current_record
from tests.services.conftest import crack
from tests.services.examine.test_quantities import SCALE

WIDE_PX, BLUR_PX = 6.0, 1.2
EDGE = BlurWay(is_by_markers=False, edge_px=(700.5, 40.0, 700.5, 360.0))


def as_coded(light: np.ndarray) -> np.ndarray:
    """Return sRGB code values of linear light (IEC 61966-2-1)."""
    low = 12.92 * light
    high = 1.055 * np.power(np.maximum(light, 1e-6), 1 / 2.4) - 0.055
    return 255 * np.where(light <= 0.0031308, low, high)


@pytest.fixture
def view_id(bench, author, dossier_id, tmp_path) -> str:
    """A slot of 6 px that narrows to 1 px, beside a straight edge; blurred in linear light."""
    light = np.full((400, 800), 0.5)
    light[:, 700:] = 0.05
    fine = np.repeat(np.repeat(light, 10, axis=0), 10, axis=1).astype(np.float32)
    fine[1970:2030, 400:4000] = 0.02
    fine[1995:2005, 4000:6500] = 0.02
    sensed = cv2.resize(fine, (800, 400), interpolation=cv2.INTER_AREA)
    blurred = cv2.GaussianBlur(sensed, (0, 0), BLUR_PX).astype(float)
    coded = as_coded(blurred) + np.random.default_rng(4).normal(0, 1.5, blurred.shape)
    path = tmp_path / "slot.png"
    Image.fromarray(np.clip(coded, 0, 255).round().astype(np.uint8)).convert("RGB").save(path)
    return import_photograph(bench, author, dossier_id, path, "slot.png").subject_id


@pytest.fixture
def mark_id(bench, author, dossier_id, view_id) -> str:
    line = crack(view_id, (60.0, 201.0), (380.0, 199.5), (640.0, 200.0))
    return record_mark(bench, author, dossier_id, line).subject_id


@pytest.fixture
def scaled(bench, author, dossier_id, view_id) -> None:
    set_scale(bench, author, dossier_id, view_id, SCALE, based_on="")


def kept(bench, dossier_id, mark_id, view_id):
    with bench.store.reading() as reader:
        return width_kept(reader, dossier_id, mark_id, view_id)


@pytest.fixture
def measured(bench, author, dossier_id, mark_id, view_id, scaled):
    measure_width(bench, author, dossier_id, mark_id, view_id, EDGE)
    return kept(bench, dossier_id, mark_id, view_id)


def test_a_slot_of_6_px_is_read_and_its_narrow_part_is_only_narrower(measured) -> None:
    wide = [one for one in measured.run.outputs["stretches"] if one["to_px"] < 300]
    fine = [one for one in measured.run.outputs["stretches"] if one["from_px"] > 380]
    assert wide
    assert fine
    for one in wide:
        assert abs(one["median_px"] - WIDE_PX) <= 0.15
        # 10 px to the millimetre.
        assert abs(one["width_mm"]["mean"] - WIDE_PX / 10) < one["width_mm"]["expanded"] + 0.015
    assert all(one["median_px"] is None for one in fine)
    assert all("≤" in one["text"] or "narrower" in one["text"] for one in fine)


def test_the_widths_stand_on_the_mark_with_method_and_version(
    bench, author, dossier_id, mark_id, view_id, measured
) -> None:
    with bench.store.reading() as reader:
        entry, _mark = current_record(reader, dossier_id, "mark", mark_id)
    for _ in range(2):
        entry = put_on_mark(bench, author, dossier_id, mark_id, view_id, entry.id)
    with bench.store.reading() as reader:
        _entry, mark = current_record(reader, dossier_id, "mark", mark_id)
    numbers = [one for one in measured.run.outputs["stretches"] if one["width_mm"]]
    # Twice put is once there.
    assert len(mark.widths) == len(numbers)
    assert all(one.measured_with == f"{MEASURED_WITH}, view 1" for one in mark.widths)
    assert kept(bench, dossier_id, mark_id, view_id).stale == ""


def test_a_line_drawn_anew_makes_the_widths_stale(
    bench, author, dossier_id, mark_id, view_id, measured
) -> None:
    with bench.store.reading() as reader:
        entry, mark = current_record(reader, dossier_id, "mark", mark_id)
    moved = replace(mark, sightings=crack(view_id, (60.0, 90.0), (300.0, 90.0)).sightings)
    entry = record_mark(
        bench, author, dossier_id, moved, subject_id=mark_id, based_on=entry.id
    )  # fmt: skip
    assert "stale, because mark 1 changed" in kept(bench, dossier_id, mark_id, view_id).stale
    with pytest.raises(InputError, match="no widths that still hold"):
        put_on_mark(bench, author, dossier_id, mark_id, view_id, entry.id)


def test_without_a_scale_there_is_nothing_to_put_on_the_mark(
    bench, author, dossier_id, mark_id, view_id
) -> None:
    measure_width(bench, author, dossier_id, mark_id, view_id, EDGE)
    found = kept(bench, dossier_id, mark_id, view_id)
    assert any("millimetres" in one for one in found.run.outputs["warnings"])
    with bench.store.reading() as reader:
        entry, _mark = current_record(reader, dossier_id, "mark", mark_id)
    with pytest.raises(InputError, match="No stretch is wide enough"):
        put_on_mark(bench, author, dossier_id, mark_id, view_id, entry.id)


def test_a_blur_that_is_not_known_is_said(bench, author, dossier_id, mark_id, view_id) -> None:
    measure_width(
        bench, author, dossier_id, mark_id, view_id, BlurWay(is_by_markers=False)
    )  # fmt: skip
    said = " ".join(kept(bench, dossier_id, mark_id, view_id).run.outputs["warnings"])
    assert "No edge was measured" in said


def test_tracing_twice_shows_the_spread_of_the_hand(
    bench, author, dossier_id, mark_id, view_id
) -> None:
    again = Geometry(Shape.LINE, (((70.0, 203.0), (380.0, 201.5), (640.0, 202.0)),))
    for _ in range(2):
        trace_again(bench, author, dossier_id, mark_id, view_id, again)
    with bench.store.reading() as reader:
        found = second_tracing(reader, mark_id, view_id)
    assert found is not None
    # 2 px apart is 2/√2 for one tracing (JCGM 100, 4.2).
    assert abs(found.sideways_sd_px - 2 / np.sqrt(2)) < 0.1
    assert abs(found.start_apart_px - np.hypot(10, 2)) < 0.5
