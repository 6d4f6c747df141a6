"""Wasted: steps that do nothing, and masks that look empty, full or upside down."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np

from batiksim.checks.scene.scene import Scene
from batiksim.cloth.masks import product
from batiksim.cloth.program import DISCHARGE, DYE
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.values import Discharge, DyeBath, Finding, RemoveWax, Wax


@dataclass(frozen=True, kw_only=True)
class Wasted:
    """When a step or a mask is worth mentioning, in shares. Assumptions.

    empty, full : of the cloth that a mask marks; full_canting : the same for lines
    nothing_new : of a waxing that falls on open cloth; nothing_open : of the cloth that a pot reaches
    """

    empty: float = 0.0005
    full: float = 0.99
    full_canting: float = 0.65
    nothing_new: float = 0.03
    nothing_open: float = 0.0005


DOES_NOTHING = frozenset(
    f"checks.wasted.{what}"
    for what in ("mask_empty", "no_wax", "wax_last", "waxed_already", "under_wax", "bleach", "no_dye")
)  # keys of findings on what changes nothing where it is left out; of other odd masks the marks may be read wrong
_MARKS = say("checks.wasted.check_marks")
_LEAVE_OUT = say("checks.wasted.leave_out")


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
                yield _found(number, say("checks.wasted.no_wax"), _LEAVE_OUT)
            waxed = False
    yield from _baths(scene, settings)


def _found(step: int, message: Message, remedy: Message, **concerned: Any) -> Finding:
    return Finding(code="wasted", severity="warn", step=step, message=message, remedy=remedy, **concerned)


def _odd_masks(scene: Scene, settings: Wasted) -> Iterator[Finding]:
    tools = {step.mask: step.tool for step in scene.design.steps if isinstance(step, Wax)}
    for use, mask in zip(scene.uses, scene.rough, strict=True):
        share = float(mask.mean()) / 255
        high = int(scene.masks[scene.uses.index(use)].max()) if share < settings.empty else 255
        step, parts = scene.step_of(use), {"mask": use.called, "share": percent(share)}
        found = partial(_found, step, masks=(use.picture,), numbers={"share": share})
        if high == 0:
            yield found(say("checks.wasted.mask_empty", mask=use.called), _MARKS)
        elif share < settings.empty:
            yield found(say("checks.wasted.mask_nearly_empty", **parts), _MARKS)
        elif share > settings.full:
            remedy = _MARKS if use in tools else say("checks.wasted.mask_full_remedy", otherwise=_MARKS)
            yield found(say("checks.wasted.mask_full", mask=use.called), remedy)
        elif tools.get(use) == "canting" and share > settings.full_canting:
            remedy = _MARKS if use.marks is None else say("checks.wasted.dark_for_light")
            yield found(say("checks.wasted.too_full_for_lines", **parts), remedy)


def _waxing(scene: Scene, settings: Wasted, number: int, step: Wax, last_dye: int) -> Iterator[Finding]:
    if number > last_dye:
        yield _found(number, say("checks.wasted.wax_last"), _LEAVE_OUT, masks=(step.mask.picture,))
        return
    mask = scene.mask(step.mask)
    marked = int(mask.sum(dtype=np.int64))
    if not marked:
        return
    new = int(product(mask, scene.state(number).opened).sum(dtype=np.int64)) / marked
    if new < settings.nothing_new:
        message = say("checks.wasted.waxed_already", share=percent(new), mask=step.mask.called)
        remedy = say("checks.wasted.waxed_already_remedy")
        yield _found(number, message, remedy, masks=(step.mask.picture,), numbers={"new_share": new})


def _baths(scene: Scene, settings: Wasted) -> Iterator[Finding]:
    shares = dict.fromkeys(scene.ops(DYE, DISCHARGE), 0.0)
    for history in scene.histories:
        for o in history.reached:
            shares[o] += scene.share(history)
    for o, share in shares.items():
        if share >= settings.nothing_open:
            continue
        step, pot = scene.op_step(o), scene.op_pot(o)
        mask = int(scene.program.ops[o, 1])
        if mask >= 0 and float(scene.masks[mask].max()) == 0:
            continue  # the empty mask is a finding already
        what = "under_wax"
        if scene.program.ops[o, 0] == DISCHARGE:
            what = "bleach"
        elif not any(load > 0 for load in scene.design.pot(pot).loads().values()):
            what = "no_dye"
        message, remedy = say(f"checks.wasted.{what}", pot=pot), say(f"checks.wasted.{what}_remedy")
        yield _found(step, message, remedy, numbers={"share": share}, **scene.concerned([o]))
