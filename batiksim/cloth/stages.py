"""What each step does, in words, and the main colours of the cloth after it."""

from __future__ import annotations

from dataclasses import dataclass

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.outcome import History, held_dye
from batiksim.cloth.program import Emit, Program, all_plates, compile_design
from batiksim.colour import names, spaces, spectra
from batiksim.colour.gamut import xyz_to_hex
from batiksim.texts.steps import Kind, step_kind, step_words
from batiksim.values import Design, DyeBath, RemoveWax, Wax

__all__ = ["Stage", "pot_hex", "stages", "wax_left"]

MOST_COLOURS = 9  # sheets show fewer where they have less room
LEAST_SHARE = 0.01
MOST_LOOKED = 100  # histories whose colour is worked out for each plate, the largest; only speckled masks have more


@dataclass(frozen=True, kw_only=True)
class Stage:
    """One plate and its story.

    emit : the plate
    pots : (name, "#rrggbb" on bare cloth) of a dyeing
    colours : (colour name, "#rrggbb", share 0..1), the largest first
    """

    emit: Emit
    kind: Kind
    title: str
    detail: str
    pots: tuple[tuple[str, str], ...]
    colours: tuple[tuple[str, str, float], ...]


def wax_left(design: Design) -> bool:
    """Whether wax is still on the cloth after the last step."""
    left = False
    for step in design.steps:
        left = isinstance(step, Wax) or (left and not isinstance(step, RemoveWax))
    return left


def pot_hex(design: Design, dyes: ClothDyes, name: str) -> str:
    """The colour a pot dries to on the bare cloth."""
    return xyz_to_hex(spectra.reflectance_to_xyz(dyes.reflectance(dyes.taken_ks([design.pot(name)]))))


def stages(design: Design, dyes: ClothDyes, histories: list[History]) -> tuple[Stage, ...]:
    """Every plate of a design with words and colours; `histories` are those of the finished cloth."""
    program = compile_design(design, dyes)
    return tuple(_stage(design, dyes, program, emit, histories) for emit in all_plates(design))


def _stage(design: Design, dyes: ClothDyes, program: Program, emit: Emit, histories: list[History]) -> Stage:
    kind: Kind = "bare"
    title, detail = "Bare cloth", ""
    pots: tuple[tuple[str, str], ...] = ()
    if emit.finished:
        kind, title = "cloth", "Finished cloth"
    elif emit.step > 0:
        step = design.steps[emit.step - 1]
        kind = step_kind(step)
        title, detail = step_words(design, emit.step)
        if isinstance(step, DyeBath):
            pots = tuple((paint.pot, pot_hex(design, dyes, paint.pot)) for paint in step.paints)
    colours = stage_colours(design, dyes, program, emit.step, histories)
    return Stage(emit=emit, kind=kind, title=title, detail=detail, pots=pots, colours=colours)


def stage_colours(
    design: Design, dyes: ClothDyes, program: Program, step: int, histories: list[History]
) -> tuple[tuple[str, str, float], ...]:
    """The cloth's main colours after a step, wax out: histories cut off there, joined where they agree."""
    upto = [o for o, mark in enumerate(program.step_of_op) if mark <= step]
    last = upto[-1] if upto else -1
    pixels: dict[tuple[int, ...], int] = {}
    sums: dict[tuple[int, ...], list[float]] = {}
    for history in histories:
        if history.mixed:
            continue
        key = tuple(o for o in history.reached if o <= last)
        pixels[key] = pixels.get(key, 0) + history.pixels
        old = sums.get(key, [0.0] * len(history.levels))
        sums[key] = [total + level * history.pixels for total, level in zip(old, history.levels, strict=True)]
    whole = sum(history.pixels for history in histories)
    shares: dict[tuple[str, str], float] = {}
    for key, count in sorted(pixels.items(), key=lambda item: -item[1])[:MOST_LOOKED]:
        levels = tuple(total / count for total in sums[key])
        held = held_dye(program, History(reached=key, pixels=count, levels=levels), dyes, design)
        xyz = spectra.reflectance_to_xyz(dyes.reflectance(held.ks))
        named = (names.colour_name(spaces.xyz_to_lab(xyz)).name, xyz_to_hex(xyz))
        shares[named] = shares.get(named, 0.0) + count / whole
    ranked = sorted(shares.items(), key=lambda item: -item[1])
    return tuple((name, hexed, share) for (name, hexed), share in ranked[:MOST_COLOURS] if share >= LEAST_SHARE)
