"""The bar of what nothing may press: every stretch numbered, none over another's number."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from xml.etree import ElementTree

from softmend.pictures.stretches_along import LEFT, RIGHT, WIDTH, stretches_along

STRETCHES = [(7.8, 24.7), (20.0, 40.0), (60.0, 60.0), (90.0, 100.0)]


def test_each_stretch_stands_where_it_is_and_has_its_number() -> None:
    svg = stretches_along(STRETCHES, [30.8, 80.0])
    ElementTree.fromstring(svg)
    body, *found = re.findall(r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', svg)
    inside = WIDTH - LEFT - RIGHT
    assert float(body[0]) == LEFT
    assert float(body[1]) == inside
    for (x, wide), (low, high) in zip(found, STRETCHES, strict=True):
        assert abs(float(x) - (LEFT + inside * low / 100)) < 0.05
        assert abs(float(wide) - max(inside * (high - low) / 100, 1.5)) < 0.05
    words = re.findall(r">([^<]+)</text>", svg)
    assert words == ["1", "2", "3", "4", "0 %", "25 %", "50 %", "75 %", "100 %"]
    assert svg.count("h14z") == 2


def test_brackets_that_meet_stand_on_two_rows() -> None:
    lone, both = (stretches_along(STRETCHES[:count], []) for count in (1, 2))
    heights = [float(re.findall(r'viewBox="0 0 600 ([\d.]+)"', svg)[0]) for svg in (lone, both)]
    assert heights[1] > heights[0]
    rows = re.findall(r'<path d="M[\d.]+ ([\d.]+)v-5', both)
    assert rows[0] != rows[1]
