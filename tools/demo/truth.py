"""What is true of the demo's objects and where it falls in each picture, for truth.json."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from tools.demo.camera import Array, unit
from tools.demo.features import Blob, Carrier, Groove, area_mm2, length_mm
from tools.demo.views import View

CRACK_STEP_MM = 0.5
KEEP_EVERY = 4
OUTLINE_POINTS = 240

Visible = Callable[[Array, Array], NDArray[np.bool_]]


class Thing(Protocol):
    """An object of the demo: its carrier, cracks, areas, and the height of its fine relief."""

    @property
    def carrier(self) -> Carrier:
        """The surface without relief."""
        ...

    @property
    def grooves(self) -> tuple[Groove, ...]:
        """The cracks, across the surface in order."""
        ...

    @property
    def blobs(self) -> tuple[Blob, ...]:
        """The areas."""
        ...

    def relief_mm(self, row: Array, cross: Array) -> Array:
        """Return how far the surface lies above the carrier, cracks left out [mm]."""
        ...


@dataclass(frozen=True)
class Surface:
    """Points of an object's surface with their normals, found from its carrier and relief."""

    thing: Thing

    def points(self, row: Array, cross: Array, rest: Array) -> Array:
        """Return points on the relief [mm]; `rest` is where they lay before the crack opened."""
        return self.thing.carrier.points(row, cross, self.thing.relief_mm(row, rest))

    def outward(self, row: Array, cross: Array) -> Array:
        """Return the carrier's normals."""
        level, step = np.zeros_like(row), 1e-3
        at = self.thing.carrier.points
        along = at(row + step, cross, level) - at(row - step, cross, level)
        across = at(row, cross + step, level) - at(row, cross - step, level)
        normal = np.cross(along, across)
        normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
        rise = at(row, cross, level + 1.0) - at(row, cross, level)
        return np.asarray(normal * np.sign(np.sum(normal * rise, axis=-1, keepdims=True)))


def rounded(values: Array, digits: int) -> list[Any]:
    """Return numbers as short as the truth deserves."""
    return list(np.round(np.asarray(values, float), digits).tolist())


def stations(groove: Groove, share: tuple[float, float] = (0.0, 1.0)) -> Array:
    """Return rows along a crack from tip to tip."""
    reach = groove.end - groove.start
    count = int(reach / CRACK_STEP_MM) + 1
    return np.linspace(groove.start + share[0] * reach, groove.start + share[1] * reach, count)


def crack_truth(thing: Thing, groove: Groove) -> dict[str, Any]:
    """Return length, widths and depth of a crack in each state."""
    row = stations(groove)
    line = thing.carrier.points(row, groove.centre(row), np.zeros_like(row))
    run = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=-1))])
    states: dict[str, Any] = {}
    for state, widest in groove.widest_mm.items():
        width = groove.width_mm(row, state)
        states[state] = {"exists": widest > 0}
        if widest > 0:
            states[state] |= {
                "length_mm": round(length_mm(line), 2),
                "widest_mouth_mm": round(float(width.max()), 3),
                "mean_mouth_mm": round(float(np.trapezoid(width, run) / run[-1]), 3),
                "mouth_area_mm2": round(float(np.trapezoid(width, run)), 2),
                "deepest_mm": groove.depth_mm,
                "station_mm": rounded(run[::KEEP_EVERY], 2),
                "mouth_width_mm": rounded(width[::KEEP_EVERY], 4),
                "depth_mm": rounded(groove.depth_at(row, state)[::KEEP_EVERY], 3),
            }
    return {"name": groove.name, "term": groove.term, "note": groove.note, "shape": "LineString",
            "states": states}  # fmt: skip


def area_truth(thing: Thing, blob: Blob) -> dict[str, Any]:
    """Return area and outline length of an area on the surface."""
    angle = np.linspace(0, 2 * np.pi, 1441)
    row, cross = blob.at(np.ones_like(angle), angle)
    outline = thing.carrier.points(row, cross, np.zeros_like(row))
    return {
        "name": blob.name,
        "term": blob.term,
        "note": blob.note,
        "shape": "Polygon",
        "area_mm2": round(area_mm2(thing.carrier, blob), 2),
        "outline_mm": round(length_mm(outline), 2),
        "depth_mm": blob.depth_mm,
    }


def sightings(thing: Thing, view: View, visible: Visible) -> list[dict[str, Any]]:
    """Return where each feature is seen in a picture, hidden stretches left out."""
    found = []
    for groove in thing.grooves:
        if groove.widest_mm[view.state] > 0:
            found += _crack_sightings(thing, groove, view, visible)
    for blob in thing.blobs:
        found += _area_sighting(thing, blob, view, visible)
    return found


def _crack_sightings(
    thing: Thing, groove: Groove, view: View, visible: Visible
) -> list[dict[str, Any]]:
    row, surface = stations(groove), Surface(thing)
    centre = groove.centre(row)
    half = groove.half_cross(thing.carrier, row, view.state)
    rest = groove.half_cross(thing.carrier, row, "before")
    lips = [surface.points(row, centre + s * half, centre + s * rest) for s in (-1.0, 1.0)]
    middle = (lips[0] + lips[1]) / 2
    outward = surface.outward(row, centre)
    camera = view.camera
    seen = visible(middle, outward) & camera.is_inside(camera.project(middle))
    level = thing.carrier.points(row, centre, np.zeros_like(row))
    found = []
    for stretch in stretches(seen):
        part = level[stretch]
        if length_mm(part) < 5.0:
            continue
        kept = np.unique(np.append(np.arange(stretch.start, stretch.stop, KEEP_EVERY),
                                   stretch.stop - 1))  # fmt: skip
        found.append({
            "feature": groove.name,
            "shape": "LineString",
            "whole": bool(seen.all()),
            "visible_length_mm": round(length_mm(part), 2),
            "flat_length_mm": round(length_mm(camera.seen_from(part)[:, :2]), 2),
            "points_px": rounded(camera.project(middle[kept]), 2),
            "lip_low_px": rounded(camera.project(lips[0][kept]), 2),
            "lip_high_px": rounded(camera.project(lips[1][kept]), 2),
            "mouth_width_mm": rounded(groove.width_mm(row[kept], view.state), 4),
            **_placed(view, middle[kept], outward[kept]),
        })  # fmt: skip
    return found


def _area_sighting(thing: Thing, blob: Blob, view: View, visible: Visible) -> list[dict[str, Any]]:
    angle = np.linspace(0, 2 * np.pi, OUTLINE_POINTS, endpoint=False)
    row, cross = blob.at(np.ones_like(angle), angle)
    surface = Surface(thing)
    points, outward = surface.points(row, cross, cross), surface.outward(row, cross)
    camera = view.camera
    seen = visible(points, outward) & camera.is_inside(camera.project(points))
    if seen.mean() < 0.98:
        return []
    return [{
        "feature": blob.name,
        "shape": "Polygon",
        "whole": True,
        "visible_area_mm2": round(area_mm2(thing.carrier, blob), 2),
            "flat_area_mm2": round(enclosed(camera.seen_from(points)[:, :2]), 2),
        "points_px": rounded(camera.project(points), 2),
        **_placed(view, points, outward),
    }]  # fmt: skip


def _placed(view: View, points: Array, outward: Array) -> dict[str, Any]:
    way = np.array(view.camera.position_mm) - points
    way /= np.linalg.norm(way, axis=-1, keepdims=True)
    facing = np.sum(way * outward, axis=-1)
    forward = view.camera.axes[2]
    behind = (points - np.array(view.card.middle_mm)) @ forward
    return {
        "surface_turned_away_deg": rounded(np.degrees(np.arccos(np.clip(facing, -1, 1))), 1),
        "behind_scale_plane_mm": rounded(behind, 2),
    }


def enclosed(outline: Array) -> float:
    """Return the area within a flat closed outline."""
    x, y = outline.T
    return float(abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2)


def stretches(seen: NDArray[np.bool_]) -> list[slice]:
    """Return the runs of points that are seen; gaps of up to three points are bridged."""
    where = np.flatnonzero(seen)
    if not len(where):
        return []
    breaks = np.flatnonzero(np.diff(where) > 4)
    starts = [where[0], *where[breaks + 1]]
    ends = [*where[breaks], where[-1]]
    return [slice(int(a), int(b) + 1) for a, b in zip(starts, ends, strict=True)]


def picture_truth(view: View) -> dict[str, Any]:
    """Return what is true of a picture without its features: camera, scale, marker, chart."""
    camera, card = view.camera, view.card
    bar = camera.project(card.bar_ends_mm)
    distance = camera.seen_from(np.array(card.middle_mm))[2]
    across = unit(np.array(card.right))
    return {
        "file": view.file,
        "object": view.thing,
        "width_px": camera.width_px,
        "height_px": camera.height_px,
        "shows": view.shows,
        "view": view.view,
        "light": view.light,
        "light_from": view.light_from,
        "state": view.state,
        "taken_at": view.taken_at,
        "camera": camera.described(),
        "scale_plane_distance_mm": round(float(distance), 3),
        "px_per_mm": round(float(camera.focal_px / distance), 5),
        "scale_bar": {"length_mm": card.layout.bar_mm, "ends_px": rounded(bar, 3)},
        "marker": {
            "dictionary": "4x4",
            "number": card.layout.marker_number,
            "side_mm": card.layout.marker_mm,
            "corners_px": rounded(camera.project(card.marker_corners_mm), 3),
        },
        "rectangle": {
            "what": "outer edge of the frame round the colour patches",
            "size_mm": list(card.chart_size_mm),
            "corners_px": rounded(camera.project(card.chart_corners_mm), 3),
        },
        "card_tilt_deg": round(float(np.degrees(np.arcsin(abs(across @ camera.axes[2])))), 3),
    }
