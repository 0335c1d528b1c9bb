"""The words for what a compared record answers, so that a change never shows a field's own name."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from softmend.services.examine.vocabulary import terms

WORDS: Mapping[str, str] = {
    # marks
    "term_id": "term",
    "state": "state",
    "state_grounds": "grounds of the state",
    "age": "age",
    "part": "part",
    "side": "side",
    "place": "place",
    "note_observed": "what is seen",
    "cause_inferred": "likely cause",
    "cause_certainty": "how sure of the cause",
    "history_reported": "history, as reported",
    "section": "shape in section",
    "widths": "width",
    "depths": "depth",
    "along_mm": "at (mm)",
    "width_mm": "wide (mm)",
    "expanded_mm": "± (mm)",
    "measured_with": "measured with",
    "low_mm": "at least (mm)",
    "typical_mm": "typically (mm)",
    "high_mm": "at most (mm)",
    "known_how": "known how",
    # zones
    "body": "what the body is",
    "on_it": "what lies on it",
    "accuracy_px": "drawn to within ± (px)",
    "grounds_observed": "grounds",
    "checked_how": "checked how",
    # grades, hazards, what was not examined
    "grade": "grade",
    "because": "reason",
    "basis": "how it was graded",
    "hazard": "hazard",
    "status": "status",
    "method": "method",
    "detection_limit": "detection limit",
    "tested_on": "tested on",
    "who_may_handle": "who may handle it",
    "handling": "handling",
    # views
    "shows": "what it shows",
    "light": "light",
    "light_from": "light from",
    "taken_on": "taken on",
    "made_by": "made by",
    "stage": "stage of the work",
    "intake_notes": "notes from bringing it in",
    "carries_location": "the file tells where it was taken",
    # the object
    "title": "title",
    "owner": "owner",
    "identifiers": "other number",
    "number": "number",
    "issued_by": "issued by",
    "materials": "material",
    "material": "material",
    "identified_how": "identified how",
    "certainty": "certainty",
    "measures": "measure",
    "name": "name",
    "value_mm": "size (mm)",
    "measured_how": "measured how",
    "mass_g": "mass (g)",
    "mass_expanded_g": "mass ± (g)",
    "location": "where it is kept",
    "deadline_on": "needed by",
    "intended_use": "intended use",
    "description_observed": "description",
    # the examination
    "reason": "why it was examined",
    "requested_by": "requested by",
    "examined_on": "examined on",
    "examined_at_place": "examined where",
    "lights_and_aids": "lights and aids",
    "what_was_examined": "what was examined",
    "summary_observed": "summary",
    "structure_inferred": "what carries what",
    "earlier_treatment_reported": "earlier treatment, as reported",
    "fitness_for_use": "fit for the intended use",
    "recommendation": "recommendation",
    "urgency": "urgency",
    "next_check_on": "next check",
    "copies_to": "copies to",
}

UNTOLD = frozenset(
    {
        # Positions say nothing in words; that a drawing changed is said once.
        *("sightings", "rings", "plan_x", "plan_y"),
        # Ids, and what a photograph is from the day it comes in.
        *("view_id", "of_kind", "of_id", "original_name", "original_sha256", "original_bytes"),
        *("canonical_sha256", "width_px", "height_px", "bits", "colour_profile"),
    }
)
"""What is never told as a change."""

# Where an object stands and what it weighs is on no page but the registrar's (cautions 12).
_REGISTRARS = frozenset({"location", "mass_g", "mass_expanded_g"})


def told(plain: Mapping[str, Any]) -> dict[str, Any]:
    """Return a record's plain data under the words for its fields, values in words too."""
    return {
        WORDS[name]: _value(name, value)
        for name, value in plain.items()
        if name not in UNTOLD and name not in _REGISTRARS
    }


def _value(name: str, value: Any) -> Any:
    if name == "term_id":
        found = terms().get(value)
        return found.term if found else value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return told(value)
    if isinstance(value, list):
        return [_value("", item) for item in value]
    return value
