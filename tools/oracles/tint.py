"""Films by their differential equation and bars by plain convolution: oracle of the tint science.

    python -m tools.oracles.tint

writes tests/checks/softmend-tint-oracle.csv; the tests work some cases live. Nothing of the package
goes in.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp
from scipy.signal import fftconvolve

OUT = Path(__file__).parents[2] / "tests" / "checks" / "softmend-tint-oracle.csv"
FILMS = [
    (0.1, 1, 1, 0.80), (1, 2, 0.5, 0.80), (0.5, 0.05, 1, 0.90), (2, 0.2, 0.3, 0.85),
    (0.02, 3, 1, 0.00), (0.02, 3, 1, 0.85), (0.001, 5, 2, 0.10), (0.5, 1, 4, 0.85),
    (0.0, 1.4, 1, 0.3), (0.5, 0.0, 1, 0.9), (1e-6, 1e-6, 1, 0.5), (8, 30, 0.06, 0.82),
]  # fmt: skip
# Spread [deg] and weight of the kernels of the 1996 paper.
LIGHTNESS = ((0.921, 0.0283), (0.105, 0.133), (-0.108, 4.336))
RED_GREEN = ((0.531, 0.0392), (0.330, 0.494))
YELLOW_BLUE = ((0.488, 0.0536), (0.371, 0.386))
BARS = [(1, 10, 1829), (0.5, 20, 1829), (2, 20, 1829), (1, 10, 250), (0.5, 5, 152.4)]


def film(k: float, s: float, x: float, ground: float) -> float:
    """Return the reflectance of a film by following it from its ground to its surface."""

    def growth(_: float, r: np.ndarray) -> np.ndarray:
        return s - 2 * (k + s) * r + s * r * r

    found = solve_ivp(growth, (0, x), [ground], method="DOP853", rtol=1e-12, atol=1e-13)
    return float(found.y[0, -1])


def kernel(
    parts: tuple[tuple[float, float], ...], reach: float, samples: float
) -> list[tuple[float, np.ndarray]]:
    """Return each Gaussian of a kernel along one axis, with its weight in the first."""
    at = np.arange(-round(reach * samples), round(reach * samples) + 1) / samples
    total = sum(weight for weight, _ in parts)
    lines = []
    for weight, spread in parts:
        line = np.exp(-((at / spread) ** 2))
        lines.append((weight / total, line / (spread * np.sqrt(np.pi) * samples)))
    return lines


def bar(
    width: float, length: float, distance: float, parts: tuple[tuple[float, float], ...]
) -> float:
    """Return what is left at the middle of a bar, by convolving samples along both axes."""
    left = 0.0
    wide, long = (2 * np.degrees(np.arctan(size / (2 * distance))) for size in (width, length))
    samples = 4001 / max(wide, 1e-9) if wide < 0.5 else 6000
    for weight, line in kernel(parts, 6 * max(wide, long), samples):
        half = line.size // 2
        at = np.arange(-half, half + 1) / samples
        across = [
            float(fftconvolve(covered(at, size, samples), line, mode="same")[half])
            for size in (wide, long)
        ]
        left += weight * across[0] * across[1]
    return left


def covered(at: np.ndarray, size: float, samples: float) -> np.ndarray:
    """Return the share of each sample that lies inside a bar."""
    return np.clip((size / 2 - np.abs(at)) * samples + 0.5, 0, 1)


def rows() -> list[list[object]]:
    """Return the rows of the check file."""
    found: list[list[object]] = []
    for number, (k, s, x, ground) in enumerate(FILMS):
        value = film(k, s, x, ground)
        found.append([f"film_{number}", f"K={k};S={s};X={x};Rg={ground}", f"{value:.10f}", 1e-8,
                      "recomputed", "adaptive Runge-Kutta of order 8"])  # fmt: skip
    for width, length, distance in BARS:
        for name, parts in zip("LRY", (LIGHTNESS, RED_GREEN, YELLOW_BLUE), strict=True):
            value = bar(width, length, distance, parts)
            found.append([f"bar_{width:g}_{length:g}_{distance:g}_{name}",
                          f"w={width} mm;l={length} mm;D={distance} mm", f"{value:.7f}", 1e-4,
                          "recomputed", "samples convolved along both axes"])  # fmt: skip
    return found


def main() -> None:
    """Write the file."""
    with OUT.open("w", encoding="utf-8", newline="") as file:
        lines = csv.writer(file, lineterminator="\n")
        lines.writerow(["name", "inputs", "expected", "tolerance", "kind", "where"])
        lines.writerows(rows())


if __name__ == "__main__":
    main()
