"""One function for each thing a maker asks for. The command line and the worktable call these, and nothing else."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Lock
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth import engine
from batiksim.cloth import masks as cloth_masks
from batiksim.cloth.effects import as_drawn, effective_planes
from batiksim.cloth.pots import ClothDyes, cloth_dyes, dyes_on_cloth
from batiksim.cloth.program import Emit, Look, Program, all_plates, compile_design, design_masks
from batiksim.cloth.regions import History, regions_of, survey
from batiksim.errors import BatikError, nearest
from batiksim.files import designs, dyebooks, images, outputs, reports, starter, strips, swatches
from batiksim.files.png import PngWriter
from batiksim.files.replacing import replacing
from batiksim.plan import calibrate, checks, compare, photo, pots, recipes, stages
from batiksim.plan import overdye as overdyes
from batiksim.plan.lights import lamp_findings, seen_as
from batiksim.plan.register import register
from batiksim.sheets.charts import overdye_page
from batiksim.sheets.comparison import compared_regions, comparison_sheet, difference_map
from batiksim.sheets.pages import DOTS_PER_INCH, Page, page_pdf, page_picture
from batiksim.sheets.plates import Mark, StagePicture, StagesSheet, marked_picture, reduced, stages_sheet
from batiksim.sheets.potsheet import pot_sheet
from batiksim.values import BookDye, Cloth, Design, DyeBook, Finding, MaskUse, Pot, Region

__all__ = ["PREPARING", "Preview", "Project", "Saved", "new_design", "open_design", "preview", "save_preview"]

Bytes = NDArray[np.uint8]
Progress = Callable[[int, int, str], None]
PREPARING = "preparing the engine for this machine, only this once"
PATIENCE_S = 1.5  # loading a compiled engine takes a quarter of this
View = Callable[[tuple[Emit, ...]], Program]
BAND_BYTES = 48_000_000  # of all plates together, rendered and written at a time: bounds the memory
SHEET_PLATE_PX, SHEET_CLOTH_PX = 800, 1600  # widths from which the stages sheet draws its plates and the finished cloth


def _silent(done: int, whole: int, what: str) -> None:
    """Progress that nobody watches."""


@dataclass(frozen=True, kw_only=True)
class Project:
    """A design with its mask pictures read.

    masks : uint8 (masks, rows, cols), 255 = fully marked, as drawn, in the order of `design_masks`
    planes : uint8 (planes, rows, cols), what wax and dye make of them, as the engine takes it: see `effective_planes`
    assumed : what was worked out because the design didn't say
    """

    design: Design
    folder: Path
    masks: Bytes
    planes: Bytes
    dyes: ClothDyes
    assumed: tuple[str, ...]


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


def open_design(path: str | os.PathLike[str], *, width_px: int | None = None, progress: Progress = _silent) -> Project:
    """Read a design (its folder or .toml file) and all its mask pictures.

    width_px : reduce the masks to this width, for a quick look
    errors : BatikError for anything wrong with the design or its pictures
    """
    design = designs.read_design(path)
    file = designs.design_file(path)
    uses = design_masks(design)
    numbers = {use: number for number, use in reversed(list(design.mask_uses()))}
    stack = _MaskStack(uses, width_px)
    done: list[int] = []

    def read(place: int) -> list[str]:
        use = uses[place]
        mask, notes = read_mask(file.parent, use, step=numbers[use])
        stack.put(place, mask)
        done.append(1)
        progress(len(done), len(uses), f"reading {use.picture}")
        return notes

    try:
        checks.known_codes(design.skip_checks, field="checks: skip")
        with ThreadPoolExecutor(engine.default_threads()) as pool:
            found = list(pool.map(read, range(len(uses))))
        stack.check()
    except BatikError as error:
        raise error.in_file(file) from None
    return Project(
        design=design,
        folder=file.parent,
        masks=stack.masks,
        planes=effective_planes(design, stack.masks, height_mm=stack.height_mm(design.cloth), progress=progress),
        dyes=dyes_on_cloth(design),
        assumed=tuple(note for notes in found for note in notes),
    )


def read_mask(folder: Path, use: MaskUse, *, step: int) -> tuple[Bytes, list[str]]:
    """One mask as the engine takes it, and what was assumed about it."""
    try:
        picture = images.read_picture(designs.picture_path(folder, use.picture))
    except BatikError as error:
        raise error.in_field(f"step {step}") from None
    reading = cloth_masks.to_mask(picture.grey, picture.alpha, marks=use.marks, clean=use.clean)
    notes = [f"{use.picture}: {note}" for note in picture.notes]
    if reading.assumed:
        notes.append(f"{use.picture}: {reading.assumed}")
    return reading.mask, notes


class _MaskStack:
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
            (rows, cols), (first_rows, first_cols) = self._sizes[place], self._sizes[0]
            if (rows, cols) != (first_rows, first_cols):
                raise BatikError(
                    f"is {cols} x {rows} pixels, but {self._uses[0].picture!r} is {first_cols} x {first_rows}",
                    field=f"mask {use.picture!r}",
                    fix="save all masks of a design at one pixel size",
                )


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
    plates = engine.render(program, project.planes)
    found = survey(program, project.planes)
    regions = regions_of(program, found, project.dyes, project.design)
    return Preview(
        project=project,
        plates=tuple(plates[:-1]),
        cloth=plates[-1],
        stages=stages.stages(project.design, project.dyes, found),
        regions=regions,
        findings=(
            *_quick_findings(project, found),
            *lamp_findings(regions, project.dyes),
        ),
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
    progress: Progress = _silent,
) -> Saved:
    """Write plate-00.png ..., cloth.png, stages.png and report.json; with `step`, that step's plate alone.

    Files made before in the same folder by this job are replaced together, others are left alone. Memory holds the
    masks and some rows of the plates at a time, however many steps there are.
    errors : BatikError for the maker's input or a folder that can't be written to
    """
    with _engine_ready(progress):
        project = open_design(path, width_px=width_px, progress=progress)
    design = project.design
    emits = _wanted(design, step)
    folder = Path(out)
    program = compile_design(design, project.dyes)
    found = survey(program, project.planes)
    told = stages.stages(design, project.dyes, found)
    regions = regions_of(program, found, project.dyes, design)
    findings = (*_quick_findings(project, found), *lamp_findings(regions, project.dyes))
    listed = [_plate_data(one) for one in told if one.emit in emits and not one.emit.finished]
    assumed = (*project.assumed, *_seen_note(light, look))
    report = reports.report_data(design.title, listed, regions, findings, assumed)

    def view(some: tuple[Emit, ...]) -> Program:
        return compile_design(design, project.dyes, plates=some, wax_shown=not wax_off, look=look, light=light)

    replaces = reports.made_before(folder) if step is None else ()
    spares = _own_files(project)
    with (
        outputs.output_set(folder, replaces=replaces, spares=spares) as stage,
        ThreadPoolExecutor(engine.default_threads()) as pool,
    ):
        if step is None:
            sheet = pool.submit(_stages_picture, project, told, view)
            (stage / reports.REPORT_NAME).write_text(reports.report_text(report), encoding="utf-8")
        _write_plates(project, view(emits), stage, pool, progress)
        if step is None:
            images.write_png(stage / "stages.png", sheet.result())
        files = tuple(sorted(entry.name for entry in stage.iterdir()))
    return Saved(folder=folder, files=files, report=report, regions=regions, findings=findings)


@contextmanager
def _engine_ready(progress: Progress) -> Iterator[None]:
    """Load the engine while the block reads pictures; say so when that takes long, as compiling does the first time."""
    with ThreadPoolExecutor(1) as pool:
        ready = pool.submit(engine.warm_up)
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


def _own_files(project: Project) -> list[Path]:
    """The files that a design is made of, beside its .toml."""
    named = [use.picture for use in design_masks(project.design)]
    named += [name for dye in project.design.dyes for name in (dye.spectrum, dye.book) if name is not None]
    return [project.folder / name for name in named]


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
            plates = engine.render(program, some, out=block[: np.prod(shape)].reshape(shape))
            list(pool.map(lambda writer, plate: writer.write(plate), writers, plates))
            progress(min(rows, first + band), rows, "plates")


def _stages_picture(project: Project, told: Sequence[stages.Stage], view: View) -> Bytes:
    """The stages sheet, from plates rendered at the sheet's own sizes: masks average as the cloth does."""
    *steps, finished = all_plates(project.design)
    shown = []
    for some, width_px in ((tuple(steps), SHEET_PLATE_PX), ((finished,), SHEET_CLOTH_PX)):
        small = [images.reduced(mask, width_px) for mask in project.planes]
        masks = np.stack(small) if small else project.planes
        plates = engine.render(view(some), masks, threads=1)
        shown += [reduced(plate, plates=0 if some == (finished,) else len(steps)) for plate in plates]
    sheet = _sheet(project.design, told, shown, project.masks.shape[1:])
    seen = view(())
    if _seen_note(seen.light, seen.look):
        sheet = replace(sheet, size=f"{sheet.size}; plates {seen_as(seen.light, seen.look)}")
    return stages_sheet(sheet)


def _quick_findings(project: Project, found: Sequence[History]) -> tuple[Finding, ...]:
    """What the quick checks notice, for a preview; `found` are the histories of the design's whole program."""
    drawn = as_drawn(project.design)
    same = found if drawn == project.design else None
    return checks.check(drawn, project.dyes, project.masks, found=same, quick=True)


def check_design(
    path: str | os.PathLike[str],
    *,
    only: Sequence[str] = (),
    skip: Sequence[str] = (),
    out: str | os.PathLike[str] | None = None,
    corrected: str | os.PathLike[str] | None = None,
    progress: Progress = _silent,
) -> tuple[Finding, ...]:
    """Everything that the checks notice on a design, the worst first.

    only, skip : codes of checks to run alone or to leave out
    out : write the finished cloth there, dimmed, with a numbered ring at each place (.png)
    corrected : write masks that lie beside their places into this folder, moved so that they fit
    errors : BatikError for the maker's input, an unknown code, or a file that can't be written
    """
    checks.known_codes(only, field="--only")
    checks.known_codes(skip, field="--skip")
    project = open_design(path, progress=progress)
    drawn = as_drawn(project.design)
    findings = checks.check(drawn, project.dyes, project.masks, only=only or None, skip=skip)
    if corrected is not None:
        _write_corrected(project, Path(corrected))
    if out is not None:
        images.write_png(out, _marked(project, findings))
    return findings


def _write_corrected(project: Project, folder: Path) -> None:
    """Every mask that doesn't fit, moved so that it does, marked the way the design reads it."""
    found = checks.misplaced(project.design, project.dyes, project.masks)
    if not found:
        return
    uses = design_masks(project.design)
    px_per_mm = project.masks.shape[2] / project.design.cloth.width_mm
    with outputs.output_set(folder, spares=_own_files(project)) as stage:
        for misfit in found:
            mask = checks.corrected(project.masks[uses.index(misfit.use)], misfit, px_per_mm=px_per_mm)
            picture = checks.drawn_as(mask, misfit.use.marks)
            images.write_png(stage / f"{Path(misfit.use.picture).stem}.png", picture)


def _marked(project: Project, findings: Sequence[Finding]) -> Bytes:
    """The finished cloth with every finding that has a place ringed, and all of them in words."""
    small = [images.reduced(mask, SHEET_CLOTH_PX) for mask in project.planes]
    masks = np.stack(small) if small else project.planes
    program = compile_design(project.design, project.dyes, plates=all_plates(project.design)[-1:])
    cloth = engine.render(program, masks)[0]
    placed = [one for one in findings if one.place is not None]
    px_per_mm = cloth.shape[1] / project.design.cloth.width_mm
    marks = [
        Mark(place.x_mm * px_per_mm, place.y_mm * px_per_mm, place.radius_mm * px_per_mm, number, one.severity)
        for number, one in enumerate(placed, start=1)
        if (place := one.place) is not None
    ]
    told = [*placed, *(one for one in findings if one.place is None)]
    notes = [f"{one.message} {one.remedy}" for one in told] or [checks.NOTHING]
    return marked_picture(cloth, marks, notes=notes, title=project.design.title)


def findings_data(findings: Sequence[Finding]) -> dict[str, Any]:
    """Findings as `check --json` prints them."""
    return {"findings": [reports.finding_data(finding) for finding in findings]}


def new_design(folder: str | os.PathLike[str]) -> tuple[str, ...]:
    """Write the starter design into a folder; returns the names of its files.

    errors : BatikError when the folder already holds a file of one of those names, or can't be written to
    """
    return starter.write_starter(folder)


@dataclass(frozen=True, kw_only=True)
class Calibrated:
    """What a calibration found and did. changes : to the dye book; None when it was only tried."""

    found: calibrate.Calibration
    changes: dyebooks.BookChanges | None
    notes: tuple[str, ...]


def calibrate_book(
    book: str | os.PathLike[str],
    *,
    picture: str | os.PathLike[str] | None = None,
    strip: str | os.PathLike[str] | None = None,
    table: str | os.PathLike[str] | None = None,
    corners: tuple[tuple[float, float], ...] | None = None,
    overwrite: bool = False,
    dry_run: bool = False,
) -> Calibrated:
    """Learn dyes from a photo of a dyed strip, or from a table of measured swatches, and keep them in a dye book.

    corners : of the strip in the photo, instead of those in the strip file
    overwrite : also put a dye in place of one whose expected error is smaller
    dry_run : leave the book as it is
    errors : BatikError for files that can't be read, and for photos that tell too little
    """
    if (table is None) == (picture is None):
        raise BatikError("needs a photo or a table", fix="give PHOTO and --strip FILE, or --table FILE")
    if picture is not None and strip is None:
        raise BatikError("is missing", field="--strip", fix="give the file that says what is where on the strip")
    old = dyebooks.read_book(book) if Path(book).exists() else None
    notes: tuple[str, ...] = ()
    if table is not None:
        samples, cloth = calibrate.samples_of_swatches(swatches.read_swatches(table)), None
        source = f"the swatches in {Path(table).name}"
    else:
        reading = _strip_reading(str(picture), str(strip), corners)
        samples, cloth, notes = calibrate.samples_of_strip(reading), reading.cloth, reading.notes
        source = f"{Path(str(picture)).name} and {Path(str(strip)).name}"
    try:
        found = calibrate.calibrate(samples, cloth=cloth, known=lambda undyed: _known(old, undyed))
    except BatikError as error:
        raise error.in_file(table or strip) from None
    dyes = calibrate.book_dyes(found, provenance=f"calibrated from {source}", date=datetime.date.today())
    policy: dyebooks.Policy = "replace" if overwrite else "merge"
    changes = None if dry_run else dyebooks.save_dyes(book, [_as_sold(dye, old) for dye in dyes], policy=policy)
    return Calibrated(found=found, changes=changes, notes=(*notes, *found.notes))


def _strip_reading(picture: str, strip: str, corners: tuple[tuple[float, float], ...] | None) -> photo.StripReading:
    told = strips.read_strip(strip, corners=corners)
    rgb = images.read_rgb(picture)
    try:
        return photo.measure_strip(rgb, told)
    except BatikError as error:
        raise error.in_file(strip) from None


def _known(book: DyeBook | None, undyed: str) -> ClothDyes | None:
    """The book's dyes on a cloth of that colour."""
    return None if book is None else cloth_dyes(Cloth(width_mm=100, colour=undyed), book.dyes)


def _as_sold(dye: BookDye, book: DyeBook | None) -> BookDye:
    """A dye with the amount and price that the book already gives for it."""
    old = next((one for one in (book.entries if book else ()) if one.name == dye.name), None)
    if old is None:
        return dye
    return replace(dye, grams_per_litre=old.grams_per_litre, price_per_100_g=old.price_per_100_g)


def calibrated_data(result: Calibrated) -> dict[str, Any]:
    """A calibration as `calibrate --json` prints it."""
    changes = result.changes
    done: dict[str, list[str]] = {"added": [], "replaced": [], "kept": []}
    if changes is not None:
        done = {key: list(getattr(changes, key)) for key in done}
    return calibrate.calibration_data(result.found) | {
        "book": None if changes is None else done,
        "notes": list(result.notes),
    }


@dataclass(frozen=True, kw_only=True)
class Compared:
    """What a comparison found and wrote. teaches : swatches in its table for `calibrate`; 0 = no table."""

    found: compare.Comparison
    folder: Path
    files: tuple[str, ...]
    teaches: int

    @property
    def summary(self) -> str:
        """The whole comparison in a line."""
        return compare.summary(self.found)


def compared_data(result: Compared) -> dict[str, Any]:
    """A comparison as `compare --json` prints it and compare.json keeps it."""
    return compare.comparison_data(result.found)


COMPARE_PX = 800  # width at which cloth and photo are laid over each other
COMPARE_TABLE = "compare-swatches.csv"


def compare_photo(
    path: str | os.PathLike[str],
    picture: str | os.PathLike[str],
    out: str | os.PathLike[str],
    *,
    corners: tuple[tuple[float, float], ...] | None = None,
    progress: Progress = _silent,
) -> Compared:
    """Lay a photo of the finished cloth over its prediction, and write where and how they differ.

    corners : of the cloth in the photo, where its pattern alone doesn't find it
    errors : BatikError for the maker's input, and for a cloth that can't be found in the photo
    """
    project = open_design(path, width_px=COMPARE_PX, progress=progress)
    design = project.design
    emit = Emit(step=len(design.steps), finished=True)
    program = compile_design(design, project.dyes, plates=(emit,))
    planned = engine.render(program, project.planes)[0]
    rgb = images.read_rgb(picture)
    try:
        progress(1, 3, "finding the cloth")
        place = register(planned, rgb, corners=corners)
        progress(2, 3, "comparing")
        found = compare.compare(program, design, project.planes, planned, rgb, place)
    except BatikError as error:
        raise error.in_file(picture) from None
    drawn = difference_map(planned, found.misses)
    taught = compare.teachable(found)
    width = design.cloth.width_mm
    with outputs.output_set(out, replaces=(COMPARE_TABLE,)) as stage:
        sheet = comparison_sheet(
            design.title, compare.summary(found), (planned, found.dyed, drawn), compared_regions(found), found.notes
        )
        images.write_png(stage / "compare.png", sheet)
        images.write_png(stage / "compare-dyed.png", found.dyed, width_mm=width)
        images.write_png(stage / "compare-difference.png", drawn, width_mm=width)
        (stage / "compare.json").write_text(reports.report_text(compare.comparison_data(found)), encoding="utf-8")
        if taught:
            (stage / COMPARE_TABLE).write_text(swatches.swatch_rows(taught), encoding="utf-8")
        files = tuple(sorted(entry.name for entry in stage.iterdir()))
    return Compared(found=found, folder=Path(out), files=files, teaches=len(taught))


@dataclass(frozen=True, kw_only=True)
class DyesOnCloth:
    """The dyes of a book or design on a cloth, the pots that the design names, and what to know about them."""

    dyes: ClothDyes
    pots: tuple[Pot, ...]
    notes: tuple[str, ...]
    title: str


def dyes_of(source: str | os.PathLike[str] = dyebooks.DEMO, *, cloth: str | None = None) -> DyesOnCloth:
    """The dyes of a dye book's .toml file, of a design (its folder or file), or of "demo", the built-in book.

    cloth : colour of the undyed cloth; the design's own, or a common cotton's, when left out
    """
    if os.fspath(source) == dyebooks.DEMO or not dyebooks.is_design(source):
        book = dyebooks.read_book(source)
        under = Cloth(width_mm=100) if cloth is None else Cloth(width_mm=100, colour=cloth)
        notes = ("These are the invented demo dyes; use your own with --book.",) if book.name == dyebooks.DEMO else ()
        return DyesOnCloth(dyes=cloth_dyes(under, book.dyes), pots=(), notes=notes, title=book.title)
    design = designs.read_design(source)
    under = design.cloth if cloth is None else replace(design.cloth, colour=cloth)
    return DyesOnCloth(dyes=cloth_dyes(under, design.dyes), pots=design.pots, notes=(), title=design.title)


def look_at_pot(
    recipe: str,
    *,
    source: str | os.PathLike[str] = dyebooks.DEMO,
    cloth: str | None = None,
    strength: float | None = None,
    ml: float | None = None,
) -> pots.PotLook:
    """One pot on cloth: dry, wet, the solution, what goes into it, what one part more of each dye does.

    recipe : "lemon=5, turquoise=1, navy=3 drops", or the name of a pot where `source` is a design
    strength, ml : 1 and unknown when left out, or as the named pot says
    """
    there = dyes_of(source, cloth=cloth)
    pot = next((one for one in there.pots if one.name == recipe), None)
    if pot is None:
        pot = pots.read_pot(recipe, there.dyes.dyes, strength=1.0 if strength is None else strength, ml=ml)
    else:
        pot = replace(pot, strength=pot.strength if strength is None else strength, ml=pot.ml if ml is None else ml)
    look = pots.pot_look(there.dyes, pot)
    return replace(look, notes=(*look.notes, *there.notes))


def match_colour(
    colour: str,
    *,
    source: str | os.PathLike[str] = dyebooks.DEMO,
    cloth: str | None = None,
    most_dyes: int = 3,
    most_parts: int = 8,
    ground: str | None = None,
    count: int = 5,
) -> recipes.Matched:
    """The pots nearest to a wanted colour.

    colour : "#c05f7a", or a colour name ("deep yellowish pink")
    ground : what lies on the cloth already, as a colour or as the pot that dyed it ("lemon=1, turquoise=1")
    """
    wanted = pots.wanted_colour(colour)
    there = dyes_of(source, cloth=cloth)
    under = None if ground is None else pots.ground_of(there.dyes, ground)
    found = recipes.matched(there.dyes, wanted, most_dyes=most_dyes, most_parts=most_parts, ground=under, count=count)
    return replace(found, notes=(*found.notes, *there.notes))


def save_pot(look: pots.PotLook, out: str | os.PathLike[str]) -> None:
    """Draw a pot as a picture of dyed cloth. Raises BatikError for another ending than .png, or when it can't be."""
    if Path(out).suffix.lower() != ".png":
        raise BatikError("is not a kind of picture I write", field="--out", got=str(out), fix="end its name in .png")
    images.write_png(out, pot_sheet(look, title=stages.capital(stages.listed(list(look.pot.dyes)))))


def pot_data(look: pots.PotLook) -> dict[str, Any]:
    """A pot as `pot --json` prints it."""
    return recipes.pot_data(look)


def match_data(found: recipes.Matched) -> dict[str, Any]:
    """Found pots as `match --json` prints them."""
    return recipes.match_data(found)


def overdye_chart(
    source: str | os.PathLike[str],
    *,
    strength: float = 1.0,
    under: float | None = None,
    light: str = "D65",
    look: Look = "dry",
    only: Sequence[str] = (),
    use_pots: bool = False,
    cloth: str | None = None,
) -> overdyes.Overdye:
    """Every dye over every dye of a book or design, as values.

    strength, under : full strengths of the dye on top and of the one beneath (the same when left out)
    only : names of the dyes and pots to chart; use_pots : chart a design's pots, not its dyes
    """
    there = dyes_of(source, cloth=cloth)
    known = {name: Pot(name=name, parts={name: 1.0}) for name in there.dyes.dyes}
    known |= {pot.name: pot for pot in there.pots}
    for name in only:
        if name not in known:
            fix = nearest(name, known)
            raise BatikError("is not a dye or pot here", file=source, field="--only", got=name, fix=fix)
    if use_pots and not there.pots:
        raise BatikError("has no pots", file=source, field="--pots", fix="leave out --pots to chart its dyes")
    names = only or ([pot.name for pot in there.pots] if use_pots else list(there.dyes.dyes))
    charted = [known[name] for name in dict.fromkeys(names)]
    return overdyes.overdye(
        there.dyes, charted, title=there.title, strength=strength, under=under, light=light, look=look
    )


def save_overdye(chart: overdyes.Overdye, out: str | os.PathLike[str]) -> None:
    """Write an overdye chart as what the ending of `out` says: .png, .pdf, .csv or .json."""
    makers: dict[str, Callable[[BinaryIO], object]] = {
        ".png": lambda file: _write_page_png(file, overdye_page(chart)),
        ".pdf": lambda file: file.write(page_pdf(overdye_page(chart))),
        ".csv": lambda file: file.write(reports.table_text(overdyes.overdye_rows(chart)).encode()),
        ".json": lambda file: file.write(reports.report_text(overdyes.overdye_data(chart)).encode()),
    }
    ending = Path(out).suffix.lower()
    if ending not in makers:
        fix = f"end its name in {', '.join(makers)}"
        raise BatikError("is not a kind of file that a chart can be", field="--out", got=Path(out).name, fix=fix)
    with replacing(out, sync=False) as file:
        makers[ending](file)


def overdye_data(chart: overdyes.Overdye) -> dict[str, Any]:
    """An overdye chart as `overdye --json` prints it."""
    return overdyes.overdye_data(chart)


def _write_page_png(file: BinaryIO, page: Page) -> None:
    picture = page_picture(page)
    images.write_png(file, picture, width_mm=picture.shape[1] / DOTS_PER_INCH * 25.4)


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


def _sheet(design: Design, told: Sequence[stages.Stage], small: Sequence[Bytes], shape: Sequence[int]) -> StagesSheet:
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
