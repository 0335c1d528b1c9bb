"""Limits in the air a person breathes: by list, edition, date and period; not there is not zero."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError
from softmend.tables import table

NAME = "exposure_limits"
DEFAULT_LIST = "UK EH40"
NONE_SET = "none set"


@dataclass(frozen=True, slots=True)
class ExposureLimit:
    """One limit as its list prints it [ppm; mg/m3]; one of the two may be missing."""

    list: str
    country: str
    edition: str
    date: str
    period: str
    ppm: float | None
    mg_per_m3: float | None
    note: str
    kind: str
    source: str
    origin: str

    @property
    def named(self) -> str:
        """The limit's list, edition and date, in words."""
        words = [self.list]
        words += [] if self.edition == "not known" else [self.edition]
        return f"{', '.join(words)} ({self.country}; date {self.date})"


def limit_lists() -> list[str]:
    """Return the names of the lists that the table has limits of, sorted.

    Returns
    -------
    list of str

    Source: softmend-solvents.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> "UK EH40" in limit_lists()
    True
    """
    return sorted({str(row["list"]) for row in table(NAME).rows})


def exposure_limits(solvent_id: str, of_list: str = DEFAULT_LIST) -> dict[str, ExposureLimit]:
    """Return the limits of one solvent in one list, by period; empty when none was typed.

    Parameters
    ----------
    solvent_id : str, id of the solvent
    of_list : str, one of limit_lists()

    Returns
    -------
    dict, "8 h", "15 min" or "ceiling" to limit [ppm; mg/m3]; "none set" where the list has none

    Raises
    ------
    InputError
        When there is no such list.

    Source: softmend-solvents.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> exposure_limits("acetone")["8 h"].mg_per_m3
    1210.0
    >>> exposure_limits("anisole")["none set"].mg_per_m3 is None
    True
    """
    if of_list not in limit_lists():
        raise InputError(
            "There is no such list of limits", value=of_list, allowed=", ".join(limit_lists())
        )
    words = ("list", "country", "edition", "date", "period", "note", "kind", "source")
    return {
        str(row["period"]): ExposureLimit(
            **{name: str(row[name]) for name in words},
            ppm=_number(row["ppm"]),
            mg_per_m3=_number(row["mg_per_m3"]),
            origin=f"table:{NAME}/{solvent_id}: {of_list}, {row['period']}@{table(NAME).version}",
        )
        for row in table(NAME).rows
        if row["solvent"] == solvent_id and row["list"] == of_list
    }


def is_taken_up_through_skin(solvent_id: str) -> bool:
    """Return whether any list says that a solvent is taken up through the skin.

    Parameters
    ----------
    solvent_id : str, id of the solvent

    Returns
    -------
    bool; false is not known, never safe

    Source: softmend-solvents.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> is_taken_up_through_skin("toluene")
    True
    """
    notes = [str(row["note"]) for row in table(NAME).rows if row["solvent"] == solvent_id]
    return any("Sk" in note or "skin" in note for note in notes)


def _number(cell: str | float | None) -> float | None:
    return cell if isinstance(cell, float) else None
