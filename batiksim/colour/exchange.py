"""Spectra to and from colour-science, for whoever has it: loaded only when asked for.

colour-science (https://www.colour-science.org) is the Python library that colour scientists share spectra by.
"""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from batiksim.colour.spectra import BANDS_NM, resample
from batiksim.types import Floats, alone, as_floats, as_spectra
from batiksim.values.dyes import Spectrum, is_spectrum

if TYPE_CHECKING:
    from colour import SpectralDistribution


def to_spectral_distribution(reflectance: ArrayLike, *, name: str = "batiksim") -> "SpectralDistribution":
    """A reflectance as colour-science knows spectra.

    Parameters
    ----------
    reflectance : array_like, (31,)
        At `BANDS_NM`, usually 0..1.
    name : str, optional
        What colour-science shall call it.

    Returns
    -------
    colour.SpectralDistribution
        400-700 nm by 10 nm, with the values as given.

    Raises
    ------
    ImportError
        If colour-science isn't installed: ``pip install colour-science``.
    ValueError, TypeError
        If `reflectance` isn't 31 finite numbers.

    See Also
    --------
    from_spectral_distribution : The way back.

    Examples
    --------
    >>> grey = batiksim.colour.to_spectral_distribution(np.full(31, 0.5), name="grey")
    >>> grey.shape
    SpectralShape(400.0, 700.0, 10.0)
    """
    values = alone(as_spectra(reflectance, "reflectance"), "reflectance")
    try:
        with np.printoptions():  # which it would set to those of numpy 1.13, for the whole of its caller's program
            from colour import SpectralDistribution
    except ImportError as error:
        raise ImportError("spectra for colour-science need it installed: pip install colour-science") from error
    return SpectralDistribution(np.array(values), BANDS_NM, name=name)


def from_spectral_distribution(sd: Spectrum) -> Floats:
    """A spectrum of colour-science, or anything like one, on the grid of batiksim.

    Parameters
    ----------
    sd : colour.SpectralDistribution or alike
        Its ``wavelengths`` (n,), nm, rising, at least from 420 to 680, and its ``values`` (n,), usually 0..1.

    Returns
    -------
    numpy.ndarray, (31,)
        The values at `BANDS_NM`, float64.

    Raises
    ------
    BatikError
        If the spectrum has fewer than four wavelengths, doesn't rise, is too short or holds NaN.
    TypeError
        If `sd` has no wavelengths and values that are numbers.

    See Also
    --------
    to_spectral_distribution : The way back.
    resample : What brings it onto the grid.

    Examples
    --------
    >>> sd = batiksim.colour.to_spectral_distribution(np.linspace(0.1, 0.7, 31))
    >>> batiksim.colour.from_spectral_distribution(sd)[[0, -1]]
    array([0.1, 0.7])
    """
    if not is_spectrum(sd):
        raise TypeError(f"sd needs wavelengths and values, got {type(sd).__name__}")
    return resample(as_floats(sd.wavelengths, "sd.wavelengths"), as_floats(sd.values, "sd.values"))
