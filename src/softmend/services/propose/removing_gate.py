"""The gate before every agent: one way in for swabs, shelf, materials, steps, removals and log.

What is locked on ivory, bone, antler, horn or wood is opened by a person's recorded override of
that one rule. For fills, the one lock before wet work opens water too; it opens nothing else.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from softmend.catalogue.solvency_agent import AgentInput, known_parts
from softmend.catalogue.solvency_gate import Gate, ObjectFacts, gate, harm_rules
from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN, Certainty, HazardStatus
from softmend.records.entry import Entry
from softmend.records.removal import (
    LockOverride,
    SolventTurnedOn,
    checked_override,
    checked_turned_on,
)
from softmend.records.spot_test import LEAVES_RESIDUE, Carrier, Share
from softmend.records.wet_step import Way
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import opened
from softmend.services.propose.wet_steps import before_wet_in, locked_for
from softmend.services.recording import append_record, current_records
from softmend.services.store import Reader
from softmend.tables.solvents import Solvent, solvent

RESIDUES = "pesticide"
PIECE, OVERLAP = 200, 60
"""Letters of a text that are read as one name, and how many of them the next reads again."""
REMEDY = "Record under Locks who opens that rule for this object, and why; leaving it is an option"
_HOLDS = (
    (re.compile(r"(?<!silica )(?<!silica-)\b\w*(?:gels?|gelled)\b", re.IGNORECASE), Carrier.GEL),
    (
        re.compile(r"\b(?:poultices?|compress(?:es)?|kompressen?|cataplasms?)\b", re.IGNORECASE),
        Carrier.POULTICE,
    ),
    (re.compile(r"\b(?:dispersions?|emulsions?)\b", re.IGNORECASE), Carrier.DISPERSION),
    (re.compile(r"\bwet pulp\b|\bpulp (?:in|with|and)\b", re.IGNORECASE), Carrier.WET_PULP),
)
# Words that name what is kept away, or a thing: they are no liquid.
_NOT_A_LIQUID = re.compile(
    r"\b(?:acid|water|solvent|lignin)[- ]free\b|\bwater[- ]?(?:proof|resistant|mark\w*)\b"
    r"|\bsoda[- ]lime\b|\bwood(?:en)? pegs?\b|\b(?:without|no|never|not) (?:any |in )?water\b"
    r"|\bagarwood\b",
    re.IGNORECASE,
)


def residues_of(reader: Reader, dossier_id: str) -> str:
    """Return what is known of pesticide residues, in the words that computations take."""
    found = [
        hazard
        for _, _, hazard in opened(reader, dossier_id).hazards
        if RESIDUES in hazard.hazard.casefold()
    ]
    if any(one.status is HazardStatus.PRESENT for one in found):
        return "found"
    tested = bool(found) and all(one.status is HazardStatus.TESTED_CLEAR for one in found)
    return "none found" if tested else "not tested"


def residues_are_asked(reader: Reader, dossier_id: str) -> bool:
    """Say whether somebody recorded what is known of pesticide residues; "not tested" counts."""
    hazards = opened(reader, dossier_id).hazards
    return any(entry and RESIDUES in hazard.hazard.casefold() for _, entry, hazard in hazards)


def substrate_of(reader: Reader, dossier_id: str) -> str:
    """Return what the object is made of in words, what keeps it locked first; else not known."""
    held = locked_for(reader, dossier_id)
    if held not in ("", "material not known") and not held.endswith("(not identified)"):
        return held[:500]
    materials = opened(reader, dossier_id).object_head.materials
    sure = [one.material for one in materials if one.certainty is not Certainty.NOT_KNOWN]
    if len(sure) < len(materials):
        sure.append(NOT_KNOWN)
    return ("; ".join(sure) or NOT_KNOWN)[:500]


def overrides_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, LockOverride]]:
    """Return the locks that a person opened for this object."""
    return current_records(reader, dossier_id, "lock_override")


def turned_on_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, SolventTurnedOn]]:
    """Return the restricted solvents that a person turned on for this object."""
    return current_records(reader, dossier_id, "solvent_turned_on")


def lock_names() -> tuple[str, ...]:
    """Return the names of the locks."""
    return tuple(one.name for one in harm_rules() if one.level.value == "locked")


def object_facts(reader: Reader, dossier_id: str) -> dict[str, Any]:
    """Return the object as far as harm goes, as every computation about agents takes it."""
    return {
        "substrate": substrate_of(reader, dossier_id),
        "pesticide_residues": residues_of(reader, dossier_id),
        "overrides": [
            {"rule": one.rule, "by": one.decided_by, "because": one.because}
            for _, one in overrides_in(reader, dossier_id)
        ],
        "turned_on": [
            {"solvent": one.solvent, "by": one.decided_by, "because": one.because}
            for _, one in turned_on_in(reader, dossier_id)
        ],
    }


def open_lock(bench: Bench, author: Author, dossier_id: str, override: LockOverride) -> Entry:
    """Record that a person opens one lock for this object; a later decision follows it."""
    checked = checked_override(override, lock_names())
    return _decided(bench, author, dossier_id, f"lock:{checked.rule}", checked)


def turn_on(bench: Bench, author: Author, dossier_id: str, turned: SolventTurnedOn) -> Entry:
    """Record that a person turns a restricted solvent on for this object."""
    found = solvent(turned.solvent)
    checked = checked_turned_on(SolventTurnedOn(found.id, turned.decided_by, turned.because))
    return _decided(bench, author, dossier_id, f"on:{found.id}", checked)


def listed_solvent(name: str) -> Solvent | None:
    """Return a solvent of the table by any of its names, or None."""
    try:
        return solvent(name)
    except InputError:
        return None


def shares_payload(shares: Sequence[Share]) -> list[dict[str, Any]]:
    """Return liquids as computations take them; what the table lacks is known by its name alone."""
    return [
        {"solvent": one.solvent, "volume_percent": one.volume_percent}
        | ({} if listed_solvent(one.solvent) else {"own": {}})
        for one in shares
    ]


def agent_payload(
    shares: Sequence[Share],
    carrier: Carrier = Carrier.SWAB,
    carrier_name: str = NOT_KNOWN,
    carrier_shares: Sequence[Share] | None = None,
) -> dict[str, Any]:
    """Return an agent as computations take it."""
    return {
        "parts": shares_payload(shares),
        "carrier": carrier.value,
        "carrier_name": "" if carrier_name == NOT_KNOWN else carrier_name,
        "carrier_parts": None if carrier_shares is None else shares_payload(carrier_shares),
    }


def gate_of(facts: Mapping[str, Any], agent: Mapping[str, Any]) -> Gate:
    """Return what forbids an agent on this object, and what is to be warned of."""
    asked = AgentInput.model_validate(agent)
    return gate(asked, known_parts(asked.parts), ObjectFacts.model_validate(facts))


def refuse_locked_agent(reader: Reader, dossier_id: str, agent: Mapping[str, Any]) -> Gate:
    """Refuse an agent that is locked on this object and that nobody opened."""
    found = gate_of(object_facts(reader, dossier_id), agent)
    if found.forbidden:
        raise RuleError("; ".join(found.forbidden), remedy=REMEDY)
    return found


def refuse_locked_words(
    reader: Reader, dossier_id: str, texts: Iterable[str], liquids: Sequence[str] = ()
) -> None:
    """Refuse materials named in words when they are, or carry, what is locked on this object.

    `liquids` are those that a preparation is known to be made up with; a gel, a poultice, a
    dispersion or a wet pulp without one may hold water.
    """
    said = [one for one in map(_plain, (*texts, *liquids)) if one not in ("", NOT_KNOWN)]
    if not said:
        return
    facts = object_facts(reader, dossier_id)
    _, before = before_wet_in(reader, dossier_id)
    if before.way is not Way.LOCKED:
        opened_by = {"rule": "water", "by": before.way_by, "because": before.way_because}
        facts["overrides"] = [*facts["overrides"], opened_by]
    carried = [Share(one) for one in map(_plain, liquids) if one] or None
    found: list[str] = []
    for text in said:
        carrier = next((one for pattern, one in _HOLDS if pattern.search(text)), Carrier.SWAB)
        holds = carried if carrier in LEAVES_RESIDUE else None
        named = NOT_KNOWN if listed_solvent(text) else text
        # A name is short; a long text is read in pieces that overlap, so that no word is cut.
        for begin in range(0, max(1, len(text) - OVERLAP), PIECE - OVERLAP):
            piece = text[begin : begin + PIECE]
            agent = agent_payload([Share(piece)], carrier, named[:PIECE], holds)
            found += gate_of(facts, agent).locked
    if found:
        raise RuleError("; ".join(dict.fromkeys(found)), remedy=REMEDY)


def refuse_unread_liquid(reader: Reader, dossier_id: str, name: str) -> None:
    """Refuse a liquid by a name that tells nothing of what it holds."""
    named = _plain(name)
    if named in ("", NOT_KNOWN):
        return
    found = gate_of(object_facts(reader, dossier_id), agent_payload([Share(named[:PIECE])])).unread
    if found:
        raise RuleError("; ".join(found), remedy=REMEDY)


def refuse_locked_tool(reader: Reader, dossier_id: str, *texts: str) -> None:
    """Refuse a tool whose words bring what is locked here: steam, a damp sponge, a wet stone."""
    facts = object_facts(reader, dossier_id)
    found: list[str] = []
    for text in map(_plain, texts):
        if text not in ("", NOT_KNOWN):
            found += gate_of(facts, agent_payload([Share(text[:PIECE])])).locked
    if found:
        raise RuleError("; ".join(dict.fromkeys(found)), remedy=REMEDY)


def _plain(text: str) -> str:
    return " ".join(_NOT_A_LIQUID.sub(" ", text).split())


def _decided(bench: Bench, author: Author, dossier_id: str, about: str, record: Any) -> Entry:
    subject_id = f"{dossier_id}:{about}"
    with bench.store.writing() as writer:
        writer.head(dossier_id)
        standing = writer.latest(
            "lock_override" if isinstance(record, LockOverride) else "solvent_turned_on",
            subject_id,
        )
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=subject_id,
            record=record,
            based_on=standing.id if standing else "",
        )
        writer.commit()
    return entry
