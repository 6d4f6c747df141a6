"""Wants of a design as colours and areas of its cloth."""

from dataclasses import dataclass

import numpy as np

from batiksim.dyes.target_colour import wanted_colour
from batiksim.errors import BatikError
from batiksim.ordering.areas import Partition
from batiksim.ordering.course import Course, want_pictures
from batiksim.texts.catalogue import say
from batiksim.types import Bools, Floats
from batiksim.values import Cloth, Want


@dataclass(frozen=True, eq=False, kw_only=True)
class Target:
    """A want on this cloth.

    lab : (3,) CIELAB, D65
    named : the colour name it was asked for by, if any
    part : (areas,), its areas' parts of it, summing to 1
    """

    want: Want
    hex: str
    lab: Floats
    named: str | None
    part: Floats


def targets_of(course: Course, areas: Partition) -> tuple[Target, ...]:
    """The design's wants on the areas of its cloth.

    errors : BatikError for a colour name that isn't known, a spot off the cloth, a picture that marks nothing
    """
    pictures = want_pictures(course.design.wants)
    found = []
    for number, want in enumerate(course.design.wants, start=1):
        field = say("orders.field.want", want=repr(want.name) if want.name else number)
        try:
            colour = wanted_colour(want.colour)
            if want.where is not None:
                part = _area(course, areas, areas.wanted[:, pictures.index(want.where)])
            else:
                part = _spot(course.design.cloth, areas, want.at_mm or (0.0, 0.0))
        except BatikError as error:
            raise error.in_field(field) from None
        found.append(Target(want=want, hex=colour.hex, lab=np.array(colour.lab), named=colour.from_name, part=part))
    return tuple(found)


def _area(course: Course, areas: Partition, inside: Bools) -> Floats:
    """A picture's areas by their size; lines that stay undyed in any order count only where there is nothing else."""
    if not inside.any():
        raise BatikError("orders.error.want_marks_nothing", field="where")
    dyed = inside & areas.opened[:, course.dyeings].any(axis=1)
    part = np.where(dyed if dyed.any() else inside, areas.shares, 0.0)
    return np.asarray(part / part.sum())


def _spot(cloth: Cloth, areas: Partition, at_mm: tuple[float, float]) -> Floats:
    rows, cols = areas.labels.shape
    px_per_mm = cols / cloth.width_mm
    col, row = (int(value * px_per_mm) for value in at_mm)
    if col > cols or row > rows:
        size = {"width": cloth.width_mm, "height": round(rows / px_per_mm)}
        raise BatikError("orders.error.want_off_cloth", field="at", got=list(at_mm), **size)
    near_rows, near_cols = np.nonzero(areas.labels >= 0)
    nearest = int(np.argmin((near_rows - row) ** 2 + (near_cols - col) ** 2))
    part = np.zeros(areas.count)
    part[areas.labels[near_rows[nearest], near_cols[nearest]]] = 1.0
    return part
