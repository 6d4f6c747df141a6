"""The growth of time and memory with the cloth's size, as one small drawing (SVG)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from html import escape

Found = Mapping[str, Mapping[str, Mapping[str, float]]]

INK, FAINT = "#3b3531", "#d9d2c7"
INKS = {"preview": "#1d4e89", "check": "#2f8f6d", "trace": "#c8553d", "spread": "#7a4f9c", "from-picture": "#b08400"}
WIDE, HIGH, GAP = 380, 330, 70
TOP, LEFT = 58, 62
MOST_GB = 3.0


def _log(value: float, low: float, high: float) -> float:
    return (math.log(value) - math.log(low)) / (math.log(high) - math.log(low))


def _text(x: float, y: float, words: str, **keys: str) -> str:
    given = "".join(f' {key.replace("_", "-")}="{value}"' for key, value in keys.items())
    return f'<text x="{x:.1f}" y="{y:.1f}"{given}>{escape(words)}</text>'


def _spread(places: list[float], apart: float) -> list[float]:
    """Heights moved so far that words don't lie on each other."""
    order = sorted(range(len(places)), key=lambda n: places[n])
    moved = list(places)
    for one, other in zip(order, order[1:], strict=False):
        moved[other] = max(moved[other], moved[one] + apart)
    return moved


def _panel(found: Found, what: str, left: float, title: str, marks: tuple[float, ...], unit: str) -> list[str]:
    sizes = (1, 3, 10, 30, 100, 300)
    low, high = marks[0], marks[-1]

    def x(mp: float) -> float:
        return left + WIDE * _log(mp, 1, 300)

    def y(value: float) -> float:
        return TOP + HIGH * (1 - _log(value, low, high))

    out = [_text(left, TOP - 18, title, font_size="15", font_weight="bold")]
    for mark in marks:
        out.append(f'<path d="M{left} {y(mark):.1f}h{WIDE}" stroke="{FAINT}"/>')
        out.append(_text(left - 8, y(mark) + 4, f"{mark:g} {unit}", text_anchor="end"))
    for mp in sizes:
        out.append(f'<path d="M{x(mp):.1f} {TOP + HIGH}v5" stroke="{INK}"/>')
        out.append(_text(x(mp), TOP + HIGH + 20, f"{mp}", text_anchor="middle"))
    out.append(_text(left + WIDE / 2, TOP + HIGH + 40, "million pixels of cloth", text_anchor="middle"))
    if low < MOST_GB < high and unit == "GB":
        out.append(f'<path d="M{left} {y(MOST_GB):.1f}h{WIDE}" stroke="{INK}" stroke-dasharray="2 4"/>')
    names = [name for name in INKS if name in found]
    ends = []
    for name in names:
        points = sorted((float(mp), one[what]) for mp, one in found[name].items() if float(mp) >= 1)
        path = "L".join(f"{x(mp):.1f} {y(value):.1f}" for mp, value in points)
        out.append(f'<path d="M{path}" fill="none" stroke="{INKS[name]}" stroke-width="2.5"/>')
        out += [f'<circle cx="{x(mp):.1f}" cy="{y(v):.1f}" r="3" fill="{INKS[name]}"/>' for mp, v in points]
        ends.append(y(points[-1][1]))
    for name, height in zip(names, _spread(ends, 15), strict=True):
        out.append(_text(left + WIDE + 8, height + 4, name, fill=INKS[name]))
    return out


def draw_chart(found: Found) -> str:
    """Two panels with logarithmic axes: processor seconds and largest memory."""
    second = LEFT + WIDE + GAP + 75
    body = [
        *_panel(found, "cpu_s", LEFT, "Processor time", (1, 3, 10, 30, 100, 300), "s"),
        *_panel(found, "gb", second, "Largest memory (dotted: 3 GB)", (0.2, 0.5, 1, 2, 5, 10), "GB"),
    ]
    width, height = second + WIDE + 75, TOP + HIGH + 58
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" font-family="sans-serif" '
        f'font-size="12" fill="{INK}"><title>Time and memory grow with the cloth</title>'
        f'<rect width="{width}" height="{height}" fill="#fbf8f2"/>'
    )
    return "\n".join([head, *body, "</svg>"]) + "\n"
