"""What each step does, in words, and the main colours of the cloth after it."""

from dataclasses import dataclass

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.outcome import Outcome
from batiksim.cloth.program import Emit, all_plates
from batiksim.colour import spectra
from batiksim.colour.gamut import xyz_to_hex
from batiksim.texts.catalogue import Message, say
from batiksim.values import Design, DyeBath, RemoveWax, Wax
from batiksim.values.colour_words import name_message
from batiksim.values.step_words import Kind, step_kind, step_words

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
    title: Message | str
    detail: Message | str
    pots: tuple[tuple[str, str], ...]
    colours: tuple[tuple[Message, str, float], ...]


def wax_left(design: Design) -> bool:
    """Whether wax is still on the cloth after the last step."""
    left = False
    for step in design.steps:
        left = isinstance(step, Wax) or (left and not isinstance(step, RemoveWax))
    return left


def pot_hex(design: Design, dyes: ClothDyes, name: str) -> str:
    """The colour a pot dries to on the bare cloth."""
    return xyz_to_hex(spectra.reflectance_to_xyz(dyes.reflectance(dyes.taken_ks([design.pot(name)]))))


def stages(outcome: Outcome) -> tuple[Stage, ...]:
    """Every plate of a design with words and colours."""
    return tuple(_stage(outcome, emit) for emit in all_plates(outcome.design))


def _stage(outcome: Outcome, emit: Emit) -> Stage:
    design = outcome.design
    kind: Kind = "bare"
    title: Message | str = say("cloth.stage.bare")
    detail: Message | str = ""
    pots: tuple[tuple[str, str], ...] = ()
    if emit.finished:
        kind, title = "cloth", say("cloth.stage.finished")
    elif emit.step > 0:
        step = design.steps[emit.step - 1]
        kind = step_kind(step)
        title, detail = (str(words or "") for words in step_words(design, emit.step))
        if isinstance(step, DyeBath):
            pots = tuple((paint.pot, pot_hex(design, outcome.dyes, paint.pot)) for paint in step.paints)
    colours = stage_colours(outcome, emit.step)
    return Stage(emit=emit, kind=kind, title=title, detail=detail, pots=pots, colours=colours)


def stage_colours(outcome: Outcome, step: int) -> tuple[tuple[Message, str, float], ...]:
    """The cloth's main colours after a step, wax out: (name, "#rrggbb", share), the largest first."""
    ranked = outcome.colours_after(step, most=MOST_LOOKED)
    large = (colour for colour in ranked[:MOST_COLOURS] if colour[2] >= LEAST_SHARE)
    return tuple((name_message(name), hexed, share) for name, hexed, share in large)
