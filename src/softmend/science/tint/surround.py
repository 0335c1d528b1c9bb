"""What the surround itself shows round a fill: how its places differ, and its grain, as seen."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.tint.colorimetry import lab
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.tint.seen_picture import as_seen
from softmend.science.uncertain import Array

FINEST = 120.0
"""Pixels in one degree beyond which the eye's model gains nothing."""
LEAST_PLACES, LEAST_KNOWN, GAP_DEG = 4, 12, 0.2
MOST_TRIED = 400
_PIECES = (1.0, 0.5, 0.25, 0.125)

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Texture:
    """The surround's own variation as seen from one distance [CIEDE2000].

    `noise` is what places as large as the fill differ by, `grain` what is missed where such a place
    is painted flat in its own mean colour, `places` how many were compared. `piece` is the share of
    the fill's reach that a place has, 1 where its whole shape fits elsewhere in the picture;
    smaller ones differ by more, and `noise_least` bounds what those of the whole size differ by.
    """

    noise: float
    grain: float
    places: int
    piece: float
    noise_least: float


def surround_texture(
    picture: Array, fill: Mask, known: Mask, white: ArrayLike, samples: float
) -> Texture:
    """Return how the surround of a fill varies by itself, from the picture that the fill is in.

    Only what is known for surround counts. The slope and the curve of light over it are taken away
    first: they are the lamp's and the roundness's, and no texture.

    Parameters
    ----------
    picture : array, X, Y, Z, rows by columns by three [1]
    fill : array, True on the fill [1]
    known : array, True on the object's surface round it, and nowhere else [1]
    white : array, X, Y, Z of the lamp's white [1]
    samples : float, pixels of the picture in one degree [px], 1 or more

    Returns
    -------
    Texture, CIEDE2000 [1]

    Raises
    ------
    InputError
        When no fill is marked, or the picture holds too little surround to compare places.

    Source: softmend-colour, section 5.4; the curve of light and the pieces are our own.
    Checked against: tests/science/tint/test_surround.py.

    Example
    -------
    >>> fill = np.zeros((40, 60), dtype=bool)
    >>> fill[18:22, 20:40] = True
    >>> found = surround_texture(np.full((40, 60, 3), 40.0), fill, ~fill, np.full(3, 100.0), 60)
    >>> round(found.noise, 9), round(found.grain, 9), found.piece
    (0.0, 0.0, 1.0)
    """
    if not np.any(fill):
        raise InputError("The outline marks no fill in the picture", remedy="Draw it again")
    known = known & ~fill
    if known.sum() < LEAST_KNOWN:
        raise InputError(
            "Nothing of the surround is in the picture", remedy="Use a larger part of the object"
        )
    for piece in _PIECES:
        shape = _piece(fill, piece)
        valid = _places(known, shape)
        if _apart(valid, shape).shape[0] >= LEAST_PLACES:
            # Only now is anything seen through: most of what is refused never comes so far.
            even = _even(picture, known)
            seen = as_seen(even, samples)
            noise = _rms(_means(seen, valid, shape), white)
            # Were the pieces of a place independent, their mean would differ by this much less.
            least = noise * float(np.sqrt(min(1.0, shape.sum() / fill.sum())))
            # Each place is painted far enough from the next that the eye blurs no two into one.
            apart = _apart(valid, shape, GAP_DEG * samples)
            grain = _missed(even, seen, shape, apart, white, samples)
            return Texture(noise, grain, int(valid.shape[0]), piece, least)
    raise InputError(
        "Too little of the surround is in the picture",
        value=f"{picture.shape[1]} x {picture.shape[0]} px, {int(known.sum())} of them surround",
        allowed=f"{LEAST_PLACES} places as large as a piece of the fill",
        remedy="Use a larger part of the object, or take the surround for even",
    )


def coarser(picture: Array, times: int) -> Array:
    """Return a picture in which each pixel is the mean of so many by so many.

    Parameters
    ----------
    picture : array, rows by columns, or by three [1]
    times : int, pixels along each side that become one [px], 1 or more

    Returns
    -------
    array, smaller by that many times each way [1]

    Source: common practice, mean of blocks.
    Checked against: tests/science/tint/test_surround.py.

    Example
    -------
    >>> coarser(np.arange(8.0).reshape(2, 4), 2).tolist()
    [[2.5, 4.5]]
    """
    rows, columns = (max(1, side // times) for side in picture.shape[:2])
    used = picture[: rows * times, : columns * times]
    down, across = used.shape[0] // rows, used.shape[1] // columns
    # Whole rows are added up first: that is several times as quick as block by block.
    strips = np.ascontiguousarray(used).reshape(rows, down, -1).sum(axis=1)
    blocks = strips.reshape(rows, columns, across, -1).sum(axis=2) / (down * across)
    return np.asarray(blocks.reshape(rows, columns, *picture.shape[2:]))


def round_a_fill(fill: Mask, reach: float) -> Mask:
    """Return the ring of pixels that lie no further than so far beyond a fill.

    Parameters
    ----------
    fill : array, True on the fill [1]
    reach : float, beyond its edge [px], 0 or more

    Returns
    -------
    array of bool, True on the ring, not on the fill [1]

    Source: common practice, distance transform.
    Checked against: tests/science/tint/test_surround.py.

    Example
    -------
    >>> fill = np.zeros((5, 5), dtype=bool)
    >>> fill[2, 2] = True
    >>> int(round_a_fill(fill, 1.0).sum())
    4
    """
    from scipy.ndimage import distance_transform_edt

    far = np.asarray(distance_transform_edt(~fill))
    return np.asarray((far > 0) & (far <= reach))


def _even(picture: Array, known: Mask) -> Array:
    """Return a picture without slope and curve of light, its mean standing where it is unknown."""
    rows, columns = picture.shape[:2]
    y, x = np.meshgrid(np.linspace(-1, 1, rows), np.linspace(-1, 1, columns), indexing="ij")
    terms = np.stack([np.ones_like(x), y, x, y * y, x * y, x * x], axis=-1)
    at = terms[known]
    light = np.linalg.lstsq(at.T @ at, at.T @ picture[known], rcond=None)[0]
    level = picture[known].mean(axis=0)
    share = np.maximum(terms @ light / np.maximum(level, 1e-9), 0.05)
    flat = np.where(known[..., None], picture / share, level)
    return np.asarray(np.where(known[..., None], flat, flat[known].mean(axis=0)))


def _piece(fill: Mask, share: float) -> Mask:
    """Return the fill in its own box, or of a long one only so much round its middle."""
    down, across = np.nonzero(fill)
    shape = fill[down.min() : down.max() + 1, across.min() : across.max() + 1]
    if share == 1.0:
        return shape
    reach = share * max(shape.shape) / 2
    rows, columns = np.nonzero(shape)
    middle = np.argmin((rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2)
    near = (np.abs(rows - rows[middle]) <= reach) & (np.abs(columns - columns[middle]) <= reach)
    made = np.zeros(shape.shape, dtype=bool)
    made[rows[near], columns[near]] = True
    return _piece(made, 1.0)


def _places(known: Mask, shape: Mask) -> NDArray[np.int_]:
    """Return where a shape fits wholly on known ground: its first row and column."""
    if any(n < m for n, m in zip(known.shape, shape.shape, strict=True)):
        return np.zeros((0, 2), dtype=int)
    step = np.array([max(1, side // 4) for side in shape.shape])
    fits = _summed(known.astype(float), shape)[:: step[0], :: step[1]] > shape.sum() - 0.5
    return np.asarray(np.argwhere(fits) * step)


def _means(seen: Array, at: NDArray[np.int_], shape: Mask) -> Array:
    """Return the mean X, Y, Z over a shape at each of its places."""
    sums = [_summed(seen[..., axis], shape)[at[:, 0], at[:, 1]] for axis in range(3)]
    return np.stack(sums, axis=1) / float(shape.sum())


def _summed(values: Array, shape: Mask) -> Array:
    """Return the sum over a shape wherever it fits into the picture."""
    from scipy.fft import irfft2, next_fast_len, rfft2

    size = [next_fast_len(side, real=True) for side in values.shape]
    turned = rfft2(shape[::-1, ::-1].astype(float), s=size)
    whole = irfft2(rfft2(values, s=size) * turned, s=size)
    return np.asarray(whole[shape.shape[0] - 1 : values.shape[0],
                            shape.shape[1] - 1 : values.shape[1]])  # fmt: skip


def _apart(at: NDArray[np.int_], shape: Mask, gap: float = 0.0) -> NDArray[np.int_]:
    """Return some of the places, none of them over another or nearer to it than a gap."""
    size = np.array(shape.shape) + gap
    kept = at[:1]
    for place in at[:: max(1, at.shape[0] // MOST_TRIED)]:
        if np.all(np.any(np.abs(kept - place) >= size, axis=1)):
            kept = np.vstack([kept, place])
    return kept


def _missed(
    even: Array, seen: Array, shape: Mask, at: NDArray[np.int_], white: ArrayLike, samples: float
) -> float:
    """Return how much a place changes, as seen, when it is painted flat in its own mean colour."""
    # A place at the edge must not be carried on beyond it: the edge is, before it is painted.
    pad = int(GAP_DEG * samples) + 1
    flat = np.pad(even, ((pad, pad), (pad, pad), (0, 0)), mode="edge")
    painted = np.zeros(even.shape[:2], dtype=bool)
    for row, column in at:
        inside = np.zeros_like(painted)
        inside[row : row + shape.shape[0], column : column + shape.shape[1]] = shape
        flat[pad:-pad, pad:-pad][inside] = even[inside].mean(axis=0)
        painted |= inside
    left = as_seen(flat, samples)[pad:-pad, pad:-pad][painted]
    left = lab(np.maximum(left, 0), white)
    off = colour_difference_ciede2000(left, lab(np.maximum(seen[painted], 0), white))
    return float(np.sqrt(np.mean(off**2)))


def _rms(xyz: Array, white: ArrayLike) -> float:
    middle = lab(xyz.mean(axis=0), white)
    off = colour_difference_ciede2000(lab(np.maximum(xyz, 0), white), middle)
    return float(np.sqrt(np.mean(off**2)))
