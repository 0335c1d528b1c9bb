"""Materials and removals of a treatment proposal, as pieces of a page."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.dossier import NOT_KNOWN
from softmend.records.mixing import MakeUp
from softmend.records.proposal import PlanMaterial, Route
from softmend.report import proposal_wording as wording
from softmend.report.blocks import Cell, Section, Table
from softmend.report.proposal_report import ProposalReport

_SAID = {
    "grade": "grade",
    "supplier": "supplier",
    "why": "why",
    "ageing": "ageing",
    "hazard": "hazard",
    "effect_on_analysis": "effect on later analysis",
    "strength_against_object": "strength against the object",
}


def materials_section(report: ProposalReport) -> Section:
    """Return every material exactly; what nobody knows of it stands in one line."""
    rows = tuple(_material(report, one) for one in report.plan.materials)
    table = Table(wording.MATERIAL_COLUMNS, (1.1, 8, 5), rows)
    return Section("materials", wording.SECTIONS["materials"], (table,))


def make_up_text(made: MakeUp | None) -> str:
    """Return how a material is made up: weighed parts first, then what was written."""
    if made is None:
        return "as supplied"
    parts = (
        f"{made.solute_mass_g:.4g} g {made.solute} with {made.solvent_mass_g:.4g} g {made.solvent}"
    )
    if made.written_percent is None:
        return parts
    return f"{parts} (written as {made.written_percent:g} % {made.basis})"


def _material(report: ProposalReport, material: PlanMaterial) -> tuple[Cell, ...]:
    said = {words: getattr(material, name) for name, words in _SAID.items()}
    known = [f"{words}: {answer}" for words, answer in said.items() if answer != NOT_KNOWN]
    unknown = [words for words, answer in said.items() if answer == NOT_KNOWN]
    if unknown:
        known.append(f"not known: {', '.join(unknown)}")
    route = material.route.value
    if material.route is Route.UNKNOWN:
        route = report.routes.get(route, wording.NO_ROUTE)
        how: tuple[str, ...] = ()
    else:
        how = (material.comes_off_how, material.route_source)
    return (
        Cell(str(material.number), is_strong=True),
        Cell(material.generic_name, small=(make_up_text(material.make_up), *known)),
        Cell(route, small=how),
    )


def removals_section(report: ProposalReport) -> Section:
    """Return what earlier work comes off, why, what it carries and where it is kept."""
    rows = []
    for one in report.plan.removals:
        marks = ", ".join(f"mark {number}" for number in one.mark_numbers)
        zones = ", ".join(f"zone Z{number}" for number in one.body_zone_numbers)
        places = tuple(line for line in (marks, zones) if line)
        rows.append(
            (
                Cell(str(one.number), is_strong=True),
                Cell(one.what, small=(one.because, *places)),
                Cell(
                    f"carries: {one.carries}",
                    small=(f"secured first: {one.secured_first}", f"kept: {one.kept_where}"),
                ),
            )
        )
    table = Table(wording.REMOVAL_COLUMNS, (1.1, 7, 6), tuple(rows))
    return Section("removals", wording.SECTIONS["removals"], (table,))
