"""What an agent may do to the object: rules, never a distance on a chart.

Hansen distances call water safe for horn and wood. It is not. So water, what swells like it, acids
and every carrier that holds them are locked on organic materials until a person says otherwise.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np

from softmend.errors import InputError
from softmend.science.solvency.hansen import distance

HOLDS_LIQUID = ("gel", "poultice", "dispersion", "wet pulp")
"""Carriers that bring a liquid of their own; one that is not named may be water."""
CARRIERS = ("swab", "drop", "brush", "tissue", "vapour", *HOLDS_LIQUID)
ALIKE = 1.0
"""In MPa^0.5: a liquid typed with its own numbers this near to a locked one is that one."""
BONDS_LIKE_WATER = 23.0
"""Hydrogen part in MPa^0.5 from which a typed liquid is taken for water or a glycol."""
SAYS_NO_MATERIAL = frozenset(
    ("a", "an", "and", "the", "of", "on", "in", "with", "or", "old", "ancient", "white", "black",
     "red", "green", "blue", "grey", "gray", "yellow", "brown", "clear", "cast", "blown", "forged",
     "wrought", "carved", "cut", "polished", "glazed", "unglazed", "fired", "plated", "sheet",
     "vessel", "bowl", "vase", "plate", "cup", "dish", "bottle", "figure", "bust", "statue", "tile",
     "tiles", "fragment", "fragments", "body", "relief", "medal", "coin", "blade", "object")
)  # fmt: skip
"""Words beside a material that name none themselves; any other unknown word is taken for one."""


class Level(StrEnum):
    """What a rule does."""

    LOCKED = "locked"
    WARNED = "warned"
    RESIDUES = "residues"


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of harm: which solvents, groups and words it is for, and why.

    `alike` holds the positions of its solvents [MPa^0.5], so that other names do not hide them.
    A word is looked for where a word begins, without accents; `*` before it finds it inside a word
    as well, `$` behind it asks that the word ends there.
    """

    name: str
    level: Level
    solvents: frozenset[str]
    groups: frozenset[str]
    words: tuple[str, ...]
    is_for_careful_only: bool
    because: str
    alike: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """A liquid of an agent: the id and group that the table has, or none, and its own numbers."""

    name: str
    solvent_id: str = ""
    group: str = ""
    position: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Agent:
    """What touches the object: liquids, a carrier, and the carrier's own liquids.

    `carried` is None when nobody has said what the carrier is made up with.
    """

    parts: tuple[Part, ...]
    carrier: str = "swab"
    carried: tuple[Part, ...] | None = None
    carrier_name: str = ""


@dataclass(frozen=True, slots=True)
class Override:
    """A person's recorded decision that one rule does not hold here."""

    rule: str
    by: str
    because: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule that an agent meets: which part meets it, and why it matters."""

    rule: str
    level: Level
    part: str
    because: str


def is_careful(substrate: str, careful: Iterable[str], other: Iterable[str]) -> bool:
    """Return whether an object takes the careful path: it is organic, or not known.

    Parameters
    ----------
    substrate : str, what the object is made of, in the person's words
    careful, other : iterable of str, words for organic materials, and for others

    Returns
    -------
    bool, true unless every word for a material is one of the others

    Source: own; softmend-practice, cautions 4 and 13.
    Checked against: tests/science/solvency/test_harm.py.

    Example
    -------
    >>> is_careful("limewood", ["wood"], ["glass"]), is_careful("glass", ["wood"], ["glass"])
    (True, False)
    """
    text = substrate.casefold()
    organic = "|".join(re.escape(one) for one in careful)
    said = [one for one in re.findall(r"\w+", text) if one not in SAYS_NO_MATERIAL]
    if not said or (organic and re.search(organic, text)):
        return True
    return not set(said) <= {one.casefold() for one in other}


def findings(agent: Agent, rules: Sequence[Rule], *, careful: bool) -> tuple[Finding, ...]:
    """Return every rule that an agent meets on an object, by any route.

    Parameters
    ----------
    agent : Agent
    rules : sequence of Rule
    careful : bool, whether the object takes the careful path

    Returns
    -------
    tuple of Finding, locks first

    Raises
    ------
    InputError
        When the carrier is not known.

    Source: own; softmend-solvents, section 6.
    Checked against: tests/science/solvency/test_harm.py.

    Example
    -------
    >>> water = Rule("water", Level.LOCKED, frozenset({"water"}), frozenset(), ("water",), True, "")
    >>> [one.part for one in findings(Agent((), "gel"), [water], careful=True)]
    ['the gel whose liquid is not named']
    """
    if agent.carrier not in CARRIERS:
        raise InputError(
            "The carrier is not known", value=agent.carrier, allowed=", ".join(CARRIERS)
        )
    liquids = (*agent.parts, *(agent.carried or ()))
    met = [
        Finding(rule.name, rule.level, part.name, rule.because)
        for rule in rules
        if careful or not rule.is_for_careful_only
        for part in liquids
        if _meets(part, rule)
    ]
    hides = agent.carrier in HOLDS_LIQUID and agent.carried is None
    for rule in rules:
        applies = careful or not rule.is_for_careful_only
        if applies and hides and "water" in rule.solvents:
            name = f"the {agent.carrier} whose liquid is not named"
            met.append(Finding(rule.name, rule.level, name, "it may hold water"))
        elif applies and agent.carrier_name and _has_word(agent.carrier_name, rule):
            met.append(Finding(rule.name, rule.level, agent.carrier_name, rule.because))
    return tuple(sorted(dict.fromkeys(met), key=lambda one: one.level is not Level.LOCKED))


def still_locked(
    met: Sequence[Finding], overrides: Sequence[Override], *, residues_clear: bool
) -> tuple[Finding, ...]:
    """Return the findings that forbid an agent: those no person has overridden.

    What carries residues through skin is forbidden until they were looked for and not found.

    Parameters
    ----------
    met : sequence of Finding
    overrides : sequence of Override, each with a name and a reason
    residues_clear : bool, whether pesticide residues were tested for and not found

    Returns
    -------
    tuple of Finding, empty when nothing forbids it; that is not the same as safe

    Raises
    ------
    InputError
        When an override has no name or no reason.

    Source: own; softmend-solvents, section 6.
    Checked against: tests/science/solvency/test_harm.py.

    Example
    -------
    >>> wet = Finding("water", Level.LOCKED, "water", "swells")
    >>> still_locked([wet], [Override("water", "I. Invented", "dry shaft, 2 s")],
    ...              residues_clear=False)
    ()
    """
    for one in overrides:
        if not one.by.strip() or not one.because.strip():
            raise InputError(
                f"The override of “{one.rule}” needs a name and a reason",
                allowed="who decides, and why",
            )
    opened = {one.rule for one in overrides}
    return tuple(
        one for one in met
        if (one.level is Level.LOCKED and one.rule not in opened)
        or (one.level is Level.RESIDUES and not residues_clear)
    )  # fmt: skip


def _meets(part: Part, rule: Rule) -> bool:
    if part.solvent_id:
        return part.solvent_id in rule.solvents or part.group in rule.groups
    if _has_word(part.name, rule):
        return True
    if part.position is None:
        return False
    if "water" in rule.solvents and part.position[2] >= BONDS_LIKE_WATER:
        return True
    near = [float(distance(part.position, one)) <= ALIKE for one in rule.alike]
    return bool(np.any(near))


def _has_word(text: str, rule: Rule) -> bool:
    words = _unaccented(text)
    return any(re.search(_pattern(one), words) for one in rule.words)


@lru_cache(maxsize=1024)
def _pattern(word: str) -> str:
    begins = "" if word.startswith("*") else r"\b"
    ends = r"\b" if word.endswith("$") else ""
    return begins + re.escape(_unaccented(word.lstrip("*").rstrip("$"))) + ends


def _unaccented(text: str) -> str:
    """Return a text in small letters, without accents: "Säure" and "saure" are one word."""
    parts = unicodedata.normalize("NFKD", text.casefold())
    return "".join(one for one in parts if not unicodedata.combining(one))
