"""Drawing of tracing lines as SVG, in hundredths of a millimetre of cloth: for the sheets, and as a file by itself.

Numbers are whole hundredths, so a line that lies on two sheets has the same points on both.
"""

from collections.abc import Sequence
from html import escape

import numpy as np

from batiksim.cloth.outlines import cut, simplified
from batiksim.sheets.colours import AMBER, INK, QUIET, WOOD
from batiksim.sheets.trace.layout import RING, WHOLE_SIDE, Box, Sheet
from batiksim.sheets.trace.lines import Tracing, WaxLines
from batiksim.types import Floats
from batiksim.values import MADE_BY

PER_MM = 100
_MADE = f"<!-- {MADE_BY} -->"
PALE = "#a3a7b5"  # earlier wax
MAP_WAX = "#efdcbd"  # wax on the page map: amber let down with white
_ARM = 1.8 * RING
_CHECK = 100.0
_MAP_WITHIN = 0.06  # mm on paper


def sheet_svg(tracing: Tracing, lines: WaxLines, sheet: Sheet) -> str:
    """What a sheet's window shows: cloth border, earlier wax, hatching, outlines, then its seams and their rings."""
    return _svg(sheet.box, [*_layers(tracing, lines, sheet.box), _seams(sheet), _rings(sheet)])


def map_svg(tracing: Tracing, lines: WaxLines, box: Box, *, scale: float) -> str:
    """The whole cloth with its outlines, for the page map, with few points. scale : of the printed map."""
    earlier, now = (simplified(rings, within_mm=_MAP_WITHIN / scale) for rings in (lines.earlier, lines.now))
    parts = [
        _path([_border(tracing)], "edge", WOOD, 0.25 / scale),
        _path(earlier, "earlier", PALE, 0.15 / scale),
        _path(now, "now", INK, 0.15 / scale, fill=MAP_WAX),
    ]
    return _svg(box, parts)


def whole_svg(tracing: Tracing, lines: WaxLines, box: Box, *, title: str, about: str, check: str) -> str:
    """The whole cloth at true size as a file by itself, with its title, a check line and what it is about."""
    left, top, right, bottom = box
    side = WHOLE_SIDE
    outer = (left - side, top - side, max(right, left + 150.0) + side, bottom + 2 * side)
    down, across = bottom + side, max(left, 0.0)
    ticks = [np.array([[x, down - 2], [x, down + 2]]) for x in (across, across + _CHECK)]
    parts = [
        *_layers(tracing, lines, box),
        _text(across, top - 4, 6.0, title, INK),
        _path([np.array([[across, down], [across + _CHECK, down]])], "check", INK, 0.35),
        _path(ticks, "check-ends", INK, 0.35),
        _text(across, down + 8, 4.2, check, QUIET),
    ]
    head = f"<title>{escape(title)}</title><desc>{escape(about)}</desc>"
    return _MADE + _svg(outer, parts, head=head)


def _layers(tracing: Tracing, lines: WaxLines, box: Box) -> list[str]:
    return [
        _path(cut([_border(tracing)], box), "edge", WOOD, 0.25, dashes="300 80 40 80"),
        _path(cut(lines.earlier, box), "earlier", PALE, 0.3),
        _path(cut(lines.hatch, box), "hatch", AMBER, 0.18),
        _path(cut(lines.now, box), "now", INK, 0.35),
    ]


def _border(tracing: Tracing) -> Floats:
    wide, high = tracing.width_mm, tracing.height_mm
    return np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high], [0.0, 0.0]])


def _seams(sheet: Sheet) -> str:
    (left, top, right, bottom), (x0, y0, x1, y1) = sheet.box, sheet.core
    ends = {
        "left": [[x0, top], [x0, bottom]],
        "right": [[x1, top], [x1, bottom]],
        "top": [[left, y0], [right, y0]],
        "bottom": [[left, y1], [right, y1]],
    }
    return _path([np.array(ends[side]) for side, *_ in sheet.beside], "seam", QUIET, 0.12, dashes="150 150")


def _rings(sheet: Sheet) -> str:
    crosses: list[Floats] = []
    for x, y in sheet.rings:
        crosses += [np.array([[x - _ARM, y], [x + _ARM, y]]), np.array([[x, y - _ARM], [x, y + _ARM]])]
    radius = round(RING * PER_MM)
    rings = "".join(f'<circle cx="{_whole(x)}" cy="{_whole(y)}" r="{radius}"/>' for x, y in sheet.rings)
    ringed = f'<g class="rings" fill="none" stroke="{QUIET}" stroke-width="12">{rings}</g>' if rings else ""
    return _path(crosses, "crosses", QUIET, 0.12) + ringed


def _path(
    lines: Sequence[Floats], name: str, colour: str, thick: float, *, dashes: str = "", fill: str = "none"
) -> str:
    """Lines (points, 2) in mm as one path; "" for none. A line that ends where it began is closed."""
    if not len(lines):
        return ""
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<path class="{name}" fill="{fill}" fill-rule="evenodd" stroke="{colour}" stroke-width="{thick * PER_MM:g}"'
        f' stroke-linejoin="round" stroke-linecap="round"{dashed} d="{"".join(_run(line) for line in lines)}"/>'
    )


def _run(line: Floats) -> str:
    points = np.rint(line * PER_MM).astype(np.int64)
    closed = len(points) > 2 and bool((points[0] == points[-1]).all())
    numbers = (points[:-1] if closed else points).ravel().tolist()
    return f"M{' '.join(map(str, numbers))}{'Z' if closed else ''}"


def _text(x: float, y: float, size: float, text: str, colour: str) -> str:
    return (
        f'<text x="{_whole(x)}" y="{_whole(y)}" font-family="serif" font-size="{_whole(size)}" fill="{colour}">'
        f"{escape(text)}</text>"
    )


def _whole(mm: float) -> int:
    return round(mm * PER_MM)


def _svg(box: Box, parts: Sequence[str], *, head: str = "") -> str:
    """A picture of a box of cloth at true size; head : its title, for a white ground."""
    wide, high = box[2] - box[0], box[3] - box[1]
    left, top, right, bottom = (_whole(side) for side in box)
    view = f"{left} {top} {right - left} {bottom - top}"
    sheet = f'<rect x="{left}" y="{top}" width="100%" height="100%" fill="#ffffff"/>' if head else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}mm" height="{high:.2f}mm" viewBox="{view}">'
        f"{head}{sheet}{''.join(parts)}</svg>\n"
    )
