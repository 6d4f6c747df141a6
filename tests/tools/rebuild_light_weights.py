"""Builds `batiksim/data/light_weights.csv` from the tables that colour-science carries.

Run it with the path to write. `tests/colour/test_spectra.py` rebuilds the same text and compares it.
"""

from __future__ import annotations

import sys
from pathlib import Path

import colour
import numpy as np

GRID_NM = np.arange(400, 701, 10)
FINE_NM = np.arange(360, 831)
LIGHTS = {"D65": "D65", "D50": "D50", "A": "A", "LED": "LED-B3"}
HEADER = """\
# What a reflectance, sampled 400-700 nm by 10 nm, adds to X, Y and Z under four lights. Perfect white gives Y = 1.
# Observer: CIE 1931 2 degree (CIE 018:2019), 1 nm. Lights: CIE D65, D50 and A (CIE 015:2018), LED = CIE LED-B3, a white
# phosphor LED of about 4100 K (CIE 015:2018); all as carried by colour-science 0.4.7, 5 nm, linear between.
# Method: sums over 360-830 nm by 1 nm; between the samples the reflectance is a cubic through the nearest four (a
# quadratic at the ends), as in ASTM E2022; beyond 400 and 700 nm it keeps the end value, as in ASTM E308.
# Rebuilt and compared by tests/colour/test_spectra.py.
"""


def between_samples() -> np.ndarray:
    """(471, 31) what each sample adds to the reflectance at each fine wavelength."""
    basis = np.zeros((len(FINE_NM), len(GRID_NM)))
    for row, nm in enumerate(FINE_NM):
        if nm <= GRID_NM[0] or nm >= GRID_NM[-1]:
            basis[row, 0 if nm <= GRID_NM[0] else -1] = 1.0
            continue
        first = int(nm - GRID_NM[0]) // 10 - 1
        near = [i for i in range(first, first + 4) if 0 <= i < len(GRID_NM)]
        for i in near:
            others = GRID_NM[[m for m in near if m != i]]
            basis[row, i] = np.prod((nm - others) / (GRID_NM[i] - others))
    return basis


def weights(light: str) -> np.ndarray:
    """(31, 3) for one of `LIGHTS`."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    assert np.array_equal(observer.wavelengths, FINE_NM)
    lamp = colour.SDS_ILLUMINANTS[LIGHTS[light]]
    power = np.interp(FINE_NM, lamp.wavelengths, lamp.values, left=0.0, right=0.0)
    fine = observer.values * power[:, None]
    return between_samples().T @ (fine / fine[:, 1].sum())


def table() -> str:
    """The whole file."""
    names = [f"{light}_{axis}" for light in LIGHTS for axis in "XYZ"]
    columns = np.hstack([weights(light) for light in LIGHTS])
    rows = [f"{nm}," + ",".join(f"{value:.10f}" for value in row) for nm, row in zip(GRID_NM, columns, strict=True)]
    return HEADER + "\n".join([",".join(["nm", *names]), *rows]) + "\n"


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(table(), encoding="utf-8")
