"""A piece of an object as the renderer takes it: a net of corners with colour and gloss."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tools.demo.camera import Array
from tools.demo.grain import Grain, between


@dataclass(frozen=True)
class Piece:
    """Corners [mm] (rows, columns, 3); colour by day and glow under ultraviolet, linear RGB."""

    points_mm: Array
    colour: Array
    glow: Array
    roughness: Array


def face_points(
    edge_mm: Array, inward_mm: Array, rough: Grain, turns: Array, rings: int
) -> tuple[Array, Array, Array]:
    """Return the points of a broken face from its edge to its middle, their shares and bumps.

    `turns` are the turns of the edge's points about the middle, 0 to 1.
    """
    share = np.linspace(0, 1, rings)[:, None]
    middle = edge_mm.mean(axis=0)
    points = between(edge_mm[None], middle, share[..., None])
    away = np.linalg.norm(points - middle, axis=-1)
    turn = 2 * np.pi * np.broadcast_to(turns, away.shape)
    bumps = rough.at(40 + away * np.cos(turn), 40 + away * np.sin(turn))
    risen = np.clip(share * 6, 0, 1) * (1.6 * np.clip(bumps, -0.6, None) + 1.2)
    return points + risen[..., None] * inward_mm, share, bumps


def broken_face(edge_mm: Array, inward_mm: Array, rough: Grain, piece: Piece) -> Piece:
    """Return the uneven face that closes an open end, from its edge to its middle.

    `edge_mm` is the closed ring of the end, `inward_mm` the way into the object, and `piece` one
    row of the surface with the colours at the edge; the face is paler and porous in the middle.
    """
    points, share, bumps = face_points(
        edge_mm, inward_mm, rough, np.linspace(0, 1, len(edge_mm)), 90
    )
    pores = np.clip((bumps - 0.3) * 1.5, 0, 1) * np.clip(share * 2 - 0.3, 0, 1)
    tone = between(0.75, 1.25, np.clip(share * 3, 0, 1)) * (1 - 0.7 * pores)
    grown = (len(share), *piece.roughness.shape)
    return Piece(
        points,
        np.broadcast_to(piece.colour, (*grown, 3)) * tone[..., None],
        np.broadcast_to(piece.glow, (*grown, 3)) * tone[..., None],
        np.full(grown, 0.85),
    )
