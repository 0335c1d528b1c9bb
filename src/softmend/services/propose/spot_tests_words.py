"""The outcome words of spot tests, as the table words them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from functools import cache

from softmend.tables.solvency import outcome_words
from softmend.tables.solvents import solvents

_CAPITAL = re.compile(r"(?<![A-Za-z])[A-Z](?=[a-z])")
"""The capital that a name begins with, also behind a number: no name here is somebody's."""


@cache
def outcome_choices(of: str) -> dict[str, str]:
    """Return each outcome of the coating, or of the object, with its wording."""
    return outcome_words(of)


def agent_said(agent: str) -> str:
    """Return an agent by the names of its liquids: "pm" is "1-methoxy-2-propanol"."""
    return " + ".join(_liquid_said(part) for part in agent.split(" + "))


def sentence_said(sentence: str) -> str:
    """Return a sentence in which every liquid of the table has its name: "ws-low" has."""
    return _short_forms().sub(lambda found: _liquids()[found[0]], sentence)


def _liquid_said(part: str) -> str:
    name, space, share = part.partition(" ")
    return _liquids()[name] + space + share if name in _liquids() else part


@cache
def _short_forms() -> re.Pattern[str]:
    names = sorted((one for one, said in _liquids().items() if one != said), key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, names))})(?![\w-])")


@cache
def _liquids() -> dict[str, str]:
    said = {}
    for one in solvents():
        # What stands behind a bracket or a stroke is for the label, not for a line of a table.
        short = one.name.partition(" (")[0].partition(" / ")[0]
        said[one.id] = _CAPITAL.sub(lambda found: found[0].lower(), short)
    return said
