"""A design and its mask pictures, read."""

from collections.abc import Callable, Collection, Container, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from threading import Lock
from typing import Any, BinaryIO

import numpy as np

from batiksim import checks
from batiksim.cloth import render
from batiksim.cloth.compile_notice import on_compiling as on_compiling
from batiksim.cloth.dyes_on_cloth import ClothDyes, dyes_on_cloth
from batiksim.cloth.effects.effective_masks import effective_planes
from batiksim.cloth.masks import AS_USUAL as AS_USUAL
from batiksim.cloth.outcome import Outcome, outcome_of
from batiksim.cloth.program import all_plates, compile_design, design_masks
from batiksim.dyes.other_cloth import assumed_cloth_note
from batiksim.errors import BatikError
from batiksim.files import desktop_file
from batiksim.files.outputs import output_file
from batiksim.files.pictures import images
from batiksim.files.sources import keep_apart
from batiksim.files.starter import new_design as new_design
from batiksim.files.toml import designs
from batiksim.jobs.envelope import Origin
from batiksim.jobs.results import Written
from batiksim.jobs.sources import OF_PICTURE as OF_PICTURE
from batiksim.jobs.sources import Source, source_of
from batiksim.jobs.sources import read_mask as read_mask
from batiksim.texts.catalogue import Message, say
from batiksim.texts.progress import Progress, silent
from batiksim.types import Bytes, StrPath
from batiksim.values import Cloth, Design, MaskUse, Wax
from batiksim.values.rules import Number

WIDTH_PX = Number(low=16, high=30_000, whole=True, example=800, unit="px", help="Width that masks are reduced to.")


@dataclass(frozen=True, kw_only=True)
class Started(Written):
    """The starter design as it was written: its folder and files."""

    folder: Path
    files: tuple[str, ...]


def start(folder: StrPath) -> Started:
    """Write the starter design into a folder. Errors as of `new_design`."""
    files = new_design(folder)
    file = designs.design_file(folder)
    return Started(of=Origin(title=designs.read_design(file).title, file=file), folder=Path(folder), files=files)


def output_ending(out: StrPath, endings: Collection[str]) -> str:
    """How the name of a file to write ends, in small letters. Raises BatikError for none of these endings."""
    ending = Path(out).suffix.lower()
    if ending not in endings:
        fix = say("jobs.error.ending.fix", count=len(endings), endings=", ".join(endings))
        raise BatikError("jobs.error.ending", field="out", got=Path(out).name, fix=fix)
    return ending


def write_as(out: StrPath, makers: Mapping[str, Callable[[BinaryIO], object]], *, own: Iterable[Path]) -> None:
    """Write a file as its ending says: `makers` are by ending. Never over one of the maker's `own`.

    errors : BatikError for other endings, for a file of `own`, or when it can't be written
    """
    make = makers[output_ending(out, makers)]
    keep_apart(out, own)
    with output_file(out) as file:
        make(file)


@dataclass(frozen=True, kw_only=True, eq=False)
class Project:
    """A design with its mask pictures read.

    masks : uint8 (masks, rows, cols), 255 = fully marked, as drawn, in the order of `design_masks`
    planes : uint8 (planes, rows, cols), what wax and dye make of them, as the engine takes it: see `effective_planes`
    assumed : what was worked out because the design didn't say
    """

    source: Source
    masks: Bytes
    planes: Bytes
    dyes: ClothDyes
    assumed: tuple[Message, ...]

    @property
    def design(self) -> Design:
        """The design; another one needs another project."""
        return self.source.design

    @property
    def origin(self) -> Origin:
        """What results made of it are of."""
        return self.source.origin

    @cached_property
    def outcome(self) -> Outcome:
        """What the design makes of the cloth: histories, regions, what fibre holds after each step."""
        return outcome_of(self.design, self.dyes, self.planes)


def open_design(
    design: StrPath | Design,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    width_px: int | None = None,
    out: StrPath | None = None,
    progress: Progress = silent,
) -> Project:
    """Read a design (its folder, its .toml file, or a Design with the place of its pictures) and all its masks.

    folder, masks : as of `source_of`; width_px : reduce the masks to this width, for a quick look
    out : the file that will be made of it: refused, before pictures are read, where it is one of the design's own
    errors : BatikError for anything wrong with the design or its pictures
    """
    return open_source(source_of(design, folder=folder, masks=masks), width_px=width_px, out=out, progress=progress)


def open_source(
    source: Source, *, width_px: int | None = None, out: StrPath | None = None, progress: Progress = silent
) -> Project:
    """Read the masks of a design whose place is known. Arguments and errors as of `open_design`."""
    design = source.design
    if width_px is not None:
        width_px = WIDTH_PX.check(width_px, "width_px")
    if out is not None:
        keep_apart(out, source.own)
    numbers = {use: number for number, use in reversed(list(design.mask_uses()))}
    uses = {use: numbers[use] for use in design_masks(design)}
    sealed = {step.mask for step in design.steps if isinstance(step, Wax) and step.grey == "cover"}
    with source.placed():
        checks.known_codes(design.skip_checks, field="checks: skip")
    stack, notes = read_masks(source, uses, sealed=sealed, width_px=width_px, progress=progress)
    with source.placed():
        dyes = dyes_on_cloth(design)
    taken = assumed_cloth_note(design.cloth, dyes)
    planes = effective_planes(design, stack.masks, height_mm=stack.height_mm(design.cloth), progress=progress)
    assumed = (*([] if taken is None else [taken]), *notes)
    return Project(source=source, masks=stack.masks, planes=planes, dyes=dyes, assumed=assumed)


class MaskStack:
    """Masks of one pixel size, each put into its place as soon as it is read, so that none is in memory twice."""

    def __init__(self, uses: Sequence[MaskUse], width_px: int | None) -> None:
        self._uses = uses
        self._width_px = width_px
        self._lock = Lock()
        self._sizes: dict[int, tuple[int, ...]] = {}
        cols = width_px or 1200  # a design without any mask shows a small cloth of 4:3
        self.masks: Bytes = np.zeros((0, max(1, cols * 3 // 4), cols), np.uint8)

    def put(self, place: int, mask: Bytes) -> None:
        """Keep one mask, reduced if asked, unless its size is not that of the first to come."""
        with self._lock:
            self._sizes[place] = mask.shape
            if mask.shape != next(iter(self._sizes.values())):
                return
        if self._width_px is not None:
            mask = images.reduced(mask, self._width_px)
        with self._lock:
            if not len(self.masks):
                self.masks = np.empty((len(self._uses), *mask.shape), np.uint8)
        self.masks[place] = mask

    def height_mm(self, cloth: Cloth) -> float:
        """The cloth's height, by the pictures as they are on disk."""
        rows, cols = self._sizes.get(0, self.masks.shape[1:])
        return cloth.width_mm * rows / cols

    def check(self) -> None:
        """BatikError for the first mask whose size is not that of the design's first."""
        for place, use in enumerate(self._uses):
            if self._sizes[place] != self._sizes[0]:
                (high, wide), (first_high, first_wide) = self._sizes[place], self._sizes[0]
                raise BatikError(
                    "jobs.error.mask_size",
                    field=say("jobs.mask", picture=use.picture),
                    first=self._uses[0].picture,
                    size=say("jobs.pixels", wide=wide, high=high),
                    first_size=say("jobs.pixels", wide=first_wide, high=first_high),
                )


def read_masks(
    source: Source,
    uses: Mapping[MaskUse, int],
    *,
    sealed: Container[MaskUse] = (),
    width_px: int | None = None,
    threads: int | None = None,
    progress: Progress = silent,
) -> tuple[MaskStack, tuple[Message, ...]]:
    """Masks of a design, in the order of `uses`, and what was assumed about them.

    uses : each with its step's number; sealed : those that say where sealing wax goes
    width_px : reduce them to this width; threads : to read with, as many as there are processors when left out
    errors : BatikError for pictures that can't be read, and for one of another size than the first
    """
    stack = MaskStack(tuple(uses), width_px)
    done: list[int] = []

    def read(place: int, use: MaskUse) -> list[Message]:
        mask, notes = source.mask(use, step=uses[use], wax=use in sealed)
        stack.put(place, mask)
        done.append(1)
        progress(len(done), len(uses), say("jobs.progress.reading_picture", picture=use.picture))
        return notes

    with source.placed():
        with ThreadPoolExecutor(threads or render.default_threads()) as pool:
            found = list(pool.map(read, range(len(uses)), uses))
        stack.check()
    return stack, tuple(note for notes in found for note in notes)


def reduced_stack(stack: Bytes, width_px: int, height_px: int | None = None) -> Bytes:
    """Masks, uint8 (masks, rows, cols), at a smaller width; an empty stack gets the shape that they would have."""
    if not len(stack):
        rows, cols = stack.shape[1:]
        return np.zeros((0, height_px or max(1, round(width_px * rows / cols)), width_px), np.uint8)
    return np.stack([images.reduced(mask, width_px, height_px) for mask in stack])


def finished_cloth(design: Design, masks: Bytes, dyes: ClothDyes | None = None) -> Bytes:
    """The finished cloth of a design, sRGB uint8 (rows, cols, 3), at the size of its masks as drawn.

    dyes : on its cloth, where they are known already
    """
    program = compile_design(design, dyes or dyes_on_cloth(design), plates=all_plates(design)[-1:])
    cloth: Bytes = render.render(program, effective_planes(design, masks))[0]
    return cloth


def save_opener(*, home: StrPath, design: StrPath | None = None) -> Path:
    """Put a file on the desktop that opens the worktable with a double click; returns its path.

    home : where its new cloths go; design : the cloth to open, the one worked on last when left out
    errors : BatikError when the design isn't there, or another file of that name is
    """
    words = ["worktable", "--home", str(Path(home).resolve())]
    if design is not None:
        words.append(str(designs.design_file(design).resolve()))
    return desktop_file.write_desktop_file(words)
