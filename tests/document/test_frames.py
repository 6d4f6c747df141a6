"""Frames: what is kept from one to the next, sizes in proportion, and places."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.document.frames import frames as module
from batiksim.document.frames.frames import Frames, View, _Cache, shape_of
from batiksim.document.frames.mask_cache import MaskCache
from batiksim.errors import BatikError
from batiksim.values import Cloth, DyeBath, MaskUse, Paint, RemoveWax


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


# What the engine is asked for


@pytest.fixture
def laid(monkeypatch):
    """Every call that lets wax crack or dye creep, with what it was given; it gives one plane of its own number."""
    calls = []

    def lay(*given, **keys):
        calls.append((given, keys))
        return np.full((1, 1, 1), len(calls), np.uint8)

    monkeypatch.setattr(module, "effective_planes", lay)
    return calls


def test_cracks_are_laid_at_the_cloths_height_and_kept(frames, build, laid):
    """Pictures of 300 x 400 on a cloth 100 mm wide: 75 mm high, at any size."""
    planned = build.design(build.wax("lines", crackle=0.5), build.dye("leaf"))
    first = frames.planes(planned, 40)
    ((design, drawn), keys) = laid[0]
    assert (design, drawn.shape, int(drawn[0, 0, 0]), keys) == (planned, (1, 30, 40), 10, {"height_mm": 75.0})
    assert frames.planes(build.design(build.wax("lines", crackle=0.5), build.dye("plum")), 40) is first
    others = (
        build.design(build.wax("lines", crackle=0.6), build.dye("leaf")),
        build.design(build.wax("petals", crackle=0.5), build.dye("leaf")),
        build.design(*planned.steps, title="Other"),
        build.design(*planned.steps, cloth=Cloth(width_mm=50)),
    )
    for count, other in enumerate(others, start=2):
        assert int(frames.planes(other, 40)[0, 0, 0]) == count
    assert laid[-1][1] == {"height_mm": 37.5}
    frames.planes(planned)
    assert laid[-1][0][1].shape == (1, 300, 400)


def test_what_is_drawn_at_full_size_is_the_mask_itself(frames, build):
    planned = build.design(build.wax("lines"))
    masks = frames.masks
    masks.small = lambda use, width: np.full((300 * width // 400, width), 99, np.uint8)
    assert [int(frames.drawn(planned, width)[0, 0, 0]) for width in (None, 400, 999, 200)] == [10, 10, 10, 99]


def test_a_view_is_compiled_as_it_is_asked_for(frames, build, monkeypatch):
    monkeypatch.setattr(module, "compile_design", lambda *given, **keys: (given, keys))
    planned = build.design(build.dye("leaf"), RemoveWax())
    view = View(step=1, look="wet", light="A", wax_off=True)
    (design, dyes), keys = frames.program(planned, view)
    assert (design, dyes) == (planned, frames.dyes(planned))
    assert keys == {"plates": (module.Emit(step=1),), "wax_shown": False, "look": "wet", "light": "A"}
    assert frames.program(planned, View())[1]["plates"] == (module.Emit(step=2, finished=True),)
    assert frames.program(planned, View())[1]["wax_shown"] is True
    plates = (module.Emit(step=0),)
    assert frames.program(planned, View(), plates)[1]["plates"] == plates


def test_a_frame_shows_the_cloth_after_its_step(build):
    """Left half waxed, then dyed: bare, waxed, dyed beside the wax, and in the end bare where the wax was."""
    mask = np.zeros((30, 40), np.uint8)
    mask[:, :20] = 255
    frames = Frames(MaskCache(lambda use: mask))
    planned = build.design(build.wax("half"), build.dye("night"))
    left, right = np.s_[15, 5], np.s_[15, 35]
    bare, waxed, dyed = (frames.frame(planned, View(step=step, width=40)) for step in (0, 1, 2))
    done = frames.frame(planned, View(width=40))
    assert {frame.shape for frame in (bare, waxed, dyed, done)} == {(30, 40, 4)}
    assert (bare[left] == bare[right]).all()
    assert (done[left] == bare[left]).all()
    assert (dyed[right] == done[right]).all()
    assert (waxed[right] == bare[right]).all()
    assert (waxed[left] != bare[left]).any()
    assert done[right][:3].max() < 80
    assert (frames.frame(planned, View(step=1, width=40, wax_off=True))[left] == bare[left]).all()
    assert frames.frame(planned, View(width=20)).shape == (15, 20, 4)
    small = frames.thumbnails(planned, 20)
    assert small.shape == (4, 15, 20, 4)
    for plate, step in enumerate((0, 1, 2, None)):
        assert (small[plate] == frames.frame(planned, View(step=step, width=20))).all()


def test_as_many_tables_of_pots_are_kept_as_may_be(frames, build, monkeypatch):
    monkeypatch.setattr(module, "MOST_TABLES", 2)
    planned = build.design(build.dye("leaf"))
    dyes = frames.dyes(planned)
    first, second = (dyes.pot_table(planned.pot(name)) for name in ("leaf", "plum"))
    assert dyes.pot_table(planned.pot("leaf")) is first
    dyes.pot_table(planned.pot("glow"))
    assert dyes.pot_table(planned.pot("leaf")) is first
    assert dyes.pot_table(planned.pot("plum")) is not second
    assert frames.dyes(build.design(build.dye("leaf"), cloth=Cloth(width_mm=50, colour="#aa9977"))) is not dyes


def test_results_up_to_the_size_are_kept_all():
    cache = _Cache(9, bytes_in_all=200)
    for key in range(2):
        cache.get(key, lambda: np.zeros(100, np.uint8))
    assert list(cache.results) == [0, 1]
