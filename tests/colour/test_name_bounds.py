"""Where makers' words take over from the published ones: every bound of the table, a little to either side."""

from __future__ import annotations

import math

import pytest

from batiksim.colour.names import _turned


def lch(light, chroma, hue):
    return light, chroma * math.cos(math.radians(hue)), chroma * math.sin(math.radians(hue))


# (published word, L*, C*, hue, makers' word): a spot just inside a bound and one just outside it
BOUNDS = [
    *[("red", (light, 20, 0), word) for light, word in ((55, "pink"), (54.99, "pink"), (41.99, "red"), (42, "pink"))],
    *[("red", (60, chroma, 0), word) for chroma, word in ((29.99, "pink"), (30, "red"))],
    *[("red", (60, 20, hue), word) for hue, word in ((-25, "pink"), (-25.01, "red"), (59.99, "pink"), (60, "red"))],
    *[("red", (40, chroma, 0), word) for chroma, word in ((13.99, "brown"), (14, "red"))],
    *[("red", (40, 10, hue), word) for hue, word in ((-5, "brown"), (-5.01, "red"), (99.99, "brown"), (100, "red"))],
    *[("red", (light, 20, 10), word) for light, word in ((31.99, "brown"), (32, "red"))],
    *[("red", (20, chroma, 10), word) for chroma, word in ((23.99, "brown"), (24, "red"))],
    *[("red", (20, 20, hue), word) for hue, word in ((8, "brown"), (7.99, "red"))],
    *[("red", (40, 20, hue), word) for hue, word in ((15, "brown"), (14.99, "red"))],
    *[("red", (40, chroma, 18), word) for chroma, word in ((23.99, "brown"), (24, "red"))],
    *[("red", (40, 28, hue), word) for hue, word in ((22, "brown"), (21.99, "red"))],
    *[("red", (54, chroma, 24), word) for chroma, word in ((29.99, "brown"), (30, "red"))],
    *[("red", (light, 34, 30), word) for light, word in ((49.99, "brown"), (50, "red"))],
    *[("red", (40, chroma, 30), word) for chroma, word in ((35.99, "brown"), (36, "red"))],
    *[("red", (40, 34, hue), word) for hue, word in ((28, "brown"), (27.99, "red"), (99.99, "brown"))],
    *[("red", (50, chroma, 0), word) for chroma, word in ((25.99, "pink"), (26, "red"))],
    *[("red", (50, 20, hue), word) for hue, word in ((-15, "pink"), (-15.01, "red"), (7.99, "pink"), (8, "red"))],
    *[("red", (light, 50, -20), word) for light, word in ((34.99, "purple"), (35, "red"))],
    *[
        ("red", (20, 50, hue), word)
        for hue, word in ((-40, "purple"), (-40.01, "red"), (-10.01, "purple"), (-10, "red"))
    ],
    *[("orange", (light, 50, 43), word) for light, word in ((44.99, "red"), (45, "orange"))],
    *[("orange", (40, 50, hue), word) for hue, word in ((0, "red"), (-0.01, "orange"), (44.99, "red"), (45, "orange"))],
    *[("orange", (light, 50, 41), word) for light, word in ((49.99, "red"), (50, "orange"))],
    *[("orange", (48, 50, hue), word) for hue, word in ((0, "red"), (-0.01, "orange"), (41.99, "red"), (42, "orange"))],
    *[("pink", (light, 50, 70), word) for light, word in ((79.99, "brown"), (80, "pink"))],
    *[("pink", (70, chroma, 70), word) for chroma, word in ((10, "brown"), (9.99, "pink"))],
    *[("pink", (70, 50, hue), word) for hue, word in ((60, "brown"), (59.99, "pink"), (99.99, "brown"), (100, "pink"))],
    *[("yellow", (light, 30, 80), word) for light, word in ((0, "brown"), (65.99, "brown"), (66, "yellow"))],
    *[("yellow", (50, chroma, 80), word) for chroma, word in ((39.99, "brown"), (40, "yellow"))],
    *[
        ("yellow", (50, 30, hue), word)
        for hue, word in ((60, "brown"), (59.99, "yellow"), (94.99, "brown"), (95, "olive"))
    ],
    *[("yellow", (light, 60, 100), word) for light, word in ((0, "olive"), (65.99, "olive"), (66, "yellow"))],
    *[("yellow", (50, 60, hue), word) for hue, word in ((114.99, "olive"), (115, "yellow"), (94.99, "yellow"))],
    *[
        ("yellow", (light, 60, 120), word)
        for light, word in ((66, "yellow-green"), (65.99, "yellow"), (100, "yellow-green"))
    ],
    *[
        ("yellow", (80, 60, hue), word)
        for hue, word in ((111, "yellow-green"), (110.99, "yellow"), (139.99, "yellow-green"), (140, "yellow"))
    ],
    *[
        ("olive", (50, 30, hue), word)
        for hue, word in ((138, "green"), (137.99, "olive"), (179.99, "green"), (-179.99, "olive"))
    ],
    *[
        ("yellow-green", (50, 30, hue), word)
        for hue, word in ((130, "green"), (129.99, "yellow-green"), (179.99, "green"))
    ],
    *[("blue", (light, 40, -30), word) for light, word in ((50, "purple"), (49.99, "blue"), (100, "purple"))],
    *[("blue", (60, chroma, -30), word) for chroma, word in ((20, "purple"), (19.99, "blue"))],
    *[
        ("blue", (60, 40, hue), word)
        for hue, word in ((-65, "purple"), (-65.01, "blue"), (-0.01, "purple"), (0, "blue"))
    ],
]


@pytest.mark.parametrize(("published", "spot", "word"), BOUNDS)
def test_a_bound(published, spot, word):
    # an exact bound is kept clear of rounding
    light, chroma, hue = spot
    inside = lambda value: value if value != int(value) else value + 1e-9  # noqa: E731
    assert _turned(published, lch(light, inside(chroma), inside(hue))) == word
