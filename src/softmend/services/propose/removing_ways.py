"""How each removal of the plan is gone about: looked behind, held, in stretches, each checked."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from softmend.errors import InputError, NotFoundError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.proposal import PlanRemoval
from softmend.records.removal import (
    PRECAUTIONS,
    Means,
    RemovalWay,
    Stretch,
    check_next_stretch,
    checked_way,
    owed_before_removal,
    wedging_warning,
)
from softmend.records.spot_test import SpotTest
from softmend.services.bench import Author, Bench
from softmend.services.propose.crack_distance import crack_words, open_cracks
from softmend.services.propose.removing_gate import (
    agent_payload,
    gate_of,
    object_facts,
    refuse_locked_agent,
    refuse_locked_tool,
    refuse_locked_words,
)
from softmend.services.propose.removing_pace import (
    COATING,
    fill_cm2_in_a_cm,
    pace_of,
    task_of,
    way_subject,
)
from softmend.services.propose.spot_tests import spot_tests_in
from softmend.services.propose.task_quantities import task_quantities, task_rows
from softmend.services.recording import append_record, current_record, current_records
from softmend.services.store import Reader


@dataclass(frozen=True)
class WayOf:
    """One removal of the plan with its way, what is owed before it, and what it is warned about.

    `hours` says what its pace means for what is marked, or why that cannot be told.
    """

    removal_entry: Entry
    removal: PlanRemoval
    way_entry_id: str
    way: RemovalWay | None
    owed: tuple[str, ...]
    warnings: tuple[str, ...]
    cracks: tuple[int, ...]
    hours: str

    @property
    def said(self) -> RemovalWay:
        """Return the way as far as it is said."""
        return self.way or RemovalWay(self.removal.number)


def ways_in(reader: Reader, dossier_id: str) -> list[WayOf]:
    """Return every removal of the plan with its way, in the order of their numbers."""
    return [
        _way_of(reader, dossier_id, entry, removal)
        for entry, removal in current_records(reader, dossier_id, "plan_removal")
    ]


def way_of(reader: Reader, dossier_id: str, number: int) -> WayOf:
    """Return one removal of the plan with its way, by the removal's number."""
    for one in ways_in(reader, dossier_id):
        if one.removal.number == number:
            return one
    raise NotFoundError("There is no removal of that number in the plan", value=number)


def record_way(
    bench: Bench, author: Author, dossier_id: str, way: RemovalWay, based_on: str
) -> Entry:
    """Record how a removal is gone about; a locked agent is refused on this route too."""
    checked = checked_way(way)
    with bench.store.writing() as writer:
        found = way_of(writer, dossier_id, checked.removal_number)
        _refuse_locked(writer, dossier_id, checked)
        for stretch in checked.stretches:
            _check_stretch(writer, dossier_id, stretch)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=way_subject(found.removal_entry),
            record=checked,
            based_on=based_on,
        )
        writer.commit()
    return entry


def add_stretch(
    bench: Bench, author: Author, dossier_id: str, number: int, stretch: Stretch, based_on: str
) -> Entry:
    """Record one more stretch behind those that are drawn."""
    with bench.store.reading() as reader:
        way = way_of(reader, dossier_id, number).said
    longer = replace(way, stretches=(*way.stretches, stretch))
    return record_way(bench, author, dossier_id, longer, based_on)


def check_stretch_done(
    bench: Bench,
    author: Author,
    dossier_id: str,
    number: int,
    place: int,
    view_id: str,
    seen: str,
    based_on: str,
) -> Entry:
    """Record that a stretch is done, with the photograph after it; one after the other."""
    with bench.store.reading() as reader:
        way = way_of(reader, dossier_id, number).said
        if not 1 <= place <= len(way.stretches):
            raise NotFoundError("There is no stretch of that number", value=place)
        if not view_id:
            raise InputError(
                "A stretch is done when its photograph is there",
                remedy="Bring in the photograph after the stretch, then choose it here",
            )
        current_record(reader, dossier_id, "view", view_id)
    check_next_stretch(way, place)
    done = replace(
        way.stretches[place - 1], check_view_id=view_id, checked_observed=seen or NOT_KNOWN
    )
    stretches = (*way.stretches[: place - 1], done, *way.stretches[place:])
    return record_way(bench, author, dossier_id, replace(way, stretches=stretches), based_on)


def near_cracks(reader: Reader, dossier_id: str) -> dict[str, Any]:
    """Return the open cracks and what stands beside every wet advice while there is one."""
    marks = open_cracks(reader, dossier_id)
    way = next((one.way for one in ways_in(reader, dossier_id) if one.way is not None), None)
    return {
        "cracks": [mark.number for mark in marks],
        "crack_words": crack_words(reader, way) if marks else "",
    }


def paces_tested(reader: Reader, dossier_id: str) -> list[tuple[SpotTest, float]]:
    """Return the timed tests with tools, and the cm2 each took off in an hour."""
    return [
        (test, test.cm2_per_hour)
        for _, test in spot_tests_in(reader, dossier_id)
        if test.cm2_per_hour is not None
    ]


def _way_of(reader: Reader, dossier_id: str, entry: Entry, removal: PlanRemoval) -> WayOf:
    way_entry_id, way = "", None
    found = reader.latest("removal_way", way_subject(entry))
    if found is not None and found.kind == "removal_way":
        found, way = current_record(reader, dossier_id, "removal_way", way_subject(entry))
        way_entry_id = found.id
    cracks = open_cracks(reader, dossier_id)
    return WayOf(
        removal_entry=entry,
        removal=removal,
        way_entry_id=way_entry_id,
        way=way,
        owed=owed_before_removal(way),
        warnings=tuple(_warnings(reader, dossier_id, way, bool(cracks))),
        cracks=tuple(mark.number for mark in cracks),
        hours=_hours(reader, dossier_id, removal, way),
    )


def _warnings(
    reader: Reader, dossier_id: str, way: RemovalWay | None, has_cracks: bool
) -> list[str]:
    if way is None:
        return []
    found = [wedging_warning(way)]
    if way.means in (Means.LIQUID, Means.CARRIED) and way.by_liquid.shares:
        stands = gate_of(object_facts(reader, dossier_id), _agent(way))
        found += [*stands.forbidden, *stands.warned]
        if has_cracks:
            found.append(crack_words(reader, way))
    return [one for one in found if one]


def _agent(way: RemovalWay) -> dict[str, object]:
    liquid = way.by_liquid
    return agent_payload(liquid.shares, liquid.carrier, liquid.carrier_name, liquid.carrier_shares)


def _refuse_locked(reader: Reader, dossier_id: str, way: RemovalWay) -> None:
    """Refuse a way that brings a locked liquid by itself, its tool, its clearing or its facing."""
    held = [getattr(way, name).how for name, _ in PRECAUTIONS]
    refuse_locked_words(reader, dossier_id, held)
    if way.means not in (Means.LIQUID, Means.CARRIED):
        refuse_locked_tool(reader, dossier_id, way.by_tool.tool)
        return
    refuse_locked_agent(reader, dossier_id, _agent(way))
    refuse_locked_tool(
        reader, dossier_id, way.by_liquid.cleared_with, way.by_liquid.crack_blocked_with
    )


def _check_stretch(reader: Reader, dossier_id: str, stretch: Stretch) -> None:
    _, view = current_record(reader, dossier_id, "view", stretch.view_id)
    across = (stretch.from_x_px, stretch.to_x_px)
    down = (stretch.from_y_px, stretch.to_y_px)
    inside = all(0 <= one <= view.width_px for one in across) and all(
        0 <= one <= view.height_px for one in down
    )
    if not inside:
        raise InputError(
            "A stretch leaves its photograph",
            value=f"{across[0]:g}, {down[0]:g} to {across[1]:g}, {down[1]:g} px",
            allowed=f"inside {view.width_px} by {view.height_px} px",
        )


def _hours(reader: Reader, dossier_id: str, removal: PlanRemoval, way: RemovalWay | None) -> str:
    """Return what the pace of a tool or a gel means for what is marked."""
    pace = pace_of(way)
    if pace is None:
        return ""
    task = task_of(reader, dossier_id, removal)
    counted = task_quantities(reader, dossier_id)[task]
    each = 1.0 if task == COATING else fill_cm2_in_a_cm(reader, dossier_id)
    if counted.quantity is None or each is None:
        why = counted.text if counted.quantity is None else "no old fill is drawn as an area"
        return f"Its pace of {pace:g} cm² an hour says no hours yet: {why}."
    from softmend.science.digits import band_text

    middle = counted.quantity * each / pace
    # One test of a pace: half of it and twice it are both usual.
    low, high = (float(f"{one:.2g}") for one in (middle / 2, middle * 2))
    told = band_text(low, float(f"{middle:.2g}"), high, "h")
    title = task_rows()[task].title.lower()
    return (
        f"At {pace:g} cm² an hour, {counted.text} of {title} take {told}: an estimate from one "
        "pace, to a factor of two. The next estimate of the hours begins with it; the log corrects "
        "it."
    )
