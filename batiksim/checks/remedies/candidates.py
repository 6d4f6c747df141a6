"""What would help where a later dyeing spoils a colour: every way tried out on this design first."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import reduce

import numpy as np

from batiksim.checks.order import swapped
from batiksim.checks.scene.scene import Scene, colour_words
from batiksim.cloth.outcome import History
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.names import colour_name
from batiksim.dyes.mud import DULL_WORDS, REMEDY_RULE, is_clear, is_dull
from batiksim.texts.catalogue import Message, say
from batiksim.types import Floats
from batiksim.values import Design, Wax

MOST_MOVES = 6  # of one kind that are tried out, the nearest first
Cured = Callable[[Design], bool]


@dataclass(frozen=True, kw_only=True)
class SpoiltRegion:
    """A region that a later dyeing spoils: the dyeing, the region's colour just before and at the end."""

    history: History
    o: int
    before: Floats
    after: Floats


@dataclass(frozen=True, kw_only=True)
class _RemedySearch:
    scene: Scene
    spoilt: SpoiltRegion
    cured: Cured


def remedies(scene: Scene, spoilt: SpoiltRegion, *, cured: Cured) -> Message:
    """What would help on this design, every way tried out: at most three, the nearest to the maker's plan first.

    cured : whether a changed design has the trouble no more
    """
    case = _RemedySearch(scene=scene, spoilt=spoilt, cured=cured)
    waxing = _earlier_wax(case)
    ways = waxing, _swap(case), None if waxing else _wax_first(case), _weaker(case), _other_pot(case)
    found = [way for way in ways if way is not None]
    if not found:
        return wax_first(scene, spoilt.o)
    return say(
        "checks.remedy.of", ways=reduce(lambda one, other: say("checks.remedy.or", one=one, other=other), found[:3])
    )


def wax_first(scene: Scene, o: int) -> Message:
    """What helps against any later dyeing."""
    return say("checks.remedy.wax", step=scene.op_step(o))


def colours(scene: Scene) -> int:
    """Colours on the finished cloth that can be told apart (CIEDE2000 of 10, on a hundredth of it: assumptions)."""
    seen: list[Floats] = []
    for history in scene.histories:
        if scene.share(history) >= 0.01:
            lab = scene.lab(history)
            if not seen or delta_e_2000(lab, np.array(seen)).min() >= 10:
                seen.append(lab)
    return len(seen)


def _earlier_wax(case: _RemedySearch) -> Message | None:
    """A waxing that comes later anyway and covers these places: moved before the bath that spoils them."""
    scene, spoilt = case.scene, case.spoilt
    step = scene.op_step(spoilt.o)
    waxings = [(n, later) for n, later in enumerate(scene.design.steps, start=1) if n > step and isinstance(later, Wax)]
    for number, later in waxings[:MOST_MOVES]:
        steps = [one for one in scene.design.steps if one is not later]
        steps.insert(step - 1, later)
        if case.cured(replace(scene.design, steps=tuple(steps))):
            colour = colour_words(spoilt.before)
            return say("checks.remedy.earlier_wax", mask=later.mask.called, number=number, step=step, colour=colour)
    return None


def _swap(case: _RemedySearch) -> Message | None:
    """The two dyeings in each other's place."""
    scene, spoilt = case.scene, case.spoilt
    late = scene.op_step(spoilt.o)
    earlier = [o for o in scene.layers(spoilt.history).dyeings if o < spoilt.o]
    for o in earlier[: -1 - MOST_MOVES : -1]:
        early = scene.op_step(o)
        if early != late and case.cured(swapped(scene.design, early, late)):
            pots = {"late_pot": scene.op_pot(spoilt.o), "early_pot": scene.op_pot(o)}
            return say("checks.remedy.swap", early=early, late=late, **pots)
    return None


def _wax_first(case: _RemedySearch) -> Message | None:
    """Wax over these places just before the bath: they keep what they have."""
    scene, spoilt = case.scene, case.spoilt
    if not _clear(case, spoilt.before) and not _one_pot(case):
        return None
    step, pot = scene.op_step(spoilt.o), scene.op_pot(spoilt.o)
    return say("checks.remedy.wax_first", pot=pot, step=step, colour=colour_words(spoilt.before))


def _weaker(case: _RemedySearch) -> Message | None:
    """The bath that spoils it, thinned as little as it takes; below a third it would be another colour."""
    scene, spoilt = case.scene, case.spoilt
    pot = scene.design.pot(scene.op_pot(spoilt.o))
    for part, name in ((0.75, "three_quarters"), (0.5, "half"), (0.35, "a_third")):
        lab = _with_pot(case, scene.pot_ks(pot.name, part))
        if _clear(case, lab):
            to = say(f"checks.remedy.{name}")
            return say("checks.remedy.weaker", pot=pot.name, part=to, colour=colour_words(lab))
    return None


def _other_pot(case: _RemedySearch) -> Message | None:
    """Another pot or dye of the design in place of the bath: of those that stay clear, the nearest to it."""
    scene, spoilt = case.scene, case.spoilt
    name = scene.op_pot(spoilt.o)
    own = scene.lab_of_ks(scene.pot_ks(name))
    names = dict.fromkeys([pot.name for pot in scene.design.pots] + [dye.name for dye in scene.design.dyes])
    choices = []
    for other in (one for one in names if stands_in(scene, one, name)):
        ks = scene.pot_ks(other)
        lab = _with_pot(case, ks)
        away = float(delta_e_2000(own, scene.lab_of_ks(ks)))
        if _clear(case, lab) and delta_e_2000(lab, spoilt.before) >= 8:
            choices.append((away, other, lab))
    if not choices:
        return None
    _, other, lab = min(choices, key=lambda choice: choice[0])
    return say("checks.remedy.other_pot", other=other, pot=name, colour=colour_words(lab))


def _clear(case: _RemedySearch, lab: Floats) -> bool:
    """Whether a colour can be offered: neither dull by the rule nor near black, brown, olive or grey by name."""
    near_black = lab[0] < REMEDY_RULE.clear_light and "black" in colour_name(lab).name
    return not near_black and not is_dull(lab, rule=REMEDY_RULE) and colour_name(lab).plain not in DULL_WORDS


def _one_pot(case: _RemedySearch) -> bool:
    """Whether what is spoilt was one clear pot's own colour: mixed olive is mud, olive from a pot is meant."""
    scene, spoilt = case.scene, case.spoilt
    before = [o for o in scene.layers(spoilt.history).dyeings if o < spoilt.o]
    return len(before) == 1 and is_clear(spoilt.before)


def _with_pot(case: _RemedySearch, ks: Floats) -> Floats:
    """The region's colour with another pot in the bath that spoils it, at the mask's level there."""
    scene, spoilt = case.scene, case.spoilt
    history = spoilt.history
    own = scene.ks(history, before=spoilt.o + 1) - scene.ks(history, before=spoilt.o)
    full = scene.pot_ks(scene.op_pot(spoilt.o))
    level = float(own.sum() / full.sum()) if full.sum() > 0 else 1.0
    later = scene.ks(history) - scene.ks(history, before=spoilt.o + 1)
    return scene.lab_of_ks(np.maximum(scene.ks(history, before=spoilt.o) + level * ks + later, 0))


def stands_in(scene: Scene, other: str, name: str) -> bool:
    """Whether a pot may be offered in the place of another: of other dyes, another colour, not too far, as strong."""
    if set(scene.design.pot(other).dyes) == set(scene.design.pot(name).dyes):
        return False
    own, new = (scene.lab_of_ks(scene.pot_ks(one)) for one in (name, other))
    return 8 < float(delta_e_2000(own, new)) < 40 and abs(float(new[0] - own[0])) < 20
