"""A design as its checks see it, and changed ones beside it, measured: so that only what helps is offered."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import repeat
from typing import Self

from batiksim.checks.depth import Depth, depth
from batiksim.checks.mud import mud_share
from batiksim.checks.order import landings
from batiksim.checks.remedies import stands_in
from batiksim.checks.scene.outlier_masks import Misfit, corrected_mask, misfits
from batiksim.checks.scene.scene import Scene
from batiksim.checks.swallowed import shown_share
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.names import colour_name
from batiksim.dyes.mud import DULL_WORDS
from batiksim.errors import BatikError
from batiksim.types import Bytes
from batiksim.values import Design, Finding, MaskUse

STOP = object()
HIDDEN = 4.0  # CIEDE2000 under which a dyeing hardly shows, as in the check of orders


LEAST_TRIALS, MOST_TRIALS = 12, 96  # for all findings on a cloth together
TRIED_HISTORIES = 6_000  # a trial takes as long as the cloth has histories: so many in all, within those bounds


@dataclass(frozen=True)
class Trial:
    """A design to try changes on.

    scene : as it was checked; changed ones are looked at on its small masks
    left : gives something for each trial that may still be made
    """

    scene: Scene
    left: Iterator[object] = field(default_factory=lambda: repeat(None), compare=False)

    @classmethod
    def of(cls, scene: Scene) -> Self:
        """Of a scene, with so many trials as don't take much longer than its checks."""
        affordable = TRIED_HISTORIES // max(1, len(scene.histories))
        return cls(scene, iter(range(min(max(affordable, LEAST_TRIALS), MOST_TRIALS))))

    @property
    def design(self) -> Design:
        """The design, every mask taken as drawn."""
        return self.scene.design

    def with_design(self, change: Callable[[Design], Design]) -> Self | None:
        """The same with the design changed, on rough masks; None when it can't be, or no trial is left."""
        if next(self.left, STOP) is STOP:
            return None
        try:
            return type(self)(self.scene.trial(change(self.design)))
        except BatikError:
            return None

    def mud(self) -> float:
        """The part of the finished cloth that is mud or nearly so, 0..1."""
        return mud_share(self.scene)

    def shown(self) -> float:
        """The parts of the cloth where a pot was brushed on and a clear colour is left, added up over the pots."""
        return shown_share(self.scene)

    def hidden(self) -> float:
        """The area on which dyeings hardly show, each counted; shares of the cloth."""
        return sum(landing.hidden * landing.area for landing in landings(self.scene, hidden=HIDDEN))

    def overfull(self, told: Finding) -> float:
        """How much more dye than fibre takes, by a finding of depth as it is on this design; 0 when it is gone."""
        like = (one for one in depth(self.scene, Depth()) if _same(one, told))
        return max(map(too_much, like), default=0.0)

    def stands_in(self, substitute: str, name: str) -> bool:
        """Whether a pot may be offered in the place of another: of other dyes, not too far from it, about as strong."""
        return stands_in(self.scene, substitute, name)

    def apart(self, first: str, second: str) -> float:
        """How far two pots of the design are from each other as they dry on bare cloth, CIEDE2000."""
        return float(delta_e_2000(*(self.scene.lab_of_ks(self.scene.pot_ks(name)) for name in (first, second))))

    def is_clear(self, name: str) -> bool:
        """Whether a pot of the design is no brown, olive or grey by itself."""
        return colour_name(self.scene.lab_of_ks(self.scene.pot_ks(name))).plain not in DULL_WORDS

    def moved(self, told: Finding) -> list[dict[MaskUse, Bytes]]:
        """The ways to mend the fit of the mask that a finding is about, each as masks moved to where they fit.

        A mask that the others outvote is to be moved itself; of two of which one is off, it or the other.
        """
        ways: list[dict[MaskUse, Bytes]] = []
        for misfit in misfits(self.scene):
            if (self.scene.step_of(misfit.use), misfit.use.picture) == (told.step, told.masks[0]):
                ways.append(self._moved([misfit]))
                ways += [self._moved(misfit.instead)] if misfit.instead else []
        return ways

    def _moved(self, off: Sequence[Misfit]) -> dict[MaskUse, Bytes]:
        return {one.use: corrected_mask(self.scene, one) for one in off}


def _same(one: Finding, other: Finding) -> bool:
    return (one.message.key, one.step, one.pots[:1]) == (other.message.key, other.step, other.pots[:1])


def too_much(told: Finding) -> float:
    """By a finding of depth, the share of a bath that fibre refuses, or full strengths beyond what any takes."""
    numbers = told.numbers
    if "refused_share" in numbers:
        return numbers["refused_share"]
    return numbers["offered_strengths"] - numbers["most_strengths"]
