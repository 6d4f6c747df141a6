"""The table of checks, and the one function that runs them. To add a check: one file beside this one, one row here."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from batiksim.checks.depth import Depth, depth
from batiksim.checks.drawable import DrawableLimits, hand
from batiksim.checks.faint import Faint, faint
from batiksim.checks.gamut import OutOfGamut, reach
from batiksim.checks.leak import Leak, leak
from batiksim.checks.lost_lines import Lost, lost
from batiksim.checks.metamerism import Lamp, lamp
from batiksim.checks.misfit import fit
from batiksim.checks.mud import Mud, mud
from batiksim.checks.neighbours import Neighbours, neighbours
from batiksim.checks.order import Order, order
from batiksim.checks.other_cloth import SeenOn, seen_on
from batiksim.checks.scene.scene import Scene
from batiksim.checks.shapes.edge_registration import MisfitSettings
from batiksim.checks.wasted import Wasted, wasted
from batiksim.errors import BatikError, nearest
from batiksim.texts.catalogue import Message, say
from batiksim.values import SEVERITIES, Design, Finding

NOTHING = say("checks.nothing")


@dataclass(frozen=True)
class Check:
    """One check.

    code : how a maker switches it and how its findings are known
    function : takes the scene and its settings, gives findings
    settings : its thresholds, each with its unit and grade where it is defined
    quick : cheap enough for every preview
    """

    code: str
    function: Callable[[Scene, Any], Iterator[Finding]]
    settings: Any
    quick: bool = False

    @property
    def what(self) -> Message:
        """What it looks for, in a few words."""
        return say(f"checks.{self.code}.what")


CHECKS: tuple[Check, ...] = (
    Check("leak", leak, Leak(), quick=True),
    Check("neighbours", neighbours, Neighbours(), quick=True),
    Check("mud", mud, Mud(), quick=True),
    Check("faint", faint, Faint(), quick=True),
    Check("order", order, Order(), quick=True),
    Check("hand", hand, DrawableLimits()),
    Check("fit", fit, MisfitSettings()),
    Check("wasted", wasted, Wasted(), quick=True),
    Check("depth", depth, Depth(), quick=True),
    Check("lost", lost, Lost(), quick=True),
    Check("reach", reach, OutOfGamut(), quick=True),
    Check("cloth", seen_on, SeenOn(), quick=True),
    Check("lamp", lamp, Lamp(), quick=True),
)
CODES: tuple[str, ...] = tuple(row.code for row in CHECKS)
QUICK_NOTHING = say("checks.nothing_yet", later=[row.what for row in CHECKS if not row.quick])


def check(
    scene: Scene,
    *,
    only: Iterable[str] | None = None,
    skip: Iterable[str] = (),
    settings: Mapping[str, Mapping[str, float]] | None = None,
    quick: bool = False,
    tell: Callable[[int, int], None] = lambda done, whole: None,
) -> tuple[Finding, ...]:
    """All findings on a design, the worst first.

    only, skip : codes of checks to run alone or to leave out, beside those that the design leaves out; `only` wins
    settings : thresholds to change, by code and name
    quick : only the checks that every preview can afford; tell : how many checks of how many are done
    errors : BatikError for a code to run or leave out that isn't known
    """
    chosen, changes = _chosen(scene.design, only, skip), settings or {}
    findings: list[Finding] = []
    rows = [row for row in CHECKS if row.code in chosen and (row.quick or not quick)]
    for number, row in enumerate(rows):
        tell(number, len(rows))
        findings += row.function(scene, replace(row.settings, **changes.get(row.code, {})))
    return tuple(sorted(findings, key=lambda one: (-SEVERITIES.index(one.severity), one.step, CODES.index(one.code))))


def known_codes(codes: Iterable[str], *, field: str) -> tuple[str, ...]:
    """The codes again. Raises BatikError for one that no check has, naming the nearest; field : where it stands."""
    given = tuple(codes)
    for code in given:
        if code not in CODES:
            raise BatikError(
                "checks.error.unknown_check", field=field, got=code, fix=nearest(code, CODES, most=len(CODES))
            )
    return given


def _chosen(design: Design, only: Iterable[str] | None, skip: Iterable[str]) -> set[str]:
    left = set(known_codes(skip, field="skip"))
    if only is not None:
        return set(known_codes(only, field="only")) - left
    return set(CODES) - left - set(known_codes(design.skip_checks, field="checks: skip"))
