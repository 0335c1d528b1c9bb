"""The invented antler from request to re-check, worked through the services stage by stage."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from itertools import count
from typing import TYPE_CHECKING, Any

import pytest
from PIL import Image

from softmend.errors import RuleError, StaleError
from softmend.records.action import Action, Hidden, TakingDown
from softmend.records.batch import Batch, BatchKind, Ingredient
from softmend.records.closing import Closing
from softmend.records.condition import Grade, GradeBasis
from softmend.records.consent import Decision
from softmend.records.custody import Receipt
from softmend.records.custody import Way as Custody
from softmend.records.estimate import EstimateClass
from softmend.records.examination import Examination
from softmend.records.fragment import Bag, Code, Fragment, PlaceEvidence, Stand
from softmend.records.handover import HandOver
from softmend.records.join import Assembly, JoinMade, PlannedJoin
from softmend.records.kinds import record_in
from softmend.records.legal import LegalFlag, Topic
from softmend.records.location import Location
from softmend.records.mark import KnownHow, State
from softmend.records.material import Direction, Fate, Moved, Stays
from softmend.records.proposal import (
    Aim,
    Coat,
    Coating,
    Hours,
    Option,
    Options,
    PlanFill,
    PlanMaterial,
    PlanRemoval,
    PlanStep,
    Proposal,
    Route,
    Warrant,
)
from softmend.records.removal import LockOverride
from softmend.records.securing import Means, Securing
from softmend.records.view import Paper
from softmend.records.wet_step import BeforeWet, Evidence, Reply, Way
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.services.bench import Author, Bench
from softmend.services.deposit.archive import pack, record_hand_over
from softmend.services.deposit.outward import Receiver
from softmend.services.examine.grades import answer_not_done, grade_place, write_examination
from softmend.services.examine.marks import marks_in, record_mark
from softmend.services.examine.views import attach_paper, describe_view, import_photograph, views_in
from softmend.services.examine.zones import record_body_zone, record_on_zone
from softmend.services.hand_over.closing import close_dossier, reopen_dossier, write_care
from softmend.services.hand_over.custody import write_receipt
from softmend.services.hand_over.locations import move_thing
from softmend.services.legal_flags import record_flag
from softmend.services.people import come_to_the_bench
from softmend.services.propose.consents import Answered, points_hash, record_consent
from softmend.services.propose.fills import record_fills
from softmend.services.propose.hours import plan_to_begin_with, record_estimate
from softmend.services.propose.proposals import (
    made_up,
    missing_in,
    record_fill,
    record_material,
    record_removal,
    record_step,
    write_options,
    write_proposal,
)
from softmend.services.propose.removing_gate import open_lock
from softmend.services.propose.securing import record_securing, tell_owner
from softmend.services.propose.wet_steps import refuse_wet_step, write_before_wet
from softmend.services.recording import current_records
from softmend.services.treat.batches import make_batch
from softmend.services.treat.day_log import log_action, plan_assembly, repeat_last
from softmend.services.treat.fragments import change_fragment, number_fragment, open_bag
from tests.services.hand_over_sample import CARE

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from softmend.records.entry import Entry

ARCHIVE = Receiver("an invented archive", with_names=True)
START = datetime(2031, 10, 14, 8, 0, tzinfo=UTC)


@dataclass
class Clock:
    """A clock that ticks by the second and is set forward by days."""

    ticks: Any = field(default_factory=count)
    day: int = 0

    def __call__(self) -> datetime:
        return START + timedelta(days=self.day, seconds=next(self.ticks))

    @property
    def on(self) -> str:
        """Return the day on the bench's wall."""
        return (START + timedelta(days=self.day)).date().isoformat()


@dataclass
class Job:
    """One job under way: the bench, who works, the dossier, and what was kept by name."""

    bench: Bench
    clock: Clock
    author: Author
    second: str
    dossier_id: str
    folder: Path
    kept: dict[str, Entry] = field(default_factory=dict)

    def do(self, verb: Callable[..., Entry], record: object, *more: object, **named: Any) -> Entry:
        """Call one service for this dossier as this author."""
        return verb(self.bench, self.author, self.dossier_id, record, *more, **named)

    def based_on(self, kind: str, subject_id: str) -> str:
        """Return the entry that stands on a subject, "" when none does."""
        with self.bench.store.reading() as reader:
            standing = reader.latest(kind, subject_id)
        return standing.id if standing else ""

    def marks(self) -> dict[int, Entry]:
        """Return the entries of the marks by their numbers."""
        with self.bench.store.reading() as reader:
            return {mark.number: entry for entry, mark in marks_in(reader, self.dossier_id)}

    def views(self) -> dict[int, Entry]:
        """Return the entries of the views by their numbers."""
        with self.bench.store.reading() as reader:
            return {view.number: entry for entry, view in views_in(reader, self.dossier_id)}

    def fragment(self, name: str, **change: Any) -> None:
        """Record the next state of a fragment that is kept by name."""
        entry = self.kept[name]
        changed = replace(record_in(entry), **change)
        self.kept[name] = change_fragment(
            self.bench, self.author, self.dossier_id, entry.subject_id, changed, entry.id
        )


def secure_now(job: Job) -> None:
    """Support the beam before anybody consented; the owner is told."""
    support = Securing(
        0, Means.SUPPORT, "under the lifting patch", "it moves at a breath",
        "lift the cradle away", "2031-10-20", mark_numbers=(6,), view_number=1,
    )  # fmt: skip
    entry = job.do(record_securing, support)
    wet = replace(support, means=Means.FACING, is_wet=True)
    with pytest.raises(RuleError, match="locked"):
        job.do(record_securing, wet)
    tell_owner(job.bench, job.author, job.dossier_id, entry.subject_id, job.clock.on, entry.id)
    flag = LegalFlag(0, Topic.SPECIES, "trade in antler", job.clock.on, "R. Registrar (invented)")
    job.do(record_flag, flag)


def propose(job: Job) -> None:
    """Write options, why, materials, steps, fill and removal, until nothing is missing."""
    options = Options(
        nothing=Option("do nothing", "the gap stays", "the patch is lost at the next move"),
        less=Option("do less", "the patch is held", "the old fill goes on pulling"),
        fuller=(Option("a soft fill", "the cracks may move", "a new crack beside the fill"),),
        chosen="a soft fill",
        chosen_because="it lets the bone move with the year",
    )
    job.do(write_options, options, "")
    resin = made_up(
        solute="cellulose ether", solvent="water", written_percent=4.0, basis="w/w",
        solute_density_g_per_ml=1.3, solvent_density_g_per_ml=0.998, density_origin="a sheet",
    )  # fmt: skip
    how = {"route": Route.TESTED, "route_source": "mock-up 3, shed antler, 5 min"}
    binder = PlanMaterial(0, "cellulose ether", make_up=resin, comes_off_how="damp swab", **how)
    pulp = PlanMaterial(0, "paper pulp in cellulose ether", comes_off_how="spatula, damp", **how)
    with pytest.raises(RuleError, match="locked on antler"):
        job.do(record_material, binder)
    person = "A. Conservator (invented)"
    job.do(open_lock, LockOverride("water", person, "a film of ether lies between pulp and bone"))
    job.do(record_material, binder)
    job.do(record_material, pulp)
    steps = (
        PlanStep(
            0, "mechanical_removal", "take the old fill down", "stop at 1 mm before bone", 1,
            mark_numbers=(5,), body_zone_numbers=(1,), hours=Hours(6, 10, 20),
        ),
        PlanStep(
            0, "consolidation", "lay the lifting patch down", "stop at the first gloss", 2,
            mark_numbers=(6,), material_numbers=(1,), hours=Hours(2, 3, 6),
        ),
        PlanStep(
            0, "filling", "fill gap and loss", "stop 0.5 mm below the surface", 3,
            mark_numbers=(4, 7), material_numbers=(2,), hours=Hours(4, 8, 16),
        ),
    )  # fmt: skip
    for name, step in zip(("down", "hold", "fill"), steps, strict=True):
        job.kept[name] = job.do(record_step, step)
    fill = PlanFill(
        0, (4, 7), Warrant.EDGES, "both edges survive", detected_by="dull in ultraviolet",
        material_numbers=(2,),
    )  # fmt: skip
    with pytest.raises(RuleError, match="warrant"):
        job.do(record_fill, PlanFill(0, (4, 7)))
    job.do(record_fill, fill)
    job.do(
        record_removal,
        PlanRemoval(
            0, "the old fill", "it holds the bone from moving", body_zone_numbers=(1,),
            mark_numbers=(5,), carries="nothing, looked at under the lens",
            kept_where="bag with the object",
        ),
    )  # fmt: skip
    job.do(write_proposal, _words(), "")
    with job.bench.store.reading() as reader:
        assert missing_in(reader, job.dossier_id) == []


def _words() -> Proposal:
    return Proposal(
        significance="growth grooves and pearling",
        significance_asked_of="the invented curator",
        aims=(Aim.STABILISE, Aim.RESTORE),
        why_act="it will be moved",
        better_conditions_alone="would not let go of the fill",
        coating=Coating(Coat.NONE, ("a film would trap dust in the grooves",)),
        sampling_asked="yes, the curator: none wanted",
        limits="nothing in the reserve",
        residual_risk="crack 1 may open beside the new fill",
        hours_agreed_h=21.0,
        hours_over_percent=25.0,
        environment_afterwards="slow changes of humidity",
        comes_back_when="a dowel is found",
    )


def consent(job: Job) -> None:
    """Ask twice: the first version is declined, the smaller second one agreed to on paper."""
    job.clock.day = 7
    with pytest.raises(RuleError, match="Nobody has consented"):
        _log_planned(job, "hold")
    said_no = Answered(
        Decision.NO, "the invented owner", "owner", job.clock.on,
        no_paper_because="said by telephone",
    )  # fmt: skip
    _answer(job, said_no)
    with pytest.raises(RuleError, match="said no"):
        _log_planned(job, "hold")
    down = job.kept["down"]
    smaller = replace(record_in(down), what="take the old fill down where it stands proud")
    job.kept["down"] = job.do(record_step, smaller, subject_id=down.subject_id, based_on=down.id)
    signed = job.folder / "signed.pdf"
    signed.write_bytes(b"%PDF-1.7 an invented signature")
    paper = Paper(0, "signed.pdf", "", 0, "signed proposal", "the invented owner", job.clock.on)
    attach_paper(job.bench, job.author, job.dossier_id, signed, paper)
    yes = Answered(
        Decision.WITH_LIMITS, "the invented owner", "owner", job.clock.on,
        limits="photographs after every day", paper_number=1,
    )  # fmt: skip
    with pytest.raises(StaleError, match="other points"):
        record_consent(job.bench, job.author, job.dossier_id, yes, "0" * 64)
    _answer(job, yes)


def _answer(job: Job, answered: Answered) -> None:
    with job.bench.store.reading() as reader:
        seen = points_hash(reader, job.dossier_id)
    record_consent(job.bench, job.author, job.dossier_id, answered, seen)


def _log_planned(job: Job, step: str, **named: Any) -> Entry:
    planned = record_in(job.kept[step])
    action = Action(
        0, planned.action_id, job.clock.on, plan_step_id=job.kept[step].subject_id,
        **{"hidden": Hidden.NO, "wet_because": "tried before the answers", **named},
    )  # fmt: skip
    return job.do(log_action, action)


def before_wet(job: Job) -> None:
    """Answer what is owed before the first wet step, with reserve and evidence drawn."""
    with job.bench.store.reading() as reader, pytest.raises(RuleError, match="Not before"):
        refuse_wet_step(reader, job.dossier_id, "consolidation")
    front = job.views()[1].subject_id
    for on_it, left in ((OnIt.UNTREATED_RESERVE, 800.0), (OnIt.PROTECTED_EVIDENCE, 1000.0)):
        ring = ((left, 600.0), (left + 90, 600.0), (left + 90, 660.0), (left, 660.0))
        job.do(record_on_zone, OnZone(0, front, on_it, (ring,), 3.0))
    answers = BeforeWet(
        Reply.NO, "the invented curator", type_figured_or_dated=Reply.NO,
        evidence=(Evidence(2, False, "A. Conservator (invented)"),),
        way=Way.BARRIER, way_because="cellulose film under the pulp",
        way_by="A. Conservator (invented)",
    )  # fmt: skip
    job.do(write_before_wet, answers, "")
    with job.bench.store.reading() as reader:
        refuse_wet_step(reader, job.dossier_id, "consolidation")
        plan = plan_to_begin_with(job.bench, reader, job.dossier_id)
    named = (EstimateClass.EXAMINED, "marked, not yet tested", plan)
    record_estimate(job.bench, job.author, job.dossier_id, *named)
    record_fills(job.bench, job.author, job.dossier_id)


def treat(job: Job) -> None:
    """A week at the bench: old fill down, patch held, fragments seated and bagged, gap filled."""
    job.clock.day = 90
    marks, views = job.marks(), job.views()
    one = {name: marks[number].subject_id for name, number in (("old", 5), ("patch", 6))}
    removed = Moved(
        "old resin fill", Direction.TAKEN_OFF, mass_g=3.1, expanded_percent=5.0,
        fate=Fate.KEPT, kept_where="bag with the object",
    )  # fmt: skip
    down = {"mark_ids": (one["old"],), "moved": (removed,), "minutes": 240.0, "wet_because": ""}
    stop = TakingDown(3.0, KnownHow.GAUGE, 1.0, "x 10", "the colour of bone")
    _log_planned(job, "down", **down, taking_down=stop)
    repeat_last(job.bench, job.author, job.dossier_id)
    _find(job)
    made = Batch(
        0, BatchKind.CONSOLIDANT, "cellulose ether", job.clock.on,
        (Ingredient("cellulose ether", 4.0), Ingredient("water", 96.0)),
        removal_route="damp swab, tested on shed antler",
    )  # fmt: skip
    job.kept["batch"] = batch = job.do(make_batch, made)
    job.clock.day += 1
    binder = Moved(
        "cellulose ether", batch_id=batch.subject_id, mass_g=0.6, expanded_percent=10.0,
        stays=Stays.ALL,
    )  # fmt: skip
    dry = {"wet_because": "", "minutes": 120.0}
    _log_planned(job, "hold", mark_ids=(one["patch"],), moved=(binder,), **dry)
    _join(job, binder)
    job.clock.day += 1
    filled = {"mark_ids": (marks[4].subject_id, marks[7].subject_id)}
    with pytest.raises(RuleError, match="neither an image nor a reason"):
        _log_planned(job, "fill", **filled, **dry, hidden=Hidden.YES)
    shown = {"hidden": Hidden.YES, "hidden_view_ids": (views[5].subject_id,)}
    _log_planned(job, "fill", **filled, **dry, **shown, moved=(binder,))
    _draw_the_fill(job)


def _find(job: Job) -> None:
    for name, mass in (("seated", 0.8), ("bagged", 0.3), ("returned", 0.2)):
        found = Fragment(
            0, "in the old fill, beside mark 5", job.clock.on, mass_g=mass, mass_expanded_g=0.1
        )
        job.kept[name] = job.do(number_fragment, found)
    job.fragment("seated", stand=Stand.CANDIDATE, evidence=(_seat(job, Code.D),))
    job.fragment("seated", stand=Stand.PLACED_DRY, place="J1")
    bag = job.do(open_bag, Bag(0, "with the object", "no seat found at J1", job.clock.on))
    job.kept["bag"] = bag
    job.fragment("bagged", stand=Stand.UNPLACED)
    job.fragment("bagged", stand=Stand.BAGGED, bag_id=bag.subject_id)
    job.fragment("returned", stand=Stand.RETURNED, kept_where="the invented owner")


def _seat(job: Job, code: Code) -> PlaceEvidence:
    view_id = job.views()[5].subject_id
    return PlaceEvidence("J1", code, "looked at under the lens", view_id=view_id)


def _join(job: Job, glue: Moved) -> None:
    job.do(plan_assembly, Assembly((PlannedJoin("J1", ("beam", "fragment 1")),)), "")
    join = JoinMade(
        "J1", job.second, job.clock.on, (job.kept["seated"].subject_id,), "tape", 24.0, "closes"
    )
    bond = Action(
        0, "bonding", job.clock.on, place="J1", moved=(glue,), minutes=30.0, join=join,
        not_in_plan_because="found while the old fill came down",
        agreed_with="the invented owner, by telephone",
        hidden=Hidden.YES, hidden_view_ids=(job.views()[5].subject_id,),
    )  # fmt: skip
    with pytest.raises(RuleError, match="evidence D"):
        job.do(log_action, bond)
    job.kept["seated"] = change_fragment(
        job.bench, job.author, job.dossier_id, job.kept["seated"].subject_id,
        replace(record_in(job.kept["seated"]), evidence=(_seat(job, Code.A),)),
        job.kept["seated"].id,
    )  # fmt: skip
    job.do(log_action, bond)


def _draw_the_fill(job: Job) -> None:
    front = job.views()[1].subject_id
    with job.bench.store.reading() as reader:
        zones = current_records(reader, job.dossier_id, "body_zone")
    ((entry, old),) = [held for held in zones if held[1].body is Body.OLD_KEPT]
    job.do(
        record_body_zone, replace(old, body=Body.NEW_FILL), subject_id=entry.subject_id,
        based_on=entry.id,
    )  # fmt: skip
    whole = BodyZone(0, front, Body.ORIGINAL, old.rings, 3.0).rings
    tone = OnZone(0, front, OnIt.NEW_TONE, whole, 3.0)
    job.do(record_on_zone, tone)
    beside = tuple(tuple((x - 60, y) for x, y in ring) for ring in whole)
    with pytest.raises(RuleError, match="lies over original zone"):
        job.do(record_on_zone, replace(tone, rings=beside))


def give_back(job: Job) -> None:
    """Photograph, grade, care, receipts, places; then two copies in two hands, and close."""
    job.clock.day = 100
    after = _photograph(job, "antler-front-normal.jpg", "after treatment", quality=91)
    assert record_in(after).stage == "after treatment"
    for number, grade in ((6, 2), (1, 2), (7, 1)):
        subject_id = job.marks()[number].subject_id
        said = Grade("mark", subject_id, grade, "held; looked at in raking light", GradeBasis.SEEN)
        job.do(grade_place, said, job.based_on("grade", subject_id))
    job.do(write_care, replace(CARE, next_check_on="2032-06-01"), "")
    receipt = Receipt(
        0, Custody.OUT, "the beam and bag 1", "an invented museum", "A. Conservator (invented)",
        "R. Registrar (invented)", "back to the gallery", job.clock.on,
        condition_observed="held; three cracks open", no_paper_because="signed at the desk",
    )  # fmt: skip
    job.do(write_receipt, receipt)
    job.do(move_thing, Location("object", "an invented gallery", job.clock.on), "")
    closing = Closing(job.clock.on, "treated as agreed", "A. Conservator (invented)", "")
    with pytest.raises(RuleError, match="Two copies in two hands"):
        job.do(close_dossier, closing, "")
    packed = pack(job.bench, job.dossier_id, job.folder / "deposit.zip", receiver=ARCHIVE)
    for whom in ("an invented archive", "the invented owner"):
        given = HandOver(whom, packed.sha256, packed.head.count, packed.head.hash, job.clock.on)
        job.do(record_hand_over, given)
    job.kept["closing"] = job.do(close_dossier, closing, "")
    with pytest.raises(RuleError, match="This dossier is closed"):
        job.do(answer_not_done, "owner", "asked too late", "")


def look_again(job: Job) -> None:
    """A dry winter later: the same view again, a crack that has grown, the next date."""
    job.clock.day = 230
    with pytest.raises(RuleError, match="closed"):
        _photograph(job, "antler-front-raking.jpg", "re-check", quality=92)
    reopen_dossier(job.bench, job.author, job.dossier_id, "the date of the next check")
    _photograph(job, "antler-front-raking.jpg", "re-check", quality=93)
    crack = job.marks()[2]
    grown = replace(
        record_in(crack), state=State.GROWN, state_grounds="two dates, floor 0.3 px, same view"
    )
    job.do(record_mark, grown, subject_id=crack.subject_id, based_on=crack.id)
    again = Examination(
        "the yearly check", examined_on=job.clock.on, lights_and_aids="raking light",
        what_was_examined="front", summary_observed="crack 2 is longer; the fills are whole",
        recommendation="slow the winter's dryness", urgency="this year",
        next_check_on="2033-06-01",
    )  # fmt: skip
    job.do(write_examination, again, job.based_on("examination", job.dossier_id))


def _photograph(job: Job, name: str, stage: str, quality: int) -> Entry:
    from importlib.resources import as_file, files

    taken = job.folder / f"{stage.replace(' ', '-')}-{quality}.jpg"
    with as_file(files("softmend") / "demo" / name) as source, Image.open(source) as picture:
        picture.save(taken, "JPEG", quality=quality)
    entry = import_photograph(job.bench, job.author, job.dossier_id, taken, taken.name)
    described = replace(record_in(entry), stage=stage, side="front", made_by="the same script")
    return describe_view(
        job.bench, job.author, job.dossier_id, entry.subject_id, described, entry.id
    )


def begin(bench: Bench, clock: Clock, dossier_id: str, folder: Path) -> Job:
    """Come to the bench with a dossier that was examined and marked."""
    author = Author(come_to_the_bench(bench, "A. Conservator (invented)").id, "treatment")
    second = come_to_the_bench(bench, "B. Second (invented)").id
    return Job(bench, clock, author, second, dossier_id, folder)
