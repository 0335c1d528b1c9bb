"""A photograph laid along an object, against a camera that the test makes itself."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.beam import Beam, beam_of
from softmend.science.solid.mesh import Mesh
from softmend.science.solid.seen_along import (
    Pairs,
    SeenAlong,
    nearest_along,
    places_along,
    seen_along,
    stretch_along,
)
from tests.science.solid.bodies import bone, path, turned, tusk

PX_PER_M, AWAY = 4500.0, 1.5
PICK_SD, PIXEL_SD, SPAN_SD = 0.003, 4.0, 0.01
FRACTURE = (0.3, 0.45)
BONE = bone(60, 32)
# The tusk's own arc lies in the xy plane, the bone stands along z: each is looked at from its side.
TUSK = tusk(cavity=None, along=120, around=32)
BONE_BEAM, TUSK_BEAM = beam_of(BONE, 40), beam_of(TUSK, 60)


class Camera:
    """A pinhole camera: which way it looks, what is up, and what it looks at."""

    def __init__(self, toward: np.ndarray, up: np.ndarray, middle: np.ndarray) -> None:
        forward = toward / np.linalg.norm(toward)
        right = np.cross(forward, up)
        right /= np.linalg.norm(right)
        self.frame = np.stack([right, np.cross(forward, right), forward])
        self.eye = middle - AWAY * forward

    def pixels(self, points: np.ndarray) -> np.ndarray:
        seen = (points - self.eye) @ self.frame.T
        return 2000 + PX_PER_M * AWAY * seen[:, :2] / seen[:, 2:]

    def visible(self, mesh: Mesh) -> np.ndarray:
        """Return the middles of the faces that look towards the camera."""
        centres = mesh.points[mesh.faces].mean(axis=1)
        normals = np.cross(*(mesh.points[mesh.faces[:, k]] - mesh.points[mesh.faces[:, 0]]
                             for k in (1, 2)))  # fmt: skip
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        way = centres - self.eye
        facing = (normals * way).sum(axis=1) / np.linalg.norm(way, axis=1)
        return centres[facing < -0.2]


def camera_on(which: str, lean_deg: float) -> tuple[Camera, Mesh, Beam]:
    lean = np.radians(lean_deg)
    if which == "bone":
        toward = np.array([0.0, np.cos(lean), np.sin(lean)])
        return Camera(toward, np.array([1.0, 0, 0]), np.array([0, 0, 0.17])), BONE, BONE_BEAM
    toward = np.array([np.sin(lean), 0.0, -np.cos(lean)])
    return Camera(toward, np.array([0, 1.0, 0]), np.array([0.6, 0.4, 0])), TUSK, TUSK_BEAM


def picked(camera: Camera, mesh: Mesh, beam: Beam, shares: list[float]) -> Pairs:
    """Return places that a person picks near the middle of what the photograph shows."""
    seen = camera.visible(mesh)
    along = nearest_along(beam, seen)
    line = camera.pixels(beam.place(along))
    aside = np.linalg.norm(camera.pixels(seen) - line, axis=1) / PX_PER_M
    best = [int(np.hypot(along - one * beam.length, aside).argmin()) for one in shares]
    points = seen[best]
    names = tuple(range(1, len(shares) + 1))
    return Pairs(camera.pixels(points), points, names, PICK_SD, PIXEL_SD).in_order(beam)


def laid(beam: Beam, pairs: Pairs, scale: float = 1.0) -> SeenAlong:
    spans = scale * np.linalg.norm(np.diff(pairs.pixels, axis=0), axis=1) / PX_PER_M
    return seen_along(beam, pairs, spans, np.full(len(spans), SPAN_SD))


@pytest.mark.parametrize(
    ("which", "lean", "shares"),
    [
        ("bone", 0, [0.9, 0.1]),
        ("bone", 20, [0.1, 0.5, 0.9]),
        ("bone", 35, [0.1, 0.35, 0.65, 0.9]),
        ("tusk", 0, [0.05, 0.3, 0.5, 0.7, 0.95]),
        ("tusk", 20, [0.05, 0.2, 0.4, 0.6, 0.8, 0.95]),
    ],
)
def test_every_place_that_a_camera_sees_lies_within_its_uncertainty(
    which: str, lean: float, shares: list[float]
) -> None:
    camera, mesh, beam = camera_on(which, lean)
    view = laid(beam, picked(camera, mesh, beam, shares))
    seen = camera.visible(mesh)
    true = nearest_along(beam, seen)
    at, expanded, told = places_along(view, camera.pixels(seen))
    assert told.mean() > 0.95
    off = np.abs(at - true)[told]
    # Expanded means k = 2: nineteen of twenty; the picks themselves are exact here.
    assert (off <= expanded[told]).mean() > 0.95
    assert (off <= 1.5 * expanded[told]).all()
    # It must not hide behind a wide uncertainty.
    assert np.median(expanded[told]) < 0.08 * beam.length


def test_a_mark_runs_from_where_to_where_it_is_drawn() -> None:
    camera, mesh, beam = camera_on("bone", 20)
    view = laid(beam, picked(camera, mesh, beam, [0.1, 0.4, 0.7, 0.9]))
    line = beam.place(beam.length * np.linspace(*FRACTURE, 12)) + np.array([0, -0.012, 0])
    found = stretch_along(view, [camera.pixels(line)], is_closed=False)
    assert found is not None
    low, high, expanded = found
    assert low / beam.length == pytest.approx(FRACTURE[0], abs=expanded / beam.length)
    assert high / beam.length == pytest.approx(FRACTURE[1], abs=expanded / beam.length)
    assert expanded < 0.015
    outline = camera.pixels(line)[[0, 5, 11]] + [[0, 0], [0, 30], [0, 0]]
    closed = stretch_along(view, [outline], is_closed=True)
    assert closed is not None
    assert closed[:2] == pytest.approx(found[:2], abs=0.003)


def test_what_lies_far_beyond_the_picks_is_not_told() -> None:
    camera, mesh, beam = camera_on("bone", 0)
    view = laid(beam, picked(camera, mesh, beam, [0.1, 0.3]))
    far = camera.pixels(beam.place(np.array([0.3, 0.75]) * beam.length))
    assert stretch_along(view, [far], is_closed=False) is None
    near = camera.pixels(beam.place(np.array([0.3, 0.45]) * beam.length))
    found = stretch_along(view, [near], is_closed=False)
    assert found is not None
    # An end that is reckoned beyond the picks is less certain than one between them.
    inside = stretch_along(view, [near[:1]], is_closed=False)
    assert inside is not None
    assert found[2] > 1.5 * inside[2]


def test_a_view_that_is_seen_end_on_is_refused() -> None:
    camera, mesh, beam = camera_on("bone", 62)
    with pytest.raises(InputError, match="too much end-on between places 1 and 2"):
        laid(beam, picked(camera, mesh, beam, [0.15, 0.85]))


def test_spans_that_do_not_fit_are_refused() -> None:
    camera, mesh, beam = camera_on("bone", 0)
    with pytest.raises(InputError, match="do not fit between places 1 and 2"):
        laid(beam, picked(camera, mesh, beam, [0.15, 0.85]), scale=1.5)


def test_a_pick_that_goes_astray_is_named() -> None:
    camera, mesh, beam = camera_on("bone", 0)
    pairs = picked(camera, mesh, beam, [0.1, 0.5, 0.9])
    moved = pairs.pixels.copy()
    moved[1] = 0.85 * moved[1] + 0.15 * moved[2]
    with pytest.raises(InputError, match="Place 2 does not fit the places beside it"):
        laid(beam, replace(pairs, pixels=moved))


def test_places_too_close_or_too_few_are_refused() -> None:
    camera, mesh, beam = camera_on("bone", 0)
    with pytest.raises(InputError, match="lie too close along the object"):
        laid(beam, picked(camera, mesh, beam, [0.5, 0.51]))
    with pytest.raises(InputError, match="2 to 20 places"):
        laid(beam, picked(camera, mesh, beam, [0.5]))


def test_on_a_straight_rod_seen_square_the_answer_is_exact() -> None:
    """Nothing strays and nothing turns: only the picks' own error is left."""
    rod = beam_of(turned(path([(0, 0), (0.02, 0), (0.02, 0.5), (0, 0.5)], 0.005), 48), 40)
    places = np.array([0.1, 0.4])
    points = rod.place(places * rod.length) + np.array([0, -0.02, 0])
    pixels = np.stack([points[:, 2] * 1000, [50.0, 50.0]], axis=1)
    pairs = Pairs(pixels, points, (1, 2), PICK_SD, 1.0).in_order(rod)
    view = seen_along(rod, pairs, [0.3 * rod.length], [0.001])
    at, expanded, _told = places_along(view, (pixels[:1] + pixels[1:]) / 2)
    assert at / rod.length == pytest.approx([0.25], abs=1e-3)
    single = np.hypot(PICK_SD, 0.001)
    assert expanded == pytest.approx([2 * single / np.sqrt(2)], rel=0.05)
    # A hand that draws to 4 px, at 1 px to the mm, adds 8 mm (k = 2) as an independent part.
    middle = (pixels[:1] + pixels[1:]) / 2
    by_hand = places_along(view, middle, drawn_sd=4.0)[1]
    assert by_hand == pytest.approx(np.hypot(expanded, 0.008), rel=0.02)
