"""Frames: what is kept from one to the next, sizes in proportion, and places."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.document.frames import frames as module
from batiksim.document.frames.frames import Frames, View, _Cache, shape_of
from batiksim.document.frames.mask_cache import MaskCache
from batiksim.errors import BatikError
from batiksim.values import DyeBath, MaskUse, Paint, RemoveWax


def test_the_most_recent_results_are_kept():
    made = []
    cache = _Cache(2)

    def get(key):
        return cache.get(key, lambda: made.append(key) or key)

    assert [get(key) for key in "abab"] == ["a", "b", "a", "b"]
    assert made == ["a", "b"]
    get("a")
    get("c")  # b was used longest ago
    assert made == ["a", "b", "c"]
    get("a")
    assert made == ["a", "b", "c"]
    get("b")
    assert made == ["a", "b", "c", "b"]


def test_results_are_kept_up_to_a_size():
    cache = _Cache(9, bytes_in_all=200)
    for key in range(3):
        cache.get(key, lambda: np.zeros(100, np.uint8))
    assert list(cache.results) == [1, 2]
    cache.get("large", lambda: np.zeros(999, np.uint8))
    assert list(cache.results) == ["large"]  # the newest stays, however large


@pytest.fixture
def frames():
    masks = MaskCache(lambda use: None)
    for name, level in (("lines", 10), ("petals", 20)):
        masks.put(MaskUse(picture=f"{name}.png"), np.full((300, 400), level, np.uint8))
    return Frames(masks)


@pytest.mark.parametrize(
    ("width", "size"),
    [(None, (300, 400)), (400, (300, 400)), (999, (300, 400)), (200, (150, 200)), (1, (1, 1)), (3, (2, 3))],
)
def test_sizes_in_proportion(frames, plain_design, build, width, size):
    planned = build.design(build.wax("lines"))
    assert frames.size(planned, width) == size
    assert frames.drawn(planned, width).shape == (1, *size)


def test_masks_are_stacked_once_in_their_order(frames, build):
    planned = build.design(build.wax("lines"), build.dye(("leaf", "petals")))
    stack = frames.drawn(planned, 40)
    assert stack[:, 0, 0].tolist() == [10, 20]
    assert frames.drawn(planned, 40) is stack
    assert frames.planes(planned, 40) is stack  # nothing cracks or creeps
    assert frames.drawn(build.design(), 40).shape == (0, 30, 40)


def test_dyes_and_their_tables_are_worked_out_once(frames, build):
    planned = build.design(build.dye("leaf"))
    dyes = frames.dyes(planned)
    assert frames.dyes(build.design(build.dye("sun"))) is dyes
    assert dyes.pot_table(planned.pot("leaf")) is dyes.pot_table(planned.pot("leaf"))


def test_the_plate_of_a_step(build):
    planned = build.design(build.dye("leaf"), RemoveWax())
    assert module._emit(planned, None) == module.Emit(step=2, finished=True)
    assert [module._emit(planned, step).step for step in (0, 1, 2)] == [0, 1, 2]
    assert not module._emit(planned, 2).finished
    for step in (-1, 3):
        with pytest.raises(BatikError, match="step: there is no such step .*use 0 .bare cloth. to 2"):
            module._emit(planned, step)
    assert View() == View(step=None, width=800, look="dry", light="D65", wax_off=False)


def test_what_decides_where_a_step_lies(build):
    one = DyeBath(paints=(Paint(pot="leaf", where=MaskUse(picture="a.png"), spread=True, reach_mm=2.0),))
    other = DyeBath(paints=(Paint(pot="pink", where=MaskUse(picture="a.png"), spread=True, reach_mm=2.0),))
    assert shape_of(one) == shape_of(other)
    assert shape_of(one) != shape_of(DyeBath(paints=(Paint(pot="leaf", where=MaskUse(picture="a.png")),)))
    assert shape_of(build.wax("a")) != shape_of(build.wax("b"))
