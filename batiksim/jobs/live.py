"""A design in memory looked at while it is being worked on: its steps and pots in words, its colours, its troubles.

Nothing is read from disk or written. Remedies are tried out on small masks, so that only what helps is offered.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, Self

from batiksim import checks
from batiksim.checks.mud import mud_share
from batiksim.checks.order import landings
from batiksim.checks.remedies import stands_in
from batiksim.checks.scene.scene import Scene
from batiksim.checks.swallowed import shown_share
from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.effects.effective_masks import as_drawn
from batiksim.cloth.program import design_masks
from batiksim.cloth.stages import pot_hex as pot_hex
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.names import colour_name
from batiksim.dyes import pot_colour, recipes
from batiksim.dyes.match_report import match_data, matched
from batiksim.dyes.mud import DULL_WORDS
from batiksim.dyes.recipes import pot_words as pot_words
from batiksim.dyes.target_colour import wanted_colour
from batiksim.errors import BatikError
from batiksim.files.pictures import images
from batiksim.photo.drawing_paper import has_surround as has_surround
from batiksim.photo.drawing_paper import mask_outside_paper as mask_outside_paper
from batiksim.photo.drawing_paper import paper_corners as paper_corners
from batiksim.photo.drawing_paper import rectify_paper as rectify_paper
from batiksim.picture_plan.design import bath_name
from batiksim.picture_plan.palette import pot_bath
from batiksim.types import Bytes
from batiksim.values import Design, Finding, MaskUse, Pot
from batiksim.values.plain_data import plain_data

HIDDEN = 4.0  # CIEDE2000 under which a dyeing hardly shows, as in the check of orders


def prepare_engine() -> None:
    """Load the engine, so that the first frame needn't wait for it; compiles it where that is still to be done."""
    render.warm_up()


def save_cloth_picture(cloth: Bytes, file: Path, *, width_px: int | None = None) -> None:
    """Write a picture of a cloth, sRGB uint8 (rows, cols, 3). width_px : reduce it to this width."""
    images.write_png(file, cloth if width_px is None else images.reduced(cloth, width_px))


def described_pot_name(pot: Pot) -> str:
    """What `from-picture` calls a pot by what is in it: "pale orange 22%"."""
    return bath_name(pot_bath(pot))


def pot_on_cloth(dyes: ClothDyes, pot: Pot) -> dict[str, Any]:
    """One pot on a cloth, as `pot --json` prints it."""
    return recipes.pot_data(pot_colour.pot_look(dyes, pot))


def pots_like(dyes: ClothDyes, colour: str, *, count: int) -> dict[str, Any]:
    """The pots of these dyes nearest to a wanted colour, as `match --json` prints them."""
    return match_data(matched(dyes, wanted_colour(colour), count=count))


def cloth_findings(
    design: Design,
    dyes: ClothDyes,
    masks: Bytes,
    small: Bytes,
    *,
    remedies: Callable[[Trial, Finding], list[dict[str, Any]]],
) -> list[dict[str, Any]]:
    """What the checks find on a design, each finding as data with the trials that `remedies` proposes for it.

    masks, small : uint8 (masks, rows, cols) as drawn, in the order of `design_masks`, at full size and reduced
    """
    drawn = as_drawn(design)
    trial = Trial(scene=Scene(design=drawn, dyes=dyes, masks=small), masks=masks)
    findings = checks.check(checks.Scene(design=drawn, dyes=dyes, masks=masks))
    return [plain_data(finding) | {"trials": remedies(trial, finding)} for finding in findings]


@dataclass(frozen=True, eq=False)
class Trial:
    """A design as its checks see it, and changed ones beside it, measured.

    scene : on small masks; masks : the full ones, in the same order
    """

    scene: Scene
    masks: Bytes

    @property
    def design(self) -> Design:
        """The design, every mask taken as drawn."""
        return self.scene.design

    def with_design(self, change: Callable[[Design], Design]) -> Self | None:
        """The same with the design changed, on rough masks; None when the change can't be made."""
        try:
            return type(self)(self.scene.trial(change(self.design)), self.masks)
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

    def stands_in(self, substitute: str, name: str) -> bool:
        """Whether a pot may be offered in the place of another: of other dyes, not too far from it, about as strong."""
        return stands_in(self.scene, substitute, name)

    def apart(self, first: str, second: str) -> float:
        """How far two pots of the design are from each other as they dry on bare cloth, CIEDE2000."""
        return float(delta_e_2000(*(self.scene.lab_of_ks(self.scene.pot_ks(name)) for name in (first, second))))

    def is_clear(self, name: str) -> bool:
        """Whether a pot of the design is no brown, olive or grey by itself."""
        return colour_name(self.scene.lab_of_ks(self.scene.pot_ks(name))).plain not in DULL_WORDS

    @cached_property
    def _misfits(self) -> list[checks.Misfit]:
        return checks.misplaced(self.design, self.scene.dyes, self.masks)

    def moved_at(self, step: int) -> list[dict[MaskUse, Bytes]]:
        """The ways to mend the fit of a step's masks, each as masks moved to where they fit; this takes a while.

        A mask that the others outvote is to be moved itself; of two of which one is off, it or the other.
        """
        ways: list[dict[MaskUse, Bytes]] = []
        for misfit in self._misfits:
            if self.scene.step_of(misfit.use) == step:
                ways.append(self._moved([misfit]))
                ways += [self._moved(misfit.instead)] if misfit.instead else []
        return ways

    def _moved(self, misfits: Sequence[checks.Misfit]) -> dict[MaskUse, Bytes]:
        uses, px_per_mm = design_masks(self.design), self.masks.shape[2] / self.design.cloth.width_mm
        return {
            misfit.use: checks.corrected(self.masks[uses.index(misfit.use)], misfit, px_per_mm=px_per_mm)
            for misfit in misfits
        }
