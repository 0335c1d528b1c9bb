"""The broken states of a scan are told apart, and none of them yields a wrong volume in silence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.science.solid.check import Role, State, checked_shape
from softmend.science.solid.mesh import Mesh
from softmend.science.solid.volume import Verdict, capped_volume, solid_volume
from tests.science.solid.bodies import bone, holed, noisy, sphere, together, tube, turned, tusk

BONE = bone(100, 40)
TRUE = capped_volume(BONE)[0]
RNG = np.random.default_rng(7)
FLIPPED = RNG.random(len(BONE.faces)) < 0.1
HALF_FLIPPED = RNG.random(len(BONE.faces)) < 0.5
ALL = np.ones(len(BONE.faces), dtype=bool)


def blob() -> Mesh:
    ball = sphere(0.008, 0.002)
    return Mesh(ball.points + np.array([0.1, 0, 0.1]), ball.faces)


def holes() -> Mesh:
    return holed(BONE, BONE.centres[[900, 2200, 3600, 5000, 6400]], 0.008)


STATES = {
    "intact": (BONE, {State.INTACT}),
    "five holes": (holes(), {State.HOLES}),
    "a side": (BONE.part(BONE.centres[:, 1] > -0.008), {State.SIDE_MISSING}),
    "an end": (BONE.part(BONE.centres[:, 2] < 0.323), {State.END_MISSING}),
    "one in ten reversed": (BONE.turned_over(FLIPPED), {State.REVERSED}),
    "half reversed": (BONE.turned_over(HALF_FLIPPED), {State.REVERSED}),
    "inside out": (BONE.turned_over(ALL), {State.REVERSED}),
    "doubled, with a blob": (together(BONE, BONE, blob()), {State.DOUBLED, State.FLOATING}),
    "doubled in a second pass": (together(BONE, noisy(BONE, 1e-4)), {State.DOUBLED}),
}


@pytest.mark.parametrize("name", STATES)
def test_each_state_is_told_apart(name: str) -> None:
    mesh, states = STATES[name]
    assert set(checked_shape(mesh.points, mesh.faces).states) == states


@pytest.mark.parametrize("name", [name for name in STATES if name not in {"a side", "an end"}])
def test_what_was_scanned_whole_gives_the_true_volume_or_none(name: str) -> None:
    mesh, _ = STATES[name]
    found = solid_volume(checked_shape(mesh.points, mesh.faces), 40_000)
    assert found.verdict is Verdict.AGREES
    assert found.typical == pytest.approx(TRUE, rel=0.01)
    assert found.low <= found.typical <= found.high


def test_the_volume_does_not_depend_on_where_the_scan_stands() -> None:
    mesh = holes()
    here = solid_volume(checked_shape(mesh.points, mesh.faces), 40_000).capped
    there = solid_volume(
        checked_shape(mesh.points + np.array([17.0, -3.0, 4.0]), mesh.faces), 40_000
    ).capped
    assert there == pytest.approx(here, rel=1e-6)


def test_faces_missing_here_and_there_are_holes_and_no_missing_end() -> None:
    kept = np.random.default_rng(0).random(len(BONE.faces)) >= 0.03
    found = checked_shape(BONE.points, BONE.faces[kept])
    assert set(found.states) <= {State.HOLES, State.FLOATING}
    assert State.HOLES in found.states
    volume = solid_volume(found, 40_000)
    assert volume.verdict is Verdict.AGREES
    assert volume.typical == pytest.approx(TRUE, rel=0.01)


def test_a_flat_opening_spans_its_true_area_however_it_turns() -> None:
    # A fan over a rim that turns in overlaps itself: a horseshoe cut across shows it.
    turn = np.linspace(0.3, 2 * np.pi - 0.3, 80)
    run = np.stack([0.05 * np.cos(turn), 0.05 * np.sin(turn), 0 * turn], axis=-1)
    out = run / 0.05
    angle = 2 * np.pi * np.arange(24) / 24
    rings = run[:, None] + 0.01 * (
        np.cos(angle)[None, :, None] * out[:, None]
        - np.sin(angle)[None, :, None] * np.array([0, 0, 1.0])
    )
    body = tube(rings)
    half = body.part(body.centres[:, 2] < 0)
    found = checked_shape(half.points, half.faces)
    assert len(found.rims) == 1
    flat = 0.05 * (turn[-1] - turn[0]) * 0.02
    assert found.rims[0].cap_area == pytest.approx(flat, rel=0.03)
    assert found.states == (State.SIDE_MISSING,)


def test_a_missing_end_is_said_and_where() -> None:
    mesh, _ = STATES["an end"]
    found = checked_shape(mesh.points, mesh.faces)
    assert len(found.rims) == 1
    assert found.rims[0].centre[2] == pytest.approx(0.323, abs=0.004)
    assert abs(found.rims[0].normal[2]) > 0.9


def test_reversed_faces_are_counted() -> None:
    mesh, _ = STATES["one in ten reversed"]
    assert checked_shape(mesh.points, mesh.faces).reversed_faces == FLIPPED.sum()
    assert checked_shape(BONE.points, BONE.turned_over(ALL).faces).is_inside_out


def nested(inner_turned: bool) -> Mesh:
    outer, inner = sphere(0.05, 0.004), sphere(0.02, 0.003)
    flags = np.full(len(inner.faces), inner_turned)
    return together(outer, inner.turned_over(flags))


def test_an_inner_shell_that_faces_inward_is_a_hollow() -> None:
    mesh = nested(inner_turned=True)
    found = checked_shape(mesh.points, mesh.faces)
    assert set(found.states) == {State.HOLLOW}
    volume = solid_volume(found, 40_000)
    assert volume.verdict is Verdict.AGREES
    assert volume.typical == pytest.approx(4 / 3 * np.pi * (0.05**3 - 0.02**3), rel=0.01)


def test_an_inner_shell_that_faces_outward_gives_no_volume() -> None:
    mesh = nested(inner_turned=False)
    found = checked_shape(mesh.points, mesh.faces)
    assert Role.UNCLEAR in {shell.role for shell in found.shells}
    volume = solid_volume(found, 40_000)
    assert volume.verdict is Verdict.NONE
    assert "lie inside or across" in volume.reasons[0]


def test_shells_that_cross_give_no_volume() -> None:
    one = sphere(0.05, 0.004)
    mesh = together(one, Mesh(one.points * 0.9 + [0.05, 0, 0], one.faces))
    assert solid_volume(checked_shape(mesh.points, mesh.faces), 40_000).verdict is Verdict.NONE


def test_two_pieces_are_two_pieces() -> None:
    one = sphere(0.05, 0.004)
    mesh = together(one, Mesh(one.points * 0.5 + [0.2, 0, 0], one.faces))
    found = checked_shape(mesh.points, mesh.faces)
    assert set(found.states) == {State.PIECES}
    whole = 4 / 3 * np.pi * 0.05**3 * (1 + 0.125)
    assert solid_volume(found, 40_000).typical == pytest.approx(whole, rel=0.012)


def test_a_scanned_pulp_cavity_belongs_to_the_surface() -> None:
    mesh = tusk(along=120, around=48)
    assert set(checked_shape(mesh.points, mesh.faces).states) == {State.INTACT}


def test_a_sheet_encloses_nothing() -> None:
    sheet = turned(np.array([[0.0, 0.0], [0.02, 0.0], [0.04, 0.0], [0.06, 0.0001]]), 48)
    flat = sheet.part(sheet.centres[:, 2] < 0.00009)
    found = solid_volume(checked_shape(flat.points, flat.faces), 40_000)
    assert found.verdict is Verdict.NONE


@pytest.mark.parametrize("thick", [0.0, 2e-5, 2e-4])
def test_a_sheet_as_thin_as_paper_is_counted_in_bounds(thick: float) -> None:
    ring = np.array([[x, y, 0.0] for x, y in [(0, 0), (0.2, 0), (0.2, 0.1), (0, 0.1)]])
    faces = [[0, 2, 1], [0, 3, 2], [4, 5, 6], [4, 6, 7]]
    faces += [side for k in range(4) for side in (
        [k, (k + 1) % 4, 4 + (k + 1) % 4], [k, 4 + (k + 1) % 4, 4 + k])]  # fmt: skip
    points = np.concatenate([ring, ring + np.array([0, 0, thick])]) if thick else ring
    shape = checked_shape(points, faces if thick else [[0, 2, 1], [0, 3, 2], [0, 1, 3], [1, 2, 3]])
    found = solid_volume(shape)
    if thick:
        assert found.verdict is not Verdict.NONE
        assert found.low * 0.98 <= 0.02 * thick <= found.high * 1.02
    else:
        assert found.verdict is Verdict.NONE
        assert "the surface encloses nothing" in found.reasons


def test_a_soup_whose_corners_differ_by_rounding_is_welded() -> None:
    body = bone(60, 24)
    shaken = body.corners + np.random.default_rng(0).normal(0, 1e-8, body.corners.shape)
    shape = checked_shape(shaken.reshape(-1, 3), np.arange(3 * len(body.faces)).reshape(-1, 3))
    assert shape.states == (State.INTACT,)
    assert shape.is_closed


def test_a_scan_in_map_coordinates_has_its_volume_and_its_places() -> None:
    body = bone(60, 24)
    far = np.array([512_345.0, 4_412_345.0, 120.0])
    shape = checked_shape(body.points + far, body.faces)
    found = solid_volume(shape)
    assert found.verdict is Verdict.AGREES
    assert found.typical == pytest.approx(
        solid_volume(checked_shape(body.points, body.faces)).typical
    )
    away, _, on = shape.mesh.nearest_points(body.points[700:702] + far)
    assert away == pytest.approx(np.zeros(2), abs=1e-6)
    assert on == pytest.approx(body.points[700:702] + far, abs=1e-6)


def test_a_missing_side_is_told_as_at_least() -> None:
    body = bone(60, 24)
    part = body.part(body.centres[:, 0] > -0.0125)
    assert solid_volume(checked_shape(part.points, part.faces)).verdict is Verdict.AT_LEAST
