"""The demo's treatment: proposal, two answers, hours, a week of log, batches and fragments.

It was done in the days before the demo is opened, so the bench's clock is set back while it is
laid out; everything else goes through the services that a conservator uses.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

from softmend.records.action import Action
from softmend.records.batch import Batch
from softmend.records.estimate import EstimateClass
from softmend.records.fragment import Bag, Fragment
from softmend.records.join import Assembly
from softmend.records.kinds import record_in
from softmend.records.payload import as_plain, from_plain
from softmend.records.proposal import (
    Coating,
    Options,
    PlanFill,
    PlanMaterial,
    PlanRemoval,
    PlanStep,
    Proposal,
)
from softmend.records.wet_step import BeforeWet
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.examine.marks import marks_in
from softmend.services.people import come_to_the_bench
from softmend.services.propose.consents import Answered, points_hash, record_consent
from softmend.services.propose.hours import plan_to_begin_with, record_estimate
from softmend.services.propose.proposals import (
    made_up,
    record_fill,
    record_material,
    record_removal,
    record_step,
    write_options,
    write_proposal,
)
from softmend.services.propose.wet_steps import write_before_wet
from softmend.services.treat.batches import make_batch
from softmend.services.treat.day_log import log_action, plan_assembly
from softmend.services.treat.fragments import change_fragment, number_fragment, open_bag

Told = Mapping[str, Any]


@dataclass(frozen=True)
class Work:
    """One treatment being laid out: who works, on what, and the ids that its words stand for."""

    bench: Bench
    author: Author
    second_id: str
    dossier_id: str
    views: Mapping[str, str]
    marks: Mapping[int, str]


def days_ago(bench: Bench, days: int) -> Bench:
    """Return the bench as it was some days ago."""
    return replace(bench, clock=lambda: bench.clock() - timedelta(days=days))


def lay_out_treatment(
    bench: Bench, author: Author, dossier_id: str, told: Told, views: Mapping[str, str]
) -> None:
    """Lay out the treatment of one dossier, from the first proposal to the last day of the log."""
    second_id = come_to_the_bench(bench, told["second_person"]).id
    with bench.store.reading() as reader:
        marks = {mark.number: entry.subject_id for entry, mark in marks_in(reader, dossier_id)}
    work = Work(bench, replace(author, purpose="treatment"), second_id, dossier_id, views, marks)
    steps = _propose(_on(work, told), told)
    with bench.store.reading() as reader:
        plan = plan_to_begin_with(bench, reader, dossier_id)
    named = (EstimateClass.EXAMINED, told["hours_basis"], plan)
    record_estimate(_on(work, told).bench, work.author, dossier_id, *named)
    batches = {batch["name"]: _make(_on(work, batch), batch) for batch in told["batch"]}
    fragments = [_follow(_on(work, fragment), fragment) for fragment in told["fragment"]]
    assembly = from_plain(Assembly, told["assembly"])
    plan_assembly(_on(work, told).bench, work.author, dossier_id, assembly, "")
    for entry in told["log"]:
        said = dict(entry)
        if "join" in said:
            said["join"] = _joined(_on(work, entry), said["join"], fragments)
        _log(_on(work, entry), said, steps, batches)


def _on(work: Work, told: Told) -> Work:
    return replace(work, bench=days_ago(work.bench, told["days_ago"]))


def _propose(work: Work, told: Told) -> list[str]:
    at = (work.bench, work.author, work.dossier_id)
    write_options(*at, from_plain(Options, told["options"]), "")
    # The one lock is opened by name before anything that carries water is proposed.
    write_before_wet(*at, from_plain(BeforeWet, told["before_wet"]), "")
    for material in told["material"]:
        words = {name: value for name, value in material.items() if name != "mixture"}
        record = from_plain(PlanMaterial, {"number": 0, **words})
        if "mixture" in material:
            record = replace(record, make_up=made_up(**material["mixture"]))
        record_material(*at, record)
    steps = [
        record_step(*at, from_plain(PlanStep, {"number": 0, **step})).subject_id
        for step in told["step"]
    ]
    for fill in told["fill"]:
        record_fill(*at, from_plain(PlanFill, {"number": 0, **fill}))
    for removal in told["removal"]:
        record_removal(*at, from_plain(PlanRemoval, {"number": 0, **removal}))
    proposal = from_plain(Proposal, told["proposal"])
    first = replace(proposal, coating=from_plain(Coating, told["declined_coating"]))
    seen = write_proposal(*at, first, "")
    _answer(work, told["declined"])
    write_proposal(*at, proposal, seen.id)
    _answer(work, told["agreed"])
    return steps


def _answer(work: Work, told: Told) -> None:
    with work.bench.store.reading() as reader:
        seen = points_hash(reader, work.dossier_id)
    answered = from_plain(Answered, {**told, "decided_on": bench_day(work.bench)})
    record_consent(work.bench, work.author, work.dossier_id, answered, seen)


def _make(work: Work, told: Told) -> str:
    made = {**_said(told), "number": 0, "made_on": bench_day(work.bench)}
    batch = from_plain(Batch, made)
    return make_batch(work.bench, work.author, work.dossier_id, batch).subject_id


def _log(work: Work, told: Told, steps: list[str], batches: Mapping[str, str]) -> None:
    words = _said(told, "step", "marks", "shown_on", "moved")
    moved = [
        {**_said(one, "batch"), "batch_id": batches.get(one.get("batch", ""), "")}
        for one in told.get("moved", ())
    ]
    action = {
        **words,
        "number": 0,
        "done_on": bench_day(work.bench),
        "plan_step_id": steps[told["step"] - 1] if "step" in told else "",
        "mark_ids": [work.marks[number] for number in told.get("marks", ())],
        "hidden_view_ids": [work.views[file] for file in told.get("shown_on", ())],
        "moved": moved,
    }
    log_action(work.bench, work.author, work.dossier_id, from_plain(Action, action))


def _joined(work: Work, told: Told, fragments: list[str]) -> dict[str, Any]:
    """Return a join made today: the second person signed its dry fit."""
    return {
        **_said(told, "fragments"),
        "dry_fit_by_id": work.second_id,
        "dry_fit_on": bench_day(work.bench),
        "fragment_ids": [fragments[number - 1] for number in told["fragments"]],
    }


def _follow(work: Work, told: Told) -> str:
    """Number one fragment and take it through its states, one entry each; return its id."""
    at, today = (work.bench, work.author, work.dossier_id), bench_day(work.bench)
    found = {**_said(told, "then", "bag"), "number": 0, "found_on": today}
    entry = number_fragment(*at, from_plain(Fragment, found))
    for state in told["then"]:
        change = dict(state)
        if "bag" in told and change["stand"] == "bagged":
            bag = from_plain(Bag, {**told["bag"], "number": 0, "packed_on": today})
            change["bag_id"] = open_bag(*at, bag).subject_id
        change["evidence"] = [
            {**_said(one, "seen_on"), "view_id": work.views[one["seen_on"]]}
            for one in change.get("evidence", ())
        ] or as_plain(record_in(entry))["evidence"]
        after = from_plain(Fragment, {**as_plain(record_in(entry)), **change})
        entry = change_fragment(*at, entry.subject_id, after, entry.id)
    return entry.subject_id


def _said(told: Told, *but: str) -> dict[str, Any]:
    return {name: value for name, value in told.items() if name not in ("days_ago", *but)}
