"""What would spoil the cloth, found and marked."""

from collections.abc import Sequence
from pathlib import Path

from batiksim import checks
from batiksim.checks import NOTHING as NOTHING
from batiksim.checks import QUICK_NOTHING as QUICK_NOTHING
from batiksim.cloth import render
from batiksim.cloth.effects.effective_masks import as_drawn
from batiksim.cloth.program import all_plates, compile_design, design_masks
from batiksim.files import outputs
from batiksim.files.pictures import images
from batiksim.files.sources import keep_apart, source_files
from batiksim.jobs.projects import Progress, Project, open_design, output_ending, own_files, reduced_stack, silent
from batiksim.sheets.marked import Mark, marked_picture
from batiksim.types import Bytes, StrPath
from batiksim.values import Finding

EITHER = "either"  # how folders begin that hold masks of which only some are to be moved
MARKED_PX = 1600  # width of the marked picture's cloth


def check(
    path: StrPath,
    *,
    only: Sequence[str] = (),
    skip: Sequence[str] = (),
    out: StrPath | None = None,
    corrected: StrPath | None = None,
    progress: Progress = silent,
) -> tuple[Finding, ...]:
    """Everything that the checks notice on a design, the worst first.

    only, skip : codes of checks to run alone or to leave out
    out : write the finished cloth there, dimmed, with a numbered ring at each place (.png)
    corrected : write masks that lie beside their places into this folder, moved so that they fit; where one of two is
        off, each of them into a folder of its own below, to choose from
    errors : BatikError for the maker's input, an unknown code, or a file that can't be written
        or belongs to the design
    """
    checks.known_codes(only, field="only")
    checks.known_codes(skip, field="skip")
    if out is not None:
        output_ending(out, (".png",))
        keep_apart(out, source_files(path))
    project = open_design(path, progress=progress)
    drawn = as_drawn(project.design)
    findings = checks.check(
        checks.Scene(design=drawn, dyes=project.dyes, masks=project.masks), only=only or None, skip=skip
    )
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
    with outputs.output_set(folder, spares=own_files(project)) as stage:
        for one in found:
            for misfit in (one, *one.instead):
                there = stage / f"{EITHER} {misfit.use.called}" if one.instead else stage
                there.mkdir(exist_ok=True)
                _write_moved(project, misfit, there)


def _write_moved(project: Project, misfit: checks.Misfit, folder: Path) -> None:
    mask = project.masks[design_masks(project.design).index(misfit.use)]
    moved = checks.corrected(mask, misfit, px_per_mm=mask.shape[1] / project.design.cloth.width_mm)
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
