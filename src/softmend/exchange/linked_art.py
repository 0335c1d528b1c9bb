"""The object, its materials, condition and treatment as Linked Art, a profile of the CIDOC CRM.

Source: linked-art, the model for objects; cidoc-crm, E14 Condition Assessment (which identifies,
P35, an E3 Condition State) and E11 Modification (which employed, P126, materials).
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from softmend.records.action import Action
from softmend.records.condition import Grade, GradeBasis
from softmend.records.dossier import NOT_KNOWN, Dossier, Material, Measure, ObjectHead
from softmend.records.entry import Entry
from softmend.records.examination import Examination
from softmend.records.mark import Mark
from softmend.records.material import Direction
from softmend.records.rows import Person

_WHOLE_DAY = re.compile(r"\d{4}-\d\d-\d\d")
CONTEXT = "https://linked.art/ns/v1/linked-art.json"
Said = dict[str, Any]


@dataclass(frozen=True)
class Assessed:
    """One thing found: the entry that says so, its name and kind in words, and the text.

    `rests_on` keeps apart what was observed and what was inferred.
    """

    entry: Entry
    name: str
    kind: str
    text: str
    rests_on: str = "observed"


@dataclass(frozen=True)
class DescribedObject:
    """All that is said of the object: its head, what was found on it and done to it by whom."""

    dossier_id: str
    opening: Dossier
    head: ObjectHead
    found: Sequence[Assessed]
    done: Sequence[tuple[Entry, Action]]
    people: Sequence[Person]
    not_told: frozenset[str] = frozenset({NOT_KNOWN})


def linked_art_object(told: DescribedObject) -> Said:
    """Return the object as one JSON-LD document; what is not told is left out."""
    head = told.head
    names = {person.id: person.name for person in told.people}
    document: Said = {
        "@context": CONTEXT,
        "id": f"urn:uuid:{told.dossier_id}",
        "type": "HumanMadeObject",
        "_label": head.title,
        "identified_by": [
            {"type": "Name", "content": head.title},
            *(_identifier(number, by) for number, by in _numbers(told)),
        ],
    }
    _put(document, "made_of", [_material(each) for each in head.materials])
    _put(document, "dimension", [_dimension(each) for each in head.measures])
    if head.mass_g is not None:
        weighed = _quantity("mass", head.mass_g, head.mass_expanded_g, "gram")
        document["dimension"] = [*document.get("dimension", ()), weighed]
    if head.owner not in told.not_told:
        document["current_owner"] = [{"type": "Actor", "_label": head.owner}]
    _put(document, "referred_to_by", _statements(told))
    _put(document, "assessed_by", [_assessment(each, names) for each in told.found])
    _put(document, "modified_by", [_modification(*each, names) for each in told.done])
    return document


def mark_found(entry: Entry, mark: Mark, term: str) -> Assessed:
    """Return a mark as a state that was found."""
    text = "" if mark.note_observed == NOT_KNOWN else mark.note_observed
    return Assessed(entry, f"mark {mark.number}: {term}", term, text)


def grade_found(entry: Entry, grade: Grade, place: str) -> Assessed:
    """Return a grade as a state that was found."""
    rests_on = "inferred" if grade.basis is GradeBasis.INFERRED else "observed"
    name = f"{place}: grade {grade.grade}"
    return Assessed(entry, name, "condition grade", grade.because, rests_on)


def examination_found(entry: Entry, examination: Examination) -> Assessed:
    """Return the examination as a state that was found."""
    summary = examination.summary_observed
    return Assessed(entry, "the object as a whole", "condition", summary)


def _put(document: Said, name: str, values: list[Said]) -> None:
    # Linked Art leaves an empty list out.
    if values:
        document[name] = values


def _numbers(told: DescribedObject) -> list[tuple[str, str]]:
    named = [(told.opening.number, told.opening.number_issued_by)]
    named += [(each.number, each.issued_by) for each in told.head.identifiers]
    return list(dict.fromkeys(named))


def _identifier(number: str, issued_by: str) -> Said:
    return {"type": "Identifier", "content": number, "referred_to_by": [_text(issued_by, "issuer")]}


def _material(material: Material) -> Said:
    said = f"{material.part}: identified how: {material.identified_how}; {material.certainty.value}"
    return {
        "type": "Material",
        "_label": material.material,
        "referred_to_by": [_text(said, "identification")],
    }


def _dimension(measure: Measure) -> Said:
    return _quantity(measure.name, measure.value_mm, measure.expanded_mm, "millimetre")


def _quantity(name: str, value: float, expanded: float | None, unit: str) -> Said:
    said: Said = {
        "type": "Dimension",
        "classified_as": [{"type": "Type", "_label": name}],
        "value": value,
        "unit": {"type": "MeasurementUnit", "_label": unit},
    }
    if expanded is not None:
        said["lower_value_limit"] = value - expanded
        said["upper_value_limit"] = value + expanded
    return said


def _statements(told: DescribedObject) -> list[Said]:
    head = told.head
    texts = (
        (head.description_observed, "description, observed"),
        (head.history_reported, "history, reported"),
        ("The object is invented." if told.opening.is_invented else NOT_KNOWN, "caution"),
    )
    return [_text(text, kind) for text, kind in texts if text not in told.not_told]


def _text(text: str, kind: str) -> Said:
    return {
        "type": "LinguisticObject",
        "classified_as": [{"type": "Type", "_label": kind}],
        "content": text,
    }


def _assessment(found: Assessed, names: dict[str, str | None]) -> Said:
    entry = found.entry
    moment = entry.at.partition("[")[0]
    state: Said = {
        "id": f"urn:uuid:{entry.id}#state",
        "type": "ConditionState",
        "_label": found.name,
        "classified_as": [{"type": "Type", "_label": found.kind}],
    }
    if found.text and found.text != NOT_KNOWN:
        state["referred_to_by"] = [_text(found.text, found.rests_on)]
    return {
        "id": f"urn:uuid:{entry.id}",
        "type": "ConditionAssessment",
        "_label": f"{entry.purpose}: {found.name}",
        "carried_out_by": [_person(entry.author_id, names.get(entry.author_id))],
        "timespan": {
            "type": "TimeSpan",
            "begin_of_the_begin": moment,
            "end_of_the_end": moment,
        },
        "identified": [state],
    }


def _modification(entry: Entry, action: Action, names: dict[str, str | None]) -> Said:
    who = dict.fromkeys((entry.author_id, *action.also_by_ids))
    said: Said = {
        "id": f"urn:uuid:{entry.id}",
        "type": "Modification",
        "_label": f"log entry {action.number}: {action.action}",
        "technique": [{"type": "Type", "_label": action.action}],
        "carried_out_by": [_person(author, names.get(author)) for author in who],
        "timespan": _day(action.done_on),
    }
    put_on = [each.material for each in action.moved if each.direction is Direction.PUT_ON]
    taken_off = [each.material for each in action.moved if each.direction is Direction.TAKEN_OFF]
    _put(said, "employed", [{"type": "Material", "_label": material} for material in put_on])
    texts = [_text(material, "taken off") for material in taken_off]
    if action.result_observed != NOT_KNOWN:
        texts.append(_text(action.result_observed, "result, observed"))
    _put(said, "referred_to_by", texts)
    return said


def _day(done_on: str) -> Said:
    said: Said = {"type": "TimeSpan", "_label": done_on}
    if _WHOLE_DAY.fullmatch(done_on):
        said["begin_of_the_begin"] = f"{done_on}T00:00:00Z"
        said["end_of_the_end"] = f"{done_on}T23:59:59Z"
    return said


def _person(author_id: str, name: str | None) -> Said:
    return {"id": f"urn:uuid:{author_id}", "type": "Person", "_label": name or "name erased"}
