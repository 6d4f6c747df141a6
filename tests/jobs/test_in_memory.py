"""Designs in memory: from arrays, changed in a loop, never stale; results as arrays that agree with one another."""

from __future__ import annotations

import dataclasses
import pickle
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import batiksim
from batiksim import BatikError, Cloth, Design, Dye, DyeBath, MaskUse, Paint, Pot, Want, Wax
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import hex_to_lab
from tests.conftest import design as built
from tests.conftest import noisy, soft, some_steps, stack

SAMPLES = Path(__file__).resolve().parents[2] / "sample_designs"
DYES = (Dye(name="straw", colour="#f2e08a"), Dye(name="sky", colour="#3d9fb4"), Dye(name="rose", colour="#d6246e"))


def disc(x: float, y: float, radius: float, rows: int = 60, cols: int = 80) -> np.ndarray:
    down, along = np.mgrid[:rows, :cols]
    return np.hypot(along - x, down - y) < radius


def plan(*steps, **keys) -> Design:
    return Design(title="Pool", cloth=Cloth(width_mm=160), dyes=DYES, steps=steps, **keys)


def wax(name: str) -> Wax:
    return Wax(mask=MaskUse(picture=name))


def bath(pot: str) -> DyeBath:
    return DyeBath(paints=(Paint(pot=pot),))


SUN, MOON = disc(25, 30, 16), disc(50, 30, 22)
MASKS = {"sun": SUN, "moon": MOON}
POOL = plan(wax("sun"), bath("straw"), wax("moon"), bath("sky"))


# A design and its arrays


def test_arrays_of_every_kind_mean_the_same():
    kinds = [SUN, SUN.astype(np.uint8) * 255, SUN.astype(np.float32), SUN.astype(np.float64).tolist()]
    shown = [batiksim.preview(POOL, masks={"sun": kind, "moon": MOON}).cloth for kind in kinds]
    for cloth in shown[1:]:
        np.testing.assert_array_equal(cloth, shown[0])
    half = batiksim.preview(POOL, masks={"sun": 0.5 * SUN, "moon": MOON}).masks["sun"]
    assert sorted(np.unique(half)) == [0, 128]


def test_memory_and_disk_agree(tmp_path):
    """Wax is white where the array says 1, and black on the paper."""
    from PIL import Image

    for name, mask in MASKS.items():
        Image.fromarray(np.where(mask, 0, 255).astype(np.uint8)).save(tmp_path / f"{name}.png")
    there = plan(wax("sun.png"), bath("straw"), wax("moon.png"), bath("sky"))
    batiksim.write_design(there, tmp_path)
    memory = batiksim.preview(POOL, masks=MASKS)
    np.testing.assert_array_equal(batiksim.preview(tmp_path).cloth, memory.cloth)
    np.testing.assert_array_equal(batiksim.preview(there, folder=tmp_path).cloth, memory.cloth)
    # an array stands in for a picture that is there, or that isn't yet
    (tmp_path / "moon.png").unlink()
    np.testing.assert_array_equal(batiksim.preview(tmp_path, masks={"moon.png": MOON}).cloth, memory.cloth)


def test_a_changed_design_is_never_stale():
    """A dye changed from blue to red shows; two waxings that change places change what they keep."""
    shown = batiksim.preview(POOL, masks=MASKS)
    red = dataclasses.replace(POOL, dyes=(DYES[0], dataclasses.replace(DYES[1], colour="#b03030"), DYES[2]))
    again = batiksim.preview(red, masks=MASKS)
    both = ("straw", "sky")
    before, after = ({r.history: r for r in one.regions}[both] for one in (shown, again))
    assert delta_e_2000(before.lab, after.lab) > 20
    swapped = dataclasses.replace(POOL, steps=(POOL.steps[2], *POOL.steps[1:2], POOL.steps[0], POOL.steps[3]))
    shares = [{r.history: round(r.share, 3) for r in batiksim.preview(d, masks=MASKS).regions} for d in (POOL, swapped)]
    assert shares[0] != shares[1]
    assert shares[0][()] == pytest.approx(SUN.mean(), abs=1e-3)
    assert shares[1][()] == pytest.approx(MOON.mean(), abs=1e-3)


def test_masks_can_not_be_changed_behind_a_previews_back():
    sun = SUN.astype(np.uint8) * 255
    shown = batiksim.preview(POOL, masks={"sun": sun, "moon": MOON})
    before = shown.cloth.copy()
    sun[:] = 0
    with pytest.raises(ValueError, match="read-only"):
        shown.masks["sun"][:] = 0
    agree(shown)
    np.testing.assert_array_equal(batiksim.preview(POOL, masks=shown.masks).cloth, before)


def test_what_does_not_belong_together_is_refused():
    assert not hasattr(batiksim, "Project")
    shown = batiksim.preview(POOL, masks=MASKS)
    with pytest.raises(TypeError):
        dataclasses.replace(shown.project, design=POOL)


def test_a_changed_dye_of_the_built_in_book_is_written_as_it_is(tmp_path):
    lemon = batiksim.read_book("demo").dyes[0]
    for dye in (lemon, dataclasses.replace(lemon, colour="#ff0000"), dataclasses.replace(lemon, name="my own")):
        design = Design(title="Book", cloth=Cloth(width_mm=160), dyes=(dye,), steps=(bath(dye.name),))
        batiksim.write_design(design, tmp_path / dye.name)
        again = batiksim.read_design(tmp_path / dye.name)
        assert batiksim.preview(again).regions == batiksim.preview(design).regions
    batiksim.write_design(dataclasses.replace(design, dyes=(lemon,), steps=(bath("lemon"),)), tmp_path / "same")
    assert 'book = "demo"' in (tmp_path / "same" / "design.toml").read_text()


def test_a_loop_over_strengths_deepens_the_colour():
    lightness = []
    for strength in (0.25, 0.5, 1.0, np.float32(2.0)):
        pot = Pot(name="pool", parts={"sky": 1}, strength=strength)
        design = plan(bath("pool"), pots=(pot,))
        lightness.append(batiksim.preview(design).lab[0, 0])
    assert lightness == sorted(lightness, reverse=True)


@pytest.mark.parametrize(
    ("masks", "names"),
    [
        ({"sun": SUN}, ["step 3", "moon", "sun"]),
        ({"sun": SUN, "mooon": MOON}, ["'moon'", "did you mean 'mooon'"]),
        ({"sun": SUN, "moon": MOON[:-1]}, ["moon", "80 × 59"]),
        ({"sun": SUN, "moon": MOON * 3.0}, ["moon", "masks"]),
        ({"sun": SUN, "moon": np.full(MOON.shape, np.nan)}, ["moon"]),
        ({"sun": SUN, "moon": np.zeros((3, 4, 3))}, ["moon", "(3, 4, 3)"]),
        ({"sun": SUN, "moon": np.zeros((0, 4))}, ["moon"]),
        ({"sun": SUN, "moon": MOON.astype(np.uint8)}, ["moon", "255"]),
        ({"sun": SUN, "moon": [[1, 2], [3]]}, ["moon"]),
        ({}, ["step 1", "'sun'", "folder=", "masks="]),
        (None, ["step 1", "'sun'", "folder=", "masks="]),
    ],
)
def test_masks_that_do_not_fit_are_told(masks, names):
    with pytest.raises(BatikError) as told:
        batiksim.preview(POOL, masks=masks)
    assert all(name in str(told.value) for name in names), str(told.value)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: batiksim.preview(POOL, masks=[SUN, MOON]), "masks"),
        (lambda: batiksim.preview(POOL, masks={"sun": SUN.astype(int), "moon": MOON}), "sun"),
        (lambda: batiksim.preview(3), "design"),
        (lambda: batiksim.check(None), "design"),
        (lambda: batiksim.preview(SAMPLES / "garden_poppies", folder=SAMPLES), "folder"),
        (lambda: batiksim.overdye(3), "dyes"),
        (lambda: batiksim.pot(3), "recipe"),
        (lambda: batiksim.check(POOL, masks=MASKS, only=None), "only"),
        (lambda: batiksim.overdye(only=[3]), "only"),
        (lambda: batiksim.orders(POOL, masks=MASKS, choose="2"), "choose"),
        (lambda: batiksim.match(3), "colour"),
        (lambda: batiksim.from_picture(np.zeros((9, 9, 3), np.uint8), dyes=batiksim.read_book("demo")), "dyes"),
        (lambda: batiksim.from_picture(np.zeros((3, 3))), "picture"),
    ],
)
def test_a_callers_mistake_is_a_type_error_that_names_the_argument(call, name):
    with pytest.raises(TypeError, match=name):
        call()


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: batiksim.preview(POOL, masks=MASKS, look="moist"), "look"),
        (lambda: batiksim.preview(POOL, masks=MASKS, light="moon"), "light"),
        (lambda: batiksim.preview(POOL, masks=MASKS, width_px=0), "width_px"),
        (lambda: batiksim.preview(POOL, folder="/no/such/folder"), "folder"),
        (lambda: batiksim.check(POOL, masks=MASKS, only="mudd"), "only"),
        (lambda: batiksim.check(POOL, masks=MASKS, skip=["leek"]), "skip"),
        (lambda: batiksim.overdye(only="lemmon"), "only"),
        (lambda: batiksim.overdye(use_pots=True), "use_pots"),
        (lambda: batiksim.overdye(strength=0), "strength"),
        (lambda: batiksim.overdye(look="moist"), "look"),
        (lambda: batiksim.match("#c05f7a", most_dyes=0), "most_dyes"),
        (lambda: batiksim.match("#c05f7a", count=0), "count"),
        (lambda: batiksim.pot("lemon", light="moon"), "light"),
        (lambda: batiksim.pot("lemon", strength=9), "strength"),
        (lambda: batiksim.orders(POOL, masks=MASKS, best=0), "best"),
        (lambda: batiksim.orders(POOL, masks=MASKS, choose=9), "choose"),
        (lambda: batiksim.workshop(POOL, masks=MASKS, makers=0), "makers"),
        (lambda: batiksim.workshop(POOL, masks=MASKS, room_c=90), "room_c"),
        (lambda: batiksim.workshop(POOL, masks=MASKS, sessions="long"), "sessions"),
        (lambda: batiksim.workshop(POOL, masks=MASKS, measures="cubits"), "measures"),
        (lambda: batiksim.from_picture(np.zeros((9, 9, 3), np.uint8), line_mm=0), "line_mm"),
        (lambda: batiksim.handout(POOL, "h.pdf", masks=MASKS, sections="nothing"), "sections"),
        (lambda: batiksim.handout(POOL, "h.doc", masks=MASKS), "out"),
        (lambda: batiksim.trace(POOL, "there", masks=MASKS, paper="a9"), "paper"),
        (lambda: batiksim.risk(POOL, "r.pdf", masks=MASKS, paper="a9"), "paper"),
        (lambda: batiksim.chart("pie"), "kind"),
        (lambda: batiksim.chart("spectra", light="moon"), "light"),
        (lambda: batiksim.strip("demo", "there", card=18), "card"),
        (lambda: batiksim.stages(POOL, "s.gif", masks=MASKS), "out"),
        (lambda: batiksim.calibrate("book.toml", picture="photo.jpg"), "strip"),
    ],
)
def test_every_option_is_checked_under_its_own_name(call, field, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(BatikError) as told:
        call()
    assert told.value.field == field, str(told.value)
    assert "--" not in str(told.value)
    assert isinstance(told.value, ValueError)
    assert list(tmp_path.iterdir()) == []


# Results as arrays


def agree(shown: batiksim.Preview) -> None:
    count, bands = len(shown.regions), len(shown.wavelengths)
    assert shown.labels.shape == shown.cloth.shape[:2]
    parts = np.bincount(shown.labels.ravel(), minlength=count) / shown.labels.size
    np.testing.assert_allclose(parts, [region.share for region in shown.regions], atol=1e-12)
    assert shown.stage_reflectance.shape == (len(shown.plates), count, bands)
    assert shown.stage_lab.shape == (len(shown.plates), count, 3)
    assert shown.loads.shape == (count, len(shown.dyes))
    np.testing.assert_allclose(shown.lab, [region.lab for region in shown.regions], atol=1e-9)
    for row, region in zip(shown.loads, shown.regions, strict=True):
        held = dict(zip(shown.dyes, row.tolist(), strict=True))
        assert all(held[dye] == pytest.approx(load) for dye, load in region.loads.items())
        assert all(load == 0 for dye, load in held.items() if dye not in region.loads)
    bare = shown.stage_lab[0]
    np.testing.assert_allclose(bare, np.broadcast_to(bare[:1], bare.shape), atol=1e-9)


@given(steps=some_steps(), noise=st.booleans())
@settings(max_examples=25, deadline=None)
def test_labels_regions_and_arrays_agree_on_any_design(steps, noise):
    planned = built(*steps)
    masks = stack(planned, noisy(10) if noise else soft(10))
    uses = {use.picture for _, use in planned.mask_uses()}
    by_name = {}
    for use, mask in zip(dict.fromkeys(use for _, use in planned.mask_uses()), masks, strict=True):
        by_name.setdefault(use.picture, mask)
    assert set(by_name) == uses
    agree(batiksim.preview(planned, masks=by_name))


@pytest.mark.parametrize("name", ["garden_poppies", "estuary_geese"])
def test_arrays_agree_on_samples(name):
    agree(batiksim.preview(SAMPLES / name, width_px=200))


def test_pixels_of_a_region_show_its_colour():
    """Where wax doesn't soften an edge, the plate has the region's own colour."""
    shown = batiksim.preview(POOL, masks=MASKS)
    for place, region in enumerate(shown.regions):
        pixel = shown.cloth[shown.labels == place][0]
        assert delta_e_2000(hex_to_lab("#" + bytes(pixel.tolist()).hex()), hex_to_lab(region.hex)) < 1
    after = shown.stage_lab[2]  # the straw has come, the sky has not
    gone = {region.history: place for place, region in enumerate(shown.regions)}
    assert delta_e_2000(after[gone["straw",]], shown.lab[gone["straw",]]) < 1e-6
    assert delta_e_2000(after[gone["straw", "sky"]], after[gone["straw",]]) < 1e-6
    assert delta_e_2000(shown.lab[gone["straw", "sky"]], after[gone["straw",]]) > 10


def test_records_make_a_table():
    import pandas

    shown = batiksim.preview(POOL, masks=MASKS)
    table = pandas.DataFrame(shown.records()).set_index("region")
    assert table["share"].sum() == pytest.approx(1)
    assert list(table.loc[:, [f"load: {dye}" for dye in shown.dyes]].dtypes) == [np.dtype(float)] * 3
    assert table.groupby("plain")["share"].sum().max() < 1
    overdyes = pandas.DataFrame(batiksim.overdye(POOL).records())
    assert overdyes.pivot_table(index="first", columns="over", values="L").shape == (3, 3)
    assert len(pandas.DataFrame(batiksim.match("#7a9a3a", dyes=POOL).records())) >= 1


def test_labels_are_what_image_tools_take():
    from skimage import measure

    shown = batiksim.preview(POOL, masks=MASKS)
    places = {region.history: place for place, region in enumerate(shown.regions)}
    (sun,) = measure.regionprops(measure.label(shown.labels == places[()]))
    assert sun.centroid == pytest.approx((30, 25), abs=0.5)
    assert sun.area == SUN.sum()


def test_the_overdye_matrix():
    chart = batiksim.overdye(POOL)
    assert chart.lab.shape == (3, 3, 3)
    assert chart.mud.shape == (3, 3)
    for i, first in enumerate(chart.dyes):
        for j, over in enumerate(chart.dyes):
            shown = batiksim.preview(plan(bath(first), bath(over)))
            np.testing.assert_allclose(chart.lab[i, j], shown.lab[0], atol=1e-6)


def test_spectra_add_up_to_what_the_cloth_shows():
    dyes = batiksim.spectra(POOL)
    shown = batiksim.preview(plan(bath("straw"), bath("sky")))
    loads = dict(zip(shown.dyes, shown.loads[0].tolist(), strict=True))
    np.testing.assert_allclose(dyes.reflectance(loads), shown.reflectance[0], atol=1e-9)
    np.testing.assert_allclose(dyes.reflectance([loads[name] for name in dyes.names]), shown.reflectance[0], atol=1e-9)
    assert dyes.reflectance(np.zeros((4, 2, 3))).shape == (4, 2, 31)
    with pytest.raises(ValueError, match="loads"):
        dyes.reflectance(np.zeros(2))
    with pytest.raises(BatikError, match="sky"):
        dyes.reflectance({"skyy": 1.0})


# Every job takes a design in memory


def test_every_job_takes_a_design_in_memory(tmp_path):
    from PIL import Image

    assert batiksim.check(POOL, masks=MASKS).design == POOL
    wanted = dataclasses.replace(POOL, wants=(Want(at_mm=(40.0, 60.0), colour="#f2e08a"),))
    ranked = batiksim.orders(wanted, masks=MASKS, best=2)
    names = ranked.write(tmp_path / "order")
    assert {"sun.png", "moon.png"} <= set(names)
    again, best = batiksim.preview(tmp_path / "order"), batiksim.preview(ranked.designs[0], masks=MASKS)
    np.testing.assert_array_equal(again.cloth, best.cloth)
    assert batiksim.workshop(POOL, masks=MASKS, makers=3).plan.request.makers == 3
    assert batiksim.handout(POOL, tmp_path / "handout.pdf", masks=MASKS, one_page=True).file.is_file()
    assert batiksim.risk(POOL, tmp_path / "risk.pdf", masks=MASKS).file.is_file()
    assert batiksim.trace(POOL, tmp_path / "tracing", masks=MASKS).sheets
    assert batiksim.stages(POOL, tmp_path / "stages.png", masks=MASKS).file.is_file()
    assert batiksim.chart("colours", POOL, masks=MASKS).kind == "colours"
    assert batiksim.strip(POOL, tmp_path / "strip").strips
    saved = batiksim.preview(POOL, masks=MASKS).save(tmp_path / "out")
    assert "cloth.png" in saved.files
    with Image.open(tmp_path / "out" / "cloth.png") as picture:
        np.testing.assert_array_equal(np.asarray(picture), batiksim.preview(POOL, masks=MASKS).cloth)


@pytest.mark.parametrize(("picture", "keys"), [("masks/sun.png", {}), ("sun.png", {"marks": "light", "clean": True})])
def test_an_order_from_memory_is_written_as_it_was_given(tmp_path, picture, keys):
    use = MaskUse(picture=picture, **keys)
    want = Want(where=MaskUse(picture="wish"), colour="#f2e08a")
    design = plan(bath("straw"), Wax(mask=use), bath("sky"), wants=(want,))
    mask = SUN.astype(np.uint8) * 255
    ranked = batiksim.orders(design, masks={picture: mask, "wish": MOON})
    before = batiksim.preview(ranked.designs[0], masks={picture: SUN, "wish": MOON}).cloth
    mask[:] = 0  # the caller goes on with it
    ranked.write(tmp_path / "there")
    np.testing.assert_array_equal(batiksim.preview(tmp_path / "there").cloth, before)


def test_an_order_never_writes_outside_its_folder(tmp_path):
    mine = tmp_path / "mine.png"
    mine.write_text("mine")
    for name in (str(mine), "../mine.png"):
        design = plan(bath("straw"), wax(name), bath("sky"))
        batiksim.orders(design, masks={name: SUN}).write(tmp_path / f"into {len(name)}")
    assert mine.read_text() == "mine"
    assert batiksim.preview(tmp_path / "into 11").regions


def test_an_order_from_disk_and_memory_keeps_both_pictures_apart(tmp_path):
    from PIL import Image

    Image.fromarray(np.where(SUN, 0, 255).astype(np.uint8)).save(tmp_path / "sun.png")
    design = plan(wax("sun.png"), bath("straw"), wax("masks/sun.png"), bath("sky"))
    ranked = batiksim.orders(design, folder=tmp_path, masks={"masks/sun.png": MOON})
    before = batiksim.preview(ranked.designs[0], folder=tmp_path, masks={"masks/sun.png": MOON}).cloth
    ranked.write(tmp_path / "there")
    np.testing.assert_array_equal(batiksim.preview(tmp_path / "there").cloth, before)


def test_a_picture_read_in_two_ways_is_no_single_array(tmp_path):
    from PIL import Image

    Image.fromarray(np.where(SUN, 0, 255).astype(np.uint8)).save(tmp_path / "sun.png")
    ways = [Wax(mask=MaskUse(picture="sun.png", marks=marks)) for marks in ("dark", "light")]
    design = plan(ways[0], bath("straw"), ways[1], bath("sky"))
    shown = batiksim.preview(design, folder=tmp_path)
    assert shown.masks == {}
    with pytest.raises(BatikError, match="masks: .*'sun.png' in two ways"):
        batiksim.preview(design, masks={"sun.png": SUN})


def test_the_masks_of_an_order_go_with_its_design(tmp_path):
    from PIL import Image

    Image.fromarray(np.where(SUN, 0, 255).astype(np.uint8)).save(tmp_path / "sun.png")
    ways = [Wax(mask=MaskUse(picture="sun.png", marks=marks)) for marks in ("dark", "light")]
    ranked = batiksim.orders(plan(ways[0], bath("straw"), bath("sky"), ways[1], bath("rose")), folder=tmp_path)
    for design, masks in zip(ranked.designs, ranked.masks, strict=True):
        assert "sun.png" not in masks
        assert batiksim.preview(design, folder=tmp_path, masks=masks).regions


@pytest.mark.parametrize("dyes", ["demo", batiksim.read_book("demo")], ids=["by its name", "read"])
def test_invented_dyes_are_said_to_be(dyes):
    assert "jobs.note.demo_dyes" in [note.key for note in batiksim.match("#3b7d5c", dyes=dyes).notes]


def test_a_notebook_draws_a_result_once(monkeypatch):
    """IPython asks for the picture and for the page with it."""
    from IPython.core.formatters import DisplayFormatter

    shown = batiksim.preview(POOL, masks=MASKS)
    drawn = []
    draw = type(shown).picture
    monkeypatch.setattr(type(shown), "picture", lambda self: drawn.append(1) or draw(self))
    forms, _ = DisplayFormatter().format(shown)
    assert drawn == [1]
    assert forms["image/png"] == shown._repr_png_()
    assert forms["text/html"] == shown._repr_html_()


def test_a_workshop_in_memory_looks_for_no_book(tmp_path, monkeypatch):
    batiksim.write_book(batiksim.read_book("demo"), tmp_path / "mine.toml")
    there = batiksim.read_book(tmp_path / "mine.toml")
    design = Design(title="Book", cloth=Cloth(width_mm=160), dyes=there.dyes, steps=(bath("lemon"),))
    monkeypatch.chdir(tmp_path)
    assert batiksim.workshop(design).plan.pots
    ranked = batiksim.orders(plan(wax("sun"), bath("straw"), bath("sky")), masks=MASKS, book=there, choose=np.int64(2))
    ranked.write(tmp_path / "from memory")
    assert batiksim.preview(tmp_path / "from memory").regions


def test_saving_from_memory_is_saving_from_disk(tmp_path):
    sample = SAMPLES / "garden_poppies"
    shown = batiksim.preview(sample, width_px=200)
    shown.save(tmp_path / "memory")
    from batiksim import jobs

    jobs.save_preview(sample, tmp_path / "disk", width_px=200)
    for file in sorted(path.name for path in (tmp_path / "disk").iterdir()):
        assert (tmp_path / "memory" / file).read_bytes() == (tmp_path / "disk" / file).read_bytes(), file


# Threads, processes, and work that is called off


def _hexes(strength: float) -> list[str]:
    pot = Pot(name="pool", parts={"sky": 1, "straw": 2}, strength=strength)
    shown = batiksim.preview(plan(wax("sun"), bath("pool"), pots=(pot,)), masks=MASKS)
    return [region.hex for region in shown.regions]


STRENGTHS = [0.2 + 0.1 * step for step in range(8)]


def test_threads_agree_with_one_another():
    one_by_one = list(map(_hexes, STRENGTHS))
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(_hexes, STRENGTHS)) == one_by_one


@pytest.mark.full
@pytest.mark.parametrize("method", ["spawn", "forkserver"])
def test_process_pools_work(method):
    with ProcessPoolExecutor(2, mp_context=get_context(method)) as pool:
        assert list(pool.map(_hexes, STRENGTHS)) == list(map(_hexes, STRENGTHS))
        folders = [SAMPLES / "garden_poppies", SAMPLES / "estuary_geese"]
        shown = list(pool.map(batiksim.preview, folders))
        assert [one.design.title for one in shown] == [batiksim.read_design(folder).title for folder in folders]
        found = pool.submit(batiksim.check, folders[0], only="mud").result()
        assert [finding.code for finding in found]
        with pytest.raises(BatikError, match="there is no"):
            pool.submit(batiksim.preview, SAMPLES / "nowhere").result()


def test_results_survive_pickling():
    shown = batiksim.preview(POOL, masks=MASKS)
    again = pickle.loads(pickle.dumps(shown))
    np.testing.assert_array_equal(again.labels, shown.labels)
    assert again.regions == shown.regions
    for result in (batiksim.check(POOL, masks=MASKS), batiksim.overdye(POOL), batiksim.pot("sky", dyes=POOL),
                   batiksim.match("#7a9a3a", dyes=POOL), batiksim.orders(POOL, masks=MASKS),
                   batiksim.workshop(POOL, masks=MASKS), batiksim.spectra(POOL)):  # fmt: skip
        there = pickle.loads(pickle.dumps(result))
        assert repr(there) == repr(result)
        if isinstance(result, batiksim.Spectra):
            np.testing.assert_array_equal(there.ks, result.ks)
        else:
            assert there.data() == result.data()
        assert len(repr(result)) < 200


class CalledOff(Exception):
    """Raised by whoever watches."""


@pytest.mark.parametrize(
    "job",
    [
        lambda out, **keys: batiksim.preview(POOL, masks=MASKS, **keys),
        lambda out, **keys: batiksim.check(POOL, masks=MASKS, **keys),
        lambda out, **keys: batiksim.orders(POOL, masks=MASKS, **keys),
        lambda out, **keys: batiksim.workshop(POOL, masks=MASKS, **keys),
        lambda out, **keys: batiksim.handout(POOL, out / "handout.pdf", masks=MASKS, **keys),
        lambda out, **keys: batiksim.risk(POOL, out / "risk.pdf", masks=MASKS, **keys),
        lambda out, **keys: batiksim.trace(POOL, out / "tracing", masks=MASKS, **keys),
        lambda out, **keys: batiksim.stages(POOL, out / "stages.png", masks=MASKS, **keys),
        lambda out, **keys: batiksim.preview(POOL, masks=MASKS).save(out / "there", **keys),
        lambda out, **keys: batiksim.from_picture(np.dstack([SUN * np.uint8(200)] * 3), steps=2, **keys),
        lambda out, **keys: batiksim.calibrate(
            out / "book.toml",
            picture=SAMPLES / "strip" / "photo.jpg",
            strip=SAMPLES / "strip" / "strip.toml",
            dry_run=True,
            **keys,
        ),
    ],
)
def test_long_jobs_tell_how_far_they_are_and_can_be_called_off(job, tmp_path):
    seen = []
    (tmp_path / "done").mkdir()
    job(tmp_path / "done", progress=lambda done, whole, what: seen.append((done, whole, str(what))))
    assert seen
    assert all(0 <= done <= whole and what for done, whole, what in seen)
    stop_at = len(seen)
    for stop in {1, stop_at}:
        count = 0

        def call_off(done, whole, what):
            nonlocal count
            count += 1
            if count == stop:  # noqa: B023
                raise CalledOff

        with pytest.raises(CalledOff):
            job(tmp_path / f"stopped {stop}", progress=call_off)
        left = tmp_path / f"stopped {stop}"
        assert not left.exists() or list(left.rglob("*")) == []
