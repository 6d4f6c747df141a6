"""Spectra through colour-science and back, and what is said where it isn't installed."""

from __future__ import annotations

import os
import subprocess
import sys
from types import SimpleNamespace

import colour as colour_science
import numpy as np
import pytest
from numpy.testing import assert_allclose

from batiksim import BatikError, colour

SPECTRA = np.random.default_rng(6).uniform(0.02, 0.95, (8, 31))


def alone(code):
    """Run code in a new process; gives what it prints."""
    done = subprocess.run([sys.executable, "-c", code], env=os.environ, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize("row", range(len(SPECTRA)))
def test_spectra_come_back_as_they_went(row):
    sd = colour.to_spectral_distribution(SPECTRA[row], name="madder")
    assert isinstance(sd, colour_science.SpectralDistribution)
    assert sd.name == "madder"
    assert sd.shape == colour_science.SpectralShape(400, 700, 10)
    assert_allclose(colour.from_spectral_distribution(sd), SPECTRA[row], atol=1e-15)
    sd.values = np.zeros(31)
    assert SPECTRA[row].min() > 0, "the spectrum is its own copy"


@pytest.mark.parametrize("light", colour.LIGHTS)
def test_xyz_of_a_spectrum_is_what_colour_science_makes_of_it(light):
    """By its ASTM E308, from the table of the observer at 1 nm."""
    fine = colour_science.SpectralShape(360, 780, 1)
    observer = colour_science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(fine)
    lamp = colour_science.SDS_ILLUMINANTS[{"LED": "LED-B3"}.get(light, light)].copy().align(fine)
    fall = 0.1 + 0.7 / (1 + np.exp((colour.BANDS_NM - 560) / 30))
    sd = colour.to_spectral_distribution(fall)
    with colour_science.utilities.suppress_warnings(colour_runtime_warnings=True):  # that our grid ends at 700 nm
        theirs = colour_science.sd_to_XYZ(sd, observer, lamp, method="ASTM E308") / 100
    assert_allclose(colour.reflectance_to_xyz(fall, light), theirs, atol=5e-4)


def test_a_measured_patch_of_colour_science_comes_onto_the_grid():
    """The BabelColor average of the 24 patches of a chart, 380-730 nm by 10."""
    chart = colour_science.SDS_COLOURCHECKERS["BabelColor Average"]
    for sd in chart.values():
        ours = colour.from_spectral_distribution(sd)
        assert_allclose(ours, sd.copy().trim(colour_science.SpectralShape(400, 700, 10)).values, atol=1e-12)


def test_finer_and_shorter_spectra_are_brought_onto_the_grid_as_any_measurement():
    nm = np.arange(420, 691, 5)
    values = 0.2 + 0.5 * (nm - 400) / 300
    sd = colour_science.SpectralDistribution(values, nm)
    assert_allclose(colour.from_spectral_distribution(sd), colour.resample(nm, values), atol=1e-15)
    with pytest.raises(BatikError, match="too short"):
        colour.from_spectral_distribution(colour_science.SpectralDistribution(values[8:], nm[8:]))


def test_anything_with_wavelengths_and_values_will_do():
    like = SimpleNamespace(wavelengths=list(range(400, 701, 10)), values=SPECTRA[0].tolist())
    assert_allclose(colour.from_spectral_distribution(like), SPECTRA[0], atol=1e-15)
    for wrong in ({400: 0.5}, SPECTRA[0], None):
        with pytest.raises(TypeError, match="^sd needs wavelengths and values"):
            colour.from_spectral_distribution(wrong)
    with pytest.raises(TypeError, match="^sd.values needs real numbers"):
        colour.from_spectral_distribution(SimpleNamespace(wavelengths=like.wavelengths, values=["a"] * 31))


def test_without_colour_science_it_is_told_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "colour", None)
    with pytest.raises(ImportError, match="pip install colour-science"):
        colour.to_spectral_distribution(SPECTRA[0])


def test_numbers_are_printed_as_before():
    """colour-science sets numpy's printing for a whole program: whoever asks for one spectrum didn't ask for that."""
    asked = "batiksim.colour.to_spectral_distribution(np.ones(31))"
    assert alone(f"import numpy as np, batiksim\n{asked}\nprint(np.array([0.1, 0.25]))") == "[0.1  0.25]\n"
