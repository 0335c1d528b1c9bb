"""Tracing with help, on a drawn crack brought in like any photograph."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import time
from dataclasses import replace

import cv2
import numpy as np
import pytest
from PIL import Image

from softmend.errors import InputError
from softmend.records.mark import BY_HAND, Geometry, Shape, Sighting
from softmend.services.examine.drawn import MOVED, moved_by_hand, traced_sighting
from softmend.services.examine.quantities import Scaled, mark_quantities
from softmend.services.examine.tracing import make_ready, traced
from softmend.services.examine.views import import_photograph
from softmend.services.recording import current_record
from tests.services.conftest import crack
from tests.services.examine.test_quantities import SCALE


def wavy(x: np.ndarray) -> np.ndarray:
    """Return where the drawn crack lies."""
    return 200 + 30 * np.sin(x / 60)


@pytest.fixture
def view(bench, author, dossier_id, tmp_path):
    x = np.arange(40, 560)
    fine = np.full((1600, 2400), 170, dtype=np.uint8)
    line = (np.column_stack([x, wavy(x)]) * 4 * 16).astype(np.int32)
    cv2.polylines(fine, [line], False, 60, 10, shift=4)
    grey = cv2.resize(fine, (600, 400), interpolation=cv2.INTER_AREA).astype(float)
    grey += np.random.default_rng(3).normal(0, 3, grey.shape)
    path = tmp_path / "crack.png"
    Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8)).convert("RGB").save(path)
    entry = import_photograph(bench, author, dossier_id, path, "crack.png")
    with bench.store.reading() as reader:
        return current_record(reader, dossier_id, "view", entry.subject_id)[1]


def test_the_line_follows_the_crack_between_two_clicks(bench, view) -> None:
    found = traced(bench, view, [[60, 222], [540, wavy(np.array(540.0))]])
    line = np.array(found.line_px)
    assert np.median(np.abs(line[:, 1] - wavy(line[:, 0]))) < 0.7
    assert found.weak_percent == 0
    # Few enough to be moved by hand.
    assert 8 < len(line) < 120


def test_where_there_is_no_crack_the_stretch_is_weak(bench, view) -> None:
    found = traced(bench, view, [[300, 320], [500, 340]])
    assert found.weak_percent > 50
    assert any(part.is_weak for part in found.parts)


def test_stretches_join_to_the_whole_line(bench, view) -> None:
    found = traced(bench, view, [[60, 222], [300, 330], [540, 212]])
    assert len(found.parts) > 1
    joined = [at for part in found.parts for at in part.line_px]
    assert set(joined) == set(found.line_px)
    assert found.line_px[0] == found.parts[0].line_px[0]


def test_once_ready_an_answer_takes_less_than_150_ms(bench, view) -> None:
    make_ready(bench, view)
    traced(bench, view, [[60, 222], [540, 212]])
    began = time.process_time()
    traced(bench, view, [[62, 222], [540, 212]])
    assert time.process_time() - began < 0.15


def test_a_click_outside_is_refused_in_a_sentence(bench, view) -> None:
    with pytest.raises(InputError, match="An anchor lies outside the picture"):
        traced(bench, view, [[60, 222], [900, 200]])


LINE = Geometry(Shape.LINE, (((10.0, 10.0), (200.0, 40.0)),))


def test_a_traced_line_says_how_it_was_drawn_and_how_far_off_it_may_lie() -> None:
    seen = traced_sighting("view-1", LINE)
    assert seen.drawn_how == "traced with help, version 1"
    assert seen.drawn_sd_px == 0.7


def test_a_traced_line_that_was_moved_says_so_once() -> None:
    seen = moved_by_hand(moved_by_hand(traced_sighting("view-1", LINE), LINE), LINE)
    assert seen.drawn_how.count(MOVED) == 1
    assert moved_by_hand(Sighting("view-1", LINE), LINE).drawn_how == BY_HAND


def test_the_length_carries_the_spread_of_the_traced_points() -> None:
    scaled = {"view-1": Scaled("entry", SCALE)}
    by_hand = crack("view-1")
    helped = replace(by_hand, sightings=(traced_sighting("view-1", LINE),))
    wide = mark_quantities(by_hand, scaled)[0]
    narrow = mark_quantities(helped, scaled)[0]
    assert wide.mean is not None
    assert narrow.expanded < wide.expanded
