"""Fit: a mask that lies shifted or turned against the others, found by laying their edges over one another.

`edge_registration` finds how every two masks agree best, `outlier_masks` which is out of place; here it is told.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from batiksim.checks.scene.outlier_masks import Misfit, misfits
from batiksim.checks.scene.scene import Scene
from batiksim.checks.shapes.edge_registration import MisfitSettings
from batiksim.values import Finding, MaskUse, Place


def fit(scene: Scene, settings: MisfitSettings) -> Iterator[Finding]:
    """Masks that lie beside their places."""
    for misfit in misfits(scene, settings):
        move = np.hypot(misfit.right_mm, misfit.down_mm)
        edge = move + np.radians(abs(misfit.turn_deg)) * scene.design.cloth.width_mm / 2
        message, remedy = _one_of_two(scene, misfit) if misfit.instead else _outvoted(scene, misfit)
        yield Finding(
            code="fit",
            severity="serious" if edge >= settings.serious_mm else "warn",
            step=scene.step_of(misfit.use),
            place=_busiest(scene, misfit.use),
            message=message,
            remedy=remedy,
        )


def _outvoted(scene: Scene, misfit: Misfit) -> tuple[str, str]:
    mask = f"The mask {_called(scene, [misfit])}"
    others = "the others" if len(misfit.against) > 1 else f"“{misfit.against[0].called}”"
    return (
        f"{mask} {_lies(misfit)} against {others}: outlines and fills will not meet.",
        f"{_moved(misfit)}; the other masks fit one another. If you meant it so, leave it.",
    )


def _one_of_two(scene: Scene, misfit: Misfit) -> tuple[str, str]:
    here, there = _called(scene, [misfit]), _called(scene, misfit.instead)
    first = misfit.instead[0]
    return (
        f"The masks {there} and {here} don't fit each other: {here} {_lies(misfit)} against {there}. "
        "One of the two is off, and the pictures alone can't tell which.",
        f"Look which of them fits your drawing, then move the other: {_way(here, misfit)}, or {_way(there, first)}. "
        "If you meant it so, leave it.",
    )


def _called(scene: Scene, moves: Sequence[Misfit]) -> str:
    """Masks by their names, with the step that uses each first."""
    names = list(dict.fromkeys(f"“{one.use.called}” (step {scene.step_of(one.use)})" for one in moves))
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def _lies(misfit: Misfit) -> str:
    """How a mask lies now, which is what its move undoes."""
    told = []
    if shift := _shift(-misfit.right_mm, -misfit.down_mm, ("too far left", "too far right", "too high", "too low")):
        told.append(f"lies {shift}")
    if turn := _turn(-misfit.turn_deg):
        told.append(f"is turned {turn}")
    return " and ".join(told) or "lies a little beside its place"


def _moved(misfit: Misfit) -> str:
    """What to do with a mask, as a sentence's beginning."""
    told = []
    if turn := _turn(misfit.turn_deg):
        told.append(f"turn it {turn} about the middle of the cloth")
    if shift := _shift(misfit.right_mm, misfit.down_mm, ("to the left", "to the right", "up", "down")):
        told.append(f"move it {shift}")
    text = ", then ".join(told) or "move it a little"
    return f"{text[0].upper()}{text[1:]}"


def _way(name: str, misfit: Misfit) -> str:
    """Where to put a mask, within a sentence."""
    shift = _shift(misfit.right_mm, misfit.down_mm, ("to the left", "to the right", "up", "down"))
    turn = _turn(misfit.turn_deg)
    parts = [f"turned {turn} about the middle of the cloth"] if turn else []
    return f"{name} {', then '.join([*parts, *([shift] if shift else [])]) or 'a little'}"


def _shift(right_mm: float, down_mm: float, names: tuple[str, str, str, str]) -> str:
    told = [
        f"{abs(mm):.1f} mm {after if mm > 0 else before}"
        for mm, before, after in ((right_mm, *names[:2]), (down_mm, *names[2:]))
        if abs(mm) >= 0.3
    ]
    return " and ".join(told)


def _turn(turn_deg: float) -> str:
    if abs(turn_deg) < 0.2:
        return ""
    return f"{abs(turn_deg):.1f} degrees {'clockwise' if turn_deg > 0 else 'anticlockwise'}"


def _busiest(scene: Scene, use: MaskUse) -> Place:
    """The square of cloth where a mask has most edge."""
    rough = scene.rough[scene.uses.index(use)].astype(np.int16)
    edge = np.abs(np.diff(rough, axis=0))[:, :-1] + np.abs(np.diff(rough, axis=1))[:-1]
    side = max(1, edge.shape[1] // 12)
    cells = np.add.reduceat(np.add.reduceat(edge, np.arange(0, edge.shape[0], side), axis=0, dtype=np.int64),
                            np.arange(0, edge.shape[1], side), axis=1)  # fmt: skip
    row, col = np.unravel_index(int(np.argmax(cells)), cells.shape)
    mm = side * scene.rough_factor / scene.px_per_mm
    return scene.at((col + 0.5) * mm, (row + 0.5) * mm, mm / 2)
