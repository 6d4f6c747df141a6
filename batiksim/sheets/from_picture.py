"""A picture and the cloth planned from it, pegged side by side; each dyeing; what comes of each colour."""

from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageColor, ImageDraw

from batiksim.picture_plan.plan import PicturePlan
from batiksim.picture_plan.report import PictureReport, RegionReport
from batiksim.sheets.colours import AMBER, GROUND, MADDER, PAPER, QUIET, mixed
from batiksim.sheets.drawing import cloth_picture, cloth_size, hang_row, put, step_mark, swatch
from batiksim.sheets.lettering import Lettering, Lines, lines_high
from batiksim.texts.catalogue import Message, say, texts
from batiksim.texts.phrases import percent
from batiksim.types import Bytes, Floats
from batiksim.values.colour_words import name_message

WIDE, _SIDE, _BETWEEN = 2400, 120, 70
_INNER = WIDE - 2 * _SIDE
_HEAD, _SUMMARY, _NOTE = Lettering("serif-bold", 80), Lettering("italic", 37, QUIET), Lettering("italic", 34, QUIET)
_CLOTH, _POT, _KEY = Lettering("serif-bold", 36), Lettering("sans", 29), Lettering("italic", 29, QUIET)
_NAME, _WORDS, _IMPOSSIBLE = Lettering("serif-bold", 34), Lettering("sans", 29), Lettering("italic", 29, MADDER)
_PIECE = (118, 84)
_MAP_PX = 700
_OLD_WAX = mixed(AMBER, PAPER, 0.78)
_Placed = tuple[RegionReport, tuple[int, int], Lines]  # a colour of the picture, its corner (x, y) and words


def dyeing_maps(plan: PicturePlan, colours: Sequence[Sequence[str]]) -> list[Bytes]:
    """What is done at each dyeing, uint8 (rows, cols, 3): new wax in amber, older wax pale, open cloth in its pot.

    colours : "#rrggbb" of each pot, by dyeing
    """
    by = max(1, plan.wax.shape[2] // _MAP_PX)
    closed = np.zeros(plan.wax[0, ::by, ::by].shape, np.float64)
    maps = []
    for at, wax in enumerate(plan.wax):
        new = wax[::by, ::by] / 255.0
        shares = [paint[::by, ::by, None] / 255.0 for paint in plan.paint[at]] or [np.ones((*closed.shape, 1))]
        dyed = sum(share * _rgb(colour) for share, colour in zip(shares, colours[at], strict=True))
        waxed = np.where((new > closed)[..., None], _rgb(AMBER), _rgb(_OLD_WAX))
        closed = np.maximum(closed, new)
        maps.append(np.asarray(np.rint(waxed * closed[..., None] + dyed * (1 - closed[..., None])), np.uint8))
    return maps


def _rgb(colour: str) -> Floats:
    return np.array(ImageColor.getrgb(colour)[:3], np.float64)


def from_picture_sheet(
    plan: PicturePlan,
    report: PictureReport,
    *,
    title: str,
    names: Sequence[Sequence[str]],
    colours: Sequence[Sequence[str]],
    picture: Bytes,
    cloth: Bytes,
) -> Bytes:
    """Draw the sheet.

    names, colours : of the pots, and "#rrggbb" of each alone on the cloth, by dyeing
    picture, cloth : the picture to dye and the planned cloth, uint8 (rows, cols, 3)
    returns : uint8 (rows, 2400, 3)
    """
    head = _HEAD.balanced(say("sheets.from_picture.title", title=title), _INNER, lines=2)
    across = max(3, len(plan.dyeings))
    large = cloth_size(picture, (_INNER - _BETWEEN) / 2, 1150)
    small = cloth_size(picture, (_INNER - (across - 1) * _BETWEEN) / across, 620)
    line_y = 130 + len(head) * _HEAD.high + _NOTE.high + 40
    steps_y = line_y + large[1] + 200
    names_high = max(map(len, names)) * 52
    regions_y = steps_y + small[1] + 90 + names_high + 90
    columns, foot = _columns(report.regions, regions_y + 50)
    notes = _NOTE.all_wrapped(report.notes, _INNER)
    page = Image.new("RGB", (WIDE, foot + 40 + len(notes) * _NOTE.high + 70), GROUND)
    draw = ImageDraw.Draw(page)
    _HEAD.write_lines(draw, (_SIDE, 140), head)
    _SUMMARY.write(draw, (_SIDE, line_y - 74), _summary(plan, report), _INNER)
    titles = [say("sheets.from_picture.picture"), say("sheets.from_picture.cloth")]
    _hang_row(page, [picture, cloth], large, line_y, titles)
    works = ["wax_then_dye" if waxed else "dye" for waxed in plan.waxed]
    titles = [say(f"sheets.from_picture.{work}", number=at) for at, work in enumerate(works, start=1)]
    _hang_row(page, dyeing_maps(plan, colours), small, steps_y, titles)
    _write_pots(page, names, colours, small, steps_y + small[1] + 100)
    _KEY.write(draw, (_SIDE, regions_y), say("sheets.from_picture.key"), _INNER)
    for region, corner, lines in columns:
        _write_region(page, region, corner, lines)
    _NOTE.write_lines(draw, (_SIDE, foot + 40), notes)
    return np.asarray(page)


def _summary(plan: PicturePlan, report: PictureReport) -> Message:
    return say(
        "sheets.from_picture.summary",
        dyeings=say("sheets.from_picture.dyeings", count=len(plan.dyeings)),
        pots=say("sheets.from_picture.pots", count=sum(map(len, plan.dyeings))),
        line=plan.options.line_mm,
        wide=plan.options.width_mm,
        miss=report.miss,
    )


def _lefts(count: int, wide: int) -> list[int]:
    """Left edges of pictures hung in a row, in the middle of the sheet."""
    slot = (_INNER + _BETWEEN) / count
    pitch = min(slot, wide + 3 * _BETWEEN)
    start = (WIDE - (pitch * (count - 1) + wide)) / 2
    return [round(start + place * pitch) for place in range(count)]


def _hang_row(
    page: Image.Image, pictures: Sequence[Bytes], size: tuple[int, int], y: int, titles: Sequence[Message]
) -> None:
    wide, high = size
    lefts = _lefts(len(pictures), wide)
    hang_row(page, [cloth_picture(picture, wide, high) for picture in pictures], lefts, y)
    for left, title in zip(lefts, titles, strict=True):
        _CLOTH.write(ImageDraw.Draw(page), (left, y + high + 66), title, wide + _BETWEEN - 20)


def _write_pots(
    page: Image.Image, names: Sequence[Sequence[str]], colours: Sequence[Sequence[str]], size: tuple[int, int], y: int
) -> None:
    """The pots under each map: a round of their colour, and their name."""
    draw = ImageDraw.Draw(page)
    for left, named, shown in zip(_lefts(len(names), size[0]), names, colours, strict=True):
        for place, (name, colour) in enumerate(zip(named, shown, strict=True)):
            base = y + 18 + place * 52
            put(page, step_mark("dye", 40, colour), (left + 20, base))
            _POT.write(draw, (left + 52, base + 10), name, size[0] + _BETWEEN - 60)


def _columns(regions: Sequence[RegionReport], top: int) -> tuple[list[_Placed], int]:
    """Colours in two columns, each put into the shorter one, and where both end."""
    step = (_INNER + _BETWEEN) // 2
    room = step - _BETWEEN - 2 * _PIECE[0] - 26
    ends = [top, top]
    columns: list[_Placed] = []
    for region in regions:
        share = percent(region.share, whole=True)
        name = say("sheets.from_picture.colour", name=name_message(region.name), share=share)
        lines = [(_NAME.fitted(name, room - 90), _NAME)]
        lines += [(line, _WORDS) for line in _WORDS.wrapped(region.words, room, lines=3)]
        impossible = " ".join(map(str, region.impossible))
        lines += [(line, _IMPOSSIBLE) for line in _IMPOSSIBLE.wrapped(impossible, room, lines=6)]
        side = 0 if ends[0] <= ends[1] else 1
        columns.append((region, (_SIDE + side * step, ends[side]), lines))
        ends[side] += max(_PIECE[1] + 20, lines_high(lines)) + 34
    return columns, max(ends)


def _write_region(page: Image.Image, region: RegionReport, corner: tuple[int, int], lines: Lines) -> None:
    (wide, high), (x, y), draw = _PIECE, corner, ImageDraw.Draw(page)
    for place, colour in enumerate((region.target, region.reachable)):
        put(page, swatch(colour, wide + 4, high), (x + wide / 2 + place * (wide - 2), y + high / 2))
    left, base = x + 2 * wide + 26, float(y + 30)
    difference = texts().number(region.difference, "0.0")
    _NOTE.write(draw, (left + _NAME.width(lines[0][0]) + 20, base), difference)
    for text, look in lines:
        look.write(draw, (left, base), text)
        base += look.high
