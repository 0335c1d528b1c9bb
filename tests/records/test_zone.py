"""Zones as they are printed: the two levels never share a name."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from softmend.records.payload import as_plain
from softmend.records.zone import (
    Body,
    BodyZone,
    OnIt,
    OnZone,
    body_zone_name,
    on_zone_name,
)
from softmend.tables import table


@given(st.integers(1, 9999), st.integers(1, 9999))
def test_a_zone_of_the_body_and_one_on_it_never_share_their_printed_form(
    first: int, second: int
) -> None:
    assert body_zone_name(first) != on_zone_name(second)


def test_the_number_is_kept_and_the_prefix_is_only_printed() -> None:
    ring = (((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)),)
    body = BodyZone(4, "view", Body.ORIGINAL, ring, 1.0)
    on_it = OnZone(4, "view", OnIt.COATING, ring, 1.0)
    assert (body.name, on_it.name) == ("Z4", "SZ4")
    for zone in (body, on_it):
        plain = as_plain(zone)
        assert plain["number"] == 4
        assert "name" not in plain


def test_neither_prefix_is_a_code_of_the_legend() -> None:
    assert not {"Z", "SZ"} & {str(row["code"]) for row in table("legend").rows}
