"""Every plate of a design, as arrays and as files."""

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from contextvars import copy_context
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypedDict, Unpack

import numpy as np

from batiksim import checks
from batiksim.cloth import render, stages
from batiksim.cloth.effects.effective_masks import as_drawn
from batiksim.cloth.program import Emit, Program, all_plates, compile_design
from batiksim.colour.viewing import DAY
from batiksim.errors import BatikError
from batiksim.files import outputs, reports
from batiksim.files.pictures.png import PngWriter
from batiksim.jobs.projects import Progress, Project, open_design, own_files, reduced_stack, silent
from batiksim.sheets.plates.stages import StagePicture, StagesSheet, drawn_size, stages_sheet
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes, Look, StrPath
from batiksim.values import FORMAT, Design, Finding, Region
from batiksim.values.light_words import seen_as
from batiksim.values.plain_data import plain

BAND_BYTES = 48_000_000  # of all plates together, rendered and written at a time: bounds the memory


class Viewing(TypedDict, total=False):
    """How plates are seen; regions keep to dry cloth in daylight.

    wax_off : show the dye beneath instead of the wax that still lies on it, as by default
    look, light : "dry" and "D65" when left out
    """

    wax_off: bool
    look: Look
    light: str


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
    def assumed(self) -> tuple[Message, ...]:
        """What was worked out because the design didn't say."""
        return (*self.project.assumed, *render.engine_notes())


@dataclass(frozen=True, kw_only=True)
class Saved:
    """What a preview wrote: the folder, its files, and report.json as data.

    assumed : what was worked out because the design didn't say, and what to know of the pictures
    """

    folder: Path
    files: tuple[str, ...]
    report: dict[str, Any]
    regions: tuple[Region, ...]
    findings: tuple[Finding, ...]
    assumed: tuple[Message, ...]


def preview(path: StrPath | Project, *, width_px: int | None = None, **viewing: Unpack[Viewing]) -> Preview:
    """Every plate of a design as arrays, with regions and findings; nothing is written.

    width_px : of the masks, reduced for a quick look; viewing : how the plates are seen, as keywords
    """
    project = path if isinstance(path, Project) else open_design(path, width_px=width_px)
    program = _seen(project, all_plates(project.design), viewing)
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
    path: StrPath,
    out: StrPath,
    *,
    step: int | None = None,
    width_px: int | None = None,
    progress: Progress = silent,
    **viewing: Unpack[Viewing],
) -> Saved:
    """Write plate-00.png ..., cloth.png, stages.png and report.json; with `step`, that step's plate alone.

    Files made before in the same folder by this job are replaced together, others are left alone. Memory holds the
    masks and some rows of the plates at a time, however many steps there are.
    viewing : how the plates are seen, as keywords
    errors : BatikError for the maker's input or a folder that can't be written to
    """
    with engine_ready():
        project = open_design(path, width_px=width_px, progress=progress)
    design = project.design
    emits = _emits(design, step)
    folder = Path(out)
    told = stages.stages(project.outcome)
    regions = project.outcome.regions
    findings = _quick_findings(project)
    listed = [
        {"file": plate_name(stage.emit), "step": stage.emit.step, "kind": stage.kind, "title": str(stage.title)}
        for stage in told
        if stage.emit in emits and not stage.emit.finished
    ]
    program_seen = _seen(project, emits, viewing)
    assumed = (*project.assumed, *_seen_note(program_seen), *render.engine_notes())
    report = {"format": FORMAT, "title": design.title, "plates": listed}
    report |= {"regions": plain(regions), "findings": plain(findings), "assumed": plain(assumed)}

    replaces = reports.made_before(folder) if step is None else ()
    makes = [plate_name(emit) for emit in emits] + (["stages.png"] if step is None else [])
    spares = own_files(project)
    with (
        outputs.output_set(folder, makes=makes, replaces=replaces, spares=spares) as stage,
        ThreadPoolExecutor(render.default_threads()) as pool,
    ):
        if step is None:
            sheet = pool.submit(copy_context().run, _stages_picture, project, told, viewing)
            (stage / reports.REPORT_NAME).write_text(reports.report_text(report), encoding="utf-8")
        _write_plates(project, program_seen, stage, pool, progress)
        if step is None:
            _write_sheet(stage / "stages.png", sheet.result())
        files = tuple(sorted(entry.name for entry in stage.iterdir()))
    return Saved(folder=folder, files=files, report=report, regions=regions, findings=findings, assumed=assumed)


@contextmanager
def engine_ready() -> Iterator[None]:
    """Load the engine, or compile it the first time, while the block reads pictures."""
    with ThreadPoolExecutor(1) as pool:
        ready = pool.submit(render.warm_up)
        yield
        ready.result()


def _seen(project: Project, plates: tuple[Emit, ...], viewing: Viewing) -> Program:
    """The design's program with these plates, as they are to be seen."""
    wax_shown = not viewing.get("wax_off", False)
    look, light = viewing.get("look", "dry"), viewing.get("light", DAY)
    return compile_design(project.design, project.dyes, plates=plates, wax_shown=wax_shown, look=look, light=light)


def _seen_note(program: Program) -> list[Message]:
    """What to know of plates that don't show dry cloth by daylight."""
    if program.light == DAY and program.look == "dry":
        return []
    return [say("jobs.note.plates_seen", seen=seen_as(program.light, program.look))]


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
            rows_of_planes = project.planes[:, first : first + band]
            shape = (count, rows_of_planes.shape[1], cols, 3)
            plates = render.render(program, rows_of_planes, out=block[: np.prod(shape)].reshape(shape))
            list(pool.map(lambda writer, plate: writer.write(plate), writers, plates))
            progress(min(rows, first + band), rows, say("jobs.progress.plates"))


def _write_sheet(path: Path, sheet: Bytes) -> None:
    """The quick way of the plates: Pillow takes twice as long over a page that is mostly bare ground."""
    with open(path, "wb") as file, PngWriter(file, *sheet.shape[:2]) as png:
        png.write(sheet)


def _stages_picture(project: Project, told: Sequence[stages.Stage], viewing: Viewing) -> Bytes:
    """The stages sheet, from plates rendered at the sheet's own sizes: masks average as the cloth does."""
    rows, cols = project.planes.shape[1:]
    sizes = [drawn_size(cols / rows, plates=plates) for plates in (len(told) - 1, 0)]
    shown = plates_at(project, *sizes, viewing=viewing, threads=1)
    sheet = sheet_of(project.design, told, shown, project.masks.shape[1:])
    seen = _seen(project, (), viewing)
    if _seen_note(seen):
        words = say("jobs.stages.size_seen", size=sheet.size, seen=seen_as(seen.light, seen.look))
        sheet = replace(sheet, size=str(words))
    return stages_sheet(sheet)


def plates_at(
    project: Project, *sizes: tuple[int, ...], viewing: Viewing | None = None, threads: int | None = None
) -> tuple[Bytes, ...]:
    """Every plate at the first of two sizes, width or width and height in pixels, the finished cloth at the second."""
    *steps, finished = all_plates(project.design)
    made: list[Bytes] = []
    for emits, size in zip((tuple(steps), (finished,)), sizes, strict=True):
        program = _seen(project, emits, viewing or {})
        made += list(render.render(program, reduced_stack(project.planes, *size), threads=threads))
    return tuple(made)


def _quick_findings(project: Project) -> tuple[Finding, ...]:
    """What the quick checks notice, for a preview."""
    drawn = as_drawn(project.design)
    outcome = project.outcome if drawn == project.design else None
    return checks.check(checks.Scene(design=drawn, dyes=project.dyes, masks=project.masks, known=outcome), quick=True)


def plate_name(emit: Emit) -> str:
    """The file name of a plate."""
    return "cloth.png" if emit.finished else f"plate-{emit.step:02d}.png"


def _emits(design: Design, step: int | None) -> tuple[Emit, ...]:
    if step is None:
        return all_plates(design)
    if not 0 <= step <= len(design.steps):
        raise BatikError("jobs.error.no_such_step", field="step", got=step, last=len(design.steps))
    return (Emit(step=step),)


def sheet_of(design: Design, told: Sequence[stages.Stage], small: Sequence[Bytes], shape: Sequence[int]) -> StagesSheet:
    """All plates with their words; small : pictures of all plates, uint8; shape : (rows, cols) of the masks."""
    *plates, finished = [StagePicture(picture=one, **vars(stage)) for stage, one in zip(told, small, strict=True)]
    if stages.wax_left(design):
        finished = replace(finished, kind="remove_wax")
    width = design.cloth.width_mm
    height = width * shape[0] / shape[1]
    grams = round(design.cloth.grams_per_m2)
    size = say("jobs.stages.size", width=float(f"{width / 10:.3g}"), height=float(f"{height / 10:.3g}"), grams=grams)
    return StagesSheet(title=design.title, size=str(size), stages=tuple(plates), finished=finished)
