"""Faint: pots too pale to show, and neighbouring regions that are hard to tell apart."""

from collections.abc import Iterator
from dataclasses import dataclass

from batiksim.checks.order import landings
from batiksim.checks.scene.adjacency import Border, borders
from batiksim.checks.scene.scene import Scene, colour_words, in_cm
from batiksim.cloth.outcome import History
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.colour_vision import COMMON, seen_with
from batiksim.colour.names import layered
from batiksim.texts.catalogue import Message, say
from batiksim.values import Finding


@dataclass(frozen=True, kw_only=True)
class Faint:
    """What counts as hard to see; CIEDE2000. Assumptions: 1 is just seen side by side, 4 across a room.

    pale : a pot that changes bare cloth less than this hardly shows
    alike : neighbours nearer than this are hard to tell apart
    clear : neighbours at least this far apart are told apart by most eyes; only then colour vision is worth mentioning
    least_border_mm : shared edge, without wax line between, that makes two regions neighbours worth naming
    least_share : of the cloth, below which a region has no pattern to lose
    """

    pale: float = 4.0
    alike: float = 4.0
    clear: float = 10.0
    least_border_mm: float = 60.0
    least_share: float = 0.005


def faint(scene: Scene, settings: Faint) -> Iterator[Finding]:
    """Pale pots, then regions side by side that look alike to all, or to many."""
    for landing in landings(scene, hidden=settings.pale):
        if landing.on_bare < settings.pale:
            pot, step = scene.op_pot(landing.o), scene.op_step(landing.o)
            place = scene.region_place(max(landing.spots, key=lambda one: one.pixels))
            message = say("checks.faint.pale", pot=pot, change=round(float(landing.on_bare), 1))
            remedy = say("checks.faint.pale_remedy", pot=pot)
            yield Finding(
                code="faint",
                severity="warn",
                step=step,
                place=place,
                message=message,
                remedy=remedy,
                numbers={"change_de": landing.on_bare, "share": landing.area},
                **scene.concerned(scene.ops_with(pot)),
            )
    for border in _told_apart(scene, settings):
        yield from _pair(scene, settings, border)


def _told_apart(scene: Scene, settings: Faint) -> Iterator[Border]:
    """Borders that the maker made on purpose: not those that one last strong bath covered together."""
    large = [one for one in scene.histories if scene.share(one) >= settings.least_share]
    for border in borders(scene, large, least_mm=settings.least_border_mm):
        one, other = border.pair
        if one.reached[-1:] != other.reached[-1:]:
            yield border


def _pair(scene: Scene, settings: Faint, border: Border) -> Iterator[Finding]:
    labs = [scene.lab(history) for history in border.pair]
    apart = float(delta_e_2000(labs[0], labs[1]))
    reached = [o for history in border.pair for o in history.reached]
    step, numbers = max(map(scene.op_step, reached)), {"apart_de": apart, "border_mm": border.mm}
    one, other = (_named(scene, history) for history in border.pair)
    parts = {"one": one, "other": other, "length": in_cm(border.mm)}
    if apart < settings.alike:
        message = say("checks.faint.alike", apart=round(apart, 1), **parts)
        remedy = say("checks.faint.alike_remedy")
        yield Finding(
            code="faint",
            severity="warn",
            step=step,
            place=border.place,
            message=message,
            remedy=remedy,
            numbers=numbers,
            **scene.concerned(reached),
        )
        return
    if apart < settings.clear:
        return
    for vision in COMMON:
        left = float(delta_e_2000(*(seen_with(lab, vision) for lab in labs)))
        if left < settings.alike:
            yield Finding(
                code="faint",
                severity="note",
                step=step,
                place=border.place,
                message=say("checks.faint.alike_to_some", vision=say(f"colour.vision.{vision}"), **parts),
                remedy=say("checks.faint.alike_to_some_remedy"),
                numbers=numbers | {"apart_to_some_de": left},
                **scene.concerned(reached),
            )
            return


def _named(scene: Scene, history: History) -> Message:
    """A region by its colour and how it came about."""
    made = layered(scene.op_pot(o) for o in history.reached) if history.reached else say("phrase.bare_cloth")
    return say("checks.region", colour=colour_words(scene.lab(history)), made=made)
