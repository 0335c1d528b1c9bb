"""Coatings, layers to keep, rules of harm, the order of swabs, and which solvents mix."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from softmend.errors import NotFoundError
from softmend.tables import Row, table

NOT_KNOWN = "not known"
MIXING = ("mixes", "mixes when dry")
"""The states of a pair that may be mixed."""


def coatings() -> list[Row]:
    """Return the classes of coatings with their spheres and weights, in the table's order.

    Returns
    -------
    list of rows [MPa^0.5; weights 1]

    Source: softmend-solvents, section 2.1.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> coatings()[0]["class"]
    'acrylic'
    """
    return list(table("coating_classes").rows)


def coating(name: str) -> Row:
    """Return one class of coating by its id, its name, or its group when that has but one.

    Parameters
    ----------
    name : str, in any case

    Returns
    -------
    row of the table [MPa^0.5]

    Raises
    ------
    NotFoundError
        When there is none, or the group has several.

    Source: softmend-solvents, section 2.1.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> coating("PVAc")["radius_sqrt_mpa"]
    13.7
    """
    wanted = name.casefold().strip()
    rows = coatings()
    for column in ("id", "name", "class"):
        found = [row for row in rows if str(row[column]).casefold() == wanted]
        if len(found) == 1:
            return found[0]
    raise NotFoundError(
        "There is no one class of coating of that name",
        value=name,
        allowed=", ".join(str(row["id"]) for row in rows),
        remedy="Name one of these, or type a sphere of your own",
    )


def keep_layer(name: str) -> Row:
    """Return a layer that must not move, by its name.

    Parameters
    ----------
    name : str, in any case

    Returns
    -------
    row of the table, with the class of coating that stands for the layer

    Raises
    ------
    NotFoundError
        When there is none.

    Source: softmend-solvents, section 5.2.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> keep_layer("oil paint")["coating"]
    'oil'
    """
    rows = table("keep_layers").rows
    for row in rows:
        if str(row["layer"]).casefold() == name.casefold().strip():
            return row
    raise NotFoundError(
        "There is no layer to be kept of that name",
        value=name,
        allowed=", ".join(str(row["layer"]) for row in rows),
    )


def substrate_words() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the words for materials on the careful path, and for the others.

    Returns
    -------
    tuple of two tuples of str

    Source: softmend-solvents, section 6.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> "ivory" in substrate_words()[0], "glass" in substrate_words()[1]
    (True, True)
    """
    rows = table("substrates").rows
    locked = tuple(str(row["word"]) for row in table("wet_locked").rows)
    careful = tuple(str(row["word"]) for row in rows if row["path"] == "careful")
    return (*locked, *careful), tuple(str(row["word"]) for row in rows if row["path"] == "other")


def harm_rules() -> list[Row]:
    """Return the rules of harm to objects, in the table's order.

    Returns
    -------
    list of rows

    Source: softmend-solvents, section 6.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> harm_rules()[0]["rule"]
    'water'
    """
    return list(table("substrate_harm").rows)


def swab_steps() -> list[Row]:
    """Return the steps of the order of harm, mildest first.

    Returns
    -------
    list of rows

    Source: softmend-solvents, section 3.3.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> swab_steps()[0]["name"]
    'aliphatic hydrocarbon'
    """
    return sorted(table("swab_order").rows, key=lambda row: float(row["step"] or 0))


def outcome_words(of: str) -> dict[str, str]:
    """Return the fixed scale of outcomes in its order, with the sentence for each.

    Parameters
    ----------
    of : str, "coating" or "object"

    Returns
    -------
    dict, outcome to sentence

    Source: softmend-solvents, section 3.3.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> list(outcome_words("coating"))
    ['none', 'swells', 'softens', 'dissolves']
    """
    rows = [row for row in table("spot_outcomes").rows if row["of"] == of]
    return {str(row["outcome"]): str(row["wording"]) for row in rows}


@dataclass(frozen=True, slots=True)
class Mixing:
    """Whether two solvents mix, what is known of it, and how it is known."""

    state: str
    note: str
    kind: str

    @property
    def may_be_mixed(self) -> bool:
        """Whether the pair is known to mix; not known is no."""
        return self.state in MIXING


def mixing(one: str, other: str) -> Mixing:
    """Return whether two solvents mix: by their own row, else by family, else not known.

    Parameters
    ----------
    one, other : str, ids of solvents

    Returns
    -------
    Mixing

    Source: softmend-solvents, section 7 (open item 4).
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> mixing("turpentine", "propylene-glycol").state
    'does not mix'
    """
    if one == other:
        return Mixing("mixes", "one and the same", "derived")
    pair = frozenset((one, other))
    families = _families()
    kin = frozenset((families.get(one, one), families.get(other, other)))
    found = _pairs().get(pair) or _family_pairs().get(kin)
    return found or Mixing(NOT_KNOWN, "no row for this pair", "estimated")


@lru_cache(maxsize=1)
def _pairs() -> dict[frozenset[str], Mixing]:
    rows = table("miscible_pairs").rows
    return {frozenset((str(row["solvent_a"]), str(row["solvent_b"]))): _mixing(row) for row in rows}


@lru_cache(maxsize=1)
def _family_pairs() -> dict[frozenset[str], Mixing]:
    rows = table("miscible_families").rows
    return {frozenset((str(row["family_a"]), str(row["family_b"]))): _mixing(row) for row in rows}


@lru_cache(maxsize=1)
def _families() -> dict[str, str]:
    return {str(row["solvent"]): str(row["family"]) for row in table("miscible_family_of").rows}


def _mixing(row: Row) -> Mixing:
    return Mixing(str(row["state"]), str(row["note"]), str(row["kind"]))
