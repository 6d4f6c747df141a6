"""What would spoil the cloth, found and marked."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, overload

from batiksim import checks
from batiksim.checks import NOTHING as NOTHING
from batiksim.checks import QUICK_NOTHING as QUICK_NOTHING
from batiksim.cloth import render
from batiksim.cloth.effects.effective_masks import as_drawn
from batiksim.cloth.program import all_plates, compile_design
from batiksim.files import outputs
from batiksim.files.pictures import images
from batiksim.jobs.envelope import Origin
from batiksim.jobs.projects import Project, open_design, reduced_stack, write_as
from batiksim.jobs.results import PictureResult
from batiksim.jobs.sources import codes
from batiksim.sheets.marked import Mark, marked_picture
from batiksim.texts.catalogue import say
from batiksim.texts.progress import Progress, silent
from batiksim.types import Bytes, StrPath
from batiksim.values import Design, Finding
from batiksim.values.plain_data import plain

EITHER = "either"  # how folders begin that hold masks of which only some are to be moved
MARKED_PX = 1600  # width of the marked picture's cloth
MARKED_ENDINGS = (".png",)  # of its file


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Checked(Sequence[Finding], PictureResult):
    """What the checks notice on a design: its findings in a row, the worst first.

    Attributes
    ----------
    findings : tuple of Finding
        All of them; the value itself has their number, and gives each by its place.

    See Also
    --------
    check : Makes one.
    """

    project: Project
    scene: checks.Scene
    findings: tuple[Finding, ...]

    @overload
    def __getitem__(self, place: int) -> Finding: ...

    @overload
    def __getitem__(self, place: slice) -> tuple[Finding, ...]: ...

    def __getitem__(self, place: int | slice) -> Finding | tuple[Finding, ...]:
        return self.findings[place]

    def __len__(self) -> int:
        return len(self.findings)

    def __repr__(self) -> str:
        told = ", ".join(f"{one.code} ({one.severity})" for one in self.findings) or "none"
        return f"<Findings on {self.design.title!r}: {told}>"

    @property
    def design(self) -> Design:
        """The design that was looked at."""
        return self.project.design

    def picture(self) -> Bytes:
        """The finished cloth, dimmed, with a numbered ring at each place.

        Returns
        -------
        ndarray
            The picture, sRGB uint8 (rows, cols, 3).
        """
        return _marked(self.project, self.findings)

    def save(self, out: StrPath) -> None:
        """Write `picture` as a .png file.

        Parameters
        ----------
        out : str or path-like
            The file to write.

        Raises
        ------
        BatikError
            For another ending, a file of the design's own, or when it can't be written.
        """
        write_as(out, {".png": lambda file: images.write_png(file, self.picture())}, own=self.project.source.own)

    def save_corrected(self, folder: StrPath) -> None:
        """Write masks that lie beside their places into a folder, moved so that they fit.

        Where one of two is off, each of them goes into a folder of its own below, to choose from. Nothing is
        written where all fit.

        Parameters
        ----------
        folder : str or path-like
            The folder to write into.

        Raises
        ------
        BatikError
            When the folder can't be written to.
        """
        _write_corrected(self.project, self.scene, Path(folder))

    @property
    def origin(self) -> Origin:
        """The design that it is of."""
        return self.project.origin

    def _data(self) -> dict[str, Any]:
        return {"findings": plain(self.findings)}

    def words(self) -> str:
        """What was found in a sentence.

        Returns
        -------
        str
            In the language that is spoken.
        """
        return str(say("notebook.checked", title=self.design.title, findings=[f.code for f in self]))

    def _more_html(self) -> str:
        from batiksim.sheets.notebook import html_of  # which a command never needs

        return "".join(map(html_of, self))


def check(
    design: StrPath | Design,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    only: str | Iterable[str] = (),
    skip: str | Iterable[str] = (),
    progress: Progress = silent,
) -> Checked:
    """Everything that the checks notice on a design, the worst first.

    Parameters
    ----------
    design : str, path-like or Design
        The design's folder, its .toml file, or a design in memory.
    folder, masks : optional
        Where the pictures of a design in memory are: see `preview`.
    only, skip : str or iterable of str, optional
        Codes of checks to run alone, or to leave out.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    Checked
        The findings in a row.

    Raises
    ------
    BatikError
        For the maker's input, or an unknown code.

    Examples
    --------
    >>> dyes = [batiksim.Dye(name="sky", colour="#3d9fb4")]
    >>> steps = [batiksim.Wax(mask="all"), batiksim.DyeBath(paints="sky")]
    >>> design = batiksim.Design(title="Hidden", cloth=batiksim.Cloth(width_mm=200), dyes=dyes, steps=steps)
    >>> found = batiksim.check(design, masks={"all": np.ones((60, 80))}, only="wasted")
    >>> [(finding.code, finding.step) for finding in found]
    [('wasted', 1), ('wasted', 2)]
    """
    only, skip = codes(only, "only"), codes(skip, "skip")
    checks.known_codes(only, field="only")
    checks.known_codes(skip, field="skip")
    project = open_design(design, folder=folder, masks=masks, progress=progress)
    scene = checks.Scene(design=as_drawn(project.design), dyes=project.dyes, masks=project.masks)

    def tell(done: int, whole: int) -> None:
        progress(done, whole, say("jobs.progress.checking"))

    findings = checks.with_remedies(checks.check(scene, only=only or None, skip=skip, tell=tell), scene)
    return Checked(project=project, scene=scene, findings=findings)


def _write_corrected(project: Project, scene: checks.Scene, folder: Path) -> None:
    """Every mask that doesn't fit, moved so that it does, marked the way the design reads it."""
    found = checks.misfits(scene)
    if not found:
        return
    with outputs.output_set(folder, spares=project.source.own) as stage:
        for one in found:
            for misfit in (one, *one.instead):
                there = stage / f"{EITHER} {misfit.use.called}" if one.instead else stage
                there.mkdir(exist_ok=True)
                _write_moved(project, misfit, checks.corrected_mask(scene, misfit), there)


def _write_moved(project: Project, misfit: checks.Misfit, moved: Bytes, folder: Path) -> None:
    file = folder / f"{Path(misfit.use.picture).stem}.png"
    if file.exists():  # two masks of one name from different folders, or one picture read in two ways
        step = next(number for number, use in project.design.mask_uses() if use == misfit.use)
        file = file.with_stem(f"{file.stem}-step-{step}")
    images.write_png(file, checks.drawn_as(moved, misfit.use.marks))


def _marked(project: Project, findings: Sequence[Finding]) -> Bytes:
    """The finished cloth with every finding that has a place ringed, and all of them in words."""
    masks = reduced_stack(project.planes, min(MARKED_PX, project.planes.shape[2]))
    program = compile_design(project.design, project.dyes, plates=all_plates(project.design)[-1:])
    cloth = render.render(program, masks)[0]
    placed = [one for one in findings if one.place is not None]
    px_per_mm = cloth.shape[1] / project.design.cloth.width_mm
    marks = [
        Mark(place.x_mm * px_per_mm, place.y_mm * px_per_mm, place.radius_mm * px_per_mm, number, one.severity)
        for number, one in enumerate(placed, start=1)
        if (place := one.place) is not None
    ]
    told = [*placed, *(one for one in findings if one.place is None)]
    notes = [f"{one.message} {one.remedy}" for one in told] or [str(NOTHING)]
    return marked_picture(cloth, marks, notes=notes, title=project.design.title)
