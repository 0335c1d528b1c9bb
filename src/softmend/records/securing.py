"""Securing before consent: a temporary facing, support or bag that can be undone."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN


class Means(Enum):
    """What may be done before consent, since it waits for nobody and can be undone."""

    FACING = "temporary facing"
    SUPPORT = "support"
    BAGGING = "bagging"


@dataclass(frozen=True)
class Securing:
    """One thing secured now: why, how it is undone, its image, and by when the owner is told."""

    number: int
    means: Means
    where: str
    because: str
    undone_how: str
    owner_told_by_on: str
    mark_numbers: tuple[int, ...] = ()
    with_what: str = NOT_KNOWN
    is_wet: bool = False
    view_number: int | None = None
    no_image_because: str = NOT_KNOWN
    owner_told_on: str = NOT_KNOWN
    undone_on: str = NOT_KNOWN


def checked_securing(securing: Securing) -> Securing:
    """Return the securing if it says where, why, how it is undone, and when the owner is told."""
    for name, value in (
        ("its place", securing.where),
        ("a reason", securing.because),
        ("how it is undone", securing.undone_how),
    ):
        if value.strip() in ("", NOT_KNOWN):
            raise InputError(f"Securing before consent needs {name}")
    try:
        date.fromisoformat(securing.owner_told_by_on.strip())
    except ValueError as unread:
        raise InputError(
            "Securing before consent needs the day by which the owner is told",
            value=securing.owner_told_by_on.strip() or "nothing",
            remedy="Write the date as 2026-03-02",
        ) from unread
    if securing.view_number is None and securing.no_image_because == NOT_KNOWN:
        raise InputError(
            "Securing needs its image, for it hides what lies under it",
            remedy="Name the view, or say why there is none",
        )
    return securing


def is_owner_waiting(securing: Securing) -> bool:
    """Say whether the owner has still to be told."""
    return securing.owner_told_on == NOT_KNOWN
