"""How much a void takes: a rim of picks snapped to the crease, three caps, level and part fills.

To stabilise the void, never to rebuild a missing end: the smooth cap is only for a hole in the
surface.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solid.cap import (
    OuterBand,
    below_plane,
    flat_cap,
    membrane,
    signed_volume,
    smooth_cap,
)
from softmend.science.solid.mesh import Faces, Flags, Mesh, joined
from softmend.science.solid.rim import crease_rim
from softmend.science.uncertain import Array

LEAK_SHARE = 0.9
HOLE_BELOW_DEG, END_ABOVE_DEG = 45.0, 65.0


class Mouth(StrEnum):
    """What the mouth of a void is."""

    HOLE = "a hole in the surface"
    END = "an open end"
    UNKNOWN = "not said"


@dataclass(frozen=True, eq=False)
class Void:
    """A void by its three caps [m3] and what was chosen; areas [m2], lengths [m].

    `level` is the fill that stands level with the lowest notch of the rim; `bonded` the area of
    the void's own surface. `low`, `typical` and `high` bound the chosen volume.
    """

    mouth: Mouth
    angle_deg: float
    fan: float
    membrane: float
    smooth: float | None
    low: float
    typical: float
    high: float
    level: float
    level_depth: float
    bonded: float
    mouth_area: float
    depth: float
    rim_length: float
    rim: Array
    patch: Mesh
    normal: Array
    centre: Array
    mean_edge: float

    @property
    def middle(self) -> Array:
        """Return the centroid of what fills the void to a flat cap [m]."""
        a, b, c = (self.patch.corners[:, k] - self.centre for k in (0, 2, 1))
        sizes = np.einsum("ij,ij->i", a, np.cross(b, c))
        return np.asarray(self.centre + (sizes @ (a + b + c)) / (4 * sizes.sum()))

    def filled_to(self, depth: float) -> tuple[float, float]:
        """Return the volume [m3] and the bonded area [m2] of a fill that ends below the rim."""
        apex = self.centre - self.normal * depth
        solid = np.concatenate([self.patch.corners[:, ::-1], flat_cap(self.rim, self.centre)])
        volume, _ = below_plane(solid, apex, self.normal)
        _, area = below_plane(self.patch.corners, apex, self.normal)
        return abs(volume), area


def void_volume(
    mesh: Mesh, rim_picks: ArrayLike, inside_pick: ArrayLike, mouth: Mouth = Mouth.UNKNOWN
) -> Void:
    """Return the volume of a void behind a picked rim, by three caps and a rule.

    Parameters
    ----------
    mesh : Mesh, the scan, faces running outward
    rim_picks : array-like (k, 3), picks near the rim in order [m], 3 to 60
    inside_pick : array-like (3,), a pick on the surface of the void [m]
    mouth : Mouth, what the person says it is

    Returns
    -------
    Void [m3]

    Raises
    ------
    InputError
        When the rim leaks, the pick lies outside, the bottom was not scanned, or it is a bump.

    Source: softmend-solids, section 5a; liepa2003 (caps of holes).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> from softmend.science.solid.mesh import tidied
    >>> cube = [[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]
    >>> sides = [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
    ...          [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]]
    >>> try:
    ...     void_volume(tidied(cube, sides).mesh, np.eye(3), [0.5, 0.5, 1.0])
    ... except InputError as refused:
    ...     print(refused.problem)
    What lies inside the rim stands out of the surface: a bump, not a void
    """
    rim = crease_rim(mesh, rim_picks)
    patch_flags = _flooded(mesh, rim, np.asarray(inside_pick, dtype=np.float64))
    patch = mesh.part(patch_flags)
    points = mesh.points[rim]
    centre = _middle(points)
    solid = patch.corners[:, ::-1]
    fan = signed_volume(solid, centre)
    if fan < 0:
        raise InputError(
            "What lies inside the rim stands out of the surface: a bump, not a void",
            value=f"{-1e9 * fan:.0f} mm3 above the rim",
            allowed="a pick inside the void",
            remedy="pick the surface of the void, on the inner side of the rim",
        )
    normal = _rim_normal(points, centre, patch)
    band = _outer_band(mesh, patch_flags, points, centre)
    facing = np.degrees(np.arccos(np.clip(mesh.normals[band] @ normal, -1, 1)))
    angle = float(_weighted_median(facing, mesh.areas[band])) if band.any() else float("nan")
    chosen = mouth if mouth is not Mouth.UNKNOWN else _by_angle(angle)
    stretched = fan + signed_volume(membrane(points, centre), centre)
    smooth = None
    if chosen is not Mouth.END and band.any():
        outer = OuterBand(mesh.centres[band], mesh.areas[band])
        cap = smooth_cap(points, centre, normal, outer)
        smooth = None if cap is None else fan + signed_volume(cap, centre)
    return _told(mesh, patch, points, centre, normal, chosen, angle, (fan, stretched, smooth))


def _told(
    mesh: Mesh, patch: Mesh, points: Array, centre: Array, normal: Array, mouth: Mouth,
    angle: float, volumes: tuple[float, float, float | None],
) -> Void:  # fmt: skip
    fan, stretched, smooth = volumes
    mouth_area = float(np.linalg.norm(_area_vector(points, centre)))
    # The rim is known to a quarter of an edge; fan and membrane share what the picks left open.
    off = max(abs(fan - stretched), 0.25 * mesh.mean_edge * mouth_area)
    low, typical, high = stretched - off, stretched, stretched + off
    if smooth is not None and mouth is Mouth.HOLE:
        low, typical, high = min(stretched, smooth) - off, smooth, max(stretched, smooth) + off
    elif smooth is not None:
        low, high = min(stretched, smooth) - off, max(stretched, smooth) + off
    heights = (points - centre) @ normal
    # A corner that noise throws off the rim is no notch: the middle of five neighbours counts.
    around = np.stack([np.roll(heights, k) for k in range(-2, 3)])
    notch = max(float(-np.median(around, axis=0).min()), 0.0)
    level, _ = below_plane(
        np.concatenate([patch.corners[:, ::-1], flat_cap(points, centre)]),
        centre - normal * notch, normal,
    )  # fmt: skip
    length = float(np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1).sum())
    return Void(
        mouth, angle, fan, stretched, smooth, max(low, 0.0), typical, high, abs(level), notch,
        patch.area, mouth_area, float(-((patch.points - centre) @ normal).min()), length,
        points, patch, normal, centre, mesh.mean_edge,
    )  # fmt: skip


def _by_angle(angle: float) -> Mouth:
    if angle <= HOLE_BELOW_DEG:
        return Mouth.HOLE
    return Mouth.END if angle >= END_ABOVE_DEG else Mouth.UNKNOWN


def _flooded(mesh: Mesh, rim: Faces, inside: Array) -> Flags:
    """Return the faces that a flood from the inner pick reaches without crossing the rim."""
    ends = np.sort(np.stack([rim, np.roll(rim, -1)], axis=1), axis=1)
    keys = mesh.edges.ends[:, 0] * len(mesh.points) + mesh.edges.ends[:, 1]
    rim_edges = np.searchsorted(keys, ends[:, 0] * len(mesh.points) + ends[:, 1])
    crossed = np.isin(mesh.edges.paired, rim_edges)
    groups = joined(len(mesh.faces), mesh.edges.pairs[~crossed])
    seed = int(mesh.nearest_points(inside[None])[1][0])
    flags = np.asarray(groups == groups[seed])
    both = mesh.edges.pairs[crossed]
    leaked = len(both) and bool(flags[both].all(axis=1).mean() > 0.02)
    touches = bool(flags[both].any()) if len(both) else False
    share = float(mesh.areas[flags].sum() / mesh.area)
    if leaked or not touches or share > LEAK_SHARE:
        raise InputError(
            "The rim does not close round a part of the surface",
            value=f"the flood from the inner pick reaches {100 * share:.0f} % of the scan",
            allowed="a closed rim, and a pick on the void's own surface",
            remedy="pick the rim again in order, 6 to 12 picks, closer where it is jagged",
        )
    _check_bottom(mesh, flags, rim)
    return flags


def _check_bottom(mesh: Mesh, flags: Flags, rim: Faces) -> None:
    half = np.stack([mesh.faces, np.roll(mesh.faces, -1, axis=1)], axis=-1)[flags].reshape(-1, 2)
    single = (mesh.edges.count[mesh.edges.of_half] == 1).reshape(-1, 3)[flags].reshape(-1)
    open_ends = half[single & ~np.isin(half, rim).all(axis=1)]
    if len(open_ends):
        where = mesh.points[open_ends.reshape(-1)].mean(axis=0)
        raise InputError(
            "The scanner did not see the bottom: there is a hole in the scan, not a void",
            value=f"{len(open_ends)} open edges near "
            + ", ".join(f"{1e3 * x:.0f}" for x in where)
            + " mm",
            allowed="a void whose whole surface was scanned",
            remedy="probe its depth at several points, or scan it again",
        )


def _middle(points: Array) -> Array:
    weight = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
    middles = (np.roll(points, -1, axis=0) + points) / 2
    return np.asarray(weight @ middles / weight.sum())


def _area_vector(points: Array, centre: Array) -> Array:
    spokes = points - centre
    return np.asarray(np.cross(spokes, np.roll(spokes, -1, axis=0)).sum(axis=0) / 2)


def _rim_normal(points: Array, centre: Array, patch: Mesh) -> Array:
    """Return the direction out of the void, square to the plane of the rim."""
    vector = _area_vector(points, centre)
    normal = vector / np.linalg.norm(vector)
    depth = float(patch.areas @ ((patch.centres - centre) @ normal))
    return np.asarray(-normal if depth > 0 else normal)


def _outer_band(mesh: Mesh, flags: Flags, points: Array, centre: Array) -> Flags:
    """Return the faces outside the rim within 0.6 rim radii of it that flow on from it."""
    from scipy.spatial import cKDTree

    radius = float(np.linalg.norm(points - centre, axis=1).mean())
    near = np.asarray(cKDTree(points).query(mesh.centres, distance_upper_bound=0.6 * radius)[0])
    band = np.isfinite(near) & ~flags
    pairs = mesh.edges.pairs
    groups = joined(len(mesh.faces), pairs[band[pairs].all(axis=1)])
    beside = pairs[flags[pairs].sum(axis=1) == 1]
    first = beside[~flags[beside]]
    return np.asarray(band & np.isin(groups, groups[first]))


def _weighted_median(values: Array, weights: Array) -> float:
    order = np.argsort(values)
    total = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(total, total[-1] / 2)])
