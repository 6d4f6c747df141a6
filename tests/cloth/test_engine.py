"""The engine against the float64 reference, against sums by hand, and against what must hold for any cloth."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from batiksim.cloth import render, rules
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.loads import LOAD_CEILING, LOAD_KNEE
from batiksim.cloth.program import MOST_PARTS, Emit
from batiksim.colour import spaces, spectra
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.gamut import fit_to_srgb
from batiksim.values import Cloth, Discharge, Dye, Pot, RemoveWax

SOME = settings(max_examples=40, deadline=None)
LOOKS = st.fixed_dictionaries({
    "look": st.sampled_from(["dry", "wet"]),
    "light": st.sampled_from(spectra.LIGHTS),
    "wax_shown": st.booleans(),
})  # fmt: skip


def apart(one, other):
    return int(np.abs(one.astype(int) - other.astype(int)).max(initial=0))


def seen(reflectance):
    """sRGB 0..255 (not rounded) of reflectance (..., 31) in daylight, for colours that a screen can show."""
    encoded = spaces.encode_srgb(spaces.xyz_to_linear_srgb(reflectance @ spectra.light_weights()))
    assert np.all((encoded >= 0) & (encoded <= 1))
    return 255 * encoded


def kubelka_munk(ks, surface=0.015):
    return surface + (1 - surface) / (1 + ks + np.sqrt(ks**2 + 2 * ks))


def luminance(plate):
    """Y, 0..1, of a plate."""
    return spaces.decode_srgb(plate / 255.0) @ [0.2126, 0.7152, 0.0722]


@pytest.fixture(scope="module")
def bank(build):
    """Ten masks, soft ones and noisy ones, of 16 x 24 pixels."""
    masks = np.concatenate([build.soft(6, 16, 24), build.noisy(4, 16, 24)])
    masks[5] = np.arange(384, dtype=np.uint8).reshape(16, 24)  # every level
    return masks


# Kernel and reference


@SOME
@given(data=st.data(), look=LOOKS)
def test_kernel_stays_within_one_of_the_reference(build, bank, data, look):
    cloth = data.draw(st.sampled_from([Cloth(width_mm=100), Cloth(width_mm=100, colour="#ffffff", surface=0.0)]))
    planned = build.design(*data.draw(build.some_steps()), cloth=cloth)
    program, masks = build.program(planned, **look), build.stack(planned, bank)
    assert apart(render.render(program, masks), rules.render_plain(program, masks)) <= 1


def test_more_than_eight_masks(build):
    """Their bytes no longer fit one 64-bit word; every one of them has to count."""
    steps = [step for mask in range(10) for step in (build.wax(mask), build.dye(("leaf", mask + 10), "sea"))]
    planned = build.design(*steps)
    program = build.program(planned)
    masks = np.concatenate([build.soft(10, 16, 24), build.noisy(10, 16, 24)])
    plates = render.render(program, masks)
    assert apart(plates, rules.render_plain(program, masks)) <= 1
    for mask in (7, 8, 15, 16, 19):
        changed = build.stack(planned, masks)
        changed[mask] = 255 - changed[mask]
        assert apart(render.render(program, changed), rules.render_plain(program, changed)) <= 1
        assert apart(render.render(program, changed), plates) > 0


def test_masks_that_differ_in_one_bit_are_told_apart(build):
    """A row of pixels that differ from the first in a single bit of a single one of twelve masks."""
    planned = build.design(*(build.dye(("water" if mask % 2 else "plum", mask)) for mask in range(12)))
    masks = np.full((12, 1, 97), 96, np.uint8)
    for place in range(96):
        masks[place // 8, 0, place + 1] ^= np.uint8(1 << place % 8)
    program = build.program(planned)
    assert apart(render.render(program, masks), rules.render_plain(program, masks)) <= 1


def test_more_than_sixty_four_operations(build, bank):
    steps = [step for mask in range(10) for step in (build.wax(mask), build.dye("leaf", ("pink", mask)), RemoveWax())]
    steps = [*steps[:15], *(build.dye(("sun", mask % 10)) for mask in range(40)), *steps[15:]]
    planned = build.design(*steps)
    program, masks = build.program(planned), build.stack(planned, bank)
    assert len(program.ops) > 64
    assert apart(render.render(program, masks), rules.render_plain(program, masks)) <= 1


@pytest.mark.parametrize("look", ["dry", "wet"])
@pytest.mark.parametrize("light", spectra.LIGHTS)
@pytest.mark.parametrize(("pot", "band"), [("glow", 0), ("marigold", 2)])
def test_colours_that_no_screen_shows(build, bank, look, light, pot, band):
    planned = build.design(*[build.dye((pot, 5))] * 3, build.wax(0), build.dye(("sun", 4)))
    program, masks = build.program(planned, look=look, light=light), build.stack(planned, bank)
    plates = render.render(program, masks)
    assert apart(plates, rules.render_plain(program, masks)) <= 1
    ks = program.cloth_ks + program.loads[0, 255] @ program.dye_ks
    outside = (kubelka_munk(ks) @ rules.view_weights(light))[band]
    assert outside < (0.003 if light == "D50" else 0)  # by D50 the last yellow stays just inside sRGB


@pytest.mark.parametrize(("rounds", "most"), [(6, 8), (9, 55)])  # found: 6 and 45
def test_more_parts_of_a_pixel_than_fit(build, rounds, most):
    """Soft edges waxed, dyed and cleared over and over: 2 ** rounds parts. Both engines round alike, and not far."""
    pots = ["sun", "leaf", "sea", "pink"]
    steps = [
        step
        for mask in range(rounds)
        for step in (build.wax(mask), build.dye((pots[mask % 4], mask + rounds)), RemoveWax())
    ]
    program = build.program(build.design(*steps), plates=(Emit(step=len(steps)),))
    masks = build.noisy(2 * rounds, 12, 16, seed=3)
    masks[rounds:] //= 3
    assert 2**rounds > MOST_PARTS
    rounded = render.render(program, masks)
    assert apart(rounded, rules.render_plain(program, masks)) <= 1
    whole = exact_plate(build, program, masks)
    assert 1 < apart(rounded, whole) <= most


def exact_plate(build, program, masks):
    """The last plate with as many parts as it takes."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rules, "MOST_PARTS", 1 << 12)
        return rules.render_plain(program, masks)


# Same bytes however the work is shared


@SOME
@given(data=st.data(), threads=st.integers(1, 5), band=st.sampled_from([1, 24, 50, 119, 1 << 19]))
def test_bytes_do_not_depend_on_threads_or_bands(build, bank, data, threads, band):
    planned = build.design(*data.draw(build.some_steps(most=6)))
    program, masks = build.program(planned), build.stack(planned, bank)
    usual = render.render(program, masks, threads=1)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(render, "BAND_PIXELS", band)
        shared = render.render(program, masks, threads=threads)
    assert np.array_equal(usual, shared)
    assert np.array_equal(usual, render.render(program, masks))


@SOME
@given(data=st.data())
def test_the_bytes_of_a_spot_do_not_depend_on_its_neighbours(build, bank, data):
    planned = build.design(*data.draw(build.some_steps(most=6)))
    program, masks = build.program(planned), build.stack(planned, bank)
    order = np.random.default_rng(data.draw(st.integers(0, 99))).permutation(16 * 24)
    shuffled = np.ascontiguousarray(masks.reshape(len(masks), 16 * 24)[:, order].reshape(masks.shape))
    plates = render.render(program, masks)
    flat = plates.reshape(len(plates), -1, 3)
    assert np.array_equal(render.render(program, shuffled), flat[:, order].reshape(plates.shape))


def test_plates_do_not_depend_on_which_others_are_made(build, bank):
    planned = build.design(build.wax(0), build.dye("leaf"), build.wax(6), build.bleach(7), build.dye(("plum", 2)))
    masks = build.stack(planned, bank)
    every = build.program(planned)
    whole = render.render(every, masks)
    for slot, emit in enumerate(every.plates):
        one = build.program(planned, plates=(emit,))
        assert np.array_equal(render.render(one, masks)[0], whole[slot])


@SOME
@given(data=st.data())
def test_operations_do_not_depend_on_which_plates_are_made(build, data):
    """A program that stops early has the first operations of the whole one; a plate is none of them."""
    planned = build.design(*data.draw(build.some_steps()))
    every = build.program(planned)
    emit = data.draw(st.sampled_from(every.plates))
    alone = build.program(planned, plates=(emit,))
    assert np.array_equal(alone.ops, every.ops[: len(alone.ops)])
    assert alone.step_of_op == every.step_of_op[: len(alone.ops)]
    assert len(every.ops) == len(every.step_of_op) == len(every.args)
    assert set(every.step_of_op) <= set(range(1, len(planned.steps) + 1))


def test_plates_go_into_an_array_that_is_given(build, bank):
    planned = build.design(build.wax(0), build.dye("leaf"))
    program, masks = build.program(planned), build.stack(planned, bank)
    kept = masks.copy()
    out = np.full((4, 16, 24, 3), 7, np.uint8)
    assert render.render(program, masks, out=out) is out
    assert np.array_equal(out, render.render(program, masks))
    assert np.array_equal(masks, kept)


def test_slices_give_the_same_and_compile_nothing_new(build, bank):
    kernel = pytest.importorskip("batiksim.cloth.kernel")
    planned = build.design(build.wax(0), build.dye(("leaf", 7)))
    program, masks = build.program(planned), build.stack(planned, bank)
    usual = render.render(program, masks)
    variants = len(kernel._render_rows.signatures)
    wide = np.zeros((4, 20, 50, 3), np.uint8)
    out = wide[:, 3:19, 1:49:2]
    render.render(program, np.repeat(masks, 2, axis=2)[:, :, ::2], out=out)
    assert np.array_equal(out, usual)
    assert not wide[:, :, ::2].any()
    assert np.array_equal(render.render(program, masks[:, 5:9]), usual[:, 5:9])
    assert len(kernel._render_rows.signatures) == variants


@pytest.mark.parametrize(
    "masks", [np.zeros((2, 4, 4), np.uint8), np.zeros((1, 4, 4)), np.zeros((4, 4), np.uint8), np.zeros((0, 4, 4), "u1")]
)
def test_masks_of_the_wrong_kind_are_refused(build, masks):
    program = build.program(build.design(build.wax(0)))
    with pytest.raises(ValueError, match="masks must be uint8"):
        render.render(program, masks)


def test_an_array_to_write_into_must_fit(build):
    program = build.program(build.design(build.wax(0)))
    with pytest.raises(ValueError, match="out must be uint8"):
        render.render(program, np.zeros((1, 4, 4), np.uint8), out=np.zeros((3, 4, 5, 3), np.uint8))


def test_no_masks_at_all(build):
    program = build.program(build.design(build.dye("sea")))
    plates = render.render(program, np.zeros((0, 3, 5), np.uint8))
    assert plates.shape == (3, 3, 5, 3)
    assert len(np.unique(plates.reshape(3, -1, 3), axis=1)[0]) == 1
    assert apart(plates, rules.render_plain(program, np.zeros((0, 3, 5), np.uint8))) <= 1


def test_states_of_fibre_never_need_more_room_than_there_is(build, monkeypatch):
    """The loop as plain Python, where a step out of an array is an error: twelve dyeings, each kept out or not, are
    4096 ways through, more than there is room for at once."""
    kernel = pytest.importorskip("batiksim.cloth.kernel")
    steps = [step for mask in range(12) for step in (build.wax(mask), build.dye("leaf"), RemoveWax())]
    planned = build.design(*steps)
    program = build.program(planned, plates=(Emit(step=len(steps)),))
    masks = np.random.default_rng(4).integers(0, 2, (12, 32, 48), np.uint8) * np.uint8(255)
    used, plain = [], kernel._work_out.py_func

    def work_out(*given):
        used.append(plain(*given))
        return used[-1]

    lines = np.zeros((1, 32, 3 * 48), np.uint8)
    tables = render._kernel_tables(program)
    room = kernel._room(tables.acts, *masks.shape[::2], 1)
    monkeypatch.setattr(kernel, "_work_out", work_out)
    kernel._render_rows.py_func(masks, 0, 32, tables, lines, room)
    assert apart(lines.reshape(1, 32, 48, 3), rules.render_plain(program, masks)) <= 1
    assert any(now < before for before, now in pairwise(used))  # they were begun anew


# Without a compiler


def test_the_fallback_without_a_compiler_gives_the_same(build, bank, monkeypatch):
    planned = build.design(build.wax(0), build.dye("leaf", ("neon", 6)), build.bleach(7, 0.7), build.dye("night"))
    program, masks = build.program(planned), build.stack(planned, bank)
    usual = render.render(program, masks)
    monkeypatch.setattr(render, "compiled", lambda name: None)
    out = np.empty_like(usual)
    assert render.render(program, masks, out=out) is out
    assert apart(usual, out) <= 1
    render.warm_up()


FRESH = """
import numpy as np
from batiksim.cloth import render as engine
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.program import compile_design
from batiksim.values import Cloth, Design, Dye, DyeBath, MaskUse, Paint, Wax
design = Design(title="t", cloth=Cloth(width_mm=100), dyes=(Dye(name="sea", colour="#1aa7b8"),),
                steps=(Wax(mask=MaskUse(picture="a.png")), DyeBath(paints=(Paint(pot="sea"),))))
masks = np.arange(256, dtype=np.uint8).reshape(1, 16, 16)
assert (engine.compiled("render_rows") is None) == {fallback}
print(engine.render(compile_design(design, dyes_on_cloth(design)), masks).tobytes().hex())
"""


def fresh_plates(folder, *, fallback=False, **environment):
    """Plates from a new process that knows only the package in `folder`."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", FRESH.format(fallback=fallback)],
        env={**os.environ, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1", **environment},
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    return np.frombuffer(bytes.fromhex(done.stdout), np.uint8)


@pytest.fixture(scope="module")
def usual_bytes(build):
    planned = build.design(build.wax("a"), build.dye("sea"), dyes=(Dye(name="sea", colour="#1aa7b8"),), pots=())
    masks = np.arange(256, dtype=np.uint8).reshape(1, 16, 16)
    return render.render(build.program(planned), masks).ravel()


@pytest.fixture
def own_package(tmp_path):
    """A copy of the package, whatever it has compiled and kept with it."""
    shutil.copytree(Path(render.__file__).parent.parent, tmp_path / "batiksim")
    return tmp_path


@pytest.fixture
def unkept_package(own_package):
    """The package where no cache can be made: files stand where the cache folders would go."""
    for folder in [path for path in own_package.rglob("*") if path.is_dir() and any(path.glob("*.py"))]:
        shutil.rmtree(folder / "__pycache__", ignore_errors=True)
        (folder / "__pycache__").write_text("not a folder")
    return own_package


@pytest.mark.full
def test_nowhere_to_keep_the_compiled_kernel(unkept_package, usual_bytes):
    nowhere = {"NUMBA_CACHE_DIR": "/dev/null/none", "XDG_CACHE_HOME": "/dev/null/none", "HOME": "/dev/null/none"}
    assert np.array_equal(fresh_plates(unkept_package, **nowhere), usual_bytes)


def test_compiling_switched_off(usual_bytes):
    root = Path(render.__file__).parent.parent.parent
    assert apart(fresh_plates(root, fallback=True, NUMBA_DISABLE_JIT="1"), usual_bytes) <= 1


def test_no_compiler_installed(tmp_path, usual_bytes):
    (tmp_path / "batiksim").symlink_to(Path(render.__file__).parent.parent)
    (tmp_path / "numba.py").write_text("raise ImportError('not here')\n")
    assert apart(fresh_plates(tmp_path, fallback=True), usual_bytes) <= 1


# What is kept of compiling


def in_fresh(folder, code, **environment):
    """What a new process prints that knows the package in `folder` and keeps what it compiles there."""
    kept = {key: value for key, value in os.environ.items() if key != "NUMBA_CACHE_DIR"}
    done = subprocess.run(
        [sys.executable, "-c", code], env={**kept, "PYTHONPATH": str(folder), **environment}, cwd=folder,
        capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


CALL = """
from batiksim.cloth.compile_notice import on_compiling
from loops import outer
compiled = []
with on_compiling(lambda: compiled.append(1)):
    result = outer(3)
print(result, len(compiled))
"""
INNER = """
from batiksim.cloth.compiling import compiled_function
{constant}
@compiled_function()
def inner(x):
    return SCALE * x
"""
OUTER = """
from batiksim.cloth.compiling import compiled_function
from inner import inner
@compiled_function()
def outer(x):
    return inner(x) + 1
"""


@pytest.mark.full
def test_what_is_kept_follows_constants_and_functions_of_other_files(tmp_path):
    """The file that holds `outer` never changes; it is loaded while all that it uses is the same, else compiled."""
    (tmp_path / "batiksim").symlink_to(Path(render.__file__).parent.parent)
    (tmp_path / "loops.py").write_text(OUTER)

    def run(inner):
        (tmp_path / "inner.py").write_text(inner)
        return in_fresh(tmp_path, CALL, PYTHONDONTWRITEBYTECODE="1")

    assert run(INNER.format(constant="SCALE = 2")) == ["7", "2"]
    assert run(INNER.format(constant="# a comment\nSCALE = 2")) == ["7", "0"]
    assert run(INNER.format(constant="SCALE = 5")) == ["16", "2"]
    assert run(INNER.format(constant="SCALE = 5").replace("SCALE * x", "SCALE - x")) == ["3", "2"]
    kept = sorted(file.name.split(".")[1] for file in (tmp_path / "__pycache__").glob("*.nbc"))
    assert kept == ["inner", "outer"]  # nothing is left of the earlier ones


@pytest.mark.parametrize("value", [{"scale": 2}, render, rules], ids=["dict", "module", "another module"])
def test_a_loop_can_use_nothing_whose_changes_would_go_unseen(monkeypatch, value):
    from batiksim.cloth import compiling

    monkeypatch.setitem(globals(), "hidden", value)

    def scaled(x):
        return hidden.scale * x  # noqa: F821

    with pytest.raises(TypeError, match="can't depend on"):
        compiling.compiled_function()(scaled)


@pytest.mark.full
def test_a_damaged_index_is_compiled_anew(tmp_path):
    (tmp_path / "batiksim").symlink_to(Path(render.__file__).parent.parent)
    (tmp_path / "loops.py").write_text(OUTER)
    (tmp_path / "inner.py").write_text(INNER.format(constant="SCALE = 2"))
    assert in_fresh(tmp_path, CALL) == ["7", "2"]
    for index in (tmp_path / "__pycache__").glob("*.nbi"):
        index.write_bytes(index.read_bytes()[:-9])
    assert in_fresh(tmp_path, CALL) == ["7", "2"]
    assert in_fresh(tmp_path, CALL) == ["7", "0"]


AGAINST_REFERENCE = """
import numpy as np
from batiksim.cloth import render, rules
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.program import compile_design
from batiksim.values import Cloth, Design, Dye, DyeBath, Paint
baths = (DyeBath(paints=(Paint(pot="sea"),)),) * 3
design = Design(title="t", cloth=Cloth(width_mm=100), dyes=(Dye(name="sea", colour="#1aa7b8"),), steps=baths)
program, masks = compile_design(design, dyes_on_cloth(design)), np.zeros((0, 1, 1), np.uint8)
plates = render.render(program, masks)
print(np.abs(plates.astype(int) - rules.render_plain(program, masks)).max(), *plates[3, 0, 0])
"""
GROWTH = """
from batiksim.cloth.effects.crackle import crack_network
cracks = crack_network(60, 60, spacing_mm=20, seed=3)
print(cracks.x.sum(), cracks.width.sum())
"""


@pytest.mark.full
@pytest.mark.parametrize(
    ("code", "file", "before", "after"),
    [
        (AGAINST_REFERENCE, "loads.py", "LOAD_KNEE = 2.5", "LOAD_KNEE = 1.0"),
        (GROWTH, "effects/noise.py", "15.0) + 10.0", "15.0) + 10.5"),
        (GROWTH, "effects/crackle_growth.py", "(0.0, 1.15, -0.95)", "(0.0, 1.05, -0.85)"),
    ],
)
def test_the_engine_follows_the_sources_that_it_uses(own_package, code, file, before, after):
    """Loads changed in another file, noise in another file, and the folds that cracks run along."""
    usual = in_fresh(own_package, code)
    source = own_package / "batiksim" / "cloth" / file
    text = source.read_text()
    assert before in text
    source.write_text(text.replace(before, after))
    changed = in_fresh(own_package, code)
    assert changed != usual
    if code == AGAINST_REFERENCE:
        assert int(changed[0]) <= 1
    else:
        assert changed == in_fresh(own_package, code, NUMBA_CACHE_DIR=str(own_package / "nothing kept yet"))


# By hand


def test_bare_cloth_shows_the_colour_of_the_cloth(build):
    for colour in ("#f1ede2", "#ffffff", "#d8c9a8"):
        planned = build.design(cloth=Cloth(width_mm=100, colour=colour))
        plates = render.render(build.program(planned), np.zeros((0, 1, 1), np.uint8))
        assert bytes(plates[0, 0, 0]).hex() == colour[1:]
        assert np.array_equal(plates[0], plates[1])


def test_a_dye_at_full_strength_shows_its_colour(build):
    for one in build.dyes[:3]:
        plates = render.render(build.program(build.design(build.dye(one.name))), np.zeros((0, 1, 1), np.uint8))
        shown = np.array(list(bytes.fromhex(one.colour[1:])))
        assert apart(plates[-1, 0, 0], shown) <= 1


@pytest.mark.parametrize("pot", ["night", "pink", "sea"])
def test_half_cover_shows_the_mean_of_two_reflectances(build, pot):
    planned = build.design(build.dye("sun"), build.wax(0), build.dye(pot))
    dyes = dyes_on_cloth(planned)
    a = 128 / 255
    before = kubelka_munk(dyes.cloth_ks + dyes.dyes["sun"].ks)
    after = kubelka_munk(dyes.cloth_ks + dyes.dyes["sun"].ks + dyes.dyes[pot].ks)
    plates = render.render(build.program(planned, wax_shown=False), np.full((1, 1, 1), 128, np.uint8))
    for plate in (plates[3], plates[4]):  # under the wax, and with the wax out
        assert np.abs(plate[0, 0] - seen(a * before + (1 - a) * after)).max() <= 1


@pytest.mark.parametrize("pot", ["night", "pink", "sea"])
def test_half_thin_wax_halves_the_load(build, pot):
    planned = build.design(build.dye("sun"), build.wax(0, grey="thin"), build.dye(pot))
    dyes = dyes_on_cloth(planned)
    load = 1 - 128 / 255
    wanted = seen(kubelka_munk(dyes.cloth_ks + dyes.dyes["sun"].ks + load * dyes.dyes[pot].ks))
    plates = render.render(build.program(planned, wax_shown=False), np.full((1, 1, 1), 128, np.uint8))
    assert np.abs(plates[4, 0, 0] - wanted).max() <= 1


def test_half_thin_wax_looks_far_darker_than_half_cover(build):
    """Half the load of a strong dye looks like most of it (facts of the model, both meanings of grey)."""
    masks = np.full((1, 1, 1), 128, np.uint8)
    cover, thin = (
        luminance(render.render(build.program(build.design(build.wax(0, grey=grey), build.dye("night"))), masks)[-1])
        for grey in ("cover", "thin")
    )
    assert thin < 0.4 * cover


def test_a_brushed_pot_scales_its_load_by_the_grey(build):
    planned = build.design(build.dye(("leaf", 0)))
    dyes = dyes_on_cloth(planned)
    masks = np.arange(256, dtype=np.uint8).reshape(1, 1, 256)
    full = 0.8 * (5 / 6 * dyes.dyes["sun"].ks + 1 / 6 * dyes.dyes["sea"].ks)
    wanted = seen(kubelka_munk(dyes.cloth_ks + (np.arange(256) / 255)[:, None] * full))
    plates = render.render(build.program(planned), masks)
    assert np.abs(plates[1, 0] - wanted).max() <= 1


def test_two_pots_in_one_dyeing_add_up(build):
    planned = build.design(build.dye("sun", "pink"))
    dyes = dyes_on_cloth(planned)
    wanted = seen(kubelka_munk(dyes.cloth_ks + dyes.dyes["sun"].ks + dyes.dyes["pink"].ks))
    plates = render.render(build.program(planned), np.zeros((0, 1, 1), np.uint8))
    assert np.abs(plates[1, 0, 0] - wanted).max() <= 1


def test_discharge_takes_its_share_of_the_dye(build):
    planned = build.design(build.dye("sea"), build.bleach(0, 0.6))
    dyes = dyes_on_cloth(planned)
    masks = np.array([[[0, 100, 255]]], np.uint8)
    left = 1 - 0.6 * np.array([0, 100, 255]) / 255
    wanted = seen(kubelka_munk(dyes.cloth_ks + left[:, None] * dyes.dyes["sea"].ks))
    plates = render.render(build.program(planned), masks)
    assert np.abs(plates[2, 0] - wanted).max() <= 1


def held(offered):
    """The load held of all that was offered: in full up to the knee, then nearing the ceiling."""
    room = LOAD_CEILING - LOAD_KNEE
    return offered if offered <= LOAD_KNEE else LOAD_KNEE + room * (1 - np.exp(-(offered - LOAD_KNEE) / room))


def test_late_baths_barely_take(build):
    """Five baths at full strength: two in full, the third bends at the knee, the rest near the ceiling."""
    planned = build.design(*[build.dye("sun")] * 3, *[build.dye("sea")] * 2)
    dyes = dyes_on_cloth(planned)
    plates = render.render(build.program(planned), np.zeros((0, 1, 1), np.uint8))
    sun, sea = dyes.dyes["sun"].ks, dyes.dyes["sea"].ks
    loads = [held(baths) for baths in range(6)]
    assert loads[:3] == [0, 1, 2]
    assert 2.5 < loads[3] < loads[4] < loads[5] < LOAD_CEILING
    for baths in range(6):
        ks = loads[min(baths, 3)] * sun + max(0, loads[baths] - loads[3]) * sea
        colour = seen_in_gamut(kubelka_munk(dyes.cloth_ks + ks))
        assert np.abs(plates[baths, 0, 0] - colour).max() <= 1


@pytest.mark.parametrize("low", [0.2, 0.6])
def test_a_colour_too_bright_for_a_screen_in_one_channel_is_fitted(build, low):
    """Orange that sends back all long waves: red lies beyond sRGB, green and blue within. Hue is kept, not clipped."""
    nm = np.arange(400, 701, 10.0)
    samples = tuple(zip(nm.tolist(), np.where(nm < 560, low, 1.0).tolist(), strict=True))
    orange = Dye(name="orange", spectrum="orange.csv", samples=samples)
    cloth = Cloth(width_mm=100, colour="#ffffff", surface=0.0)
    planned = build.design(build.dye("orange"), cloth=cloth, dyes=(orange,), pots=())
    dyes = dyes_on_cloth(planned)
    reflectance = kubelka_munk(dyes.cloth_ks + dyes.dyes["orange"].ks, surface=0)
    linear = spaces.xyz_to_linear_srgb(reflectance @ spectra.light_weights())
    assert linear.max() > 1.1 > linear.min() > 0.1
    plates = render.render(build.program(planned), np.zeros((0, 1, 1), np.uint8))
    assert np.abs(plates[1, 0, 0] - seen_in_gamut(reflectance)).max() <= 1
    assert np.abs(plates[1, 0, 0] - 255 * spaces.encode_srgb(np.clip(linear, 0, 1))).max() > 3


def seen_in_gamut(reflectance):
    return 255 * fit_to_srgb(reflectance @ spectra.light_weights())


def test_bleached_fibre_has_room_again(build):
    planned = build.design(*[build.dye("sun")] * 5, Discharge(), build.dye("sea"))
    alone = build.design(build.dye("sea"))
    none = np.zeros((0, 1, 1), np.uint8)
    assert np.array_equal(
        render.render(build.program(planned), none)[-1], render.render(build.program(alone), none)[-1]
    )


# What must hold for any cloth


@SOME
@given(data=st.data(), look=LOOKS)
def test_waxed_spots_keep_their_colour_to_the_last_bit(build, bank, data, look):
    before = data.draw(build.some_steps(most=5))
    after = data.draw(build.some_steps(masks=9, most=6, removing=False))
    planned = build.design(*before, build.wax(9), *after, RemoveWax())
    sealed = np.zeros_like(bank[9])
    sealed[4:12, 6:20] = 255
    masks = build.stack(planned, np.concatenate([bank[:9], sealed[None]]))
    plates = render.render(build.program(planned, **look), masks)
    bare = render.render(build.program(planned, **look | {"wax_shown": False}), masks)
    waxed = len(before) + 1
    for number in range(waxed, waxed + len(after) + 1):
        assert np.array_equal(plates[number, 4:12, 6:20], plates[waxed, 4:12, 6:20])
    for plate in bare[waxed - 1 :]:
        assert np.array_equal(plate[4:12, 6:20], bare[waxed - 1, 4:12, 6:20])


@SOME
@given(data=st.data())
def test_a_step_on_closed_cloth_changes_nothing(build, bank, data):
    before = data.draw(build.some_steps(most=5))
    after = data.draw(build.some_steps(masks=9, most=4, removing=False))
    planned = build.design(*before, build.wax(9), *after)
    masks = build.stack(planned, np.concatenate([bank[:9], np.full_like(bank[9:], 255)]))
    plates = render.render(build.program(planned), masks)
    for plate in plates[len(before) + 1 : -1]:
        assert np.array_equal(plate, plates[len(before) + 1])


@SOME
@given(data=st.data(), strength=st.floats(0.0, 3.9), more=st.floats(0.0, 4.0))
def test_more_dye_is_never_lighter(build, bank, data, strength, more):
    """Within the rounding to 8 bits (half a step in each channel)."""
    steps = data.draw(build.some_steps(most=5))
    dye_name = data.draw(st.sampled_from(["sun", "pink", "sea", "night"]))
    pots = (*build.pots, Pot(name="more", parts={dye_name: 1}, strength=strength))
    less = build.design(*steps, build.dye("more"), pots=pots)
    stronger = (*build.pots, Pot(name="more", parts={dye_name: 1}, strength=min(4.0, strength + more)))
    full = build.design(*steps, build.dye("more"), pots=stronger)
    masks = build.stack(less, bank)
    light, dark = (
        luminance(render.render(build.program(one, wax_shown=False), masks)[[-3, -2]]) for one in (less, full)
    )
    assert np.all(dark[1] <= light[1] + 0.006)
    assert np.all(light[1] <= light[0] + 0.006)


@SOME
@given(data=st.data())
def test_a_mirrored_mask_gives_a_mirrored_plate(build, bank, data):
    planned = build.design(*data.draw(build.some_steps()))
    program, masks = build.program(planned), build.stack(planned, bank)
    turned = np.ascontiguousarray(masks[:, ::-1, ::-1])
    assert np.array_equal(render.render(program, turned), render.render(program, masks)[:, ::-1, ::-1])


@SOME
@given(data=st.data())
def test_removing_no_wax_and_waxing_nothing_change_nothing(build, bank, data):
    steps = data.draw(build.some_steps(masks=9, removing=False).filter(lambda steps: not any_wax(steps)))
    planned = build.design(*steps)
    masks = np.concatenate([bank[:9], np.zeros_like(bank[9:])])
    idle = build.design(RemoveWax(), build.wax(9), *steps, build.wax(9, grey="thin"), RemoveWax())
    plates, same = (render.render(build.program(one), build.stack(one, masks)) for one in (planned, idle))
    assert np.array_equal(plates[-1], same[-1])


def any_wax(steps):
    return any(hasattr(step, "grey") for step in steps)


def test_wax_on_cloth_is_darker_and_warmer(build):
    planned = build.design(build.dye(("sea", 1)), build.wax(0))
    masks = np.stack([np.full((1, 3), 255), [[0, 90, 255]]]).astype(np.uint8)
    shown = render.render(build.program(planned), build.stack(planned, masks))
    bare = render.render(build.program(planned, wax_shown=False), build.stack(planned, masks))
    assert np.array_equal(shown[[0, 1, 3]], bare[[0, 1, 3]])  # no wax yet, and wax out
    assert np.array_equal(bare[2], bare[1])
    assert np.all(luminance(shown[2]) < luminance(bare[2]))
    lab = [spaces.xyz_to_lab(spaces.linear_srgb_to_xyz(spaces.decode_srgb(plate[2] / 255))) for plate in (shown, bare)]
    assert lab[0][0, 0, 2] > lab[1][0, 0, 2]  # yellower on white cloth


# Common practice, no source: what dyers see, through the whole engine


def region_lab(plate):
    return spaces.xyz_to_lab(spaces.linear_srgb_to_xyz(spaces.decode_srgb(plate[0, 0] / 255)))


PRACTICE = (
    Dye(name="yellow", colour="#f0d92e"),
    Dye(name="turquoise", colour="#1aa7b8"),
    Dye(name="pink", colour="#de5d83"),
    Dye(name="moss", colour="#76903a"),
    Dye(name="blue", colour="#1f4fa8"),
    Dye(name="green", colour="#2e8b57"),
    Dye(name="dark", colour="#1d2030"),
)


@pytest.fixture(scope="module")
def practised(build):
    def lab(*steps, pots=()):
        program = build.program(build.design(*steps, dyes=PRACTICE, pots=pots))
        return region_lab(render.render(program, np.zeros((0, 1, 1), np.uint8))[-1])

    return lab


def hue(lab):
    return np.degrees(np.arctan2(lab[2], lab[1])) % 360


def test_pink_brushed_over_green_goes_brown(build, practised):
    lab = practised(build.dye("moss"), build.dye("pink"))
    assert 25 <= hue(lab) <= 100
    assert lab[0] < 45
    assert np.hypot(*lab[1:]) < 30


def test_strong_blue_over_green_is_dark(build, practised):
    lab = practised(build.dye("green"), build.dye("blue"))
    assert lab[0] < 35
    assert 130 <= hue(lab) <= 215


def test_yellow_with_a_fifth_of_turquoise_is_vivid_green(build, practised):
    pot = Pot(name="mix", parts={"yellow": 5, "turquoise": 1})
    lab = practised(build.dye("mix"), pots=(pot,))
    assert np.hypot(*lab[1:]) > 55
    assert 105 <= hue(lab) <= 150


@pytest.mark.parametrize("pale", ["yellow", "turquoise", "pink", "moss"])
def test_a_dark_dye_covers_a_pale_one(build, practised, pale):
    pot = Pot(name="pale", parts={pale: 1}, strength=0.3)
    covered = practised(build.dye("pale"), build.dye("dark"), pots=(pot,))
    assert delta_e_2000(covered, practised(build.dye("dark"))) < 6


@pytest.mark.parametrize(("processors", "threads"), [(6, 6), (None, 1)])
def test_a_system_that_tells_nothing_of_leave_is_asked_for_its_processors(monkeypatch, processors, threads):
    monkeypatch.delattr(render.os, "sched_getaffinity", raising=False)
    monkeypatch.setattr(render.os, "cpu_count", lambda: processors)
    assert render.default_threads() == threads
