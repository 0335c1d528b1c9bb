"""The invented demo: two dossiers laid out through the same services that a conservator uses."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import random
import tomllib
from collections.abc import Mapping
from datetime import timedelta
from importlib.resources import as_file, files
from itertools import pairwise
from math import dist
from typing import Any

from softmend.records.condition import Grade
from softmend.records.dossier import Dossier, Hazard, ObjectHead
from softmend.records.examination import Examination
from softmend.records.kinds import record_in
from softmend.records.mark import (
    DepthStation,
    Geometry,
    KnownHow,
    Mark,
    Position,
    Role,
    Section,
    Shape,
    Sighting,
    WidthStation,
)
from softmend.records.payload import from_plain
from softmend.records.view import Light, NotExamined, View
from softmend.records.zone import Body, BodyZone
from softmend.services.bench import Author, Bench
from softmend.services.demo.explain_coating import explain_coating, explain_joins
from softmend.services.demo.explaining import explain_cracks, stock_the_bench
from softmend.services.demo.fragments import lay_out_fragments
from softmend.services.demo.placing import lay_out_places
from softmend.services.demo.removing import swab_the_varnish
from softmend.services.demo.revisiting import ask_to_compare
from softmend.services.demo.scanning import lay_out_scans
from softmend.services.demo.tinting import stock_the_paints, tint_the_fill
from softmend.services.demo.treatment import days_ago, lay_out_treatment
from softmend.services.dossiers import (
    describe_object,
    dossier_list,
    open_dossier,
    record_hazard,
)
from softmend.services.examine.grades import grade_place, record_not_examined, write_examination
from softmend.services.examine.marks import record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.examine.views import describe_view, import_photograph, views_in
from softmend.services.examine.zones import record_body_zone
from softmend.services.legal_flags import today_at
from softmend.services.people import come_to_the_bench

Truth = Mapping[str, Any]

# How a person clicks: about every so many pixels, and off by about so much.
CLICK_EVERY_PX = 40.0
FEWEST_CLICKS = 24
CLICK_SD_PX = 0.8
EXAMINED_DAYS_AGO = 20


def lay_out_demo(bench: Bench) -> list[str]:
    """Lay out the two invented dossiers in an empty house; return their ids.

    What was treated was examined weeks ago and worked on in the days before today.
    """
    ids = lay_out_examined(days_ago(bench, EXAMINED_DAYS_AGO))
    scenario = _scenario()
    author = Author(come_to_the_bench(bench, scenario["person"]).id, scenario["purpose"])
    stock_the_bench(days_ago(bench, EXAMINED_DAYS_AGO), author, scenario)
    stock_the_paints(days_ago(bench, EXAMINED_DAYS_AGO), author)
    for dossier_id, told in zip(ids, scenario["dossier"], strict=True):
        if "explained" in told:
            then = days_ago(bench, told["explained"]["days_ago"])
            explain_cracks(then, author, dossier_id, told["explained"])
            explain_coating(then, author, dossier_id, told["explained"])
            lay_out_scans(then, author, dossier_id, told["mark"])
        if "treatment" in told:
            with bench.store.reading() as reader:
                views = {
                    view.original_name: entry.subject_id
                    for entry, view in views_in(reader, dossier_id)
                }
            lay_out_treatment(bench, author, dossier_id, told["treatment"], views)
            tint_the_fill(bench, author, dossier_id, views)
            explain_joins(bench, author, dossier_id, told.get("explained", {}))
            lay_out_fragments(days_ago(bench, 1), author, dossier_id)
    lay_out_places(bench, author, ids)
    swab_the_varnish(bench, Author(author.person_id, "treatment"), ids)
    return ids


def lay_out_examined(bench: Bench) -> list[str]:
    """Lay out the two invented dossiers as they were after their examination; return their ids."""
    scenario = _scenario()
    truth = json.loads(_demo_file("truth.json"))
    author = Author(come_to_the_bench(bench, scenario["person"]).id, scenario["purpose"])
    return [_lay_out(bench, author, told, truth) for told in scenario["dossier"]]


def first_dossier(bench: Bench) -> str:
    """Return the id of the dossier that the demo opens with, or "" when it is not there."""
    number = _scenario()["dossier"][0]["number"]
    rows, _ = dossier_list(bench, number, limit=500)
    invented = [row for row in rows if row.number == number and row.is_invented]
    return invented[0].dossier_id if invented else ""


def _scenario() -> dict[str, Any]:
    told = tomllib.loads(_demo_file("scenario.toml"))
    explained = tomllib.loads(_demo_file("explained.toml"))
    told["dossier"][0]["explained"] = explained.pop("explained")
    return told | explained


def _demo_file(name: str) -> str:
    return (files("softmend") / "demo" / name).read_text("utf-8")


def _head(bench: Bench, told: Truth) -> ObjectHead:
    """Return the object's head; the gallery opens so many weeks after the demo is laid out."""
    known = dict(told)
    weeks = known.pop("deadline_in_weeks", 0)
    if weeks:
        known["deadline_on"] = (today_at(bench) + timedelta(weeks=weeks)).isoformat()
    return from_plain(ObjectHead, known)


def _lay_out(bench: Bench, author: Author, told: Truth, truth: Truth) -> str:
    facts = {name: told[name] for name in ("what", "number", "number_issued_by", "why_here")}
    opening = from_plain(Dossier, {**facts, "size": told["size"], "is_invented": True})
    dossier_id = open_dossier(bench, author, opening)
    describe_object(bench, author, dossier_id, _head(bench, told["object_head"]), based_on="")
    for hazard in told["hazard"]:
        record_hazard(bench, author, dossier_id, from_plain(Hazard, hazard))
    for place in told["not_examined"]:
        record_not_examined(bench, author, dossier_id, from_plain(NotExamined, place))
    pictures = {picture["file"]: picture for picture in truth["pictures"]}
    views = {
        view["file"]: _bring_in(bench, author, dossier_id, view, pictures[view["file"]])
        for view in told["view"]
    }
    if "revisit" in told:
        ask_to_compare(bench, author, dossier_id, told["revisit"], views)
    features = next(one for one in truth["objects"] if one["name"] == told["object"])["features"]
    known = {feature["name"]: feature for feature in features}
    marks = {
        mark["feature"]: _draw(
            bench, author, dossier_id, mark, known[mark["feature"]], views, pictures
        )
        for mark in told["mark"]
    }
    for zone in told.get("zone", ()):
        picture, view_id = pictures[zone["file"]], views[zone["file"]]
        ring = _outline(zone, view_id, picture, known)
        record_body_zone(bench, author, dossier_id, _zone(zone, view_id, picture, ring))
    for grade in told["grade"]:
        place = {"of_kind": "mark", "of_id": marks[grade["feature"]]}
        words = {name: grade[name] for name in ("grade", "because", "basis")}
        grade_place(bench, author, dossier_id, from_plain(Grade, {**place, **words}), based_on="")
    # The words come last, so that a later examination is compared with all that this one drew.
    write_examination(
        bench, author, dossier_id, from_plain(Examination, told["examination"]), based_on=""
    )
    return dossier_id


def _bring_in(bench: Bench, author: Author, dossier_id: str, told: Truth, picture: Truth) -> str:
    with as_file(files("softmend") / "demo" / told["file"]) as source:
        entry = import_photograph(bench, author, dossier_id, source, told["file"])
    view: View = record_in(entry)
    plan_x, plan_y = told["plan"]
    described = from_plain(
        View,
        {
            **_plain(view),
            "shows": picture["shows"],
            "side": picture["view"],
            "light": Light(picture["light"]).value,
            "light_from": picture["light_from"] or "not known",
            "made_by": "a script that draws invented objects",
            "stage": told.get("stage", "before treatment"),
            "plan_x": plan_x,
            "plan_y": plan_y,
        },
    )
    describe_view(bench, author, dossier_id, entry.subject_id, described, based_on=entry.id)
    inputs = demo_scale(picture, told["scale"])
    set_scale(bench, author, dossier_id, entry.subject_id, inputs, based_on="")
    return entry.subject_id


def _plain(view: View) -> dict[str, Any]:
    from softmend.records.payload import as_plain

    plain: dict[str, Any] = as_plain(view)
    return plain


def demo_scale(picture: Truth, way: str) -> dict[str, Any]:
    """Return the scale that a person would set on a demo picture: on its bar, or on the shaft."""
    return _on_the_bar(picture) if way == "bar" else _on_the_shaft(picture)


def _on_the_bar(picture: Truth) -> dict[str, Any]:
    behind = sorted(
        value for seen in picture["sightings"] for value in seen["behind_scale_plane_mm"]
    )
    middle = behind[len(behind) // 2] if behind else 0.0
    end_a, end_b = picture["scale_bar"]["ends_px"]
    return {
        "method": "two_clicks",
        "end_a_px": [_clicked(end_a, "a")],
        "end_b_px": [_clicked(end_b, "b")],
        "length_mm": _measured(picture["scale_bar"]["length_mm"], 0.1),
        "stand": {
            "offset_mm": _measured(round(middle), 8.0),
            "camera_distance_mm": _measured(round(picture["scale_plane_distance_mm"], -1), 40.0),
        },
    }


def _on_the_shaft(picture: Truth) -> dict[str, Any]:
    stations = picture["cylinder"]
    middle = stations[len(stations) // 2]
    return {
        "method": "cylinder",
        "edges_px": [
            [_clicked(station["outline_px"][side], "edge") for station in stations]
            for side in (0, 1)
        ],
        "diameter_mm": _measured(round(middle["diameter_across_mm"], 1), 1.5),
        "camera_distance_mm": _measured(round(middle["camera_to_surface_mm"], -1), 40.0),
        "picture_width_px": picture["width_px"],
        "picture_height_px": picture["height_px"],
    }


def _measured(value: float, expanded: float) -> dict[str, Any]:
    return {"value": {"value": value, "expanded": expanded}, "kind": "measured", "origin": "typed"}


def _clicked(point: list[float], seed: str) -> list[float]:
    hand = random.Random(f"{seed}{point}")  # noqa: S311
    return [round(value + hand.gauss(0.0, CLICK_SD_PX), 2) for value in point]


def drawn_by_hand(points: list[list[float]], seed: str) -> tuple[Position, ...]:
    """Return a true line as a hand would click it: fewer points, each a little off."""
    steps = [dist(before, point) for before, point in pairwise(points)]
    every = min(CLICK_EVERY_PX, sum(steps) / FEWEST_CLICKS)
    kept, gone = [points[0]], 0.0
    for point, step in zip(points[1:], steps, strict=True):
        gone += step
        if gone >= every:
            kept.append(point)
            gone = 0.0
    if kept[-1] != points[-1]:
        kept.append(points[-1])
    clicked = (_clicked(point, f"{seed}{index}") for index, point in enumerate(kept))
    return tuple((x, y) for x, y in clicked)


def _sighting(picture: Truth, view_id: str, feature: Truth, role: Role) -> Sighting:
    seen = [one for one in picture["sightings"] if one["feature"] == feature["name"]]
    longest = max(seen, key=lambda one: len(one["points_px"]))
    drawn = drawn_by_hand(longest["points_px"], picture["file"] + feature["name"])
    return Sighting(
        view_id,
        Geometry(Shape(longest["shape"]), (drawn,)),
        role,
        _share_shown(longest, feature) if role is Role.SAME_STRETCH else 0.0,
    )


def _share_shown(seen: Truth, feature: Truth) -> float:
    if feature["shape"] == "Polygon":
        return 1.0
    whole = feature["states"]["before"]["length_mm"]
    share: float = round(seen["visible_length_mm"] / whole, 2)
    return min(1.0, share)


def _draw(
    bench: Bench,
    author: Author,
    dossier_id: str,
    told: Truth,
    feature: Truth,
    views: Mapping[str, str],
    pictures: Mapping[str, Truth],
) -> str:
    sightings = tuple(
        _sighting(
            pictures[file],
            views[file],
            feature,
            Role.FIRST if index == 0 else Role.SAME_STRETCH,
        )
        for index, file in enumerate(told["files"])
    )
    words = {name: value for name, value in told.items() if name not in ("feature", "files")}
    section = Section(words.pop("section", "V"))
    plain = {"number": 0, "term_id": feature["term"], "sightings": [], **words}
    mark: Mark = from_plain(Mark, {**plain, "section": section.value})
    widths, depths = _by_hand(feature)
    entry = record_mark(
        bench,
        author,
        dossier_id,
        Mark(**{**mark.__dict__, "sightings": sightings, "widths": widths, "depths": depths}),
    )
    return entry.subject_id


def _by_hand(feature: Truth) -> tuple[tuple[WidthStation, ...], tuple[DepthStation, ...]]:
    """Return widths with feeler gauges and depths with a card, as far as a hand can tell them."""
    if feature["shape"] == "Polygon":
        deep = feature["depth_mm"]
        known = (DepthStation(0.0, 0.7 * deep, deep, 1.4 * deep, KnownHow.GAUGE),)
        return (), known if deep else ()
    state = feature["states"]["before"]
    along, width, depth = (state[name] for name in ("station_mm", "mouth_width_mm", "depth_mm"))
    places = [round(share * (len(along) - 1)) for share in (0.1, 0.3, 0.5, 0.7, 0.9)]
    widths = tuple(
        WidthStation(round(along[at]), round(width[at] / 0.05) * 0.05, 0.1, "feeler gauge")
        for at in places
    )
    deepest = max(depth)
    depths = (
        DepthStation(
            round(along[places[2]]),
            round(0.6 * deepest, 1),
            round(0.9 * deepest, 1),
            round(1.3 * deepest, 1),
            KnownHow.GAUGE,
        ),
    )
    return widths, depths


def _outline(
    told: Truth, view_id: str, picture: Truth, known: Mapping[str, Truth]
) -> tuple[Position, ...]:
    if told["feature"] != "outline":
        seen = _sighting(picture, view_id, known[told["feature"]], Role.FIRST)
        return seen.geometry.parts[0]
    # The stretch round the fill, a little inside the outline: on it no surface can be read.
    stretch = picture["cylinder"][2:6]
    edges = [_drawn_in(*station["outline_px"]) for station in stretch]
    return (*(upper for upper, _ in edges), *(lower for _, lower in reversed(edges)))


def _drawn_in(upper: list[float], lower: list[float]) -> tuple[Position, Position]:
    share = 0.06
    step_x, step_y = (share * (lower[axis] - upper[axis]) for axis in (0, 1))
    return (upper[0] + step_x, upper[1] + step_y), (lower[0] - step_x, lower[1] - step_y)


def _zone(told: Truth, view_id: str, picture: Truth, ring: tuple[Position, ...]) -> BodyZone:
    return BodyZone(
        number=0,
        view_id=view_id,
        body=Body(told["body"]),
        rings=(ring,),
        accuracy_px=3.0,
        part="beam",
        side=picture["view"],
        grounds_observed=told["grounds_observed"],
        checked_how="hand lens and ultraviolet-like light",
    )
