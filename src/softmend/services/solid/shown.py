"""What the answers on a scan say in words, the same for the page and the prints."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from softmend.records.dossier import NOT_KNOWN
from softmend.records.scan import ScanLine, ScanVoid
from softmend.report.scan_shown import TO_STABILISE, Grid, ScanPart, ScanShown, StillShown
from softmend.services.solid.asking import Answered, answered, answered_on
from softmend.services.solid.fill_of_void import fill_facts
from softmend.services.solid.inputs import BENDING, CHECK, LENGTH, MASS, SUPPORTS, VOID, VOLUME
from softmend.services.solid.scans import OnScan
from softmend.services.solid.seen_shown import seen_parts
from softmend.services.solid.void_fills import fills_on
from softmend.services.solid.void_mass import filled_part
from softmend.services.store import Reader
from softmend.services.workings import working

AGREED = {
    "two independent volumes agree": "Two independent volumes agree within {apart} %.",
    "scan incomplete": "The scan is incomplete: two independent volumes differ by {apart} %, so a "
    "range is told.",
}


def scan_shown(
    reader: Reader, dossier_id: str, on: OnScan, stills: tuple[StillShown, ...] = ()
) -> ScanShown:
    """Return everything that is said of a scan as its kept answers have it."""
    return ScanShown(
        number=on.scan.number,
        name=scan_name(on),
        about=tuple(_about(on)),
        parts=tuple(_parts(reader, dossier_id, on)),
        stills=stills,
        mass_for_mount_maker=on.held.is_told_to_mount_maker,
    )


def scan_name(on: OnScan) -> str:
    """Return what a scan is called: what it shows, else its file's name."""
    return on.scan.original_name if on.scan.shows == NOT_KNOWN else on.scan.shows


def _about(on: OnScan) -> Iterator[tuple[str, str]]:
    scan = on.scan
    yield "File", f"{scan.original_name}, {scan.form}, {scan.faces} faces, {scan.points} points"
    yield "Made", ", ".join((scan.made_how, scan.made_by, scan.made_on))
    if on.length is None:
        yield "Unit", "not confirmed: no millimetre and no gram can be told"
    else:
        said = on.length[1]
        span = "between two picks" if said.between else "greatest length"
        yield "Unit", f"confirmed by {said.text()} ({span}, measured with: {said.measured_with})"
    yield "SHA-256 of the original", scan.original_sha256


def _parts(reader: Reader, dossier_id: str, on: OnScan) -> Iterator[ScanPart]:
    makers = ((CHECK, _state), (VOLUME, _volume), (MASS, _mass), (SUPPORTS, _supports),
              (BENDING, _bending))  # fmt: skip
    for computation, make in makers:
        found = answered_on(reader, dossier_id, on, computation)
        if found is not None:
            yield make(found, f"scan {on.scan.number}")
        if computation == MASS and (filled := filled_part(reader, dossier_id, on)) is not None:
            yield filled
    yield from seen_parts(reader, dossier_id, on)
    marks = {entry.subject_id: entry for entry in reader.current(dossier_id, "mark")}
    for entry, line in on.lines:
        found = answered(reader, dossier_id, LENGTH, entry.subject_id)
        yield _line(line, found, _mark_words(marks.get(line.mark_id)))
    twice = {one.subject_id: one.twice for one in fills_on(reader, dossier_id, on)}
    for entry, void in on.voids:
        found = answered(reader, dossier_id, VOID, entry.subject_id)
        part = _void(void, found, _mark_words(marks.get(void.mark_id)))
        warned = (twice[entry.subject_id],) if twice[entry.subject_id] else ()
        yield replace(part, warnings=(*warned, *part.warnings))


def _part(found: Answered, key: str, title: str, about: str, **said: Any) -> ScanPart:
    outputs = found.outputs
    return ScanPart(
        key=key,
        title=title,
        reasons=tuple(outputs["reasons"]),
        # What a part says of itself is not said again as a caution.
        warnings=tuple(one for one in outputs["warnings"] if one not in said.get("sentences", ())),
        work=working(found.run.computation, about, outputs, found.stale),
        stale_because=found.stale,
        **said,
    )


def _state(found: Answered, about: str) -> ScanPart:
    told = found.outputs
    rims = tuple(
        (one["bounds"], _at(one["at"]), _mm(one["rim_length_mm"]), f"{one['share_percent']:g} %")
        for one in told["rims"]
    )
    facts = [
        ("Faces, points", f"{told['faces']}, {told['points']}"),
        ("Greatest length", _mm(told["greatest_length_mm"]) if told["greatest_length_mm"]
         else f"{told['greatest_length']:g} of the file's units"),
    ]  # fmt: skip
    if told["mean_edge_mm"] is not None:
        facts.append(("Mean edge of the mesh", f"{told['mean_edge_mm']:.3g} mm"))
    columns = ("Open rim bounds", "Middle, in the file's coordinates", "Round it", "Of the area")
    return _part(
        found, "state", "State of the scan", about,
        sentences=(". ".join(word[:1].upper() + word[1:] for word in told["states"]) + ".",),
        facts=tuple(facts), grid=Grid(columns, rims) if rims else None,
    )  # fmt: skip


def _volume(found: Answered, about: str) -> ScanPart:
    told = found.outputs
    facts: list[tuple[str, str]] = []
    sentences = ["There is no volume; the holes are listed with the state of the scan."]
    if told["volume_ml"]:
        words = AGREED.get(told["verdict"], "{verdict}: they differ by {apart} %.")
        verdict = told["verdict"][:1].upper() + told["verdict"][1:]
        sentences = [words.format(apart=f"{told['apart_percent']:g}", verdict=verdict)]
        facts.append(("Volume within the outer skin", told["volume_ml"]["text"]))
    if told["area_mm2"]:
        edge = f"{told['mean_edge_mm']:.3g} mm"
        facts.append(("Area, at this scan's edge of " + edge, _cm2(told["area_mm2"])))
        facts.append(("Area after smoothing at 1 mm", _cm2(told["smoothed_area_mm2"])))
    return _part(
        found, "volume", "Volume and area", about, sentences=tuple(sentences), facts=tuple(facts)
    )


def _mass(found: Answered, about: str) -> ScanPart:
    told = found.outputs
    facts: list[tuple[str, str]] = []
    sentences: list[str] = []
    if told["computed_mass_g"]:
        facts.append(("Mass, computed", told["computed_mass_g"]["text"]))
    weighed = next((one["text"] for one in told["working"] if one["name"] == "weighed"), "")
    if weighed:
        facts.insert(0, ("Mass, weighed", weighed))
    if told["hollow_ml"]:
        facts.append(("Hollow", told["hollow_ml"]["text"]))
    facts += [
        (one["name"].capitalize(), one["text"])
        for one in told["working"]
        if one["name"].startswith("old fill ")
    ]
    if told["centre"]:
        facts.append(("Centre of gravity, in the file's coordinates", _at(told["centre"])))
        spread = "taken as solid throughout: a hollow that nobody saw shifts it"
        if told["centre_spread_mm"] > 1e-3:
            spread = f"± {told['centre_spread_mm']:g} mm by what is not known of its inside"
        facts.append(("How far it may lie off", spread))
    if told["weighed_density_g_per_ml"]:
        facts.append(("Mean density by the weighing", told["weighed_density_g_per_ml"]["text"]))
    if told["weighing_fits"] is not None:
        sentences.append(
            "The weighing fits scale, hollow and material." if told["weighing_fits"] else
            "The weighing does not fit: check the measured length first, then the hollow."
        )  # fmt: skip
    return _part(
        found, "mass", "Mass and centre of gravity", about, sentences=tuple(sentences),
        facts=tuple(facts), tells_mass=True,
        without_mass=ScanPart("mass", "Mass and centre of gravity", (
            "The mass stands on the registrar's copy; weigh it before it is lifted.",
        )),
    )  # fmt: skip


def _supports(found: Answered, about: str) -> ScanPart:
    told = found.outputs
    pads = told["pads"]
    columns = ("Pad", "Place", "Stands at", "Carries", "Least – most", "Presses", "At worst",
               "Touches")  # fmt: skip
    rows = tuple(
        (f"P{k + 1}", _where(one, told), _height(one), f"{_three(one['force_n'])} N",
         f"{_three(one['least_n'])} – {_three(one['most_n'])} N", f"{one['pressure_kpa']:.2g} kPa",
         f"{one['worst_pressure_kpa']:.2g} kPa", _touches(one))
        for k, one in enumerate(pads)
    )  # fmt: skip
    total = sum(one["force_n"] for one in pads) or 1.0
    shares = tuple(
        (f"P{k + 1}", _where(one, told), _height(one),
         f"{100 * one['force_n'] / total:.0f} %",
         f"{100 * one['least_n'] / total:.0f} – {100 * one['most_n'] / total:.0f} %")
        for k, one in enumerate(pads)
    )  # fmt: skip
    sentences = tuple(standing_words(told)) if pads else ()
    facts = tuple(_lifting_facts(told))
    bare = ScanPart(
        "supports", "How it is held", sentences, facts,
        Grid(("Pad", "Place", "Stands at", "Of the weight", "Least – most"), shares)
        if pads else None,
        tuple(told["reasons"]), stale_because=found.stale,
    )  # fmt: skip
    return _part(
        found, "supports", "How it is held", about, sentences=sentences, facts=facts,
        grid=Grid(columns, rows) if pads else None, tells_mass=True, without_mass=bare,
    )  # fmt: skip


def _where(pad: dict[str, Any], told: dict[str, Any]) -> str:
    """Return where a pad stands: along the object, or for a body without a middle line in space."""
    if pad["at_percent"] is None:
        return f"under {_at(pad['under'])}"
    return _along(pad["at_percent"], told)


def _along(percent: float, told: dict[str, Any]) -> str:
    """Return a place along the object in percent, and in millimetres from the thicker end."""
    if not told["length_mm"]:
        return f"{percent:g} %"
    return f"{percent:g} %, {percent * told['length_mm'] / 100:.0f} mm"


def _height(pad: dict[str, Any]) -> str:
    """Return how high a pad's lowest line stands above the lowest pad's, loaded and before."""
    if pad.get("height_mm") is None:
        return "not told"
    return f"{pad['height_mm']:.3g} mm (unloaded {pad['sinks_mm']:.2g} higher)"


def _touches(pad: dict[str, Any]) -> str:
    area = pad.get("contact_mm2")
    return "not told" if area is None else f"{area / 100:.2g} cm²"


def standing_words(told: dict[str, Any]) -> Iterator[str]:
    """Return how far an object on its pads is from tipping and from sliding."""
    way = "It slips before it tips" if told["slides_first"] else "It tips before it slips"
    yield (
        f"A push of {told['tipping_share']:.2g} of its weight at the height of its centre of "
        f"gravity tips it (tilted by {told['tilt_degrees']:.0f}°). {way}, at a friction of "
        f"{told['slip_share']:g}."
    )
    if told.get("stress_mpa") is not None:
        yield (
            f"Largest tension by bending: {told['stress_mpa']:.2g} MPa at "
            f"{told['stress_at_percent']:.0f} % of its length."
        )


def _lifting_facts(told: dict[str, Any]) -> Iterator[tuple[str, str]]:
    if told["length_mm"]:
        yield "Length along its middle line", f"{told['length_mm']:.4g} mm, 0 % at the thicker end"
    if told["lifting"]:
        at = " and ".join(_along(x, told) for x in told["lifting"]["at_percent"])
        yield "Straps, two people, if it must be lifted", at
    for pose in told["resting"][:2]:
        yield (
            f"Rests by itself, {pose['share_percent']:.0f} % of falls",
            f"with {_at(pose['down'])} down; tips at {pose['tilt_degrees']:.0f}°",
        )


def _bending(found: Answered, about: str) -> ScanPart:
    told = found.outputs
    rows = tuple(
        (f"Line {one['number']}", f"{one['at_percent']:g} %", f"{one['stress_mpa']:.2g} MPa",
         f"{one['net_stress_mpa']:.2g} MPa", f"{one['lost_percent']:.2g} %")
        for one in told["cracks"]
    )  # fmt: skip
    columns = ("Crack or join", "Place", "Whole section", "What is left of it", "Section lost")
    facts: tuple[tuple[str, str], ...] = ()
    if told["stress_mpa"] is not None:
        facts = (("Largest tension by bending", f"{told['stress_mpa']:.2g} MPa at "
                  f"{told['stress_at_percent']:.0f} %"),)  # fmt: skip
    return _part(
        found, "bending", "Bending", about, facts=facts,
        grid=Grid(columns, rows) if rows else None,
    )  # fmt: skip


def _line(line: ScanLine, found: Answered | None, mark: str) -> ScanPart:
    title = f"Line {line.number}: {line.what}"
    key = f"line-{line.number}"
    linked = (("The mark on the photographs", mark),) if mark else ()
    if found is None:
        return ScanPart(key, title, facts=linked, reasons=("It is not measured yet.",))
    told = found.outputs
    facts: list[tuple[str, str]] = []
    if told["length_mm"]:
        facts = [
            ("Length over the surface", told["length_mm"]["text"]),
            ("Straight through the picks", f"{_three(told['straight_mm'])} mm"),
            ("Picks apart", f"{told['pick_spacing_mm']:.2g} mm"),
            ("Mesh edge", f"{told['mean_edge_mm']:.2g} mm"),
        ]
    return _part(found, key, title, title, facts=(*facts, *linked))


def _void(void: ScanVoid, found: Answered | None, mark: str) -> ScanPart:
    title = f"Void {void.number}: {void.what}"
    key = f"void-{void.number}"
    linked = (("The mark on the photographs", mark),) if mark else ()
    if found is None:
        return ScanPart(key, title, (TO_STABILISE,), linked, reasons=("It is not measured yet.",))
    told = found.outputs
    facts: list[tuple[str, str]] = []
    if told["flat_cap_ml"] is not None:
        if told["volume_ml"]:
            facts.append((f"Fill, as {told['mouth']}", told["volume_ml"]["text"]))
        facts += [
            ("Flat cap", _ml(told["flat_cap_ml"])),
            ("Stretched cap", _ml(told["stretched_cap_ml"])),
            ("Run on smoothly, as a hole only", _ml(told["smooth_cap_ml"])),
            ("Poured level with the lowest notch", f"{_ml(told['level_fill_ml'])}, "
             f"{told['level_below_rim_mm']:.2g} mm below the rim"),
            ("Deepest", f"{_three(told['deepest_mm'])} mm"),
            ("Bonded area", _cm2(told["bonded_mm2"])),
        ]  # fmt: skip
        facts += [
            (f"Filled to {one['below_rim_mm']:g} mm below the rim",
             f"{_ml(one['volume_ml'])}, bonded {_cm2(one['bonded_mm2'])}")
            for one in told["part_fills"]
        ]  # fmt: skip
        facts += fill_facts(void, told)
    return _part(found, key, title, title, sentences=(TO_STABILISE,), facts=(*facts, *linked))


def _mark_words(entry: Any) -> str:
    from softmend.records.kinds import record_in
    from softmend.services.examine.vocabulary import term

    if entry is None or entry.payload is None:
        return ""
    mark = record_in(entry)
    return f"mark {mark.number}, {term(mark.term_id).term}"


def _at(place: list[float]) -> str:
    return ", ".join(f"{x:.4g}" for x in place).replace("-", "−")


def _three(value: float) -> str:
    """Return a number to three figures, never as a power of ten."""
    return f"{float(f'{value:.3g}'):.15g}"


def _cm2(mm2: float) -> str:
    return f"{_three(mm2 / 100)} cm²"


def _mm(value: float | None) -> str:
    return "no unit yet" if value is None else f"{value:.4g} mm"


def _ml(value: float | None) -> str:
    return "not told" if value is None else f"{_three(value)} mL"
