"""What each step does, in words, and the main colours of the cloth after it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.outcome import Outcome
from batiksim.cloth.program import Emit, all_plates
from batiksim.colour import spaces, spectra
from batiksim.values import Design, Discharge, DyeBath, MaskUse, RemoveWax, Step, Wax
from batiksim.values.fields import percent

__all__ = ["Stage", "pot_hex", "stages", "step_kind", "step_words", "wax_left", "wax_name"]

Kind = Literal["bare", "wax", "dye", "discharge", "remove_wax", "cloth"]
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


def step_kind(step: Step) -> Kind:
    """The kind of a step, as report.json names it."""
    if isinstance(step, Wax):
        return "wax"
    if isinstance(step, DyeBath):
        return "dye"
    return "discharge" if isinstance(step, Discharge) else "remove_wax"


def step_words(design: Design, number: int) -> tuple[str, str]:
    """What a step does: a title and a line more, in the maker's words. No two waxings of a design share a title."""
    step = design.steps[number - 1]
    if isinstance(step, Wax):
        tool = f"With the {step.tool}. " if step.tool else ""
        thin = "Thin wax: it holds back only part of the dye." if step.grey == "thin" else ""
        return wax_name(design, number), f"{tool}{thin}".strip()
    if isinstance(step, DyeBath):
        painted = [paint.pot for paint in step.paints if paint.where is not None]
        over = [paint.pot for paint in step.paints if paint.where is None]
        detail = f"Brushed where {_pictures(step)}." if painted and not over else "Over the whole cloth."
        if painted and over:
            detail = f"{listed(over)} over the whole cloth, {listed(painted)} brushed."
        return capital(listed([paint.pot for paint in step.paints])), capital(detail)
    if isinstance(step, Discharge):
        part = "" if step.strength == 1 else f"Takes out {percent(step.strength)} of the dye that lies open."
        return "Discharge", part or "Takes the dye out of open cloth."
    return "Wax removed", ""


def _pictures(bath: DyeBath) -> str:
    called = [f"“{name}”" for name in dict.fromkeys(_shape(p.where) for p in bath.paints if p.where is not None)]
    return f"{listed(called)} {'says' if len(called) == 1 else 'say'}"


def _shape(use: MaskUse) -> str:
    return use.shape or use.called


def wax_name(design: Design, number: int) -> str:
    """A waxing by its place among the design's waxings and by its picture: "Wax 2: petals"."""
    waxings = [place for place, step in enumerate(design.steps, start=1) if isinstance(step, Wax)]
    step = design.steps[number - 1]
    name = step.mask.shape if isinstance(step, Wax) else ""
    return ("Wax" if len(waxings) == 1 else f"Wax {waxings.index(number) + 1}") + (f": {name}" if name else "")


def wax_left(design: Design) -> bool:
    """Whether wax is still on the cloth after the last step."""
    left = False
    for step in design.steps:
        left = isinstance(step, Wax) or (left and not isinstance(step, RemoveWax))
    return left


def listed(words: list[str]) -> str:
    """Words in a row: "a", "a and b", "a, b and c"."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def capital(text: str) -> str:
    """The text with its first letter large."""
    return text[:1].upper() + text[1:]


def pot_hex(design: Design, dyes: ClothDyes, name: str) -> str:
    """The colour a pot dries to on the bare cloth."""
    return spaces.xyz_to_hex(spectra.reflectance_to_xyz(dyes.reflectance(dyes.taken_ks([design.pot(name)]))))


def stages(outcome: Outcome) -> tuple[Stage, ...]:
    """Every plate of a design with words and colours."""
    return tuple(_stage(outcome, emit) for emit in all_plates(outcome.design))


def _stage(outcome: Outcome, emit: Emit) -> Stage:
    design = outcome.design
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
            pots = tuple((paint.pot, pot_hex(design, outcome.dyes, paint.pot)) for paint in step.paints)
    colours = stage_colours(outcome, emit.step)
    return Stage(emit=emit, kind=kind, title=title, detail=detail, pots=pots, colours=colours)


def stage_colours(outcome: Outcome, step: int) -> tuple[tuple[str, str, float], ...]:
    """The cloth's main colours after a step, wax out: (name, "#rrggbb", share), the largest first."""
    ranked = outcome.colours_after(step, most=MOST_LOOKED)
    return tuple(colour for colour in ranked[:MOST_COLOURS] if colour[2] >= LEAST_SHARE)
