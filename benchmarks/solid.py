"""A scan of a million faces: state, volume, a void, a length, and every layout of three pads.

Targets in processor time: state 5 s, volume 4 s, void 12 s, length over the surface 7 s, the real
underside measured once with a saddle at 60 places 3 s, all triples of these places 1 s (design,
section 8) and 50 times faster than one linear programme each; a still of 1200 x 800 pixels from the
light copy 1 s, since it is drawn while its page waits.
Named rivals, each on a share of the work and scaled up: the exact winding number of libigl for the
grid of the volume, networkx for the shortest ways round the rim, scipy's linprog for the triples.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
import resource
import sys
import time
from collections.abc import Callable
from importlib import import_module
from typing import Any

import numpy as np

from softmend.science.solid.beam import Beam, beam_of
from softmend.science.solid.bed import Footing
from softmend.science.solid.check import Shape, checked_shape
from softmend.science.solid.display import display_copy, frame_of_look, look_at
from softmend.science.solid.footing import saddle_footing
from softmend.science.solid.mesh import Mesh
from softmend.science.solid.placement import Candidates, Saddle
from softmend.science.solid.surface import surface_length
from softmend.science.solid.underside import underside_of
from softmend.science.solid.void import void_volume
from softmend.science.solid.volume import GRID_POINTS, solid_volume

ALONG, AROUND = 1000, 500
LENGTH_M, RADIUS_M, SOCKET_M = 0.6, 0.04, 0.015
TARGETS_S = {
    "state": 5.0,
    "volume": 4.0,
    "void": 12.0,
    "length": 7.0,
    "underside": 3.0,
    "triples": 1.0,
    "still": 1.0,
}
TARGET_TRIPLES, MOST_MB = 50.0, 3000
PLACES, PAD_M = 60, 0.002
STILL_FACES, STILL_PX = 120_000, (1200, 800)


def scan() -> tuple[np.ndarray, np.ndarray]:
    """Return a bowed bar of a million faces with a socket in its upper side, closed by fans."""
    row, column = np.meshgrid(np.arange(ALONG), np.arange(AROUND), indexing="ij")
    x, turn = LENGTH_M * row / (ALONG - 1), 2 * np.pi * column / AROUND
    radius = RADIUS_M * (1 - 0.3 * row / ALONG) + 1e-4 * np.sin(40 * turn) * np.sin(900 * x)
    across = np.hypot(x - LENGTH_M / 2, RADIUS_M * (turn - np.pi / 2))
    radius -= np.where(across < SOCKET_M, 0.01, 0.0)
    up = 0.05 * np.sin(np.pi * x / LENGTH_M)
    points = np.stack([x, radius * np.cos(turn), radius * np.sin(turn) + up], axis=-1)
    number, beside = row * AROUND + column, row * AROUND + (column + 1) % AROUND
    a, b, c, d = number[:-1], number[1:], beside[1:], beside[:-1]
    sides = np.concatenate([np.stack(part, -1).reshape(-1, 3) for part in ((a, c, b), (a, d, c))])
    ends = []
    for ring, way in ((0, 1), (ALONG - 1, -1)):
        apex = np.full(AROUND, ALONG * AROUND + len(ends))
        ends.append(np.stack([apex, beside[ring], number[ring]], axis=1)[:, ::way])
    middles = points[[0, -1]].mean(axis=1)
    return np.concatenate([points.reshape(-1, 3), middles]), np.concatenate([sides, *ends])


def timed(work: Callable[[], Any]) -> tuple[Any, float]:
    """Return what some work gives and its processor time."""
    started = time.process_time()
    found = work()
    return found, time.process_time() - started


def exact_winding_s(shape: Shape) -> float:
    """Return the time of the exact winding number for the volume's grid, from 40 points."""
    library: Any = import_module("igl")
    places = shape.mesh.centres[:: len(shape.mesh.faces) // 40] * 0.5 + shape.mesh.middle * 0.5
    return timed(lambda: library.winding_number(shape.mesh.points, shape.mesh.faces, places))[1] * (
        GRID_POINTS / len(places)
    )


def networkx_ways_s(mesh: Mesh, legs: int) -> float:
    """Return the time of networkx for the ways round a rim, from one leg."""
    library: Any = import_module("networkx")
    middle = socket_middle()
    near = np.linalg.norm(mesh.points[mesh.edges.ends] - middle, axis=-1).max(axis=1) < 2 * SOCKET_M
    ends = mesh.edges.ends[near]
    lengths = np.linalg.norm(mesh.points[ends[:, 0]] - mesh.points[ends[:, 1]], axis=1)
    graph = library.Graph()
    graph.add_weighted_edges_from(
        zip(ends[:, 0].tolist(), ends[:, 1].tolist(), lengths.tolist(), strict=True)
    )
    start, end = int(ends[0, 0]), int(ends[-1, 1])
    return legs * timed(lambda: library.dijkstra_path(graph, start, end))[1]


def programmes_s(candidates: Candidates, count: int) -> float:
    """Return the time of one linear programme for each triple, from 200 of them."""
    linprog = import_module("scipy.optimize").linprog
    rng = np.random.default_rng(0)
    chosen = [rng.choice(PLACES, 3, replace=False) for _ in range(200)]

    def each() -> None:
        for three in chosen:
            terms = np.stack([np.ones(3), *candidates.plan[three].T])
            linprog([1.0, 0, 0], A_eq=terms, b_eq=[1.0, 0, 0], bounds=(0, None))

    return timed(each)[1] * count / len(chosen)


def socket_middle() -> np.ndarray:
    """Return the middle of the socket's floor [m]."""
    high = RADIUS_M * 0.85 - 0.01 + 0.05
    return np.array([LENGTH_M / 2, 0.0, high])


def rim_picks() -> np.ndarray:
    """Return picks round the socket's rim [m]."""
    angle = 2 * np.pi * np.arange(10) / 10
    turn = np.pi / 2 + SOCKET_M / RADIUS_M * np.sin(angle)
    x = LENGTH_M / 2 + SOCKET_M * np.cos(angle)
    radius = RADIUS_M * (1 - 0.3 * x / LENGTH_M)
    up = 0.05 * np.sin(np.pi * x / LENGTH_M)
    return np.stack([x, radius * np.cos(turn), radius * np.sin(turn) + up], axis=-1)


def feet_on(mesh: Mesh, beam: Beam, at: np.ndarray, down: np.ndarray) -> tuple[Footing, ...]:
    """Return a saddle at every place on the measured lower surface of a scan."""
    under = underside_of(mesh, beam, down)
    return tuple(saddle_footing(under, float(x), PAD_M, math.pi / 4, 6e6) for x in at)


def still_s(mesh: Mesh) -> float:
    """Return the time of one still that the scan fills from side to side."""
    light = display_copy(mesh, STILL_FACES)
    frame = frame_of_look([0, 1, 0], [0, 0, 1])
    return timed(lambda: look_at(light, frame, mesh.middle, 1.05 * LENGTH_M, STILL_PX))[1]


def main() -> int:
    """Measure, print beside the rivals, and return 1 when a target is missed."""
    points, faces = scan()
    spent: dict[str, float] = {}
    shape, spent["state"] = timed(lambda: checked_shape(points, faces))
    volume, spent["volume"] = timed(lambda: solid_volume(shape))
    void, spent["void"] = timed(lambda: void_volume(shape.mesh, rim_picks(), socket_middle()))
    ends = shape.mesh.points[[120 * AROUND + 30, 860 * AROUND + 90]]
    length, spent["length"] = timed(lambda: surface_length(shape.mesh, ends))
    beam = beam_of(shape.mesh)
    at = (np.arange(PLACES) + 0.5) / PLACES * beam.length
    down = np.array([0, 0, -1.0])
    feet, spent["underside"] = timed(lambda: feet_on(shape.mesh, beam, at, down))
    candidates = Candidates(
        beam, at, Saddle(PAD_M, math.radians(45)), 30.0, down, volume.centre, 0.0, feet
    )
    layouts, spent["triples"] = timed(lambda: candidates.layouts(3))
    spent["still"] = still_s(shape.mesh)
    tried = math.comb(PLACES, 3)
    ratio = programmes_s(candidates, tried) / spent["triples"]
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    said = [f"{name} {value:.1f} s (target {TARGETS_S[name]:g})" for name, value in spent.items()]
    winding = exact_winding_s(shape) / spent["volume"]
    ways = networkx_ways_s(shape.mesh, 10) / spent["void"]
    sys.stdout.write(
        f"{len(faces)} faces: {'; '.join(said)}; {memory:.0f} MB (target {MOST_MB}). The exact "
        f"winding number takes {winding:.0f} times as long as the volume; networkx {ways:.1f} "
        f"times as long as the whole void for its ten ways alone; a linear programme for each of "
        f"{tried} triples {ratio:.0f} times as long (target {TARGET_TRIPLES:g}); {len(layouts.at)} "
        f"layouts hold. Volume {1e6 * volume.typical:.0f} mL, void {1e6 * void.typical:.2f} mL, "
        f"length {1e3 * length.length:.0f} mm\n"
    )
    missed = any(value > TARGETS_S[name] for name, value in spent.items())
    return int(missed or ratio < TARGET_TRIPLES or memory > MOST_MB)


if __name__ == "__main__":
    raise SystemExit(main())
