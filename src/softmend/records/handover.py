"""Hand-over: which package went to whom, and when."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN

_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class HandOver:
    """One copy given away: to whom in words, which package by its SHA-256, and when.

    The package lies elsewhere, so its hash is not the name of a file that this house keeps.
    """

    to_whom: str
    package_hash: str
    entry_count: int
    head_hash: str
    handed_on: str
    carried_how: str = NOT_KNOWN
    receipt_reported: str = NOT_KNOWN


def checked_hand_over(hand_over: HandOver) -> HandOver:
    """Return the hand-over if it says to whom, what and when."""
    if not hand_over.to_whom.strip():
        raise InputError("A hand-over needs a receiver", remedy="Say who has the copy")
    if not hand_over.handed_on.strip():
        raise InputError("A hand-over needs its date", remedy="Say when, or “not known”")
    for name, value in (("package", hand_over.package_hash), ("head", hand_over.head_hash)):
        if not _SHA256.fullmatch(value):
            raise InputError(
                f"This is not the hash of a {name}",
                value=value,
                allowed="64 characters, 0 to 9 and a to f",
                remedy="Copy it from the line that packing printed",
            )
    return hand_over
