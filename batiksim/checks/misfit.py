"""Fit: a mask that is shifted or turned against the others, found by laying their edges over one another.

`edge_registration` finds how every two masks agree best, `outlier_masks` which is out of place; here it becomes words.
"""

from collections.abc import Iterator

import numpy as np

from batiksim.checks.scene.outlier_masks import Misfit, misfits
from batiksim.checks.scene.scene import Scene
from batiksim.checks.shapes.edge_registration import MisfitSettings
from batiksim.texts.catalogue import Message, say
from batiksim.values import Finding, MaskUse, Place, Severity


def fit(scene: Scene, settings: MisfitSettings) -> Iterator[Finding]:
    """Masks that are out of place."""
    for misfit in misfits(scene, settings):
        move = misfit.move
        edge = np.hypot(move.right_mm, move.down_mm) + np.radians(abs(move.turn_deg)) * scene.design.cloth.width_mm / 2
        message, remedy = _one_of_two(scene, misfit) if misfit.instead else _outvoted(scene, misfit)
        severity: Severity = "serious" if edge >= settings.serious_mm else "warn"
        yield Finding(
            code="fit",
            severity=severity,
            step=scene.step_of(misfit.use),
            place=_busiest(scene, misfit.use),
            message=message,
            remedy=remedy,
            masks=tuple(dict.fromkeys(one.use.picture for one in (misfit, *misfit.instead))),
            numbers={"right_mm": move.right_mm, "down_mm": move.down_mm, "turn_deg": move.turn_deg, "edge_mm": edge},
        )


def _outvoted(scene: Scene, misfit: Misfit) -> tuple[Message, Message]:
    """What is wrong with a mask that the others outvote, and what to do."""
    several = len(misfit.against) > 1
    others = say("checks.fit.others") if several else say("checks.fit.mask", mask=misfit.against[0].called)
    return (
        say("checks.fit.outvoted", mask=_called(scene, misfit), others=others, way=_off(misfit)),
        say("checks.fit.outvoted_remedy", move=_move(misfit)),
    )


def _one_of_two(scene: Scene, misfit: Misfit) -> tuple[Message, Message]:
    """The same where one of two is off, and nothing says which."""
    here, there = _called(scene, misfit), tuple(dict.fromkeys(_called(scene, one) for one in misfit.instead))
    move_there = _move(misfit.instead[0])
    return (
        say("checks.fit.one_of_two", here=here, there=there, way=_off(misfit)),
        say("checks.fit.one_of_two_remedy", here=here, there=there, move_here=_move(misfit), move_there=move_there),
    )


def _called(scene: Scene, misfit: Misfit) -> Message:
    """A mask by its name, with the step that uses it first."""
    return say("checks.fit.mask_of_step", mask=misfit.use.called, step=scene.step_of(misfit.use))


def _off(misfit: Misfit) -> tuple[Message, ...]:
    """How a mask is out of place now, which is what its move undoes."""
    ways = _shift(-misfit.move.right_mm, -misfit.move.down_mm, "too_far")
    turn = _turn(-misfit.move.turn_deg)
    if turn is not None:
        ways += (say("checks.fit.turned", turn=turn),)
    return ways or (say("checks.fit.slightly_off"),)


def _move(misfit: Misfit) -> Message:
    """What to do with a mask, within a sentence."""
    turn, shifts = _turn(misfit.move.turn_deg), _shift(misfit.move.right_mm, misfit.move.down_mm, "move")
    if turn is None:
        return say("checks.fit.move", shifts=shifts) if shifts else say("checks.fit.move_slightly")
    turning = say("checks.fit.turn", turn=turn)
    return say("checks.fit.turn_and_move", turning=turning, shifts=shifts) if shifts else turning


def _shift(right_mm: float, down_mm: float, way: str) -> tuple[Message, ...]:
    sides = (right_mm, "left", "right"), (down_mm, "up", "down")
    return tuple(
        say(f"checks.fit.{way}_{after if mm > 0 else before}", mm=round(float(abs(mm)), 1))
        for mm, before, after in sides
        if abs(mm) >= 0.3
    )


def _turn(turn_deg: float) -> Message | None:
    if abs(turn_deg) < 0.2:
        return None
    way = "clockwise" if turn_deg > 0 else "anticlockwise"
    return say(f"checks.fit.{way}", degrees=round(float(abs(turn_deg)), 1))


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
