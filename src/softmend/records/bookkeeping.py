"""What is recorded about records: runs, strikes, answers "not done", withdrawals."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Run:
    """One computation as it was run: all that is needed to run it again."""

    computation: str
    inputs: dict[str, Any]
    outputs: dict[str, Any]
    software_version: str
    table_versions: dict[str, str]
    seed: int
    read_entry_ids: tuple[str, ...] = ()


@dataclass(frozen=True)
class Struck:
    """A record taken out of the current state; it stays in the journal."""

    struck_kind: str
    because: str


@dataclass(frozen=True)
class NotDone:
    """An answer to something the dossier's size asks for: not done, because."""

    asked: str
    because: str


@dataclass(frozen=True)
class Withdrawal:
    """The tombstone of erased content: which entry or file, whose decision, and why.

    For a file, `withdrawn_kind` is "file" and `withdrawn_id` its SHA-256. For an entry, its
    subject and human number are kept, since a number is never given twice.
    """

    withdrawn_kind: str
    withdrawn_id: str
    decided_by: str
    because: str
    withdrawn_subject_id: str = ""
    withdrawn_number: int = 0
