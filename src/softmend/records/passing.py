"""Rules that a named person may pass, with a printed reason; hard rules know no way round."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from softmend.errors import InputError, RuleError

# Numbers of the rules page. Rule 4 can be explained but the worst grade still stands.
PASSABLE = frozenset({2, 4, 7, 8, 10, 11, 16, 17, 19})

RULES = {
    2: "consent to the points as they stand",
    4: "the overall grade is that of the worst place",
    7: "no new tone on original",
    8: "a warrant and a way to be detected for every fill",
    10: "an image of what will be hidden",
    11: "the coating question answered before closing",
    16: "nothing shown in public of what may be human",
    17: "law fields asked again when they are stale",
    19: "next check, two copies and a checksummed package before closing",
}
"""What a passable rule asks for, as it is printed beside a pass."""

_ANY_CLOSING = "closing"
_TONE_BEFORE = re.compile(r"tone of zone (\d+) over original zone (\d+)")


@dataclass(frozen=True)
class Passed:
    """One rule passed by a named person: which rule, about what, why, and who decided.

    `about` names what the pass holds for ("fill of mark 3", the hash of a proposal's points);
    the pass holds for nothing else.
    """

    rule: int
    about: str
    because: str
    by: str


def checked_passing(passed: Passed) -> Passed:
    """Return the pass if the rule can be passed and a named person says why."""
    refuse_to_pass(passed.rule)
    for name, value in (
        ("what it is about", passed.about),
        ("a reason", passed.because),
        ("the name of who decided", passed.by),
    ):
        if not value.strip():
            raise InputError(f"Passing rule {passed.rule} needs {name}", remedy="It is printed")
    return passed


def refuse_to_pass(rule: int) -> None:
    """Refuse to pass a rule that knows no way round."""
    if rule not in PASSABLE:
        raise RuleError(
            f"Rule {rule} has no way round",
            rule=rule,
            remedy="Meet the rule, or leave the work undone and say why",
        )


def about_closing(number: int) -> str:
    """Return what a pass for one closing is about; the second closing follows a reopening."""
    return f"{_ANY_CLOSING} {number}"


def named_as_today(plain: dict[str, Any]) -> dict[str, Any]:
    """Return a pass of version 1 as version 2.

    One for closing as such was for the first closing; zones were named by bare numbers.
    """
    about = plain.get("about", "")
    if about == _ANY_CLOSING:
        return {**plain, "about": about_closing(1)}
    renamed = _TONE_BEFORE.sub(r"tone of zone SZ\1 over original zone Z\2", about)
    return {**plain, "about": renamed}


def passing_of(passings: Iterable[Passed], rule: int, about: str) -> Passed | None:
    """Return the pass of a rule for exactly this, or None."""
    for passed in passings:
        if passed.rule == rule and passed.about == about:
            return passed
    return None
