"""Cracks suggested by a small network that learned from drawn cracks only; for a person to judge.

The picture goes through in tiles that overlap, each levelled as the network learned it. What comes
out is a chance for each pixel; two thresholds and thinning make lines of it, as for the other way.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.science.photo.light import Plane
from softmend.science.photo.ridge import Response
from softmend.science.photo.suggest import MOST_PIECES, Suggestion, judged
from softmend.science.photo.thinned import Mask, pieces

TILE_PX, EDGE_PX = 512, 32
"""Side of a tile, and how much of its edge is not believed."""

BOX_PX, SPREAD_PX = 31, 101
"""Sides of the boxes that level the light and the contrast, as the network learned it."""

STRICTEST, EASIEST = 0.98, 0.05
"""The chance that is asked for at sensitivity 0 and at 100; a line goes on down to half of it."""

Predict = Callable[[NDArray[np.float32]], NDArray[np.float32]]


def predictor(model: bytes) -> Predict:
    """Return what turns levelled tiles, shape (n, 1, h, w), into chances of the same shape.

    Parameters
    ----------
    model : bytes, the network in the open exchange format, ONNX [bytes]

    Returns
    -------
    function, tiles to chances, both of shape (n, 1, h, w) [1]

    Raises
    ------
    InputError
        When the package that runs networks is not installed.

    Source: own network, trained on drawn cracks (tools/suggest_network).
    Checked against: tests/science/photo/test_network.py.

    Example
    -------
    >>> from softmend.tables.suggest_network import suggest_network
    >>> predictor(suggest_network())(np.zeros((1, 1, 32, 48), dtype=np.float32)).shape
    (1, 1, 32, 48)
    """
    try:
        import onnxruntime
    except ImportError as missing:
        raise InputError(
            "The network cannot run here",
            value="onnxruntime is not installed",
            allowed="the classical way, which needs nothing more",
            remedy="install Softmend with its extra “suggest”",
        ) from missing
    onnxruntime.set_default_logger_severity(3)
    session = onnxruntime.InferenceSession(model, providers=["CPUExecutionProvider"])

    def predict(tiles: NDArray[np.float32]) -> NDArray[np.float32]:
        chance: Any = session.run(None, {"picture": tiles})[0]
        return np.asarray(chance, dtype=np.float32)

    return predict


def chances(grey: Plane, where: Mask, predict: Predict) -> Response:
    """Return the chance of a crack at each place, 255 for certain, 0 where nobody looks.

    Parameters
    ----------
    grey : numpy array, brightness as coded, shape (h, w), 0 to 255 [1]
    where : numpy array, where to look, shape (h, w)
    predict : function, levelled tiles to chances, from `predictor`

    Returns
    -------
    numpy array, shape (h, w), 0 to 255 [1]

    Source: softmend-imaging (512 px tiles, 32 px of overlap, brightness less the mean of a 31 px
    box, over its spread); the spread is taken half within 101 px and half over the picture.
    Checked against: tests/science/photo/test_network.py.

    Example
    -------
    >>> sheet = np.full((100, 120), 90, dtype=np.float32)
    >>> looked = chances(sheet, sheet > 0, lambda tiles: np.full_like(tiles, 0.5))
    >>> looked.shape, int(looked[50, 60])
    ((100, 120), 128)
    """
    import cv2

    rows, columns = grey.shape
    level = _levelled(grey, where)
    inner = TILE_PX - 2 * EDGE_PX
    below, right = -rows % inner + EDGE_PX, -columns % inner + EDGE_PX
    framed = cv2.copyMakeBorder(level, EDGE_PX, below, EDGE_PX, right, cv2.BORDER_REFLECT)
    out = np.zeros(grey.shape, dtype=np.uint8)
    for top in range(0, rows, inner):
        for left in range(0, columns, inner):
            place = (slice(top, top + inner), slice(left, left + inner))
            if not where[place].any():
                continue
            tile = framed[top : top + TILE_PX, left : left + TILE_PX]
            chance = predict(tile[None, None].astype(np.float32))[0, 0]
            middle = chance[EDGE_PX:-EDGE_PX, EDGE_PX:-EDGE_PX]
            part = out[place]
            part[:] = np.round(255 * middle[: part.shape[0], : part.shape[1]])
    out[~where] = 0
    return out


def _levelled(grey: Plane, where: Mask) -> Plane:
    """Return brightness less the mean around it, in units of its spread, half here, half whole.

    A dark ground behind the object would else make every crack look faint.
    """
    import cv2

    less = grey - cv2.blur(grey, (BOX_PX, BOX_PX))
    spread = np.sqrt(np.maximum(cv2.blur(less * less, (SPREAD_PX, SPREAD_PX)), 0))
    whole = float(np.median(spread[where])) if where.any() else 1.0
    return np.asarray(less / (0.5 * spread + 0.5 * whole + 1e-3), dtype=np.float32)


def suggested_by_network(
    grey: Plane,
    chance: Response,
    sensitivity: float = 50.0,
    least_px: float = 40.0,
    *,
    even_lines: bool = False,
) -> tuple[list[Suggestion], int]:
    """Return suggested cracks, the longest and surest first, and how many more there would be.

    Parameters
    ----------
    grey : numpy array, brightness as coded, shape (h, w) [1]
    chance : numpy array, chance of a crack, shape (h, w), 0 to 255 [1]
    sensitivity : float, 0 for the strictest to 100 [1]
    least_px : float, how far a crack must reach [px], 8 to 10 000
    even_lines : bool, suggest ruled and smoothly drawn lines as well

    Returns
    -------
    tuple, list of Suggestion [px], its level 25.5 for certain [1], and the count left out [1]

    Raises
    ------
    InputError
        When sensitivity or reach is out of range.

    Source: canny1986 (two thresholds).
    Checked against: tests/science/photo/test_network.py.

    Example
    -------
    >>> sure = np.zeros((60, 200), dtype=np.uint8)
    >>> sure[30:33, 10:190] = 230
    >>> sheet = np.where(sure > 0, 60, 150).astype(np.float32)
    >>> found, more = suggested_by_network(sheet, sure, even_lines=True)
    >>> len(found), more, found[0].length_px > 160
    (1, 0, True)
    """
    if not 0 <= sensitivity <= 100:
        raise InputError("The sensitivity is out of range", value=sensitivity, allowed="0 to 100")
    if not 8 <= least_px <= 10_000:
        raise InputError("The reach is out of range", value=least_px, allowed="8 to 10 000 px")
    asked = STRICTEST + (EASIEST - STRICTEST) * sensitivity / 100
    high = max(round(255 * asked), 2)
    found, more = pieces(chance, max(high // 2, 1), high, least_px, MOST_PIECES)
    return judged(grey, found, least_px, even_lines=even_lines), more
