"""Every word that a treatment proposal says by itself, in one place."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.proposal import Hours

TITLE = "Treatment proposal"

SECTIONS = {
    "why": "Why, and what for",
    "options": "Options",
    "steps": "Steps",
    "hours": "Hours and weeks",
    "materials": "Materials",
    "fills": "Fills",
    "removals": "Earlier work that comes off",
    "coating": "Coating",
    "limits": "Limits and what remains",
    "areas": "Places named",
    "secured": "Secured before consent",
    "wet": "Before the first wet step",
    "missing": "Not yet answered",
    "consent": "Consent",
}

WHY_FIELDS = {
    "aims_in_words": "Aims in words",
    "significance": "What must not be lost",
    "significance_asked_of": "Who was asked",
    "why_act": "Why act at all",
    "better_conditions_alone": "What better conditions alone would do",
    "tests_reported": "Tests, failures too",
}
AIMS = "Aims"
BASED_ON = "Based on"
WRITTEN_BY = "Written by"
CHOSEN = "Proposed option"
CHOSEN_BECAUSE = "Because"
LIMIT_FIELDS = {
    "limits": "Limits",
    "sampling_asked": "Samples asked for",
    "residual_risk": "Risk that remains",
    "comes_back_when": "Work stops and comes back when",
    "fragments": "Fragments: evidence asked for, what is bagged",
    "environment_afterwards": "Conditions needed afterwards",
    "people_and_disposal": "Hazards to people, disposal",
}
HOURS_AGREED = "Hours"
HOURS_COLUMNS = ("Task", "Bench hours, 5 to 95 %", "Rests on")
ALL_OF_IT = "All of it"
AS_A_WHOLE = "estimated as a whole, not step by step; see Hours and weeks"
HOURS_NOTE = (
    "Hours are those of the bench, all hands together: no print tells how fast one person is. "
    "Work that is found on the way is not in them."
)
WEEKS_CAPTION = "The weeks of the plan"
WEEKS_ALTERNATIVE = (
    "Bars of the plan over the weeks, with drying and waiting; the tables say the same in words."
)
OPTION_COLUMNS = ("Option", "Result and risk", "What it blocks and leaves", "Hours, cost")
STEP_COLUMNS = ("Step", "What and where", "Stop rule")
MATERIAL_COLUMNS = ("No.", "Material and make-up", "How it comes off")
FILL_COLUMNS = ("Fill", "Warrant", "Level, tone, how it is found again")
REMOVAL_COLUMNS = ("No.", "What comes off, and why", "What it carries; where it is kept")
AREA_COLUMNS = ("Place", "What it is", "Size when printed")
SECURED_COLUMNS = ("No.", "What, where and why", "How it is undone; the owner")
OWED_COLUMNS = ("Still owed", "What to do")

NO_STEPS = "No step is proposed."
NO_COATING_YET = "The coating question has not been answered."
TONE_ON_FILLS = "Tone stays on fills: none lies on original."
NOT_SAFE = "No solvent here is proven harmless."
NOTHING_OWED = "Everything that is owed before wet work is answered. " + NOT_SAFE
SIZE_NOTE = "± is the half-width of a 95 % interval (k = 2). Consent is given to the outline."

POINTS = (
    "Consent is given to the listed points: steps and their order, stop rules, places, materials "
    "and their make-up, fills, what comes off, coating, samples, limits, hours, remaining risk, "
    "and what would stop the work. A change of one of them voids the consent; a change of other "
    "words is shown and noted."
)
POINTS_HASH = "Hash of the listed points"
WORDING_HASH = "Hash of the wording"
BLANKS = (
    ("Decision", "☐ yes     ☐ yes with limits     ☐ no"),
    ("Limits", ""),
    ("Name", ""),
    ("Role", ""),
    ("Date", ""),
    ("Signature", ""),
)
NOTHING_TO_CONSENT_TO = (
    "There is nothing to consent to yet: no option is chosen and no step is proposed, so that this "
    "draft has no place to sign."
)
TO_BE_SIGNED = "To be signed"
PAPER_OWED = "The answer was reported; the signed paper is still owed. This page can be it."
DECLINE = "A no is a respectable end: the record is kept, and nothing is done."
VOID = "This consent is void:"
REWORDED = "Wording changed since:"
NO_ROUTE = "removable in principle, not tested"
PRELIMINARY = "Not everything is answered; this print is a draft."


def hours_text(hours: Hours | None) -> str:
    """Return hours as printed: a range in words, with what it rests on."""
    if hours is None:
        return "not estimated"
    return (
        f"{hours.low_h:.3g} to {hours.high_h:.3g} h, likely {hours.likely_h:.3g} h "
        f"(from: {hours.basis})"
    )


def agreed_text(agreed_h: float | None, over_percent: float | None) -> str:
    """Return the agreed hours and from where on they come back for consent."""
    if agreed_h is None:
        return "not agreed"
    if over_percent is None:
        return f"{agreed_h:.4g} h"
    most = agreed_h * (1 + over_percent / 100)
    return f"{agreed_h:.4g} h; comes back for consent above {over_percent:g} % more ({most:.3g} h)"
