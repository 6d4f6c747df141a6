"""Uneven light over a photo, worked out from spots that are known to be alike.

log(seen) = shape(x, y) + colour of the spot's group. The shape is a quadratic surface; only differences inside a
group tell of it, so no group's own colour need be known. Few spots bend it little (a ridge), none leave it flat.
"""

from dataclasses import dataclass

import numpy as np

from batiksim.types import Floats, Ints

# Assumptions: how uneven light in a photo of cloth usually is (natural log, edge against middle), and how much its
# colour changes across it.
_SHAPE_SPREAD = np.array([0.3, 0.3, 0.2, 0.2, 0.2])
_TINT_SHARE = 0.1
# Spots of one kind should agree within 5 % once the light is evened; those that don't lose weight (Huber).
_ODD = 0.05
_COMMON = np.array([[1 / 3, 1 / 3, 1 / 3], [1.0, -1.0, 0.0], [0.0, -1.0, 1.0]])


@dataclass(frozen=True, eq=False, kw_only=True)
class LightField:
    """The shape of the light.

    terms : (5, 3) of x, y, x^2, xy, y^2 for the logs of linear red, green, blue
    middle, scale : what brings pixel places to about -1..1
    spots : how many spots it was worked out from (0: the light is taken as even)
    uneven : largest over smallest light at those spots, less one
    left : the same that is left once the light is evened (root mean square)
    """

    terms: Floats
    middle: Floats
    scale: float
    spots: int
    uneven: float
    left: float

    def at(self, places: Floats) -> Floats:
        """How bright the light is at places (..., 2; x, y), for linear red, green, blue (..., 3); 1 is usual."""
        return np.asarray(np.exp(_basis((places - self.middle) / self.scale) @ self.terms))


def _basis(xy: Floats) -> Floats:
    x, y = xy[..., 0], xy[..., 1]
    return np.stack([x, y, x * x, x * y, y * y], axis=-1)


def light_field(places: Floats, seen: Floats, groups: Ints, *, noise: Floats) -> LightField:
    """The light over a photo.

    places : (n, 2) x, y in pixels; seen : (n, 3) linear light above 0; groups : (n,) which spots are alike
    noise : (n,) relative noise of each spot
    """
    middle = places.mean(axis=0) if len(places) else np.zeros(2)
    scale = max(float(np.abs(places - middle).max()), 1e-9) if len(places) else 1.0
    basis, logs = _basis((places - middle) / scale), np.log(np.maximum(seen, 1e-6))
    alike = np.array([np.sum(groups == group) for group in groups], dtype=np.int64)
    weight = np.where(alike > 1, 1.0 / np.maximum(noise, 1e-4) ** 2, 0.0)
    for _ in range(4):
        terms = _solve(basis, logs, groups, weight)
        off = np.abs(_within(logs - basis @ terms, groups, weight)).max(axis=1, initial=0.0)
        weight = np.where(alike > 1, np.minimum(1.0, _ODD / np.maximum(off, 1e-9)) / np.maximum(noise, 1e-4) ** 2, 0.0)
    used = int(np.sum(alike > 1))
    if not used:
        return LightField(terms=terms, middle=middle, scale=scale, spots=0, uneven=0.0, left=0.0)
    shape = (basis @ terms).mean(axis=1)[alike > 1]
    residual = _within(logs - basis @ terms, groups, weight)[alike > 1].mean(axis=1)
    left = float(np.sqrt(np.average(residual**2, weights=weight[alike > 1])))
    uneven = float(np.expm1(np.ptp(shape)))
    return LightField(terms=terms, middle=middle, scale=scale, spots=used, uneven=uneven, left=left)


def _within(values: Floats, groups: Ints, weight: Floats) -> Floats:
    """Values less their group's weighted mean."""
    result = np.zeros_like(values)
    for group in np.unique(groups):
        mine = groups == group
        if weight[mine].sum() > 0:
            result[mine] = values[mine] - np.average(values[mine], axis=0, weights=weight[mine])
    return result


def _solve(basis: Floats, logs: Floats, groups: Ints, weight: Floats) -> Floats:
    """The surface of brightness, and the smaller ones of its tint, each by ridge regression."""
    inner_basis, inner_logs = _within(basis, groups, weight), _within(logs, groups, weight)
    square = inner_basis.T @ (weight[:, None] * inner_basis)
    mixed = np.empty((5, 3))
    for column, combination in enumerate(_COMMON):
        spread = _SHAPE_SPREAD * (1.0 if column == 0 else _TINT_SHARE)
        right = inner_basis.T @ (weight * (inner_logs @ combination))
        mixed[:, column] = np.linalg.solve(square + np.diag(1.0 / spread**2), right)
    return np.asarray(mixed @ np.linalg.inv(_COMMON).T)
