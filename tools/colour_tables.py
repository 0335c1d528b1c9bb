"""Make the tables of observers, lamps, rendering samples and the 24-patch chart.

    python tools/colour_tables.py

The library (colour-science, a development tool only) carries the tables of the CIE as numbers. Lamp
A is made from its formula instead, since the printed table is rounded. Nothing else is changed.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import io
import warnings
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

with warnings.catch_warnings():
    # The library says on import that it cannot draw; nothing is drawn here.
    warnings.simplefilter("ignore")
    import colour

TABLES = Path(__file__).resolve().parents[1] / "src" / "softmend" / "tables"
LAMPS = (
    "A", "C", "D50", "D55", "D65", "D75", *(f"FL{number}" for number in range(1, 13)),
    "HP1", "LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-RGB1", "LED-V1",
    "LED-V2",
)  # fmt: skip
OBSERVERS = ("CIE 1931 2 Degree Standard Observer", "CIE 1964 10 Degree Standard Observer")
CHARTS = {
    "after 2014": "ColorChecker24 - After November 2014",
    "before 2014": "ColorChecker24 - Before November 2014",
}
RENDERED = tuple(f"TCS{number:02d}" for number in range(1, 9))
DAYLIGHT = ("S0", "S1", "S2")
FROM_LIBRARY = "as shipped by colour-science 0.4.7"


def lamp_a(wavelengths: np.ndarray) -> np.ndarray:
    """Return lamp A by its formula, 100 at 560 nm."""
    ratio = 1.435e7 / 2848
    power = 100 * (560 / wavelengths) ** 5 * np.expm1(ratio / 560) / np.expm1(ratio / wavelengths)
    return np.asarray(power)


def lamp(name: str, wavelengths: np.ndarray) -> np.ndarray:
    """Return the power of a lamp; where the library has no value the nearest one is held."""
    if name == "A":
        return lamp_a(wavelengths)
    found = colour.SDS_ILLUMINANTS[name]
    return np.asarray(np.interp(wavelengths, found.wavelengths, found.values))


def write(name: str, header: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Write one table."""
    text = io.StringIO()
    lines = csv.writer(text, lineterminator="\n")
    lines.writerow(header)
    lines.writerows(rows)
    (TABLES / f"{name}.csv").write_text(text.getvalue(), encoding="utf-8")


def observers() -> None:
    """Write both observers at every nanometre from 360 to 780."""
    wavelengths = np.arange(360, 781)
    columns = [f"{axis}{degrees}" for degrees in ("2", "10") for axis in ("xbar", "ybar", "zbar")]
    sets = [colour.MSDS_CMFS[name].values[: wavelengths.size] for name in OBSERVERS]
    rows = [
        [at, *(f"{value:.12g}" for value in (*two, *ten)), "cie-15", FROM_LIBRARY, "library"]
        for at, two, ten in zip(wavelengths, *sets, strict=True)
    ]
    write("observers", ["wavelength_nm", *columns, "source", "where", "kind"], rows)


def lamps() -> None:
    """Write the lamps every 5 nm from 360 to 780."""
    wavelengths = np.arange(360, 781, 5)
    powers = [lamp(name, wavelengths.astype(float)) for name in LAMPS]
    where = f"{FROM_LIBRARY}; A by its formula; ends held where a lamp starts at 380"
    rows = [
        [at, *(f"{power[index]:.9g}" for power in powers), "cie-15", where, "library"]
        for index, at in enumerate(wavelengths)
    ]
    write("lamps", ["wavelength_nm", *LAMPS, "source", "where", "kind"], rows)


def rendering() -> None:
    """Write the eight samples of the rendering index and what daylight is made of, every 5 nm."""
    wavelengths = np.arange(360, 781, 5)
    samples = colour.quality.datasets.SDS_TCS["CIE 1995"]
    parts = colour.colorimetry.SDS_BASIS_FUNCTIONS_CIE_ILLUMINANT_D_SERIES
    columns = [*(samples[name] for name in RENDERED), *(parts[name] for name in DAYLIGHT)]
    known = [np.interp(wavelengths, one.wavelengths, one.values) for one in columns]
    rows = [
        [at, *(f"{values[index]:.9g}" for values in known), "cie-13-3", FROM_LIBRARY, "library"]
        for index, at in enumerate(wavelengths)
    ]
    header = ["wavelength_nm", *RENDERED, *DAYLIGHT, "source", "where", "kind"]
    write("colour_rendering", header, rows)


def chart() -> None:
    """Write the patches of the common 24-patch chart, CIELAB for D50 and the 2 degree observer."""
    rows = []
    for edition, name in CHARTS.items():
        found = colour.CCS_COLOURCHECKERS[name]
        for index, (patch, xyy) in enumerate(found.data.items()):
            lab = colour.XYZ_to_Lab(colour.xyY_to_XYZ(xyy), found.illuminant)
            place = [index // 6 + 1, index % 6 + 1]
            rows.append(
                [edition, *place, patch, *(f"{value:.4f}" for value in lab), "colour-science",
                 FROM_LIBRARY, "library"]
            )  # fmt: skip
    header = ["edition", "row", "column", "patch", "L", "a", "b", "source", "where", "kind"]
    write("colour_chart", header, rows)


if __name__ == "__main__":
    observers()
    lamps()
    rendering()
    chart()
