"""What prints say about taking old work off, gathered from a dossier at one moment."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from softmend.catalogue.solvency_agent import FOOTER
from softmend.pictures.patches import PatchShown, patch_elements, row_names
from softmend.pictures.svg import document
from softmend.pictures.ternary import HEIGHT, WIDTH, TernaryPoint, ternary_svg, ternary_words
from softmend.records.air_question import ASKED, AirQuestion
from softmend.records.dossier import NOT_KNOWN
from softmend.records.removal import PRECAUTIONS, Leaving, Means, Precaution, RemovalWay
from softmend.records.spot_test import OnObject, SpotTest
from softmend.report.content import Working
from softmend.report.removal_shown import (
    AgentRow,
    AirPrint,
    Chart,
    PatchPicture,
    RemovalShown,
    TriedRow,
    WayRow,
)
from softmend.report.removal_wording import MARKS
from softmend.services.examine.quantities import outcome
from softmend.services.propose.air_over import AIR
from softmend.services.propose.crack_distance import crack_words, open_cracks
from softmend.services.propose.removing_gate import (
    agent_payload,
    overrides_in,
    residues_of,
    turned_on_in,
)
from softmend.services.propose.removing_off import (
    BLENDS,
    POSITION,
    class_names,
    first_of_class,
    shares_in,
    strip_of,
)
from softmend.services.propose.removing_ways import WayOf, ways_in
from softmend.services.propose.spot_tests import (
    GridOn,
    air_in,
    decisions_in,
    grids_in,
    spot_tests_in,
)
from softmend.services.propose.spot_tests_answer import NEXT, SPOT, kept_run
from softmend.services.propose.spot_tests_words import agent_said, sentence_said
from softmend.services.recording import current_records
from softmend.services.store import Reader
from softmend.services.workings import working

STRIPS = 2


def removal_shown(reader: Reader, dossier_id: str) -> RemovalShown:
    """Return everything that prints say about taking old work off, from what was kept."""
    spot = kept_run(reader, dossier_id, SPOT)
    advice = kept_run(reader, dossier_id, NEXT)
    blends = kept_run(reader, dossier_id, BLENDS)
    air = kept_run(reader, dossier_id, AIR)
    grids = grids_in(reader, dossier_id)
    names = {one.grid.number: one.grid for one in grids}
    cracks = open_cracks(reader, dossier_id)
    ways = ways_in(reader, dossier_id)
    said = next((one.way for one in ways if one.way is not None), None)
    off = _off(blends, spot) if blends else {}
    kept = [one for one in (spot, advice, blends, air) if one]
    return RemovalShown(
        tests=tuple(
            _tried(one, names[one.grid_number].name(one.patch))
            for _, one in spot_tests_in(reader, dossier_id)
        ),
        pictures=tuple(_picture(reader, dossier_id, one) for one in grids),
        decisions=tuple(
            (f"After test {one.test_number}: {one.decision.value}",
             f"{one.decided_by}: {one.because}")
            for one in decisions_in(reader, dossier_id)
        ),
        locks=tuple(_locks(reader, dossier_id)),
        behaves="" if spot is None else sentence_said(spot[1].outputs["text"]),
        next_swab="" if advice is None else sentence_said(advice[1].outputs["text"]),
        spot_stale="" if spot is None else spot[2],
        ways=tuple(_way(reader, dossier_id, one) for one in ways if one.way is not None),
        crack_words=crack_words(reader, said) if cracks else "",
        air=_air(reader, dossier_id, air),
        spot_marks=_marks(one[1].outputs for one in (spot, advice) if one),
        off_marks=_marks(one[1].outputs for one in (blends,) if one),
        air_marks=_marks(one[1].outputs for one in (air,) if one),
        footer=FOOTER,
        workings=tuple(_workings(kept)),
        **off,
    )  # fmt: skip


def patches_overlay(reader: Reader, dossier_id: str, on: GridOn) -> str:
    """Return the patches of a grid as SVG in pixels of its view, with what came of each."""
    return document(
        on.view.width_px,
        on.view.height_px,
        [
            *patch_elements(on.grid, _patches(reader, dossier_id, on)),
            *row_names(on.grid, max(on.view.width_px, on.view.height_px)),
        ],
    )


def picture_name(view_number: int) -> str:
    """Return the name of a view's picture among those handed to a print."""
    return f"view-{view_number}"


def _patches(reader: Reader, dossier_id: str, on: GridOn) -> list[PatchShown]:
    newest: dict[int, SpotTest] = {
        test.patch: test
        for _, test in spot_tests_in(reader, dossier_id)
        if test.grid_number == on.grid.number
    }
    return [
        PatchShown(patch, on.grid.name(patch)) if patch not in newest
        else PatchShown(patch, on.grid.name(patch), newest[patch].coating_observed,
                        newest[patch].object_observed)
        for patch in range(1, on.grid.count + 1)
    ]  # fmt: skip


def _picture(reader: Reader, dossier_id: str, on: GridOn) -> PatchPicture:
    return PatchPicture(
        caption=f"Grid {on.grid.letter} on view {on.view.number}; a patch is {on.patch_text}",
        small="" if on.grid.because == NOT_KNOWN else on.grid.because,
        picture=picture_name(on.view.number),
        overlay=patches_overlay(reader, dossier_id, on),
        width_px=on.view.width_px,
        height_px=on.view.height_px,
        words=f"{on.grid.count} numbered patches on view {on.view.number}; the table says what "
        "came of each",
    )


def _tried(test: SpotTest, patch: str) -> TriedRow:
    return TriedRow(
        number=test.number,
        patch=patch,
        done_on=test.done_on,
        agent=agent_said(test.agent),
        role=test.role.value + (f" {test.repeats_number}" if test.repeats_number else ""),
        how=tuple(_how(test)),
        coating=test.coating_observed.value,
        on_object=test.object_observed.value,
        seen=tuple(_seen(test)),
        is_stop=test.object_observed is not OnObject.NONE,
    )


def _how(test: SpotTest) -> Iterator[str]:
    numbers = (
        ("dwell", test.dwell_s, "s"), ("rolls", test.passes, ""), ("area", test.area_mm2, "mm²"),
        ("put on", test.applied_ml, "mL"), ("judged after", test.waited_minutes, "min"),
    )  # fmt: skip
    told = [
        f"{name} {value:g} {unit}".strip() for name, value, unit in numbers if value is not None
    ]
    if told:
        yield "; ".join(told)
    if test.batch != NOT_KNOWN:
        yield f"from {test.batch}"
    if test.clearance is not None:
        yield f"cleared with {test.clearance.with_what}: {test.clearance.residue_observed}"
    if test.tool is not None:
        tool = test.tool
        pairs = (("heat", tool.heat_degc, "°C"), ("depth", tool.depth_reached_mm, "mm"),
                 ("left before the original", tool.distance_to_original_mm, "mm"),
                 ("pace", test.cm2_per_hour, "cm² an hour"))  # fmt: skip
        yield "; ".join(f"{name} {value:.3g} {unit}" for name, value, unit in pairs
                        if value is not None) or "not timed"  # fmt: skip
        yield f"support {tool.support}; sign to stop at: {tool.stop_sign}"


def _seen(test: SpotTest) -> Iterator[str]:
    told = (("swab", test.swab_observed), ("gloss", test.gloss_observed),
            ("ultraviolet", test.ultraviolet_observed), ("lens", test.magnification),
            ("stopped because", test.stop_because))  # fmt: skip
    for name, words in told:
        if words != NOT_KNOWN:
            yield f"{name}: {words}"
    for one in test.tack:
        yield f"tack after {one.after_minutes:g} min: {one.tack_observed}"
    if test.wet_because:
        yield f"tested before everything owed was answered, because: {test.wet_because}"
    if test.correction_because:
        yield f"corrected because: {test.correction_because}"


def _locks(reader: Reader, dossier_id: str) -> Iterator[tuple[str, str]]:
    for _, lock in overrides_in(reader, dossier_id):
        yield f"Lock “{lock.rule}” opened", f"{lock.decided_by}: {lock.because}"
    for _, turned in turned_on_in(reader, dossier_id):
        yield f"{turned.solvent} turned on", f"{turned.decided_by}: {turned.because}"


def _way(reader: Reader, dossier_id: str, one: WayOf) -> WayRow:
    way = one.said
    decided = "" if way.leaving is Leaving.NOT_DECIDED else (
        f" Because {way.leaving_because} ({way.leaving_by})."
    )  # fmt: skip
    views = {entry.subject_id: view.number
             for entry, view in current_records(reader, dossier_id, "view")}  # fmt: skip
    return WayRow(
        name=f"Removal {one.removal.number}: {one.removal.what}",
        decision=f"{way.leaving.value.capitalize()}.{decided}",
        facts=() if way.leaving is Leaving.LEAVE else tuple(_way_facts(one, way)),
        stretches=tuple(
            (
                str(place),
                f"view {views.get(stretch.view_id, '?')}: {stretch.what}",
                f"view {views.get(stretch.check_view_id, '?')}: {stretch.checked_observed}"
                if stretch.is_checked
                else "not yet",
            )
            for place, stretch in enumerate(way.stretches, 1)
        ),
        warnings=one.warnings,
        owed=one.owed,
    )


def _way_facts(one: WayOf, way: RemovalWay) -> Iterator[tuple[str, str]]:
    yield "Carries", one.removal.carries
    yield "Behind it", f"{way.behind.value} ({way.behind_known_how})"
    for name, words in PRECAUTIONS:
        held: Precaution = getattr(way, name)
        yield f"{words} first", f"{held.held.value.replace(', because …', '')}: {held.how}"
    yield "How", way.means.value
    if way.means in (Means.TOOL, Means.WARMTH):
        tool = way.by_tool
        numbers = (("heat", tool.heat_degc, "°C"), ("may go", tool.depth_allowed_mm, "mm deep"),
                   ("keeps", tool.distance_to_original_mm, "mm from the original"),
                   ("pace", tool.cm2_per_hour, "cm² an hour"))  # fmt: skip
        yield "Tool", "; ".join(
            [tool.tool, *(f"{name} {value:g} {unit}" for name, value, unit in numbers
                          if value is not None)]
        )  # fmt: skip
        yield "Support, lens", f"{tool.support}; {tool.magnification}"
        yield "Stop at", tool.stop_sign
        yield "Residues", tool.residues
        if one.hours:
            yield "Hours", one.hours
        return
    liquid = way.by_liquid
    parts = " + ".join(f"{agent_said(share.solvent)} {share.volume_percent:g} %"
                       for share in liquid.shares)  # fmt: skip
    yield "Liquid", f"{parts} by volume, {liquid.carrier.value}; {liquid.does.value}"
    yield "Cleared with", f"{liquid.cleared_with}; residues {liquid.residues}"


def _off(blends: tuple[Any, Any, str], spot: tuple[Any, Any, str] | None) -> dict[str, Any]:
    run, stale = blends[1], blends[2]
    answer, facts = run.outputs, run.inputs["object"]
    listed = [*answer["singles"][:6], *answer["blends"][:4]]
    like = first_of_class(_best_class(spot))
    refused = answer["refused"]
    return {
        "off_text": sentence_said(answer["text"]),
        "off_stale": stale,
        "agents": tuple(_agent(one) for one in listed),
        "refused": "" if refused is None
        else f"{agent_said(refused['agent'])} ({refused['dissolves_percent']:.0f} %): "
        f"{'; '.join(refused['reasons'])}.",
        "strips": tuple(_strip(one["agent"], like, facts) for one in listed[:STRIPS]),
        "ternary": _ternary([one["agent"] for one in listed[:8]], facts),
    }  # fmt: skip


def _best_class(spot: tuple[Any, Any, str] | None) -> str:
    layers = () if spot is None else spot[1].outputs["layers"]
    return str(layers[-1]["classes"][0]["behaves_like"]) if layers and layers[-1]["classes"] else ""


def _agent(one: Mapping[str, Any]) -> AgentRow:
    keep = "; ".join(f"{layer['layer']}: {layer['affected_percent']:.0f} % affected"
                     for layer in one["keep"])  # fmt: skip
    some = "" if one["air_is_complete"] else ", with a careful figure where no limit is known"
    return AgentRow(
        agent=agent_said(one["agent"]),
        chance=f"{one['dissolves_percent']:.0f} %",
        wording=one["wording"],
        keep=keep or "none named",
        air=f"{one['air_m3_per_ml']:g} m³{some}",
        look=" ".join(one["look"]),
    )


def _strip(agent: str, coating: str, facts: dict[str, Any]) -> Chart:
    strip = strip_of(agent, coating, facts)
    told = f"{agent_said(agent)} against {dict(class_names()).get(coating, coating)}: {strip.text}"
    return Chart(strip.svg, strip.size, told, strip.words)


def _ternary(agents: list[str], facts: dict[str, Any]) -> Chart | None:
    points, scale = [], ""
    for agent in agents:
        asked = agent_payload(shares_in(agent))
        teas = outcome(POSITION, {**asked, "object": facts})["teas"][0]
        scale = teas["scale"]
        points.append(
            TernaryPoint(agent_said(agent), teas["dispersion_percent"], teas["polar_percent"],
                         teas["hydrogen_percent"])
        )  # fmt: skip
    if not points:
        return None
    words = ternary_words(points, scale)
    return Chart(ternary_svg(points, scale), (WIDTH, HEIGHT), words, words)


def _air(reader: Reader, dossier_id: str, kept: tuple[Any, Any, str] | None) -> AirPrint | None:
    _, air = air_in(reader, dossier_id)
    if air is None:
        return None
    answer = None if kept is None else kept[1].outputs
    fire = {} if answer is None else answer["fire"]
    return AirPrint(
        text="The air was not reckoned: its numbers are not whole." if answer is None
        else sentence_said(answer["text"]),
        fire=str(fire.get("text", "")),
        is_highly_flammable=bool(fire.get("is_highly_flammable")),
        against=() if answer is None else tuple(_against(answer)),
        facts=tuple(_air_facts(air)),
        asked=tuple(
            [*((words, getattr(air, name)) for name, words in ASKED),
             ("Breakthrough time, by the maker's chart", air.breakthrough), ("Eyes", air.eyes),
             ("Safety data sheet read", air.sheet_read), ("Extraction", air.extraction),
             ("Pesticide residues", residues_of(reader, dossier_id))]
        ),
        warnings=() if answer is None else tuple(answer["warnings"]),
        cautions=() if answer is None else tuple(answer["cautions"]),
        stale_because="" if kept is None else kept[2],
    )  # fmt: skip


def _against(answer: Mapping[str, Any]) -> Iterator[tuple[str, str, str, str]]:
    for vapour in answer["vapours"]:
        for limit in vapour["limits"]:
            share = limit["share_of_limit_percent"]
            told = limit["wording"] if share is None else (
                f"{share['text']} of {limit['limit_mg_per_m3']:g} mg/m³, {limit['limit']}; "
                f"{limit['wording']}"
            )  # fmt: skip
            yield vapour["solvent"], limit["period"], limit["mean_mg_per_m3"]["text"], told


def _air_facts(air: AirQuestion) -> Iterator[tuple[str, str]]:
    if air.shares:
        parts = " + ".join(f"{one.solvent} {one.volume_percent:g} %" for one in air.shares)
        yield "Used", parts
    numbers = (("Used up", air.used_ml_per_h, "mL/h"), ("Work", air.work_minutes, "min"),
               ("Room", air.room_volume_m3, "m³"),
               ("Air changes", air.air_changes_per_h, "per hour"),
               ("Air that leaves", air.air_flow_m3_per_h, "m³/h"),
               ("Captured at the work", air.captured_percent, "%"),
               ("Head over the work", air.head_distance_mm, "mm"))  # fmt: skip
    for name, value, unit in numbers:
        if value is not None:
            yield name, f"{value:g} {unit}"
    yield "Limits of", air.limit_list


def _marks(answers: Iterable[Mapping[str, Any]]) -> str:
    counts: dict[str, int] = {}
    for answer in answers:
        for kind, count in answer.get("marks", {}).items():
            counts[kind] = counts.get(kind, 0) + count
    if not counts:
        return ""
    return MARKS.format(marks=", ".join(f"{n} {kind}" for kind, n in sorted(counts.items())))


def _workings(kept: Iterable[tuple[Any, Any, str]]) -> Iterator[Working]:
    names = {SPOT: "spot tests", NEXT: "the next swab", BLENDS: "what takes it off",
             AIR: "the air over the work"}  # fmt: skip
    for _, run, stale in kept:
        because = stale.removeprefix("stale, because ")
        yield working(run.computation, names[run.computation], run.outputs, because)
