"""Two quiet charts for handouts and notebooks, as matplotlib figures: strength ladders and dye spectra."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from PIL import ImageColor

from batiksim.colour.gamut import fit_to_srgb
from batiksim.colour.spaces import (
    decode_srgb,
    encode_srgb,
    hex_to_lab,
    oklab_to_oklch,
    oklab_to_xyz,
    oklch_to_oklab,
    xyz_to_oklab,
)
from batiksim.colour.spectra import BANDS_NM, light_weights
from batiksim.dyes.ladders import Ladder, Spectrum
from batiksim.sheets.charts.figures import axes_inside, quiet_style, titled_figure
from batiksim.sheets.colours import GROUND, INK, QUIET, mixed
from batiksim.sheets.lettering import Lettering
from batiksim.texts.catalogue import Message, say

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PALE = 72  # L* from which a line needs an edge on the ground
_NAME = Lettering("sans", 105)  # tenths of points, so that 720 are an inch
_MOST_NAME = 1.7  # inches of a line of a name beside a chart
_STRENGTHS = {0.0625: "sixteenth", 0.125: "eighth", 0.25: "quarter", 0.5: "half", 1.0: "full", 2.0: "double"}
_SHARES = {0.0: "none", 0.25: "quarter", 0.5: "half", 0.75: "", 1.0: "all"}
_HUES = ((425, "violet"), (465, "blue"), (530, "green"), (574, "yellow"), (612, "orange"), (660, "red"))


def _inches(name: str) -> float:
    """Width of a name beside a chart."""
    return _NAME.width(name) / 720


def ladder_chart(ladders: Sequence[Ladder], *, title: str | Message | None = None) -> Figure:
    """Each dye as a ribbon of cloth from weak to strong, halvings marked; measured swatches are rounds on it.

    Strengths of all ladders should reach about as far; those of 0 are left out, since the scale is logarithmic.
    """
    with quiet_style():
        high = 1.35 + 0.46 * len(ladders)
        left = 0.65 + min(_MOST_NAME, max(0.9, *(_inches(one.name) for one in ladders)))
        figure = titled_figure(5.15 + left, high, title or say("charts.ladder.title"))
        axes = axes_inside(figure, left, 0.62, 0.4, 0.72)
        low = min(strength for one in ladders for strength in one.strengths if strength > 0)
        most = max(strength for one in ladders for strength in one.strengths)
        for row, one in enumerate(ladders):
            _ribbon(axes, one, row)
        axes.set(xlim=np.log2([low, most]), ylim=(len(ladders) - 0.5, -0.5))
        ticks = [strength for strength in _STRENGTHS if low <= strength <= most]
        axes.set_xticks(np.log2(ticks), [str(say(f"charts.strength.{_STRENGTHS[strength]}")) for strength in ticks])
        names = ["\n".join(_NAME.balanced(one.name, 720 * _MOST_NAME, lines=2)) for one in ladders]
        axes.set_yticks(range(len(ladders)), names)
        axes.tick_params(length=0, pad=7)
        axes.set_xlabel(str(say("charts.ladder.strength")), labelpad=6)
        for strength in ticks:
            axes.axvline(float(np.log2(strength)), color=GROUND, linewidth=1.1 if strength != 1 else 2.6, zorder=3)
        return figure


def _ribbon(axes: Axes, one: Ladder, row: int) -> None:
    """A strip of cloth whose colour follows the ladder, mixed in linear light between its rungs."""
    strengths = np.array([strength for strength in one.strengths if strength > 0])
    encoded = np.array([ImageColor.getrgb(colour)[:3] for colour in one.colours])[-len(strengths) :] / 255
    rungs, linear = np.log2(strengths), decode_srgb(encoded)
    edges = np.linspace(rungs[0], rungs[-1], 401)
    at = (edges[1:] + edges[:-1]) / 2
    strip = np.stack([np.interp(at, rungs, linear[:, band]) for band in range(3)], axis=-1)
    axes.pcolorfast(edges, np.array([row - 0.36, row + 0.36]), encode_srgb(strip)[None])
    for strength, colour in one.measured:
        axes.plot(np.log2(strength), row, "o", ms=11, mfc=colour, mec=GROUND, mew=1.4, zorder=4, clip_on=False)


def spectra_chart(spectra: Sequence[Spectrum], *, title: str | Message | None = None) -> Figure:
    """Reflectance against wavelength, each line in its cloth's colour and named at its end."""
    with quiet_style():
        high = max(4.4, 1.7 + 0.21 * len(spectra))
        right = 0.55 + min(2 * _MOST_NAME, max(1.1, *(_inches(one.name) for one in spectra)))
        figure = titled_figure(5.05 + right, high, title or say("charts.spectrum.title"))
        axes = axes_inside(figure, 0.8, 0.78, right, 0.72)
        axes.set(xlim=(400, 700), ylim=(0, 1))
        for one in spectra:
            _line(axes, one)
        _end_names(axes, spectra, least=0.19 / (high - 1.5))
        shares = [str(say(f"charts.spectrum.{name}")) if name else "" for name in _SHARES.values()]
        axes.set_yticks(list(_SHARES), shares)
        axes.set_xticks([400, 500, 600, 700], [str(say("charts.nm", nm=400)), "500", "600", "700"])
        axes.tick_params(axis="x", pad=24, length=0)
        axes.tick_params(axis="y", length=0)
        axes.grid(axis="y", color=mixed(INK, GROUND, 0.86), linewidth=0.6)
        _rainbow(axes)
        return figure


def _line(axes: Axes, one: Spectrum) -> None:
    """A smooth line through the bands; a pale one gets a thin dark edge, to be seen on the ground."""
    from scipy.interpolate import PchipInterpolator

    nm = np.linspace(400, 700, 301)
    curve = PchipInterpolator(BANDS_NM, one.reflectance)(nm)
    keys: dict[str, Any] = {"solid_capstyle": "round", "clip_on": False}
    if hex_to_lab(one.colour)[0] > PALE:
        axes.plot(nm, curve, color=mixed(one.colour, INK, 0.5), linewidth=3.2, **keys)
    axes.plot(nm, curve, color=one.colour, linewidth=2.3, **keys)


def _end_names(axes: Axes, spectra: Sequence[Spectrum], *, least: float) -> None:
    """Names beside the ends of the lines, moved apart to at least `least` where they would touch."""
    order = sorted(spectra, key=lambda one: float(one.reflectance[-1]))
    places = apart([float(one.reflectance[-1]) for one in order], least)
    for one, place in zip(order, places, strict=True):
        end = float(one.reflectance[-1])
        colour = mixed(INK, GROUND, 0.55)
        axes.plot([702, 712], [end, place], color=colour, linewidth=0.6, clip_on=False, solid_capstyle="round")
        axes.text(714, place, _NAME.fitted(one.name, 1440 * _MOST_NAME), va="center", clip_on=False)


def apart(places: Sequence[float], least: float) -> list[float]:
    """Rising places moved as little as it takes to stand `least` apart and between 0 and 1, or as near as they can."""
    steps = least * np.arange(len(places))
    free = np.array(places) - steps
    low, high = np.maximum.accumulate(free), np.minimum.accumulate(free[::-1])[::-1]
    settled = np.clip((low + high) / 2, 0.0, max(0.0, 1.0 - steps[-1] if len(places) else 0.0))
    return [float(place) for place in settled + steps]


def _rainbow(axes: Axes) -> None:
    """A slim, soft band of the spectrum's own colours under the lines, with their names."""
    oklch = oklab_to_oklch(xyz_to_oklab(light_weights("D65")))
    fade = np.interp(BANDS_NM, [400, 440, 640, 700], [0.3, 1, 1, 0.3])
    soft = np.stack([np.full(31, 0.80), 0.10 * fade, oklch[:, 2]], axis=-1)
    shown = fit_to_srgb(oklab_to_xyz(oklch_to_oklab(soft)))
    nm = np.linspace(400, 700, 301)
    smooth = np.stack([np.interp(nm, BANDS_NM, shown[:, band]) for band in range(3)], axis=-1)
    box = axes.inset_axes((0.0, -0.042, 1.0, 0.022))
    box.pcolorfast(np.linspace(400, 700, 302), np.array([0.0, 1.0]), smooth[None])
    box.set_axis_off()
    for at, hue in _HUES:
        name = str(say(f"charts.hue.{hue}"))
        axes.text(at, -0.08, name, ha="center", va="center", size=9.5, color=QUIET, clip_on=False)
