"""The overdye chart: bands of dyed cloth across each other, names along the sides, mud marked by a sewn cross."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from PIL import Image, ImageDraw

from batiksim.colour.spaces import hex_to_xyz
from batiksim.dyes.overdye import Overdye, Shade
from batiksim.sheets.colours import GROUND, PAPER, QUIET
from batiksim.sheets.drawing import around, put, shadow, stamp, swatch
from batiksim.sheets.lettering import Lettering
from batiksim.sheets.pages import Label, Page, labels_of
from batiksim.sheets.plates.weave import Plaid, plaid_picture
from batiksim.texts.catalogue import Message, say
from batiksim.values.colour_words import name_message
from batiksim.values.light_words import seen_as

_SIDE = 110
_TITLE = Lettering("serif-bold", 78)
BAND = 0.84  # of the way from one band to the next: how wide it is
_BROWN = "#5d3f2c"  # of the little cloth beside the explanation of the cross
_FULL_NAMES = 190  # from this width of a band on, cells carry their whole name; below, the plain word
_TURNED = 150  # below this pitch names above the columns run upwards


@dataclass(frozen=True, kw_only=True)
class _Sizes:
    """Lengths of one chart in pixels; text sizes too."""

    pitch: int
    body: int
    cell: int
    left: int
    top: int
    head: int

    @property
    def name(self) -> Lettering:
        """Of dyes beside the cloth."""
        return Lettering("sans-medium", self.body)

    @property
    def text(self) -> Lettering:
        return Lettering("sans", self.body)

    @property
    def band(self) -> int:
        return round(self.pitch * BAND)

    @property
    def hem(self) -> int:
        return max(46, round(self.pitch * 0.42))

    @property
    def fringe(self) -> int:
        return max(38, round(self.pitch * 0.2))

    @property
    def corner(self) -> tuple[int, int]:
        """Where the woven part starts (x, y)."""
        return _SIDE + self.left + self.fringe, self.head + self.top + self.fringe


def overdye_page(chart: Overdye) -> Page:
    """The chart as a page, readable from one dye to `plan.overdye.MOST`; 200 dots to the inch."""
    sizes = _sizes(chart)
    plaid = chart_plaid(chart, pitch=sizes.pitch, hem=sizes.hem, fringe=sizes.fringe)
    wide = max(sizes.corner[0] + plaid.cols + plaid.fringe + _SIDE, 1500)
    title = _TITLE.balanced(say(f"charts.overdye.title.{chart.what}", title=chart.title), wide - 2 * _SIDE, lines=2)
    sizes = replace(sizes, head=sizes.head + (len(title) - 1) * _TITLE.high)
    x, y = sizes.corner
    foot = _foot(chart, sizes, wide, y + plaid.rows + plaid.fringe + 2 * sizes.body)
    high = round(foot[-1].place[1]) + _SIDE
    sheet = Image.new("RGB", (wide, high), GROUND)
    shadow(sheet, (x, y, x + plaid.cols, y + plaid.rows), soft=22, strength=0.32)
    cloth = plaid_picture(plaid)
    sheet.paste(cloth, (x - plaid.fringe, y - plaid.fringe), cloth)
    _sew(sheet, chart, sizes)
    side = round(sizes.body * 1.25)
    for piece in (swatch(_BROWN, side, side), cross(round(sizes.body * 0.8))):
        put(sheet, piece, (_SIDE + side / 2, foot[0].place[1] - sizes.body * 0.32))
    labels = [*_head(chart, title, sizes, wide), *_names(chart, sizes), *_cells(chart, sizes), *foot]
    name = str(say("charts.overdye.name", title=chart.title))
    return Page(drawn=sheet, labels=tuple(labels), title=name, subject=str(_reading(chart)))


def chart_plaid(chart: Overdye, *, pitch: int, hem: int, fringe: int) -> Plaid:
    """The chart as cloth."""
    return Plaid(
        bare=chart.bare.hex,
        down=_hexes(chart.firsts),
        across=_hexes(chart.seconds),
        cells=tuple(_hexes(row) for row in chart.cells),
        pitch=pitch,
        band=round(pitch * BAND),
        hem=hem,
        fringe=fringe,
    )


def _hexes(shades: tuple[Shade, ...]) -> tuple[str, ...]:
    return tuple(shade.hex for shade in shades)


def _sizes(chart: Overdye) -> _Sizes:
    count = len(chart.dyes)
    pitch = round(min(340, max(112, 1900 / count)))
    body = round(min(40, max(30, pitch * 0.3)))
    look = Lettering("sans-medium", body)
    longest = min(14 * body, max(round(look.width(name)) for name in chart.dyes))
    if pitch < _TURNED:
        top = longest + body
    else:
        top = max(len(_column_name(name, look, pitch)) for name in chart.dyes) * look.high + round(body * 0.6)
    cell = round(min(27, max(18, pitch * 0.155)))
    left = max(longest, 5 * body) + body
    head = _SIDE + _TITLE.size + 4 * body
    return _Sizes(pitch=pitch, body=body, cell=cell, left=left, top=top + round(1.5 * body), head=head)


def _column_name(name: str, look: Lettering, pitch: int) -> list[str]:
    return look.balanced(name, pitch - look.size * 0.4, lines=3)


def _head(chart: Overdye, title: Sequence[str], sizes: _Sizes, wide: int) -> list[Label]:
    base, quiet = _SIDE + round(_TITLE.size * 0.7), replace(sizes.text, fill=QUIET)
    first = base + (len(title) - 1) * _TITLE.high + 1.7 * sizes.body
    lines = quiet.balanced(_reading(chart), wide - 2 * _SIDE, lines=2)
    return labels_of((_SIDE, base), title, _TITLE) + labels_of((_SIDE, first), lines, quiet)


def _reading(chart: Overdye) -> Message:
    first, second = _strength_words(chart.under, chart.what), _strength_words(chart.strength, chart.what)
    seen = seen_as(chart.light, chart.look)
    if first == second:
        return say("charts.overdye.seen_alike", seen=seen, strength=first)
    return say("charts.overdye.seen", seen=seen, first=first, second=second)


def _strength_words(strength: float, what: str) -> Message:
    """In the maker's words: "at full strength", "at 0.8 of full strength". what : "dye" or "pot"."""
    known = {1.0: "full", 0.5: "half", 0.25: "quarter", 2.0: "double"}
    return say(f"charts.overdye.{what}.{known.get(strength, 'other')}", strength=strength)


def _names(chart: Overdye, sizes: _Sizes) -> list[Label]:
    x, y = sizes.corner
    gap = round(sizes.body * 0.5)
    edge = x - sizes.fringe - gap
    quiet, row = Lettering("italic", sizes.body, QUIET), replace(sizes.name, align="right")
    over = quiet.fitted(say("charts.overdye.second"), edge)
    labels = [
        Label((x, sizes.head + sizes.body), str(say("charts.overdye.first")), quiet),
        Label((edge, y + sizes.hem * 0.62), over, replace(quiet, align="right")),
    ]
    for at, name in enumerate(chart.dyes):
        middle = sizes.hem + at * sizes.pitch + sizes.band / 2
        labels.append(Label((edge, y + middle + sizes.body * 0.32), row.fitted(name, sizes.left), row))
        labels += _column(name, sizes, x + middle, y - sizes.fringe - gap)
    return labels


def _column(name: str, sizes: _Sizes, middle: float, foot: float) -> list[Label]:
    look = sizes.name
    if sizes.pitch < _TURNED:
        text = look.fitted(name, 14 * sizes.body)
        return [Label((middle + sizes.body * 0.32, foot), text, look, turned=True)]
    lines = _column_name(name, look, sizes.pitch)
    first = foot - (len(lines) - 1) * look.high
    return labels_of((middle, first), lines, replace(look, align="middle"))


def _cells(chart: Overdye, sizes: _Sizes) -> list[Label]:
    """The colour's name in the lower left of each cell, dark or light to be read on it."""
    x, y = sizes.corner
    pad = max(6, round(sizes.cell * 0.42))
    room = sizes.band - 2 * pad
    labels: list[Label] = []
    for i, row in enumerate(chart.cells):
        for j, shade in enumerate(row):
            left = x + sizes.hem + i * sizes.pitch + pad
            foot = y + sizes.hem + j * sizes.pitch + sizes.band - pad
            text = str(name_message(shade.name if sizes.band >= _FULL_NAMES else shade.plain))
            look = Lettering("sans-medium", sizes.cell, reading_ink(shade.hex))
            lines = look.wrapped(text if look.width(text) <= room else text.replace("-", "- "), room, lines=3)
            labels += labels_of((left, foot - (len(lines) - 1) * look.high), lines, look)[::-1]
    return labels


@lru_cache(maxsize=4096)
def reading_ink(colour: str) -> str:
    """Ink or paper, whichever is read more easily on a colour (contrast of WCAG 2.2)."""

    def contrast(ink: str) -> float:
        low, high = sorted(float(hex_to_xyz(one)[1]) for one in (ink, colour))
        return (high + 0.05) / (low + 0.05)

    return max(("#000000", "#ffffff"), key=contrast)


@lru_cache(maxsize=8)
def cross(size: int) -> Image.Image:
    """A cross sewn with light thread, dark beneath: seen on every colour, in grey too."""

    def pen(draw: ImageDraw.ImageDraw, k: float) -> None:
        low, high = size * k * 0.16, size * k * 0.84
        for thick, fill in ((0.3, "#12141c"), (0.17, PAPER)):
            width = round(size * k * thick)
            for path in ([(low, high), (high, low)], [(low, low), (high, high)]):
                draw.line(path, fill=fill, width=width)
                for px, py in path:
                    draw.ellipse(around(px, py, width / 2), fill=fill)

    return stamp(size, size, pen)


def _sew(sheet: Image.Image, chart: Overdye, sizes: _Sizes) -> None:
    x, y = sizes.corner
    size = max(24, min(40, round(sizes.pitch * 0.17)))
    inset = size * 0.5 + max(5, sizes.pitch * 0.04)
    for i, row in enumerate(chart.cells):
        for j, shade in enumerate(row):
            if shade.mud:
                right = x + sizes.hem + i * sizes.pitch + sizes.band - inset
                put(sheet, cross(size), (right, y + sizes.hem + j * sizes.pitch + inset))


def _foot(chart: Overdye, sizes: _Sizes, wide: int, top: int) -> list[Label]:
    """What the cross means, how to read the cloth, and what was noticed; the first label goes beside the cross."""
    mud = [say("charts.overdye.mud")]
    if (chart.light, chart.look) != ("D65", "dry"):
        mud.append(say("charts.overdye.mud_by_day"))
    if not chart.muddy:
        mud.append(say("charts.overdye.no_mud"))
    texts: list[str | Message] = [" ".join(map(str, mud)), say(f"charts.overdye.{chart.what}.alone")]
    if chart.same_either_way:
        texts.append(say(f"charts.overdye.{chart.what}.same_either_way"))
    texts += chart.notes
    indent = round(1.8 * sizes.body)
    labels: list[Label] = []
    base = float(top + sizes.body)
    for text in texts:
        lines = sizes.text.wrapped(text, wide - 2 * _SIDE - indent, lines=3)
        labels += labels_of((_SIDE + indent, base), lines, sizes.text)
        base += len(lines) * sizes.text.high + round(sizes.body * 0.2)
    return labels
