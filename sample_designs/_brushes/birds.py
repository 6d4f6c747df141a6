"""Birds drawn in filled wax, with the gaps between wing, body and feathers left bare."""

from __future__ import annotations

import math

import numpy as np

from _brushes.cloths import Sheet, brush, dot
from _brushes.paths import Points, bow, curve, profile

BODY = (
    (147, -17), (130, -27), (117, -29), (104, -23), (72, -15), (42, -19), (-8, -16), (-58, -5), (-112, 0),
    (-104, 9), (-72, 14), (-22, 24), (30, 19), (60, 3), (92, -9), (114, -13), (132, -13),
)  # fmt: skip
FRONT = ((32, -10), (34, -52), (20, -104), (-18, -150), (-72, -186))
NOTCHES = ((-62, -160), (-58, -136), (-50, -113), (-45, -91), (-40, -69), (-36, -47), (-30, -26))
TIPS = ((-98, -176), (-92, -150), (-82, -125), (-75, -102), (-69, -79), (-63, -56), (-55, -33))
ROOT = ((-34, -8), (0, 0))


def goose(sheet: Sheet, rng: np.random.Generator, place: tuple[float, float], size: float, beat: float) -> None:
    """A goose in flight to the right; `size` 1 spans about 250 pixels, `beat` -1..1 is wings down..up."""
    middle = np.asarray(place, dtype=float)

    def put(points: Points, *, turn: float = -0.12) -> Points:
        spin = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
        return np.asarray(points @ spin.T * size + middle)

    far = _wing(rng, beat) * (0.80, 0.84) + (26, -2)
    _lay(sheet, put(far, turn=-0.12 + 0.30 * np.sign(beat)), gap=3.0)
    body = np.array(BODY, dtype=float) + rng.normal(0, 1.0, (len(BODY), 2))
    _lay(sheet, put(curve(body, closed=True)), gap=3.2)
    near = _wing(rng, beat)
    _lay(sheet, put(near), gap=3.2)
    for root, notch in zip(_inner(beat), _bent(np.array(NOTCHES), beat), strict=True):
        slit = put(bow(notch + (-4, 0), root, 0.06, step=4))
        brush(sheet, rng, slit, profile(16, [(0, 2.6), (0.5, 1.6), (1, 0.6)]) * math.sqrt(size), rough=0.2, ink=0)
    covert = curve(_bent(np.array([(20, -20), (21, -54), (7, -98), (-22, -132)], dtype=float), beat))
    brush(sheet, rng, put(covert), profile(20, [(0, 0.8), (0.5, 2.2), (1, 0.8)]) * math.sqrt(size), rough=0.2, ink=0)
    dot(sheet, rng, put(np.array([(121.0, -21.0)]))[0], max(1.8, 2.2 * size), ink=0)


def _bent(points: Points, beat: float) -> Points:
    """Wing points for that beat: raised or lowered, and swept back more when lowered."""
    raised = points * (1.0, abs(beat) ** 0.6)
    if beat >= 0:
        return np.asarray(raised)
    return np.asarray(raised * (1.0, -0.88) + (-2.0, 8.0))


def _wing(rng: np.random.Generator, beat: float) -> Points:
    edge: list[tuple[float, float]] = []
    for tip, notch in zip(TIPS, NOTCHES, strict=True):
        edge += [tip, notch]
    ring = np.array([*FRONT, *edge, *ROOT], dtype=float)
    ring += rng.normal(0, 1.1, ring.shape)
    return _bent(curve(ring, closed=True, step=2), beat)


def _inner(beat: float) -> Points:
    """Where the slit between two feathers ends, one a notch."""
    share = np.linspace(0.86, 0.10, len(NOTCHES))
    front = np.array(FRONT, dtype=float)
    along = np.column_stack([np.interp(share, np.linspace(0, 1, len(front)), front[:, axis]) for axis in (0, 1)])
    return _bent(along * 0.66 + np.array(NOTCHES, dtype=float) * 0.34 + (0, 12), beat)


def _lay(sheet: Sheet, outline: Points, *, gap: float) -> None:
    sheet.trace(np.vstack([outline, outline[:2]]), gap, ink=0)
    sheet.fill(outline)
