"""Paints learnt from their own ladders alone, and their mixtures predicted: the candidates for a mixing law.

Everything is found by trying a grid of values, band by band: slower than a fit, but nothing to go astray. `curve` is
the scale on which ladders are matched: as reflectance, or as its cube root, which is near to how light it looks.
Arrays: paints (13), amounts (11), bands (31), mixtures (780). Amounts are in the unit of `wpsm`.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from batiksim.colour.kubelka_munk import ks_from_reflectance, reflectance_from_ks
from batiksim.values import BuildUp
from tests.outside.wpsm import Floats, Measured

Curve = Callable[[Floats], Floats]

K_GRID = np.geomspace(1e-4, 300, 200)
BENDS = {"linear": [1.0], "power": [*np.linspace(0.1, 1.2, 12)], "saturating": [*np.geomspace(0.01, 8, 15)]}
SCATTERING = np.geomspace(0.01, 8, 20)


def summed(data: Measured, *, surface: float) -> Floats:
    """K/S of both paints as measured alone, added (780, 31)."""
    first, second = (ks_from_reflectance(single, surface=surface) for single in data.singles)
    return reflectance_from_ks(first + second, surface=surface)


def built_up(data: Measured, law: str, *, surface: float, curve: Curve) -> tuple[Floats, Floats]:
    """Single-constant: K/S = paper + sum of load(amount) * a paint's own curve. Gives (780, 31) and bends (13,)."""
    paper = ks_from_reflectance(data.paper, surface=surface)
    loads = np.array([[BuildUp(law=law, bend=bend).load(x) for x in data.amounts] for bend in BENDS[law]])  # type: ignore[arg-type]
    found = np.empty((len(loads), *data.ladders[:, 0].shape))
    misses = np.empty((len(loads), len(data.ladders)))
    for at, load in enumerate(loads):
        shown = reflectance_from_ks(paper[:, None, None] + K_GRID[:, None] * load, surface=surface)
        found[at], misses[at] = _nearest(shown, data, curve)
    best, paints = misses.argmin(axis=0), np.arange(len(data.ladders))
    added = loads[best][:, :, None] * found[best, paints][:, None, :]
    return reflectance_from_ks(paper + _both(data, added), surface=surface), np.array(BENDS[law])[best]


def films(data: Measured, *, surface: float, pull: float, curve: Curve) -> tuple[Floats, Floats]:
    """Two-constant: a film of paint of some thickness over paper. Gives (780, 31) and scattering of one unit (13,).

    A paint scatters alike in all bands. Ladders of dark or opaque paints say little on it: `pull` draws it (in log)
    to the middle of all paints. Source: Kubelka & Munk 1931, layer over a ground.
    """
    ground = (data.paper - surface) / (1 - surface)
    found = np.empty((len(SCATTERING), *data.ladders[:, 0].shape))
    misses = np.empty((len(SCATTERING), len(data.ladders)))
    for at, s in enumerate(SCATTERING):
        inner = _film(K_GRID[:, None] * data.amounts, s * data.amounts, ground[:, None, None])
        found[at], misses[at] = _nearest(surface + (1 - surface) * inner, data, curve)
    log_s, paints = np.log(SCATTERING), np.arange(len(data.ladders))
    best = misses.argmin(axis=0)
    for _ in range(3):
        best = (misses + pull * (log_s[:, None] - log_s[best].mean()) ** 2).argmin(axis=0)
    absorbs = data.amounts[:, None] * found[best, paints][:, None, :]
    scatters = data.amounts[:, None] * SCATTERING[best][:, None, None]
    inner = _film(_both(data, absorbs), _both(data, scatters), ground)
    return surface + (1 - surface) * inner, SCATTERING[best]


def _film(k: Floats, s: Floats, ground: Floats) -> Floats:
    a = 1 + k / s
    b = np.sqrt(a * a - 1)
    turn = b / np.tanh(np.minimum(b * s, 300))
    return (1 - ground * (a - turn)) / (a - ground + turn)


def _nearest(shown: Floats, data: Measured, curve: Curve) -> tuple[Floats, Floats]:
    """The best of K_GRID for each paint and band (13, 31), and what it misses (13,). shown : (31, grid, 11)."""
    shown, ladders = curve(shown), curve(np.moveaxis(data.ladders, 1, 2))
    # sum of (shown - ladder)^2 over amounts, multiplied out
    miss = (shown**2).sum(-1) - 2 * np.einsum("bgx,pbx->pbg", shown, ladders) + (ladders**2).sum(-1)[..., None]
    return K_GRID[miss.argmin(axis=-1)], miss.min(axis=-1).sum(axis=-1)


def _both(data: Measured, of_paint: Floats) -> Floats:
    """Sum of a property (13, 11, 1 or 31) over the two paints of each mixture."""
    return of_paint[data.paints, data.steps].sum(axis=1)
