"""What a maker prints or shows: tracing sheets, strips to dye for a calibration, a cloth's stages."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from batiksim.calibration import strip_plan
from batiksim.colour import spectra
from batiksim.colour.gamut import xyz_to_hex
from batiksim.errors import BatikError, argument, in_file
from batiksim.files import outputs
from batiksim.files.made_by import is_marked
from batiksim.files.pictures import images
from batiksim.files.toml import designs
from batiksim.files.toml.strips import strip_text
from batiksim.jobs.dyes import chosen_pots, dyes_of
from batiksim.jobs.previews import engine_ready, preview, sheet_of
from batiksim.jobs.projects import Progress, open_design, output_ending, read_masks, silent
from batiksim.sheets.plates.animation import ENDINGS, animation
from batiksim.sheets.plates.stages import stages_sheet
from batiksim.sheets.strip import strip_pdf
from batiksim.sheets.trace.layout import whole_page
from batiksim.sheets.trace.lines import tracing_of
from batiksim.sheets.trace.sheets import LARGEST_MM, large_pdf, large_svg, sheets_pdf
from batiksim.texts.catalogue import Message, say
from batiksim.types import StrPath
from batiksim.values import COTTON, Wax

SHEETS_NAME, LARGE_NAME = "sheets.pdf", "large.pdf"
STRIP_SHEET = "strip.pdf"
SHEET_PX = 1600  # width of the plates that a stages sheet is drawn from


@dataclass(frozen=True, kw_only=True)
class SavedTracing:
    """What was written: the folder, its files, how many sheets to trace, pages with maps, and what to know."""

    folder: Path
    files: tuple[str, ...]
    sheets: int
    pages: int
    notes: tuple[Message, ...]


def trace(
    path: StrPath, out: StrPath, *, paper: str = "a4", mirror: bool = False, progress: Progress = silent
) -> SavedTracing:
    """Write sheets.pdf, large.pdf and large-step-1.svg ...: outlines of every waxing at true size.

    A cloth too large for sheets of paper, or for a PDF page, gets the others, and a note says so.
    paper : "a4" or "letter"; mirror : as seen from the cloth's back
    errors : BatikError for the maker's input, a design without wax, or a folder that can't be written to
    """
    design = designs.read_design(path)
    file = designs.design_file(path)
    uses = {step.mask: number for number, step in reversed(list(enumerate(design.steps, 1))) if isinstance(step, Wax)}
    if not uses:
        raise BatikError("jobs.error.nothing_to_trace", file=file)
    stack, assumed = read_masks(file, uses, threads=2)
    progress(1, 1, say("jobs.progress.masks"))
    progress(0, 2, say("jobs.progress.outlines"))
    tracing = tracing_of(design, dict(zip(uses, stack.masks, strict=True)), mirror=mirror)
    progress(1, 2, say("jobs.progress.sheets"))
    made = sheets_pdf(tracing, paper=paper)
    notes = [*assumed, *made.notes]
    page = whole_page(tracing.width_mm, tracing.height_mm).page
    with outputs.output_set(
        out,
        makes=(SHEETS_NAME, LARGE_NAME, *(_svg_name(lines.step) for lines in tracing.waxings)),
        replaces=_made_before(Path(out)),
        spares=[file.parent / use.picture for use in uses],
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
    return SavedTracing(folder=Path(out), files=files, sheets=made.sheets, pages=made.pages, notes=tuple(notes))


def _svg_name(step: int) -> str:
    return f"large-step-{step}.svg"


def _made_before(folder: Path) -> tuple[str, ...]:
    """Large drawings that an earlier tracing left in a folder; not a maker's own of such a name."""
    found = [folder / _svg_name(step) for step in range(1, 1000)]
    return tuple(file.name for file in found if is_marked(file))


@dataclass(frozen=True, kw_only=True)
class SavedStrips:
    """What was written: the folder, the sheet, and each strip's file with its dyes."""

    folder: Path
    sheet: str
    strips: tuple[tuple[str, tuple[str, ...]], ...]


def save_strips(
    source: StrPath,
    out: StrPath,
    *,
    only: Sequence[str] = (),
    cloth: str | None = None,
    card: float | None = strip_plan.CARD,
    paper: str = "a4",
) -> SavedStrips:
    """Write strip.pdf, what to dye where at true size, and the strip file that `calibrate` reads.

    source : a design, a dye book or "demo"; only : some of its dyes, all when left out
    cloth : colour of the undyed cloth; card : reflectance of the card in the photo, 0.01..1; None without one
    errors : BatikError for the maker's input, or for a folder that can't be written to
    """
    if card is not None and not 0.01 <= card <= 1:
        raise BatikError("jobs.error.card", field="card", got=card)
    there = dyes_of(source, cloth=cloth)
    names = [pot.name for pot in chosen_pots(replace(there, pots=()), source, only=only)]
    undyed = xyz_to_hex(spectra.reflectance_to_xyz(there.dyes.reflectance()))
    assumed = cloth is None and undyed == COTTON
    with in_file(source):
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
    return SavedStrips(folder=Path(out), sheet=STRIP_SHEET, strips=made)


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


def save_stages(
    path: StrPath, out: StrPath, *, animate: bool = False, width_px: int = 560, progress: Progress = silent
) -> Path:
    """Draw all stages of a design as one sheet (.png), or let the cloth grow in a small moving picture (.gif, .webp).

    animate : move; width_px : of the moving picture
    errors : BatikError for the maker's input, another ending, or when the file can't be written
    """
    target = Path(out)
    if not animate and target.suffix.lower() in ENDINGS:
        raise BatikError("jobs.error.animate", field="out", got=target.name, animate=argument("animate"))
    ending = output_ending(out, ENDINGS if animate else (".png",))
    with engine_ready():
        project = open_design(path, width_px=max(2 * width_px if animate else SHEET_PX, 240), out=target)
    shown = preview(project)
    small = [*shown.plates, shown.cloth]
    sheet = sheet_of(shown.project.design, shown.stages, small, shown.cloth.shape[:2])
    progress(0, 1, say("jobs.progress.drawing"))
    if animate:
        moving = animation(sheet, width_px=width_px, ending=ending)
        with outputs.output_file(target) as file:
            file.write(moving)
    else:
        images.write_png(target, stages_sheet(sheet))
    return target
