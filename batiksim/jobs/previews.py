"""Every plate of a design, as arrays and as files."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from batiksim import checks
from batiksim.cloth import render, stages
from batiksim.cloth.effects.effective_masks import as_drawn
from batiksim.cloth.program import Emit, Program, all_plates, compile_design
from batiksim.colour.viewing import seen_as
from batiksim.errors import BatikError
from batiksim.files import outputs, reports
from batiksim.files.pictures import images
from batiksim.files.pictures.png import PngWriter
from batiksim.jobs.projects import Progress, Project, open_design, own_files, silent
from batiksim.sheets.plates.stage_pictures import StagePicture, StagesSheet
from batiksim.sheets.plates.stages import drawn_size, stages_sheet
from batiksim.types import Bytes, Look
from batiksim.values import Design, Finding, Region

__all__ = ["PREPARING", "Preview", "Saved", "engine_ready", "plate_name", "preview", "save_preview", "sheet_of"]

PREPARING = "preparing the engine for this machine, only this once"
PATIENCE_S = 2.5  # loading a compiled engine takes a fraction of this
View = Callable[[tuple[Emit, ...]], Program]
BAND_BYTES = 48_000_000  # of all plates together, rendered and written at a time: bounds the memory


@dataclass(frozen=True, kw_only=True)
class Preview:
    """Everything a preview shows, as arrays and values.

    plates : sRGB uint8 (rows, cols, 3) each: the bare cloth, the cloth after each step
    cloth : the finished cloth, wax out
    """

    project: Project
    plates: tuple[Bytes, ...]
    cloth: Bytes
    stages: tuple[stages.Stage, ...]
    regions: tuple[Region, ...]
    findings: tuple[Finding, ...]

    @property
    def assumed(self) -> tuple[str, ...]:
        """What was worked out because the design didn't say."""
        return self.project.assumed


@dataclass(frozen=True, kw_only=True)
class Saved:
    """What a preview wrote: the folder, its files, and report.json as data."""

    folder: Path
    files: tuple[str, ...]
    report: dict[str, Any]
    regions: tuple[Region, ...]
    findings: tuple[Finding, ...]


def preview(
    path: str | os.PathLike[str] | Project,
    *,
    wax_off: bool = False,
    width_px: int | None = None,
    look: Look = "dry",
    light: str = "D65",
) -> Preview:
    """Every plate of a design as arrays, with regions and findings; nothing is written.

    wax_off : show the dye beneath instead of the wax that still lies on it
    look, light : how the plates are seen (regions keep to dry cloth in daylight)
    """
    project = path if isinstance(path, Project) else open_design(path, width_px=width_px)
    program = compile_design(project.design, project.dyes, wax_shown=not wax_off, look=look, light=light)
    plates = render.render(program, project.planes)
    return Preview(
        project=project,
        plates=tuple(plates[:-1]),
        cloth=plates[-1],
        stages=stages.stages(project.outcome),
        regions=project.outcome.regions,
        findings=_quick_findings(project),
    )


def save_preview(
    path: str | os.PathLike[str],
    out: str | os.PathLike[str],
    *,
    wax_off: bool = False,
    step: int | None = None,
    width_px: int | None = None,
    look: Look = "dry",
    light: str = "D65",
    progress: Progress = silent,
) -> Saved:
    """Write plate-00.png ..., cloth.png, stages.png and report.json; with `step`, that step's plate alone.

    Files made before in the same folder by this job are replaced together, others are left alone. Memory holds the
    masks and some rows of the plates at a time, however many steps there are.
    errors : BatikError for the maker's input or a folder that can't be written to
    """
    with engine_ready(progress):
        project = open_design(path, width_px=width_px, progress=progress)
    design = project.design
    emits = _wanted(design, step)
    folder = Path(out)
    told = stages.stages(project.outcome)
    regions = project.outcome.regions
    findings = _quick_findings(project)
    listed = [_plate_data(one) for one in told if one.emit in emits and not one.emit.finished]
    assumed = (*project.assumed, *_seen_note(light, look))
    report = reports.report_data(design.title, listed, regions, findings, assumed)

    def view(some: tuple[Emit, ...]) -> Program:
        return compile_design(design, project.dyes, plates=some, wax_shown=not wax_off, look=look, light=light)

    replaces = reports.made_before(folder) if step is None else ()
    makes = [plate_name(emit) for emit in emits] + (["stages.png"] if step is None else [])
    spares = own_files(project)
    with (
        outputs.output_set(folder, makes=makes, replaces=replaces, spares=spares) as stage,
        ThreadPoolExecutor(render.default_threads()) as pool,
    ):
        if step is None:
            sheet = pool.submit(_stages_picture, project, told, view)
            (stage / reports.REPORT_NAME).write_text(reports.report_text(report), encoding="utf-8")
        _write_plates(project, view(emits), stage, pool, progress)
        if step is None:
            _write_sheet(stage / "stages.png", sheet.result())
        files = tuple(sorted(entry.name for entry in stage.iterdir()))
    return Saved(folder=folder, files=files, report=report, regions=regions, findings=findings)


@contextmanager
def engine_ready(progress: Progress) -> Iterator[None]:
    """Load the engine while the block reads pictures; say so when that takes long, as compiling does the first time."""
    with ThreadPoolExecutor(1) as pool:
        ready = pool.submit(render.warm_up)
        yield
        try:
            ready.result(timeout=PATIENCE_S)
        except TimeoutError:
            progress(0, 1, PREPARING)
            ready.result()


def _seen_note(light: str, look: Look) -> list[str]:
    """What to know of plates that don't show dry cloth by daylight."""
    if light == "D65" and look == "dry":
        return []
    return [f"Plates show the cloth {seen_as(light, look)}; regions and their colours are of dry cloth by daylight."]


def _write_plates(
    project: Project, program: Program, stage: Path, pool: ThreadPoolExecutor, progress: Progress
) -> None:
    """Write all plates of a program from one pass over the cloth, a band of rows at a time."""
    _, rows, cols = project.planes.shape
    count = len(program.plates)
    band = max(1, min(rows, BAND_BYTES // (3 * cols * count)))
    block = np.empty(count * band * cols * 3, np.uint8)
    with ExitStack() as files:
        writers = []
        for emit in program.plates:
            file = files.enter_context(open(stage / plate_name(emit), "wb"))
            width_mm = project.design.cloth.width_mm
            writers.append(files.enter_context(PngWriter(file, rows, cols, width_mm=width_mm)))
        for first in range(0, rows, band):
            some = project.planes[:, first : first + band]
            shape = (count, some.shape[1], cols, 3)
            plates = render.render(program, some, out=block[: np.prod(shape)].reshape(shape))
            list(pool.map(lambda writer, plate: writer.write(plate), writers, plates))
            progress(min(rows, first + band), rows, "plates")


def _write_sheet(path: Path, sheet: Bytes) -> None:
    """The quick way of the plates: Pillow takes twice as long over a page that is mostly bare ground."""
    with open(path, "wb") as file, PngWriter(file, *sheet.shape[:2]) as png:
        png.write(sheet)


def _stages_picture(project: Project, told: Sequence[stages.Stage], view: View) -> Bytes:
    """The stages sheet, from plates rendered at the sheet's own sizes: masks average as the cloth does."""
    *steps, finished = all_plates(project.design)
    rows, cols = project.planes.shape[1:]
    shown: list[Bytes] = []
    for some, plates in ((tuple(steps), len(steps)), ((finished,), 0)):
        size = drawn_size(cols / rows, plates=plates)
        small = [images.reduced(mask, *size) for mask in project.planes]
        shown += list(render.render(view(some), np.stack(small) if small else project.planes, threads=1))
    sheet = sheet_of(project.design, told, shown, project.masks.shape[1:])
    seen = view(())
    if _seen_note(seen.light, seen.look):
        sheet = replace(sheet, size=f"{sheet.size}; plates {seen_as(seen.light, seen.look)}")
    return stages_sheet(sheet)


def _quick_findings(project: Project) -> tuple[Finding, ...]:
    """What the quick checks notice, for a preview."""
    drawn = as_drawn(project.design)
    found = project.outcome.histories if drawn == project.design else None
    return checks.check(drawn, project.dyes, project.masks, found=found, quick=True)


def plate_name(emit: Emit) -> str:
    """The file name of a plate."""
    return "cloth.png" if emit.finished else f"plate-{emit.step:02d}.png"


def _wanted(design: Design, step: int | None) -> tuple[Emit, ...]:
    if step is None:
        return all_plates(design)
    if not 0 <= step <= len(design.steps):
        raise BatikError(
            "there is no such step", field="--step", got=step, fix=f"use 0 (bare cloth) to {len(design.steps)}"
        )
    return (Emit(step=step),)


def _plate_data(stage: stages.Stage) -> dict[str, Any]:
    return {"file": plate_name(stage.emit), "step": stage.emit.step, "kind": stage.kind, "title": stage.title}


def sheet_of(design: Design, told: Sequence[stages.Stage], small: Sequence[Bytes], shape: Sequence[int]) -> StagesSheet:
    """All plates with their words; small : pictures of all plates, uint8; shape : (rows, cols) of the masks."""
    pictures = [
        StagePicture(
            picture=picture,
            title=one.title,
            detail=one.detail,
            kind="remove_wax" if one.emit.finished and stages.wax_left(design) else one.kind,
            pots=one.pots,
            swatches=one.colours,
        )
        for one, picture in zip(told, small, strict=True)
    ]
    width = design.cloth.width_mm
    height = width * shape[0] / shape[1]
    return StagesSheet(
        title=design.title,
        size=f"Cloth {width / 10:.3g} × {height / 10:.3g} cm, {design.cloth.grams_per_m2:.0f} g/m²",
        stages=tuple(pictures[:-1]),
        finished=pictures[-1],
    )
