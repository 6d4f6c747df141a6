"""What every public function of batiksim.colour does with arrays of all kinds, and with what is none."""

from __future__ import annotations

import inspect
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.testing import assert_allclose

from batiksim import BatikError, colour
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.program import compile_design
from batiksim.dyes.overdye import overdye
from batiksim.values import Cloth, Design, Dye, Pot
from batiksim.values.light_words import seen_as

COLOURS = np.random.default_rng(4).uniform(0.2, 0.7, (4, 3))
SPECTRA = np.random.default_rng(5).uniform(0.2, 0.7, (4, 31))


@dataclass(frozen=True)
class Case:
    """A function as its callers have it: arrays by name (any leading axes, or one alone), and what else it needs."""

    name: str
    arrays: dict[str, np.ndarray]
    last: int | None  # size of the last axis that comes back; None where it is as given
    rest: tuple = ()
    one: bool = False  # takes one colour or spectrum alone

    def __call__(self, **arrays):
        keywords = dict(self.rest)
        return getattr(colour, self.name)(**(self.arrays | arrays), **keywords)


def triples(name, *arrays, last=3, **keys):
    return Case(name, dict.fromkeys(arrays, COLOURS), last, **keys)


MANY = [
    triples("adapt", "xyz", rest=(("source_white", (1.1, 1, 0.35)),)),
    Case("decode_srgb", {"encoded": COLOURS}, None),
    triples("delta_e_2000", "lab1", "lab2", last=0),
    Case("encode_srgb", {"linear": COLOURS}, None),
    triples("fit_to_srgb", "xyz"),
    Case("ks_from_reflectance", {"reflectance": SPECTRA}, None),
    triples("lab_to_xyz", "lab"),
    triples("linear_srgb_to_xyz", "linear"),
    triples("oklab_to_oklch", "oklab"),
    triples("oklab_to_xyz", "oklab"),
    triples("oklch_to_oklab", "oklch"),
    Case("reflectance_from_ks", {"ks": SPECTRA}, None),
    Case("reflectance_to_xyz", {"reflectance": SPECTRA}, 3),
    Case("seen_xyz", {"reflectance": SPECTRA}, 3, (("light", "A"), ("look", "wet"))),
    Case("waxed_reflectance", {"reflectance": SPECTRA}, 31),
    Case("wet_reflectance", {"reflectance": SPECTRA}, None),
    triples("xyz_to_lab", "xyz"),
    triples("xyz_to_linear_srgb", "xyz"),
    triples("xyz_to_oklab", "xyz"),
]
ONE = [
    Case("colour_name", {"lab": COLOURS[0]}, 3, one=True),
    Case("difference_words", {"start": COLOURS[0], "end": COLOURS[1]}, 3, one=True),
    Case("dye_curve", {"xyz": COLOURS[0], "cloth_ks": SPECTRA[0]}, 3, (("surface", 0.015),), one=True),
    Case("lab_to_hex", {"lab": COLOURS[0]}, 3, one=True),
    Case("resample", {"nm": np.arange(400.0, 701, 10), "values": SPECTRA[0]}, None, one=True),
    Case("smooth_reflectance", {"xyz": COLOURS[0]}, 3, (("surface", 0.015),), one=True),
    Case("to_spectral_distribution", {"reflectance": SPECTRA[0]}, 31, one=True),
    Case("xyz_to_hex", {"xyz": COLOURS[0]}, 3, one=True),
]
LIST = [Case("colour_names", {"labs": COLOURS}, 3)]
ARRAYS = [*MANY, *ONE, *LIST]
NO_ARRAYS = {"from_spectral_distribution", "hex_to_lab", "hex_to_xyz", "known_names", "light_weights", "white_point"}


def called(case):
    return case.name


def plain(result):
    """What came back, to be compared."""
    if isinstance(result, tuple):
        return [plain(part) for part in result]
    return result.values if hasattr(result, "wavelengths") else result


def alike(first, second, **limits):
    if isinstance(first, np.ndarray | list | float):
        for a, b in zip(first, second, strict=True) if isinstance(first, list) else [(first, second)]:
            if isinstance(a, np.ndarray | float):
                assert_allclose(a, b, **limits)
            else:
                assert a == b
    else:
        assert first == second


def test_every_public_function_stands_in_the_table():
    functions = {name for name in colour.__all__ if inspect.isfunction(inspect.unwrap(getattr(colour, name)))}
    assert functions == {case.name for case in ARRAYS} | NO_ARRAYS


@pytest.mark.parametrize("case", ARRAYS, ids=called)
def test_any_kind_of_array_will_do_and_none_is_written_to(case):
    expected = plain(case())
    for kind in (lambda a: a.tolist(), frozen, lambda a: np.repeat(a, 2, axis=-1)[..., ::2], np.asfortranarray):
        given = {name: kind(array) for name, array in case.arrays.items()}
        alike(plain(case(**given)), expected, rtol=1e-12)
        assert all(np.array_equal(given[name], array) for name, array in case.arrays.items())


@pytest.mark.parametrize("case", ARRAYS, ids=called)
def test_single_precision_is_worked_in_double(case):
    singles = {name: array.astype(np.float32) for name, array in case.arrays.items()}
    doubles = {name: array.astype(np.float64) for name, array in singles.items()}
    alike(plain(case(**singles)), plain(case(**doubles)), rtol=1e-15)


@pytest.mark.parametrize("case", MANY, ids=called)
def test_what_comes_back_is_new_and_double_with_the_leading_axes_given(case):
    for lead in ((), (0,), (1,), (2, 0, 5), (2, 2)):
        given = {name: np.resize(array, (*lead, array.shape[-1])) for name, array in case.arrays.items()}
        result = case(**given)
        size = next(iter(given.values())).shape[-1] if case.last is None else case.last
        assert type(result) is np.ndarray
        assert result.dtype == np.float64
        assert result.shape == (*lead, *([size] if size else []))
        assert result.flags.writeable
        assert not any(np.shares_memory(result, array) for array in given.values())


@pytest.mark.parametrize("case", MANY, ids=called)
def test_nan_stays_where_it_is(case):
    """As of pixels without a colour."""
    given = {name: array.copy() for name, array in case.arrays.items()}
    next(iter(given.values()))[1] = np.nan
    result, expected = case(**given), case()
    assert np.all(np.isnan(result[1]))
    assert_allclose(result[[0, 2, 3]], expected[[0, 2, 3]], rtol=1e-12)


@pytest.mark.parametrize("case", [case for case in [*ONE, *LIST] if case.last], ids=called)
@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_one_colour_that_is_not_finite_is_refused(case, bad):
    for name, array in case.arrays.items():
        spoilt = array.copy()
        spoilt[..., 1] = bad
        with pytest.raises(ValueError, match=f"^{name} needs finite numbers"):
            case(**{name: spoilt})


def test_a_list_of_no_colours_has_no_names():
    assert colour.colour_names(np.zeros((0, 3))) == []


@pytest.mark.parametrize(
    ("case", "name"),
    [(case, name) for case in ARRAYS for name in case.arrays],
    ids=lambda part: str(getattr(part, "name", part)),
)
def test_what_is_no_array_of_numbers_is_told_by_its_name(case, name):
    good = case.arrays[name]
    for wrong in (
        None,
        "#ff0000",
        [str(value) for value in good.ravel()],
        good + 1j,
        [None] * good.shape[-1],
        object(),
    ):
        with pytest.raises(TypeError, match=rf"^{name} needs"):
            case(**{name: wrong})
    with pytest.raises(ValueError, match=rf"^{name} needs"):
        case(**{name: [[1.0, 2.0], [3.0]]})
    if case.last is not None:
        for wrong in (0.5, np.ones(7), [], np.ones((31, 3, 7))):
            with pytest.raises(ValueError, match=rf"^{name} needs"):
                case(**{name: wrong})
    if case.one and case.last is not None:
        with pytest.raises(ValueError, match=rf"^{name} needs"):
            case(**{name: np.stack([good, good])})


@pytest.mark.parametrize("white", ["source_white", "target_white"])
def test_whites_are_told_by_their_names(white):
    for wrong in ((1.0, 1.0), [[1.0, 1.0, 1.0]]):
        with pytest.raises(ValueError, match=f"^{white} needs"):
            colour.adapt(COLOURS, **{"source_white": colour.D65, white: wrong})
    with pytest.raises(TypeError, match="^white needs"):
        colour.xyz_to_lab(COLOURS, "D65")


@pytest.mark.parametrize("surface", [-0.1, 1.0, 2, float("nan")])
def test_a_surface_out_of_range_is_told(surface):
    for function, given in (
        (colour.ks_from_reflectance, SPECTRA), (colour.reflectance_from_ks, SPECTRA),
        (colour.smooth_reflectance, COLOURS[0]),
    ):  # fmt: skip
        with pytest.raises(ValueError, match="^surface needs"):
            function(given, surface=surface)
    with pytest.raises(ValueError, match="^surface needs"):
        colour.dye_curve(COLOURS[0], SPECTRA[0], surface=surface)


def test_a_surface_that_is_no_number_is_told():
    with pytest.raises(TypeError, match="^surface needs"):
        colour.ks_from_reflectance(SPECTRA, surface="shiny")


DESIGN = Design(title="Pool", cloth=Cloth(width_mm=300), dyes=[Dye(name="straw", colour="#f2e08a")])
DYES = dyes_on_cloth(DESIGN)
STRAW = (Pot(name="straw", parts={"straw": 1}),)
LOOKING = {
    "seen_xyz": lambda **view: colour.seen_xyz(SPECTRA, **view),
    "compile_design": lambda **view: compile_design(DESIGN, DYES, **view),
    "overdye": lambda **view: overdye(DYES, STRAW, title="", **view),
    "seen_as": lambda **view: seen_as(**({"light": "D65", "look": "dry"} | view)),
}
LIT = {
    "light_weights": lambda light: colour.light_weights(light),
    "white_point": lambda light: colour.white_point(light),
    "reflectance_to_xyz": lambda light: colour.reflectance_to_xyz(SPECTRA, light),
}


@pytest.mark.parametrize("name", LOOKING)
def test_an_unknown_look_is_told_with_the_nearest(name):
    with pytest.raises(BatikError, match="^look: 'wett' isn't .*; did you mean 'wet'"):
        LOOKING[name](look="wett")
    with pytest.raises(BatikError, match="^look: 'moist' isn't .*; .*'dry', 'wet'"):
        LOOKING[name](look="moist")
    for wrong in (None, 1, ["wet"]):
        with pytest.raises(TypeError, match="^look needs"):
            LOOKING[name](look=wrong)


@pytest.mark.parametrize("name", [*LOOKING, *LIT])
def test_an_unknown_light_is_told_with_the_nearest(name):
    ask = (LOOKING | LIT)[name]
    with pytest.raises(BatikError, match="^light: 'LEDs' isn't a light that batiksim knows; did you mean 'LED'"):
        ask(light="LEDs")
    for wrong in (None, 65, ["D65"], {}):
        with pytest.raises(TypeError, match="^light needs"):
            ask(light=wrong)


def frozen(array):
    copy = np.array(array)
    copy.setflags(write=False)
    return copy
