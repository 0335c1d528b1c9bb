"""Every word that a report says by itself, in one place."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.condition import GradeBasis
from softmend.records.mark import State

TITLE = "Condition report"
EXAMINER = "Examiner"
CRACK_MAP = "Crack map"
INVENTED = "Invented: no object, person or place in this dossier is real."
INVENTED_SHORT = "invented"
PAGE = "page"
OF = "of"
HEAD = "head"
VERSION = "version"

SECTIONS = {
    "hazards": "Hazards and handling",
    "object": "The object",
    "examination": "The examination",
    "grades": "Condition grade",
    "views": "Views",
    "marks": "Marks",
    "zones": "Zones of the surface",
    "totals": "Totals",
    "fills": "How much would fill it",
    "not_examined": "Not examined, not done",
    "papers": "Papers",
    "signed": "Signed",
    "images": "Pictures and their hashes",
    "workings": "Workings",
    "print": "About this print",
}

NO_HAZARDS = "No hazard is recorded. That is not the same as none: nothing was tested."
TESTED_CLEAR_LIMIT = "A few tested points never clear an object."
CLEAR_WHERE_TESTED = "tested clear, only where it was tested"
HAZARD_FIELDS = {
    "method": "Method",
    "detection_limit": "Detection limit",
    "tested_on": "Tested on",
    "who_may_handle": "Who may handle",
    "handling": "Handling",
}
KEPT_BACK = "Place and mass are left out of this copy; the registrar's copy has them."

OBJECT_FIELDS = {
    "what": "What it is",
    "why_here": "Why it is here",
    "title": "Title",
    "owner": "Owner",
    "identifiers": "Other numbers",
    "deadline_on": "Needed by",
    "intended_use": "Intended use",
    "location": "Place",
    "mass": "Mass",
    "number": "Number",
}
EXAMINATION_FIELDS = {
    "reason": "Reason",
    "requested_by": "Requested by",
    "examined_by": "Examined by",
    "examined_on": "Examined on",
    "examined_at_place": "Where",
    "lights_and_aids": "Lights and aids",
    "what_was_examined": "What was examined",
}
ADVICE_FIELDS = {
    "fitness_for_use": "Fit for the intended use",
    "recommendation": "Recommendation",
    "urgency": "Urgency",
    "next_check_on": "Next check",
    "copies_to": "Copies to",
}

OBSERVED, INFERRED, REPORTED = "observed", "inferred", "reported"
RECIPE = "recipe of this tone"
DESCRIPTION = "Description"
SUMMARY = "Summary"
STRUCTURE = "What carries what"
HISTORY = "History"
EARLIER_TREATMENT = "Earlier treatment"
ADVICE = "What follows"
MATERIALS = ("Part", "Material", "Identified", "Certainty")
MEASURES = ("Measure", "", "Measured")
MARK_COLUMNS = ("Mark", "What and where", "Measured")
ZONE_COLUMNS = ("Zone", "What and where", "Area")
ON_WHAT = "on the body"
TOTAL_COLUMNS = ("Total of", "Count", "Sum")
FILL_COLUMNS = ("Mark", "Section and depth", "Volume")
GRADE_COLUMNS = ("Grade", "Place", "Why")
NOT_EXAMINED_COLUMNS = ("Not examined", "Because")
NOT_DONE_COLUMNS = ("Not done", "Because")
PAPER_COLUMNS = ("Paper", "What it is", "Quoted (reported)")
IMAGE_COLUMNS = ("View", "File", "SHA-256 of the original")
WORKING_COLUMNS = ("Value used", "", "Kind and origin")

SEEN_BY = "Seen by"
SIGN_DATE, SIGNATURE = "Date", "Signature"
NOT_KNOWN_ROW = "Not known"
NO_MARKS = "No mark is recorded."
NOTHING_MARKED = "Nothing is marked on this view; that is not the same as sound all over."
NO_VIEWS = "No photograph is in this dossier."
NO_GRADES = "Nothing is graded."
NO_LEGEND = "Nothing is drawn in this report, so it needs no legend."
NO_EXAMINATION = "No examination is recorded."
MEANING_COLUMNS = ("Grade", "What the grades mean")
LEGEND = "Legend"
PLAN = "Where the views were taken"
PLAN_ALTERNATIVE = "Plan of the object with the places of the views and what was not examined"
NOT_PLACED = "Not placed on the plan: views"
UNCERTAINTY = (
    "A number after ± is the half-width of a 95 % interval (k = 2). "
    "What is not known is printed as not known."
)

STATE_WORDS: dict[State, str] = {
    State.NOT_KNOWN: "? not known whether it changes",
    State.NO_CHANGE_SHOWN: "= no change shown",
    State.BREATHES: "~ breathes with RH",
    State.GROWN: "↔ grown",
}
ZONE_WORDS = ("Z zone of the body", "SZ surface zone, on the body")
BASIS_WORDS: dict[GradeBasis, str] = {
    GradeBasis.SEEN: "seen",
    GradeBasis.HANDLED: "handled",
    GradeBasis.INFERRED: "inferred",
}

PRINT_FIELDS = {
    "entries": "Entries in the dossier",
    "head_hash": "Hash of the last entry",
    "newest_at": "the newest of",
    "software": "Made with",
    "attached": "attached:",
    "check": "To check it",
}
ATTACHED = "dossier.json, the dossier's own record as data"
ATTACHMENT_DESCRIPTION = "The dossier that this report was printed from"
VERIFY = "softmend verify compares the count and the hash with the dossier's own chain"
GLYPHS = (
    "Characters that the print face does not have stand as □; "
    "the attached dossier keeps the original text."
)

FORMULA, SOURCE, RESULT, CAUTION, STALE = "Formula", "Source", "Result", "Caution", "Stale, because"
AS_FOR = "as above under “{}”, with source and cautions"
TABLES = "Our tables"
COMPARED_COLUMNS = (
    "Fill",
    "Walls, of what they stand",
    "Tip, of what it stands",
    "The object first, in a year",
)
RUN_AGAIN, RUN_BY = "To run it again", "softmend compute {}"
MORE_ROWS = "more marks stand in the condition report"


def page_seen_on(numbers: tuple[int, ...]) -> str:
    """Return the words for the views that show a mark."""
    if not numbers:
        return "seen on no view"
    word = "view" if len(numbers) == 1 else "views"
    return f"seen on {word} " + ", ".join(str(number) for number in numbers)


def overall(grade: int, worst: int, graded: int, extent: str) -> str:
    """Return the overall grade as printed: the worst, how many places have it, how much."""
    if graded == 1:
        return f"Overall {grade}, that of the one place graded; {extent}"
    if worst == graded:
        return f"Overall {grade}, the same at all {graded} graded places; {extent}"
    have = "1 of them has it" if worst == 1 else f"{worst} of them have it"
    return f"Overall {grade}, the worst of {graded} graded places; {have}; {extent}"


def alternative(shows: str, number: int, labels: tuple[str, ...]) -> str:
    """Return the alternative text of a view's figure."""
    if not labels:
        return f"View {number}: {shows}. Nothing is marked on it."
    return f"View {number}: {shows}. Marked on it: {', '.join(labels)}."


def missing_picture(number: int) -> str:
    """Return the sentence for a view whose picture is not there to print."""
    return f"The picture of view {number} was not there to print."
