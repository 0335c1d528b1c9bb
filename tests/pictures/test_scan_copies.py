"""The display copy is a plain GLB that our own reader takes; a still is a whole PNG."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from softmend.intake.scan import read_scan
from softmend.pictures.display_glb import MOST_STEP, display_glb
from softmend.pictures.scan_still import (
    COME,
    GONE,
    PAPER,
    DrawnLine,
    DrawnPoint,
    change_png,
    grey_png,
    still_svg,
)
from softmend.report.blocks import Figure
from softmend.report.docx_figures import figure_picture
from tests.house.sources import ROOT
from tests.science.solid.bodies import bone

BONE = bone(40, 16)


def test_the_copy_comes_back_within_half_a_step_and_keeps_its_place(tmp_path: Path) -> None:
    points = 1e3 * BONE.points + [17_000, 0, 0]
    path = tmp_path / "copy.glb"
    path.write_bytes(display_glb(points, BONE.faces))
    found = read_scan(path)
    step = np.ptp(points, axis=0).max() / 2 / MOST_STEP
    assert np.abs(found.points - points).max() < 0.51 * step
    assert (found.faces == BONE.faces).all()


def test_a_still_is_a_png_of_its_size_and_paper_where_nothing_is() -> None:
    brightness = np.zeros((20, 30))
    brightness[5:10, 5:10] = 0.8
    picture = Image.open(io.BytesIO(grey_png(brightness)))
    assert picture.size == (30, 20)
    assert picture.getpixel((0, 0)) == (250, 248, 243)
    assert picture.getpixel((7, 7)) == (164, 145, 110)


def test_what_stands_on_a_still_is_named_and_escaped() -> None:
    svg = still_svg(
        (30, 20),
        [DrawnLine("<1>", ((1, 1), (5, 5)), is_forbidden=True)],
        [DrawnPoint("P1", (3, 3), is_pad=True), DrawnPoint("G", (4, 4))],
        (10.0, "50 mm"),
        grey_png(np.zeros((20, 30))),
    )
    words = [one.text for one in ElementTree.fromstring(svg).iter() if one.text]
    assert {"<1>", "P1", "G", "50 mm"} <= set(words)


def test_a_change_is_told_by_colour_and_by_mark_and_within_the_level_by_neither() -> None:
    bright = np.ones((200, 300))
    bright[:, :30] = 0.0
    mm = np.zeros((200, 300))
    mm[:80, 100:200], mm[:80, 200:] = -1.0, 1.0
    with Image.open(io.BytesIO(change_png(bright, mm, 0.3, 1.0))) as picture:
        pixels = np.asarray(picture.convert("RGB"), dtype=int)
    grey = pixels.sum(axis=2)
    within, gone, come = grey[:80, 40:100], grey[:80, 100:200], grey[:80, 200:]
    assert len(np.unique(within)) == 1
    assert {tuple(one) for one in pixels[:80, 100:200].reshape(-1, 3).tolist()} >= {GONE}
    assert {tuple(one) for one in pixels[:80, 200:].reshape(-1, 3).tolist()} >= {COME}
    # Hatch and dots stand out in grey too, each in its own way.
    for part, share in ((gone, 1 / 6), (come, 9 / 64)):
        assert (part > part.min() + 60).mean() == pytest.approx(share, abs=0.02)
    # Past the object and at the foot, where the legend stands, is paper.
    assert (pixels[:, :30] == PAPER).all()
    assert (pixels[180:] == PAPER).all()
    drawn = still_svg((300, 200), change=(0.3, 1.0))
    assert "gone, up to −1 mm" in drawn
    assert "within ± 0.3 mm: nothing is claimed" in drawn


def test_the_words_on_a_still_stand_in_a_document_too() -> None:
    named = still_svg((300, 200), points=[DrawnPoint("P1", (150.0, 100.0), is_pad=True)])
    fonts = ROOT / "src" / "softmend" / "web" / "static" / "fonts"
    inks = []
    for svg in (named, named.replace(">P1<", "><")):
        figure = Figure("", svg, 60.0, 40.0, "", "", "", "")
        with Image.open(io.BytesIO(figure_picture(figure, b"", fonts))) as picture:
            inks.append(int((np.asarray(picture.convert("LA"))[..., 1] > 0).sum()))
    assert inks[0] > inks[1] + 100
