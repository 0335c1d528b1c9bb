"""The gate that every agent passes: locks of the substrate, restricted solvents, residues."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, model_validator

from softmend.catalogue.computation import Model, Words
from softmend.catalogue.solvency_agent import AgentInput, Known, Name, Part, known
from softmend.catalogue.solvency_named import liquids_named, rest_is_unnamed, solvent_groups
from softmend.errors import InputError
from softmend.tables.solvents import solvent

if TYPE_CHECKING:
    from softmend.science.solvency.harm import Agent, Finding, Rule

REST = "the rest of “{text}”, which nobody named and may be water"
CONTENTS = "contents not known"
UNREAD = (
    "“{name}” is not in the table and nobody said what it holds: it may be water, an acid or a "
    "glycol, which are locked on {substrate}; read its label and write that behind the name, such "
    "as “{name} (white spirit)”; else only a person's recorded override of “{rule}” opens it"
)


class Override(Model):
    """A person's recorded decision that one rule does not hold here: which, who, why."""

    rule: Name
    by: Words
    because: Words


class TurnedOn(Model):
    """A restricted solvent that a person turns on: which, who, why."""

    solvent: Name
    by: Words
    because: Words


class ObjectFacts(Model):
    """The object as far as harm goes; an organic or unknown substrate keeps wet agents locked."""

    substrate: Words = "not known"
    pesticide_residues: Literal["not tested", "none found", "found"] = "not tested"
    overrides: Annotated[list[Override], Field(max_length=20, default_factory=list)]
    turned_on: Annotated[list[TurnedOn], Field(max_length=20, default_factory=list)]

    @model_validator(mode="before")
    @classmethod
    def _bare_substrate(cls, data: Any) -> Any:
        return {"substrate": data} if isinstance(data, str) else data


@lru_cache(maxsize=1)
def harm_rules() -> tuple[Rule, ...]:
    """Return the rules of harm, read from the table."""
    from softmend.science.solvency.harm import Level, Rule
    from softmend.tables.solvency import harm_rules as rows

    def words(text: object) -> list[str]:
        return [one.strip() for one in str(text).split(";") if one.strip()]

    return tuple(
        Rule(
            str(row["rule"]), Level(str(row["level"])), frozenset(words(row["solvents"])),
            frozenset(words(row["groups"])), tuple(words(row["words"])),
            row["substrates"] == "careful", str(row["because"]),
            tuple(
                place
                for one in map(solvent, words(row["solvents"]))
                for place in (one.position, *one.other_positions)
            ),
        )
        for row in rows()
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Gate:
    """What the rules say of one agent: why it may not be used, and what to be warned of.

    `unread` holds names that tell no liquid. On an agent they forbid it; in the words for a tool or
    a material, which need not be a liquid, they do not.
    """

    locked: tuple[str, ...]
    unread: tuple[str, ...]
    warned: tuple[str, ...]

    @property
    def forbidden(self) -> tuple[str, ...]:
        """Why the agent may not be used, be it known or unread."""
        return (*self.locked, *self.unread)


def gate(agent: AgentInput, parts: Sequence[Known], facts: ObjectFacts) -> Gate:
    """Return whether an agent may touch this object; every proposal passes here."""
    from softmend.science.solvency import harm
    from softmend.tables.solvency import substrate_words

    carried = agent.carrier_parts
    brought = None if carried is None else [known(one) for one in carried]
    hidden = _hidden([*parts, *(brought or ())], agent.carrier_name)
    asked: Agent = harm.Agent(
        tuple(_part(one) for one in (*parts, *hidden)),
        agent.carrier,
        None if brought is None else tuple(_part(one) for one in brought),
        agent.carrier_name,
    )
    careful = harm.is_careful(facts.substrate, *substrate_words())
    met = harm.findings(asked, harm_rules(), careful=careful)
    opened = [harm.Override(one.rule, one.by, one.because) for one in facts.overrides]
    _refuse_unknown_rules(opened)
    clear = facts.pesticide_residues == "none found"
    locked = harm.still_locked(met, opened, residues_clear=clear)
    off = _restricted([*parts, *(brought or ()), *hidden], facts.turned_on)
    warned = [f"{one.part}: {one.because}" for one in met if one not in locked]
    tells = {one.part for one in met}
    unread = [one.name for one in (*parts, *(brought or ())) if _is_unread(one, tells)]
    opens = {one.rule for one in opened}
    words = [UNREAD.format(name=one, substrate=facts.substrate, rule=CONTENTS) for one in unread]
    return Gate(
        tuple(dict.fromkeys([*(_lock_text(one, facts) for one in locked), *off])),
        tuple(dict.fromkeys(words)) if careful and CONTENTS not in opens else (),
        tuple(dict.fromkeys(warned)),
    )


def _is_unread(one: Known, tells: set[str]) -> bool:
    """Say whether nothing is known of a liquid but its name, and the name tells nothing."""
    if one.id or one.position is not None or one.group.casefold() in solvent_groups():
        return False
    return _said(one) not in tells and not liquids_named(_said(one))


def _said(one: Known) -> str:
    """Return what words say of a liquid: of a typed one the family as well, "X, a glycol"."""
    return one.name if one.id or not one.group else f"{one.name}, {one.group}"


def _hidden(parts: Iterable[Known], carrier_name: str) -> list[Known]:
    """Return the liquids that words name: in a preparation, a carrier, or by what is left out."""
    typed = [one.name for one in parts if not one.id]
    texts = [*typed, carrier_name] if carrier_name else typed
    found = {one.id: known(Part(solvent=one.id)) for text in texts for one in liquids_named(text)}
    for text in texts:
        if rest_is_unnamed(text):
            rest = replace(known(Part(solvent="water")), name=REST.format(text=text))
            found[rest.name] = rest
    return list(found.values())


def _part(one: Known) -> Any:
    from softmend.science.solvency.harm import Part as HarmPart

    return HarmPart(_said(one), one.id, one.group, one.position)


def _refuse_unknown_rules(opened: Iterable[Any]) -> None:
    names = [one.name for one in harm_rules() if one.level.value == "locked"]
    for one in opened:
        if one.rule not in names:
            raise InputError(
                "There is no lock of that name", value=one.rule, allowed=", ".join(names)
            )


def _lock_text(one: Finding, facts: ObjectFacts) -> str:
    if one.level.value == "residues":
        return f"{one.part}: {one.because}; residues: {facts.pesticide_residues}"
    return (
        f"{one.part} is locked on {facts.substrate} (rule “{one.rule}”): {one.because}; only a "
        "person's recorded override opens it"
    )


def _restricted(parts: Iterable[Known], turned_on: Iterable[TurnedOn]) -> list[str]:
    on = set()
    for one in turned_on:
        if not one.by.strip() or not one.because.strip():
            raise InputError(
                f"Turning on {one.solvent} needs a name and a reason",
                allowed="who decides, and why",
            )
        on.add(solvent(one.solvent).id)
    return [
        f"{one.name} is restricted ({one.note or 'see its safety data sheet'}): off until a person "
        "turns it on with a reason"
        for one in parts
        if one.status == "restricted" and one.id not in on
    ]
