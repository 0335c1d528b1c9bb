"""A crack that is drawn, measured and told of, so that its mechanics can be asked."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.records.crack_model import BodyAround, CrackModel, Told
from softmend.records.entry import Entry
from softmend.records.mark import DepthStation, KnownHow, WidthStation
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import record_mark
from softmend.services.explain.crack_keep import say_of_crack
from tests.services.conftest import crack

RESIN = "polyester casting resin"
PULP = "pulp + cellulose ether (hydroxypropyl or methyl)"
WIDTHS = (
    WidthStation(10.0, 0.6, 0.1, "feeler gauge"),
    WidthStation(60.0, 0.9, 0.1, "feeler gauge"),
    WidthStation(110.0, 1.0, 0.1, "feeler gauge"),
)
DEPTHS = (DepthStation(60.0, 5.4, 8.1, 11.7, KnownHow.GAUGE),)
# Sub-fossil antler, as a conservator might judge it: every value an estimate of her own.
SAID = CrackModel(
    body=BodyAround.CYLINDER,
    radius_mm=Told(28, 33, 38),
    material="antler (sub-fossil)",
    preservation="leached or decayed",
    modulus_gpa=Told(0.8, 2.5, 6.0),
    poisson=Told(0.2, 0.3, 0.4),
    relaxation=Told(0.3, 0.55, 0.85),
    strength_mpa=Told(1.0, 2.5, 8.0),
    toughness_mpa_m05=Told(0.3, 0.8, 1.6),
    mismatch_percent=Told(0.01, 0.02, 0.035),
    fall_percent=Told(15, 20, 28),
    old_fill=RESIN,
    old_fill_grounds="hard and yellow",
    new_fill=PULP,
)


@pytest.fixture
def mark(bench: Bench, author: Author, dossier_id: str, view_id: str) -> Entry:
    drawn = replace(crack(view_id), widths=WIDTHS, depths=DEPTHS, part="beam", side="front")
    return record_mark(bench, author, dossier_id, drawn)


@pytest.fixture
def said(bench: Bench, author: Author, dossier_id: str, mark: Entry) -> Entry:
    return say_of_crack(bench, author, dossier_id, mark.subject_id, SAID, "")
