"""Spectra: the weights rebuilt, a published worked case, and the search for a dye's curve."""

import importlib.util
import re
import subprocess
import sys
from pathlib import Path

import colour
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import minimize

from batiksim.colour import reflectance_recovery, spaces, spectra
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.gamut import xyz_to_hex
from batiksim.colour.kubelka_munk import ks_from_reflectance, reflectance_from_ks
from batiksim.colour.reflectance_recovery import LEAST_KS, MOST_KS, dye_curve, smooth_reflectance
from batiksim.colour.spaces import D65, adapt, hex_to_lab, hex_to_xyz, xyz_to_lab
from batiksim.colour.spectra import BANDS_NM, LIGHTS, light_weights, reflectance_to_xyz, resample, white_point
from batiksim.errors import BatikError

ROOT = Path(__file__).parent.parent.parent
SURFACE = 0.015
hexes = st.from_regex(re.compile(r"#[0-9a-f]{6}"), fullmatch=True)


def cloth_ks(shown="#f1ede2"):
    reflectance, _ = smooth_reflectance(hex_to_xyz(shown), surface=SURFACE)
    return ks_from_reflectance(reflectance, surface=SURFACE)


CLOTH = cloth_ks()


def seen(unit_ks, cloth=CLOTH):
    return xyz_to_lab(reflectance_to_xyz(reflectance_from_ks(cloth + unit_ks, surface=SURFACE)))


@pytest.fixture(scope="module")
def rebuild():
    """The script that makes the table, loaded from its file."""
    spec = importlib.util.spec_from_file_location("rebuild", ROOT / "tests" / "tools" / "rebuild_light_weights.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_weights_are_the_ones_that_colour_science_gives(rebuild):
    stored = spectra._TABLE.read_text(encoding="utf-8").splitlines()
    rebuilt = rebuild.table().splitlines()
    numbers = [[[float(cell) for cell in line.split(",")] for line in lines[-31:]] for lines in (stored, rebuilt)]
    assert stored[:-31] == rebuilt[:-31]
    assert_allclose(*numbers, atol=2e-10)


@pytest.mark.parametrize("light", LIGHTS)
def test_weights_give_what_one_nm_sums_give(rebuild, light):
    """Smooth reflectances, drawn at 1 nm and at 10 nm. Sampling every tenth product would miss by up to .11."""
    rng = np.random.default_rng(2)
    lamp = colour.SDS_ILLUMINANTS[rebuild.LIGHTS[light]]
    power = np.interp(rebuild.FINE_NM, lamp.wavelengths, lamp.values, left=0, right=0)
    fine = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].values * power[:, None]
    fine /= fine[:, 1].sum()
    fine *= white_point(light) / fine.sum(axis=0)
    for _ in range(40):
        middle, width = rng.uniform(430, 650), rng.uniform(8, 30)
        fall = 0.05 + 0.8 / (1 + np.exp(-(np.arange(360, 831) - middle) / width))
        both = xyz_to_lab([fall @ fine, reflectance_to_xyz(fall[40:341:10], light)], white_point(light))
        assert delta_e_2000(*both) < 0.02


def test_white_is_exactly_white():
    assert_allclose(white_point("D65"), D65, atol=1e-14)
    assert_allclose(reflectance_to_xyz(np.ones(31)), D65, atol=1e-14)
    assert xyz_to_hex(reflectance_to_xyz(np.ones(31))) == "#ffffff"
    for light in LIGHTS:
        assert white_point(light)[1] == pytest.approx(1, abs=1e-14)
        assert_allclose(adapt(reflectance_to_xyz(np.full(31, 0.5), light), white_point(light)), D65 / 2, atol=1e-12)
        assert not light_weights(light).flags.writeable


@pytest.mark.parametrize(("light", "named"), [("D65", "D65"), ("D50", "D50"), ("A", "A"), ("LED", "LED-B3")])
def test_white_points_of_cie(light, named):
    x, y = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][named]
    white = white_point(light)
    assert_allclose(white[:2] / white.sum(), [x, y], atol=3e-4)


def test_astm_e308_worked_case():
    """ASTM E308, 400-700/20 nm, D65, 2 degrees: XYZ as colour-science prints it.

    Ours goes to 10 nm first and has sRGB's white: 6e-5 of the value apart. Straight lines between the 20 nm samples
    would miss by 1e-3.
    """
    measured = [
        0.0641, 0.0645, 0.0562, 0.0537, 0.0559, 0.0651, 0.0705, 0.0772, 0.0870, 0.1128, 0.1360, 0.1511, 0.1688,
        0.1996, 0.2397, 0.2852,
    ]  # fmt: skip
    xyz = reflectance_to_xyz(resample(np.arange(400, 701, 20), measured))
    assert_allclose(xyz * 100, [10.84020, 9.68417, 6.21589], rtol=1e-4)


def test_resample_keeps_what_is_on_the_grid_and_fills_between():
    def fall(nm):
        return 0.1 + 0.7 / (1 + np.exp((nm - 520) / 25))

    for step in (1, 5, 10, 20):
        nm = np.arange(380, 741, step)
        assert_allclose(resample(nm, fall(nm)), fall(BANDS_NM), atol=2e-3 if step == 20 else 1e-12)
    uneven = np.sort(np.random.default_rng(1).uniform(390, 710, 120))
    assert_allclose(resample(uneven, fall(uneven)), fall(BANDS_NM), atol=1e-3)
    short = np.arange(420, 681, 10)
    assert_allclose(resample(short, fall(short))[[0, 1, -1]], fall(np.array([420, 420, 680])), atol=1e-12)


def test_resample_does_not_swing_out():
    step = (np.arange(400, 701, 20) > 540).astype(float)
    made = resample(np.arange(400, 701, 20), step)
    assert made.min() >= 0
    assert made.max() <= 1


@pytest.mark.parametrize(
    ("nm", "values", "told"),
    [
        ([400, 700], [0.5, 0.5], "four wavelengths"),
        ([400, 500, 600, 700], [0.5, 0.5, 0.5], "4 wavelengths and 3 values"),
        ([400, 500, 500, 700], [0.5] * 4, "rise"),
        ([400, 500, 600, 700], [0.5, 0.5, float("nan"), 0.5], "isn't a number"),
        ([430, 500, 600, 700], [0.5] * 4, "too short"),
    ],
)
def test_bad_spectra_are_told(nm, values, told):
    with pytest.raises(BatikError, match=told):
        resample(nm, values)


def test_unknown_light_is_told():
    with pytest.raises(BatikError, match="did you mean 'D65'"):
        light_weights("D56")


def test_shapes():
    assert reflectance_to_xyz(np.full((2, 5, 31), 0.4, dtype=np.float32), "A").shape == (2, 5, 3)
    with pytest.raises(ValueError, match="last axis of 31"):
        reflectance_to_xyz(np.ones(16))


def test_cloth_shows_its_colour():
    for shown in ("#f1ede2", "#ffffff", "#e8dcc0", "#d9c7a0", "#b08d57", "#dfe6ea"):
        reflectance, residual = smooth_reflectance(hex_to_xyz(shown), surface=SURFACE)
        assert residual < 0.02
        assert xyz_to_hex(reflectance_to_xyz(reflectance)) == shown
        assert reflectance.min() >= SURFACE
        assert reflectance.max() <= 1


def slope_of_seen(u):
    """By central differences."""
    tiny = 1e-5 * np.eye(31)
    return ((seen(np.exp(u + tiny)) - seen(np.exp(u - tiny))) / 2e-5).T


TRIED = ["#f0d92e", "#e8408c", "#1c3f94", "#d00030"]


@pytest.mark.parametrize("shown", TRIED)
def test_curve_is_the_smoothest_that_matches(shown):
    """Against scipy's SLSQP on the bare problem: least bend and slope under an exact match and the same limits."""
    unit_ks, residual = dye_curve(hex_to_xyz(shown), CLOTH, surface=SURFACE)
    rough = np.vstack(
        [np.diff(np.eye(31), 2, axis=0), np.sqrt(reflectance_recovery.TENSION) * np.diff(np.eye(31), 1, axis=0)]
    )
    limits = [(np.log(LEAST_KS), np.log(MOST_KS))] * 31
    best = minimize(
        lambda u: np.sum((rough @ u) ** 2),
        np.zeros(31),
        jac=lambda u: 2 * rough.T @ (rough @ u),
        bounds=limits,
        constraints={"type": "eq", "fun": lambda u: seen(np.exp(u)) - hex_to_lab(shown), "jac": slope_of_seen},
        method="SLSQP",
        options={"maxiter": 300, "ftol": 1e-10},
    )
    assert best.success
    assert residual < 0.02
    assert np.sum((rough @ np.log(unit_ks)) ** 2) == pytest.approx(best.fun, rel=0.01, abs=1e-4)
    assert_allclose(np.log(unit_ks), best.x, atol=0.02)


@pytest.mark.parametrize(
    ("shown", "least"), [("#ff0000", 1.02), ("#18063c", 5.31), ("#92fdf8", 3.77), ("#000000", 8.58)]
)
def test_out_of_reach_gives_nearly_the_nearest(shown, least):
    """`least` is what a descent on CIEDE2000 alone reaches, within the same limits (L-BFGS-B, rebuilt here)."""
    target = hex_to_lab(shown)
    unit_ks, residual = dye_curve(hex_to_xyz(shown), CLOTH, surface=SURFACE)
    assert residual == pytest.approx(float(delta_e_2000(seen(unit_ks), target)), abs=1e-9)
    limits = [(np.log(LEAST_KS), np.log(MOST_KS))] * 31
    best = minimize(
        lambda u: float(delta_e_2000(seen(np.exp(u)), target)) ** 2,
        np.log(unit_ks),
        bounds=limits,
        method="L-BFGS-B",
        options={"maxiter": 60},
    )
    assert np.sqrt(best.fun) == pytest.approx(least, abs=0.06)
    assert residual < np.sqrt(best.fun) + 0.3


@given(hexes)
@settings(max_examples=150)
def test_any_colour_gives_a_curve_and_an_honest_residual(shown):
    unit_ks, residual = dye_curve(hex_to_xyz(shown), CLOTH, surface=SURFACE)
    assert np.all(np.isfinite(unit_ks))
    assert unit_ks.min() >= LEAST_KS * 0.999
    assert unit_ks.max() <= MOST_KS * 1.001
    assert residual == pytest.approx(float(delta_e_2000(seen(unit_ks), hex_to_lab(shown))), abs=1e-9)


@given(hexes, hexes)
@settings(max_examples=100)
def test_any_cloth_takes_any_colour(cloth, shown):
    unit_ks, residual = dye_curve(hex_to_xyz(shown), cloth_ks(cloth), surface=SURFACE)
    assert np.all(np.isfinite(unit_ks))
    assert np.isfinite(residual)


knots = st.lists(st.floats(-4.0, 2.5), min_size=4, max_size=4)


@given(knots)
@settings(max_examples=150)
def test_colours_that_a_smooth_dye_can_show_are_matched(heights):
    """Within reach by construction: the colour of some smooth dye on this cloth."""
    unit = np.exp(np.interp(BANDS_NM, [400, 500, 600, 700], heights))
    xyz = reflectance_to_xyz(reflectance_from_ks(CLOTH + unit, surface=SURFACE))
    _, residual = dye_curve(xyz, CLOTH, surface=SURFACE)
    assert residual < 0.05


@given(st.tuples(*[st.integers(70, 200)] * 3))
@settings(max_examples=100)
def test_moderate_colours_darker_than_the_cloth_are_matched(rgb):
    _, residual = dye_curve(hex_to_xyz("#{:02x}{:02x}{:02x}".format(*rgb)), CLOTH, surface=SURFACE)
    assert residual < 0.05


def test_the_search_begins_with_what_the_dye_takes_of_red_green_and_blue():
    """On white cloth, a first guess reflects the colour's own linear sRGB at 620, 550 and 450 nm."""
    fit = reflectance_recovery._CurveFit(hex_to_xyz("#c8a050"), np.zeros(31), SURFACE, LEAST_KS)
    reflected = reflectance_from_ks(np.exp(fit.initial_guess()), surface=SURFACE)
    at = [BANDS_NM.tolist().index(nm) for nm in (620, 550, 450)]
    assert_allclose(reflected[at], spaces.decode_srgb(np.array([0xC8, 0xA0, 0x50]) / 255), rtol=1e-6)


def test_paler_than_the_cloth_stays_near_the_bare_cloth():
    _, residual = dye_curve(hex_to_xyz("#ffffff"), CLOTH, surface=SURFACE)
    bare = float(delta_e_2000(seen(np.zeros(31)), hex_to_lab("#ffffff")))
    assert 0.5 * bare < residual <= bare
    unit_ks, residual = dye_curve(hex_to_xyz("#f1ede2"), CLOTH, surface=SURFACE)
    assert residual < 0.05
    assert unit_ks.max() < 1e-3


def test_curve_does_not_depend_on_strength():
    """The colour that half a load shows, taken as a dye of its own, gives half the curve back."""
    for shown in ("#4a7fb0", "#c86a7a", "#b9a24a"):
        strong, _ = dye_curve(hex_to_xyz(shown), CLOTH, surface=SURFACE)
        half_xyz = reflectance_to_xyz(reflectance_from_ks(CLOTH + strong / 2, surface=SURFACE))
        half, _ = dye_curve(half_xyz, CLOTH, surface=SURFACE)
        # the match is a spring, not a nail: ends that light hardly feels may give by a tenth
        assert_allclose(np.log(half), np.log(strong / 2), atol=0.15)


def test_colour_starts_without_heavy_libraries():
    heavy = "{'colour', 'scipy', 'matplotlib', 'numba', 'skimage', 'PIL'}"
    code = f"import sys, batiksim.colour; print(sorted({heavy} & set(sys.modules)))"
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
