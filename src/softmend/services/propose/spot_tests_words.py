"""The outcome words of spot tests, as the table words them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from functools import cache

from softmend.tables.solvency import outcome_words


@cache
def outcome_choices(of: str) -> dict[str, str]:
    """Return each outcome of the coating, or of the object, with its wording."""
    return outcome_words(of)
