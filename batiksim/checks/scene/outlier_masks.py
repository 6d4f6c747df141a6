"""Which of some masks that don't fit one another is out of place: those that agree vote, and the fewer are off.

Masks that agree where they lie make a side. Of sides that disagree the largest is taken to lie right; where no side is
larger, nothing in the pictures says which is off, and the finding says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from batiksim.checks.scene.scene import Scene
from batiksim.checks.shapes.edge_registration import (
    MIDDLE,
    EdgeMaps,
    Edges,
    Link,
    MisfitSettings,
    Move,
    laid,
    lay,
    links,
)
from batiksim.types import Bytes
from batiksim.values import Marks, MaskUse

USUAL = MisfitSettings()
LEAST_PX = 96  # smaller pictures have too few edges
FINER_DEG = tuple(step / 10 for step in range(-4, 5))  # between the turns tried first


@dataclass(frozen=True, kw_only=True)
class Misfit:
    """How a mask must move to fit the others.

    against : the masks it was measured against
    instead : empty when the other masks outvote it; else the moves of those on the other side, which would mend it as
        well: one of the two is off, and the pictures alone can't tell which
    """

    use: MaskUse
    move: Move
    against: tuple[MaskUse, ...] = ()
    instead: tuple[Misfit, ...] = ()


def misfits(scene: Scene, settings: MisfitSettings = USUAL) -> list[Misfit]:
    """Every mask that doesn't fit the others, and how it must move; looked for once on a scene."""
    return scene.once(("misfits", settings), lambda: _misfits(scene, settings))


def _misfits(scene: Scene, settings: MisfitSettings) -> list[Misfit]:
    if len(scene.masks) < 2 or min(scene.masks.shape[1:]) < LEAST_PX:
        return []
    sheets = laid(scene.masks, px_per_mm=scene.px_per_mm)
    found = links(sheets, settings)
    if not any(one.off for one in found):
        return []
    sides = _sides(len(scene.masks), found)
    at_odds = _at_odds(sides, found)
    return [misfit for some in at_odds for misfit in _judged(scene, sheets, found, some, settings)]


def _sides(count: int, found: Sequence[Link]) -> list[list[int]]:
    """Masks that agree where they lie, together; the plainer of two links that contradict each other wins."""
    side = list(range(count))
    apart: list[tuple[int, int]] = []
    for one in sorted(found, key=lambda link: -link.clear):
        here, there = side[one.first], side[one.second]
        if one.off:
            apart.append((one.first, one.second))
        elif here != there and not any({side[a], side[b]} == {here, there} for a, b in apart):
            side = [here if which == there else which for which in side]
    return [[mask for mask in range(count) if side[mask] == which] for which in dict.fromkeys(side)]


def _at_odds(sides: Sequence[list[int]], found: Sequence[Link]) -> list[list[list[int]]]:
    """Sides that disagree, each with all those it disagrees with, straight or by way of others."""
    of = {mask: number for number, side in enumerate(sides) for mask in side}
    together = list(range(len(sides)))
    for one in found:
        here, there = together[of[one.first]], together[of[one.second]]
        if one.off and of[one.first] != of[one.second]:
            together = [here if which == there else which for which in together]
    groups = [[side for side, which in zip(sides, together, strict=True) if which == one] for one in set(together)]
    return [group for group in groups if len(group) > 1]


def _judged(
    scene: Scene, sheets: EdgeMaps, found: Sequence[Link], sides: Sequence[list[int]], settings: MisfitSettings
) -> list[Misfit]:
    """Every mask of the smaller sides, as it must move to fit the largest; of sides alike the first drawn stays."""

    def votes(side: list[int]) -> int:
        return len({scene.uses[mask].picture for mask in side})

    right = max(sides, key=lambda side: (votes(side), -min(scene.step_of(scene.uses[mask]) for mask in side)))
    placed: dict[int, Edges] = {mask: sheets.lines[mask] for mask in right}
    left = {mask: votes(side) == votes(right) for side in sides if side is not right for mask in side}
    judged: list[Misfit] = []
    while left:
        joined = {mask: [one for one in found if mask in (one.first, one.second)] for mask in left}
        near = {mask: [one for one in some if _other(one, mask) in placed] for mask, some in joined.items()}
        mask = max(left, key=lambda one: (max((link.clear for link in near[one]), default=0.0), -one))
        if not near[mask]:
            break
        move = _move(sheets, mask, near[mask], placed, settings)
        placed[mask] = _shifted(sheets.lines[mask], move, 1 / (sheets.px_mm * MIDDLE))
        against = tuple(scene.uses[_other(one, mask)] for one in near[mask])
        even = left.pop(mask)
        back = [Misfit(use=scene.uses[one], move=move.back, against=(scene.uses[mask],)) for one in right if even]
        judged.append(Misfit(use=scene.uses[mask], move=move, against=against, instead=tuple(back)))
    return sorted(judged, key=lambda one: scene.step_of(one.use))


def _other(link: Link, mask: int) -> int:
    return link.second if link.first == mask else link.first


def _move(
    sheets: EdgeMaps, mask: int, near: Sequence[Link], placed: dict[int, Edges], settings: MisfitSettings
) -> Move:
    """How a mask must move to fit those in place: the turn its plainest link asks for, found again on all together."""
    plainest = max(near, key=lambda one: (one.off, one.clear))
    asked = plainest.move_of(mask)
    turns = [asked.turn_deg + step for step in FINER_DEG] if asked.turn_deg else [0.0]
    return lay(sheets, mask, [placed[_other(one, mask)] for one in near], turns, settings)


def corrected_mask(scene: Scene, misfit: Misfit) -> Bytes:
    """The mask of a misfit, corrected; worked out once on a scene."""
    mask = scene.masks[scene.uses.index(misfit.use)]
    return scene.once(("corrected", misfit), lambda: corrected(mask, misfit, px_per_mm=scene.px_per_mm))


def corrected(mask: Bytes, misfit: Misfit, *, px_per_mm: float) -> Bytes:
    """The mask turned and moved so that it fits; what comes in from outside is not marked.

    mask : uint8 (rows, cols), 255 = fully marked; returns one of the same shape
    """
    moved: Bytes = _shifted(mask, misfit.move, px_per_mm)
    return moved


def _shifted(picture: NDArray[Any], move: Move, px_per_mm: float) -> NDArray[Any]:
    from scipy import ndimage

    turn = np.radians(move.turn_deg)
    # from a pixel (row, col) of the result back to the picture: take the move off, then turn back about the middle
    back = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    middle = (np.array(picture.shape) - 1) / 2
    shift = np.array([move.down_mm, move.right_mm]) * px_per_mm
    return np.asarray(ndimage.affine_transform(picture, back, offset=middle - back @ (middle + shift), order=1, cval=0))


def drawn_as(mask: Bytes, marks: Marks | None) -> Bytes:
    """A mask as a picture whose marks are read the same way: grey (rows, cols), or grey and alpha (rows, cols, 2)."""
    if marks == "alpha":
        return np.stack([np.zeros_like(mask), mask], axis=-1)
    return mask.copy() if marks == "light" else 255 - mask
