"""The day log: entries appended, corrected by a further entry, told with both dates."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from softmend.errors import InputError, NotFoundError, RuleError
from softmend.records.action import (
    Action,
    check_correction,
    check_hidden_is_answered,
    check_wet_is_explained,
    checked_action,
    is_late,
)
from softmend.records.entry import Entry
from softmend.records.join import Assembly, assembly_order, check_join_may_be_made
from softmend.records.kinds import record_in
from softmend.records.material import MaterialTotal, Moved, material_totals
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day, day_of
from softmend.services.numbered import append_numbered
from softmend.services.propose.consents import require_consent
from softmend.services.propose.removing_routes import refuse_locked_log
from softmend.services.propose.wet_steps import wet_step_findings
from softmend.services.recording import current_record, current_records, record_one
from softmend.services.store import Reader, Writer
from softmend.services.treat.fragments import append_bonded
from softmend.services.treat.treatment_words import actions


@dataclass(frozen=True)
class Logged:
    """One log entry as it is read: the newest statement, who, and on which two days."""

    entry: Entry
    action: Action
    words: str
    written_on: str
    is_late: bool
    by_ids: tuple[str, ...]
    earlier: tuple[Action, ...]


def action_words(action: str) -> str:
    """Return what was done, in words; an action of the house's table by its name."""
    if not action:
        return "to be sorted"
    term = actions().get(action)
    return term.action if term else action


def log_action(
    bench: Bench,
    author: Author,
    dossier_id: str,
    action: Action,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Append a log entry, or a correction of one; a join bonds the fragments it names.

    A step of the plan needs a consent that stands, or a named person's pass (rule 2).
    """
    subject_id = subject_id or bench.fresh_id()
    with bench.store.writing() as writer:
        if writer.latest("action", subject_id) is not None:
            _, before = current_record(writer, dossier_id, "action", subject_id)
            action = replace(action, number=before.number)
            check_correction(before, action)
            is_planned = action.plan_step_id not in ("", before.plan_step_id)
        else:
            is_planned = bool(action.plan_step_id)
        checked = checked_action(action, bench_day(bench))
        _check_term(writer, dossier_id, checked)
        _check_named(writer, dossier_id, checked)
        refuse_locked_log(writer, dossier_id, checked)
        if is_planned:
            require_consent(writer, dossier_id)
        _bond(bench, writer, author, dossier_id, checked, subject_id)
        entry = append_numbered(
            bench, writer, author, dossier_id, checked, subject_id=subject_id, based_on=based_on
        )
        writer.commit()
    return entry


def repeat_last(bench: Bench, author: Author, dossier_id: str) -> Entry:
    """Log once more what this person logged last, today."""
    with bench.store.reading() as reader:
        last = last_of(reader, dossier_id, author.person_id)
    if last is None:
        raise NotFoundError("There is no earlier entry of yours to repeat", remedy="Log the first")
    if last.action.join is not None:
        raise RuleError("A join is made once", remedy="Log the next join with its own dry fit")
    again = replace(
        last.action,
        done_on=bench_day(bench),
        hidden_view_ids=(),
        view_ids=(),
        paper_ids=(),
        consolidation=None,
        correction_because="",
    )
    return log_action(bench, author, dossier_id, again)


def last_of(reader: Reader, dossier_id: str, person_id: str) -> Logged | None:
    """Return the newest sorted log entry that a person wrote, or None."""
    theirs = [
        one
        for one in log_of(reader, dossier_id)
        if one.by_ids[0] == person_id and one.action.is_sorted
    ]
    return theirs[-1] if theirs else None


def log_of(reader: Reader, dossier_id: str) -> list[Logged]:
    """Return the log in the order of its numbers; each tells what it said before."""
    histories: dict[str, list[Entry]] = {}
    for entry in reader.entries(dossier_id):
        if entry.kind == "action":
            histories.setdefault(entry.subject_id, []).append(entry)
    return [
        _logged(entry, action, histories[entry.subject_id])
        for entry, action in current_records(reader, dossier_id, "action")
    ]


def logged(reader: Reader, dossier_id: str, subject_id: str) -> Logged:
    """Return one log entry."""
    entry, action = current_record(reader, dossier_id, "action", subject_id)
    return _logged(entry, action, reader.history("action", subject_id))


def plan_assembly(
    bench: Bench, author: Author, dossier_id: str, assembly: Assembly, based_on: str
) -> Entry:
    """Record the joins and their order; a circle is refused."""
    for join in assembly.joins:
        if len(set(join.pieces)) < 2:
            raise InputError(f"Join {join.name} needs two pieces that meet")
    assembly_order(assembly.joins)
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=dossier_id,
        record=assembly,
        based_on=based_on,
    )


def assembly_of(reader: Reader, dossier_id: str) -> tuple[str, Assembly]:
    """Return the planned joins and the entry that holds them, "" while there is none."""
    found = current_records(reader, dossier_id, "assembly")
    return (found[0][0].id, found[0][1]) if found else ("", Assembly())


def joins_made(reader: Reader, dossier_id: str) -> list[str]:
    """Return the names of the joins that the log says are made."""
    actions = current_records(reader, dossier_id, "action")
    return [action.join.name for _, action in actions if action.join is not None]


def plan_steps(reader: Reader, dossier_id: str) -> list[tuple[str, str]]:
    """Return the steps of the plan: the id of each and how a person names it."""
    steps = current_records(reader, dossier_id, "plan_step")
    in_order = sorted(steps, key=lambda held: (held[1].place, held[1].number))
    return [(entry.subject_id, f"{step.number} {step.what}") for entry, step in in_order]


def contributors(log: Iterable[Logged]) -> list[str]:
    """Return the ids of everybody who took part, in the order of their first entry."""
    return list(dict.fromkeys(person_id for one in log for person_id in one.by_ids))


def moved_in(log: Iterable[Logged]) -> list[Moved]:
    """Return every movement of matter in the log."""
    return [moved for one in log for moved in one.action.moved]


def totals_of(log: Iterable[Logged]) -> tuple[MaterialTotal, ...]:
    """Return materials put on and taken off, with their totals."""
    return material_totals(moved_in(log))


def _logged(entry: Entry, action: Action, history: list[Entry]) -> Logged:
    first, earlier = history[0], [one for one in history if one.number < entry.number]
    return Logged(
        entry=entry,
        action=action,
        words=action_words(action.action),
        written_on=day_of(first.at),
        is_late=is_late(action, day_of(first.at)),
        by_ids=tuple(dict.fromkeys((first.author_id, *action.also_by_ids))),
        earlier=tuple(
            record_in(one) for one in earlier if one.kind == "action" and one.payload is not None
        ),
    )


def _check_term(reader: Reader, dossier_id: str, action: Action) -> None:
    term = actions().get(action.action)
    if term is None:
        return
    check_hidden_is_answered(action, hides=term.hides)
    if term.is_wet:
        owed = [finding.problem for finding in wet_step_findings(reader, dossier_id)]
        check_wet_is_explained(action, owed)


def _check_named(reader: Reader, dossier_id: str, action: Action) -> None:
    """Refuse what names something that is not in this dossier, or a batch not yet made."""
    named = [("mark", action.mark_ids), ("view", (*action.view_ids, *action.hidden_view_ids))]
    named += [
        ("paper", action.paper_ids),
        ("plan_step", tuple(filter(None, (action.plan_step_id,)))),
    ]
    for kind, ids in named:
        for each in ids:
            current_record(reader, dossier_id, kind, each)
    for zone_id in action.zone_ids:
        _check_zone(reader, dossier_id, zone_id)
    for moved in action.moved:
        if moved.batch_id:
            _, batch = current_record(reader, dossier_id, "batch", moved.batch_id)
            if action.done_on < batch.made_on:
                raise InputError(
                    f"Batch {batch.number} was not made yet",
                    value=action.done_on,
                    allowed=f"from {batch.made_on}",
                    remedy="Correct the day, or choose the batch that was in use",
                )
    known = {person.id for person in reader.people()}
    helpers = (*action.also_by_ids, *([action.join.dry_fit_by_id] if action.join else ()))
    if not known.issuperset(filter(None, helpers)):
        raise NotFoundError("Somebody named here is not on the list of people", remedy="Add them")


def _check_zone(reader: Reader, dossier_id: str, zone_id: str) -> None:
    for kind in ("body_zone", "on_zone"):
        entry = reader.latest(kind, zone_id)
        if entry is not None and entry.kind == kind and entry.dossier_id == dossier_id:
            return
    raise NotFoundError("There is no such zone in this dossier")


def _bond(
    bench: Bench,
    writer: Writer,
    author: Author,
    dossier_id: str,
    action: Action,
    subject_id: str,
) -> None:
    join = action.join
    if join is None:
        return
    others = [
        each.join.name
        for entry, each in current_records(writer, dossier_id, "action")
        if each.join is not None and entry.subject_id != subject_id
    ]
    check_join_may_be_made(join, assembly_of(writer, dossier_id)[1], others)
    for fragment_id in join.fragment_ids:
        append_bonded(
            bench,
            writer,
            author,
            dossier_id,
            fragment_id,
            place=join.name,
            second_id=join.dry_fit_by_id,
        )
