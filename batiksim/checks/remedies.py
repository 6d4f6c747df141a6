"""What would help where a later dyeing spoils a colour: every way tried out on this design first."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property, reduce

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
Cured = Callable[[Scene], bool]


@dataclass(frozen=True, eq=False, kw_only=True)
class SpoiltRegion:
    """A region that a later dyeing spoils: the dyeing, the region's colour just before and at the end."""

    history: History
    o: int
    before: Floats
    after: Floats


def remedies(scene: Scene, spoilt: SpoiltRegion, *, cured: Cured) -> Message:
    """What would help on this design, every way tried out: at most three, the nearest to the maker's plan first.

    cured : whether a changed cloth has the trouble no more; one with fewer colours is never offered
    """
    found = _RemedySearch(scene=scene, spoilt=spoilt, cured=cured).ways()
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


def stands_in(scene: Scene, other: str, name: str) -> bool:
    """Whether a pot may be offered in the place of another: of other dyes, another colour, not too far, as strong."""
    if set(scene.design.pot(other).dyes) == set(scene.design.pot(name).dyes):
        return False
    own, new = (scene.lab_of_ks(scene.pot_ks(one)) for one in (name, other))
    return 8 < float(delta_e_2000(own, new)) < 40 and abs(float(new[0] - own[0])) < 20


@dataclass(frozen=True, kw_only=True)
class _RemedySearch:
    scene: Scene
    spoilt: SpoiltRegion
    cured: Cured

    @property
    def step(self) -> int:
        """The step that spoils it."""
        return self.scene.op_step(self.spoilt.o)

    @property
    def pot(self) -> str:
        """The pot that spoils it."""
        return self.scene.op_pot(self.spoilt.o)

    @cached_property
    def colours(self) -> int:
        return colours(self.scene)

    @cached_property
    def earlier(self) -> list[int]:
        """The region's dyeings before."""
        return [o for o in self.scene.layers(self.spoilt.history).dyeings if o < self.spoilt.o]

    def helps(self, design: Design) -> bool:
        """Whether a changed design, tried out, has the trouble no more, and no fewer colours."""
        after = self.scene.trial(design)
        return self.cured(after) and colours(after) >= self.colours

    def ways(self) -> list[Message]:
        waxing = self.earlier_wax()
        ways = waxing, self.swap(), None if waxing else self.wax_first(), self.weaker(), self.other_pot()
        return [way for way in ways if way is not None]

    def earlier_wax(self) -> Message | None:
        """A waxing that comes later anyway and covers these places: moved before the bath that spoils them."""
        steps, step = self.scene.design.steps, self.step
        waxings = [(n, later) for n, later in enumerate(steps, start=1) if n > step and isinstance(later, Wax)]
        for number, later in waxings[:MOST_MOVES]:
            moved = [one for one in steps if one is not later]
            moved.insert(step - 1, later)
            if self.helps(replace(self.scene.design, steps=tuple(moved))):
                colour = colour_words(self.spoilt.before)
                return say("checks.remedy.earlier_wax", mask=later.mask.called, number=number, step=step, colour=colour)
        return None

    def swap(self) -> Message | None:
        """The two dyeings in each other's place."""
        for o in self.earlier[: -1 - MOST_MOVES : -1]:
            early, late = self.scene.op_step(o), self.step
            if early != late and self.helps(swapped(self.scene.design, early, late)):
                pots = {"late_pot": self.pot, "early_pot": self.scene.op_pot(o)}
                return say("checks.remedy.swap", early=early, late=late, **pots)
        return None

    def wax_first(self) -> Message | None:
        """Wax over these places just before the bath: they keep what they have."""
        before = self.spoilt.before
        if not _clear(before) and not self.one_pot():
            return None
        return say("checks.remedy.wax_first", pot=self.pot, step=self.step, colour=colour_words(before))

    def weaker(self) -> Message | None:
        """The bath that spoils it, thinned as little as it takes; below a third it would be another colour."""
        for part, name in ((0.75, "three_quarters"), (0.5, "half"), (0.35, "a_third")):
            lab = self.with_pot(self.scene.pot_ks(self.pot, part))
            if _clear(lab):
                to = say(f"checks.remedy.{name}")
                return say("checks.remedy.weaker", pot=self.pot, part=to, colour=colour_words(lab))
        return None

    def other_pot(self) -> Message | None:
        """Another pot or dye of the design in place of the bath: of those that stay clear, the nearest to it."""
        scene = self.scene
        own = scene.lab_of_ks(scene.pot_ks(self.pot))
        names = dict.fromkeys([pot.name for pot in scene.design.pots] + [dye.name for dye in scene.design.dyes])
        choices = []
        for other in (one for one in names if stands_in(scene, one, self.pot)):
            ks = scene.pot_ks(other)
            lab = self.with_pot(ks)
            away = float(delta_e_2000(own, scene.lab_of_ks(ks)))
            if _clear(lab) and delta_e_2000(lab, self.spoilt.before) >= 8:
                choices.append((away, other, lab))
        if not choices:
            return None
        _, other, lab = min(choices, key=lambda choice: choice[0])
        return say("checks.remedy.other_pot", other=other, pot=self.pot, colour=colour_words(lab))

    def one_pot(self) -> bool:
        """Whether what is spoilt was one clear pot's own colour: mixed olive is mud, olive from a pot is meant."""
        return len(self.earlier) == 1 and is_clear(self.spoilt.before)

    def with_pot(self, ks: Floats) -> Floats:
        """The region's colour with another pot in the bath that spoils it, at the mask's level there."""
        history, o = self.spoilt.history, self.spoilt.o
        before, after, end = (self.scene.outcome.ks(history, before=at) for at in (o, o + 1, None))
        full = self.scene.pot_ks(self.pot)
        level = float((after - before).sum() / full.sum()) if full.sum() > 0 else 1.0
        return self.scene.lab_of_ks(np.maximum(before + level * ks + (end - after), 0))


def _clear(lab: Floats) -> bool:
    """Whether a colour can be offered: neither dull by the rule nor near black, brown, olive or grey by name."""
    near_black = lab[0] < REMEDY_RULE.clear_light and "black" in colour_name(lab).name
    return not near_black and not is_dull(lab, rule=REMEDY_RULE) and colour_name(lab).plain not in DULL_WORDS
