"""Rows that stand beside the journal: people, the list of dossiers, drafts and jobs."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Person:
    """Somebody who works at the bench; `name` is None once erased."""

    id: str
    name: str | None


@dataclass(frozen=True)
class DossierRow:
    """One line of the list of dossiers, a projection of its entries."""

    dossier_id: str
    number: str
    number_issued_by: str
    what: str
    title: str
    size: str
    is_invented: bool
    entry_count: int
    opened_at: str
    changed_at: str


@dataclass(frozen=True)
class Draft:
    """A gesture not yet recorded: one mutable row per person and subject, outside the chain.

    `content` is JSON text; `based_on` is the entry the person last saw on that subject, or "".
    """

    dossier_id: str
    author_id: str
    kind: str
    subject_id: str
    content: str
    based_on: str
    saved_at: str


@dataclass(frozen=True)
class JobRow:
    """A long piece of work: its progress and how it ended.

    `state` is one of waiting, running, done, failed, stopped, interrupted. `runner` names the
    process that looks after it ("host:pid"), so that a later start knows what was cut off.
    """

    id: str
    kind: str
    dossier_id: str | None
    state: str
    done: int
    total: int
    message: str
    result: str
    started_at: str
    changed_at: str
    runner: str = ""
