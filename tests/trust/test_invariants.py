"""What must hold for any cloth, over random designs: dyes, pots, cloths, lights and orders drawn at random.

The same for the designs of one set of dyes, and for each operation by itself, stands in tests/cloth/test_engine.py.
"""

from __future__ import annotations

import json
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from batiksim import jobs
from batiksim.cloth import render, rules
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.loads import LOAD_KNEE
from batiksim.cloth.outcome import outcome_of
from batiksim.cloth.program import compile_design, design_masks
from batiksim.colour import spaces, spectra
from batiksim.files.toml.designs import read_design, write_design
from batiksim.values import BuildUp, Cloth, Design, Discharge, Dye, DyeBath, MaskUse, Paint, Pot, RemoveWax, Wax

ROWS, COLS, MASKS = 16, 22, 6
SOME = settings(max_examples=20, deadline=None)
FEW = settings(max_examples=3, deadline=None)
COLOURS = st.integers(0, 0xFFFFFF).map("#{:06x}".format)
LOOKS = st.fixed_dictionaries({
    "look": st.sampled_from(["dry", "wet"]),
    "light": st.sampled_from(spectra.LIGHTS),
    "wax_shown": st.booleans(),
})  # fmt: skip
NAMES = ("first", "second", "third")
POTS = ("pot a", "pot b")
# Undyed cloth that is sold for dyeing, not any colour: the model takes K/S of the cloth from it.
CLOTHS = st.builds(
    Cloth,
    width_mm=st.floats(50, 2_000),
    colour=st.sampled_from(["#ffffff", "#f1ede2", "#e8dcc0", "#d8c9a8"]),
    surface=st.sampled_from([0.0, 0.015, 0.04]),
)


def use(number: int) -> MaskUse:
    return MaskUse(picture=f"{number}.png", marks="dark")


@st.composite
def pots(draw: st.DrawFn, *, most: float = 4.0) -> tuple[Pot, ...]:
    """Two pots of random parts and strengths up to `most`."""
    amounts = st.floats(0.01, 10)
    return tuple(
        Pot(
            name=name,
            parts=draw(st.dictionaries(st.sampled_from(NAMES), amounts, min_size=1, max_size=3)),
            strength=draw(st.floats(0, most)),
        )
        for name in POTS
    )


@st.composite
def dyes(draw: st.DrawFn, *, straight: bool = False) -> tuple[Dye, ...]:
    """Three dyes of any colour, building up in any way, or in a straight line."""
    laws = st.builds(BuildUp, law=st.sampled_from(["linear", "saturating", "power"]), bend=st.floats(0.3, 2))
    return tuple(Dye(name=name, colour=draw(COLOURS), build_up=BuildUp() if straight else draw(laws)) for name in NAMES)


def baths(names: tuple[str, ...], masks: st.SearchStrategy[int]) -> st.SearchStrategy[DyeBath]:
    paints = st.builds(Paint, pot=st.sampled_from(names), where=st.none() | masks.map(use))
    return st.lists(paints, min_size=1, max_size=3).map(lambda some: DyeBath(paints=tuple(some)))


def steps(*, most: int = 7, masks: int = MASKS, removing: bool = True) -> st.SearchStrategy[list[object]]:
    number = st.integers(0, masks - 1)
    kinds = [
        st.builds(Wax, mask=number.map(use), grey=st.sampled_from(["cover", "cover", "thin"])),
        baths((*NAMES, *POTS), number),
        st.builds(Discharge, where=st.none() | number.map(use), strength=st.floats(0, 1)),
    ]
    return st.lists(st.one_of(kinds + [st.just(RemoveWax())] * removing), max_size=most)


@st.composite
def designs(draw: st.DrawFn, **keys: object) -> Design:
    return Design(
        title="Any",
        cloth=draw(CLOTHS),
        dyes=draw(dyes()),
        pots=draw(pots()),
        steps=tuple(draw(steps(**keys))),  # type: ignore[arg-type]
    )


@st.composite
def banks(draw: st.DrawFn, *, flat: bool = False) -> np.ndarray:
    """Masks, uint8 (MASKS, ROWS, COLS): blocks of any grey, or sharp; `flat` = sharp, all of them."""
    random = np.random.default_rng(draw(st.integers(0, 2**32)))
    block = draw(st.sampled_from([1, 3, 8]))
    coarse = random.integers(0, 256, (MASKS, -(-ROWS // block), -(-COLS // block)))
    bank = coarse.repeat(block, axis=1).repeat(block, axis=2)[:, :ROWS, :COLS]
    sharp = random.random(MASKS) < (1.0 if flat else 0.5)
    bank[sharp] = np.where(bank[sharp] > random.integers(40, 216), 255, 0)
    return bank.astype(np.uint8)


def stacked(design: Design, bank: np.ndarray) -> np.ndarray:
    """The masks that a design names by their number in the bank, in the engine's order."""
    numbers = [int(one.picture.removesuffix(".png")) for one in design_masks(design)]
    return np.ascontiguousarray(bank[numbers]) if numbers else np.zeros((0, ROWS, COLS), np.uint8)


def program(design: Design, **look: object) -> object:
    return compile_design(design, dyes_on_cloth(design), **look)  # type: ignore[arg-type]


def plates(design: Design, bank: np.ndarray, **look: object) -> np.ndarray:
    return render.render(program(design, **look), stacked(design, bank))


def light_of(plate: np.ndarray) -> np.ndarray:
    """Y, 0..1."""
    return spaces.decode_srgb(plate / 255.0) @ [0.2126, 0.7152, 0.0722]


def apart(one: np.ndarray, other: np.ndarray) -> int:
    return int(np.abs(one.astype(int) - other.astype(int)).max(initial=0))


@SOME
@given(design=designs(), bank=banks(), look=LOOKS, threads=st.integers(1, 4), rows=st.integers(1, ROWS))
def test_kernel_numpy_threads_and_tiles_agree(design, bank, look, threads, rows) -> None:
    made, masks = program(design, **look), stacked(design, bank)
    whole = render.render(made, masks, threads=1)
    assert apart(whole, rules.render_plain(made, masks)) <= 1
    assert np.array_equal(whole, render.render(made, masks, threads=threads))
    tiles = [render.render(made, masks[:, first : first + rows]) for first in range(0, ROWS, rows)]
    assert np.array_equal(whole, np.concatenate(tiles, axis=1))


@SOME
@given(design=designs(), bank=banks(), look=LOOKS, axis=st.sampled_from([1, 2]))
def test_masks_mirrored_give_plates_mirrored(design, bank, look, axis) -> None:
    mirrored = np.ascontiguousarray(np.flip(bank, axis))
    assert np.array_equal(plates(design, mirrored, **look), np.flip(plates(design, bank, **look), axis))


@SOME
@given(data=st.data(), design=designs(most=4), bank=banks(), look=LOOKS)
def test_waxed_spots_stay_to_the_last_bit_through_later_dyeings(data, design, bank, look) -> None:
    later = data.draw(steps(most=4, masks=MASKS - 1, removing=False))
    whole = replace(design, steps=(*design.steps, Wax(mask=use(MASKS - 1)), *later, RemoveWax()))
    bank[MASKS - 1, 3:9, 5:15] = 255
    seen = plates(whole, bank, **look | {"wax_shown": False})[:, 3:9, 5:15]
    for plate in seen[len(design.steps) :]:
        assert np.array_equal(plate, seen[len(design.steps)])


@SOME
@given(data=st.data(), design=designs(most=4), bank=banks(), look=LOOKS)
def test_a_step_on_closed_cloth_alone_can_be_left_out(data, design, bank, look) -> None:
    """A dyeing or discharge whose mask lies wholly under wax: without that step every other plate is the same."""
    bank[4], bank[5] = 0, 0
    bank[4, 2:10, 4:16] = 255
    bank[5, 2:10, 4:16] = data.draw(st.integers(1, 255))
    idle = data.draw(
        st.sampled_from([*NAMES, *POTS]).map(lambda pot: DyeBath(paints=(Paint(pot=pot, where=use(5)),)))
        | st.floats(0, 1).map(lambda strength: Discharge(where=use(5), strength=strength))
    )
    later = data.draw(steps(most=3, masks=4))
    before = (*design.steps, Wax(mask=use(4)))
    without = plates(replace(design, steps=(*before, *later)), bank, **look)
    with_it = plates(replace(design, steps=(*before, idle, *later)), bank, **look)
    assert np.array_equal(with_it[len(before) + 1], with_it[len(before)])
    assert np.array_equal(np.delete(with_it, len(before) + 1, axis=0), without)


@SOME
@given(data=st.data(), cloth=CLOTHS, some=dyes(straight=True), bank=banks())
def test_more_dye_is_never_lighter_whatever_comes_before_and_after(data, cloth, some, bank) -> None:
    """Stronger, or brushed on more densely, at any dyeing. Baths stay below where fibre is full: past it, pale dye
    taken first leaves less room for dark dye, and that cloth is rightly lighter."""
    count = data.draw(st.integers(1, 4))
    strengths = [data.draw(st.floats(0, LOAD_KNEE / 5)) for _ in range(count)]
    at = data.draw(st.integers(0, count - 1))
    mixed = [data.draw(pots(most=0.0))[0] for _ in range(count)]
    waxes = [data.draw(st.none() | st.integers(0, MASKS - 2)) for _ in range(count)]
    where = data.draw(st.none() | st.just(use(MASKS - 1)))

    def finished(more: float, masks: np.ndarray) -> np.ndarray:
        made = [s + more * (number == at) for number, s in enumerate(strengths)]
        own = tuple(replace(one, name=f"pot {n}", strength=made[n]) for n, one in enumerate(mixed))
        work: list[object] = []
        for n, wax in enumerate(waxes):
            work += [] if wax is None else [Wax(mask=use(wax))]
            work += [DyeBath(paints=(Paint(pot=f"pot {n}", where=where if n == at else None),))]
        design = Design(title="Any", cloth=cloth, dyes=some, pots=own, steps=tuple(work))
        return light_of(plates(design, masks)[-1])

    plain = finished(0.0, bank)
    assert np.all(finished(data.draw(st.floats(0, LOAD_KNEE / 5)), bank) <= plain + 0.006)  # rounding to 8 bits
    denser = bank.copy()
    denser[MASKS - 1] = np.maximum(bank[MASKS - 1], data.draw(st.integers(0, 255)))
    assert np.all(finished(0.0, denser) <= plain + 0.006)


@SOME
@given(design=designs(most=9), bank=banks())
def test_shares_of_regions_sum_to_one(design, bank) -> None:
    found = outcome_of(design, dyes_on_cloth(design), stacked(design, bank)).regions
    assert sum(region.share for region in found) == pytest.approx(1, abs=1e-12)
    assert all(0 < region.share <= 1 for region in found)
    assert all(load >= 0 for region in found for load in region.loads.values())


# A preview and its own report


def saved(design: Design, bank: np.ndarray, folder: Path) -> Path:
    write_design(design, folder)
    for one, mask in zip(design_masks(design), stacked(design, bank), strict=True):
        Image.fromarray(255 - mask).save(folder / one.picture)
    return folder


@pytest.mark.full
@FEW
@given(design=designs(most=5), bank=banks())
def test_a_preview_made_again_from_its_own_design_is_the_same_to_the_byte(design, bank) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder, earlier = Path(name) / "one", Path(name) / "earlier"
        first = jobs.save_preview(saved(design, bank, folder), folder / "out")
        folder.rename(earlier)  # for the report names its design's file, which is so the same
        second = jobs.save_preview(saved(read_design(earlier), bank, folder), folder / "out")
        assert first.files == second.files
        for file in first.files:
            assert (earlier / "out" / file).read_bytes() == (second.folder / file).read_bytes()


@FEW
@given(design=designs(most=5), bank=banks(flat=True))
def test_the_finished_cloth_can_be_laid_again_from_the_report_alone(design, bank) -> None:
    """Every pixel has the colour of a region of report.json, and of every colour there is as much as it says."""
    with tempfile.TemporaryDirectory() as name:
        folder = saved(design, bank, Path(name) / "one")
        done = jobs.save_preview(folder, folder / "out")
        report = json.loads((done.folder / "report.json").read_text(encoding="utf-8"))
        cloth = np.asarray(Image.open(done.folder / "cloth.png"))
    told = np.array([list(bytes.fromhex(region["hex"][1:])) for region in report["regions"]])
    shares = np.array([region["share"] for region in report["regions"]])
    near = np.abs(cloth.reshape(-1, 1, 3).astype(int) - told).max(axis=2)
    assert near.min(axis=1).max() <= 1
    for place, colour in enumerate(told):  # colours that can't be told apart are counted together
        alike = np.abs(told - colour).max(axis=1) <= 3
        spots = (near[:, alike].min(axis=1) <= 1).mean()
        assert spots == pytest.approx(shares[alike].sum(), abs=1e-5) or _blurred(told, place)


def _blurred(told: np.ndarray, place: int) -> bool:
    """Whether some other region lies just beyond the ones counted together, so that spots may count twice."""
    far = np.abs(told - told[place]).max(axis=1)
    return bool(((far > 3) & (far <= 7)).any())
