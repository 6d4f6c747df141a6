"""What a tutor hands out: a design's handout, and the risk sheet of the class."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from batiksim.cloth.stages import stages as stages_of
from batiksim.dyes import overdye
from batiksim.files.outputs import output_file
from batiksim.jobs.previews import engine_ready, plates_at
from batiksim.jobs.projects import Project, open_design, output_ending, reduced_stack
from batiksim.jobs.results import Written
from batiksim.jobs.sources import codes
from batiksim.jobs.workshops import PlannedWorkshop, plan_of, request_of
from batiksim.sheets.handout.handout import FINISHED_PX, MAP_PX, PLATE_PX, handout_pdf
from batiksim.sheets.handout.lesson import HandoutOptions as HandoutOptions
from batiksim.sheets.handout.lesson import Lesson
from batiksim.sheets.handout.maps import step_maps
from batiksim.sheets.workshop.risk import risk_pdf
from batiksim.texts.catalogue import Message, say
from batiksim.texts.progress import Progress, silent
from batiksim.types import StrPath
from batiksim.values import Design, DyeBath, Pot
from batiksim.values.papers import PAPER


@dataclass(frozen=True, kw_only=True)
class Printed(Written):
    """A PDF that was written, and what was worked out because the design didn't say."""

    file: Path
    assumed: tuple[Message, ...]


def handout(
    design: StrPath | Design,
    out: StrPath,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    paper: str = "a4",
    sections: str | Iterable[str] = (),
    one_page: bool = False,
    learner: bool = False,
    makers: int = 1,
    room_c: float = 20.0,
    sessions: str = "",
    presoak: bool = False,
    hard_water: bool = False,
    waste: float | None = None,
    progress: Progress = silent,
) -> Printed:
    """Write a design's handout for a class as a PDF.

    Parameters
    ----------
    design : str, path-like or Design
        The design's folder, its .toml file, or a design in memory.
    out : str or path-like
        The file to write, .pdf.
    folder, masks : optional
        Where the pictures of a design in memory are: see `preview`.
    paper : {"a4", "letter"}
        The paper.
    sections : str or iterable of str, optional
        Parts of it by name, all when left out.
    one_page, learner : bool, default: False
        The one-page version; the version for learners.
    makers, room_c, sessions, presoak, hard_water, waste : optional
        The class that its amounts and times are for: see `workshop`.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    Printed
        The file, and what was worked out because the design didn't say.

    Raises
    ------
    BatikError
        For the design or an option, for a name that doesn't end in .pdf, or when it can't be written.

    Examples
    --------
    >>> steps = [batiksim.DyeBath(paints="sky")]
    >>> dyes = [batiksim.Dye(name="sky", colour="#3d9fb4")]
    >>> design = batiksim.Design(title="Sky", cloth=batiksim.Cloth(width_mm=300), dyes=dyes, steps=steps)
    >>> batiksim.handout(design, "handout.pdf", one_page=True).file.name
    'handout.pdf'
    """
    request = request_of(makers, room_c, sessions, presoak, hard_water, waste)
    options = HandoutOptions(paper=paper, sections=codes(sections, "sections"), one_page=one_page, learner=learner)
    output_ending(out, (".pdf",))
    target = Path(out)
    with engine_ready():
        project = open_design(design, folder=folder, masks=masks, out=target, progress=progress)
    planned = plan_of(project, request)
    progress(0, 3, say("jobs.progress.plates"))
    stages = stages_of(project.outcome)
    plates = plates_at(project, (PLATE_PX,), (FINISHED_PX,))
    progress(1, 3, say("jobs.progress.drawing"))
    lesson = Lesson(
        design=project.design,
        workshop=planned.plan,
        shopping=planned.shopping,
        stages=stages,
        maps=step_maps(project.outcome, stages, reduced_stack(project.planes, MAP_PX)),
        plates=plates,
        chart=_chart(project),
    )
    progress(2, 3, say("jobs.progress.sheets"))
    return _printed(target, handout_pdf(lesson, options), planned)


def risk(
    design: StrPath | Design,
    out: StrPath,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    paper: str = "a4",
    makers: int = 1,
    room_c: float = 20.0,
    sessions: str = "",
    presoak: bool = False,
    hard_water: bool = False,
    waste: float | None = None,
    progress: Progress = silent,
) -> Printed:
    """Write the risk sheet of a class that makes a design as a PDF, for the tutor to complete.

    Labels, local rules and qualified advice come before anything it says.

    Parameters
    ----------
    design : str, path-like or Design
        The design's folder, its .toml file, or a design in memory.
    out : str or path-like
        The file to write, .pdf.
    folder, masks : optional
        Where the pictures of a design in memory are: see `preview`.
    paper : {"a4", "letter"}
        The paper.
    makers, room_c, sessions, presoak, hard_water, waste : optional
        The class: see `workshop`.
    progress : callable, optional
        Called with how far of how much, and what is being done. What it raises stops the work and passes through.

    Returns
    -------
    Printed
        The file, and what was worked out because the design didn't say.

    Raises
    ------
    BatikError
        As of `handout`.

    Examples
    --------
    >>> design = batiksim.Design(title="Bare", cloth=batiksim.Cloth(width_mm=300))
    >>> batiksim.risk(design, "risk.pdf", makers=8).file.name
    'risk.pdf'
    """
    request = request_of(makers, room_c, sessions, presoak, hard_water, waste)
    paper = PAPER.check(paper, "paper")
    output_ending(out, (".pdf",))
    target = Path(out)
    planned = plan_of(open_design(design, folder=folder, masks=masks, out=target, progress=progress), request)
    return _printed(target, risk_pdf(planned.plan, paper=paper), planned)


def _printed(target: Path, pdf: bytes, planned: PlannedWorkshop) -> Printed:
    with output_file(target) as file:
        file.write(pdf)
    return Printed(of=planned.origin, file=target, assumed=planned.assumed)


def _chart(project: Project) -> overdye.Overdye | None:
    """The overdye chart of the dyes that reach the cloth."""
    design = project.design
    used = [paint.pot for step in design.steps if isinstance(step, DyeBath) for paint in step.paints]
    names = list(dict.fromkeys(dye for pot in used for dye in design.pot(pot).dyes))
    if not names:
        return None
    pots = [Pot(name=name, parts={name: 1.0}) for name in names[: overdye.MOST]]
    return overdye.overdye(project.dyes, pots, title=design.title)
