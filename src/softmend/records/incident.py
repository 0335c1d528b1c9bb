"""Incidents: what went wrong, kept open until somebody says how it ended."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError


@dataclass(frozen=True)
class Incident:
    """One incident; it is open while `closed_how` is empty. `about_ids` are its subjects."""

    number: int
    what_observed: str
    noticed_on: str
    about_ids: tuple[str, ...] = ()
    searched_observed: str = ""
    told_whom: str = ""
    closed_how: str = ""

    @property
    def is_open(self) -> bool:
        """Say whether nobody has said yet how it ended."""
        return not self.closed_how.strip()


def checked_incident(incident: Incident) -> Incident:
    """Return an incident if it says what happened."""
    if not incident.what_observed.strip():
        raise InputError("An incident says what happened", remedy="Say it in a few words")
    return incident
