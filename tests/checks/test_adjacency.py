"""Where colours meet, and along what length."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.checks.scene.adjacency import borders
from batiksim.checks.scene.scene import Scene


def test_length_of_a_border(draw):
    """A circle of 20 mm radius has an edge of 126 mm, a straight edge across the cloth 80 mm."""
    for mask, length in ((draw.disc(60, 40, 20), 2 * np.pi * 20), (draw.box(0, 0, 60, 80), 80)):
        case = draw.case(("dye", "sun", mask))
        scene = Scene(design=case.design, dyes=case.dyes, masks=case.masks)
        (border,) = borders(scene, scene.histories, least_mm=10)
        assert border.mm == pytest.approx(length, rel=0.11)
