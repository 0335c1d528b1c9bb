"""An invented dossier on its way back: object, care, receipt, places, a log with one batch."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

from softmend.records.action import Action, Hidden
from softmend.records.batch import Batch, BatchKind, Ingredient
from softmend.records.closing import CareSheet
from softmend.records.custody import Receipt, Way
from softmend.records.dossier import Material, Measure, ObjectHead
from softmend.records.handover import HandOver
from softmend.records.location import Location
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.material import Direction, Fate, Moved
from softmend.services.deposit.archive import record_hand_over
from softmend.services.dossiers import describe_object
from softmend.services.examine.marks import record_mark
from softmend.services.hand_over.closing import write_care
from softmend.services.hand_over.custody import write_receipt
from softmend.services.hand_over.locations import move_thing
from softmend.services.numbered import record_numbered

if TYPE_CHECKING:
    from softmend.services.bench import Author, Bench

PLACE, USUAL = "Studio seven, bench 2", "Store nine, shelf 4"
CRATE = "crate thirteen"
MASS_G = 3217.0

CARE = CareSheet(
    next_check_on="2126-03-01",
    lift_points="two hands under the beam, left and right of mark 1",
    handling="gloves; never by the tines",
    no_touch_zones="the tip and mark 1",
    light="50 lx, 8 h a day",
    rh_band="45 to 55 %",
    rh_band_basis="the object's own record, 14 months",
    dust="never brushed; air from a rubber bulb by a conservator",
    whom_to_tell="the conservator on duty",
)
RECEIPT = Receipt(
    number=0,
    way=Way.IN,
    what="the antler beam",
    owner="an invented house",
    from_whom="R. Registrar",
    to_whom="A. Conservator",
    reason="treatment before display",
    handed_on="2026-03-01",
    return_on="2026-06-01",
    condition_observed="cracked; one flake loose",
    packed_how=CRATE,
)
BATCH = Batch(
    number=0,
    kind=BatchKind.ADHESIVE,
    name="fish glue",
    made_on="2026-03-02",
    ingredients=(Ingredient("fish glue", 5.0), Ingredient("water", 20.0)),
    removal_route="swells in lukewarm water in five minutes, tested on shed antler",
)


def describe(bench: Bench, author: Author, dossier_id: str) -> None:
    """Record the head of the object with its place and mass."""
    head = ObjectHead(
        title="Giant deer antler beam",
        owner="an invented house",
        location=PLACE,
        mass_g=MASS_G,
        mass_expanded_g=20.0,
        measures=(Measure("length", 812.0, 2.0, "calliper"),),
        materials=(Material("beam", "antler"),),
        deadline_on="2026-09-01",
    )
    describe_object(bench, author, dossier_id, head, "")


def hand_back(bench: Bench, author: Author, dossier_id: str) -> None:
    """Record everything that the pages of this stage are made from."""
    describe(bench, author, dossier_id)
    write_care(bench, author, dossier_id, CARE, "")
    write_receipt(bench, author, dossier_id, RECEIPT)
    move_thing(
        bench,
        author,
        dossier_id,
        Location("object", PLACE, "2026-03-01", "M. Mover", "treatment", USUAL),
        "",
    )


def work(bench: Bench, author: Author, dossier_id: str, view_id: str) -> str:
    """Make one batch, log one action with it, and take something off; return the batch's id."""
    line = Geometry(Shape.LINE, (((10.0, 10.0), (200.0, 40.0)),))
    record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),)))
    batch = record_numbered(bench, author, dossier_id, BATCH).subject_id
    moved = (
        Moved("fish glue", Direction.PUT_ON, batch, mass_g=0.42, expanded_percent=5.0),
        Moved(
            "brown resin",
            Direction.TAKEN_OFF,
            mass_g=3.1,
            fate=Fate.KEPT,
            kept_where="drawer eleven",
        ),
    )
    record_numbered(
        bench,
        author,
        dossier_id,
        Action(
            number=0,
            action="filling",
            done_on="2026-03-02",
            place="mark 1",
            moved=moved,
            not_in_plan_because="the plan is being written",
            hidden=Hidden.NO,
        ),
    )
    return batch


def give_away(bench: Bench, author: Author, dossier_id: str, to_whom: str) -> None:
    """Log that a package with everything recorded so far went to somebody."""
    with bench.store.reading() as reader:
        head = reader.head(dossier_id)
    record_hand_over(
        bench,
        author,
        dossier_id,
        HandOver(to_whom, "d" * 64, head.count, head.hash, "2026-03-02"),
    )
