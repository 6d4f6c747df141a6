"""What a tutor hands out: a design's handout, and the risk sheet of the class."""

from dataclasses import dataclass
from pathlib import Path

from batiksim.cloth.stages import stages as stages_of
from batiksim.dyes import overdye
from batiksim.files.outputs import output_file
from batiksim.jobs.previews import engine_ready, plates_at
from batiksim.jobs.projects import Progress, Project, open_design, output_ending, reduced_stack, silent
from batiksim.jobs.workshops import PlannedWorkshop
from batiksim.jobs.workshops import workshop as plan_workshop
from batiksim.sheets.handout.handout import FINISHED_PX, MAP_PX, PLATE_PX, handout_pdf
from batiksim.sheets.handout.lesson import USUAL_HANDOUT, Lesson
from batiksim.sheets.handout.lesson import HandoutOptions as HandoutOptions
from batiksim.sheets.handout.maps import step_maps
from batiksim.sheets.workshop.risk import risk_pdf
from batiksim.texts.catalogue import Message
from batiksim.types import StrPath
from batiksim.values import DyeBath, Pot
from batiksim.workplan.values import USUAL_WORKSHOP, WorkshopRequest


@dataclass(frozen=True, kw_only=True)
class Printed:
    """A PDF that was written, and what was worked out because the design didn't say."""

    file: Path
    assumed: tuple[Message, ...]


def handout(
    path: StrPath,
    out: StrPath,
    options: HandoutOptions = USUAL_HANDOUT,
    *,
    workshop: WorkshopRequest = USUAL_WORKSHOP,
    progress: Progress = silent,
) -> Printed:
    """Write a design's handout as a PDF. workshop : the class that its amounts and times are for.

    errors : BatikError for the maker's input, for a name that doesn't end in .pdf, or when it can't be written
    """
    output_ending(out, (".pdf",))
    target = Path(out)
    with engine_ready():
        project = open_design(path, out=target, progress=progress)
    planned = plan_workshop(project, workshop)
    stages = stages_of(project.outcome)
    lesson = Lesson(
        design=project.design,
        workshop=planned.plan,
        shopping=planned.shopping,
        stages=stages,
        maps=step_maps(project.outcome, stages, reduced_stack(project.planes, MAP_PX)),
        plates=plates_at(project, (PLATE_PX,), (FINISHED_PX,)),
        chart=_chart(project),
    )
    return _printed(target, handout_pdf(lesson, options), planned)


def save_risk(
    path: StrPath,
    out: StrPath,
    options: HandoutOptions = USUAL_HANDOUT,
    *,
    workshop: WorkshopRequest = USUAL_WORKSHOP,
    progress: Progress = silent,
) -> Printed:
    """Write the risk sheet of a class that makes a design as a PDF: its paper is that of `options`.

    Errors as of `handout`.
    """
    output_ending(out, (".pdf",))
    target = Path(out)
    planned = plan_workshop(open_design(path, out=target, progress=progress), workshop)
    return _printed(target, risk_pdf(planned.plan, paper=options.paper), planned)


def _printed(target: Path, pdf: bytes, planned: PlannedWorkshop) -> Printed:
    with output_file(target) as file:
        file.write(pdf)
    return Printed(file=target, assumed=planned.assumed)


def _chart(project: Project) -> overdye.Overdye | None:
    """The overdye chart of the dyes that reach the cloth."""
    design = project.design
    used = [paint.pot for step in design.steps if isinstance(step, DyeBath) for paint in step.paints]
    names = list(dict.fromkeys(dye for pot in used for dye in design.pot(pot).dyes))
    if not names:
        return None
    pots = [Pot(name=name, parts={name: 1.0}) for name in names[: overdye.MOST]]
    return overdye.overdye(project.dyes, pots, title=design.title)
