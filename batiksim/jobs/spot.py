"""One spot of the cloth asked about: what lies there, step by step, and what each pot would make of it.

The answers come from the model, never from the picture on screen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.outcome import HeldDye, History, held_dye, history_names, survey
from batiksim.cloth.program import DYE, REMOVE, WAX_COVER, WAX_THIN, Emit, Program, compile_design
from batiksim.cloth.stages import step_kind, step_words
from batiksim.colour import names, spaces, spectra
from batiksim.dyes.mud import is_mud
from batiksim.dyes.pot_colour import in_lights
from batiksim.dyes.recipes import lights_data
from batiksim.types import Bytes, Floats
from batiksim.values import Design, DyeBath, Wax

__all__ = ["levels_at", "spot_data"]

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
    last = len(design.steps)
    upto = last if step is None else step
    emits = tuple(Emit(step=number) for number in range(last + 1))
    program = compile_design(design, dyes, plates=emits, wax_shown=False)
    colours = render.render(program, levels, threads=1)[:, 0, 0]
    history = survey(program, levels, threads=1)[0]
    then = replace(history, reached=tuple(o for o in history.reached if program.step_of_op[o] <= upto))
    held = held_dye(program, then, dyes, design)
    parents = [
        held_dye(program, replace(then, reached=(o,)), dyes, design).ks
        for o in then.reached
        if program.ops[o, 0] == DYE
    ]
    now = _hex(colours[upto])
    closed = _closed(program, levels, upto)
    return {
        "colour": colour_data(now),
        "loads": [{"dye": dye, "load": load} for dye, load in held.loads.items() if load >= LEAST_LOAD],
        "history": list(history_names(program, then)),
        "closed": bool(closed > 0.5 and step is not None),
        "lights": lights_data(in_lights(dyes.reflectance(held.ks))),
        "steps": [_step_at_spot(design, program, history, colours, levels, n) for n in range(1, last + 1)],
        "next": _next_pots(design, dyes, held, parents),
        "next_step": _next_step(design, program, history, upto, colours),
    }


def colour_data(hexed: str) -> dict[str, str]:
    """A colour as the page shows it: "#rrggbb" and its names."""
    named = names.colour_name(spaces.hex_to_lab(hexed))
    return {"hex": hexed, "name": named.name, "plain": named.plain}


def _hex(rgb: Bytes) -> str:
    red, green, blue = rgb.tolist()
    return f"#{red:02x}{green:02x}{blue:02x}"


def _closed(program: Program, levels: Bytes, upto: int) -> float:
    """How much of the spot is under wax after a step, 0..1."""
    opened = 1.0
    for (code, mask, _, _), step in zip(program.ops.tolist(), program.step_of_op, strict=True):
        if step > upto:
            break
        if code in (WAX_COVER, WAX_THIN):
            opened *= 1.0 - (1.0 if mask < 0 else levels[mask, 0, 0] / 255.0)
        elif code == REMOVE:
            opened = 1.0
    return 1.0 - opened


def _step_at_spot(
    design: Design, program: Program, history: History, colours: Bytes, levels: Bytes, number: int
) -> dict[str, Any]:
    """What one step does at the spot, in a few words."""
    step = design.steps[number - 1]
    ours = [o for o in history.reached if program.step_of_op[o] == number]
    before, after = _closed(program, levels, number - 1), _closed(program, levels, number)
    if isinstance(step, Wax):
        what = "wax covers it" if after > 0.5 >= before else "stays open" if after <= 0.5 else "already under wax"
    elif isinstance(step, DyeBath):
        pots = [program.pots[program.ops[o, 2]] for o in ours if program.ops[o, 0] == DYE]
        missed = "under wax: it keeps its colour" if before > 0.5 else "not brushed here"
        what = f"takes {' and '.join(pots)}" if pots else missed
    else:
        what = "dye is taken out" if ours else "nothing changes here"
        what = "wax comes out" if step_kind(step) == "remove_wax" else what
    kind, title = step_kind(step), step_words(design, number)[0]
    return {"step": number, "kind": kind, "title": title, "what": what, "hex": _hex(colours[number])}


def _next_step(design: Design, program: Program, history: History, upto: int, colours: Bytes) -> dict[str, Any] | None:
    """What the next dyeing of the plan makes of the spot."""
    for number in range(upto + 1, len(design.steps) + 1):
        if isinstance(design.steps[number - 1], DyeBath):
            takes = any(program.step_of_op[o] == number for o in history.reached)
            title = step_words(design, number)[0]
            return {"step": number, "title": title, "takes": takes, **colour_data(_hex(colours[number]))}
    return None


def _next_pots(design: Design, dyes: ClothDyes, held: HeldDye, parents: Sequence[Floats]) -> list[dict[str, Any]]:
    """What every pot would make of the spot, were it open and brushed over.

    held : what lies there; parents : K/S (31,) of each dyeing alone
    """
    used = [paint.pot for step in design.steps if isinstance(step, DyeBath) for paint in step.paints]
    wanted = dict.fromkeys([*used, *(pot.name for pot in design.pots)])
    found = []
    for name in wanted:
        pot = design.pot(name)
        over = spectra.reflectance_to_xyz(dyes.reflectance(held.ks + dyes.taken_ks([pot], before=held.offered)))
        alone = spectra.reflectance_to_xyz(dyes.reflectance(np.stack([*parents, dyes.taken_ks([pot])])))
        muddy = bool(parents) and is_mud(spaces.xyz_to_lab(over), spaces.xyz_to_lab(alone))
        found.append({"pot": name, "muddy": muddy, **colour_data(spaces.xyz_to_hex(over))})
    return found
