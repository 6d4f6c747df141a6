"""Remedies that can be tried out with one press: for a finding, the changes that were seen to help.

Each proposal is a list of changes as in `changes.py`, tried on the rough masks before it is offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from batiksim.errors import BatikError
from batiksim.plan.checks.mending import stands_in
from batiksim.plan.checks.mud import Mud, mud_share
from batiksim.plan.checks.order import landings
from batiksim.plan.checks.scene import Scene
from batiksim.plan.checks.trial import trial
from batiksim.values import Design, Discharge, DyeBath, Finding, MaskUse, Wax
from batiksim.worktable.changes import changed
from batiksim.worktable.shelf import plain_stem

__all__ = ["Proposal", "proposals"]

Proposal = dict[str, Any]  # words, changes
Moved = Callable[[], Mapping[MaskUse, MaskUse]]  # each mask that lies beside its place, and what it is moved to
Way = tuple[str, list[Any]]
CURED = 0.35  # a proposal leaves at most this part of the trouble (assumption)
HIDDEN = 4.0  # CIEDE2000 under which a dyeing hardly shows, as in the check of orders
MOST = 3


def proposals(scene: Scene, finding: Finding, moved: Moved) -> list[Proposal]:
    """At most three remedies for a finding that were seen to work, the least change first.

    moved : finds the masks that lie beside their places; it takes a while, and is asked only where it matters
    """
    if finding.code == "fit":
        return list(_fit(scene.design, finding, moved()))
    maker = _MAKERS.get(finding.code)
    return [] if maker is None else list(maker(scene, finding))[:MOST]


def _mud(scene: Scene, finding: Finding) -> Iterator[Proposal]:
    before = mud_share(scene, Mud().rule)
    step = finding.step
    ways = (_forward, _wax_first, _exchanged, _weaker, _others)
    for words, changes in [one for way in ways for one in way(scene, step)]:
        after = _tried(scene, changes)
        if after is not None and mud_share(after, Mud().rule) <= CURED * before:
            yield {"words": words, "changes": changes}


def _order(scene: Scene, finding: Finding) -> Iterator[Proposal]:
    before = _hidden(scene)
    for words, changes in [*_forward(scene, finding.step), *_exchanged(scene, finding.step)]:
        after = _tried(scene, changes)
        if after is not None and _hidden(after) < 0.7 * before:
            yield {"words": words, "changes": changes}


def _wasted(scene: Scene, finding: Finding) -> Iterator[Proposal]:
    if 1 <= finding.step <= len(scene.design.steps):
        yield {"words": f"Take step {finding.step} out", "changes": [{"do": "remove", "step": finding.step}]}


def _depth(scene: Scene, finding: Finding) -> Iterator[Proposal]:
    for words, changes in _weaker(scene, finding.step):
        yield {"words": words, "changes": changes}


def _tried(scene: Scene, changes: list[Any]) -> Scene | None:
    try:
        return trial(scene, changed(scene.design, changes))
    except BatikError:
        return None


def _hidden(scene: Scene) -> float:
    """The area on which dyeings hardly show, each counted; shares of the cloth."""
    return sum(landing.hidden * landing.area for landing in landings(scene, hidden=HIDDEN))


def _forward(scene: Scene, step: int) -> list[Way]:
    """Later waxings brought forward."""
    found: list[Way] = []
    for number, later in enumerate(scene.design.steps, start=1):
        if number > step and isinstance(later, Wax):
            words = f"Wax “{plain_stem(later.mask.picture)}” before step {step}"
            found.append((words, [{"do": "move", "step": number, "to": step}]))
    return found


def _wax_first(scene: Scene, step: int) -> list[Way]:
    """A new waxing of what was brushed before, by the picture of that brushing; unless it is waxed later anyway."""
    steps = scene.design.steps
    known = {one.mask.picture for one in steps if isinstance(one, Wax)}
    found: list[Way] = []
    for number in range(step - 1, 0, -1):
        bath = steps[number - 1]
        for paint in bath.paints if isinstance(bath, DyeBath) else ():
            if paint.where is not None and paint.where.picture not in known:
                known.add(paint.where.picture)
                words = f"Wax “{plain_stem(paint.where.picture)}”, brushed in step {number}, before step {step}"
                new = {"kind": "wax", "where": _where(paint.where)}
                found.append((words, [{"do": "add", "at": step, "step": new}]))
    return found


def _where(use: MaskUse) -> dict[str, Any]:
    return {"picture": use.picture, "marks": use.marks, "clean": use.clean}


def _exchanged(scene: Scene, step: int) -> list[Way]:
    """Dyeings in each other's place."""
    steps = scene.design.steps
    found: list[Way] = []
    for number in range(step - 1, 0, -1):
        if isinstance(steps[number - 1], DyeBath):
            back = [{"do": "move", "step": step, "to": number}, {"do": "move", "step": number + 1, "to": step}]
            found.append((f"Dye step {step} before step {number}", back))
    return found


def _pots_of(scene: Scene, step: int) -> list[str]:
    one = scene.design.steps[step - 1] if 1 <= step <= len(scene.design.steps) else None
    return [paint.pot for paint in one.paints] if isinstance(one, DyeBath) else []


def _weaker(scene: Scene, step: int) -> list[Way]:
    found: list[Way] = []
    for name in _pots_of(scene, step):
        strength = scene.design.pot(name).strength
        for part, words in ((0.75, "three quarters"), (0.5, "half")):
            change = {"do": "strength", "pot": name, "strength": round(strength * part, 3)}
            found.append((f"Thin {name} to {words}", [change]))
    return found


def _others(scene: Scene, step: int) -> list[Way]:
    """A pot or dye of the design that no bath uses yet, in this one: of other dyes than what it would replace."""
    own = _pots_of(scene, step)
    used = {name for number in range(1, len(scene.design.steps) + 1) for name in _pots_of(scene, number)}
    design = scene.design
    names = [pot.name for pot in design.pots] + [dye.name for dye in design.dyes]
    return [
        (f"Use {other} instead of {name}", [{"do": "paint", "step": step, "paint": place, "pot": other}])
        for place, name in enumerate(own, start=1)
        for other in names
        if other not in used and set(design.pot(other).dyes) != set(design.pot(name).dyes)
        if stands_in(scene, other, name)
    ]


def _fit(design: Design, finding: Finding, moved: Mapping[MaskUse, MaskUse]) -> Iterator[Proposal]:
    """Masks of the finding's step that lie beside their places, moved to where they fit, wherever they are used."""
    for use, new in moved.items():
        places = [place for place, one in _places(design) if one == use]
        if finding.step in [place["step"] for place in places]:
            changes = [{"do": "mask", **place, "where": _where(new)} for place in places]
            yield {"words": f"Move “{plain_stem(use.picture)}” to where it fits", "changes": changes}


def _places(design: Design) -> Iterator[tuple[dict[str, int], MaskUse]]:
    """Every place of the design that has a mask, as a change names it."""
    for number, step in enumerate(design.steps, start=1):
        if isinstance(step, Wax):
            yield {"step": number}, step.mask
        elif isinstance(step, Discharge) and step.where is not None:
            yield {"step": number}, step.where
        elif isinstance(step, DyeBath):
            for place, paint in enumerate(step.paints, start=1):
                if paint.where is not None:
                    yield {"step": number, "paint": place}, paint.where


_MAKERS: dict[str, Callable[[Scene, Finding], Iterator[Proposal]]] = {
    "mud": _mud,
    "order": _order,
    "wasted": _wasted,
    "depth": _depth,
}
