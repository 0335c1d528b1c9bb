"""What is assumed of a case stands in a table, with its mark, and nowhere else."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend.errors import NotFoundError
from softmend.records.showcase import Showcase
from softmend.services.places.gases import assumed_of_gases, gases_of
from softmend.tables import table
from softmend.tables.case_assumed import case_assumed


def test_every_assumption_rises_and_has_its_mark() -> None:
    for row in table("case_assumed").rows:
        found = case_assumed(str(row["property"]))
        assert found.low <= found.typical <= found.high
        assert found.kind in {"estimated", "quoted", "derived"}
    with pytest.raises(NotFoundError, match="Nothing of that name is assumed of a case"):
        case_assumed("luck")


def test_gases_of_the_worked_example_follow_from_the_table() -> None:
    # softmend-climate, section 1.7, derived: 2 m2/m3 of source, sink 0.01 m/h, N 0.1 a day.
    from softmend.records.crack_model import Told

    case = Showcase("p", "case", 1.0, Told(0.1, 0.1, 0.1), source_m2=2.0)
    acid = gases_of(case)[0]
    assert acid.own_ug_per_m3 is not None
    assert acid.own_ug_per_m3.typical == pytest.approx(312, abs=1)
    assert assumed_of_gases() == (6, 10, "estimated, softmend-climate, section 1.7")
