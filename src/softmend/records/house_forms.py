"""The house's own words: its name, its headings, and who signs, as one small table."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import tomllib
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from softmend.errors import InputError

FILE_NAME = "house.toml"
"""Lies beside the database and is read when Softmend starts."""

_HOUSE = ("name", "signs")
Headings = Mapping[str, Mapping[str, str]]
"""By report, the heading of each section by its key."""


@dataclass(frozen=True)
class HouseForms:
    """How this house heads its reports, and the lines to sign on."""

    name: str = ""
    headings: Headings = field(default_factory=dict)
    signs: tuple[str, ...] = ()

    def heading(self, report: str, key: str, ours: str) -> str:
        """Return the house's heading of a section of a report, or ours where it has none."""
        return self.headings.get(report, {}).get(key, "") or ours


def house_forms(text: str, ours: Headings) -> HouseForms:
    """Return the house's words from the text of its table; a key that nobody prints is refused."""
    try:
        said = tomllib.loads(text)
    except tomllib.TOMLDecodeError as unread:
        raise InputError(
            f"{FILE_NAME} cannot be read: {unread}",
            remedy="Put right the line that is named; text stands in quotation marks",
        ) from unread
    _refuse_unknown("a table", said, ("house", *ours))
    house = said.get("house", {})
    _refuse_unknown("a line of [house]", house, _HOUSE)
    headings = {report: said[report] for report in ours if report in said}
    for report, theirs in headings.items():
        _refuse_unknown(f"a section of [{report}]", theirs, ours[report])
    signs = house.get("signs", [])
    texts = [one for theirs in headings.values() for one in theirs.values()]
    texts += [house.get("name", ""), *(signs if isinstance(signs, list) else [None])]
    if not all(isinstance(one, str) for one in texts):
        raise InputError(
            f"Everything in {FILE_NAME} is text",
            allowed='hazards = "Safety first"; signs = ["Conservator", "Head of collections"]',
        )
    return HouseForms(str(house.get("name", "")), headings, tuple(signs))


def table_text(forms: HouseForms, ours: Headings) -> str:
    """Return the whole table as it would be saved, with our heading where the house has none."""
    signs = ", ".join(_quoted(one) for one in forms.signs)
    lines = ["[house]", f"name = {_quoted(forms.name)}", f"signs = [{signs}]"]
    for report, sections in ours.items():
        lines += ["", f"[{report}]"]
        lines += [
            f"{key} = {_quoted(forms.heading(report, key, words))}"
            for key, words in sections.items()
        ]
    return "\n".join(lines) + "\n"


def _refuse_unknown(what: str, said: Any, known: Collection[str]) -> None:
    if not isinstance(said, Mapping):
        raise InputError(f"{FILE_NAME} has a line where {what} belongs", allowed=", ".join(known))
    unknown = [name for name in said if name not in known]
    if unknown:
        raise InputError(
            f"{FILE_NAME} names {what} that there is not",
            value=", ".join(unknown),
            allowed=", ".join(known),
        )


def _quoted(text: str) -> str:
    kept = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(one if one.isprintable() else " " for one in kept) + '"'
