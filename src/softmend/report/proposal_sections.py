"""A treatment proposal as sections, in the order of print: hazards first, consent last."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Sequence

from softmend.records.consent import Decision, Standing
from softmend.records.dossier import NOT_KNOWN
from softmend.records.proposal import Coat, Option, PlanFill, PlanStep, ToneRule
from softmend.records.zone import body_zone_name, on_zone_name
from softmend.report import proposal_wording as wording
from softmend.report.blocks import (
    Alert,
    Blanks,
    Block,
    Cell,
    Fact,
    Facts,
    Heading,
    Section,
    Table,
    Words,
)
from softmend.report.climate_section import coat_blocks
from softmend.report.coating_section import coating_sections
from softmend.report.explain_sections import explain_sections
from softmend.report.holding_section import holding_sections
from softmend.report.law_section import law_section
from softmend.report.object_sections import answered, hazards_section, object_section
from softmend.report.passed_section import passed_section
from softmend.report.proposal_hours import hours_section
from softmend.report.proposal_materials import materials_section, removals_section
from softmend.report.proposal_report import ProposalReport
from softmend.report.removal_sections import removal_sections, with_removal
from softmend.report.sections import print_section
from softmend.report.tint_section import tint_sections


def proposal_sections(report: ProposalReport) -> tuple[Section, ...]:
    """Return what is printed, in order; parts that nothing was recorded for are left out."""
    first = [hazards_section(report.about)]
    if report.about.flags:
        first.append(law_section(report.about.flags))
    if report.missing:
        first.append(_missing(report))
    middle = [object_section(report.about), _why(report), _options(report), _steps(report)]
    if report.estimate is not None:
        middle.append(hours_section(report.estimate))
    if report.plan.materials:
        middle.append(materials_section(report))
    if report.plan.fills:
        middle.append(_fills(report))
    explained = explain_sections(report.designs, report.workings)
    middle += [one for one in explained if one.key == "fill_designs"]
    middle += [*coating_sections(report.coatings), *holding_sections(report.joins)]
    middle += tint_sections(report.tints)
    if report.plan.removals:
        middle.append(removals_section(report))
    middle += removal_sections(report.removal)
    middle += [_coating(report), _limits(report)]
    rest = (
        (report.areas, _areas),
        (report.securings, _secured),
        (report.plan.steps, _wet),
        (report.about.passings, lambda told: passed_section(told.about.passings)),
    )
    last = [build(report) for recorded, build in rest if recorded]
    # The page to sign is the last one.
    workings = with_removal(explained, report.removal)
    return (*first, *middle, *last, *workings, print_section(report.about), _consent(report))


def _section(key: str, blocks: Sequence[Block]) -> Section:
    return Section(key, wording.SECTIONS[key], tuple(blocks))


def _missing(report: ProposalReport) -> Section:
    lines = "\n".join(f"– {one}" for one in report.missing)
    return _section("missing", [Words(wording.PRELIMINARY), Words(lines)])


def _why(report: ProposalReport) -> Section:
    proposal = report.plan.proposal
    aims = ", ".join(aim.value for aim in proposal.aims) or NOT_KNOWN
    facts = [
        Fact(wording.BASED_ON, report.based_on),
        Fact(wording.WRITTEN_BY, report.about.examined_by),
        Fact(wording.AIMS, aims),
    ]
    facts += [Fact(words, getattr(proposal, name)) for name, words in wording.WHY_FIELDS.items()]
    return _section("why", [answered(facts)])


def _options(report: ProposalReport) -> Section:
    options = report.plan.options
    rows = tuple(_option(one, options.chosen) for one in options.rows)
    chosen = (
        Fact(wording.CHOSEN, options.chosen),
        Fact(wording.CHOSEN_BECAUSE, options.chosen_because),
    )
    table = Table(wording.OPTION_COLUMNS, (3, 5, 5, 3.4), rows)
    return _section("options", [table, answered(chosen)])


def _option(option: Option, chosen: str) -> tuple[Cell, ...]:
    small = ("proposed",) if option.name == chosen else ()
    return (
        Cell(option.name, small=small, is_strong=True),
        Cell(option.result, small=(f"risk: {option.risk}",)),
        Cell(option.blocks_later, small=(f"leaves undone: {option.leaves_undone}",)),
        Cell(wording.hours_text(option.hours), small=(f"cost: {option.cost}",)),
    )


def _steps(report: ProposalReport) -> Section:
    if not report.plan.steps:
        return _section("steps", [Words(wording.NO_STEPS)])
    rows = tuple(_step(report, place, step) for place, step in enumerate(report.plan.steps, 1))
    total = report.plan.hours
    is_whole = total is None and report.estimate is not None
    said = [Fact("All steps", wording.AS_A_WHOLE if is_whole else wording.hours_text(total))]
    if total is not None:
        said.append(
            Fact("Mean of the three points", f"{total.mean_h:.3g} h: the right tail counts")
        )
    return _section("steps", [Table(wording.STEP_COLUMNS, (1.6, 8, 4.6), rows), Facts(tuple(said))])


def _step(report: ProposalReport, place: int, step: PlanStep) -> tuple[Cell, ...]:
    aims = ", ".join(aim.value for aim in step.aims)
    small = [
        " · ".join(
            part for part in (report.actions.get(step.action_id, step.action_id), aims) if part
        ),
        places_named(step),
        _listed("with material", step.material_numbers),
        "" if step.hours is None else wording.hours_text(step.hours),
    ]
    if step.why != NOT_KNOWN:
        small.append(f"why: {step.why}")
    # The log and the consent name a step by its number, which stays when the order changes.
    named = () if place == step.number else (f"named step {step.number}",)
    return (
        Cell(str(place), small=named, is_strong=True),
        Cell(step.what, small=tuple(line for line in small if line)),
        Cell(step.stop_rule),
    )


def places_named(record: PlanStep) -> str:
    """Return the places that a step names, in words."""
    said = (
        _listed("at mark", record.mark_numbers),
        _listed("in zone", map(body_zone_name, record.body_zone_numbers)),
        _listed("on it, zone", map(on_zone_name, record.on_zone_numbers)),
    )
    return "; ".join(one for one in said if one)


def _listed(words: str, numbered: Iterable[int | str]) -> str:
    listed = [str(one) for one in numbered]
    several = "s" if len(listed) > 1 else ""
    return f"{words}{several} {', '.join(listed)}" if listed else ""


def _fills(report: ProposalReport) -> Section:
    rows = tuple(_fill(fill) for fill in report.plan.fills)
    table = Table(wording.FILL_COLUMNS, (2.4, 5.4, 6.2), rows)
    return _section("fills", [table, Words(wording.TONE_ON_FILLS)])


def _fill(fill: PlanFill) -> tuple[Cell, ...]:
    level = fill.level.value + (f" {fill.set_back_mm:g} mm" if fill.set_back_mm else "")
    tone = fill.tone.value
    if fill.tone is ToneRule.MATCHED and fill.tone_distance_m:
        tone = f"matched at {fill.tone_distance_m:g} m"
    curator = "" if fill.curator_yes_by == NOT_KNOWN else f"curator: {fill.curator_yes_by}"
    grounds = tuple(line for line in (fill.warrant_grounds, curator) if line)
    found = (f"found again by: {fill.detected_by}", _listed("material", fill.material_numbers))
    return (
        Cell(str(fill.number), small=(_listed("mark", fill.mark_numbers),), is_strong=True),
        Cell(fill.warrant.value, small=grounds),
        Cell(f"{level}; texture {fill.texture}; tone {tone}", small=tuple(filter(None, found))),
    )


def _coating(report: ProposalReport) -> Section:
    coating = report.plan.proposal.coating
    if coating.answer is Coat.NOT_ANSWERED:
        return _section("coating", [Words(wording.NO_COATING_YET)])
    facts = [
        Fact("Decision", coating.answer.value),
        *(Fact("Because", reason) for reason in coating.reasons),
    ]
    if coating.answer is not Coat.NONE:
        facts.append(Fact("Where", coating.where))
    facts.append(Fact("What does the same instead", coating.instead))
    return _section("coating", [answered(facts), *coat_blocks(report.climate)])


def _limits(report: ProposalReport) -> Section:
    proposal = report.plan.proposal
    agreed = wording.agreed_text(proposal.hours_agreed_h, proposal.hours_over_percent)
    facts = [Fact(words, getattr(proposal, name)) for name, words in wording.LIMIT_FIELDS.items()]
    return _section("limits", [answered([Fact(wording.HOURS_AGREED, agreed), *facts])])


def _areas(report: ProposalReport) -> Section:
    rows = tuple(
        (Cell(area.name, is_strong=True), Cell(area.what), Cell(area.size)) for area in report.areas
    )
    table = Table(wording.AREA_COLUMNS, (3, 5, 5), rows)
    return _section("areas", [table, Words(wording.SIZE_NOTE)])


def _secured(report: ProposalReport) -> Section:
    rows = []
    for one in report.securings:
        view = one.view_number
        image = f"view {view}" if view is not None else f"no image: {one.no_image_because}"
        told = one.owner_told_on
        owner = f"told on {told}" if told != NOT_KNOWN else f"to be told by {one.owner_told_by_on}"
        rows.append(
            (
                Cell(str(one.number), is_strong=True),
                Cell(f"{one.means.value}, {one.where}", small=(one.because, one.with_what)),
                Cell(one.undone_how, small=(image, owner)),
            )
        )
    return _section("secured", [Table(wording.SECURED_COLUMNS, (1.2, 7, 6), tuple(rows))])


def _wet(report: ProposalReport) -> Section:
    if not report.owed_before_wet:
        return _section("wet", [Words(wording.NOTHING_OWED)])
    rows = tuple((Cell(one.problem), Cell(one.remedy)) for one in report.owed_before_wet)
    return _section("wet", [Table(wording.OWED_COLUMNS, (6, 6), rows), Words(wording.NOT_SAFE)])


def _consent(report: ProposalReport) -> Section:
    hashes = (
        Fact(wording.POINTS_HASH, report.points_hash),
        Fact(wording.WORDING_HASH, report.wording_hash),
    )
    blocks: list[Block] = [Words(wording.POINTS), Facts(hashes)]
    for standing in report.standings:
        blocks += _answered(standing)
    if not (report.standings or report.plan.steps or report.plan.options.chosen != NOT_KNOWN):
        return _section("consent", [*blocks, Words(wording.NOTHING_TO_CONSENT_TO)])
    newest = report.standings[-1] if report.standings else None
    is_agreed = newest is not None and newest.allows_work
    if not (is_agreed and newest is not None and newest.consent.paper_number is not None):
        blanks = tuple(Fact(name, blank) for name, blank in wording.BLANKS)
        # Whatever page the blanks fall on says which points they are for.
        blanks = (Fact(wording.POINTS_HASH, report.points_hash), *blanks)
        blocks.append(Heading(wording.TO_BE_SIGNED))
        if is_agreed:
            blocks.append(Words(wording.PAPER_OWED))
        blocks += [Blanks(blanks), Words(wording.DECLINE)]
    return _section("consent", blocks)


def _answered(standing: Standing) -> list[Block]:
    consent = standing.consent
    paper = consent.paper_number
    signed = f"paper {paper}" if paper is not None else f"none: {consent.no_paper_because}"
    facts = [
        Fact("Decision (reported)", consent.decision.value),
        Fact("By", f"{consent.given_by}, {consent.role}, {consent.decided_on}"),
        Fact("Signed paper", signed),
        Fact("For the points", consent.points_hash),
    ]
    if consent.decision is Decision.WITH_LIMITS:
        facts.insert(1, Fact("Limits", consent.limits))
    blocks: list[Block] = [Heading(f"Answer {consent.number}"), Facts(tuple(facts))]
    if standing.is_void and consent.decision is not Decision.NO:
        changes = tuple(Fact("", change.sentence) for change in standing.changed_points)
        blocks.append(Alert(wording.VOID, "", changes))
    if standing.changed_wording:
        reworded = tuple(Fact("", change.sentence) for change in standing.changed_wording)
        blocks += [Words(wording.REWORDED), Facts(reworded)]
    return blocks
