"""The colours of a cloth in the CIELAB plane: how each came there, dye by dye, and a key that names them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from batiksim.cloth.journeys import Journey
from batiksim.colour.gamut import lab_to_hex
from batiksim.colour.viewing import DAY
from batiksim.sheets.charts.figures import axes_inside, quiet_style, titled_figure
from batiksim.sheets.colours import GROUND, INK, PAPER, QUIET, mixed
from batiksim.sheets.lettering import Lettering
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Floats
from batiksim.values.colour_words import history_words, name_message
from batiksim.values.light_words import seen_as

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_PLANE, _KEY, _ROW = 4.9, 3.7, 0.5  # inches: side of the plane, width of the key, height of a row in it
_LINE, _DYES_WIDE = 0.15, 2000  # inches from line to line of small print, and its longest line in tenths of points
_NAME, _DYES, _HOW = Lettering("sans", 105), Lettering("sans", 90), Lettering("italic", 105)  # tenths of points
_HOW_LINE = 0.2  # inches from line to line of the explanation
_LEAST_REACH, _RING = 60, 20  # CIELAB units
_RIM = 24  # hues shown around the plane, at one lightness and chroma
_SERIF = ["Alegreya", "DejaVu Serif"]
_WORDS = ((0, 1, "yellow", 0), (0, -1, "blue", 0), (-1, 0, "green", 90), (1, 0, "red", 270))
_WORD_OUT = 1.07  # of the reach: where the four words stand
_TAG = 0.17  # inches from a round's edge to its number's middle


def plane_chart(ways: Sequence[Journey], *, title: str | Message | None = None, light: str = DAY) -> Figure:
    """Each colour as a round in the plane of a* and b*, the larger its share the larger; small dots are its way there.

    The distance from the middle says how clear a colour is, the direction its hue; lightness shows in the rounds alone.
    light : by which the colours of `ways` were seen
    """
    with quiet_style():
        dyes = [_DYES.wrapped(history_words(way.history), _DYES_WIDE, lines=2) for way in ways]
        how = _HOW.wrapped(say("charts.plane.how", seen=seen_as(light, "dry")), 720 * _KEY - 100, lines=8)
        row = _ROW if max(map(len, dyes), default=1) == 1 else _ROW + _LINE
        high = max(_PLANE + 1.5, 1.75 + _HOW_LINE * len(how) + row * len(ways))
        wide = 0.75 + _PLANE + 0.55 + _KEY
        figure = titled_figure(wide, high, title or say("charts.plane.title"))
        axes = axes_inside(figure, 0.75, high - 0.95 - _PLANE, 0.55 + _KEY, 0.95)
        points = np.array([lab[1:] for one in ways for lab in one.labs]).reshape(-1, 2)
        reach = _RING * np.ceil(max(_LEAST_REACH, np.hypot(*points.T).max(initial=0) * 1.08) / _RING)
        axes.set(xlim=(-reach, reach), ylim=(-reach, reach), aspect="equal")
        _compass(axes, float(reach))
        _ways(axes, ways)
        _rounds(axes, ways, float(reach))
        _key(figure, ways, dyes, how, left=0.75 + _PLANE + 0.55, step=row)
        return figure


def _compass(axes: Axes, reach: float) -> None:
    """Rings of equal clearness, and the hues around them, softly."""
    turn = np.linspace(0, 2 * np.pi, 361)
    for ring in np.arange(_RING, reach + 1, _RING):
        axes.plot(ring * np.cos(turn), ring * np.sin(turn), color=mixed(INK, GROUND, 0.87), linewidth=0.6, zorder=0)
    for at in range(_RIM):
        angles = np.linspace(at - 0.46, at + 0.46, 9) * 2 * np.pi / _RIM
        hue = at * 2 * np.pi / _RIM
        soft = lab_to_hex((74.0, 32 * np.cos(hue), 32 * np.sin(hue)))
        rim: dict[str, Any] = {"color": soft, "linewidth": 4.0, "solid_capstyle": "butt", "clip_on": False, "zorder": 0}
        axes.plot(reach * np.cos(angles), reach * np.sin(angles), **rim)
    axes.plot(0, 0, "+", color=mixed(INK, GROUND, 0.4), ms=7, mew=0.8, zorder=0)
    quiet: dict[str, Any] = {"color": QUIET, "size": 9.5, "ha": "center", "va": "center", "clip_on": False}
    for x, y, word, turned in _WORDS:
        name = str(say(f"charts.hue.{word}"))
        axes.text(_WORD_OUT * reach * x, _WORD_OUT * reach * y, name, rotation=turned, **quiet)
    for ring in np.arange(_RING, reach, _RING):
        axes.text(0, -ring, f"{ring:.0f}", bbox={"fc": GROUND, "ec": "none", "pad": 0.6}, zorder=0, **quiet)
    axes.set_xticks([])
    axes.set_yticks([])


def _ways(axes: Axes, ways: Sequence[Journey]) -> None:
    """Lines from the bare cloth on, a small dot where a dye went on over which others came."""
    places = {one.history: one.labs[-1] for one in ways}
    for one in ways:
        for layers, lab in enumerate(one.labs):
            places.setdefault(one.history[:layers], lab)
    for history, lab in places.items():
        if history:
            a, b = np.array([places[history[:-1]], lab]).T[1:]
            axes.plot(a, b, color=mixed(INK, GROUND, 0.62), linewidth=0.9, zorder=1)
        axes.plot(lab[1], lab[2], "o", ms=5, mfc=lab_to_hex(lab), mec=mixed(INK, GROUND, 0.45), mew=0.6, zorder=2)


def _rounds(axes: Axes, ways: Sequence[Journey], reach: float) -> None:
    inch = 2 * reach / _PLANE
    radii = np.array([0.07 + 0.3 * np.sqrt(one.share) for one in ways])
    places = np.array([one.labs[-1][1:] for one in ways]).reshape(-1, 2)
    for at, (one, radius) in enumerate(zip(ways, radii, strict=True)):
        edge: dict[str, Any] = {"mfc": one.hex, "mec": mixed(one.hex, INK, 0.55), "mew": 0.7}
        axes.plot(*places[at], "o", ms=144 * radius, zorder=3 + at / 100, **edge)
    words = np.array([word[:2] for word in _WORDS]) * _WORD_OUT * reach / inch
    tags = tag_places(places / inch, radii, words) * inch
    for at, (place, tag) in enumerate(zip(places, tags, strict=True)):
        out = tag - place
        start = place + out / np.hypot(*out) * radii[at] * inch
        axes.plot(*np.stack([start, tag]).T, color=mixed(INK, GROUND, 0.3), linewidth=0.7, zorder=4)
        box: dict[str, Any] = {"boxstyle": "circle,pad=0.22", "fc": PAPER, "ec": mixed(INK, GROUND, 0.5), "lw": 0.6}
        axes.text(float(tag[0]), float(tag[1]), str(at + 1), size=8.5, ha="center", va="center", zorder=5, bbox=box)


def tag_places(places: Floats, radii: Floats, words: Floats) -> Floats:
    """Where a number stands beside each round: clear of every round, number and word near it, if there is room.

    places : (n, 2), radii : (n,), words : (m, 2), in inches
    Returns (n, 2); each takes the first free spot of a widening spiral.
    """
    turns = np.arange(16) * 2 * np.pi / 16
    taken = list(words)
    for place, radius in zip(places, radii, strict=True):
        outward = np.arctan2(place[1], place[0]) if np.hypot(*place) > 0 else 0.0
        order = outward + turns[np.argsort(np.abs(np.angle(np.exp(1j * turns))), kind="stable")]
        spots = np.concatenate(
            [place + (radius + _TAG * far) * np.stack([np.cos(order), np.sin(order)], 1) for far in (1, 1.7, 2.6, 3.6)]
        )
        room = np.min(np.hypot(*(spots[:, None] - places).transpose(2, 0, 1)) - radii, axis=1) - 0.8 * _TAG
        if taken:
            others = np.hypot(*(spots[:, None] - np.array(taken)).transpose(2, 0, 1))
            room = np.minimum(room, np.min(others, axis=1) - 1.7 * _TAG)
        free = np.flatnonzero(room >= 0)
        taken.append(spots[free[0] if len(free) else int(np.argmax(room))])
    return np.array(taken[len(words) :]).reshape(-1, 2)


def _key(
    figure: Figure,
    ways: Sequence[Journey],
    dyes: Sequence[Sequence[str]],
    how: Sequence[str],
    *,
    left: float,
    step: float,
) -> None:
    """Number, swatch, name and share of each colour; below it the dyes that made it.

    dyes : of each colour, in lines; how : lines of explanation at the foot; step : inches from row to row
    """
    wide, high = figure.get_size_inches()
    axes = figure.add_axes((left / wide, 0, _KEY / wide, 1), facecolor="none")
    axes.set(xlim=(0, _KEY), ylim=(high, 0))
    axes.set_axis_off()
    for row, one in enumerate(ways):
        y = 1.15 + row * step
        axes.text(0.0, y, str(row + 1), color=QUIET, va="center", ha="left")
        box: dict[str, Any] = {"mfc": one.hex, "mec": mixed(one.hex, INK, 0.4), "mew": 0.6}
        axes.plot(0.36, y, "s", ms=15, **box)
        name = say("charts.plane.colour", name=name_message(one.name), share=percent(one.share, whole=True))
        axes.text(0.58, y - 0.085, _NAME.fitted(name, 720 * _KEY - 500), va="center", size=10.5)
        for below, line in enumerate(dyes[row]):
            axes.text(0.58, y + 0.1 + _LINE * below, line, va="center", size=9, color=QUIET)
    for row, line in enumerate(reversed(how)):
        y = high - 0.5 - _HOW_LINE * row
        axes.text(0.0, y, line, va="center", size=10.5, color=QUIET, style="italic", family=_SERIF)
