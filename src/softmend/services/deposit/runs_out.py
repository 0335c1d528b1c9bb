"""What leaves the house of a kept computation: its numbers, never what a person wrote beside them.

A computation that nobody judged stays whole: it may tell of a mass, a room or a way of working.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import Any

from softmend.services.deposit.judged import WITHHELD

FIT_TO_LEAVE = frozenset(
    {
        "joint.first_to_give",
        "joint.load_sharing",
        "joint.compare_fills",
        "film.explain",
        "moisture.opening",
        "fill.volume",
        "solvency.spot",
        "solvency.next_swab",
        "solvency.blends",
        "tint.recipe",
        "tint.correct",
    }
)
"""Computations about the surface of the object and what was laid on it. `join.holds` is not among
them: whoever has its loads and lever arm has the mass of the piece."""

_OUR_WORDS = ("table:", "the mark: ", "our ", "nothing in it dries away", "tried out on the page")
"""Beginnings of origins that the program itself wrote, whole, and no person."""

_BEGUN_BY_US = re.compile(r"entry:[0-9a-f-]+|typed|this bench's own")
"""Beginnings that the program wrote, after which come a person's words."""


def run_leaves(computation: str) -> bool:
    """Say whether the kept runs of a computation may leave the house."""
    return computation in FIT_TO_LEAVE


def run_without_grounds(said: Any) -> Any:
    """Return a run as plain data in which every origin ends where a person's own words begin."""
    if isinstance(said, list | tuple):
        return [run_without_grounds(one) for one in said]
    if not isinstance(said, dict):
        return said
    return {
        name: _origin(value) if name == "origin" else run_without_grounds(value)
        for name, value in said.items()
    }


def _origin(told: Any) -> Any:
    if not isinstance(told, str) or told in ("", "not known") or told.startswith(_OUR_WORDS):
        return told
    begun = _BEGUN_BY_US.match(told)
    if begun is None:
        return WITHHELD
    return told if begun.group() == told else f"{begun.group()}, {WITHHELD}"
