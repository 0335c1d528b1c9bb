"""Every error that Softmend raises on purpose, and the tree they form.

SoftmendError
├── InputError            422  a value is wrong: what, the value, what is allowed, what to do
│   └── LimitError        413  a file or a request is larger than a stated limit
├── NotFoundError         404  nothing stands under that name or number
├── ConflictError         409  somebody recorded something newer on the same subject
├── RuleError             409  a rule of the house refuses; it names the rule and the remedy
├── MissingEvidenceError  422  a statement needs evidence that is not there
├── StaleError            409  what was agreed or computed no longer matches its sources
├── NotAllowedError       403  this person, address or origin may not do this
├── Cancelled             409  a person stopped the work
└── StorageError          500  the store cannot keep or find what it should
    └── NoSpaceError      507  the disk is full; nothing was saved

Statuses are given to these classes in web; "unknown" is a result, never an error.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations


class SoftmendError(Exception):
    """The root of the tree; never raised itself."""

    def __init__(
        self, problem: str, *, value: object = None, allowed: str = "", remedy: str = ""
    ) -> None:
        """Keep the four parts that a message is made of, so that page and JSON can show each."""
        self.problem = problem
        self.value = None if value is None else str(value)[:200]
        self.allowed = allowed
        self.remedy = remedy
        super().__init__(self.sentence())

    def sentence(self) -> str:
        """Return the one sentence a person reads: what, the value, what is allowed, what to do."""
        parts = [self.problem.rstrip(".")]
        if self.value is not None:
            parts.append(f"got {self.value}")
        if self.allowed:
            parts.append(f"allowed: {self.allowed}")
        if self.remedy:
            parts.append(self.remedy.rstrip("."))
        return "; ".join(parts) + "."


class InputError(SoftmendError):
    """A value given by a person or a file is outside what is allowed."""


class LimitError(InputError):
    """A file or a request is larger than a stated limit."""


class NotFoundError(SoftmendError):
    """Nothing stands under that name or number."""


class ConflictError(SoftmendError):
    """Somebody recorded something newer on the same subject; nothing was written."""

    def __init__(
        self,
        problem: str,
        *,
        yours: object = None,
        theirs: object = None,
        standing_id: str = "",
        remedy: str = "",
    ) -> None:
        """Carry both versions, so that the page can show them, and the entry that stands."""
        super().__init__(problem, remedy=remedy)
        self.yours = yours
        self.theirs = theirs
        self.standing_id = standing_id


class RuleError(SoftmendError):
    """A rule of the house refuses what was asked."""

    def __init__(self, problem: str, *, rule: int | None = None, remedy: str = "") -> None:
        """Name the rule by its number in the rules page, and the way out."""
        super().__init__(problem, remedy=remedy)
        self.rule = rule


class MissingEvidenceError(SoftmendError):
    """A statement needs evidence that has not been recorded."""


class StaleError(SoftmendError):
    """What was agreed or computed no longer matches the entries it was made from."""


class NotAllowedError(SoftmendError):
    """The person, address or origin may not do what was asked."""


class Cancelled(SoftmendError):
    """A person stopped the work; nothing half done was kept."""


class StorageError(SoftmendError):
    """The store cannot keep or find what it should."""


class NoSpaceError(StorageError):
    """The disk is full; nothing was saved."""
