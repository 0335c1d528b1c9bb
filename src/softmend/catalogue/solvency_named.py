"""Liquids that words name without saying so: solvents of the table, and water by its absence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from functools import lru_cache

from softmend.tables.solvents import Solvent, solvents

# Names that are common words as well, or that other things go by ("cellulose ether").
TOO_COMMON = frozenset({"ether", "aqua", "d4", "d5", "pm", "tca", "ida"})
MIXES_WITH_WATER = frozenset({"alcohol", "ketone"})
SHORT_NAMES = {
    "etoh": "ethanol", "alcohol": "ethanol", "alkohol": "ethanol", "alcool": "ethanol",
    "spiritus": "ethanol", "meoh": "methanol", "ipa": "propan-2-ol",
    "isopropyl alcohol": "propan-2-ol", "rubbing alcohol": "propan-2-ol",
    "surgical spirit": "ethanol", "white spirit": "ws-low", "mineral spirit": "ws-low",
    "mineral spirits": "ws-low", "petroleum spirit": "ps-80-100", "petroleum ether": "ps-80-100",
}  # fmt: skip
WHOLE_FROM = 99.0
"""Percent from which a liquid counts as undiluted."""
MOSTLY_FROM = 40.0
"""A share behind a name may be that of a resin in it; from here on it is the liquid's own."""


def liquids_named(text: str) -> tuple[Solvent, ...]:
    """Return the solvents of the table that a text names, by any of their names, each once."""
    by_id = {one.id: one for one in solvents()}
    found = [_names()[one.group(0)] for one in _pattern().finditer(_plain(text))]
    return tuple(by_id[one] for one in dict.fromkeys(found))


def rest_is_unnamed(text: str) -> bool:
    """Say whether a text names one liquid that takes up water, by a share, and not the rest.

    "Isopropanol 70 %" is three tenths water, though it does not say so.
    """
    named = liquids_named(text)
    if len(named) != 1 or named[0].group not in MIXES_WITH_WATER:
        return False
    number, share = r"(\d+(?:[.,]\d+)?)", r"\s*(?:%|per ?cent|vol|v/v|parts?)"
    for name in _pattern().finditer(_plain(text)):
        word, plain = re.escape(name.group(0)), _plain(text)
        before = re.findall(rf"{number}{share}\W*(?:v/v|w/w|vol\w*)?\W*(?:of )?{word}\b", plain)
        behind = re.findall(rf"\b{word}\W*{number}{share}", plain)
        ratio = re.findall(rf"\b{number} ?[:/] ?\d+ (?:of )?{word}\b", plain)
        shares = [_number(one) for one in (*before, *ratio)]
        shares += [one for one in map(_number, behind) if one >= MOSTLY_FROM]
        if any(one < WHOLE_FROM for one in shares):
            return True
    return False


@lru_cache(maxsize=1)
def solvent_groups() -> frozenset[str]:
    """Return the families of the table: a liquid typed with one of them is known by it."""
    return frozenset(one.group.casefold() for one in solvents())


def _number(text: str) -> float:
    return float(text.replace(",", "."))


@lru_cache(maxsize=1)
def _names() -> dict[str, str]:
    found = dict(SHORT_NAMES)
    for one in solvents():
        first = one.name.partition("(")[0].partition("/")[0]
        for name in (one.id, first, one.name, one.cas, *one.also_called):
            plain = _plain(name)
            if len(plain) > 2 and plain not in TOO_COMMON:
                found.setdefault(plain, one.id)
    return found


@lru_cache(maxsize=1)
def _pattern() -> re.Pattern[str]:
    longest_first = sorted(_names(), key=len, reverse=True)
    return re.compile(r"(?<!\w)(?:" + "|".join(map(re.escape, longest_first)) + r")(?!\w)")


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace("-", " ").split())
