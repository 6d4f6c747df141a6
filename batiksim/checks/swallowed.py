"""Swallowed colours: a pot brushed on somewhere whose colour a later dyeing takes from nearly all of it."""

from collections.abc import Iterator
from dataclasses import dataclass

from batiksim.checks.mud import is_wished, mud_share, overlaps
from batiksim.checks.remedies import SpoiltRegion, remedies
from batiksim.checks.scene.scene import Scene, colour_words
from batiksim.cloth.outcome import History
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.names import colour_name
from batiksim.dyes.mud import DULL_WORDS, is_clear
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.values import Finding

HUELESS = (*DULL_WORDS, "black")


@dataclass(frozen=True, kw_only=True)
class Swallowed:
    """When a brushed colour counts as lost. Assumptions.

    most : part of the cloth a pot was brushed on, from which losing its colour is no choice of the maker's any more:
        what is waxed in time keeps it, and covering the rest is common practice
    least_share, serious_share : of the cloth, where it is worth mentioning, and where it is serious
    gone : CIEDE2000 by which the colour must change
    """

    most: float = 0.85
    least_share: float = 0.003
    serious_share: float = 0.1
    gone: float = 10.0


def swallowed(scene: Scene, settings: Swallowed) -> Iterator[Finding]:
    """Every brushed pot whose colour is brown, olive, grey or black nearly everywhere, unless mud says it already."""
    told = {one.history.reached for one in overlaps(scene)}
    for pot in _brushed_pots(scene):
        spots = _spots(scene, pot, settings)
        share = sum(scene.share(one.history) for one in spots)
        if share < settings.least_share or share < settings.most * _reached(scene, pot):
            continue
        untold = [one for one in spots if one.history.reached not in told]
        if sum(scene.share(one.history) for one in untold) > share / 2:
            yield _finding(scene, settings, pot, untold, share)


def _brushed_pots(scene: Scene) -> list[str]:
    """Pots that some dyeing brushes on by a picture."""
    paints = [paint for _, bath in scene.dye_baths() for paint in bath.paints]
    return list(dict.fromkeys(paint.pot for paint in paints if paint.where is not None))


def _first(scene: Scene, history: History, pot: str) -> int | None:
    """The dyeing that brushed a pot on a region first."""
    ops = [o for o in scene.layers(history).dyeings if scene.op_pot(o) == pot]
    return next((o for o in ops if scene.program.ops[o, 1] >= 0), None)


def _reached(scene: Scene, pot: str) -> float:
    """The part of the cloth that a pot was brushed on."""
    return sum(scene.share(one) for one in scene.histories if _first(scene, one, pot) is not None)


def shown_share(scene: Scene) -> float:
    """The parts of the cloth where a pot was brushed on and shows in the end, added up over the pots."""
    return sum(_shown(scene, pot) for pot in _brushed_pots(scene))


def _shown(scene: Scene, pot: str) -> float:
    """The part of the cloth where a pot was brushed on and a clear colour is left in the end."""
    own = colour_name(scene.lab_of_ks(scene.pot_ks(pot))).plain
    shown = 0.0
    for history in scene.histories:
        if _first(scene, history, pot) is not None and is_clear(lab := scene.lab(history)):
            plain = colour_name(lab).plain
            shown += scene.share(history) if plain == own or plain not in HUELESS else 0.0
    return shown


def _spots(scene: Scene, pot: str, settings: Swallowed) -> list[SpoiltRegion]:
    """Regions where a pot gave a clear colour that a later dyeing took away and nobody asked for, the largest first."""
    found = []
    for history in scene.histories:
        o = _first(scene, history, pot)
        later = [p for p in scene.layers(history).dyeings if o is not None and p > o]
        if o is None or not later:
            continue
        bright, after = scene.lab(history, before=o + 1), scene.lab(history)
        was, now = colour_name(bright).plain, colour_name(after).plain
        if not is_clear(bright) or now not in HUELESS or now == was or delta_e_2000(bright, after) < settings.gone:
            continue
        if not is_wished(scene, history):
            then = {p: colour_name(scene.lab(history, before=p + 1)).plain for p in later}
            took = next((p for p in later if then[p] in HUELESS and then[p] != was), None)
            if took is None:  # it was bleached away
                continue
            found.append(SpoiltRegion(history=history, o=took, before=scene.lab(history, before=took), after=after))
    return found


def _finding(scene: Scene, settings: Swallowed, pot: str, spots: list[SpoiltRegion], share: float) -> Finding:
    worst = max(spots, key=lambda one: one.history.pixels)
    was, now = colour_words(worst.before), colour_words(scene.lab(worst.history, before=worst.o + 1))
    end = colour_words(worst.after)
    parts = {"over": scene.op_pot(worst.o), "pot": pot, "share": percent(share / _reached(scene, pot)), "was": was}
    return Finding(
        code="lost",
        severity="serious" if share >= settings.serious_share else "warn",
        step=scene.op_step(worst.o),
        place=scene.region_place(worst.history),
        message=say("checks.lost.colour", now=now, **parts)
        if end == now
        else say("checks.lost.colour_in_the_end", now=now, end=end, **parts),
        remedy=_remedies(scene, settings, pot, worst),
        numbers={"share": share, "brushed_share": share / _reached(scene, pot)},
        **scene.concerned([*scene.ops_with(pot), worst.o]),
    )


def _remedies(scene: Scene, settings: Swallowed, pot: str, worst: SpoiltRegion) -> Message:
    most = mud_share(scene) + settings.least_share

    def cured(after: Scene) -> bool:
        """Whether the pot's colour stays, with no more mud."""
        return _shown(after, pot) > (1 - settings.most) * _reached(after, pot) and mud_share(after) <= most

    return remedies(scene, worst, cured=cured)
