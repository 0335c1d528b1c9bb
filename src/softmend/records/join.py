"""Joins: the order of assembly as a small graph without cycles, and what each join was made with.

A join is named by a word of the bench ("J3"); it may ask for other joins to be made before it.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN


@dataclass(frozen=True)
class PlannedJoin:
    """One join of the plan: its name, the two or more pieces that meet, and what comes first."""

    name: str
    pieces: tuple[str, ...]
    after: tuple[str, ...] = ()


@dataclass(frozen=True)
class Assembly:
    """The joins of an object and their order, decided before the first adhesive."""

    joins: tuple[PlannedJoin, ...] = ()


@dataclass(frozen=True)
class JoinMade:
    """What a log entry says of one join; the adhesive is among the entry's materials.

    `dry_fit_by_id` is the person who signed the dry fit.
    """

    name: str
    dry_fit_by_id: str
    dry_fit_on: str
    fragment_ids: tuple[str, ...] = ()
    clamp: str = NOT_KNOWN
    cure_hours: float | None = None
    fit_observed: str = NOT_KNOWN


def assembly_order(joins: Sequence[PlannedJoin]) -> tuple[str, ...]:
    """Return the names of the joins so that each stands behind what must come before it."""
    names = [join.name for join in joins]
    for name in names:
        if not name.strip() or names.count(name) > 1:
            raise InputError(
                "Each join has a name of its own", value=name or "nothing", remedy="Rename it"
            )
    for join in joins:
        unknown = [name for name in join.after if name not in names]
        if unknown:
            raise InputError(
                f"Join {join.name} waits for a join that is not there",
                value=", ".join(unknown),
                allowed=", ".join(names),
            )
    try:
        return tuple(TopologicalSorter({join.name: join.after for join in joins}).static_order())
    except CycleError as cycle:
        circle = " after ".join(str(name) for name in cycle.args[1])
        raise RuleError(
            f"These joins wait for each other: {circle}",
            remedy="Take one “after” away; a piece that is locked out cannot be put in later",
        ) from cycle


def check_join_may_be_made(join: JoinMade, assembly: Assembly, made: Collection[str]) -> None:
    """Refuse a join without a signed dry fit, or before one that must come first."""
    if not join.dry_fit_by_id or join.dry_fit_on in ("", NOT_KNOWN):
        raise RuleError(
            f"Join {join.name} has no signed dry fit",
            remedy="Fit it dry first; then say who saw it fit, and on which day",
        )
    locked = [name for name in _waited_for(join.name, assembly.joins) if name not in made]
    if locked:
        raise RuleError(
            f"Join {join.name} comes after {', '.join(locked)}",
            remedy="Make that first, or change the order of assembly",
        )


def locked_out(joins: Iterable[PlannedJoin], made: Collection[str]) -> tuple[str, ...]:
    """Return the joins that still wait for another one."""
    return tuple(
        join.name
        for join in joins
        if join.name not in made and any(name not in made for name in join.after)
    )


def _waited_for(name: str, joins: Sequence[PlannedJoin]) -> tuple[str, ...]:
    return next((join.after for join in joins if join.name == name), ())
