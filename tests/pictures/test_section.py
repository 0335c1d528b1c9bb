"""A crack in section: one scale for both directions, readable in grey, and said in words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest

from softmend.errors import InputError
from softmend.pictures.section import AtDepth, SectionDrawing, section_svg, section_words

SVG = "{http://www.w3.org/2000/svg}"
DRAWN = SectionDrawing(
    depth_mm=8.0,
    width_mm=1.0,
    radius_mm=33.0,
    fill="pulp",
    pull=(AtDepth(0.5, 2.0), AtDepth(4.0, 1.0), AtDepth(7.5, 0.4)),
    pull_lines=("pull on the walls", "1.3 (0.5 to 2.9) MPa"),
    opening_lines=("empty, it would open by", "0.06 (0.01 to 0.16) mm"),
    tip_lines=("at its tip", "0.4 (0.1 to 3.0) MPa m^0.5", "hardly shielded"),
)


def tree(drawn: SectionDrawing) -> ElementTree.Element:
    """Return the picture as a tree; what is not well formed fails here."""
    return ElementTree.fromstring(section_svg(drawn))


def crack(drawn: SectionDrawing) -> list[tuple[float, float]]:
    """Return the corners of the crack: the path that is hatched, or white when it is open."""
    wanted = "url(#section-fill)" if drawn.fill else "#ffffff"
    path = next(node for node in tree(drawn).iter(f"{SVG}path") if node.get("fill") == wanted)
    numbers = [float(text) for text in re.findall(r"-?[\d.]+", path.get("d", ""))]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


@pytest.mark.parametrize(("depth", "width"), [(8.0, 1.0), (20.0, 2.0), (3.0, 2.5)])
def test_depth_and_width_are_drawn_to_one_scale(depth: float, width: float) -> None:
    corners = crack(replace(DRAWN, depth_mm=depth, width_mm=width))
    wide = corners[1][0] - corners[0][0]
    # The mouth stands two units proud of the surface, so that its edge is seen.
    deep = corners[2][1] - corners[0][1] - 2
    assert wide / deep == pytest.approx(width / depth, rel=0.01)


def test_the_scale_bar_is_as_long_as_it_says() -> None:
    corners = crack(DRAWN)
    per_mm = (corners[2][1] - corners[0][1] - 2) / 8.0
    bar = next(node.get("d", "") for node in tree(DRAWN).iter(f"{SVG}path")
               if re.fullmatch(r"M12 [\d.]+v6h[\d.]+v-6", node.get("d", "")))  # fmt: skip
    said = next(node.text or "" for node in tree(DRAWN).iter(f"{SVG}text")
                if re.fullmatch(r"[\d.]+ mm", node.text or ""))  # fmt: skip
    drawn = re.search(r"h([\d.]+)", bar)
    assert drawn is not None
    long = float(drawn[1])
    assert long / per_mm == pytest.approx(float(said.split()[0]), rel=0.01)


def test_the_round_surface_falls_away_as_the_radius_says() -> None:
    rim = next(node.get("d", "") for node in tree(DRAWN).iter(f"{SVG}path")
               if node.get("fill") == "none" and node.get("stroke-width") == "2.4")  # fmt: skip
    points = [float(text) for text in re.findall(r"-?[\d.]+", rim)]
    corners = crack(DRAWN)
    per_mm = (corners[2][1] - corners[0][1] - 2) / 8.0
    away = (points[-2] - 210.0) / per_mm
    drop = (points[-1] - 46.0) / per_mm
    assert drop == pytest.approx(33.0 - (33.0**2 - away**2) ** 0.5, rel=0.01)


def test_a_fill_is_hatched_and_an_open_crack_is_bare_without_arrows() -> None:
    assert list(tree(DRAWN).iter(f"{SVG}pattern"))
    warm = [node for node in tree(DRAWN).iter(f"{SVG}line") if node.get("stroke") == "#b4491a"]
    assert len(warm) == 12
    opened = replace(DRAWN, fill="")
    bare = [node for node in tree(opened).iter(f"{SVG}line") if node.get("stroke") == "#b4491a"]
    assert bare == []
    assert "open, without a fill" in section_svg(opened)


def test_the_pull_is_drawn_longer_where_it_is_greater() -> None:
    warm = [node for node in tree(DRAWN).iter(f"{SVG}line") if node.get("stroke") == "#b4491a"]
    lengths = [abs(float(node.get("x2", 0)) - float(node.get("x1", 0))) for node in warm[::2]]
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[0] > 2 * lengths[-1]


def test_what_is_drawn_is_also_said() -> None:
    said = section_words(DRAWN)
    assert said.startswith(
        "Section to scale: a crack 8 mm deep and 1 mm wide at the mouth, narrowing to its tip, in "
        "a shaft of 33 mm radius, filled with pulp."
    )
    for line in (*DRAWN.pull_lines, *DRAWN.opening_lines, *DRAWN.tip_lines):
        assert line in said
    assert "in a flat side, open" in section_words(replace(DRAWN, radius_mm=None, fill=""))


def test_a_crack_without_depth_is_refused() -> None:
    with pytest.raises(InputError, match="without depth or width has no section; got 0 by 1 mm"):
        section_svg(replace(DRAWN, depth_mm=0.0))
