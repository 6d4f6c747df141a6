"""What a maker prints for her own table: tracing sheets."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from batiksim.errors import BatikError
from batiksim.files import designs, outputs
from batiksim.jobs.projects import Bytes, Progress, read_mask, silent
from batiksim.sheets.texts import texts
from batiksim.sheets.trace import LARGEST_MM, large_pdf, large_svg, sheets_pdf
from batiksim.sheets.trace_layout import whole_page
from batiksim.sheets.trace_lines import tracing_of
from batiksim.values import Design, MaskUse, Wax

__all__ = ["SavedTracing", "save_tracing"]

SHEETS_NAME, LARGE_NAME = "sheets.pdf", "large.pdf"


@dataclass(frozen=True, kw_only=True)
class SavedTracing:
    """What was written: the folder, its files, how many sheets of paper, and what to know."""

    folder: Path
    files: tuple[str, ...]
    sheets: int
    notes: tuple[str, ...]


def save_tracing(
    path: str | os.PathLike[str],
    out: str | os.PathLike[str],
    *,
    paper: str = "a4",
    mirror: bool = False,
    language: str = "en",
    progress: Progress = silent,
) -> SavedTracing:
    """Write sheets.pdf, large.pdf and large-step-1.svg ...: outlines of every waxing at true size.

    paper : "a4" or "letter"; mirror : as seen from the cloth's back
    errors : BatikError for the maker's input, a design without wax, or a folder that can't be written to
    """
    words = texts(language)
    design = designs.read_design(path)
    file = designs.design_file(path)
    if not any(isinstance(step, Wax) for step in design.steps):
        raise BatikError(
            "has no waxing, so there is nothing to trace", file=file, fix='add [[step]] with wax = "lines.png"'
        )
    masks, assumed = _wax_masks(design, file, progress)
    progress(0, 2, "outlines")
    tracing = tracing_of(design, masks, mirror=mirror)
    progress(1, 2, "sheets")
    made = sheets_pdf(tracing, texts=words, paper=paper)
    notes = [*assumed, *made.notes]
    page = whole_page(tracing.width_mm, tracing.height_mm).page
    with outputs.output_set(
        out, replaces=_made_before(Path(out)), spares=[file.parent / use.picture for use in masks]
    ) as stage:
        (stage / SHEETS_NAME).write_bytes(made.pdf)
        if max(page.wide, page.high) <= LARGEST_MM:
            (stage / LARGE_NAME).write_bytes(large_pdf(tracing, texts=words))
        else:
            notes.append(words("trace.too_large"))
        for lines in tracing.waxings:
            (stage / _svg_name(lines.step)).write_text(large_svg(tracing, lines, texts=words), encoding="utf-8")
        files = tuple(sorted(entry.name for entry in stage.iterdir()))
    return SavedTracing(folder=Path(out), files=files, sheets=made.sheets, notes=tuple(notes))


def _svg_name(step: int) -> str:
    return f"large-step-{step}.svg"


def _made_before(folder: Path) -> tuple[str, ...]:
    """Files that an earlier tracing left: those of its names, where its sheets still lie beside them."""
    if not (folder / SHEETS_NAME).is_file():
        return ()
    names = [_svg_name(step) for step in range(1, 1000)]
    return tuple(name for name in (LARGE_NAME, *names) if (folder / name).is_file())


def _wax_masks(design: Design, file: Path, progress: Progress) -> tuple[dict[MaskUse, Bytes], tuple[str, ...]]:
    """The masks of all waxings as drawn, and what was assumed about them."""
    uses = {step.mask: number for number, step in reversed(list(enumerate(design.steps, 1))) if isinstance(step, Wax)}
    try:
        with ThreadPoolExecutor(2) as pool:
            read = list(pool.map(lambda use: read_mask(file.parent, use, step=uses[use]), uses))
        masks = {use: mask for use, (mask, _) in zip(uses, read, strict=True)}
        first = next(iter(masks))
        for use, mask in masks.items():
            if mask.shape != masks[first].shape:
                raise BatikError(
                    f"is {mask.shape[1]} x {mask.shape[0]} pixels, but {first.picture!r} is "
                    f"{masks[first].shape[1]} x {masks[first].shape[0]}",
                    field=f"mask {use.picture!r}",
                    fix="save all masks of a design at one pixel size",
                )
    except BatikError as error:
        raise error.in_file(file) from None
    progress(1, 1, "masks")
    return masks, tuple(note for _, notes in read for note in notes)
