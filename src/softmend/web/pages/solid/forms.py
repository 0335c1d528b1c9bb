"""Forms of a scan's page: picks typed or set on the picture, one place a line, and numbers."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from itertools import zip_longest
from typing import Annotated, Literal

from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.crack_model import Basis, Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.scan import (
    ForbiddenStretch,
    OldFill,
    Place3,
    ScanHolding,
    ScanLength,
    ScanLine,
    ScanMatter,
    ScanUnitName,
    ScanVoid,
    VoidMouth,
)
from softmend.web.numbers import known, maybe_number, typed_number
from softmend.web.words import said as _

Line = Annotated[str, Field(max_length=2000)]
Picks = Annotated[str, Field(max_length=20_000)]
Maybe = Annotated[str, Field(max_length=40)]
Column = Annotated[list[Line], Field(max_length=20)]
_NUMBER = re.compile(r"[+-]?(\d{1,12}(\.\d{1,18})?|\.\d{1,18})([eE][+-]?\d{1,3})?")
MOST_PICKS = 200


def places(text: str, what: str) -> tuple[Place3, ...]:
    """Return the places of a text, three numbers a line, in the file's own coordinates."""
    found: list[Place3] = []
    for line in text.splitlines():
        words = line.replace("\u2212", "-").replace(",", " ").split()
        if not words:
            continue
        if len(words) != 3 or not all(_NUMBER.fullmatch(word) for word in words):
            raise InputError(
                f"{what}: a line is no place",
                value=line.strip()[:80],
                allowed="three numbers with decimal points, one place a line",
                remedy="Correct the line, or pick on the scan",
            )
        x, y, z = (float(word) for word in words)
        found.append((x, y, z))
    if len(found) > MOST_PICKS:
        raise InputError(f"{what} has too many places", value=len(found), allowed="up to 200")
    return tuple(found)


def typed_places(many: tuple[Place3, ...] | list[list[float]]) -> str:
    """Return places as a form shows them, one a line."""
    return "\n".join(" ".join(f"{x:.9g}" for x in one) for one in many)


class LengthForm(BaseModel):
    """The measured length that gives a scan its unit."""

    based_on: Maybe = ""
    length_mm: Line = ""
    expanded_mm: Line = ""
    unit: ScanUnitName = ScanUnitName.BY_LENGTH
    between: Picks = ""
    measured_with: Line = ""

    def record(self) -> ScanLength:
        """Return it as a record."""
        return ScanLength(
            typed_number(self.length_mm, _("The measured length"), "mm", 1, 20_000),
            typed_number(self.expanded_mm, _("Its ±"), "mm", 0.001, 2000),
            self.unit,
            places(self.between, _("The two ends")),
            known(self.measured_with),
        )


class MatterForm(BaseModel):
    """What the object is made of, its hollow, its weighing; old fills in columns, one a row."""

    based_on: Maybe = ""
    material: Line = ""
    low: Line = ""
    typical: Line = ""
    high: Line = ""
    grounds: Line = ""
    weighed_g: Line = ""
    weighed_expanded_g: Line = ""
    hollow_mouth: Picks = ""
    hollow_depth_mm: Line = ""
    fill_volume_ml: Column = []
    fill_volume_expanded_ml: Column = []
    fill_density_g_per_ml: Column = []
    fill_density_expanded_g_per_ml: Column = []
    fill_at: Column = []

    def record(self) -> ScanMatter:
        """Return it as a record."""
        return ScanMatter(
            material=known(self.material),
            density_g_per_ml=_told(
                (self.low, self.typical, self.high), _("The density"), "g/mL", (0.05, 25)
            ),
            density_grounds=known(self.grounds),
            weighed_g=maybe_number(self.weighed_g, _("What it weighed"), "g", 0.1, 5e6),
            weighed_expanded_g=maybe_number(
                self.weighed_expanded_g, _("The ± of the weighing"), "g", 0.001, 5e5
            ),
            hollow_mouth=places(self.hollow_mouth, _("The mouth of the hollow")),
            hollow_depth_mm=maybe_number(
                self.hollow_depth_mm, _("The depth of the hollow"), "mm", 0.1, 20_000
            ),
            fills=self._fills(),
        )

    def _fills(self) -> tuple[OldFill, ...]:
        """Return the old fills of the rows in which anything was typed."""
        rows = zip_longest(
            self.fill_volume_ml, self.fill_volume_expanded_ml, self.fill_density_g_per_ml,
            self.fill_density_expanded_g_per_ml, self.fill_at, fillvalue="",
        )  # fmt: skip
        return tuple(
            _fill(row, k) for k, row in enumerate(rows, 1) if any(one.strip() for one in row)
        )


class HoldingForm(BaseModel):
    """How the object is to be held."""

    based_on: Maybe = ""
    down: Line = "0 0 -1"
    support: Literal["saddle", "V block", "flat pad"] = "saddle"
    pads: Line = ""
    place: Literal["2", "3"] = "3"
    pad_length_mm: Line = "60"
    half_angle_degrees: Line = "45"
    foam_mpa: Line = "0.16"
    foam_thickness_mm: Line = "25"
    pressure_limit_kpa: Line = "10"
    tipping_least: Line = "0.3"
    friction: Line = "0.4"
    forbidden: Picks = ""
    is_told_to_mount_maker: bool = False

    def record(self) -> ScanHolding:
        """Return it as a record."""
        down = places(self.down, _("Which way is down"))
        if len(down) != 1:
            raise InputError(
                _("Which way is down is one direction"), value=self.down, allowed="three numbers"
            )
        return ScanHolding(
            down=down[0],
            support=self.support,
            pads_percent=percents(self.pads),
            place=int(self.place),
            pad_length_mm=typed_number(self.pad_length_mm, _("A pad's length"), "mm", 1, 1000),
            half_angle_degrees=typed_number(
                self.half_angle_degrees, _("The half angle"), "°", 10, 85
            ),
            foam_mpa=typed_number(self.foam_mpa, _("The modulus of the pad"), "MPa", 0.001, 100),
            foam_thickness_mm=typed_number(
                self.foam_thickness_mm, _("The thickness of the pad"), "mm", 1, 500
            ),
            pressure_limit_kpa=typed_number(
                self.pressure_limit_kpa, _("The pressure that is allowed"), "kPa", 0.1, 10_000
            ),
            tipping_least=typed_number(self.tipping_least, _("The least margin"), "", 0, 5),
            friction=typed_number(self.friction, _("The friction"), "", 0.01, 2),
            forbidden=stretches(self.forbidden),
            is_told_to_mount_maker=self.is_told_to_mount_maker,
        )


class LineForm(BaseModel):
    """A crack or join drawn on the scan."""

    what: Line = ""
    picks: Picks = ""
    mark_id: Maybe = ""
    depth_mm: Line = ""
    clear_mm: Line = "20"

    def record(self, scan_id: str) -> ScanLine:
        """Return it as a record."""
        return ScanLine(
            0,
            scan_id,
            self.what.strip(),
            places(self.picks, _("The line")),
            self.mark_id,
            maybe_number(self.depth_mm, _("The depth"), "mm", 0, 2000),
            typed_number(self.clear_mm, _("How far pads stay clear"), "mm", 0, 2000),
        )


class VoidForm(BaseModel):
    """A void picked on the scan, and the fill that stabilises it."""

    what: Line = ""
    rim: Picks = ""
    inside: Picks = ""
    mouth: VoidMouth = VoidMouth.NOT_SAID
    fill_below_rim_mm: Line = ""
    mark_id: Maybe = ""
    material: Line = ""
    layer_mm: Line = ""
    low: Line = ""
    typical: Line = ""
    high: Line = ""

    def record(self, scan_id: str) -> ScanVoid:
        """Return it as a record."""
        inside = places(self.inside, _("A place inside the void"))
        if len(inside) != 1:
            raise InputError(
                _("Pick one place on the void's own surface"), value=f"{len(inside)} places"
            )
        return ScanVoid(
            0,
            scan_id,
            self.what.strip(),
            places(self.rim, _("The rim")),
            inside[0],
            self.mouth,
            maybe_number(self.fill_below_rim_mm, _("The depth below the rim"), "mm", 0.1, 5000),
            self.mark_id,
            known(self.material),
            maybe_number(self.layer_mm, _("The thickness of a layer"), "mm", 0.1, 500),
            _told((self.low, self.typical, self.high), _("The hours a layer"), "h", (0.01, 500)),
        )


def percents(text: str) -> tuple[float, ...]:
    """Return the places of pads in percent, in order; empty: they are to be placed."""
    words = text.replace(";", " ").split()
    return tuple(sorted(typed_number(one, _("The place of a pad"), "%", 0, 100) for one in words))


def stretches(text: str) -> tuple[ForbiddenStretch, ...]:
    """Return stretches that must not be touched: "from to why" in percent, one a line."""
    found = []
    for line in text.splitlines():
        if not line.strip():
            continue
        parts = line.replace("%", " ").replace("–", " ").split(maxsplit=2)
        if len(parts) < 3:
            raise InputError(
                _("A stretch that must not be touched is not whole"),
                value=line.strip()[:80],
                allowed=_("from, to in percent, and why"),
                remedy=_("For example: 30 38 painted inscription"),
            )
        low, high = (
            typed_number(one, _("A stretch that must not be touched"), "%", 0, 100)
            for one in parts[:2]
        )
        found.append(ForbiddenStretch(min(low, high), max(low, high), parts[2].strip()))
    return tuple(found)


def typed_stretches(many: tuple[ForbiddenStretch, ...]) -> str:
    """Return stretches as the form shows them, one a line."""
    return "\n".join(f"{one.from_percent:g} {one.to_percent:g} {one.why}" for one in many)


def _fill(row: tuple[str, ...], number: int) -> OldFill:
    volume, volume_err, density, density_err, at = row
    name = _("old fill {n}").format(n=number)
    middle = places(at, _("The middle of {name}").format(name=name))
    if len(middle) != 1:
        raise InputError(
            _("The middle of {name} is one place").format(name=name),
            value=f"{len(middle)} places", allowed=_("three numbers, in the file's coordinates"),
            remedy=_("Pick it on the scan, on the surface nearest to it"),
        )  # fmt: skip
    spread = _("The ± of {name}").format(name=name)
    return OldFill(
        typed_number(volume, _("The volume of {name}").format(name=name), "mL", 0.01, 1e6),
        typed_number(volume_err, spread, "mL", 0.001, 1e6),
        typed_number(density, _("The density of {name}").format(name=name), "g/mL", 0.05, 25),
        typed_number(density_err, spread, "g/mL", 0.001, 25),
        middle[0],
    )


def _told(
    points: tuple[str, str, str], what: str, unit: str, limits: tuple[float, float]
) -> Told | None:
    if not any(text.strip() for text in points):
        return None
    low, typical, high = (typed_number(text, what, unit, *limits) for text in points)
    return Told(low, typical, high, Basis.ESTIMATED, NOT_KNOWN)
