"""The planned cloth, the dyed one and where they differ, pegged side by side; each region's difference in words."""

from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageColor, ImageDraw

from batiksim.photo.compare import AS_PLANNED, Difference
from batiksim.sheets.colours import AMBER, GROUND, INK, MADDER, PAPER, QUIET, mixed
from batiksim.sheets.drawing import cloth_picture, disc, hang_row, put, swatch
from batiksim.sheets.lettering import Lettering
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes, Floats
from batiksim.values.colour_words import history_words

MOST_REGIONS = 16
_WIDE, _SIDE, _BETWEEN = 2400, 110, 70
_INNER = _WIDE - 2 * _SIDE
_HEAD, _SUMMARY, _NOTE = Lettering("serif-bold", 72), Lettering("italic", 36, QUIET), Lettering("sans", 30, QUIET)
_CLOTH, _STEP = Lettering("serif-bold", 40), Lettering("sans", 27, QUIET)
_OVER, _NUMBER = Lettering("italic", 30, QUIET, align="middle"), Lettering("sans-bold", 27, align="middle")
_HISTORY, _FAR, _NEAR = Lettering("serif-bold", 36), Lettering("sans", 36), Lettering("sans", 36, QUIET)
_BALL = 22
_PIECE = (150, 84)
# CIEDE2000 from which each colour applies, and what it means. Lighter to darker, so that a grey print shows them too.
BANDS: tuple[tuple[float, str, Message], ...] = (
    (0.0, PAPER, say("sheets.comparison.as_planned")),
    (2.0, mixed(PAPER, AMBER, 0.42), say("sheets.comparison.slightly_off", miss=2)),
    (4.0, AMBER, say("sheets.comparison.off", miss=4)),
    (8.0, MADDER, say("sheets.comparison.far_off", miss=8)),
)
_OUTSIDE = mixed(GROUND, INK, 0.25)


def difference_map(planned: Bytes, misses: Floats) -> Bytes:
    """Differences in steps over a faint print of the plan: uint8 (rows, cols, 3).

    planned : uint8 (rows, cols, 3); misses : CIEDE2000 (rows, cols), nan = not in the photo
    """
    colours = np.array([ImageColor.getrgb(colour)[:3] for _, colour, _ in BANDS], dtype=np.float64)
    step = np.digitize(np.nan_to_num(misses), [least for least, _, _ in BANDS[1:]])
    grey = planned @ np.array([0.299, 0.587, 0.114])  # ITU-R BT.601 luma
    faint = 0.86 + 0.14 * grey / 255.0
    drawn = colours[step] * faint[..., None]
    drawn[np.isnan(misses)] = ImageColor.getrgb(_OUTSIDE)[:3]
    return np.asarray(np.rint(np.clip(drawn, 0, 255)), np.uint8)


def comparison_sheet(
    title: str | Message,
    summary: str | Message,
    pictures: tuple[Bytes, Bytes, Bytes],
    regions: Sequence[Difference],
    notes: Sequence[str | Message] = (),
) -> Bytes:
    """Draw the sheet.

    pictures : planned, dyed, and the difference map; uint8 (rows, cols, 3) each
    regions : the most important first; of many, only the first are shown; notes : small print below
    returns : uint8 (rows, 2400, 3)
    """
    regions = regions[:MOST_REGIONS]
    wide = (_INNER - 2 * _BETWEEN) // 3
    high = round(wide * pictures[0].shape[0] / pictures[0].shape[1])
    head = _HEAD.balanced(title, _INNER, lines=2)
    line_y = _SIDE + len(head) * _HEAD.high + _SUMMARY.high + 74
    below = line_y + high + 160
    half, pitch, column = (len(regions) + 1) // 2, _PIECE[1] + 46, (_INNER + _BETWEEN) // 2
    foot = below + 60 + half * pitch
    small = _NOTE.all_wrapped(notes, _INNER)
    page = Image.new("RGB", (_WIDE, foot + len(small) * _NOTE.high + _SIDE), GROUND)
    draw = ImageDraw.Draw(page)
    below_head = _HEAD.write_lines(draw, (_SIDE, _SIDE + 50), head)
    _SUMMARY.write(draw, (_SIDE, below_head - 12), summary, _INNER)
    _hang_all(page, pictures, regions, (wide, high), line_y)
    for at, region in enumerate(regions):  # in two columns read downwards
        x, row = _SIDE + (at // half) * column, at % half
        if row == 0:
            _write_heads(draw, x, below + 24)
        _write_region(page, region, x, below + 40 + row * pitch)
    _NOTE.write_lines(draw, (_SIDE, foot + 30), small)
    return np.asarray(page)


def _hang_all(
    page: Image.Image,
    pictures: tuple[Bytes, Bytes, Bytes],
    regions: Sequence[Difference],
    size: tuple[int, int],
    line_y: int,
) -> None:
    wide, high = size
    lefts = [_SIDE + place * (wide + _BETWEEN) for place in range(3)]
    cloths = [cloth_picture(picture, wide, high) for picture in pictures]
    for cloth in (cloths[0], cloths[2]):
        for region in regions:
            x = min(max(region.place[0] * cloth.width, _BALL + 4.0), cloth.width - _BALL - 4.0)
            y = min(max(region.place[1] * cloth.height, _BALL + 4.0), cloth.height - _BALL - 4.0)
            _ball(cloth, (x, y), region.number)
    hang_row(page, cloths, lefts, line_y)
    for left, name in zip(lefts, ("planned", "dyed", "difference"), strict=True):
        _CLOTH.write(ImageDraw.Draw(page), (left, line_y + high + 64), say(f"sheets.comparison.title.{name}"), wide)
    _legend(page, lefts[2], line_y + high + 64, wide)


def _legend(page: Image.Image, left: int, base: int, wide: int) -> None:
    """The steps of the difference map, beneath its title."""
    draw, x, y = ImageDraw.Draw(page), float(left), base + 52
    for _, colour, name in BANDS:
        words = str(name)
        draw.rectangle((x, y - 24, x + 30, y + 6), fill=colour, outline=mixed(INK, GROUND, 0.45))
        _STEP.write(draw, (x + 40, y), words)
        x += 40 + _STEP.width(words) + 22


def _ball(page: Image.Image, place: tuple[float, float], number: int) -> None:
    put(page, disc(2 * _BALL + 6, (_BALL + 2, INK), (_BALL, PAPER)), place)
    _NUMBER.write(ImageDraw.Draw(page), (place[0], place[1] + 27 * 0.33), str(number))


def _write_heads(draw: ImageDraw.ImageDraw, x: int, base: int) -> None:
    """What the two pieces of cloth of each region are."""
    left = x + 2 * _BALL + 26
    for place, name in enumerate(("planned", "dyed")):
        middle = left + _PIECE[0] / 2 + place * (_PIECE[0] - 6)
        _OVER.write(draw, (middle, base), say(f"sheets.comparison.head.{name}"), _PIECE[0])


def _write_region(page: Image.Image, region: Difference, x: int, y: int) -> None:
    wide, high = _PIECE
    draw = ImageDraw.Draw(page)
    _ball(page, (x + _BALL + 2, y + high / 2), region.number)
    left = x + 2 * _BALL + 26
    for place, colour in enumerate((region.planned, region.dyed)):
        put(page, swatch(colour, wide, high), (left + wide / 2 + place * (wide - 6), y + high / 2))
    text = left + 2 * wide + 26
    room = (_INNER - _BETWEEN) // 2 - (text - x)
    _HISTORY.write(draw, (text, y + 32), history_words(region.history), room)
    words = region.words if region.miss < AS_PLANNED else region.turned
    difference = say("sheets.comparison.difference", words=words, miss=region.miss)
    told = _FAR if region.miss >= BANDS[1][0] else _NEAR
    told.write_lines(draw, (text, y + 76), told.wrapped(difference, room, lines=2))
