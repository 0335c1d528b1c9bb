"""Openings, layers and joins as drawings: to scale, labelled, and refused when there is nothing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from softmend.errors import InputError
from softmend.pictures.join_drawing import JoinDrawing, StrengthBand, join_svg, join_words
from softmend.pictures.layers import DrawnLayer, PlaneBands, layers_svg, layers_words
from softmend.pictures.layers_patterns import pattern_named, pattern_svg, pattern_words
from softmend.pictures.openings import OpeningBand, openings_svg, openings_words
from softmend.science.film.energy import Pattern

SVG = "{http://www.w3.org/2000/svg}"
MODEL = OpeningBand("Modelled", -0.9, 0.1, 0.8, "0.1 ± 1.2 mm", False)
READ = OpeningBand("Measured", 0.10, 0.126, 0.15, "0.126 ± 0.029 mm", True)


def parts(svg: str, tag: str) -> list[ElementTree.Element]:
    return ElementTree.fromstring(svg).findall(f".//{SVG}{tag}")


def bars(svg: str) -> list[tuple[float, float]]:
    """Return left end and width of each outlined bar."""
    drawn = [one for one in parts(svg, "rect") if one.get("stroke")]
    return [(float(one.get("x", "0")), float(one.get("width", "0"))) for one in drawn]


def test_both_openings_stand_on_one_axis() -> None:
    svg = openings_svg([MODEL, READ])
    (left, wide), (inner, narrow) = bars(svg)
    assert wide / narrow == pytest.approx(1.7 / 0.05, rel=0.01)
    assert left < inner < inner + narrow < left + wide
    said = " ".join(one.text or "" for one in parts(svg, "text"))
    assert "closes" in said
    assert "opens" in said
    assert openings_words([MODEL, READ]).count("mm") == 2


def test_a_crack_that_only_opens_has_no_closing_side() -> None:
    said = " ".join(one.text or "" for one in parts(openings_svg([READ]), "text"))
    assert "closes" not in said


def layers(*thicknesses: float | None) -> list[DrawnLayer]:
    names = ("coating", "patina", "body")
    return [DrawnLayer(name, one) for name, one in zip(names, thicknesses, strict=False)]


def plane(name: str, *, is_weakest: bool = False) -> PlaneBands:
    return PlaneBands(name, (0.3, 1.5, 7), (0.7, 4, 19), "hardly", is_weakest)


def test_layers_are_drawn_to_scale() -> None:
    planes = [plane("a"), plane("b", is_weakest=True), plane("c")]
    svg = layers_svg(layers(60, 30, None), planes)
    heights = [
        float(one.get("height", "0"))
        for one in parts(svg, "rect")
        if one.get("x") == "0" and one.get("stroke")
    ]
    assert heights[0] / heights[1] == pytest.approx(2.0, rel=0.01)
    assert "b: energy 1.5 (0.3 to 7), hold 4 (0.7 to 19) J/m²; hardly." in layers_words(
        layers(60, 30, None), planes
    )


def test_every_way_of_giving_has_a_drawing_and_words() -> None:
    drawn = {pattern_svg(one) for one in Pattern}
    assert len(drawn) == len(Pattern) == len({pattern_words(one) for one in Pattern})
    assert pattern_named("peeling that runs on") is Pattern.PEEL


@pytest.mark.parametrize(
    ("angle", "words"),
    [(0, "points 0° below"), (-45, "points 45° above"), (90, "hangs down"), (-90, "stands on")],
)
def test_a_join_is_drawn_at_its_angle(angle: float, words: str) -> None:
    asked = StrengthBand("The weight asks for", (0.6, 1.4, 8.4), "1.4 MPa", is_asked=True)
    drawn = JoinDrawing(100, 30, angle, "420 g", "100 mm", (asked,))
    svg = join_svg(drawn)
    assert words in join_words(drawn)
    # Nothing of the piece leaves the left half of the picture.
    paths = " ".join(one.get("d", "") for one in parts(svg, "path") if one.get("fill") != "none")
    places = [float(one) for one in re.findall(r"[ML](-?[\d.]+)", paths)]
    assert all(-1 <= x <= 301 for x in places)


@pytest.mark.parametrize(
    ("draw", "words"),
    [
        (lambda: openings_svg([]), "There is no opening to draw"),
        (lambda: layers_svg(layers(60), [plane("a")]), "A stack needs a coating, a body"),
        (lambda: pattern_named("melting"), "There is no such way of giving"),
        (lambda: join_svg(JoinDrawing(1, 0, 0, "", "", ())), "A join without a height"),
    ],
)
def test_what_cannot_be_drawn_is_refused(draw, words: str) -> None:
    with pytest.raises(InputError, match=words):
        draw()
