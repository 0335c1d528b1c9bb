"""An invented treatment, recorded through the bench's own services."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from softmend.records.action import Action, Consolidation, Hidden, TakingDown, Weighed
from softmend.records.batch import Batch, BatchKind, Ingredient
from softmend.records.dossier import Dossier, Size
from softmend.records.fragment import Bag, Code, Fragment, PlaceEvidence, Stand
from softmend.records.join import Assembly, JoinMade, PlannedJoin
from softmend.records.kinds import record_in
from softmend.records.mark import Geometry, KnownHow, Mark, Shape, Sighting
from softmend.records.material import Direction, Fate, Moved, Stays
from softmend.records.view import Paper
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.dossiers import open_dossier
from softmend.services.examine.marks import record_mark
from softmend.services.examine.views import attach_paper, import_photograph
from softmend.services.people import come_to_the_bench
from softmend.services.treat.batches import make_batch
from softmend.services.treat.day_log import log_action, plan_assembly
from softmend.services.treat.fragments import change_fragment, number_fragment, open_bag

PHOTOGRAPH = Path(__file__).parents[1] / "data" / "photographs" / "10.jpg"
EARLIER = "2026-01-05"
ASKED = "the curator agreed by telephone; nothing was answered yet"


@dataclass(frozen=True)
class Treated:
    """The ids of what was recorded."""

    dossier_id: str
    view_id: str
    mark_id: str
    batch_id: str
    bag_id: str
    fragment_ids: tuple[str, ...]
    action_ids: tuple[str, ...]


def treated(bench: Bench, author: Author) -> Treated:
    """Record an invented treatment and return the ids of its parts."""
    facts = Dossier("an invented beam", "EX 1907.12", "an invented museum", "cracked", Size.FULL)
    dossier_id = open_dossier(bench, author, replace(facts, is_invented=True))
    view_id = import_photograph(bench, author, dossier_id, PHOTOGRAPH, "join.jpg").subject_id
    line = Geometry(Shape.LINE, (((200.0, 200.0), (300.0, 230.0), (400.0, 220.0)),))
    mark = Mark(0, "crack", (Sighting(view_id, line),))
    mark_id = record_mark(bench, author, dossier_id, mark).subject_id
    batch_id = make_batch(bench, author, dossier_id, glue()).subject_id
    pieces = _fragments(bench, author, dossier_id, view_id)
    bag_id = _bagged(bench, author, dossier_id, pieces[1])
    joins = (PlannedJoin("J1", ("beam", "tine")), PlannedJoin("J2", ("tine", "tip"), ("J1",)))
    plan_assembly(bench, author, dossier_id, Assembly(joins), "")
    actions = _actions(bench, author, dossier_id, mark_id, batch_id, view_id, pieces[0])
    return Treated(dossier_id, view_id, mark_id, batch_id, bag_id, pieces, actions)


def glue() -> Batch:
    """Return a batch of an invented adhesive."""
    return Batch(
        0,
        BatchKind.ADHESIVE,
        "resin for joins",
        EARLIER,
        (
            Ingredient("resin", 20.0, "an invented supplier", "L 7"),
            Ingredient("acetone", 65.0),
        ),
        removal_route="acetone, tested on shed antler",
        hazard="flammable",
    )


def _fragments(bench: Bench, author: Author, dossier_id: str, view_id: str) -> tuple[str, ...]:
    found = Fragment(0, "tray under the burr", EARLIER, mass_g=1.2, mass_expanded_g=0.1)
    entries = [number_fragment(bench, author, dossier_id, found) for _ in range(3)]
    seat = PlaceEvidence("J1", Code.A, "seats by itself, no light through the join")
    first = replace(record_in(entries[0]), stand=Stand.CANDIDATE)
    first = replace(first, evidence=(replace(seat, view_id=view_id),))
    fragment_id = entries[0].subject_id
    entry = change_fragment(bench, author, dossier_id, fragment_id, first, entries[0].id)
    dry = replace(first, stand=Stand.PLACED_DRY, place="J1")
    change_fragment(bench, author, dossier_id, fragment_id, dry, entry.id)
    lost = replace(record_in(entries[2]), stand=Stand.MISSING, because="tray and floor searched")
    change_fragment(bench, author, dossier_id, entries[2].subject_id, lost, entries[2].id)
    return tuple(entry.subject_id for entry in entries)


def _bagged(bench: Bench, author: Author, dossier_id: str, fragment_id: str) -> str:
    bag = Bag(0, "with the object's file", "no seat found at J1 or J2", EARLIER)
    bag_id = open_bag(bench, author, dossier_id, bag).subject_id
    with bench.store.reading() as reader:
        entry = reader.latest("fragment", fragment_id)
    assert entry is not None
    loose = replace(record_in(entry), stand=Stand.UNPLACED)
    entry = change_fragment(bench, author, dossier_id, fragment_id, loose, entry.id)
    bagged = replace(loose, stand=Stand.BAGGED, bag_id=bag_id)
    change_fragment(bench, author, dossier_id, fragment_id, bagged, entry.id)
    return bag_id


def _actions(
    bench: Bench,
    author: Author,
    dossier_id: str,
    mark_id: str,
    batch_id: str,
    view_id: str,
    fragment_id: str,
) -> tuple[str, ...]:
    second = come_to_the_bench(bench, "Bo Invented").id
    plain = Action(
        0,
        "mechanical_removal",
        EARLIER,
        mark_ids=(mark_id,),
        minutes=95,
        not_in_plan_because="loose by itself",
        agreed_with="the curator",
        tool="scalpel",
        taking_down=TakingDown(2.0, KnownHow.SEEN, 0.5, "× 10", "colour of the original"),
        moved=(
            Moved(
                "old fill",
                Direction.TAKEN_OFF,
                mass_g=4.2,
                expanded_percent=3.0,
                fate=Fate.KEPT,
                kept_where="bag of removed matter",
            ),
        ),
        result_observed="came away in one piece",
    )
    drops = replace(
        plain,
        action="consolidation",
        tool="brush",
        wet_because=ASKED,
        hidden=Hidden.NO,
        taking_down=None,
        consolidation=Consolidation(Weighed.VESSEL, 52.31, 50.11, 0.02, stop_sign="none went in"),
        moved=(Moved("resin for joins", batch_id=batch_id, mass_g=2.2, stays=Stays.ALL),),
        also_by_ids=(second,),
        done_on=bench_day(bench),
    )
    join = replace(
        drops,
        action="bonding",
        consolidation=None,
        hidden=Hidden.YES,
        hidden_view_ids=(view_id,),
        join=JoinMade("J1", second, EARLIER, (fragment_id,), "tape and weight", 24.0, "no step"),
    )
    ids = [log_action(bench, author, dossier_id, one).subject_id for one in (plain, drops, join)]
    covered = replace(drops, action="facing", hidden=Hidden.YES, hidden_because="no time: loss")
    ids.append(log_action(bench, author, dossier_id, covered).subject_id)
    ids.append(_note(bench, author, dossier_id))
    return tuple(ids)


def _note(bench: Bench, author: Author, dossier_id: str) -> str:
    record = Paper(0, "note.m4a", "", 0, "voice note")
    paper = attach_paper(bench, author, dossier_id, PHOTOGRAPH, record)
    note = Action(0, "", bench_day(bench), paper_ids=(paper.subject_id,))
    return log_action(bench, author, dossier_id, note).subject_id
