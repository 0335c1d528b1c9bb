"""Rules that a named person may pass, with a printed reason; hard rules know no way round."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from softmend.errors import InputError, RuleError

# Numbers of the rules page. Rule 4 can be explained but the worst grade still stands.
PASSABLE = frozenset({2, 4, 7, 8, 10, 11, 16, 17, 19})


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
    if passed.rule not in PASSABLE:
        raise RuleError(
            f"Rule {passed.rule} has no way round",
            rule=passed.rule,
            remedy="Meet the rule, or leave the work undone and say why",
        )
    for name, value in (
        ("what it is about", passed.about),
        ("a reason", passed.because),
        ("the name of who decided", passed.by),
    ):
        if not value.strip():
            raise InputError(f"Passing rule {passed.rule} needs {name}", remedy="It is printed")
    return passed


def passing_of(passings: Iterable[Passed], rule: int, about: str) -> Passed | None:
    """Return the pass of a rule for exactly this, or None."""
    for passed in passings:
        if passed.rule == rule and passed.about == about:
            return passed
    return None
