"""Hazards, the object's head, the examination and the grades, as pieces of a page."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Sequence

from softmend.records.condition import Grade
from softmend.records.dossier import NOT_KNOWN, Hazard, HazardStatus, Material, Measure, ObjectHead
from softmend.records.examination import Examination
from softmend.report import wording
from softmend.report.blocks import Alert, Block, Cell, Fact, Facts, Heading, Section, Table, Words
from softmend.report.content import Audience, ConditionReport, Quantity


def hazards_section(report: ConditionReport) -> Section:
    """Return the hazards, worst known first; an object without any says so, as a warning."""
    alerts: list[Block] = [_hazard(hazard) for hazard in _worst_first(report.hazards)]
    return _section("hazards", alerts or [Alert(wording.NO_HAZARDS)])


def hazard_line(report: ConditionReport) -> str:
    """Return every hazard with its status and handling in one line, for a page of one picture."""
    return hazard_words(report.hazards)


def hazard_words(hazards: Iterable[Hazard]) -> str:
    """Return hazards with their status and handling in one line, the worst known first."""
    said = []
    for hazard in _worst_first(list(hazards)):
        handling = "" if hazard.handling == NOT_KNOWN else f" ({hazard.handling})"
        is_clear = hazard.status is HazardStatus.TESTED_CLEAR
        status = wording.CLEAR_WHERE_TESTED if is_clear else hazard.status.value
        said.append(f"{hazard.hazard}: {status}{handling}")
    return "; ".join(said) or wording.NO_HAZARDS


def _worst_first(hazards: Sequence[Hazard]) -> list[Hazard]:
    order = (HazardStatus.PRESENT, HazardStatus.NOT_TESTED, HazardStatus.TESTED_CLEAR)
    return sorted(hazards, key=lambda hazard: order.index(hazard.status))


def _hazard(hazard: Hazard) -> Alert:
    answers = {name: getattr(hazard, name) for name in wording.HAZARD_FIELDS}
    facts = [
        Fact(wording.HAZARD_FIELDS[name], answer)
        for name, answer in answers.items()
        if answer != NOT_KNOWN or name in ("who_may_handle", "handling")
    ]
    if hazard.status is HazardStatus.TESTED_CLEAR:
        facts.append(Fact("", wording.TESTED_CLEAR_LIMIT))
    return Alert(hazard.hazard, hazard.status.value, tuple(facts))


def object_section(report: ConditionReport) -> Section:
    """Return who and what the object is; the place and the mass only for the registrar."""
    names = wording.OBJECT_FIELDS
    dossier, head = report.dossier, report.object_head or ObjectHead(title=report.dossier.what)
    numbers = "; ".join(f"{given.number} ({given.issued_by})" for given in head.identifiers)
    facts = [
        Fact(names["number"], f"{dossier.number} ({dossier.number_issued_by})"),
        Fact(names["identifiers"], numbers or NOT_KNOWN),
        Fact(names["what"], dossier.what),
        Fact(names["why_here"], dossier.why_here),
        Fact(names["owner"], head.owner),
        Fact(names["deadline_on"], head.deadline_on),
        Fact(names["intended_use"], head.intended_use),
    ]
    words = [
        Words(head.description_observed, wording.DESCRIPTION, wording.OBSERVED),
        Words(head.history_reported, wording.HISTORY, wording.REPORTED),
    ]
    if report.audience is Audience.REGISTRAR:
        facts += [Fact(names["location"], head.location), Fact(names["mass"], mass_words(head))]
    blocks: list[Block] = [answered(facts, words)]
    if report.audience is Audience.BENCH:
        blocks.append(Words(wording.KEPT_BACK))
    if head.materials:
        blocks.append(_materials(head.materials))
    if head.measures:
        blocks.append(measures_table(head.measures))
    return _section("object", [*blocks, *_said(words)])


def answered(facts: Sequence[Fact], words: Sequence[Words] = ()) -> Facts:
    """Return the answers, and in one last row the names of everything that is not known."""
    known = [fact for fact in facts if fact.answer != NOT_KNOWN]
    unknown = [fact.name.lower() for fact in facts if fact.answer == NOT_KNOWN]
    unknown += [f"{said.heading.lower()} ({said.statement})" for said in words
                if said.text == NOT_KNOWN]  # fmt: skip
    if unknown:
        known.append(Fact(wording.NOT_KNOWN_ROW, "; ".join(unknown)))
    return Facts(tuple(known))


def _said(words: Sequence[Words]) -> list[Words]:
    return [said for said in words if said.text != NOT_KNOWN]


def mass_words(head: ObjectHead) -> str:
    """Return the mass with its uncertainty; only a registrar's print may carry it."""
    if head.mass_g is None:
        return NOT_KNOWN
    spread = "" if head.mass_expanded_g is None else f" ± {head.mass_expanded_g:g}"
    return f"{head.mass_g:g}{spread} g"


def _materials(materials: tuple[Material, ...]) -> Table:
    rows = tuple(
        (
            Cell(material.part, is_strong=True),
            Cell(material.material),
            Cell(material.identified_how),
            Cell(material.certainty.value),
        )
        for material in materials
    )
    return Table(wording.MATERIALS, (3, 4, 5, 2.4), rows)


def measures_table(measures: tuple[Measure, ...]) -> Table:
    """Return the dimensions of the object, each with its uncertainty."""
    rows = []
    for measure in measures:
        spread = "" if measure.expanded_mm is None else f"{measure.expanded_mm:g}"
        quantity = Quantity("", f"{measure.value_mm:g}", spread, "mm")
        cells = (
            Cell(measure.name, is_strong=True),
            Cell(quantities=(quantity,)),
            Cell(measure.measured_how),
        )
        rows.append(cells)
    return Table(wording.MEASURES, (3, 4, 5), tuple(rows))


def examination_section(report: ConditionReport) -> Section:
    """Return how the object was looked at and what follows; the three kinds of words apart."""
    found = report.examination
    if found is None:
        return _section("examination", [Words(wording.NO_EXAMINATION)])
    answers = {"examined_by": report.examined_by}
    facts = [
        Fact(words, answers.get(name) or getattr(found, name))
        for name, words in wording.EXAMINATION_FIELDS.items()
    ]
    words = _statements(found)
    advice = [Fact(words, getattr(found, name)) for name, words in wording.ADVICE_FIELDS.items()]
    said: list[Block] = [answered(facts, words), *_said(words)]
    return _section("examination", [*said, Heading(wording.ADVICE), answered(advice)])


def _statements(found: Examination) -> list[Words]:
    return [
        Words(found.summary_observed, wording.SUMMARY, wording.OBSERVED),
        Words(found.structure_inferred, wording.STRUCTURE, wording.INFERRED),
        Words(found.earlier_treatment_reported, wording.EARLIER_TREATMENT, wording.REPORTED),
    ]


def grades_section(report: ConditionReport) -> Section:
    """Return the overall grade with its extent, each grade with its reason, and their meaning."""
    if report.overall is None:
        return _section("grades", [Words(wording.NO_GRADES)])
    total = report.overall
    sentence = wording.overall(
        total.grade, total.worst_count, total.graded_count, report.overall_extent
    )
    rows = tuple(
        (_grade_cell(row.grade), Cell(row.place), _why(row.grade)) for row in report.grades
    )
    blocks: list[Block] = [
        Alert(sentence) if total.grade >= 3 else Words(sentence),
        Table(wording.GRADE_COLUMNS, (1.2, 4, 7), rows),
    ]
    if report.grade_definitions:
        meaning = tuple(
            (Cell(str(grade), is_strong=True), Cell(words))
            for grade, words in report.grade_definitions
        )
        blocks.append(Table(wording.MEANING_COLUMNS, (1.2, 11), meaning))
    return _section("grades", blocks)


def _grade_cell(grade: Grade) -> Cell:
    return Cell(str(grade.grade), is_strong=True)


def _why(grade: Grade) -> Cell:
    return Cell(grade.because, small=(wording.BASIS_WORDS[grade.basis],))


def _section(key: str, blocks: Sequence[Block]) -> Section:
    return Section(key, wording.SECTIONS[key], tuple(blocks))
