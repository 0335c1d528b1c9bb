"""What each page says, put together from what was recorded; nothing is added."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from softmend.records.closing import CareSheet
from softmend.records.custody import Receipt, Way
from softmend.records.dossier import NOT_KNOWN, ObjectHead
from softmend.records.location import Location
from softmend.records.zone import OnIt, OnZone
from softmend.report import one_page_wording as said
from softmend.report import wording
from softmend.report.blocks import Alert, Block, Cell, Fact, Facts, Section, Table, Words
from softmend.report.climate_section import climate_plan, climate_workings, coat_section
from softmend.report.content import MarkRow
from softmend.report.mark_sections import mark_label, mark_place
from softmend.report.object_sections import hazard_line, mass_words, measures_table
from softmend.report.one_page import HandedOver, OnePage, Page, Signature
from softmend.report.scan_section import mount_blocks

_MOST_MARKS = 10
"""A page lists this many marks and says how many it leaves to the report."""


def one_page(page: Page, told: HandedOver) -> OnePage:
    """Return one page, hazards first."""
    hazards = Section("hazards", wording.SECTIONS["hazards"], (Alert(hazard_line(told.report)),))
    sections = (hazards, *_BUILD[page](told))
    return OnePage(page.value, said.TITLES[page], told.report, sections)


def receipt_page(receipt: Receipt, told: HandedOver) -> OnePage:
    """Return one receipt with its lines to sign on."""
    facts = _facts((label, getattr(receipt, name)) for name, label in said.RECEIPT_FIELDS.items())
    way = Fact("Way", receipt.way.value)
    number = Fact("Object", f"{told.report.dossier.number}, {told.report.dossier.number_issued_by}")
    title = f"{said.RECEIPT} {receipt.number}"
    return OnePage(
        key=f"receipt-{receipt.number}",
        title=title,
        report=told.report,
        sections=(
            Section("hazards", wording.SECTIONS["hazards"], (Alert(hazard_line(told.report)),)),
            Section(
                "receipt",
                f"{title}: {receipt.way.value}",
                (Facts((way, number, *facts.rows)), Words(said.SIGNED_BY_BOTH)),
            ),
        ),
        signatures=(
            Signature(said.RECEIPT_FIELDS["from_whom"], receipt.from_whom),
            Signature(said.RECEIPT_FIELDS["to_whom"], receipt.to_whom),
        ),
    )


def _curator(told: HandedOver) -> tuple[Section, ...]:
    report, head = told.report, _head(told)
    examined = report.examination
    found: list[Block] = []
    if report.overall is not None:
        total = report.overall
        found.append(
            Words(
                wording.overall(
                    total.grade, total.worst_count, total.graded_count, report.overall_extent
                )
            )
        )
    if examined is not None and examined.summary_observed != NOT_KNOWN:
        found.append(Words(examined.summary_observed, wording.SUMMARY, wording.OBSERVED))
    found.append(_marks_summary(report.marks))
    ask = _facts(
        (
            ("Recommendation", examined.recommendation if examined else NOT_KNOWN),
            ("Urgency", examined.urgency if examined else NOT_KNOWN),
            ("Option chosen", told.chosen_option),
            ("Chosen because", told.chosen_because),
            ("Owner's decision", told.decision),
        )
    )
    when = _facts(
        (("Needed by", head.deadline_on), ("Next check", _next_check(told))),
    )
    done = Words(_done(told))
    return (
        _section("what", _what(told)),
        _section("found", *found),
        _section("done", done),
        _section("ask", ask),
        _section("when", when),
    )


def _mount_maker(told: HandedOver) -> tuple[Section, ...]:
    head, care = _head(told), told.care or CareSheet(NOT_KNOWN)
    size: list[Block] = [
        Facts((*_what(told).rows, Fact("Mass", _mass_for_mounts(told)))),
    ]
    if head.measures:
        size.append(measures_table(head.measures))
    hold = _facts(
        (
            ("Lift at", care.lift_points),
            ("Held by", care.support),
            ("Handling", care.handling),
            ("Moves with humidity", care.moves_with_rh),
        )
    )
    contacts: list[Block] = []
    if told.care is not None:
        contacts.append(_facts((("No-touch zones", care.no_touch_zones),)))
    contacts += _contacts(told)
    held: Block = hold if told.care is not None else Alert(said.NO_CARE)
    # A scan that is to be held says the caution itself.
    by_scan = mount_blocks(told.scans) or (Words(said.NOT_A_LIFTING_CALCULATION),)
    return (
        _section("size", *size),
        _section("hold", held, *by_scan),
        _section("contacts", *contacts),
    )


def _mass_for_mounts(told: HandedOver) -> str:
    """Return where the mass stands: with the scan where somebody let it, else elsewhere."""
    is_told = any(scan.mass_for_mount_maker and scan.part("mass") for scan in told.scans)
    return said.MASS_WITH_SCAN if is_told else said.MASS_ELSEWHERE


def _registrar(told: HandedOver) -> tuple[Section, ...]:
    head, dossier = _head(told), told.report.dossier
    numbers = "; ".join(f"{one.number} ({one.issued_by})" for one in head.identifiers)
    facts = _facts(
        (
            ("Number", f"{dossier.number} ({dossier.number_issued_by})"),
            ("Other numbers", numbers or NOT_KNOWN),
            ("What it is", dossier.what),
            ("Owner", head.owner),
            ("Mass", mass_words(head)),
            ("Needed by", head.deadline_on),
            ("Next check", _next_check(told)),
        )
    )
    law: tuple[Block, ...] = (
        (_law_table(told), Words(said.FACTS_ONLY)) if told.flags else (Words(said.NO_FLAGS),)
    )
    custody: Block = (
        _custody_table(told.receipts) if told.receipts else Words("No receipt is recorded.")
    )
    places = tuple(
        (Cell(one.thing, is_strong=True), Cell(one.place), Cell(one.since_on, small=_moved(one)))
        for one in told.places
    )
    places += tuple(
        (Cell(f"{one.material}, {one.fate}", is_strong=True), Cell(one.kept_where), Cell())
        for one in told.removed
        if one.kept_where != NOT_KNOWN
    )
    return (
        _section("object", facts),
        _section("places", Table(said.PLACE_COLUMNS, (3, 6, 4), places)),
        _section("custody", custody),
        _section("law", *law),
        *climate_workings(told.climate),
    )


def _front_of_house(told: HandedOver) -> tuple[Section, ...]:
    care = told.care or CareSheet(NOT_KNOWN)
    do = _facts(
        (
            ("Watch for", care.watch_for),
            ("Light", care.light),
            ("Humidity", care.rh_band),
            ("Whom to tell", care.whom_to_tell),
        )
    )
    never = list(said.NEVER)
    if care.no_touch_zones != NOT_KNOWN:
        never.append(f"{said.KEEP_OFF} {care.no_touch_zones}")
    return (
        _section("what", _what(told)),
        _section("do_not", *(Words(line) for line in never)),
        _section("do", do if told.care is not None else Alert(said.NO_CARE)),
        _section("tell", Words(said.TELL_ALWAYS)),
    )


def _next_conservator(told: HandedOver) -> tuple[Section, ...]:
    rows = tuple(
        (
            Cell(row.material, small=(row.batch,) if row.batch else (), is_strong=True),
            Cell(row.where, small=(row.amount, _remains(row.remains))),
            Cell(row.undone_how),
        )
        for row in told.materials
    )
    materials: Block = (
        Table(said.UNDO_COLUMNS, (4, 5, 6), rows) if rows else Words(said.NO_MATERIALS)
    )
    removed = tuple((Cell(row.material, is_strong=True), Cell(row.fate)) for row in told.removed)
    left = [Fact("Coating", told.coating), Fact("Option chosen", told.chosen_option)]
    left += [Fact("Not done", f"{one.asked}: {one.because}") for one in told.report.not_done]
    left += [Fact("Not in the plan", line) for line in told.departures]
    made = told.report.provenance
    where = (
        Fact("Work", _done(told)),
        Fact("Entries in the dossier", str(made.entry_count)),
        Fact("Hash of the last entry", made.head_hash),
    )
    sections = [
        _section("what", _what(told)),
        _section("undo", materials),
    ]
    if removed:
        sections.append(_section("removed", Table(said.REMOVED_COLUMNS, (6, 6), removed)))
    sections += [
        _section("left", _answered(left)),
        *coat_section(told.climate),
        _section("record", Facts(where)),
    ]
    return tuple(sections)


def _care(told: HandedOver) -> tuple[Section, ...]:
    care = told.care
    if care is None:
        return (_section("care", Alert(said.NO_CARE)),)
    fields = _facts((label, getattr(care, name)) for name, label in said.CARE_FIELDS.items())
    checks = _facts((label, getattr(care, name)) for name, label in said.CHECK_FIELDS.items())
    band = (Words(said.CLIMATE_LINE),) if care.rh_band != NOT_KNOWN else ()
    return (
        _section("what", _what(told)),
        _section("care", fields, *band),
        _section("checks", checks),
        *climate_plan(told.climate),
    )


_BUILD: dict[Page, Callable[[HandedOver], tuple[Section, ...]]] = {
    Page.CURATOR: _curator,
    Page.MOUNT_MAKER: _mount_maker,
    Page.REGISTRAR: _registrar,
    Page.FRONT_OF_HOUSE: _front_of_house,
    Page.NEXT_CONSERVATOR: _next_conservator,
    Page.CARE: _care,
}


def _remains(words: str) -> str:
    return said.REMAINS_NOT_KNOWN if words == NOT_KNOWN else words


def _what(told: HandedOver) -> Facts:
    head, dossier = _head(told), told.report.dossier
    made_of = "; ".join(f"{one.part}: {one.material}" for one in head.materials)
    return _facts(
        (
            ("Number", f"{dossier.number} ({dossier.number_issued_by})"),
            ("What it is", dossier.what),
            ("Made of", made_of or NOT_KNOWN),
        )
    )


def _head(told: HandedOver) -> ObjectHead:
    return told.report.object_head or ObjectHead(title=told.report.dossier.what)


def _next_check(told: HandedOver) -> str:
    examined = told.report.examination
    if told.care is not None:
        day = told.care.next_check_on
    else:
        day = examined.next_check_on if examined else NOT_KNOWN
    # A print carries the time of the newest entry it shows, never the clock's.
    is_past = day != NOT_KNOWN and day < told.report.provenance.newest_at[:10]
    return said.PASSED_CHECK.format(day=day) if is_past else day


def _done(told: HandedOver) -> str:
    if told.work_from_to == NOT_KNOWN:
        return said.NOTHING_LOGGED
    by = f", by {told.worked_by}" if told.worked_by != NOT_KNOWN else ""
    incidents = f" Incidents: {'; '.join(told.incidents)}." if told.incidents else ""
    work = f" {'; '.join(told.work)}." if told.work else ""
    return f"{told.work_from_to}{by}.{work[:2].upper()}{work[2:]}{incidents}"


def _marks_summary(marks: tuple[MarkRow, ...]) -> Block:
    if not marks:
        return Words(said.NO_MARKS)
    counts: dict[str, int] = {}
    for row in marks:
        counts[row.term] = counts.get(row.term, 0) + 1
    return Words("Marked: " + ", ".join(f"{count} × {term}" for term, count in counts.items()))


def _contacts(told: HandedOver) -> list[Block]:
    rows = [
        (Cell(mark_label(row), is_strong=True), Cell(row.term, small=(mark_place(row),)))
        for row in told.report.marks
    ]
    kept_off = (OnIt.PROTECTED_EVIDENCE, OnIt.FACING, OnIt.UNTREATED_RESERVE)
    rows += [
        (Cell(row.zone.name, is_strong=True), Cell(row.zone.on_it.value))
        for row in told.report.zones
        if isinstance(row.zone, OnZone) and row.zone.on_it in kept_off
    ]
    if not rows:
        return [Words(said.NO_MARKS)]
    table = Table(said.CONTACT_COLUMNS, (1.6, 8), tuple(rows[:_MOST_MARKS]))
    left = len(rows) - _MOST_MARKS
    shown = table if left <= 0 else replace(table, rows=(*table.rows, _more(left)))
    states = dict.fromkeys(wording.STATE_WORDS[row.mark.state] for row in told.report.marks)
    signs = [Words(said.SIGNS.format(", ".join(states)))] if states else []
    return [shown, *signs]


def _more(left: int) -> tuple[Cell, Cell]:
    return Cell("…"), Cell(f"{left} {wording.MORE_ROWS}")


def _law_table(told: HandedOver) -> Table:
    rows = tuple(
        (
            Cell(flag.topic.value, small=(flag.rule,), is_strong=True),
            Cell(
                "; ".join(
                    answer
                    for answer in (flag.taxon, flag.ground, flag.human.value, flag.jurisdiction)
                    if answer != NOT_KNOWN
                ),
                small=() if flag.documents_reported == NOT_KNOWN else (flag.documents_reported,),
            ),
            Cell(
                f"{flag.checked_on}, {flag.checked_by}",
                small=(f"ask again: {stale}",) if stale else (),
            ),
        )
        for flag, stale in told.flags
    )
    return Table(said.LAW_COLUMNS, (4, 6, 4), rows)


def _custody_table(receipts: Iterable[Receipt]) -> Table:
    rows = tuple(
        (
            Cell(f"{one.number}, {one.way.value}", small=(one.handed_on,), is_strong=True),
            Cell(one.what, small=(f"{one.from_whom} → {one.to_whom}", one.condition_observed)),
            Cell(one.reason, small=(_return(one), _signed(one))),
        )
        for one in receipts
    )
    return Table(said.CUSTODY_COLUMNS, (2.6, 6, 5), rows)


def _return(receipt: Receipt) -> str:
    if receipt.return_on == NOT_KNOWN:
        return "return date not known"
    word = "to go back" if receipt.way is Way.IN else "to come back"
    return f"{word}: {receipt.return_on}"


def _signed(receipt: Receipt) -> str:
    if receipt.is_signed:
        return f"signed, paper {receipt.paper_number}"
    if receipt.no_paper_because == NOT_KNOWN:
        return "no signed paper yet"
    return f"no signed paper: {receipt.no_paper_because}"


def _moved(location: Location) -> tuple[str, ...]:
    lines = [text for text in (location.moved_by, location.because) if text != NOT_KNOWN]
    if location.usual_place != NOT_KNOWN:
        lines.append(f"usually: {location.usual_place}")
    return tuple(lines)


def _facts(pairs: Iterable[tuple[str, str]]) -> Facts:
    return _answered([Fact(name, answer) for name, answer in pairs])


def _answered(facts: list[Fact]) -> Facts:
    """Return the answers, and in one last row the names of everything that is not known."""
    known = [fact for fact in facts if fact.answer not in ("", NOT_KNOWN)]
    unknown = [fact.name.lower() for fact in facts if fact.answer in ("", NOT_KNOWN)]
    if unknown:
        known.append(Fact(wording.NOT_KNOWN_ROW, "; ".join(dict.fromkeys(unknown))))
    return Facts(tuple(known))


def _section(key: str, *blocks: Block) -> Section:
    return Section(key, said.SECTIONS[key], blocks)
