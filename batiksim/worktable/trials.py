"""Remedies that can be tried out with one press: for a finding, the changes that were seen to help.

Each proposal is a list of changes as in `changes.py`, tried on the rough masks before it is offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from batiksim.errors import BatikError
from batiksim.plan.checks.mud import Mud, mud_share
from batiksim.plan.checks.order import landings
from batiksim.plan.checks.scene import Scene
from batiksim.plan.checks.trial import trial
from batiksim.values import DyeBath, Finding, Wax
from batiksim.worktable.changes import changed
from batiksim.worktable.shelf import plain_stem

__all__ = ["Proposal", "proposals"]

Proposal = dict[str, Any]  # words, changes
CURED = 0.35  # a proposal leaves at most this part of the trouble (assumption)
HIDDEN = 4.0  # CIEDE2000 under which a dyeing hardly shows, as in the check of orders
MOST = 3


def proposals(scene: Scene, finding: Finding) -> list[Proposal]:
    """At most three remedies for a finding that were seen to work, the least change first."""
    maker = _MAKERS.get(finding.code)
    return [] if maker is None else list(maker(scene, finding))[:MOST]


def _mud(scene: Scene, finding: Finding) -> Iterator[Proposal]:
    before = mud_share(scene, Mud().rule)
    for words, changes in [*_moves(scene, finding.step), *_weaker(scene, finding.step), *_others(scene, finding.step)]:
        after = _tried(scene, changes)
        if after is not None and mud_share(after, Mud().rule) <= CURED * before:
            yield {"words": words, "changes": changes}


def _order(scene: Scene, finding: Finding) -> Iterator[Proposal]:
    before = _hidden(scene)
    for words, changes in _moves(scene, finding.step):
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


def _moves(scene: Scene, step: int) -> list[tuple[str, list[Any]]]:
    """Later waxings brought forward, then dyeings in each other's place."""
    steps = scene.design.steps
    found: list[tuple[str, list[Any]]] = []
    for number, later in enumerate(steps, start=1):
        if number > step and isinstance(later, Wax):
            words = f"Wax “{plain_stem(later.mask.picture)}” before step {step}"
            found.append((words, [{"do": "move", "step": number, "to": step}]))
    for number in range(step - 1, 0, -1):
        if isinstance(steps[number - 1], DyeBath):
            back = [{"do": "move", "step": step, "to": number}, {"do": "move", "step": number + 1, "to": step}]
            found.append((f"Dye step {step} before step {number}", back))
    return found


def _pots_of(scene: Scene, step: int) -> list[str]:
    one = scene.design.steps[step - 1] if 1 <= step <= len(scene.design.steps) else None
    return [paint.pot for paint in one.paints] if isinstance(one, DyeBath) else []


def _weaker(scene: Scene, step: int) -> list[tuple[str, list[Any]]]:
    found: list[tuple[str, list[Any]]] = []
    for name in _pots_of(scene, step):
        strength = scene.design.pot(name).strength
        for part, words in ((0.75, "three quarters"), (0.5, "half")):
            change = {"do": "strength", "pot": name, "strength": round(strength * part, 3)}
            found.append((f"Thin {name} to {words}", [change]))
    return found


def _others(scene: Scene, step: int) -> list[tuple[str, list[Any]]]:
    """A pot or dye of the design that no bath uses yet, in this one."""
    own = _pots_of(scene, step)
    used = {name for number in range(1, len(scene.design.steps) + 1) for name in _pots_of(scene, number)}
    names = [pot.name for pot in scene.design.pots] + [dye.name for dye in scene.design.dyes]
    return [
        (f"Use {other} instead of {name}", [{"do": "paint", "step": step, "paint": place, "pot": other}])
        for place, name in enumerate(own, start=1)
        for other in names
        if other not in used
    ]


_MAKERS: dict[str, Callable[[Scene, Finding], Iterator[Proposal]]] = {
    "mud": _mud,
    "order": _order,
    "wasted": _wasted,
    "depth": _depth,
}
