"""Pictures dropped on the page: checked, read as masks, shown before and after cleaning, brought to size.

For a new cloth they become the masks of its steps, at one size.
"""

import secrets
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

import numpy as np
from PIL import Image

from batiksim import jobs
from batiksim.changes.new_masks import mask_use, plain_stem
from batiksim.changes.request_fields import RequestFields
from batiksim.cloth.masks import to_mask
from batiksim.document.frames.rgba import rgba
from batiksim.errors import BatikError
from batiksim.files.pictures import images
from batiksim.types import Bytes
from batiksim.values import Marks
from batiksim.values.plain_data import plain

MOST_PIXELS = 100_000_000  # of one dropped picture
MOST_KEPT = 12  # dropped pictures in memory; older ones have to be dropped again
SHOWN_PX = 480
LOOK_PX = 600  # width at which a table around the paper is looked for
SAMPLED = 800  # pixels a row at which a picture is judged
PLAIN = 4  # of 255: levels so near count as one
DRAWN_ALIKE = 0.65  # share of neighbours that are equal: 0.8 and more in what was drawn, half in a photo at most
DRAWN_PLAIN = 0.8  # share of pixels at the two levels that are most common: ground and marks
PAPER = (2, 26)  # of 255: a ground that dark is paper, not bare by intent; less is white, more may be meant as a tint
LOOSE = 0.02  # how much a picture's shape may differ from the cloth's before it is refused, as a share
LOOSE_PAPER = 0.15  # the same for a sheet of paper laid straight: seen askew, its shape isn't known so well


@dataclass(frozen=True, kw_only=True, eq=False)
class Dropped:
    """A picture that was dropped, not yet used. key : how the page calls it; name : of the file, as dropped."""

    key: str
    name: str
    picture: images.Picture


class DroppedPictures:
    """The last pictures that were dropped on the page."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, Dropped] = OrderedDict()

    def take(self, file: Path, name: str) -> Dropped:
        """Read a dropped file. Raises BatikError when it isn't a picture that can be used."""
        try:
            picture = images.read_picture(file, most_pixels=MOST_PIXELS)
        except BatikError as error:
            raise BatikError(error.problem, file=name, field=error.field, got=error.got, fix=error.fix) from None
        dropped = Dropped(key=secrets.token_hex(8), name=name, picture=picture)
        self._kept[dropped.key] = dropped
        while len(self._kept) > MOST_KEPT:
            self._kept.popitem(last=False)
        return dropped

    def get(self, key: str) -> Dropped:
        """A dropped picture. Raises BatikError when it is gone."""
        dropped = self._kept.get(key)
        if dropped is None:
            raise BatikError("document.error.dropped_picture_gone", field="picture")
        return dropped


def picture_data(dropped: Dropped) -> dict[str, Any]:
    """What the page says of a dropped picture."""
    rows, cols = dropped.picture.grey.shape
    reading = to_mask(dropped.picture.grey, dropped.picture.alpha)
    clean = _looks_scanned(reading.mask)
    small = _read_small(dropped, clean=clean)
    surround = jobs.has_surround(small)
    return {
        "key": dropped.key,
        "name": plain_stem(dropped.name),
        "rows": rows,
        "cols": cols,
        "marks": reading.marks,
        "assumed": None if reading.assumed is None else str(reading.assumed),
        "notes": plain(dropped.picture.notes),
        "clean": clean,
        "surround": surround,
        "whole_paper": surround and jobs.paper_corners(small) is not None,
    }


def _looks_scanned(mask: Bytes) -> bool:
    """Whether a mask comes from a photo or scan that needs cleaning, and not from a picture drawn on a screen.

    What was drawn has two plain levels, or next to each pixel one just like it, washes too; paper has grain and shade,
    or is not quite white: dye would tint the whole cloth there.
    """
    apart = max(1, mask.shape[1] // SAMPLED)
    sample = mask[::apart, ::apart].astype(np.int16)
    alike = np.mean(np.diff(sample, axis=1) == 0) if sample.shape[1] > 1 else 1.0
    levels = np.bincount(sample.ravel(), minlength=256)
    if PAPER[0] <= levels.argmax() <= PAPER[1]:
        return True
    counts = np.convolve(levels, np.ones(2 * PLAIN + 1), "same")  # pixels about each level
    ground = int(counts.argmax())
    most = counts[ground]
    counts[max(0, ground - 2 * PLAIN) : ground + 2 * PLAIN + 1] = 0
    plain = (most + counts.max()) / sample.size
    return bool(alike < DRAWN_ALIKE and plain < DRAWN_PLAIN)


def _read_small(dropped: Dropped, *, clean: bool) -> Bytes:
    """A dropped picture as a mask, small."""
    grey, alpha = dropped.picture.grey, dropped.picture.alpha
    small = None if alpha is None else images.reduced(alpha, LOOK_PX)
    return to_mask(images.reduced(grey, LOOK_PX), small, clean=clean).mask


@dataclass(frozen=True, kw_only=True, eq=False)
class ReadMask:
    """A dropped picture as a mask, uint8 (rows, cols). paper : it is a sheet of paper alone, laid straight."""

    mask: Bytes
    paper: bool = False


def read_dropped(dropped: Dropped, *, marks: str | None, clean: bool, off_table: bool = False) -> ReadMask:
    """A dropped picture as a mask. off_table : nothing around the paper is marked; a whole sheet is rectified."""
    meant: Marks | None = next((known for known in get_args(Marks) if known == marks), None)
    try:
        mask = to_mask(dropped.picture.grey, dropped.picture.alpha, marks=meant, clean=clean).mask
    except BatikError as error:
        raise error.in_file(dropped.name) from None
    if not off_table:
        return ReadMask(mask=mask)
    straight = jobs.rectify_paper(mask)
    return ReadMask(mask=jobs.mask_outside_paper(mask) if straight is None else straight, paper=straight is not None)


def picture_preview(dropped: Dropped, how: str, marks: str | None, *, off_table: bool = False) -> Bytes:
    """A small picture of it, RGBA: "picture" as dropped, "mask" as read, "clean" as read and cleaned."""
    grey = (
        dropped.picture.grey
        if how == "picture"
        else np.invert(read_dropped(dropped, marks=marks, clean=how == "clean", off_table=off_table).mask)
    )
    small = images.reduced(grey, SHOWN_PX)
    return rgba(np.repeat(small[..., None], 3, axis=2))


def fit_to_cloth(name: str, read: ReadMask, size: tuple[int, int] | None) -> Bytes:
    """A dropped mask brought to the cloth's size in pixels; None = it sets the size. BatikError for another shape."""
    mask = read.mask
    if size is None or mask.shape == size:
        return mask
    rows, cols = size
    if abs((mask.shape[1] / mask.shape[0]) / (cols / rows) - 1) > (LOOSE_PAPER if read.paper else LOOSE):
        raise BatikError(
            "document.error.other_shape",
            file=name,
            cols=mask.shape[1],
            rows=mask.shape[0],
            cloth_cols=cols,
            cloth_rows=rows,
        )
    how = Image.Resampling.BOX if mask.shape[1] > cols else Image.Resampling.BICUBIC
    return np.asarray(Image.fromarray(mask).resize((cols, rows), how))


def steps_of(dropped: DroppedPictures, changes: Sequence[Any]) -> tuple[list[Any], list[tuple[str, Bytes]]]:
    """Changes whose steps name dropped pictures, with masks in their place; and the masks, each by its name.

    The first picture sets the size in pixels, one whose shape is known if there is any. Raises BatikError for a picture
    of another shape, or one that is gone.
    """
    wheres = filter(None, map(_dropped_where, changes))
    pictures = [_read(dropped, where) for where in wheres]
    shapes = [read.mask.shape for _, read in pictures if not read.paper] or [read.mask.shape for _, read in pictures]
    made = [(name, fit_to_cloth(name, read, (shapes[0][0], shapes[0][1]))) for name, read in pictures]
    uses = (mask_use(name, mask) for name, mask in made)

    def with_mask(change: Any) -> Any:
        if _dropped_where(change) is None:
            return change
        use = next(uses)
        return change | {"step": change["step"] | {"where": {"picture": use.picture, "marks": use.marks}}}

    return list(map(with_mask, changes)), made


def _dropped_where(change: Any) -> dict[str, Any] | None:
    """What a change says of the dropped picture of its step; None where it has none."""
    step = change.get("step") if isinstance(change, dict) else None
    where = step.get("where") if isinstance(step, dict) else None
    return where if isinstance(where, dict) and "dropped" in where else None


def _read(dropped: DroppedPictures, where: dict[str, Any]) -> tuple[str, ReadMask]:
    """A dropped picture by its name, and as it is meant to be read."""
    fields = RequestFields(where).nested("dropped")
    picture = dropped.get(fields.text("key"))
    marks = fields.text("marks") if "marks" in fields else None
    return picture.name, read_dropped(
        picture, marks=marks, clean=fields.flag("clean"), off_table=fields.flag("off_table")
    )
