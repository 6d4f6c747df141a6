"""The sample designs as checks see them, and small cloths drawn in code."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from batiksim import checks, jobs
from batiksim.cloth.dyes_on_cloth import ClothDyes, dyes_on_cloth
from batiksim.cloth.program import design_masks
from batiksim.values import Cloth, Design, Dye, DyeBath, Finding, MaskUse, Paint, Pot, Step, Wax

SAMPLES = Path(__file__).resolve().parents[2] / "sample_designs"


@dataclass(frozen=True, kw_only=True)
class Case:
    """A design with its masks, to be spoilt on purpose."""

    design: Design
    dyes: ClothDyes
    masks: np.ndarray

    @property
    def px_per_mm(self) -> float:
        return self.masks.shape[2] / self.design.cloth.width_mm

    def mask(self, picture: str) -> np.ndarray:
        return self.masks[self._at(picture)]

    def _at(self, picture: str) -> int:
        return [use.picture for use in design_masks(self.design)].index(picture)

    def with_mask(self, picture: str, mask: np.ndarray) -> Case:
        masks = self.masks.copy()
        masks[self._at(picture)] = mask
        return replace(self, masks=masks)

    def without_wax(self, picture: str, x_mm: float, y_mm: float, across_mm: float) -> Case:
        """A spot rubbed out of a mask."""
        rows, cols = np.ogrid[: self.masks.shape[1], : self.masks.shape[2]]
        near = np.hypot(cols / self.px_per_mm - x_mm, rows / self.px_per_mm - y_mm) < across_mm / 2
        return self.with_mask(picture, np.where(near, 0, self.mask(picture)).astype(np.uint8))

    def with_steps(self, *steps: Step) -> Case:
        design = replace(self.design, steps=steps)
        old = design_masks(self.design)
        return replace(self, design=design, masks=self.masks[[old.index(use) for use in design_masks(design)]])

    def with_design(self, **changes: Any) -> Case:
        design = replace(self.design, **changes)
        return replace(self, design=design, dyes=dyes_on_cloth(design))

    @property
    def scene(self) -> checks.Scene:
        """Anew each time, so that nothing is left of an earlier check."""
        return checks.Scene(design=self.design, dyes=self.dyes, masks=self.masks)

    def check(self, *only: str, **keys: Any) -> tuple[Finding, ...]:
        return checks.check(self.scene, only=only or None, **keys)


@cache
def _sample(name: str) -> Case:
    project = jobs.open_design(SAMPLES / name)
    return Case(design=project.design, dyes=project.dyes, masks=project.masks)


@pytest.fixture(scope="session")
def sample():
    """A sample design by the name of its folder or .toml file."""
    return _sample


DYES = (
    Dye(name="sun", colour="#f0d92e"),
    Dye(name="pink", colour="#d6246e"),
    Dye(name="coral", colour="#e2603a"),
    Dye(name="sea", colour="#1aa7b8"),
    Dye(name="navy", colour="#1f2a52"),
    Dye(name="ink", colour="#15161c"),
)
POTS = (
    Pot(name="leaf", parts={"sun": 5, "sea": 1}),
    Pot(name="night", parts={"ink": 1}, strength=2),
    Pot(name="mist", parts={"sea": 1}, strength=0.003),
)


class Draw:
    """Masks for a cloth of 120 mm by 80 mm at 5 pixels to the millimetre, drawn in mm."""

    rows, cols, px_per_mm = 400, 600, 5.0

    def blank(self) -> np.ndarray:
        return np.zeros((self.rows, self.cols), np.uint8)

    def disc(self, x: float, y: float, radius: float) -> np.ndarray:
        rows, cols = np.ogrid[: self.rows, : self.cols]
        far = np.hypot((cols + 0.5) / self.px_per_mm - x, (rows + 0.5) / self.px_per_mm - y)
        return np.clip(255 * ((radius - far) * self.px_per_mm + 0.5), 0, 255).astype(np.uint8)

    def ring(self, x: float, y: float, radius: float, width: float) -> np.ndarray:
        """A line of a width along a circle."""
        return np.minimum(self.disc(x, y, radius + width / 2), 255 - self.disc(x, y, radius - width / 2))

    def box(self, left: float, top: float, right: float, bottom: float) -> np.ndarray:
        mask = self.blank()
        top, bottom, left, right = (round(mm * self.px_per_mm) for mm in (top, bottom, left, right))
        mask[top:bottom, left:right] = 255
        return mask

    def case(self, *steps: Any, width_mm: float = 120.0, pots: Any = POTS, dyes: Any = DYES) -> Case:
        """A design of steps whose masks are arrays: ("wax", mask, keys...) or ("dye", pot, mask or None, ...)."""
        found: list[np.ndarray] = []

        def use(mask: np.ndarray) -> MaskUse:
            for number, one in enumerate(found):
                if one is mask:
                    return MaskUse(picture=f"{number}.png")
            found.append(mask)
            return MaskUse(picture=f"{len(found) - 1}.png")

        built: list[Step] = []
        for step in steps:
            if not isinstance(step, tuple):
                built.append(step)
            elif step[0] == "wax":
                built.append(Wax(mask=use(step[1]), **(step[2] if len(step) > 2 else {})))
            else:
                pairs = zip(step[1::2], step[2::2], strict=True)
                built.append(DyeBath(paints=tuple(Paint(pot=p, where=None if m is None else use(m)) for p, m in pairs)))
        design = Design(title="Test", cloth=Cloth(width_mm=width_mm), dyes=dyes, pots=pots, steps=tuple(built))
        stack = np.stack(found) if found else np.zeros((0, self.rows, self.cols), np.uint8)
        order = [int(one.picture.removesuffix(".png")) for one in design_masks(design)]
        return Case(design=design, dyes=dyes_on_cloth(design), masks=np.ascontiguousarray(stack[order]))


@pytest.fixture(scope="session")
def draw():
    return Draw()
