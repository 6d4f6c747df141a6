"""A cloth growing step by step, as a small picture that moves and begins again: for a screen or a message.

The cloth hangs on the line; each step comes over it as a brush would, its words and mark below. One palette serves all
frames, so that what stands still doesn't flicker.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from PIL import ExifTags, Image, ImageDraw

from batiksim.errors import BatikError
from batiksim.sheets.colours import GROUND, INK, QUIET, mixed
from batiksim.sheets.drawing import cloth_picture, hang, picture_bytes, put, sagging, stamp, step_mark, string_line
from batiksim.sheets.lettering import Lettering
from batiksim.sheets.plates.stages import StagePicture, StagesSheet
from batiksim.texts.catalogue import say
from batiksim.types import Bytes
from batiksim.values import MADE_BY

ENDINGS = (".gif", ".webp")
WIDTHS = (240, 1600)
BRUSH = 9  # frames in which a step comes over the cloth
BRUSH_MS, HOLD_MS, BARE_MS, FINISHED_MS = 70, 1500, 1100, 3200
SOFT = 0.22  # how wide the brush's edge is, share of the cloth
_MOST_HIGH = 1.15  # of the width: a taller cloth is drawn narrower


@dataclass(frozen=True, kw_only=True)
class _Stand:
    """Where everything stands in a frame, in pixels."""

    wide: int
    high: int
    cloth: tuple[int, int]
    corner: tuple[int, int]

    @property
    def unit(self) -> float:
        """A hundredth of the width."""
        return self.wide / 100


def animation(sheet: StagesSheet, *, width_px: int, ending: str) -> bytes:
    """All plates of a design, one growing out of the other, as an animated picture that loops.

    width_px : of the frames, 240 to 1600; ending : one of `ENDINGS`
    errors : BatikError for another width
    """
    if not WIDTHS[0] <= width_px <= WIDTHS[1]:
        least, most = WIDTHS
        raise BatikError("plates.error.width", field="width_px", got=width_px, least=least, most=most)
    stages = [*sheet.stages, *([sheet.finished] if sheet.finished else [])]
    stand = _stand(stages[0].aspect, width_px)
    frames, times = zip(*_frames(stages, stand), strict=True)
    if ending == ".gif":
        palette = _palette(frames)
        frames = tuple(frame.quantize(palette=palette, dither=Image.Dither.NONE) for frame in frames)
        settings: dict[str, Any] = {"disposal": 1, "optimize": False, "comment": MADE_BY}
    else:
        told = Image.Exif()
        told[ExifTags.Base.ImageDescription] = MADE_BY
        settings = {"quality": 84, "method": 4, "exif": told}
    first, *rest = frames
    settings |= {"save_all": True, "append_images": rest, "duration": list(times), "loop": 0}
    return picture_bytes(first, ending[1:].upper(), **settings)


def _stand(aspect: float, wide: int) -> _Stand:
    room = round(wide * 0.88)
    high = min(round(room / aspect), round(wide * _MOST_HIGH))
    cloth = (max(8, min(room, round(high * aspect))), max(8, high))
    top = round(wide * 0.075)
    corner = ((wide - cloth[0]) // 2, top)
    return _Stand(wide=wide, high=(top + cloth[1] + round(wide * 0.155) + 1) // 2 * 2, cloth=cloth, corner=corner)


def _frames(stages: Sequence[StagePicture], stand: _Stand) -> Iterator[tuple[Image.Image, int]]:
    """Each frame and how long it stays, ms."""
    pictures = [np.asarray(cloth_picture(stage.picture, *stand.cloth)) for stage in stages]
    for place, stage in enumerate(stages):
        empty = _empty(stages, place, stand)
        if place:
            for number in range(1, BRUSH):
                swept = _swept(pictures[place - 1], pictures[place], number / BRUSH, upward=stage.kind == "remove_wax")
                yield _hung(empty, swept, stand), BRUSH_MS
        hold = BARE_MS if place == 0 else FINISHED_MS if place == len(stages) - 1 else HOLD_MS
        yield _hung(empty, pictures[place], stand), hold


def _swept(before: Bytes, after: Bytes, share: float, *, upward: bool) -> Bytes:
    """One picture coming over another, from the left with a brush's slanting, uneven edge, or rising as steam does."""
    rows, cols = before.shape[:2]
    y, x = np.mgrid[0:rows, 0:cols].astype(np.float32)
    x, y = x / cols, y / rows
    uneven = 0.03 * np.sin(23 * y + 1.3) + 0.018 * np.sin(61 * y + 4 * x)
    way = 1 - y + 0.05 * np.sin(9 * x) if upward else (x + 0.18 * y) / 1.18 + uneven
    eased = share * share * (3 - 2 * share)
    cover = np.clip((eased * (1 + 2 * SOFT) - SOFT - way) / SOFT + 0.5, 0, 1)[..., None]
    mixture = before + (after.astype(np.float32) - before) * cover
    return np.asarray(np.rint(mixture), dtype=np.uint8)


def _hung(empty: Image.Image, cloth: Bytes, stand: _Stand) -> Image.Image:
    frame = empty.copy()
    hang(frame, Image.fromarray(cloth), stand.corner, peg_size=round(6 * stand.unit))
    return frame


def _empty(stages: Sequence[StagePicture], place: int, stand: _Stand) -> Image.Image:
    """A frame without its cloth: the line, the words of a stage, and how far the work has come."""
    frame = Image.new("RGB", (stand.wide, stand.high), GROUND)
    (left, top), (wide, _) = stand.corner, stand.cloth
    points = [(0.0, top - 1.2 * stand.unit), (float(left), float(top)), (float(left + wide), float(top))]
    line = sagging([*points, (float(stand.wide), top - 1.2 * stand.unit)], sag=stand.unit)
    string_line(frame, line, thick=max(1.0, 0.3 * stand.unit))
    _caption(frame, stages, place, stand)
    _beads(frame, stages, place, stand)
    return frame


def _caption(frame: Image.Image, stages: Sequence[StagePicture], place: int, stand: _Stand) -> None:
    draw, stage, unit = ImageDraw.Draw(frame), stages[place], stand.unit
    left, base = stand.corner[0], stand.corner[1] + stand.cloth[1] + 6.6 * unit
    x = float(left)
    for colour in stage.mark_colours:
        size = round(4.6 * unit)
        put(frame, step_mark(stage.kind, size, colour), (x + size / 2, base - 1.3 * unit))
        x += size + 0.7 * unit
    x += unit if x > left else 0
    number = 0 if stage.kind == "bare" or place == len(stages) - 1 else place
    title = say("plates.numbered", number=number, title=stage.title) if number else stage.title
    room = left + stand.cloth[0] - x
    Lettering("serif-bold", round(4.4 * unit)).write(draw, (x, base), title, room)
    detail, beads = Lettering("sans", round(2.9 * unit), QUIET), 3.0 * unit * len(stages)
    detail.write(draw, (left, base + 5.2 * unit), stage.detail, stand.cloth[0] - beads)


def _beads(frame: Image.Image, stages: Sequence[StagePicture], place: int, stand: _Stand) -> None:
    """A bead for each plate at the lower right, the present one larger, those to come pale."""
    unit = stand.unit
    y = stand.corner[1] + stand.cloth[1] + 10.8 * unit
    right = stand.corner[0] + stand.cloth[0] - unit
    for number in range(len(stages)):
        size = max(3, round((2.1 if number == place else 1.3) * unit))
        fill = INK if number == place else mixed(INK, GROUND, 0.45 if number < place else 0.8)
        put(frame, _bead(size, fill), (right - (len(stages) - 1 - number) * 2.6 * unit, y))


@lru_cache(maxsize=32)
def _bead(size: int, fill: str) -> Image.Image:
    return stamp(size, size, lambda draw, k: draw.ellipse((0, 0, size * k - 1, size * k - 1), fill=fill))


def _palette(frames: Sequence[Image.Image]) -> Image.Image:
    """256 colours for all frames, from every third of them."""
    some = [*frames[::3], frames[-1]]
    wide, high = some[0].width // 2, some[0].height // 2
    montage = Image.new("RGB", (wide, high * len(some)))
    for number, frame in enumerate(some):
        montage.paste(frame.resize((wide, high), Image.Resampling.NEAREST), (0, number * high))
    return montage.quantize(256, method=Image.Quantize.MEDIANCUT, kmeans=2, dither=Image.Dither.NONE)
