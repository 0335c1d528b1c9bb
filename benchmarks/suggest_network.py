"""Suggested cracks by the network and by the classical way: F1 within 5 px on four drawn surfaces.

The network is used only where it is ahead: the mean over the kinds at the best single setting of
each way decides. Neither the surfaces nor the pen that cracked them were seen in training.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sys
import time

import cv2
import numpy as np
from drawn.crack_scenes import KINDS, scene
from numpy.typing import NDArray

from softmend.science.photo.network import chances, predictor, suggested_by_network
from softmend.science.photo.suggest import Suggestion, allowed, levels, suggestions
from softmend.tables.suggest_network import suggest_network

SEEDS, SETTINGS, WITHIN_PX = (1, 2, 3), (0, 20, 30, 35, 40, 50, 60, 80), 5
Counts = NDArray[np.float64]


def counted(found: list[Suggestion], true: NDArray[np.uint8]) -> Counts:
    """Return right and all pixels of the suggestion, met and all pixels of the truth."""
    drawn = np.zeros_like(true)
    for line in (line for one in found for line in one.lines_px):
        cv2.polylines(drawn, [np.floor(line).astype(np.int32).reshape(-1, 1, 2)], False, 1)
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * WITHIN_PX + 1,) * 2)
    right = (cv2.dilate(true, disc)[drawn > 0] > 0).sum()
    met = (cv2.dilate(drawn, disc)[true > 0] > 0).sum()
    return np.array([right, drawn.sum(), met, true.sum()], dtype=np.float64)


def f1(counts: Counts) -> float:
    """Return F1 from pooled counts."""
    right, said, met, true = np.maximum(counts, 1e-9)
    precision, recall = right / said, met / true
    return float(2 * precision * recall / (precision + recall))


def scored() -> dict[str, dict[int, list[float]]]:
    """Return F1 by way, setting and kind."""
    predict = predictor(suggest_network())
    kept: dict[tuple[str, int, str], Counts] = {}
    for kind in KINDS:
        for seed in SEEDS:
            grey, truth = scene(kind, seed)
            where = allowed(grey)
            true = truth * where.astype(np.uint8)
            level, chance = levels(grey, where), chances(grey, where, predict)
            for setting in SETTINGS:
                ways = {
                    "classical": suggestions(grey, level, setting)[0],
                    "network": suggested_by_network(grey, chance, setting)[0],
                }
                for way, found in ways.items():
                    place = (way, setting, kind)
                    kept[place] = kept.get(place, np.zeros(4)) + counted(found, true)
    return {
        way: {one: [f1(kept[way, one, kind]) for kind in KINDS] for one in SETTINGS}
        for way in ("classical", "network")
    }


def main() -> int:
    """Print both at their best single setting, and the time of the network; 1 when it is behind."""
    means = []
    for way, settings in scored().items():
        setting, kinds = max(settings.items(), key=lambda one: float(np.mean(one[1])))
        told = ", ".join(f"{kind} {score:.2f}" for kind, score in zip(KINDS, kinds, strict=True))
        means.append(float(np.mean(kinds)))
        sys.stdout.write(f"{way}, sensitivity {setting}: {told}; mean {means[-1]:.2f}\n")
    grey, _ = scene("road", 9)
    predict, began = predictor(suggest_network()), time.process_time()
    chances(grey, np.ones(grey.shape, dtype=bool), predict)
    per = (time.process_time() - began) / (grey.size / 1e6)
    sys.stdout.write(f"the network takes {per:.2f} s of processor time a megapixel\n")
    return int(means[1] <= means[0])


if __name__ == "__main__":
    raise SystemExit(main())
