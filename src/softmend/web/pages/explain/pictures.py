"""From what was computed of a crack to its section and the chart of who gives first."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from softmend.pictures.bands import bands_svg, bands_words
from softmend.pictures.section import section_svg, section_words
from softmend.services.explain.binding import Bound
from softmend.services.explain.crack import FillOn, Role
from softmend.services.explain.crack_drawing import groups_of, section_drawing
from softmend.services.explain.what_if import Tried, with_tried
from softmend.web.words import said as _


@dataclass(frozen=True)
class Picture:
    """A picture as SVG and in words."""

    svg: str
    words: str


def section_of(bound: Bound, shown: FillOn | None, tried: Tried | None = None) -> Picture:
    """Return a crack in section with one of its fills, or open."""
    crack = with_tried(bound.payload, tried or Tried())["crack"]
    if shown is None:
        drawn = section_drawing(crack)
    else:
        drawn = section_drawing(crack, shown.name, shown.sharing, shown.giving)
    return Picture(section_svg(drawn), section_words(drawn))


def chart_of(fills: Sequence[FillOn]) -> Picture:
    """Return the chart of who gives first with each fill."""
    titles = {Role.OLD: _("The fill that is in"), Role.NEW: _("The fill proposed")}
    told = [
        (f"{titles[one.role]}: {one.name}", one.giving) for one in fills if one.giving is not None
    ]
    groups = groups_of(told)
    return Picture(bands_svg(groups), bands_words(groups))
