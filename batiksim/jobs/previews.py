"""Every plate of a design, as arrays and as files."""

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from contextvars import copy_context
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any, TypedDict, Unpack

import numpy as np
from numpy.typing import NDArray

from batiksim import checks
from batiksim.cloth import render, stages
from batiksim.cloth.effects.effective_masks import as_drawn
from batiksim.cloth.program import Emit, Program, all_plates, compile_design
from batiksim.colour.spaces import xyz_to_lab
from batiksim.colour.spectra import BANDS_NM, reflectance_to_xyz
from batiksim.colour.viewing import DAY
from batiksim.errors import BatikError
from batiksim.files import outputs, reports
from batiksim.files.pictures.png import PngWriter
from batiksim.jobs.envelope import Origin
from batiksim.jobs.projects import Project, open_design, reduced_stack
from batiksim.jobs.results import PictureResult, Written, masks_by_name
from batiksim.sheets.plates.stages import StagePicture, StagesSheet, drawn_size, stages_sheet
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.texts.progress import Progress, silent
from batiksim.types import Bytes, Floats, Look, StrPath
from batiksim.values import Design, Finding, Region
from batiksim.values.light_words import check_light, check_look, seen_as
from batiksim.values.plain_data import LEFT_OUT, plain, sentences

MOST_TOLD = 6  # colours in a sentence
BAND_BYTES = 48_000_000  # of all plates together, rendered and written at a time: bounds the memory


class Viewing(TypedDict, total=False):
    """How plates are seen; regions keep to dry cloth in daylight.

    wax_off : show the dye beneath instead of the wax that still lies on it, as by default
    look, light : "dry" and "D65" when left out
    """

    wax_off: bool
    look: Look
    light: str


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Preview(PictureResult):
    """Every stage of a cloth, as arrays and values.

    Attributes
    ----------
    plates : tuple of ndarray
        sRGB uint8 (rows, cols, 3) each: the bare cloth, then the cloth after each step.
    cloth : ndarray
        The finished cloth with the wax out, alike.
    stages : tuple of Stage
        What each plate and the finished cloth show, in words, with their main colours.
    regions : tuple of Region
        Where the cloth took the same dyes in the same order, the largest first. They are of dry cloth in daylight,
        however the plates are seen.
    findings : tuple of Finding
        What the quick checks notice. `check` looks for more, and tries remedies.
    wax_off, look, light : bool, str, str
        How the plates are seen.

    See Also
    --------
    preview : Makes one.
    """

    project: Project
    plates: tuple[Bytes, ...]
    cloth: Bytes
    stages: tuple[stages.Stage, ...]
    regions: tuple[Region, ...]
    findings: tuple[Finding, ...]
    wax_off: bool = False
    look: Look = "dry"
    light: str = DAY

    def __repr__(self) -> str:
        rows, cols = self.cloth.shape[:2]
        parts = f"{len(self.plates)} plates of {cols} x {rows} pixels, {len(self.regions)} regions"
        return f"<Preview of {self.design.title!r}: {parts}, {len(self.findings)} findings>"

    @property
    def design(self) -> Design:
        """The design that is shown."""
        return self.project.design

    @property
    def assumed(self) -> tuple[Message, ...]:
        """What was worked out because the design didn't say, and what to know of the pictures."""
        return _assumed(self.project, self.viewing)

    @property
    def viewing(self) -> Viewing:
        """How the plates are seen, as keywords."""
        return {"wax_off": self.wax_off, "look": self.look, "light": self.light}

    @property
    def masks(self) -> dict[str, Bytes]:
        """The masks as drawn, uint8 (rows, cols) by the names of their pictures, 255 where marked; read-only.

        A picture that the design reads in two ways is left out: one array can't be both.
        """
        return masks_by_name(self.design, self.project.masks)

    @cached_property
    def labels(self) -> NDArray[np.int32]:
        """The region of each pixel, int32 (rows, cols): its place in `regions`, from 0.

        Tools that take 0 for the background need `labels + 1`.
        """
        labels = self.project.outcome.region_labels(self.project.planes)
        labels.setflags(write=False)
        return labels

    @property
    def wavelengths(self) -> Floats:
        """Of `reflectance`, in nm, (31,)."""
        return BANDS_NM

    @property
    def dyes(self) -> tuple[str, ...]:
        """The dyes' names, in the order of `loads`."""
        return self.project.outcome.program.dyes

    @property
    def stage_loads(self) -> Floats:
        """Full strengths of each dye in each region, bare and after each step, (steps + 1, regions, dyes)."""
        return self.project.outcome.region_loads()

    @property
    def stage_reflectance(self) -> Floats:
        """Reflectance 0..1 of each region after each step, wax out, (steps + 1, regions, 31)."""
        return self.project.dyes.reflectance(self.stage_loads @ self.project.outcome.program.dye_ks)

    @property
    def stage_lab(self) -> Floats:
        """CIELAB (D65) of each region after each step, wax out, (steps + 1, regions, 3)."""
        return xyz_to_lab(reflectance_to_xyz(self.stage_reflectance))

    @property
    def loads(self) -> Floats:
        """Full strengths of each dye that each region holds at the end, (regions, dyes)."""
        return np.asarray(self.stage_loads[-1])

    @property
    def reflectance(self) -> Floats:
        """Reflectance 0..1 of each region of the finished cloth, (regions, 31)."""
        return np.asarray(self.stage_reflectance[-1])

    @property
    def lab(self) -> Floats:
        """CIELAB (D65) of each region of the finished cloth, (regions, 3)."""
        return np.asarray(self.stage_lab[-1])

    def records(self) -> list[dict[str, Any]]:
        """A record for each region, as a table takes them.

        Returns
        -------
        list of dict
            Each with region, share (0..1), hex, L, a, b (CIELAB, D65), name, plain, history, and
            "load: ..." of each dye, in full strengths.
        """
        return [
            {
                "region": place,
                "share": region.share,
                "hex": region.hex,
                **dict(zip("Lab", region.lab, strict=True)),
                "name": region.name,
                "plain": region.plain,
                "history": " + ".join(region.history),
                **{f"load: {dye}": region.loads.get(dye, 0.0) for dye in self.dyes},
            }
            for place, region in enumerate(self.regions)
        ]

    def words(self) -> str:
        """The stages in a sentence, with the colours of the finished cloth, the largest first.

        Returns
        -------
        str
            In the language that is spoken.
        """
        colours = [say("notebook.share_of", share=percent(r.share), name=r.shown) for r in self.regions[:MOST_TOLD]]
        return str(say("notebook.preview", title=self.design.title, colours=colours))

    def picture(self) -> Bytes:
        """All stages on one sheet, as stages.png shows them.

        Returns
        -------
        ndarray
            The picture, sRGB uint8 (rows, cols, 3).
        """
        return _stages_picture(self.project, self.stages, self.viewing)

    def save(self, out: StrPath, *, progress: Progress = silent) -> "Saved":
        """Write plate-00.png ..., cloth.png, stages.png and report.json into a folder, as the command does.

        Parameters
        ----------
        out : str or path-like
            The folder, made if need be. What an earlier preview left there is replaced, other files stay.
        progress : callable, optional
            Called with how far of how much, and what is being done.

        Returns
        -------
        Saved
            The folder, its files, and report.json as data.

        Raises
        ------
        BatikError
            When the folder can't be written to, or a file to write is one of the design's own.
        """
        return _save(self._shown, out, all_plates(self.design), whole=True, progress=progress)

    @property
    def origin(self) -> Origin:
        """The design that it is of."""
        return self.project.origin

    @property
    def _shown(self) -> "_Shown":
        return _Shown(self.project, self.stages, self.findings, self.viewing)

    def _data(self) -> dict[str, Any]:
        return self._shown.report(all_plates(self.design))

    def _more_html(self) -> str:
        from batiksim.sheets.notebook import regions_html  # which a command never needs

        return regions_html(self.regions, self.findings)


@dataclass(frozen=True, kw_only=True)
class Saved(Written):
    """What a preview wrote: the folder, its files, and `report`, which is report.json as data.

    folder : None where it was only to be told, and nothing was written
    assumed : what was worked out because the design didn't say, and what to know of the pictures
    """

    light: str = field(metadata=LEFT_OUT)
    folder: Path | None
    files: tuple[str, ...]
    told: dict[str, Any]
    regions: tuple[Region, ...]
    findings: tuple[Finding, ...]
    assumed: tuple[Message, ...]

    @property
    def report(self) -> dict[str, Any]:
        """What report.json holds."""
        return self.data()

    def _data(self) -> dict[str, Any]:
        return self.told


def preview(
    design: StrPath | Design,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    width_px: int | None = None,
    wax_off: bool = False,
    look: Look = "dry",
    light: str = DAY,
    progress: Progress = silent,
) -> Preview:
    """Every stage of a design as arrays, with regions and findings; nothing is written.

    Parameters
    ----------
    design : str, path-like or Design
        The design's folder, its .toml file, or a design in memory.
    folder : str or path-like, optional
        Where the pictures of a design in memory lie.
    masks : mapping of str to array_like, optional
        Masks (rows, cols) by the names of the pictures that they stand for, read from disk no more: bool, uint8
        0..255 or floating 0..1, highest where wax or dye goes. All of one size.
    width_px : int, optional
        Reduce the masks to this width in pixels, for a quick look.
    wax_off : bool, default: False
        Show the dye beneath instead of the wax that still lies on it.
    look : {"dry", "wet"}
        Whether the cloth is dry or wet.
    light : {"D65", "D50", "A", "LED"}
        The light that the plates are seen by, to an eye used to it.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    Preview
        Plates, regions and their spectra.

    Raises
    ------
    BatikError
        For anything wrong with the design, its pictures or an option, with what to do.
    TypeError
        For an argument of another type.

    Examples
    --------
    >>> half = np.zeros((60, 80))
    >>> half[:, 40:] = 1.0
    >>> steps = [batiksim.Wax(mask="half"), batiksim.DyeBath(paints="sky")]
    >>> dyes = [batiksim.Dye(name="sky", colour="#3d9fb4")]
    >>> design = batiksim.Design(title="Half", cloth=batiksim.Cloth(width_mm=200), dyes=dyes, steps=steps)
    >>> shown = batiksim.preview(design, masks={"half": half})
    >>> shown
    <Preview of 'Half': 3 plates of 80 x 60 pixels, 2 regions, 0 findings>
    >>> [(region.history, region.share) for region in shown.regions]
    [((), 0.5), (('sky',), 0.5)]
    >>> shown.labels.shape, shown.reflectance.shape
    ((60, 80), (2, 31))
    """
    viewing: Viewing = {"wax_off": wax_off, "look": look, "light": light}
    _check_viewing(viewing)
    project = open_design(design, folder=folder, masks=masks, width_px=width_px, progress=progress)
    return preview_of(project, progress=progress, **viewing)


def preview_of(project: Project, *, progress: Progress = silent, **viewing: Unpack[Viewing]) -> Preview:
    """Every plate of a design whose masks are read. viewing : how the plates are seen, as keywords."""
    *plates, cloth = full_plates(project, viewing, progress=progress)
    return Preview(
        project=project,
        plates=tuple(plates),
        cloth=cloth,
        stages=stages.stages(project.outcome),
        regions=project.outcome.regions,
        findings=_quick_findings(project),
        **viewing,
    )


def full_plates(project: Project, viewing: Viewing | None = None, *, progress: Progress = silent) -> list[Bytes]:
    """Every plate and then the finished cloth, at the size of the masks, sRGB uint8 (rows, cols, 3) each."""
    progress(0, 1, say("jobs.progress.plates"))
    plates = render.render(_seen(project, all_plates(project.design), viewing or {}), project.planes)
    progress(1, 1, say("jobs.progress.plates"))
    return list(plates)


def save_preview(
    design: StrPath | Design,
    out: StrPath | None,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    step: int | None = None,
    width_px: int | None = None,
    progress: Progress = silent,
    **viewing: Unpack[Viewing],
) -> Saved:
    """Write plate-00.png ..., cloth.png, stages.png and report.json; with `step`, that step's plate alone.

    Files made before in the same folder by this job are replaced together, others are left alone. Memory holds the
    masks and some rows of the plates at a time, however many steps there are.
    out : the folder; None = only tell what would come out, nothing is drawn or written
    viewing : how the plates are seen, as keywords
    errors : BatikError for the maker's input or a folder that can't be written to
    """
    _check_viewing(viewing)
    with engine_ready():
        project = open_design(design, folder=folder, masks=masks, width_px=width_px, progress=progress)
    emits = _emits(project.design, step)
    shown = _Shown(project, stages.stages(project.outcome), _quick_findings(project), viewing)
    return _save(shown, out, emits, whole=step is None, progress=progress)


@dataclass(frozen=True)
class _Shown:
    """A design as a preview tells it: in words, with what the quick checks found, seen in one way."""

    project: Project
    stages: Sequence[stages.Stage]
    findings: tuple[Finding, ...]
    viewing: Viewing

    def report(self, emits: Sequence[Emit], *, files: bool = False) -> dict[str, Any]:
        """What report.json holds of some plates. files : name the file of each."""
        listed: list[dict[str, Any]] = [
            ({"file": plate_name(stage.emit)} if files else {})
            | {"step": stage.emit.step, "kind": stage.kind, "title": str(stage.title)}
            for stage in self.stages
            if stage.emit in emits and not stage.emit.finished
        ]
        told = {"plates": listed, "regions": plain(self.project.outcome.regions), "findings": plain(self.findings)}
        return told | sentences("assumed", _assumed(self.project, self.viewing))


def _save(shown: _Shown, out: StrPath | None, emits: tuple[Emit, ...], *, whole: bool, progress: Progress) -> Saved:
    """Write some plates, and where all are meant the sheet and the report."""
    project, viewing = shown.project, shown.viewing
    saved = Saved(
        of=project.origin,
        light=viewing.get("light", DAY),
        folder=None if out is None else Path(out),
        files=(),
        told=shown.report(emits, files=out is not None),
        regions=project.outcome.regions,
        findings=shown.findings,
        assumed=_assumed(project, viewing),
    )
    if out is None:
        return saved
    replaces = reports.made_before(Path(out)) if whole else ()
    makes = [plate_name(emit) for emit in emits] + (["stages.png"] if whole else [])
    with (
        outputs.output_set(out, makes=makes, replaces=replaces, spares=project.source.own) as stage,
        ThreadPoolExecutor(render.default_threads()) as pool,
    ):
        if whole:
            sheet = pool.submit(copy_context().run, _stages_picture, project, shown.stages, viewing)
            (stage / reports.REPORT_NAME).write_text(reports.report_text(saved.data()), encoding="utf-8")
        _write_plates(project, _seen(project, emits, viewing), stage, pool, progress)
        if whole:
            _write_sheet(stage / "stages.png", sheet.result())
        files = tuple(sorted(entry.name for entry in stage.iterdir()))
    return replace(saved, files=files)


def _assumed(project: Project, viewing: Viewing) -> tuple[Message, ...]:
    """What was worked out because the design didn't say, and what to know of plates not of dry cloth by daylight."""
    seen = [] if _as_usual(viewing) else [say("jobs.note.plates_seen", seen=_seen_words(viewing))]
    return (*project.assumed, *seen, *render.engine_notes())


def _check_viewing(viewing: Viewing) -> None:
    """Raise BatikError for a light or a look that there is not, before any picture is read."""
    check_light(viewing.get("light", DAY))
    check_look(viewing.get("look", "dry"))


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


def _as_usual(viewing: Viewing) -> bool:
    """Whether plates show dry cloth by daylight."""
    return (viewing.get("look", "dry"), viewing.get("light", DAY)) == ("dry", DAY)


def _seen_words(viewing: Viewing) -> Message:
    """How plates are seen, in words."""
    return seen_as(viewing.get("light", DAY), viewing.get("look", "dry"))


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
    if not _as_usual(viewing):
        words = say("jobs.stages.size_seen", size=sheet.size, seen=_seen_words(viewing))
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
