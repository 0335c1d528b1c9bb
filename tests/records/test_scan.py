"""What is said on a scan is possible or refused in one sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError
from softmend.records.kinds import KINDS, kind_of
from softmend.records.payload import from_payload, payload_text
from softmend.records.scan import (
    ChangedPatch,
    ForbiddenStretch,
    Scan,
    ScanComparison,
    ScanHolding,
    ScanLength,
    ScanLine,
    ScanMatter,
    ScanStill,
    ScanUnitName,
    ScanVoid,
    VoidMouth,
    checked_holding,
    checked_length,
    checked_line,
    checked_matter,
    checked_void,
)

AT = (1.5, 2.0, 3.0)
RIM = tuple((float(k), 0.0, 0.0) for k in range(6))
VOID = ScanVoid(1, "scan", "loss", RIM, AT, VoidMouth.HOLE)
SAMPLES = [
    Scan(1, "b.ply", "0" * 64, 9, "PLY", 12, 8, 340.0, ("closed",)),
    ScanLength(340, 1, ScanUnitName.MM, (AT, AT)),
    ScanMatter("antler (compact)", hollow_mouth=(AT, AT, AT), hollow_depth_mm=40),
    ScanHolding(forbidden=(ForbiddenStretch(10, 20, "paint"),)),
    ScanLine(1, "scan", "crack", (AT, AT)),
    VOID,
    ScanComparison("a", "b", changed=(ChangedPatch(AT, 5),)),
    ScanStill(1, "scan", "left", "0" * 64, 9, 9, AT, AT, AT, 3.0),
]


@pytest.mark.parametrize("record", SAMPLES, ids=lambda record: type(record).__name__)
def test_a_record_comes_back_as_it_was_written(record: object) -> None:
    kind = KINDS[kind_of(record)]
    assert from_payload(kind.record, payload_text(record), kind.version, {}) == record


def test_a_length_lies_between_two_places_or_is_the_greatest() -> None:
    with pytest.raises(InputError, match="between two places"):
        checked_length(ScanLength(340, 1, between=(AT,)))
    with pytest.raises(InputError, match="measured length is outside"):
        checked_length(ScanLength(0, 1))


def test_a_weighing_needs_its_uncertainty_and_a_hollow_its_mouth() -> None:
    with pytest.raises(InputError, match="needs its ±"):
        checked_matter(ScanMatter(weighed_g=700))
    with pytest.raises(InputError, match="mouth and its depth"):
        checked_matter(ScanMatter(hollow_depth_mm=40))


def test_a_void_has_six_to_twelve_picks_and_a_name() -> None:
    assert checked_void(VOID) is VOID
    for rim in (RIM[:5], RIM * 3):
        with pytest.raises(InputError, match="6 to 12"):
            checked_void(replace(VOID, rim=rim))
    with pytest.raises(InputError, match="needs a name"):
        checked_void(replace(VOID, what=" "))


def test_a_line_has_two_picks_and_pads_stand_on_the_object() -> None:
    with pytest.raises(InputError, match="needs its picks"):
        checked_line(ScanLine(0, "scan", "crack", (AT,)))
    with pytest.raises(InputError, match="place of a pad"):
        checked_holding(ScanHolding(pads_percent=(120,)))
    with pytest.raises(InputError, match="no direction"):
        checked_holding(ScanHolding(down=(0, 0, 0)))
