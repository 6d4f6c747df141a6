"""A new cloth from dropped pictures: the steps that name them, and their masks at one size."""

from collections.abc import Sequence
from typing import Any

from batiksim.document.frames.mask_cache import mask_use
from batiksim.document.request_fields import RequestFields
from batiksim.document.uploads.pictures import MASKS, DroppedPictures, ReadMask, fit_to_cloth, read_dropped
from batiksim.types import Bytes


def steps_of(dropped: DroppedPictures, changes: Sequence[Any]) -> tuple[list[Any], list[tuple[str, Bytes]]]:
    """Changes whose steps name dropped pictures, with masks in their place; and the masks, each by its name.

    The first picture sets the size in pixels, one whose shape is known if there is any. Raises BatikError for a picture
    of another shape, or one that is gone.
    """
    wheres = filter(None, map(_dropped_where, changes))
    pictures = [_read(dropped, where) for where in wheres]
    shapes = [read.mask.shape for _, read in pictures if not read.paper] or [read.mask.shape for _, read in pictures]
    made = [(name, fit_to_cloth(name, read, (shapes[0][0], shapes[0][1]))) for name, read in pictures]
    uses = (mask_use(name, mask, folder=MASKS) for name, mask in made)

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
