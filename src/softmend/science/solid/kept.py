"""A checked scan, a beam and its underside as plain named arrays, kept and taken up again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.science.solid.beam import Beam
from softmend.science.solid.check import Rim, Role, Shape, Shell, State
from softmend.science.solid.mesh import Mesh, Tidied
from softmend.science.solid.section import Section
from softmend.science.solid.underside import Underside

Named = dict[str, NDArray[Any]]
_VERSION = 1
_BEAM = ("at", "points", "along", "bend", "shares")
_UNDER = ("at", "origins", "ways", "sides", "across", "depth", "is_open", "is_other", "run")


def shape_as_arrays(shape: Shape) -> Named:
    """Return a checked scan as named arrays.

    Parameters
    ----------
    shape : Shape [any length]

    Returns
    -------
    dict of arrays [same length]

    Raises
    ------
    Nothing.

    Source: own; nothing is computed.
    Checked against: tests/science/solid/test_kept.py.

    Example
    -------
    >>> from softmend.science.solid.check import checked_shape
    >>> faces = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]
    >>> kept = shape_as_arrays(checked_shape([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], faces))
    >>> kept["points"].shape, kept["states"].tolist()
    ((4, 3), ['closed, every face the same way'])
    """
    tidied = shape.tidied
    counts = (
        _VERSION, shape.reversed_faces, shape.is_inside_out, shape.branched_edges,
        shape.clashing_edges, tidied.merged_corners, tidied.flat_faces, tidied.repeated_faces,
    )  # fmt: skip
    return {
        "counts": np.array(counts, dtype=np.int64),
        "states": np.array([str(state) for state in shape.states], dtype=np.str_),
        **_mesh_as(shape.mesh, ""),
        **_mesh_as(shape.as_it_came, "came_"),
        "rim_kinds": np.array([str(rim.kind) for rim in shape.rims], dtype=np.str_),
        "rims": np.array(
            [[r.edges, r.length, r.across, *r.centre, r.cap_area, *r.normal] for r in shape.rims],
            dtype=np.float64,
        ).reshape(-1, 10),
        "shell_roles": np.array([str(shell.role) for shell in shape.shells], dtype=np.str_),
        "shells": np.array(
            [[one.faces, one.area, one.volume, *one.centre] for one in shape.shells],
            dtype=np.float64,
        ).reshape(-1, 6),
    }


def shape_from_arrays(kept: Mapping[str, NDArray[Any]]) -> Shape:
    """Return a checked scan from the arrays that it was kept as.

    Parameters
    ----------
    kept : mapping of arrays, as shape_as_arrays gave them [any length]

    Returns
    -------
    Shape [same length]

    Raises
    ------
    InputError
        When the arrays are of another version.

    Source: own; nothing is computed.
    Checked against: tests/science/solid/test_kept.py.

    Example
    -------
    >>> from softmend.science.solid.check import checked_shape
    >>> faces = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]
    >>> shape = checked_shape([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], faces)
    >>> shape_from_arrays(shape_as_arrays(shape)).states == shape.states
    True
    """
    version, reversed_, inside_out, branched, clashing, merged, flat, repeated = (
        int(one) for one in kept["counts"]
    )
    _of_this_version(version, "This scan was kept by another version", "read its original again")
    mesh = _mesh_from(kept, "")
    came = _mesh_from(kept, "came_")
    rims = tuple(
        Rim(State(str(kind)), int(r[0]), float(r[1]), float(r[2]), r[3:6], float(r[6]), r[7:])
        for kind, r in zip(kept["rim_kinds"], kept["rims"], strict=True)
    )
    shells = tuple(
        Shell(Role(str(role)), int(s[0]), float(s[1]), float(s[2]), s[3:])
        for role, s in zip(kept["shell_roles"], kept["shells"], strict=True)
    )
    states = tuple(State(str(one)) for one in kept["states"])
    return Shape(
        mesh, came, Tidied(came, merged, flat, repeated), rims, shells, reversed_,
        bool(inside_out), branched, clashing, states,
    )  # fmt: skip


def beam_as_arrays(beam: Beam) -> Named:
    """Return a beam with its sections as named arrays.

    Parameters
    ----------
    beam : Beam [m]

    Returns
    -------
    dict of arrays [m]

    Raises
    ------
    Nothing.

    Source: own; nothing is computed.
    Checked against: tests/science/solid/test_kept.py.

    Example
    -------
    >>> at, zero = np.array([0.5]), np.zeros((1, 3))
    >>> beam = Beam(at, 1.0, zero, zero, zero, (), np.ones(1), ("it is round",))
    >>> beam_as_arrays(beam)["reasons"].tolist()
    ['it is round']
    """
    sections = beam.sections
    return {
        "version": np.array([_VERSION]),
        "length": np.array([beam.length]),
        "reasons": np.array(beam.reasons, dtype=np.str_),
        **{name: np.asarray(getattr(beam, name)) for name in _BEAM},
        "origins": np.array([one.origin for one in sections], dtype=np.float64).reshape(-1, 3),
        "frames": np.array([one.frame for one in sections], dtype=np.float64).reshape(-1, 3, 3),
        "told": np.array(
            [[one.is_closed, one.others, len(one.outer), len(one.holes)] for one in sections],
            dtype=np.int64,
        ).reshape(-1, 4),
        "outer": _together([one.outer for one in sections]),
        "holes": _together([one.holes for one in sections]),
    }


def beam_from_arrays(kept: Mapping[str, NDArray[Any]]) -> Beam:
    """Return a beam from the arrays that it was kept as.

    Parameters
    ----------
    kept : mapping of arrays, as beam_as_arrays gave them [m]

    Returns
    -------
    Beam [m]

    Raises
    ------
    InputError
        When the arrays are of another version.

    Source: own; nothing is computed.
    Checked against: tests/science/solid/test_kept.py.

    Example
    -------
    >>> at, zero = np.array([0.5]), np.zeros((1, 3))
    >>> beam = Beam(at, 1.0, zero, zero, zero, (), np.ones(1), ("it is round",))
    >>> beam_from_arrays(beam_as_arrays(beam)).reasons
    ('it is round',)
    """
    _of_this_version(
        int(kept["version"][0]), "This beam was kept by another version", "compute it again"
    )
    told = kept["told"]
    outer = np.split(kept["outer"], np.cumsum(told[:, 2])[:-1])
    holes = np.split(kept["holes"], np.cumsum(told[:, 3])[:-1])
    sections = tuple(
        Section(kept["origins"][k], kept["frames"][k], outer[k], holes[k],
                bool(told[k, 0]), int(told[k, 1]))
        for k in range(len(told))
    )  # fmt: skip
    at, points, along, bend, shares = (kept[name] for name in _BEAM)
    reasons = tuple(str(one) for one in kept["reasons"])
    return Beam(at, float(kept["length"][0]), points, along, bend, sections, shares, reasons)


def undersides_as_arrays(undersides: tuple[Underside, ...]) -> Named:
    """Return the lower surfaces of an object as named arrays.

    Parameters
    ----------
    undersides : tuple of Underside, as the supports meet them [m], one or two

    Returns
    -------
    dict of arrays [m]

    Raises
    ------
    Nothing.

    Source: own; nothing is computed.
    Checked against: tests/science/solid/test_kept.py.

    Example
    -------
    >>> undersides_as_arrays(())["edges"].tolist()
    []
    """
    return {
        "edges": np.array([one.edge for one in undersides], dtype=np.float64),
        **{
            f"under_{k}_{name}": np.asarray(getattr(one, name))
            for k, one in enumerate(undersides)
            for name in _UNDER
        },
    }


def undersides_from_arrays(kept: Mapping[str, NDArray[Any]]) -> tuple[Underside, ...]:
    """Return the lower surfaces of an object from the arrays that they were kept as.

    Parameters
    ----------
    kept : mapping of arrays, as undersides_as_arrays gave them [m]

    Returns
    -------
    tuple of Underside [m]

    Raises
    ------
    InputError
        When the arrays hold none.

    Source: own; nothing is computed.
    Checked against: tests/science/solid/test_kept.py.

    Example
    -------
    >>> undersides_from_arrays(undersides_as_arrays(()))
    ()
    """
    if "edges" not in kept:
        raise InputError("No underside was kept with this beam", remedy="compute it again")
    return tuple(
        Underside(**{name: kept[f"under_{k}_{name}"] for name in _UNDER}, edge=float(edge))
        for k, edge in enumerate(kept["edges"])
    )


def _mesh_as(mesh: Mesh, name: str) -> Named:
    return {f"{name}points": mesh.points, f"{name}faces": mesh.faces.astype(np.int32)}


def _mesh_from(kept: Mapping[str, NDArray[Any]], name: str) -> Mesh:
    return Mesh(kept[f"{name}points"], kept[f"{name}faces"].astype(np.int64))


def _together(parts: list[NDArray[np.float64]]) -> NDArray[np.float64]:
    whole = [np.asarray(one, dtype=np.float64).reshape(-1, 2, 2) for one in parts]
    return np.concatenate(whole) if whole else np.zeros((0, 2, 2))


def _of_this_version(version: int, problem: str, remedy: str) -> None:
    """Refuse arrays that another version kept."""
    if version != _VERSION:
        raise InputError(problem, value=version, allowed=f"{_VERSION}", remedy=remedy)
