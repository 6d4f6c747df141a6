"""Mud: overlaps that turn brown, olive or grey though the dyes are clear, and what would help, each tried out first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from batiksim.cloth.program import DYE
from batiksim.cloth.regions import History
from batiksim.colour.names import colour_name
from batiksim.colour.spaces import delta_e_2000
from batiksim.plan.checks.order import swapped
from batiksim.plan.checks.scene import Array, Scene, colour_words
from batiksim.plan.checks.trial import trial
from batiksim.plan.mud import DEFAULT_RULE, MudRule, is_dull, is_mud
from batiksim.values import Design, Finding, Wax

__all__ = ["Mud", "mud", "mud_share", "stands_in"]

MUDDY = ("brown", "olive", "grey")


@dataclass(frozen=True, kw_only=True)
class Mud:
    """Which muddy overlaps are worth a word, by share of the cloth. Assumptions.

    least_share : anything smaller is an edge; warn_share, serious_share : from there on it is worse
    cured : a remedy must leave at most this part of the mud
    margin : dull colours reach so much farther into chroma than in the rule for single colours: washes are uneven, and
        a region is judged at its mean depth
    """

    least_share: float = 0.003
    warn_share: float = 0.01
    serious_share: float = 0.1
    cured: float = 0.2
    margin: float = 1.12

    @property
    def rule(self) -> MudRule:
        """The rule for mud with its margin; parents count as clear as before."""
        wider = tuple((hue, chroma * self.margin) for hue, chroma in DEFAULT_RULE.dull_chroma)
        return replace(DEFAULT_RULE, dull_chroma=wider, parent_share=DEFAULT_RULE.parent_share / self.margin)


@dataclass(frozen=True, kw_only=True)
class Overlap:
    """A muddy region: the dyeing that spoilt it, its colour just before and at the end."""

    history: History
    o: int
    before: Array
    after: Array


def mud(scene: Scene, settings: Mud) -> Iterator[Finding]:
    """Every muddy region of the finished cloth, joined where the same dyeing spoilt the same colour."""
    groups: dict[tuple[int, str], list[Overlap]] = {}
    for overlap in _overlaps(scene, settings.rule):
        earlier = " + ".join(scene.op_pot(o) for o in overlap.history.reached if o < overlap.o)
        groups.setdefault((overlap.o, earlier), []).append(overlap)
    for (o, earlier), overlaps in groups.items():
        share = sum(scene.share(one.history) for one in overlaps)
        if share >= settings.least_share:
            yield _finding(scene, settings, scene.op_pot(o), earlier, overlaps[0], share)


def mud_share(scene: Scene, rule: MudRule) -> float:
    """The part of the finished cloth that is mud, 0..1."""
    return sum(scene.share(overlap.history) for overlap in _overlaps(scene, rule))


def _overlaps(scene: Scene, rule: MudRule) -> list[Overlap]:
    found = []
    for history in scene.histories:
        dyeings = [o for o in history.reached if scene.program.ops[o, 0] == DYE]
        if len(dyeings) < 2 or not _muddy(scene, history, dyeings, rule):
            continue
        # the dyeing that turned it: the first with which it is mud
        count = next(n for n in range(2, len(dyeings) + 1) if _muddy(scene, history, dyeings[:n], rule))
        o = dyeings[count - 1]
        before, after = scene.lab(history, before=o), scene.lab(history)
        found.append(Overlap(history=history, o=o, before=before, after=after))
    return found


def _muddy(scene: Scene, history: History, dyeings: list[int], rule: MudRule) -> bool:
    """Whether these dyeings, and the discharges up to the last of them, leave mud."""
    later = set(history.reached) - set(dyeings) if dyeings[-1] == max(history.reached) else set()
    upto = [o for o in history.reached if o <= dyeings[-1] or o in later]
    parents = np.stack([scene.alone(history, o) for o in dyeings])
    return is_mud(scene.lab(replace(history, reached=tuple(upto))), parents, rule=rule)


def _finding(scene: Scene, settings: Mud, pot: str, earlier: str, overlap: Overlap, share: float) -> Finding:
    was, now = colour_words(overlap.before), colour_words(overlap.after)
    worst = "serious" if share >= settings.serious_share else "warn" if share >= settings.warn_share else "note"
    return Finding(
        code="mud",
        severity=worst,  # type: ignore[arg-type]
        step=scene.op_step(overlap.o),
        place=scene.region_place(overlap.history),
        message=f"{pot} over {earlier} goes muddy: {was} turns to {now} on {share:.1%} of the cloth.",
        remedy=remedies(scene, settings, overlap),
    )


def remedies(scene: Scene, settings: Mud, overlap: Overlap) -> str:
    """What would help on this design, every way tried out: at most three, the nearest to the maker's plan first."""
    ways = (_earlier_wax, _swap, _wax_first, _weaker, _other_pot)
    found: list[str] = []
    for way in ways:
        told = way(scene, settings, overlap)
        if told and not (way is _wax_first and found and found[0].startswith("wax ")):
            found.append(told)
    if not found:
        return "Wax these places before this bath."
    text = "; or ".join(found[:3])
    return f"{text[0].upper()}{text[1:]}."


def _cured(scene: Scene, settings: Mud, design: Design) -> bool:
    """Whether a changed design has hardly any of the mud left, and no fewer colours."""
    was = sum(scene.share(overlap.history) for overlap in _overlaps(scene, settings.rule))
    after = trial(scene, design)
    return mud_share(after, settings.rule) <= settings.cured * was and _colours(after) >= _colours(scene)


def _colours(scene: Scene) -> int:
    """Colours on the finished cloth that can be told apart (CIEDE2000 of 10, on a hundredth of it: assumptions)."""
    seen: list[Array] = []
    for history in scene.histories:
        if scene.share(history) >= 0.01:
            lab = scene.lab(history)
            if all(delta_e_2000(lab, other) >= 10 for other in seen):
                seen.append(lab)
    return len(seen)


def _earlier_wax(scene: Scene, settings: Mud, overlap: Overlap) -> str:
    """A waxing that comes later anyway and covers these places: moved before the bath that spoils them."""
    step = scene.op_step(overlap.o)
    for number, later in enumerate(scene.design.steps, start=1):
        if number <= step or not isinstance(later, Wax):
            continue
        steps = [one for one in scene.design.steps if one is not later]
        steps.insert(step - 1, later)
        if _cured(scene, settings, replace(scene.design, steps=tuple(steps))):
            return (
                f"wax {later.mask.picture} (now step {number}) before step {step}: these places then stay "
                f"{colour_words(overlap.before)}"
            )
    return ""


def _swap(scene: Scene, settings: Mud, overlap: Overlap) -> str:
    """The two dyeings in each other's place."""
    late = scene.op_step(overlap.o)
    earlier = [o for o in overlap.history.reached if o < overlap.o and scene.program.ops[o, 0] == DYE]
    for o in reversed(earlier):
        early = scene.op_step(o)
        if early != late and _cured(scene, settings, swapped(scene.design, early, late)):
            return f"dye {scene.op_pot(overlap.o)} before {scene.op_pot(o)} (swap steps {early} and {late})"
    return ""


def _wax_first(scene: Scene, settings: Mud, overlap: Overlap) -> str:
    """Wax over these places just before the bath: they keep what they have."""
    if not _clear(settings, overlap.before):
        return ""
    step, pot = scene.op_step(overlap.o), scene.op_pot(overlap.o)
    return f"wax these places before {pot} (step {step}): they stay {colour_words(overlap.before)}"


def _weaker(scene: Scene, settings: Mud, overlap: Overlap) -> str:
    """The bath that spoils it, thinned as little as it takes; below a third it would be another colour."""
    pot = scene.design.pot(scene.op_pot(overlap.o))
    for part, words in ((0.75, "three quarters"), (0.5, "half"), (0.35, "a third")):
        lab = _with_pot(scene, overlap, scene.pot_ks(pot.name, part))
        if _clear(settings, lab):
            return f"weaken {pot.name} to {words} of its strength: {colour_words(lab)} here"
    return ""


def _other_pot(scene: Scene, settings: Mud, overlap: Overlap) -> str:
    """Another pot or dye of the design in place of the bath: of those that stay clear, the nearest to it."""
    name = scene.op_pot(overlap.o)
    own = scene.lab_of_ks(scene.pot_ks(name))
    names = [pot.name for pot in scene.design.pots] + [dye.name for dye in scene.design.dyes]
    choices = []
    for other in names:
        ks = scene.pot_ks(other)
        lab = _with_pot(scene, overlap, ks)
        away = float(delta_e_2000(own, scene.lab_of_ks(ks)))
        like = other != name and stands_in(scene, other, name)
        if like and _clear(settings, lab) and delta_e_2000(lab, overlap.before) >= 8:
            choices.append((away, other, lab))
    if not choices:
        return ""
    _, other, lab = min(choices, key=lambda choice: choice[0])
    return f"use {other} instead of {name}: {colour_words(lab)} here"


def stands_in(scene: Scene, other: str, name: str) -> bool:
    """Whether a pot may be offered in the place of another: another colour, not too far from it, about as strong."""
    own, new = (scene.lab_of_ks(scene.pot_ks(one)) for one in (name, other))
    return 8 < float(delta_e_2000(own, new)) < 40 and abs(float(new[0] - own[0])) < 20


def _clear(settings: Mud, lab: Array) -> bool:
    """Whether a colour can be offered: neither dull by the rule nor brown, olive or grey by name."""
    return not is_dull(lab, rule=settings.rule) and colour_name(lab).plain not in MUDDY


def _with_pot(scene: Scene, overlap: Overlap, ks: Array) -> Array:
    """The overlap's colour with another pot in the bath that spoils it, at the mask's level there."""
    history = overlap.history
    own = scene.ks(history, before=overlap.o + 1) - scene.ks(history, before=overlap.o)
    full = scene.pot_ks(scene.op_pot(overlap.o))
    level = float(own.sum() / full.sum()) if full.sum() > 0 else 1.0
    later = scene.ks(history) - scene.ks(history, before=overlap.o + 1)
    return scene.lab_of_ks(np.maximum(scene.ks(history, before=overlap.o) + level * ks + later, 0))
