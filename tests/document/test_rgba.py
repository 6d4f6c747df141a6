"""Three bytes a pixel become four."""

from __future__ import annotations

import numpy as np

from batiksim.document.frames.rgba import rgba


def test_colours_get_a_fourth_byte():
    rgb = np.arange(24, dtype=np.uint8).reshape(2, 4, 3)
    wide = rgba(rgb)
    assert (wide[..., :3] == rgb).all()
    assert (wide[..., 3] == 255).all()
