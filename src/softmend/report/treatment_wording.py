"""Every word that a treatment record says by itself."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

TITLE = "Treatment record"
SECTIONS = {
    "log": "Day log",
    "departures": "Departures from the plan",
    "materials": "Materials put on and taken off",
    "removed": "Removed matter",
    "batches": "Batches",
    "joins": "Joins",
    "fragments": "Fragments",
    "hidden": "Hidden faces",
    "incidents": "Incidents",
    "time": "Time at the bench",
    "workings": "Workings of what was laid and joined",
    "contributors": "Who took part",
}
LOG_COLUMNS = ("No.", "Done on, by", "What and where", "With what, and what came of it")
DEPARTURE_COLUMNS = ("No.", "What", "Why, and who agreed")
MATERIAL_COLUMNS = ("Material", "Put on", "Taken off", "What remains, where")
REMOVED_COLUMNS = ("What was taken off", "What became of it")
BATCH_COLUMNS = ("No.", "Made of", "Made", "Comes off with")
JOIN_COLUMNS = ("Join", "Pieces", "Made")
FRAGMENT_COLUMNS = ("No.", "Found", "Mass", "Stands", "What is said of its place")
BAG_COLUMNS = ("Bag", "Holds", "Not placed because")
INCIDENT_COLUMNS = ("No.", "What happened", "How it ended")
TIME_COLUMNS = ("Task", "Bench time")

NO_LOG = "Nothing is logged."
NO_LOG_NO_DEPARTURES = "Nothing is logged, so nothing can be held against the plan yet."
NO_DEPARTURES = "Every logged action has its step in the plan."
NOTHING = "–"
AS_APPLIED = (
    "Amounts are as applied, solvent included; “about” means that nobody said how truly they were "
    "measured."
)
BALANCE = "Balance"
BY_MASS = "By mass"
NOT_A_FACT = (
    "A place is what people said on the stated evidence (A interlocking faces, B continuity across "
    "the join, C a document, D nearness); none is stated as a fact."
)
ALL_HANDS = "All hands together, waiting and drying left out."
NOBODY = "Nobody yet"
SIGNED_BY = "Signed by"
FROM_THE_LOG = "Taken from the log, in the order of the first entry."


def unsorted(count: int) -> str:
    """Return the warning that some entries are only attached."""
    entries = "1 entry is" if count == 1 else f"{count} entries are"
    return f"{entries} still to be sorted: a photograph, a note or a sheet without words."


def written(day: str) -> str:
    """Return the second date of a late entry."""
    return f"written later, on {day}"
