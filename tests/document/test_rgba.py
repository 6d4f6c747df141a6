"""Three bytes a pixel become four, compiled or not."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.document.frames import rgba as module


@pytest.mark.parametrize("loop", [None, "there"])
def test_colours_get_a_fourth_byte(monkeypatch, loop):
    monkeypatch.setattr(module, "compiled", lambda name: loop)
    rgb = np.arange(24, dtype=np.uint8).reshape(2, 4, 3)
    wide = module.rgba(rgb)
    assert (wide[..., :3] == rgb).all()
    assert (wide[..., 3] == 255).all()
    assert module.rgba(np.stack([rgb] * 3)).shape == (3, 2, 4, 4)


def test_the_compiled_loop_is_taken_where_there_is_one(monkeypatch):
    from batiksim.document.frames import rgba_loop

    taken = []
    monkeypatch.setattr(rgba_loop, "widen", lambda rgb, wide: taken.append((rgb.size, wide.size)))
    for loop in (None, "there"):
        monkeypatch.setattr(module, "compiled", lambda name, loop=loop: loop)
        module.rgba(np.zeros((2, 4, 3), np.uint8))
    assert taken == [(24, 32)]
