"""An invented dossier as a condition report, from a note of two pages to forty."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import io
import math
from functools import cache

import numpy as np
from PIL import Image

from softmend.pictures.drawing import Drawing, ScaleBar
from softmend.pictures.view_plan import PlanShape
from softmend.records.bookkeeping import NotDone
from softmend.records.condition import Grade, GradeBasis, overall_grade
from softmend.records.dossier import (
    Certainty,
    Dossier,
    Hazard,
    HazardStatus,
    Identifier,
    Material,
    Measure,
    ObjectHead,
    Size,
)
from softmend.records.examination import Examination
from softmend.records.mark import Geometry, Mark, Position, Shape, State
from softmend.records.view import Light, NotExamined, Paper, View
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.report.content import (
    ConditionReport,
    FillRow,
    GradeRow,
    MarkRow,
    Provenance,
    Quantity,
    ReportView,
    Total,
    Working,
    WorkingValue,
    ZoneRow,
)

WIDTH, HEIGHT = 2400, 1600
PROVENANCE = Provenance(
    head_hash=hashlib.sha256(b"invented head").hexdigest(),
    entry_count=57,
    newest_at="2026-03-02T09:15:30.250Z[Europe/Oslo]",
    software_version="0.1.0",
)


@cache
def picture(seed: int, width: int = WIDTH // 2, height: int = HEIGHT // 2) -> bytes:
    """Return a rendered beam on a dark mat as JPEG bytes; it shows no real object."""
    random = np.random.default_rng(seed)
    x, y = np.meshgrid(np.linspace(0, 1, width), np.linspace(0, 1, height))
    middle = 0.62 - 0.28 * np.sin(math.pi * (0.15 + 0.7 * x)) + 0.02 * seed % 0.1
    across = (y - middle) / (0.17 - 0.07 * x)
    shade = np.clip(1 - across**2, 0, 1) ** 0.5
    grain = np.repeat(random.normal(0, 1, (height // 8, width // 40)), 40, axis=1)
    grain = np.repeat(grain, 8, axis=0)
    grain = np.pad(grain, ((0, height - grain.shape[0]), (0, width - grain.shape[1])), mode="edge")
    tone = np.where(shade > 0, 0.35 + 0.6 * shade + 0.03 * grain, 0.17 + 0.05 * y)
    warm = np.where(shade > 0, 1.0, 0.0)[..., None] * np.array([0.0, 0.09, 0.26])
    pixels = np.clip(tone[..., None] * (1 - warm) * 235, 0, 255).astype(np.uint8)
    kept = io.BytesIO()
    Image.fromarray(pixels).save(kept, "JPEG", quality=85)
    return kept.getvalue()


def line(start: Position, end: Position, bend: float = 30.0) -> Geometry:
    """Return a wandering line of twelve positions."""
    steps = [index / 11 for index in range(12)]
    points = tuple(
        (
            start[0] + (end[0] - start[0]) * t,
            start[1] + (end[1] - start[1]) * t + bend * math.sin(7 * t) + 9 * math.sin(31 * t),
        )
        for t in steps
    )
    return Geometry(Shape.LINE, (points,))


def area(centre: Position, across: float, down: float, *, hole: bool = False) -> Geometry:
    """Return a rounded area, with a hole in its middle if wished."""
    turns = [index * math.tau / 16 for index in range(16)]
    ring = tuple(
        (
            centre[0] + across * math.cos(turn) * (1 + 0.12 * math.sin(3 * turn)),
            centre[1] + down * math.sin(turn),
        )
        for turn in turns
    )
    inner = tuple(
        (centre[0] + 0.3 * across * math.cos(turn), centre[1] + 0.3 * down * math.sin(turn))
        for turn in turns
    )
    return Geometry(Shape.AREA, (ring, inner) if hole else (ring,))


DRAWN = (
    Drawing("C", "1", line((150, 1210), (1320, 620)), State.GROWN),
    Drawing("C", "2", line((900, 900), (1900, 690)), State.NO_CHANGE_SHOWN),
    Drawing("C", "3", line((1500, 560), (2250, 760), 12), State.NOT_KNOWN),
    Drawing("OF", "4", area((620, 830), 210, 90, hole=True), State.NOT_KNOWN),
    Drawing("L", "5", area((1480, 480), 150, 52), State.BREATHES),
    Drawing("SA", "6", Geometry(Shape.POINT, (((1990, 620),),)), State.NOT_KNOWN),
)


def view(number: int, shows: str, light: Light = Light.NORMAL) -> View:
    """Return the record of one invented view."""
    name = f"invented_{number:02d}.jpg"
    return View(
        number=number,
        original_name=name,
        original_sha256=hashlib.sha256(name.encode()).hexdigest(),
        original_bytes=8_400_000 + number * 1000,
        canonical_sha256=hashlib.sha256(b"canonical" + name.encode()).hexdigest(),
        width_px=WIDTH,
        height_px=HEIGHT,
        bits=8,
        colour_profile="sRGB",
        shows=shows,
        side="front",
        light=light,
        light_from="the left, low" if light is Light.RAKING else "not known",
        taken_on="2026-02-27",
        made_by="the bench",
        plan_x=0.2 + 0.13 * (number % 6),
        plan_y=0.95 if number % 2 else 0.04,
    )


def marks() -> tuple[MarkRow, ...]:
    """Return five marks and a sample, with their numbers."""
    flat = "from the photograph, flat reading"
    long_words = (
        "The surface stands free along its lower edge for about a finger's width and is held at "
        "the upper one; under raking light three small flakes beside it are loose as well."
    )
    return (
        MarkRow(
            Mark(
                1, "crack", (), State.GROWN, "two readings at like RH, 2024 and 2026", "old",
                part="beam", side="left", place="11 to 52 cm from the burr",
                note_observed="Dirt at the walls; the edges are sharp near the tip.",
                cause_inferred="the hard fill held the walls while the antler dried",
                cause_certainty=Certainty.LIKELY,
                history_reported="A mount maker saw it in 2019.",
            ), "C", "crack", (1, 2),
            (
                Quantity("length", "410", "9", "mm", flat, "at least: the beam is round"),
                Quantity("width", "0.4 – 1.9", "", "mm", "measured by hand"),
                Quantity("grown by", "0.11", "0.06", "mm", "since 2024"),
            ),
        ),
        MarkRow(Mark(2, "crack", (), State.NO_CHANGE_SHOWN, "2024 to 2026, floor 0.1 mm",
                     part="beam", side="front"), "C", "crack", (1,),
                (Quantity("length", "287", "6", "mm", flat),
                 Quantity("width", "≤ 0.6", "", "mm", "measured by hand"))),
        MarkRow(Mark(3, "hairline_crack", (), part="tine"), "C", "hairline crack", (1, 3),
                (Quantity("length", "171", "5", "mm", flat),)),
        MarkRow(Mark(4, "old_fill", (), part="beam", note_observed="Hard, glossy, brown.",
                     cause_inferred="a polyester resin", cause_certainty=Certainty.POSSIBLE),
                "OF", "old fill", (1,),
                (Quantity("area", "980", "50", "mm²", flat),)),
        MarkRow(Mark(5, "lifting", (), State.BREATHES, "winter and summer views",
                     part="beam", note_observed=long_words), "L", "lifting", (1,),
                (Quantity("area", "740", "40", "mm²", flat),)),
        MarkRow(Mark(6, "sample", (), part="tine"), "SA", "sample", (1,),
                (Quantity("width", "not known"),)),
    )  # fmt: skip


def zones() -> tuple[ZoneRow, ...]:
    """Return zones of both levels."""
    return (
        ZoneRow(BodyZone(1, "v1", Body.ORIGINAL, (), 4.0, "beam", "left",
                         "Pores and growth lines run on.", "at 10 × and under UV"),
                "X", 1, Quantity("area", "31 200", "900", "mm²")),
        ZoneRow(BodyZone(2, "v1", Body.OLD_KEPT, (), 0.5, "beam"), "OF", 1,
                Quantity("area", "980", "50", "mm²")),
        ZoneRow(OnZone(3, "v1", OnIt.COATING, (), 1.0, "beam",
                       grounds_observed="Greenish under UV."), "OC", 1,
                Quantity("area", "12 400", "600", "mm²")),
    )  # fmt: skip


def working(about: str, stale: str = "") -> Working:
    """Return one computation as it was run."""
    return Working(
        "photo.length", about,
        "L = s · Σ √(Δx² + Δy²), after resampling every 2 px",
        "JCGM 100:2008, 5.1.2",
        (
            WorkingValue("length of one pixel", "0.1250 ± 0.0011 mm", "measured", "view 1, scale"),
            WorkingValue("drawn length", "3280 px", "measured", "mark 1, sighting on view 1"),
            WorkingValue("spread of the hand", "3 px", "estimated", "table hand/trace"),
        ),
        (Quantity("length", "410", "9", "mm"),),
        ("A flat reading of a curved object is at least this long.",),
        stale,
    )  # fmt: skip


HAZARDS = (
    Hazard("Pesticides (arsenic, mercury, organic)", HazardStatus.NOT_TESTED,
           who_may_handle="trained staff", handling="nitrile gloves; no dry brushing"),
    Hazard("Lifting surface at 5", HazardStatus.PRESENT, method="seen under raking light",
           who_may_handle="two people", handling="Do not turn. Lift at the burr and the palm."),
    Hazard("Lead in the old filler", HazardStatus.TESTED_CLEAR, method="spot test at three points",
           detection_limit="about 0.5 %", tested_on="2026-02-27", who_may_handle="anybody",
           handling="no special care"),
)  # fmt: skip

EXAMINATION = Examination(
    reason="Wanted for a gallery that opens in fourteen weeks.",
    requested_by="the invented museum's registrar",
    examined_on="2026-02-27",
    examined_at_place="conservation studio, bench 2",
    lights_and_aids="normal and raking light, ultraviolet 365 nm, loupe 10 ×",
    what_was_examined="the beam and two tines, from the front and from above",
    summary_observed="Three cracks run along the beam. The longest ends beside a hard old fill, "
    "whose edge stands away from the antler by 0.4 mm.\nA small area of the surface lifts.",
    structure_inferred="The old fill carries part of the tine's weight (likely); nothing shows "
    "that a dowel is behind it.",
    earlier_treatment_reported="Filled and varnished about 1970, says an undated card.",
    fitness_for_use="Fit to lie as it is. Not fit to be hung or turned.",
    recommendation="Secure the lifting surface at 5 before anything else.",
    urgency="before the object is next moved",
    next_check_on="2026-06-01",
    copies_to="the curator; the registrar",
)

HEAD = ObjectHead(
    title="Giant deer antler, right beam",
    owner="an invented museum",
    identifiers=(Identifier("EX 1907.12", "an invented museum"), Identifier("44", "an old label")),
    materials=(
        Material("beam", "antler, sub-fossil", "by its structure, loupe 10 ×", Certainty.CERTAIN),
        Material("fill", "polyester resin", "by hardness and smell when warmed",
                 Certainty.POSSIBLE),
    ),
    measures=(
        Measure("length over the curve", 1240, 8, "tape"),
        Measure("girth at the burr", 245, 3, "tape"),
        Measure("thickness", 61.5),
    ),
    mass_g=6150, mass_expanded_g=20, location="studio shelf B4", deadline_on="2026-06-08",
    intended_use="open display, lying on two saddles",
    description_observed="One beam with burr and two tines; the third tine is a cast.",
    history_reported="Found in a peat cutting before 1907, says the register.",
)  # fmt: skip

GRADES = (
    Grade("body_zone", "z1", 2, "Old cracks; no change shown since 2024.", GradeBasis.SEEN),
    Grade("mark", "m5", 3, "The surface lifts and three flakes are loose.", GradeBasis.SEEN),
    Grade("part", "tine", 1, "Whole.", GradeBasis.HANDLED),
)
DEFINITIONS = (
    (1, "Stable, complete for its use. Nothing is moving or detaching; handling is safe."),
    (2, "Stable, with damage. Nothing is moving; the damage is old and still."),
    (3, "Unstable. Something is moving, lifting or loose; loss is likely."),
    (4, "Active loss: act now. Loss is happening, or handling is unsafe."),
)


def short_report() -> tuple[ConditionReport, dict[str, bytes]]:
    """Return a report of an ordinary size: three views, six marks, three zones."""
    scale = ScaleBar(mm_per_px=0.125, relative_expanded=0.009)
    said = "Scale from two clicks on a bar, 0.1250 ± 0.0011 mm a pixel (k = 2)."
    views = (
        ReportView(view(1, "the whole beam"), "one", DRAWN, scale, said),
        ReportView(view(2, "from above", Light.RAKING), "two", DRAWN[:1], scale, said),
        ReportView(view(3, "the tine"), "three"),
    )
    report = ConditionReport(
        dossier=Dossier("sub-fossil antler, one beam", "D-0012", "an invented museum",
                        "Cracked since an old repair.", Size.SHORT, is_invented=True),
        provenance=PROVENANCE,
        dossier_json='{"softmend_dossier":"invented","note":"ø 中"}',
        examined_by="the bench",
        object_head=HEAD, hazards=HAZARDS, examination=EXAMINATION, plan_shape=PlanShape.BEAM,
        views=views, marks=marks(), zones=zones(),
        totals=(
            Total("term", "crack", 3, (Quantity("length", "868", "12", "mm"),)),
            Total("side", "left", 1, (Quantity("length", "410", "9", "mm"),)),
        ),
        fills=(FillRow(1, "V", "gauge at two stations", Quantity("volume", "3.1", "0.9", "mL")),),
        grades=tuple(map(GradeRow, GRADES, ("beam, left", "mark 5", "tine"))),
        grade_definitions=DEFINITIONS, overall=overall_grade(GRADES),
        overall_extent="2 % of the surface",
        not_examined=(NotExamined("underside", "cannot be turned safely", 0.86, 0.8),),
        not_done=(NotDone("analysis of the fill", "no sample is allowed"),),
        papers=(Paper(1, "card.pdf", hashlib.sha256(b"card").hexdigest(), 120_000,
                      "a card, both sides", "unknown hand", "before 1990",
                      "“Filled with resin, 1970”"),),
        workings=(working("Mark 1"), working("Mark 4", "mark 4 changed on 2026-03-01")),
    )  # fmt: skip
    return report, {"one": picture(1), "two": picture(2), "three": picture(3)}


def note_report() -> tuple[ConditionReport, dict[str, bytes]]:
    """Return a note: one view, one mark, a paragraph."""
    report = ConditionReport(
        dossier=Dossier("limewood figurehead, fragment", "D-0013", "an invented museum",
                        "A visitor touched it.", Size.NOTE, is_invented=True),
        provenance=PROVENANCE,
        dossier_json="{}",
        examined_by="the bench",
        hazards=HAZARDS[:1],
        examination=Examination(reason="asked by the gallery",
                                summary_observed="One crack along the grain; nothing is loose."),
        views=(ReportView(view(1, "the whole"), "one", DRAWN[1:2]),),
        marks=marks()[1:2],
        not_done=(NotDone("scale", "no bar was at hand"),),
    )  # fmt: skip
    return report, {"one": picture(1)}


def long_report(side_px: int = 2000) -> tuple[ConditionReport, dict[str, bytes]]:
    """Return a report of about forty pages: thirty photographs, many marks, many workings."""
    from dataclasses import replace

    report, _ = short_report()
    names = [f"p{index}" for index in range(30)]
    views = tuple(
        ReportView(view(index + 1, f"stretch {index + 1}"), name, DRAWN, report.views[0].scale_bar,
                   report.views[0].scale_statement)
        for index, name in enumerate(names)
    )  # fmt: skip
    rows = tuple(
        replace(row, mark=replace(row.mark, number=row.mark.number + 6 * turn))
        for turn in range(25)
        for row in marks()
    )
    runs = tuple(working(f"Mark {number}") for number in range(1, 31))
    pictures = {name: picture(index, side_px, side_px * 2 // 3) for index, name in enumerate(names)}
    return replace(report, views=views, marks=rows, workings=runs), pictures
