"""Proposals: options, why, steps, materials, fills and removals, and what is still missing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from softmend import catalogue
from softmend.errors import InputError, RuleError
from softmend.records.canonical import canonical_json, sha256_text
from softmend.records.consent import Plan, ordered
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.mixing import BASES, MakeUp
from softmend.records.passing import Passed, passing_of
from softmend.records.payload import as_plain
from softmend.records.proposal import (
    Options,
    PlanFill,
    PlanMaterial,
    PlanRemoval,
    PlanStep,
    Proposal,
    checked_fill,
    checked_material,
    checked_options,
    checked_proposal,
    checked_removal,
    checked_step,
    coating_finding,
    fill_findings,
)
from softmend.records.zone import on_zone_name
from softmend.services.bench import Author, Bench
from softmend.services.numbered import append_numbered
from softmend.services.passing import append_pass, passings_in
from softmend.services.propose.removing_routes import refuse_locked_material, refuse_locked_step
from softmend.services.propose.wet_steps import evidence_without_yes
from softmend.services.recording import append_record, current_records, record_one
from softmend.services.store import Reader
from softmend.services.treat.treatment_words import action

PLAN_KINDS = ("plan_step", "plan_material", "plan_fill", "plan_removal")


@dataclass(frozen=True)
class Missing:
    """One thing that a proposal still owes, and the page that it is answered on."""

    sentence: str
    page: str


def options_in(reader: Reader, dossier_id: str) -> tuple[str, Options]:
    """Return the options and their entry; "do nothing" and "do less" stand there from the start."""
    for entry, options in current_records(reader, dossier_id, "options"):
        return entry.id, options
    return "", Options()


def proposal_in(reader: Reader, dossier_id: str) -> tuple[str, Proposal]:
    """Return the proposal's words and answers, and their entry."""
    for entry, proposal in current_records(reader, dossier_id, "proposal"):
        return entry.id, proposal
    return "", Proposal()


def plan_in(reader: Reader, dossier_id: str) -> Plan:
    """Return everything that a consent would be asked for, as it stands."""
    steps, materials, fills, removals = (
        tuple(record for _, record in current_records(reader, dossier_id, kind))
        for kind in PLAN_KINDS
    )
    return Plan(
        proposal=proposal_in(reader, dossier_id)[1],
        options=options_in(reader, dossier_id)[1],
        steps=ordered(steps),
        materials=materials,
        fills=fills,
        removals=removals,
        outlines=_outlines(reader, dossier_id, (*steps, *fills, *removals)),
    )


def write_options(
    bench: Bench, author: Author, dossier_id: str, options: Options, based_on: str
) -> Entry:
    """Record the options side by side."""
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=dossier_id,
        record=checked_options(options),
        based_on=based_on,
    )


def write_proposal(
    bench: Bench, author: Author, dossier_id: str, proposal: Proposal, based_on: str
) -> Entry:
    """Record the proposal's words and answers."""
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=dossier_id,
        record=checked_proposal(proposal),
        based_on=based_on,
    )


def record_step(
    bench: Bench,
    author: Author,
    dossier_id: str,
    step: PlanStep,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record one step; its action, marks, zones and materials must be there."""
    action(step.action_id)
    with bench.store.reading() as reader:
        refuse_locked_step(reader, dossier_id, step)
    return _record(
        bench, author, dossier_id, checked_step(step), subject_id=subject_id, based_on=based_on
    )


def record_material(
    bench: Bench,
    author: Author,
    dossier_id: str,
    material: PlanMaterial,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record one material, exactly."""
    checked = checked_material(material)
    with bench.store.reading() as reader:
        refuse_locked_material(reader, dossier_id, checked)
    return _record(bench, author, dossier_id, checked, subject_id=subject_id, based_on=based_on)


def record_removal(
    bench: Bench,
    author: Author,
    dossier_id: str,
    removal: PlanRemoval,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record what earlier work is to come off, why, and where it is kept."""
    checked = checked_removal(removal)
    return _record(bench, author, dossier_id, checked, subject_id=subject_id, based_on=based_on)


def record_fill(
    bench: Bench,
    author: Author,
    dossier_id: str,
    fill: PlanFill,
    *,
    passed_because: str = "",
    passed_by: str = "",
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record one fill; without warrant or detection a named person must pass rule 8."""
    findings = fill_findings(checked_fill(fill))
    with bench.store.writing() as writer:
        _refuse_unknown_numbers(writer, dossier_id, fill)
        if findings and passing_of(passings_in(writer, dossier_id), 8, fill.about) is None:
            if not passed_because.strip():
                raise RuleError("; ".join(findings), rule=8, remedy="Answer, or pass it by name")
            passed = Passed(8, fill.about, passed_because, passed_by)
            append_pass(bench, writer, author, dossier_id, passed)
        entry = append_numbered(
            bench, writer, author, dossier_id, fill, subject_id=subject_id, based_on=based_on
        )
        writer.commit()
    return entry


def order_steps(bench: Bench, author: Author, dossier_id: str, numbers: tuple[int, ...]) -> None:
    """Put the steps in the order of these numbers; only steps that move are recorded anew."""
    from dataclasses import replace

    with bench.store.writing() as writer:
        steps = current_records(writer, dossier_id, "plan_step")
        if sorted(numbers) != sorted(step.number for _, step in steps):
            raise InputError("The order names every step once", value=", ".join(map(str, numbers)))
        for entry, step in steps:
            place = numbers.index(step.number) + 1
            if step.place != place:
                append_record(
                    bench,
                    writer,
                    author,
                    dossier_id=dossier_id,
                    subject_id=entry.subject_id,
                    record=replace(step, place=place),
                    based_on=entry.id,
                )
        writer.commit()


def made_up(
    *,
    solute: str,
    solvent: str,
    written_percent: float,
    basis: str,
    solute_density_g_per_ml: float,
    solvent_density_g_per_ml: float,
    density_origin: str,
    solution_mass_g: float = 100.0,
) -> MakeUp:
    """Return a preparation by mass from a percentage with its basis, through mixture.convert."""
    if basis not in BASES:
        raise RuleError(
            "A percentage without its basis is refused", rule=9, remedy=f"Say {', '.join(BASES)}"
        )
    origin = {"kind": "maker's sheet", "origin": density_origin}
    answer = catalogue.run(
        "mixture.convert",
        {
            "written_percent": {"value": written_percent},
            "basis": basis,
            "solute": solute,
            "solvent": solvent,
            "solute_density_g_per_ml": {"value": solute_density_g_per_ml, **origin},
            "solvent_density_g_per_ml": {"value": solvent_density_g_per_ml, **origin},
            "amount": {"solution_mass_g": {"value": solution_mass_g}},
        },
    )
    batch = answer["batch"]
    return MakeUp(
        solute=solute,
        solvent=solvent,
        solute_mass_g=round(batch["solute_mass_g"]["mean"], 3),
        solvent_mass_g=round(batch["solvent_mass_g"]["mean"], 3),
        solvent_volume_ml=round(batch["solvent_volume_ml"]["mean"], 2),
        basis=basis,
        written_percent=written_percent,
        solute_density_g_per_ml=solute_density_g_per_ml,
        solvent_density_g_per_ml=solvent_density_g_per_ml,
        density_origin=density_origin,
        instruction=batch["instruction"],
    )


def missing_in(reader: Reader, dossier_id: str, plan: Plan | None = None) -> list[Missing]:
    """Return what a proposal still owes, in the order in which it is asked."""
    plan = plan or plan_in(reader, dossier_id)
    return [
        *_missing_words(plan),
        *_missing_plan(plan, passings_in(reader, dossier_id)),
        *_missing_yes(plan, evidence_without_yes(reader, dossier_id)),
    ]


def _missing_words(plan: Plan) -> Iterator[Missing]:
    proposal = plan.proposal
    if NOT_KNOWN in (proposal.why_act, proposal.better_conditions_alone):
        yield Missing("Say why to act at all, and what better conditions alone would do", "why")
    if not proposal.aims:
        yield Missing("Choose the aims: prevent, stabilise, restore", "why")
    unsaid = [one.name for one in plan.options.rows if NOT_KNOWN in (one.result, one.risk)]
    if unsaid:
        yield Missing(f"Say result and risk of: {', '.join(unsaid)}", "options")
    if plan.options.chosen == NOT_KNOWN:
        yield Missing("Choose an option, with the reason", "options")


def _missing_plan(plan: Plan, passings: list[Passed]) -> Iterator[Missing]:
    proposal = plan.proposal
    if not plan.steps and plan.options.chosen != plan.options.nothing.name:
        yield Missing("Write the first step, with its stop rule", "steps")
    known = {material.number for material in plan.materials}
    for step in plan.steps:
        if not set(step.material_numbers) <= known:
            yield Missing(f"Step {step.number} names a material that was struck", "steps")
        if action(step.action_id).action == "filling" and not plan.fills:
            yield Missing("Say warrant, level and detection of what is filled", "fills")
    if coating_finding(proposal) and passing_of(passings, 11, "coating") is None:
        yield Missing(coating_finding(proposal), "surface")
    for words, name in (
        (proposal.sampling_asked, "Say whether samples are asked for"),
        (proposal.comes_back_when, "Say what would stop work and come back for consent"),
        (proposal.residual_risk, "Say which risk remains"),
        (proposal.environment_afterwards, "Say which conditions are needed afterwards"),
    ):
        if words == NOT_KNOWN:
            yield Missing(name, "limits")


def _missing_yes(plan: Plan, protected: set[int]) -> Iterator[Missing]:
    for step in plan.steps:
        for number in sorted(protected.intersection(step.on_zone_numbers)):
            yield Missing(
                f"Step {step.number} works in protected evidence {on_zone_name(number)} "
                "without a named yes",
                "wet",
            )


def _record(
    bench: Bench, author: Author, dossier_id: str, record: Any, *, subject_id: str, based_on: str
) -> Entry:
    with bench.store.writing() as writer:
        _refuse_unknown_numbers(writer, dossier_id, record)
        entry = append_numbered(
            bench, writer, author, dossier_id, record, subject_id=subject_id, based_on=based_on
        )
        writer.commit()
    return entry


_NAMED = {
    "mark_numbers": ("mark", "mark"),
    "body_zone_numbers": ("body_zone", "body zone"),
    "on_zone_numbers": ("on_zone", "zone on the body"),
    "material_numbers": ("plan_material", "material"),
}


def _refuse_unknown_numbers(reader: Reader, dossier_id: str, record: Any) -> None:
    for field, (kind, words) in _NAMED.items():
        wanted = set(getattr(record, field, ()))
        if not wanted:
            continue
        there = {one.number for _, one in current_records(reader, dossier_id, kind)}
        for number in sorted(wanted - there):
            raise InputError(
                f"There is no such {words} in this dossier",
                value=number,
                allowed=", ".join(map(str, sorted(there))) or "none is recorded",
            )


def _outlines(reader: Reader, dossier_id: str, records: Iterable[Any]) -> dict[str, str]:
    """Return the hash of every outline that the plan names: an area redrawn is another area."""
    named = list(records)
    found = {}
    for field, (kind, words) in _NAMED.items():
        wanted = {number for record in named for number in getattr(record, field, ())}
        if kind == "plan_material" or not wanted:
            continue
        for _, drawn in current_records(reader, dossier_id, kind):
            if drawn.number in wanted:
                outline = drawn.sightings if kind == "mark" else (drawn.view_id, drawn.rings)
                found[f"{words} {drawn.number}"] = sha256_text(canonical_json(as_plain(outline)))
    return found
