"""One spot of the cloth asked about: what lies there, step by step, and what each pot would make of it.

The answers come from the model, never from the picture on screen.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.outcome import Outcome, outcome_of
from batiksim.cloth.program import DYE, LEAST_REACH, WAX_THIN, Emit, compile_design
from batiksim.cloth.rules import Moment, walk
from batiksim.colour import names, spaces, spectra
from batiksim.colour.gamut import xyz_to_hex
from batiksim.dyes.mud import is_mud
from batiksim.dyes.pot_colour import in_lights
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Bytes, Floats
from batiksim.values import Design, DyeBath, Wax
from batiksim.values.colour_words import history_names, name_message
from batiksim.values.plain_data import plain
from batiksim.values.step_words import step_kind, step_words

LEAST_LOAD = 0.02  # full strengths; less can't be told apart on cloth (assumption)


def levels_at(planes: Bytes, x: float, y: float) -> Bytes:
    """The mask bytes at one spot, uint8 (planes, 1, 1). x, y : shares of the cloth's width and height, 0..1."""
    _, rows, cols = planes.shape
    row, col = min(int(y * rows), rows - 1), min(int(x * cols), cols - 1)
    return np.ascontiguousarray(planes[:, row : row + 1, col : col + 1])


def spot_data(design: Design, dyes: ClothDyes, levels: Bytes, *, step: int | None) -> dict[str, Any]:
    """What lies at a spot after a step (None = on the finished cloth), how it came about, what could come next.

    levels : uint8 (planes, 1, 1)
    """
    spot = _Spot(design=design, dyes=dyes, levels=levels)
    outcome, last = spot.outcome, len(design.steps)
    until = outcome.ops_until(last if step is None else step)
    (history,) = outcome.histories
    reached = [op for op in history.reached if op < until]
    held = outcome.held(history, before=until)
    dyeings = [op for op in reached if outcome.program.ops[op, 0] == DYE]
    parents = [outcome.program.alone(op, outcome.amount(history, op))[0] for op in dyeings]
    cover = spot.moments[until].cover
    return {
        "colour": colour_data(spot.colours[last if step is None else step]),
        "loads": [{"dye": dye, "load": load} for dye, load in held.loads.items() if load >= LEAST_LOAD],
        "history": plain(history_names([outcome.pot_of(op) for op in reached])),
        "closed": bool(cover.keeps_out.all()) and step is not None,
        "lights": plain(in_lights(dyes.reflectance(held.ks))),
        "steps": [spot.step_data(number) for number in range(1, last + 1)],
        "next": _next_pots(design, dyes, held.ks, held.offered, parents),
        "next_step": spot.next_dyeing(last if step is None else step),
    }


def colour_data(hexed: str) -> dict[str, str]:
    """A colour as the page shows it: "#rrggbb" and its names."""
    named = names.colour_name(spaces.hex_to_lab(hexed))
    return {"hex": hexed, "name": str(name_message(named.name)), "plain": str(name_message(named.plain))}


@dataclass(frozen=True, eq=False, kw_only=True)
class _Spot:
    """A cloth of one pixel. levels : uint8 (planes, 1, 1)."""

    design: Design
    dyes: ClothDyes
    levels: Bytes

    @cached_property
    def outcome(self) -> Outcome:
        return outcome_of(self.design, self.dyes, self.levels, threads=1)

    @cached_property
    def moments(self) -> list[Moment]:
        """What each operation finds and does, and how the cloth lies at the end."""
        return list(walk(self.outcome.program, self.levels[:, 0, 0, None] / 255.0))

    @cached_property
    def colours(self) -> list[str]:
        """The colour before the first step and after each, "#rrggbb"."""
        emits = tuple(Emit(step=number) for number in range(len(self.design.steps) + 1))
        plates = render.render(compile_design(self.design, self.dyes, plates=emits, wax_shown=False), self.levels)
        return [f"#{red:02x}{green:02x}{blue:02x}" for red, green, blue in plates[:, 0, 0].tolist()]

    def step_data(self, number: int) -> dict[str, Any]:
        """What one step does at the spot, in a few words."""
        step = self.design.steps[number - 1]
        title, what = str(step_words(self.design, number)[0]), str(self._words(number))
        return {"step": number, "kind": step_kind(step), "title": title, "what": what, "hex": self.colours[number]}

    def _words(self, number: int) -> Message:
        step = self.design.steps[number - 1]
        ops = range(self.outcome.ops_until(number - 1), self.outcome.ops_until(number))
        reached = [op for op in ops if self.moments[op].reached]
        if isinstance(step, Wax):
            return self._wax_words(ops)
        if isinstance(step, DyeBath):
            pots = [self.outcome.pot_of(op) for op in reached]
            return say("jobs.spot.takes", pots=pots) if pots else self._missed(ops)
        if step_kind(step) == "remove_wax":
            return say("jobs.spot.wax_out")
        return say("jobs.spot.discharged" if reached else "jobs.spot.unchanged")

    def _wax_words(self, ops: range) -> Message:
        before, after = self.moments[ops.start].cover, self.moments[ops.stop].cover
        if before.sealed:
            return say("jobs.spot.waxed_already")
        if after.sealed:
            return say("jobs.spot.waxed")
        kept = 1 - float(after.take[0] / before.take[0]) if before.take > 0 else 0.0
        thin = any(self.moments[op].code == WAX_THIN for op in ops) and kept >= LEAST_REACH
        return say("jobs.spot.thin_wax", share=percent(kept)) if thin else say("jobs.spot.open")

    def _missed(self, ops: range) -> Message:
        cover = self.moments[ops.start].cover
        if cover.sealed:
            return say("jobs.spot.protected")
        brushed = any(self.moments[op].level >= LEAST_REACH for op in ops)
        return say("jobs.spot.thin_wax_protects" if brushed else "jobs.spot.not_brushed")

    def next_dyeing(self, step: int) -> dict[str, Any] | None:
        """What the next dyeing of the plan, after a step, makes of the spot."""
        for number in range(step + 1, len(self.design.steps) + 1):
            if isinstance(self.design.steps[number - 1], DyeBath):
                ops = range(self.outcome.ops_until(number - 1), self.outcome.ops_until(number))
                takes = any(bool(self.moments[op].reached) for op in ops)
                title = step_words(self.design, number)[0]
                return {"step": number, "title": str(title), "takes": takes, **colour_data(self.colours[number])}
        return None


def _next_pots(
    design: Design, dyes: ClothDyes, ks: Floats, offered: float, parents: Sequence[Floats]
) -> list[dict[str, Any]]:
    """What every pot would make of the spot, were it open and brushed over.

    ks, offered : what lies there, as of `Held`; parents : K/S (31,) of each dyeing alone
    """
    used = [paint.pot for step in design.steps if isinstance(step, DyeBath) for paint in step.paints]
    pots = [design.pot(name) for name in dict.fromkeys([*used, *(pot.name for pot in design.pots)])]
    looks = []
    for pot in pots:
        over = spectra.reflectance_to_xyz(dyes.reflectance(ks + dyes.taken_ks([pot], before=offered)))
        alone = spectra.reflectance_to_xyz(dyes.reflectance(np.stack([*parents, dyes.taken_ks([pot])])))
        muddy = bool(parents) and is_mud(spaces.xyz_to_lab(over), spaces.xyz_to_lab(alone))
        looks.append({"pot": pot.name, "muddy": muddy, **colour_data(xyz_to_hex(over))})
    return looks
