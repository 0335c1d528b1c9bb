"""A treatment record as sections, in the order of print: hazards first."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.pictures.marks import marks_svg
from softmend.report import treatment_wording as wording
from softmend.report.blocks import (
    Alert,
    Block,
    Cell,
    Fact,
    Facts,
    Figure,
    Section,
    Signing,
    Table,
    Words,
)
from softmend.report.content import ReportView
from softmend.report.fragment_section import seat_blocks, tray_blocks
from softmend.report.object_sections import hazards_section
from softmend.report.passed_section import passed_section
from softmend.report.removal_sections import removal_sections
from softmend.report.sections import print_section, workings_blocks
from softmend.report.tint_section import tint_sections
from softmend.report.treatment_report import FragmentRow, HiddenFace, LogRow, TreatmentReport
from softmend.report.view_sections import TEXT_WIDTH_MM, caption, paper_size
from softmend.report.wording import SIGN_DATE, SIGNATURE, alternative, missing_picture

_TALLEST_MM = 85.0


def treatment_sections(report: TreatmentReport) -> tuple[Section, ...]:
    """Return what is printed, in order; parts that nothing was recorded for say so or are left."""
    sections = [hazards_section(report.about), _log(report), _departures(report)]
    optional = (
        (report.materials, _materials),
        (report.removed, _removed),
        (report.batches, _batches),
        (report.joins, _joins),
        (report.fragments, _fragments),
        (report.hidden, _hidden),
        (report.incidents, _incidents),
        (report.about.passings, lambda told: passed_section(told.about.passings)),
        (report.time_by_task, _time),
    )
    sections += [build(report) for recorded, build in optional if recorded]
    sections += [*removal_sections(report.removal), *tint_sections(report.tints)]
    if report.workings:
        sections.append(_section("workings", *workings_blocks(report.workings)))
    return (*sections, _contributors(report), print_section(report.about))


def _section(key: str, *blocks: Block) -> Section:
    return Section(f"treatment_{key}", wording.SECTIONS[key], blocks)


def _log(report: TreatmentReport) -> Section:
    if not report.log:
        return _section("log", Words(wording.NO_LOG))
    blocks: list[Block] = []
    if report.unsorted:
        blocks.append(Alert(wording.unsorted(report.unsorted)))
    rows = tuple(_log_cells(row) for row in report.log)
    blocks.append(Table(wording.LOG_COLUMNS, (0.8, 2.6, 5.2, 5.4), rows))
    return _section("log", *blocks)


def _log_cells(row: LogRow) -> tuple[Cell, ...]:
    days = (wording.written(row.written_on),) if row.written_on else ()
    return (
        Cell(str(row.number), is_strong=True),
        Cell(row.done_on, small=(*days, row.who)),
        Cell(row.what, small=(row.where, row.plan, *row.detail), is_strong=True),
        Cell(row.result, small=(*row.with_what, *row.remarks)),
    )


def _departures(report: TreatmentReport) -> Section:
    rows = tuple(
        (Cell(str(row.number), is_strong=True), Cell(row.what), Cell(row.plan))
        for row in report.log
        if row.is_departure
    )
    if not rows:
        nothing = wording.NO_DEPARTURES if report.log else wording.NO_LOG_NO_DEPARTURES
        return _section("departures", Words(nothing))
    return _section("departures", Table(wording.DEPARTURE_COLUMNS, (0.8, 4, 9), rows))


def _materials(report: TreatmentReport) -> Section:
    rows = tuple(
        (
            Cell(row.material, small=(row.batch,) if row.batch else (), is_strong=True),
            Cell(row.put_on or wording.NOTHING),
            Cell(row.taken_off or wording.NOTHING),
            Cell(row.remains, small=(row.where,) if row.where else ()),
        )
        for row in report.materials
    )
    table = Table(wording.MATERIAL_COLUMNS, (4, 3, 3, 4), rows)
    return _section("materials", table, Words(wording.AS_APPLIED))


def _removed(report: TreatmentReport) -> Section:
    rows = tuple((Cell(what, is_strong=True), Cell(fate)) for what, fate in report.removed)
    return _section("removed", Table(wording.REMOVED_COLUMNS, (7, 7), rows))


def _batches(report: TreatmentReport) -> Section:
    rows = tuple(
        (
            Cell(str(row.number), is_strong=True),
            Cell(row.name, small=row.make_up),
            Cell(row.made),
            Cell(row.comes_off),
        )
        for row in report.batches
    )
    return _section("batches", Table(wording.BATCH_COLUMNS, (0.8, 6, 3.4, 3.8), rows))


def _joins(report: TreatmentReport) -> Section:
    rows = tuple(
        (Cell(name, is_strong=True), Cell(pieces), Cell(state))
        for name, pieces, state in report.joins
    )
    return _section("joins", Table(wording.JOIN_COLUMNS, (1.5, 6, 6.5), rows))


def _fragments(report: TreatmentReport) -> Section:
    rows = tuple(_fragment_cells(row) for row in report.fragments)
    balance = Facts((Fact(wording.BALANCE, report.balance), Fact(wording.BY_MASS, report.masses)))
    blocks: list[Block] = [
        balance,
        Table(wording.FRAGMENT_COLUMNS, (0.8, 4, 2, 2.2, 5), rows),
        Words(wording.NOT_A_FACT),
    ]
    if report.bags:
        bags = tuple(
            (Cell(bag, is_strong=True), Cell(inside), Cell(why)) for bag, inside, why in report.bags
        )
        blocks.append(Table(wording.BAG_COLUMNS, (2, 4, 8), bags))
    blocks += [*tray_blocks(report.trays), *seat_blocks(report.seats)]
    return _section("fragments", *blocks)


def _fragment_cells(row: FragmentRow) -> tuple[Cell, ...]:
    return (
        Cell(str(row.number), is_strong=True),
        Cell(row.found),
        Cell(row.mass),
        Cell(row.stand, is_strong=True),
        Cell(row.place),
    )


def _hidden(report: TreatmentReport) -> Section:
    reasons = tuple(Fact(face.about, face.because) for face in report.hidden if face.shown is None)
    blocks: list[Block] = [Facts(reasons)] if reasons else []
    blocks += [
        _figure(face, face.shown, index)
        for index, face in enumerate(report.hidden)
        if face.shown is not None
    ]
    return _section("hidden", *blocks)


def _figure(face: HiddenFace, shown: ReportView, index: int) -> Figure:
    view = shown.view
    width_mm, height_mm = paper_size(view, TEXT_WIDTH_MM, _TALLEST_MM)
    unit_px = view.width_px / width_mm
    return Figure(
        picture=shown.picture,
        overlay=marks_svg(
            (view.width_px, view.height_px), (), {}, unit_px, shown.scale_bar, prefix=f"h{index}"
        ),
        width_mm=width_mm,
        height_mm=height_mm,
        caption=f"{face.about}: {caption(view)}",
        small=shown.scale_statement,
        alternative=alternative(view.shows, view.number, ()),
        missing=missing_picture(view.number),
    )


def _incidents(report: TreatmentReport) -> Section:
    rows = tuple(
        (Cell(number, is_strong=True), Cell(what), Cell(how))
        for number, what, how in report.incidents
    )
    return _section("incidents", Table(wording.INCIDENT_COLUMNS, (0.8, 7, 6), rows))


def _time(report: TreatmentReport) -> Section:
    rows = tuple((Cell(task, is_strong=True), Cell(hours)) for task, hours in report.time_by_task)
    return _section("time", Table(wording.TIME_COLUMNS, (7, 7), rows), Words(wording.ALL_HANDS))


def _contributors(report: TreatmentReport) -> Section:
    said = ", ".join(report.contributors) or wording.NOBODY
    people = ", ".join(report.contributors)
    to_sign = Signing((Fact(wording.SIGNED_BY, people),), SIGN_DATE, SIGNATURE)
    return _section("contributors", Words(f"{said}. {wording.FROM_THE_LOG}"), to_sign)
