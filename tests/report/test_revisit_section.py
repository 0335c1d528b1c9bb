"""What moved since, as it is printed: each crack with its grounds, and what the words mean."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.report.content import MovedRow
from softmend.report.revisit_section import CAUTION, TITLE, moved_section

ROW = MovedRow(
    mark="7",
    term="crack",
    between="view 1, 2025-10-14 – view 6, 2026-03-16",
    finding="no change shown.",
    grounds="views 1 and 6, 2025-10-14 and 2026-03-16; floor 1 px, no second photograph of the "
    "first day; not known and not known %RH, not known and not known °C",
    state="not known",
    stale="stale, because mark 7 changed on 2026-04-01",
)


def test_each_crack_has_its_dates_finding_floor_and_air() -> None:
    section = moved_section([ROW])
    assert section.title == TITLE
    table, words = section.blocks
    (cells,) = table.rows
    assert cells[0].text == "7"
    assert cells[1].text == ROW.between
    assert cells[2].small == ("recorded as: not known", ROW.stale)
    assert cells[3].text.startswith("floor 1 px, no second photograph of the first day")
    assert words.text == CAUTION


def test_no_change_shown_is_never_said_to_mean_that_nothing_moved() -> None:
    assert "not that nothing moved" in CAUTION
    assert "other materials than this one" in CAUTION
