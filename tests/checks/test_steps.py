"""What the checks work out grows with the number of steps as the steps do: counted, not timed."""

from __future__ import annotations

from math import log

import numpy as np
import pytest

from batiksim import checks
from batiksim.checks.scene.scene import Scene
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.rules import Fibre
from batiksim.values import Cloth, Design, Dye, DyeBath, MaskUse, Paint, Step, Wax

DYES = (Dye(name="sun", colour="#f0d92e"), Dye(name="navy", colour="#1f2a52"), Dye(name="pink", colour="#d6246e"))


def _design(count: int, *, waxed: bool) -> tuple[Design, np.ndarray]:
    """So many steps on a small cloth: whole-cloth dyeings, or a new waxing before each of them."""
    steps: list[Step] = []
    masks: list[np.ndarray] = []
    rows, cols = np.ogrid[:40, :60]
    for number in range(count):
        if waxed and number % 2 == 0:
            far = np.hypot(cols - 7 * number % 60, rows - 11 * number % 40)
            masks.append(np.where(far < 4, 255, 0).astype(np.uint8))
            steps.append(Wax(mask=MaskUse(picture=f"{len(masks)}.png")))
        else:
            steps.append(DyeBath(paints=(Paint(pot=DYES[number // (1 + waxed) % len(DYES)].name),)))
    design = Design(title="Many steps", cloth=Cloth(width_mm=60.0), dyes=DYES, pots=(), steps=tuple(steps))
    return design, np.stack(masks) if masks else np.zeros((0, 40, 60), np.uint8)


def _work(monkeypatch: pytest.MonkeyPatch, count: int, *, waxed: bool) -> dict[str, int]:
    """How often dye is laid on fibre, and how often colours are worked out, in one quick check."""
    design, masks = _design(count, waxed=waxed)
    dyes = dyes_on_cloth(design)
    done = {"dyed": 0, "seen": 0}
    dyed, seen = Fibre.dyed, Scene.lab_of_ks

    def counted_dyed(fibre: Fibre, offer: np.ndarray) -> Fibre:
        done["dyed"] += 1
        return dyed(fibre, offer)

    def counted_seen(scene: Scene, ks: np.ndarray) -> np.ndarray:
        done["seen"] += 1
        return seen(scene, ks)

    with monkeypatch.context() as patched:
        patched.setattr(Fibre, "dyed", counted_dyed)
        patched.setattr(Scene, "lab_of_ks", counted_seen)
        assert checks.check(checks.Scene(design=design, dyes=dyes, masks=masks), quick=True)
    return done


@pytest.mark.parametrize("waxed", [False, True])
def test_a_step_costs_the_same_however_many_there_are(monkeypatch, waxed):
    few, many = (_work(monkeypatch, count, waxed=waxed) for count in (40, 200))
    for what, count in many.items():
        assert log(count / few[what]) / log(5) < 1.05, (what, few, many)


def test_waxing_and_dyeing_are_read_from_one_outcome(monkeypatch):
    """Fibre is followed once for the design and once for each remedy tried out, whatever is found."""
    done = _work(monkeypatch, 60, waxed=False)
    assert done["dyed"] <= 60 * (1 + 8)
