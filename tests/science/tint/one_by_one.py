"""The slow way to a recipe: one set of paints at a time, by scipy, on the same differences."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from scipy.optimize import least_squares, minimize

from softmend.science.tint.difference import colour_difference_ciede2000, metric_at
from softmend.science.tint.palette import Palette, Skin, skin_reflectance
from softmend.science.tint.recipe import Target, lab_by_lamp


def solved_alone(
    target: Target, palette: Palette, skin: Skin, chosen: tuple[int, ...], starts: int = 2
) -> float:
    """Return the largest difference over the lamps of the best mixture of one set of paints."""
    rows = [*chosen, palette.white] if palette.white is not None else list(chosen)
    metrics = np.array([metric_at(one) for one in target.labs])

    def labs(amounts: np.ndarray) -> np.ndarray:
        dense = np.zeros(palette.absorption.shape[0])
        dense[rows] = amounts
        return lab_by_lamp(skin_reflectance(palette, dense, skin), target.lamps)

    def off(amounts: np.ndarray) -> np.ndarray:
        return np.einsum("lij,lj->li", metrics, labs(amounts) - target.labs).ravel()

    best = np.inf, np.inf
    room = {"type": "ineq", "fun": lambda amounts: skin.most_share - amounts.sum()}
    for share in (0.02, 0.08)[:starts]:
        begun = np.full(len(rows), share / len(rows) * 2)
        found = least_squares(off, begun, bounds=(0, skin.most_share), xtol=1e-10, ftol=1e-12)
        if found.x.sum() > skin.most_share:
            found = minimize(lambda x: np.sum(off(x) ** 2) / 2, begun, constraints=room,
                             bounds=[(0, skin.most_share)] * len(rows), method="SLSQP",
                             options={"ftol": 1e-12, "maxiter": 300})  # fmt: skip
        worst = float(colour_difference_ciede2000(labs(found.x), target.labs).max())
        cost = float(np.sum(off(found.x) ** 2))
        best = min(best, (cost, worst))
    return best[1]
