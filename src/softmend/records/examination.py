"""The examination: how the object was looked at, what was found, what is advised."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.records.dossier import NOT_KNOWN


@dataclass(frozen=True)
class Examination:
    """The words of a condition report; observed, inferred and reported stay apart."""

    reason: str
    requested_by: str = NOT_KNOWN
    examined_on: str = NOT_KNOWN
    examined_at_place: str = NOT_KNOWN
    lights_and_aids: str = NOT_KNOWN
    what_was_examined: str = NOT_KNOWN
    summary_observed: str = NOT_KNOWN
    structure_inferred: str = NOT_KNOWN
    earlier_treatment_reported: str = NOT_KNOWN
    fitness_for_use: str = NOT_KNOWN
    recommendation: str = NOT_KNOWN
    urgency: str = NOT_KNOWN
    next_check_on: str = NOT_KNOWN
    copies_to: str = NOT_KNOWN
