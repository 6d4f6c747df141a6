"""Small designs built in code, with masks soft and noisy, shared by the tests of the cloth, jobs and commands."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: several workers run beside each other
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # commands in processes of their own don't read all sources each time

import numpy as np
import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from PIL import Image

from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.program import compile_design, design_masks
from batiksim.cloth.render import default_threads
from batiksim.files.toml.designs import write_design
from batiksim.values import Cloth, Design, Discharge, Dye, DyeBath, MaskUse, Paint, Pot, RemoveWax, Wax

# A machine busy with other things is no fault. The same cases each time, so that a red test is red again; to search
# further: HYPOTHESIS_PROFILE=searching
settings.register_profile("searching", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("steady", settings.get_profile("searching"), derandomize=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "steady"))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers() -> int:
    """For `-n auto`: one worker a processor; with more than eight, collecting costs more than they bring."""
    return min(default_threads(), 8)


def pytest_configure(config: pytest.Config) -> None:
    """Have the engine compiled once before several workers begin, rather than by each of them."""
    if getattr(config.option, "numprocesses", None) and not config.option.collectonly:
        compile_engine()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Of tests marked `some(n)`, leave n cases to the quick run, the first and others spread over the rest."""
    cases: dict[tuple[Path, str], list[pytest.Function]] = {}
    for item in items:
        if isinstance(item, pytest.Function) and item.get_closest_marker("some"):
            cases.setdefault((item.path, item.originalname), []).append(item)
    for each in cases.values():
        each.sort(key=lambda item: sorted(item.callspec.indices.items()))
        count = each[0].get_closest_marker("some").args[0]
        quick = {round(place * len(each) / count) for place in range(count)}
        for place, item in enumerate(each):
            if place not in quick:
                item.add_marker(pytest.mark.full)


def compile_engine() -> None:
    """Compile the engine, and beside it what wax and dye do of themselves: all is kept for all processes to come."""
    from batiksim.cloth.outlines import outlines
    from batiksim.cloth.render import warm_up

    effects = [sys.executable, "-c", "from tests.conftest import compile_effects as compile; compile()"]
    with subprocess.Popen(effects, cwd=Path(__file__).resolve().parents[1]) as beside:
        warm_up()
        outlines(soft(1)[0], width_mm=100)
    if beside.returncode:
        raise RuntimeError("the engine can't be compiled: see above")


def compile_effects() -> None:
    """Wax a small cloth with every tool and let two pots mingle on it."""
    from batiksim.cloth.effects.effective_masks import effective_planes

    waxes = [
        Wax(mask=use(tool), tool=tool, edges=0.5, crackle=0.7, paraffin=0.7, cool=0.4)
        for tool in ("canting", "brush", "stamp")
    ]
    pots = tuple(Paint(pot=pot, where=use(pot), spread=True) for pot in ("sun", "sea"))
    effective_planes(design(*waxes, DyeBath(paints=pots)), soft(5, 120, 160))


DYES = (
    Dye(name="sun", colour="#f0d92e"),
    Dye(name="pink", colour="#d6246e"),
    Dye(name="sea", colour="#1aa7b8"),
    Dye(name="night", colour="#1d2030"),
    Dye(name="neon", colour="#00ffff"),  # out of this cloth's reach; strong, these two leave sRGB
    Dye(name="marigold", colour="#ffd800"),
)
POTS = (
    Pot(name="leaf", parts={"sun": 5, "sea": 1}, strength=0.8),
    Pot(name="plum", parts={"pink": 2, "night": 1}, strength=2.5),
    Pot(name="glow", parts={"neon": 1, "marigold": 0.02}, strength=4.0),
    Pot(name="water", parts={"sun": 1}, strength=0.0),
)


def soft(count: int, rows: int = 30, cols: int = 40, seed: int = 1) -> np.ndarray:
    """Masks of wavy patches, uint8 (count, rows, cols): much fully marked, much not, soft edges between."""
    random = np.random.default_rng(seed)
    y, x = np.mgrid[0:rows, 0:cols] / max(rows, cols)
    masks = np.empty((count, rows, cols), np.uint8)
    for mask in masks:
        field = sum(np.sin(2 * np.pi * (f[0] * x + f[1] * y) + f[2] * 6) for f in random.uniform(-3, 3, (4, 3)))
        mask[...] = np.clip(128 + 300 * (field - random.uniform(-0.5, 0.5)), 0, 255)
    return masks


def noisy(count: int, rows: int = 30, cols: int = 40, seed: int = 1) -> np.ndarray:
    """Masks where every pixel has a level of its own, uint8 (count, rows, cols)."""
    return np.random.default_rng(seed).integers(0, 256, (count, rows, cols), dtype=np.uint8)


def use(name: object, **keys: Any) -> MaskUse:
    return MaskUse(picture=f"{name}.png", **keys)


def wax(name: object, **keys: Any) -> Wax:
    return Wax(mask=use(name), **keys)


def dye(*paints: str | tuple[str, object]) -> DyeBath:
    """A dyeing: pots over the whole cloth by name, pots brushed on as (name, mask)."""
    brushed = [(paint, None) if isinstance(paint, str) else paint for paint in paints]
    return DyeBath(paints=tuple(Paint(pot=pot, where=None if mask is None else use(mask)) for pot, mask in brushed))


def design(*steps: Any, **keys: Any) -> Design:
    given = {"title": "Test cloth", "cloth": Cloth(width_mm=100), "dyes": DYES, "pots": POTS} | keys
    return Design(steps=steps, **given)


def program(planned: Design, **keys: Any) -> Any:
    return compile_design(planned, dyes_on_cloth(planned), **keys)


def bleach(name: object | None = None, strength: float = 1.0) -> Discharge:
    return Discharge(where=None if name is None else use(name), strength=strength)


def some_steps(*, masks: int = 10, most: int = 12, removing: bool = True) -> st.SearchStrategy[tuple[Any, ...]]:
    """Steps in any order: waxings of both kinds, dyeings of one to three pots, bleaching and, if wanted, wax out."""
    mask = st.integers(0, masks - 1)
    pot = st.sampled_from([one.name for one in (*DYES, *POTS)])
    kinds = [
        st.builds(lambda name, grey: wax(name, grey=grey), mask, st.sampled_from(["cover", "cover", "thin"])),
        st.builds(lambda paints: dye(*paints), st.lists(pot | st.tuples(pot, mask), min_size=1, max_size=3)),
        st.builds(bleach, st.none() | mask, st.floats(0, 1)),
    ]
    return st.lists(st.one_of(kinds + [st.just(RemoveWax())] * removing), max_size=most).map(tuple)


def stack(planned: Design, bank: np.ndarray) -> np.ndarray:
    """The masks of a design whose pictures are called by their place in a bank of masks, in the engine's order."""
    numbers = [int(one.picture.removesuffix(".png")) for one in design_masks(planned)]
    return np.ascontiguousarray(bank[numbers])


def write_on_disk(planned: Design, masks: np.ndarray | None, folder: Path) -> Path:
    """A design and its masks in a folder, as a maker would have them: dark marks on white."""
    write_design(planned, folder)
    uses = design_masks(planned)
    for one, mask in zip(uses, soft(len(uses)) if masks is None else masks, strict=True):
        Image.fromarray(255 - mask).save(folder / one.picture)
    return folder


class Build:
    """The helpers above, under one name, for tests to take as a fixture."""

    soft, noisy, use, wax, dye = map(staticmethod, (soft, noisy, use, wax, dye))
    bleach, some_steps, stack, design, program = map(staticmethod, (bleach, some_steps, stack, design, program))
    dyes, pots = DYES, POTS


@pytest.fixture(scope="session")
def build() -> Build:
    return Build()


@pytest.fixture(scope="session")
def plain_design() -> Design:
    """Two waxings and two dyeings, one of them of two pots brushed in different places."""
    return design(
        wax("lines", tool="canting"), dye("leaf", ("pink", "petals")), wax("keep", tool="brush"), dye("night")
    )


@pytest.fixture
def on_disk(tmp_path: Path) -> Callable[..., Path]:
    """Write a design and its masks into a folder, as a maker would have them: dark marks on white."""

    def write(planned: Design, masks: np.ndarray | None = None, *, name: str = "cloth") -> Path:
        return write_on_disk(planned, masks, tmp_path / name)

    return write


@pytest.fixture
def folder(plain_design: Design, on_disk: Callable[..., Path]) -> Path:
    """The plain design on disk."""
    return on_disk(plain_design)
