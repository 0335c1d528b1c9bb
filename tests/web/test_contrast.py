"""Text keeps 4.5 and marks keep 3 against their ground, in daylight, in a dark room, without red.

The ratio is that of the Web Content Accessibility Guidelines 2.2 (relative luminance of sRGB),
written out here; black on white gives 21, mid grey 767676 on white 4.54 (both recalled).
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from pathlib import Path

import pytest

SHEETS = Path(__file__).parents[2] / "src" / "softmend" / "web" / "static" / "css"
MODES = (":root", ':root[data-mode="dim"]', ':root[data-mode="dim"][data-red="free"]')
TEXT = (
    ("ink", "ground"), ("ink", "sheet"), ("ink", "raised"), ("ink", "accent-soft"),
    ("ink-2", "ground"), ("ink-2", "sheet"), ("ink-2", "raised"),
    ("accent", "ground"), ("accent", "sheet"), ("on-accent", "accent-fill"),
    ("on-warm", "warm-soft"), ("on-warm", "sheet"), ("on-mat", "mat"),
)  # fmt: skip
MARKS = (
    ("edge", "sheet"), ("edge", "ground"), ("accent", "accent-soft"), ("warm", "warm-soft"),
    ("warm", "sheet"), ("halo", "core"), ("halo", "mat"), ("draft", "halo"), ("chosen", "core"),
)  # fmt: skip


def tokens(mode: str) -> dict[str, tuple[int, int, int]]:
    """Return the colours that hold in a mode: its own over those of the modes it builds on."""
    text = (SHEETS / "tokens.css").read_text(encoding="utf-8")
    held: dict[str, tuple[int, int, int]] = {}
    for selector in MODES[: MODES.index(mode) + 1]:
        block = re.search(rf"^{re.escape(selector)} \{{(.*?)^\}}", text, re.DOTALL | re.MULTILINE)
        assert block is not None, selector
        for name, digits in re.findall(r"--([\w-]+): #([0-9a-f]{6});", block[1]):
            red, green, blue = bytes.fromhex(digits)
            held[name] = (red, green, blue)
    return held


def luminance(colour: tuple[int, int, int]) -> float:
    """Return the relative luminance of an sRGB colour."""
    linear = [
        value / 12.92 if (value := part / 255) <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
        for part in colour
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def ratio(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    """Return the contrast ratio of two colours."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_ratio_is_the_known_one() -> None:
    assert ratio((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert ratio((0x76, 0x76, 0x76), (255, 255, 255)) == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize(("text", "ground"), TEXT)
def test_text_is_readable(mode: str, text: str, ground: str) -> None:
    held = tokens(mode)
    assert ratio(held[text], held[ground]) >= 4.5


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize(("mark", "ground"), MARKS)
def test_marks_and_edges_are_seen(mode: str, mark: str, ground: str) -> None:
    held = tokens(mode)
    assert ratio(held[mark], held[ground]) >= 3


@pytest.mark.parametrize("mode", MODES[1:])
def test_nothing_in_a_dark_room_is_brighter_than_60_percent(mode: str) -> None:
    assert {name for name, colour in tokens(mode).items() if max(colour) > 0.6 * 255} == set()


def test_no_sheet_writes_a_colour_of_its_own_on_the_screen() -> None:
    """A colour outside the tokens would not change in a dark room."""
    for sheet in ("frame", "parts", "forms", "viewer"):
        text = (SHEETS / f"{sheet}.css").read_text(encoding="utf-8")
        assert re.findall(r"#[0-9a-fA-F]{3,8}\b(?!viewer)", text.replace("#viewer", "")) == []
