"""One-page outputs and receipts, gathered from what was recorded, printed or told as text."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from importlib.resources import as_file, files

from softmend.errors import NotFoundError
from softmend.records.batch import Batch
from softmend.records.consent import Standing
from softmend.records.dossier import NOT_KNOWN
from softmend.records.material import Direction, MaterialTotal, Moved, Sum
from softmend.records.proposal import Coat, PlanMaterial, Proposal, Route
from softmend.report.content import Audience
from softmend.report.one_page import HandedOver, OnePage, Page, Removed, UndoRow
from softmend.report.one_page_sections import one_page, receipt_page
from softmend.report.one_page_wording import TELLS, TITLES
from softmend.science.digits import rounded
from softmend.services.bench import Bench
from softmend.services.examine.report_content import condition_report
from softmend.services.hand_over.closing import care_in
from softmend.services.hand_over.custody import receipt_numbered, receipts_in
from softmend.services.hand_over.locations import whereabouts_in
from softmend.services.hand_over.place_print import climate_shown
from softmend.services.legal_flags import flags_in, today_at
from softmend.services.people import names_in
from softmend.services.propose.consents import standings_in
from softmend.services.propose.proposals import options_in, plan_in, proposal_in
from softmend.services.solid.printed import scans_printed
from softmend.services.store import Reader
from softmend.services.treat.batches import batches_in
from softmend.services.treat.day_log import Logged, contributors, log_of, moved_in, totals_of
from softmend.services.treat.fragments import incidents_of
from softmend.services.treat.treatment_content import places_of

PAGES = {page: (TITLES[page], TELLS[page]) for page in Page}
"""Every page with its title and what it tells."""

ROUTE_UNKNOWN = "unknown: nobody recorded how it comes off"


def page_named(key: str) -> Page:
    """Return a page by its name in an address; NotFoundError when there is none."""
    for page in PAGES:
        if page.value == key:
            return page
    raise NotFoundError(
        "There is no page of that name", value=key, allowed=", ".join(one.value for one in PAGES)
    )


def page_for(bench: Bench, dossier_id: str, page: Page) -> OnePage:
    """Return one page as it stands now."""
    with bench.store.reading() as reader:
        return one_page(page, handed_over(bench, reader, dossier_id, _audience(page)))


def receipt_for(bench: Bench, dossier_id: str, number: int) -> OnePage:
    """Return one receipt to be printed and signed; it is a registrar's print."""
    with bench.store.reading() as reader:
        told = handed_over(bench, reader, dossier_id, Audience.REGISTRAR)
        return receipt_page(receipt_numbered(reader, dossier_id, number), told)


def print_page(page: OnePage) -> bytes:
    """Return a page as an archival PDF; the same dossier gives the same bytes."""
    from softmend.report.one_page_pdf import one_page_pdf

    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return one_page_pdf(page, fonts)


def page_as_text(page: OnePage) -> str:
    """Return a page as text, to be copied."""
    from softmend.report.one_page_pdf import one_page_text

    return one_page_text(page)


def handed_over(
    bench: Bench, reader: Reader, dossier_id: str, audience: Audience = Audience.BENCH
) -> HandedOver:
    """Return what the pages are made from; places and receipts only for the registrar."""
    log = log_of(reader, dossier_id)
    options = options_in(reader, dossier_id)[1]
    told = HandedOver(
        report=condition_report(reader, dossier_id, audience),
        care=care_in(reader, dossier_id)[1],
        materials=tuple(_materials(reader, dossier_id, log)),
        removed=tuple(_removed(moved_in(log))),
        chosen_option=options.chosen,
        chosen_because=options.chosen_because,
        decision=_decision(standings_in(reader, dossier_id)),
        coating=_coating(proposal_in(reader, dossier_id)[1]),
        departures=tuple(
            f"{one.action.done_on}, {one.words}: {one.action.not_in_plan_because}"
            for one in log
            if one.action.is_departure
        ),
        work=_work(reader, dossier_id, log),
        work_from_to=_days(log),
        worked_by=_names(reader, contributors(log)),
        incidents=tuple(incident.what_observed for _, incident in incidents_of(reader, dossier_id)),
        climate=climate_shown(reader, dossier_id),
        scans=scans_printed(reader, dossier_id, bench.store.files),
    )
    if audience is not Audience.REGISTRAR:
        return told
    return replace(
        told,
        flags=tuple(
            (line.flag, line.stale_because)
            for line in flags_in(reader, dossier_id, today_at(bench))
        ),
        receipts=tuple(line.receipt for line in receipts_in(bench, reader, dossier_id)),
        places=tuple(one.location for one in whereabouts_in(reader, dossier_id)),
    )


def _audience(page: Page) -> Audience:
    return Audience.REGISTRAR if page is Page.REGISTRAR else Audience.BENCH


def _materials(reader: Reader, dossier_id: str, log: list[Logged]) -> Iterable[UndoRow]:
    batches = batches_in(reader, dossier_id)
    planned = plan_in(reader, dossier_id).materials
    places = places_of(reader, dossier_id)
    for total in totals_of(log):
        if total.put_on_g is None and total.put_on_ml is None and not _was_put_on(log, total):
            continue
        batch = batches.get(total.batch_id)
        yield UndoRow(
            material=total.material,
            batch=_batch_words(batch),
            where=_where(log, total, places),
            amount=_amount(total),
            remains=total.remains,
            undone_how=_undone(total, batch, planned),
        )


def _was_put_on(log: list[Logged], total: MaterialTotal) -> bool:
    return any(
        moved.direction is Direction.PUT_ON and _is_of(moved, total) for moved in moved_in(log)
    )


def _is_of(moved: Moved, total: MaterialTotal) -> bool:
    same = moved.material.casefold() == total.material.casefold()
    return same and moved.batch_id == total.batch_id


def _where(log: list[Logged], total: MaterialTotal, places: dict[str, str]) -> str:
    with_it = (one for one in log if any(_is_of(moved, total) for moved in one.action.moved))
    told = dict.fromkeys(place for one in with_it for place in _places_at(one, places))
    return "; ".join(told) or "place not recorded"


def _places_at(one: Logged, places: dict[str, str]) -> list[str]:
    """Return where something was done: the marks and zones that still stand, and the words."""
    ids = (*one.action.mark_ids, *one.action.zone_ids)
    words = [] if one.action.place == NOT_KNOWN else [one.action.place]
    return [*(places[each] for each in ids if each in places), *words]


def _work(reader: Reader, dossier_id: str, log: list[Logged]) -> tuple[str, ...]:
    """Return each kind of work once, with the places it was done at."""
    places = places_of(reader, dossier_id)
    at: dict[str, dict[str, None]] = {}
    for one in log:
        if one.action.is_sorted:
            at.setdefault(one.words, {}).update(dict.fromkeys(_places_at(one, places)))
    return tuple(f"{words} ({', '.join(where)})" if where else words for words, where in at.items())


def _amount(total: MaterialTotal) -> str:
    parts = [_sum(total.put_on_g, "g"), _sum(total.put_on_ml, "mL")]
    said = ", ".join(part for part in parts if part) or "amount not measured"
    if total.unmeasured and said != "amount not measured":
        said += f", and {total.unmeasured} × not measured"
    return said


def _sum(total: Sum | None, unit: str) -> str:
    return "" if total is None else rounded(total.value, total.expanded).text(unit)


def _batch_words(batch: Batch | None) -> str:
    if batch is None:
        return ""
    written = "" if batch.written == NOT_KNOWN else f": {batch.written}"
    return f"batch {batch.number}{written}"


def _undone(total: MaterialTotal, batch: Batch | None, planned: tuple[PlanMaterial, ...]) -> str:
    """Return how a material comes off: as its batch says, else as the plan said of it."""
    if batch is not None and batch.removal_route != NOT_KNOWN:
        return batch.removal_route
    for material in planned:
        is_same = material.generic_name.casefold() == total.material.casefold()
        if is_same and material.route is not Route.UNKNOWN:
            return f"{material.comes_off_how} ({material.route.value}: {material.route_source})"
    return ROUTE_UNKNOWN


def _removed(movements: list[Moved]) -> Iterable[Removed]:
    taken = [one for one in movements if one.direction is Direction.TAKEN_OFF]
    for (material, fate), kept in {
        (one.material, one.fate.value): one.kept_where for one in taken
    }.items():
        yield Removed(material, fate, kept)


def _decision(standings: list[Standing]) -> str:
    if not standings:
        return NOT_KNOWN
    newest = standings[-1]
    given = newest.consent
    limits = "" if given.limits == NOT_KNOWN else f", {given.limits}"
    void = "; void, because a point changed since" if newest.is_void else ""
    return f"{given.decision.value}, {given.given_by}, {given.decided_on}{limits}{void}"


def _coating(proposal: Proposal) -> str:
    coating = proposal.coating
    if coating.answer is Coat.NOT_ANSWERED:
        return NOT_KNOWN
    return f"{coating.answer.value}, because {'; '.join(coating.reasons)}"


def _days(log: list[Logged]) -> str:
    days = sorted(one.action.done_on for one in log)
    if not days:
        return NOT_KNOWN
    return days[0] if days[0] == days[-1] else f"{days[0]} to {days[-1]}"


def _names(reader: Reader, person_ids: list[str]) -> str:
    names = names_in(reader)
    return ", ".join(names[one] for one in person_ids) or NOT_KNOWN
