"""A design in memory looked at while it is being worked on: its steps and pots in words, its colours, its troubles.

Nothing is read from disk or written.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from batiksim import checks
from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.effects.effective_masks import as_drawn
from batiksim.cloth.stages import pot_hex as pot_hex
from batiksim.dyes import pot_colour, recipes
from batiksim.dyes.match_report import match_data, matched
from batiksim.dyes.recipes import pot_words as pot_words
from batiksim.dyes.target_colour import wanted_colour
from batiksim.files.pictures import images
from batiksim.photo.drawing_paper import has_surround as has_surround
from batiksim.photo.drawing_paper import mask_outside_paper as mask_outside_paper
from batiksim.photo.drawing_paper import paper_corners as paper_corners
from batiksim.photo.drawing_paper import rectify_paper as rectify_paper
from batiksim.types import Bytes
from batiksim.values import Design, Dye, Finding, Pot


def prepare_engine() -> None:
    """Load the engine, so that the first frame needn't wait for it; compiles it where that is still to be done."""
    render.warm_up()


def save_cloth_picture(cloth: Bytes, file: Path, *, width_px: int | None = None) -> None:
    """Write a picture of a cloth, sRGB uint8 (rows, cols, 3). width_px : reduce it to this width."""
    images.write_png(file, cloth if width_px is None else images.reduced(cloth, width_px))


def pot_on_cloth(dyes: ClothDyes, pot: Pot) -> dict[str, Any]:
    """One pot on a cloth, as `pot --json` prints it."""
    return recipes.pot_data(pot_colour.pot_look(dyes, pot))


def pots_like(dyes: ClothDyes, colour: str, *, count: int) -> dict[str, Any]:
    """The pots of these dyes nearest to a wanted colour, as `match --json` prints them."""
    return match_data(matched(dyes, wanted_colour(colour), count=count))


def cloth_findings(
    design: Design, dyes: ClothDyes, masks: Bytes, *, own: Mapping[str, Dye] = MappingProxyType({})
) -> tuple[Finding, ...]:
    """What the checks find on a design, each with the remedies that were seen to help.

    masks : uint8 (masks, rows, cols) as drawn, in the order of `design_masks`
    own : the dyes of the maker's own book by name, offered before those of the built-in one
    """
    scene = checks.Scene(design=as_drawn(design), dyes=dyes, masks=masks)
    return checks.with_remedies(checks.check(scene), scene, own)
