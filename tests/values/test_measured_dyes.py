"""Dyes whose reflectance is given as arrays or in the design file, all the way to the cloth and back."""

from __future__ import annotations

import dataclasses
import tomllib

import numpy as np
import pytest

from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.colour.kubelka_munk import ks_from_reflectance, reflectance_from_ks
from batiksim.colour.spectra import BANDS_NM
from batiksim.document.design_data import design_data
from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design, write_design
from batiksim.values import BuildUp, Cloth, Design, Dye, DyeBath, Undyed

BENT = BuildUp(law="saturating", bend=2)
POPLIN = Undyed(colour="#f4f1e8", surface=0.01, note="poplin")
RUST = 0.05 + 0.6 / (1 + np.exp((590 - BANDS_NM) / 15))
MEASURED = Dye.from_reflectance("rust", BANDS_NM, RUST, build_up=BENT, seen_on=POPLIN)


def design_of(dye: Dye) -> Design:
    return Design(title="t", cloth=Cloth(width_mm=300, colour="#ffffff"), dyes=[dye], steps=[DyeBath(pot=dye.name)])


class Distribution:
    """As colour-science's SpectralDistribution."""

    wavelengths, values = BANDS_NM, RUST


def test_a_dye_is_made_of_arrays_or_of_a_spectrum():
    plain = Dye(name="rust", samples=tuple(zip(BANDS_NM.tolist(), RUST.tolist(), strict=True)))
    assert Dye.from_reflectance("rust", BANDS_NM, RUST) == plain
    assert Dye.from_reflectance("rust", list(BANDS_NM), tuple(RUST)) == plain
    assert Dye.from_reflectance("rust", iter(BANDS_NM), iter(RUST)) == plain
    assert Dye.from_reflectance("rust", Distribution()) == plain
    assert (MEASURED.build_up, MEASURED.seen_on, MEASURED.colour) == (BENT, POPLIN, None)
    assert {type(number) for pair in MEASURED.samples for number in pair} == {float}


@pytest.mark.full
def test_a_dye_is_made_of_a_spectral_distribution_of_colour_science():
    import colour

    spectrum = colour.SpectralDistribution(dict(zip(BANDS_NM.tolist(), RUST.tolist(), strict=True)))
    assert Dye.from_reflectance("rust", spectrum) == Dye.from_reflectance("rust", BANDS_NM, RUST)


GAP = np.where(BANDS_NM == 500, np.nan, RUST)


@pytest.mark.parametrize(
    ("nm", "reflectance", "told"),
    [
        (BANDS_NM, RUST[1:], "31 wavelengths and 30 values don't go together"),
        ([], [], "needs at least four wavelengths, each with a value, and this one has 0"),
        ([400, 500, 700], [0.1, 0.2, 0.3], "needs at least four wavelengths"),
        (BANDS_NM[::-1], RUST, "wavelengths must rise"),
        ([400, 500, 500, 700], [0.1] * 4, "wavelengths must rise"),
        (BANDS_NM[3:], RUST[3:], "too short: it runs from 430 to 700 nm"),
        (BANDS_NM[:-3], RUST[:-3], "too short: it runs from 400 to 670 nm"),
        (BANDS_NM, GAP, "isn't a number"),
        (BANDS_NM, ["much"] * 31, "isn't a number"),
        (BANDS_NM, 100 * RUST, "is not a reflectance .*divide percent by 100"),
        (BANDS_NM, RUST + np.where(BANDS_NM == 500, 1, 0), r"is not a reflectance \(found 1.05.*use 0 to 1"),
        (BANDS_NM, RUST - 0.06, r"is not a reflectance \(found -0.009.*use 0 to 1"),
    ],
)
def test_arrays_that_are_no_reflectance_are_told(nm, reflectance, told):
    with pytest.raises(BatikError, match=rf"^dye 'rust': reflectance: .*{told}") as caught:
        Dye.from_reflectance("rust", nm, reflectance)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(("given", "told"), [((BANDS_NM,), "wavelengths and values"), ((7, RUST), "for nm, not int"),
                                             ((BANDS_NM, "red"), "for reflectance, not str")])  # fmt: skip
def test_what_is_no_array_is_told(given, told):
    with pytest.raises(TypeError, match=told):
        Dye.from_reflectance("rust", *given)


def test_a_dye_is_known_by_one_source():
    for more in ({"colour": "#112233"}, {"samples": ()}):
        with pytest.raises(BatikError, match="exactly one of colour, spectrum, book or reflectance"):
            Dye(**{"name": "rust", "samples": MEASURED.samples, **more})
    filled = Dye(name="rust", book="b.toml", samples=MEASURED.samples, build_up=BENT, seen_on=POPLIN)
    assert filled.written() == {"name": "rust", "book": "b.toml"}
    read = Dye(name="rust", spectrum="a.csv", samples=MEASURED.samples, seen_on=POPLIN)
    assert set(read.written()) == {"name", "spectrum", "cloth"}


def test_a_measured_dye_is_written_and_read_back(tmp_path):
    design = design_of(MEASURED)
    file = write_design(design, tmp_path)
    assert read_design(tmp_path) == design
    (entries,) = tomllib.loads(file.read_text(encoding="utf-8"))["dye"]
    assert set(entries) == {"name", "build_up", "reflectance", "cloth"}
    for dye in (
        Dye(name="rust", colour="#112233", seen_on=POPLIN),
        Dye.from_reflectance("rust", *[[420, 500, 600, 680]] * 1, [0.3] * 4),
    ):
        write_design(design_of(dye), tmp_path, in_place=True)
        assert read_design(tmp_path) == design_of(dye)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("reflectance = [[400, 0.1], [700, 0.2]]", "dye 'rust': reflectance: .*four wavelengths"),
        ("reflectance = [[400, 10], [500, 20], [600, 20], [700, 30]]", "dye 'rust': reflectance: .*divide percent"),
        ("reflectance = [400, 700]", "dye 'rust': reflectance: needs pairs"),
        ('colour = "#112233"\nreflectance = [[400, 0.1], [700, 0.2]]', "exactly one of .*colour and reflectance"),
        ('book = "demo"\ncloth = { colour = "#ffffff" }', "'cloth' comes from the dye book"),
    ],
)  # fmt: skip
def test_mistakes_in_the_file_are_told(tmp_path, line, told):
    text = f'format = 1\ntitle = "t"\n[cloth]\nwidth_mm = 300\n[[dye]]\nname = "rust"\n{line}\n'
    (tmp_path / "design.toml").write_text(text, encoding="utf-8")
    with pytest.raises(BatikError, match=told) as caught:
        read_design(tmp_path)
    assert caught.value.file == str(tmp_path / "design.toml")


def test_a_measured_dye_looks_on_its_own_cloth_as_it_was_measured():
    dyes = dyes_on_cloth(dataclasses.replace(design_of(MEASURED), cloth=Cloth(width_mm=300)))
    assert dyes.colour == POPLIN.colour
    shown = dyes.reflectance(dyes.dyes["rust"].ks)
    least = reflectance_from_ks(dyes.cloth_ks, surface=POPLIN.surface)
    assert np.allclose(shown, np.minimum(RUST, least), atol=1e-6)
    assert np.all(ks_from_reflectance(shown, surface=POPLIN.surface) >= dyes.cloth_ks - 1e-9)


def test_the_page_is_told_of_a_measured_dye_like_of_any_other():
    design = design_of(MEASURED)
    (told,) = design_data(design, dyes_on_cloth(design), 20, 30)["dyes"]
    assert told["name"] == "rust"
    assert told["hex"].startswith("#")
