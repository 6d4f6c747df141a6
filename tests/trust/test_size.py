"""Large cloths and large books are looked at in parts; the answers are those of the whole."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from batiksim.checks.shapes import components
from batiksim.cloth import outlines
from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.colour.spaces import hex_to_lab
from batiksim.dyes import match
from batiksim.files.toml.dyebooks import read_book
from batiksim.values import Cloth


def blots(softness: float) -> np.ndarray:
    field = ndimage.gaussian_filter(np.random.default_rng(0).standard_normal((97, 131)), softness)
    return np.clip(field * 400 * (softness + 1) + 128, 0, 255).astype(np.uint8)


def turned(rings):
    """Rings from their smallest point on, in order, so that it doesn't matter where each begins."""
    open_rings = [np.round(ring[:-1], 9) for ring in rings]
    begins = [min(range(len(ring)), key=lambda n, ring=ring: tuple(ring[n])) for ring in open_rings]
    return sorted(np.roll(ring, -n, axis=0).tolist() for ring, n in zip(open_rings, begins, strict=True))


@pytest.mark.parametrize("softness", [0, 1, 3])
@pytest.mark.parametrize("band_px", [1, 1000, 4000])
def test_outlines_in_bands(monkeypatch, softness, band_px):
    whole = outlines._contours(blots(softness))
    monkeypatch.setattr(outlines, "BAND_PX", band_px)
    assert turned(outlines._contours(blots(softness))) == turned(whole)


@pytest.mark.parametrize("radius", [1, 2, 5])
def test_thick_parts_in_bands(monkeypatch, radius):
    whole = components.thick(blots(2) > 128, radius)
    monkeypatch.setattr(components, "BAND_PX", 1)
    assert np.array_equal(components.thick(blots(2) > 128, radius), whole)
    assert whole.any()


@pytest.mark.parametrize("wanted", ["#4d7358", "#7a4f9c", "#b08400"])
def test_a_match_in_a_large_book_is_near_that_of_every_choice(monkeypatch, wanted):
    """Where not every three dyes are tried, the pot found is nearly as near."""
    dyes = cloth_dyes(Cloth(width_mm=100), read_book("demo").dyes)
    every = match.find_pots(dyes, hex_to_lab(wanted))[0].delta_e
    monkeypatch.setattr(match, "_MOST_SETS", 100)
    some = match.find_pots(dyes, hex_to_lab(wanted))[0].delta_e
    assert every <= some + 1e-9
    assert some <= every + 1.0
