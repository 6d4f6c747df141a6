"""A small design previewed a second time, pixel by pixel, with colour-science's own functions.

Shared with the engine are only the masks and the K/S curves of cloth and dyes. All after that is done anew here: the
area that each history has in a pixel, Kubelka-Munk with a surface floor, reflectance to XYZ by integration over 1 nm,
and XYZ to sRGB. Both previews must agree within 1 of 255 on every plate.
"""

from __future__ import annotations

import warnings

import colour
import numpy as np
import pytest

from batiksim.cloth import render
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.program import compile_design
from batiksim.values import RemoveWax

NM = colour.SpectralShape(400, 700, 10)
FINE = colour.SpectralShape(360, 830, 1)
OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
WHITE = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]
DAYLIGHT = colour.SDS_ILLUMINANTS["D65"].copy().align(FINE, interpolator=colour.LinearInterpolator)
SURFACE = 0.015


def shown(reflectance):
    """sRGB 0..1 of one reflectance (31,), by colour-science, in daylight."""
    spectrum = colour.SpectralDistribution(reflectance, NM).copy()
    spectrum.interpolate(colour.SpectralShape(400, 700, 1), interpolator=colour.CubicSplineInterpolator)
    spectrum.extrapolate(FINE, extrapolator_kwargs={"method": "Constant"})
    xyz = colour.sd_to_XYZ(spectrum, OBSERVER, DAYLIGHT, method="Integration") / 100
    return colour.XYZ_to_sRGB(xyz, illuminant=WHITE)


def kubelka_munk(ks):
    return SURFACE + (1 - SURFACE) / (1 + ks + np.sqrt(ks * ks + 2 * ks))


def held(offered):
    """Full strengths that the fibre holds: all up to two and a half, then nearing three and a half."""
    return min(offered, 2.5) + 1 - np.exp(-max(0.0, offered - 2.5))


class Spot:
    """One pixel as a list of [area, K/S held, sealed, loads offered], worked through the steps one by one."""

    def __init__(self, cloth_ks):
        self.cloth_ks = cloth_ks
        self.areas = [[1.0, np.zeros(31), False, 0.0]]
        self.taking = 1.0

    def wax(self, grey):
        for area in list(self.areas):
            if not area[2]:
                self.areas.append([area[0] * grey, area[1].copy(), True, area[3]])
                area[0] *= 1 - grey

    def thin_wax(self, grey):
        self.taking *= 1 - grey

    def dye(self, ks, grey=1.0):
        """One full strength, as much of it as wax and brush let through, and as the fibre still takes."""
        load = self.taking * grey
        for area in self.areas:
            if not area[2] and load > 0:
                taken = held(area[3] + load) - held(area[3])
                area[1] = area[1] + taken * ks
                area[3] += load

    def bleach(self, strength):
        for area in self.areas:
            if not area[2]:
                area[1] = area[1] * (1 - self.taking * strength)
                area[3] *= 1 - self.taking * strength

    def remove_wax(self):
        self.taking = 1.0
        for area in self.areas:
            area[2] = False

    def reflectance(self):
        return sum(area * kubelka_munk(self.cloth_ks + ks) for area, ks, *_ in self.areas if area > 0)


@pytest.fixture(scope="module")
def bare_plates(build):
    """The engine's plates with the wax not shown, the masks 0..1, and the curves."""
    planned = build.design(
        build.wax("lines"),
        build.dye("sun"),
        build.wax("keep"),
        build.dye(("pink", "petals"), ("sea", "leaves")),
        build.wax("film", grey="thin"),
        build.dye("sea"),
        build.bleach("bleach", 0.6),
        RemoveWax(),
        build.wax("late"),
        build.dye(("pink", "petals")),
    )
    dyes = dyes_on_cloth(planned)
    masks = np.concatenate([build.soft(5, 6, 12, seed=3), build.noisy(2, 6, 12, seed=3)])
    plates = render.render(compile_design(planned, dyes, wax_shown=False), masks)
    grey = dict(zip(["lines", "keep", "petals", "leaves", "film", "bleach", "late"], masks / 255, strict=True))
    names = [use.picture.removesuffix(".png") for use in dict.fromkeys(use for _, use in planned.mask_uses())]
    assert names == list(grey)
    return plates, grey, dyes


def test_every_plate_agrees_with_colour_science(bare_plates):
    plates, grey, dyes = bare_plates
    sun, pink, sea = (dyes.dyes[name].ks for name in ("sun", "pink", "sea"))
    checked = same = 0
    for at in np.ndindex(6, 12):
        spot = Spot(dyes.cloth_ks)
        m = {name: mask[at] for name, mask in grey.items()}
        steps = [
            lambda spot, m: None,
            lambda spot, m: spot.wax(m["lines"]),
            lambda spot, m: spot.dye(sun),
            lambda spot, m: spot.wax(m["keep"]),
            lambda spot, m: (spot.dye(pink, m["petals"]), spot.dye(sea, m["leaves"])),
            lambda spot, m: spot.thin_wax(m["film"]),
            lambda spot, m: spot.dye(sea),
            lambda spot, m: spot.bleach(0.6 * m["bleach"]),
            lambda spot, m: spot.remove_wax(),
            lambda spot, m: spot.wax(m["late"]),
            lambda spot, m: spot.dye(pink, m["petals"]),
        ]
        for plate, step in zip(plates, steps, strict=False):
            step(spot, m)
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                wanted = 255 * shown(spot.reflectance())
            if wanted.min() >= 0 and wanted.max() <= 255:  # what no screen shows is brought in by a rule of its own
                apart = np.abs(plate[at] - np.rint(wanted)).max()
                assert apart <= 1, (at, wanted, plate[at])
                same += apart == 0
                checked += 1
    assert checked > 0.9 * 72 * 11
    assert same > 0.98 * checked  # found: 788 of 791
