"""What a job is asked about: a design on disk, or one in memory with the place of its pictures."""

import os
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from batiksim.cloth import masks as cloth_masks
from batiksim.errors import BatikError, in_file, nearest
from batiksim.files.pictures import images
from batiksim.files.sources import named_files
from batiksim.files.toml import designs
from batiksim.jobs.envelope import Origin
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes, StrPath
from batiksim.values import Design, MaskUse

OF_PICTURE = "jobs.note.of_picture"  # key of what is noted about one of the pictures: its parts are picture and note


@dataclass(frozen=True, kw_only=True, eq=False)
class Source:
    """A design and where its pictures are.

    file : its .toml, None for a design in memory; folder : where its pictures lie, None where all are given
    given : masks in memory by the picture's name, uint8 (rows, cols), 255 = fully marked
    """

    design: Design
    file: Path | None = None
    folder: Path | None = None
    given: Mapping[str, Bytes] = field(default_factory=dict)

    @property
    def origin(self) -> Origin:
        """What results made of it are of."""
        return Origin(title=self.design.title, file=self.file)

    @property
    def own(self) -> list[Path]:
        """The files that it is made of."""
        own = [] if self.file is None else [self.file]
        return own if self.folder is None else [*own, *named_files(self.design, self.folder)]

    @contextmanager
    def placed(self) -> Iterator[None]:
        """Place the BatikErrors of a block at the design's file, or else its folder, where it has one."""
        place = self.file or self.folder
        if place is None:
            yield
        else:
            with in_file(place):
                yield

    def mask(self, use: MaskUse, *, step: int | None = None, wax: bool = False) -> tuple[Bytes, list[Message]]:
        """One mask as the engine takes it, and what was assumed about it. wax : it says where sealing wax goes.

        errors : BatikError for a picture that isn't there or can't be read
        """
        if use.picture in self.given:
            return self.given[use.picture], []
        try:
            if self.folder is None:
                fix = nearest(use.picture, self.given) if self.given else None
                raise BatikError("jobs.error.no_mask_given", got=use.picture, fix=fix)
            return read_mask(self.folder, use, wax=wax)
        except BatikError as error:
            raise (error if step is None else error.in_field(say("error.step", number=step))) from None


def source_of(
    design: StrPath | Design, *, folder: StrPath | None = None, masks: Mapping[str, Any] | None = None
) -> Source:
    """A design with the place of its pictures.

    design : a folder, a .toml file, or a Design; folder : where the pictures of a Design lie
    masks : arrays (rows, cols) by the names of the pictures that they stand for: see `mask_of_array`
    errors : TypeError for arguments of other types; BatikError for the maker's input
    """
    if masks is not None and not isinstance(masks, Mapping):
        raise TypeError(f"masks needs a mapping of names to arrays, not {type(masks).__name__}")
    given = {str(name): cloth_masks.mask_of_array(array, str(name)) for name, array in (masks or {}).items()}
    source = _placed_source(design, folder, given)
    ways: dict[str, MaskUse] = {}
    for _, use in designs.named_pictures(source.design):
        if use.picture in given and ways.setdefault(use.picture, use) != use:
            raise BatikError("jobs.error.read_in_two_ways", field="masks", got=use.picture)
    return source


def _placed_source(design: StrPath | Design, folder: StrPath | None, given: Mapping[str, Bytes]) -> Source:
    if isinstance(design, Design):
        place = None if folder is None else Path(folder)
        if place is not None and not place.is_dir():
            raise BatikError("jobs.error.no_such_folder", field="folder", got=str(place))
        return Source(design=designs.with_dyes_read(design, place), folder=place, given=given)
    if not isinstance(design, str | os.PathLike):
        raise TypeError(f"design needs a path or a Design, not {type(design).__name__}")
    if folder is not None:
        raise TypeError("folder goes with a Design; a path says itself where its pictures lie")
    file = designs.design_file(design)
    return Source(design=designs.read_design(file, given=given), file=file, folder=file.parent, given=given)


def read_mask(folder: Path, use: MaskUse, *, wax: bool = False) -> tuple[Bytes, list[Message]]:
    """A mask from its picture, and what was assumed about it. wax : it says where sealing wax goes."""
    picture = images.read_picture(designs.picture_path(folder, use.picture))
    reading = cloth_masks.to_mask(picture.grey, picture.alpha, marks=use.marks, clean=use.clean)
    notes = [*picture.notes, *([reading.assumed] if reading.assumed else [])]
    notes += cloth_masks.mask_warnings(reading.mask, clean=use.clean, wax=wax)
    return reading.mask, [say(OF_PICTURE, picture=use.picture, note=note) for note in notes]


def codes(given: str | Iterable[str], name: str) -> tuple[str, ...]:
    """Words given as one or as several. Raises TypeError, naming the argument, for anything else."""
    if not isinstance(given, Iterable):
        raise TypeError(f"{name} needs a text or several, not {type(given).__name__}")
    words = (given,) if isinstance(given, str) else tuple(given)
    for word in words:
        if not isinstance(word, str):
            raise TypeError(f"{name} needs texts, not {type(word).__name__}")
    return words
