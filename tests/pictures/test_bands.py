"""Chances as bands: on one axis, whose they are told by name and hatch, never never or always."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

import pytest

from softmend.errors import InputError
from softmend.pictures.bands import BandGroup, BandRow, bands_svg, bands_words, percent
from tests.pictures.seeing import matrices, rendered, seen_grey

SVG = "{http://www.w3.org/2000/svg}"
GROUP = BandGroup(
    "The fill that is in: resin",
    (
        BandRow("the fill gives", 0.0, 0.0, 20.0, 4.0),
        BandRow("the object, walls", 10.0, 40.0, 90.0, 45.0, is_object=True),
        BandRow("nothing gives", 0.0, 30.0, 80.0, 51.0, is_nothing=True),
    ),
)


def boxes() -> list[tuple[float, float, str]]:
    drawn = ElementTree.fromstring(bands_svg([GROUP]))
    return [
        (float(node.get("x", 0)), float(node.get("width", 0)), node.get("fill", ""))
        for node in drawn.iter(f"{SVG}rect")
    ]


def test_bands_lie_on_one_axis_of_percent() -> None:
    wide = {fill: (x, width) for x, width, fill in boxes()}
    hatched, bare = wide["url(#bands-object)"], wide["#ffffff"]
    per = bare[1] / 80.0
    assert hatched[1] == pytest.approx(80 * per, abs=0.1)
    assert hatched[0] - bare[0] == pytest.approx(10 * per, abs=0.1)


def test_each_row_has_its_name_and_its_number_and_the_objects_its_hatch() -> None:
    svg = bands_svg([GROUP])
    for words in ("resin", "the fill gives", "45 %", "51 %", "5 to 95 %", "middle", "mean of all"):
        assert words in svg
    assert sum(fill == "url(#bands-object)" for _, _, fill in boxes()) == 1


def test_no_chance_is_told_as_never_or_always() -> None:
    assert (percent(0.0), percent(0.99), percent(45.4), percent(99.9)) == (
        "below 1 %", "below 1 %", "45 %", "above 99 %",
    )  # fmt: skip
    assert "the fill gives 4 % on average, 5 to 95 % below 1 % to 20 %" in bands_words([GROUP])


def test_the_objects_band_stands_apart_in_grey_and_for_every_eye() -> None:
    drawn = rendered(bands_svg([GROUP]), 620.0, "#faf8f3")
    # Two pixels a unit: inside the object's band, hatched, and inside the fill's, plain.
    hatched, plain = drawn[180:198, 700:960], drawn[126:144, 420:480]
    for sight in matrices().values():
        assert seen_grey(plain, sight).std() < 0.01
        assert seen_grey(hatched, sight).std() > 0.05


def test_a_chart_of_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="There is no chance to draw"):
        bands_svg([])
