"""What a maker prints or shows: tracing sheets, strips to dye for a calibration, a cloth's stages."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from batiksim.calibration import strip_plan
from batiksim.cloth.stages import stages as stages_of
from batiksim.colour import spectra
from batiksim.colour.gamut import xyz_to_hex
from batiksim.errors import BatikError
from batiksim.files import outputs
from batiksim.files.made_by import is_marked
from batiksim.files.pictures import images
from batiksim.files.toml.strips import strip_text
from batiksim.jobs.dyes import DyeSource, chosen_pots, dyes_of
from batiksim.jobs.previews import engine_ready, full_plates, sheet_of
from batiksim.jobs.projects import open_design, output_ending, read_masks
from batiksim.jobs.results import Written
from batiksim.jobs.sources import source_of
from batiksim.sheets.plates.animation import ENDINGS, animation
from batiksim.sheets.plates.stages import stages_sheet
from batiksim.sheets.strip import strip_pdf
from batiksim.sheets.trace.layout import whole_page
from batiksim.sheets.trace.lines import tracing_of
from batiksim.sheets.trace.sheets import LARGEST_MM, large_pdf, large_svg, sheets_pdf
from batiksim.texts.catalogue import Message, say
from batiksim.texts.progress import Progress, silent
from batiksim.types import StrPath
from batiksim.values import COTTON, Design, Wax
from batiksim.values.papers import PAPER
from batiksim.values.plain_data import as_data

SHEETS_NAME, LARGE_NAME = "sheets.pdf", "large.pdf"
STRIP_SHEET = "strip.pdf"
SHEET_PX = 1600  # width of the plates that a stages sheet is drawn from


@dataclass(frozen=True, kw_only=True)
class SavedTracing(Written):
    """What was written: the folder, its files, how many sheets to trace, pages with maps, and what to know."""

    folder: Path
    files: tuple[str, ...]
    sheets: int
    pages: int
    notes: tuple[Message, ...]


def trace(
    design: StrPath | Design,
    out: StrPath,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    paper: str = "a4",
    mirror: bool = False,
    progress: Progress = silent,
) -> SavedTracing:
    """Write sheets.pdf, large.pdf and large-step-1.svg ...: outlines of every waxing at true size.

    A cloth too large for sheets of paper, or for a PDF page, gets the others, and a note says so.

    Parameters
    ----------
    design : str, path-like or Design
        The design's folder, its .toml file, or a design in memory.
    out : str or path-like
        The folder to write into.
    folder, masks : optional
        Where the pictures of a design in memory are: see `preview`.
    paper : {"a4", "letter"}
        The paper of the sheets.
    mirror : bool, default: False
        As seen from the cloth's back.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    SavedTracing
        The files, and how many sheets and pages there are.

    Raises
    ------
    BatikError
        For the design or an option, a design without wax, or a folder that can't be written to.

    Examples
    --------
    >>> design = batiksim.Design(title="Bar", cloth=batiksim.Cloth(width_mm=100), steps=[batiksim.Wax(mask="bar")])
    >>> bar = np.zeros((60, 80))
    >>> bar[20:40] = 1.0
    >>> batiksim.trace(design, "tracing", masks={"bar": bar}).files
    ('large-step-1.svg', 'large.pdf', 'sheets.pdf')
    """
    paper = PAPER.check(paper, "paper")
    source = source_of(design, folder=folder, masks=masks)
    steps = source.design.steps
    uses = {step.mask: number for number, step in reversed(list(enumerate(steps, 1))) if isinstance(step, Wax)}
    if not uses:
        raise BatikError("jobs.error.nothing_to_trace", file=source.file)
    stack, assumed = read_masks(source, uses, threads=2)
    progress(1, 1, say("jobs.progress.masks"))
    progress(0, 2, say("jobs.progress.outlines"))
    tracing = tracing_of(source.design, dict(zip(uses, stack.masks, strict=True)), mirror=mirror)
    progress(1, 2, say("jobs.progress.sheets"))
    made = sheets_pdf(tracing, paper=paper)
    notes = [*assumed, *made.notes]
    page = whole_page(tracing.width_mm, tracing.height_mm).page
    with outputs.output_set(
        out,
        makes=(SHEETS_NAME, LARGE_NAME, *(_svg_name(lines.step) for lines in tracing.waxings)),
        replaces=_made_before(Path(out)),
        spares=source.own,
    ) as stage:
        if made.pdf:
            (stage / SHEETS_NAME).write_bytes(made.pdf)
        if max(page.wide, page.high) <= LARGEST_MM:
            (stage / LARGE_NAME).write_bytes(large_pdf(tracing))
        else:
            notes.append(say("trace.too_large"))
        for lines in tracing.waxings:
            (stage / _svg_name(lines.step)).write_text(large_svg(tracing, lines), encoding="utf-8")
        files = tuple(sorted(entry.name for entry in stage.iterdir()))
    return SavedTracing(
        of=source.origin, folder=Path(out), files=files, sheets=made.sheets, pages=made.pages, notes=tuple(notes)
    )


def _svg_name(step: int) -> str:
    return f"large-step-{step}.svg"


def _made_before(folder: Path) -> tuple[str, ...]:
    """Large drawings that an earlier tracing left in a folder; not a maker's own of such a name."""
    found = [folder / _svg_name(step) for step in range(1, 1000)]
    return tuple(file.name for file in found if is_marked(file))


@dataclass(frozen=True, kw_only=True)
class SavedStages(Written):
    """What was drawn: the file, and what was worked out because the design didn't say."""

    file: Path
    assumed: tuple[Message, ...]


def _strips_data(strips: Iterable[tuple[str, tuple[str, ...]]]) -> list[dict[str, Any]]:
    return [{"file": file, "dyes": list(dyes)} for file, dyes in strips]


@dataclass(frozen=True, kw_only=True)
class SavedStrips(Written):
    """What was written: the folder, the sheet, and each strip's file with its dyes.

    cloth : "#rrggbb", undyed; cloth_assumed : nobody has said so
    """

    folder: Path
    sheet: str
    strips: tuple[tuple[str, tuple[str, ...]], ...] = field(metadata=as_data(make=_strips_data))
    cloth: str
    cloth_assumed: bool


def strip(
    dyes: DyeSource,
    out: StrPath,
    *,
    folder: StrPath | None = None,
    only: str | Iterable[str] = (),
    cloth: str | None = None,
    card: float | None = strip_plan.CARD,
    paper: str = "a4",
) -> SavedStrips:
    """Write strip.pdf, what to dye where at true size, and the strip file that `calibrate` reads.

    Parameters
    ----------
    dyes : str, path-like, Design or DyeBook
        A dye book's .toml file, "demo" for the built-in book, or a design.
    out : str or path-like
        The folder to write into.
    folder : str or path-like, optional
        Where the files of a design in memory lie.
    only : str or iterable of str, optional
        Some of its dyes, all when left out.
    cloth : str, optional
        Colour of the undyed cloth, "#rrggbb".
    card : float or None
        Reflectance of the card in the photo, 0.01 to 1; None without one.
    paper : {"a4", "letter"}
        The paper.

    Returns
    -------
    SavedStrips
        The sheet, and each strip's file with its dyes.

    Raises
    ------
    BatikError
        For the book or design or an option, or for a folder that can't be written to.

    Examples
    --------
    >>> batiksim.strip("demo", "strip", only=["lemon", "turquoise"]).strips
    (('strip.toml', ('lemon', 'turquoise')),)
    """
    paper = PAPER.check(paper, "paper")
    if card is not None and not 0.01 <= card <= 1:
        raise BatikError("jobs.error.card", field="card", got=card)
    there = dyes_of(dyes, folder=folder, cloth=cloth)
    names = [pot.name for pot in chosen_pots(replace(there, pots=()), only=only)]
    undyed = xyz_to_hex(spectra.reflectance_to_xyz(there.dyes.reflectance()))
    assumed = cloth is None and undyed == COTTON
    plans = strip_plan.strip_plans(names, title=there.title, cloth=undyed, card=card)
    files = tuple(f"strip-{number}.toml" if len(plans) > 1 else "strip.toml" for number in range(1, len(plans) + 1))
    full = {name: there.dyes.reflectance(there.dyes.dyes[name].ks) for name in names}
    hexes = {name: xyz_to_hex(spectra.reflectance_to_xyz(seen)) for name, seen in full.items()}
    pdf = strip_pdf(plans, files, hexes=hexes, paper=paper)
    with outputs.output_set(out) as stage:
        (stage / STRIP_SHEET).write_bytes(pdf)
        for plan, file in zip(plans, files, strict=True):
            (stage / file).write_text(_strip_file(plan, assumed=assumed), encoding="utf-8")
    made = tuple((file, plan.dyes) for file, plan in zip(files, plans, strict=True))
    return SavedStrips(
        of=there.origin, folder=Path(out), sheet=STRIP_SHEET, strips=made, cloth=undyed, cloth_assumed=assumed
    )


def _strip_file(plan: strip_plan.StripPlan, *, assumed: bool) -> str:
    (wide, high), (left, top, width, height) = plan.size, plan.card_box
    return strip_text(
        str(plan.heading),
        plan.cells,
        columns=strip_plan.COLUMNS,
        gap=strip_plan.GAP,
        cloth=plan.cloth,
        cloth_assumed=assumed,
        card=None if plan.card is None else (plan.card, (left / wide, top / high, width / wide, height / high)),
    )


def stages(
    design: StrPath | Design,
    out: StrPath,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    animate: bool = False,
    width_px: int = 560,
    progress: Progress = silent,
) -> SavedStages:
    """Draw all stages of a design as one sheet (.png), or let the cloth grow in a small moving picture (.gif, .webp).

    Parameters
    ----------
    design : str, path-like or Design
        The design's folder, its .toml file, or a design in memory.
    out : str or path-like
        The file to write.
    folder, masks : optional
        Where the pictures of a design in memory are: see `preview`.
    animate : bool, default: False
        Let it move.
    width_px : int, default: 560
        Width of the moving picture in pixels.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    SavedStages
        The file, and what was worked out because the design didn't say.

    Raises
    ------
    BatikError
        For the design or an option, another ending, or when the file can't be written.

    Examples
    --------
    >>> design = batiksim.Design(title="Bare", cloth=batiksim.Cloth(width_mm=300))
    >>> batiksim.stages(design, "stages.png").file.name
    'stages.png'
    """
    target = Path(out)
    if not animate and target.suffix.lower() in ENDINGS:
        raise BatikError("jobs.error.animate", field="out", got=target.name)
    ending = output_ending(out, ENDINGS if animate else (".png",))
    wide = max(2 * width_px if animate else SHEET_PX, 240)
    with engine_ready():
        project = open_design(design, folder=folder, masks=masks, width_px=wide, out=target, progress=progress)
    small = full_plates(project, progress=progress)
    sheet = sheet_of(project.design, stages_of(project.outcome), small, small[0].shape[:2])
    progress(0, 1, say("jobs.progress.drawing"))
    if animate:
        moving = animation(sheet, width_px=width_px, ending=ending)
        with outputs.output_file(target) as file:
            file.write(moving)
    else:
        images.write_png(target, stages_sheet(sheet))
    return SavedStages(of=project.origin, file=target, assumed=project.assumed)
