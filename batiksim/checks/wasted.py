"""Wasted: steps that do nothing, and masks that look empty, full or upside down."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from batiksim.checks.scene.scene import Scene
from batiksim.checks.shapes.arrays import times
from batiksim.cloth.program import DISCHARGE, DYE
from batiksim.texts.phrases import percent
from batiksim.values import Discharge, DyeBath, Finding, MaskUse, RemoveWax, Wax

__all__ = ["Wasted", "wasted"]


@dataclass(frozen=True, kw_only=True)
class Wasted:
    """When a step or a mask is worth a word, in shares. Assumptions.

    empty, full : of the cloth that a mask marks; full_canting : the same for lines
    nothing_new : of a waxing that falls on open cloth; nothing_open : of the cloth that a pot reaches
    """

    empty: float = 0.0005
    full: float = 0.99
    full_canting: float = 0.65
    nothing_new: float = 0.03
    nothing_open: float = 0.0005


_MARKS = 'Look at the picture; if its marks are light on dark, say marks = "light".'


def wasted(scene: Scene, settings: Wasted) -> Iterator[Finding]:
    """Odd masks first, then steps that do nothing."""
    yield from _odd_masks(scene, settings)
    dyeings = [n for n, step in enumerate(scene.design.steps, start=1) if isinstance(step, DyeBath | Discharge)]
    last_dye = max(dyeings, default=0)
    waxed = False
    for number, step in enumerate(scene.design.steps, start=1):
        if isinstance(step, Wax):
            yield from _waxing(scene, settings, number, step, last_dye)
            waxed = True
        elif isinstance(step, RemoveWax):
            if not waxed:
                yield _found(number, "There is no wax on the cloth to take out here.", "Leave this step out.")
            waxed = False
    yield from _baths(scene, settings)


def _found(step: int, message: str, remedy: str) -> Finding:
    return Finding(code="wasted", severity="warn", step=step, message=message, remedy=remedy)


def _odd_masks(scene: Scene, settings: Wasted) -> Iterator[Finding]:
    tools = {step.mask: step.tool for step in scene.design.steps if isinstance(step, Wax)}
    for use, mask in zip(scene.uses, scene.rough, strict=True):
        share = float(mask.mean()) / 255
        high = int(scene.masks[scene.uses.index(use)].max()) if share < settings.empty else 255
        step = scene.step_of(use)
        if high == 0:
            yield _found(step, f"The mask “{use.called}” has nothing marked.", _MARKS)
        elif share < settings.empty:
            yield _found(step, f"The mask “{use.called}” marks hardly anything: {percent(share)} of the cloth.", _MARKS)
        elif share > settings.full:
            yield _found(step, f"The mask “{use.called}” is marked all over.", _full(use, tools))
        elif tools.get(use) == "canting" and share > settings.full_canting:
            told = f"The mask “{use.called}” covers {percent(share)} of the cloth, too much for lines from a canting."
            yield _found(step, told, _MARKS if use.marks is None else "Check whether dark and light changed places.")


def _full(use: MaskUse, waxed: Iterable[MaskUse]) -> str:
    return _MARKS if use in waxed else f"Leave the mask out to dye the whole cloth. If that isn't meant: {_MARKS}"


def _waxing(scene: Scene, settings: Wasted, number: int, step: Wax, last_dye: int) -> Iterator[Finding]:
    picture = f"“{step.mask.called}”"
    if number > last_dye:
        yield _found(number, "No dye comes after this waxing, so the wax keeps nothing.", "Leave this step out.")
        return
    mask = scene.mask(step.mask)
    marked = int(mask.sum(dtype=np.int64))
    if not marked:
        return
    new = int(times(mask, scene.state(number).opened).sum(dtype=np.int64)) / marked
    if new < settings.nothing_new:
        told = f"All but {percent(new)} of {picture} lies on cloth that is under wax already."
        yield _found(number, told, "Leave this step out, or check that it is the right picture.")


def _baths(scene: Scene, settings: Wasted) -> Iterator[Finding]:
    shares = dict.fromkeys(scene.ops(DYE, DISCHARGE), 0.0)
    for history in scene.histories:
        for o in history.reached:
            shares[o] += scene.share(history)
    for o, share in shares.items():
        if share >= settings.nothing_open:
            continue
        step, pot = scene.op_step(o), scene.op_pot(o)
        use = _use(scene, o)
        if use is not None and float(scene.masks[scene.uses.index(use)].max()) == 0:
            continue  # the empty mask is told already
        what, todo = f"{pot} reaches no open cloth", "Leave it out, or take wax out before it."
        if scene.program.ops[o, 0] == DISCHARGE:
            what, todo = "The discharge finds no open dye to take out", "Leave it out, or bleach after a dyeing."
        elif not any(load > 0 for load in scene.design.pot(pot).loads().values()):
            what, todo = f"{pot} has no dye in it", "Give it a strength above 0."
        yield _found(step, f"{what}.", todo)


def _use(scene: Scene, o: int) -> MaskUse | None:
    mask = int(scene.program.ops[o, 1])
    return None if mask < 0 else scene.uses[mask]
