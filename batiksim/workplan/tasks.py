"""The work of a cloth as a row of tasks with their minutes, and how long dye keeps and takes at a room's warmth."""

import math
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any, Literal

from batiksim.cloth.areas import StepArea, StepAreas
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import hours_words, minutes_words
from batiksim.values import Design, Discharge, DyeBath, RemoveWax, Wax
from batiksim.values.plain_data import as_data
from batiksim.values.step_words import bath_name, bath_words, wax_name
from batiksim.workplan.cautions import KINDS
from batiksim.workplan.figures import BATCHING_H, TOOL_STROKES, figure

Work = Literal[
    "prepare",
    "powders",
    "soak",
    "set_up",
    "melt",
    "trace",
    "wax",
    "dye",
    "dry",
    "discharge",
    "batch",
    "remove_wax",
    "wash",
    "clear_up",
]
CANTING_MM = 3.0  # a mean line no wider than this is taken for the canting's: it fills with up to 3 mm (published)


@dataclass(frozen=True, kw_only=True)
class Task:
    """One piece of work on one cloth.

    step : of the design, 0 for what belongs to none; minutes : how long it takes, waiting too
    mixing : of those, minutes to mix the pots, at the start; pots : that it uses
    waits : wants time but no hands, and may run overnight; splits : may go on in the next sitting
    longest : of a wait, minutes up to which more is better; 0 where that's no matter
    """

    work: Work
    step: int = 0
    title: Message
    detail: Message | None = None
    minutes: float
    mixing: float = 0.0
    pots: tuple[str, ...] = ()
    waits: bool = False
    splits: bool = False
    longest: float = field(default=0.0, metadata=as_data(make=lambda minutes: minutes or None))

    DATA = ("cautions",)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What it needs care for, as `CAUTIONS` names it."""
        return KINDS.get(self.work, ())

    @property
    def time_words(self) -> Message:
        """How long it takes, of a wait the shortest and the longest."""
        return hours_words(self.minutes / 60, self.longest / 60) if self.longest else minutes_words(self.minutes)


def pot_minutes(room_c: float) -> tuple[float, float]:
    """Minutes for which a mixed pot is at full strength, and of use, at a room temperature."""
    slower = figure("faster_per_10_c") ** ((21.0 - room_c) / 10.0)
    return figure("pot_strong_min") * slower, figure("pot_useful_min") * slower


def batching_hours(room_c: float) -> tuple[float, float]:
    """Hours to leave dyed cloth damp, shortest and longest, at a room temperature.

    Between the published temperatures by equal ratios; beyond them by the general rule of three times per 10 degC.
    """
    for (cool, *slow), (warm, *fast) in pairwise(BATCHING_H):
        if cool < room_c <= warm:
            share = (room_c - cool) / (warm - cool)
            short, long = (a * (b / a) ** share for a, b in zip(slow, fast, strict=True))
            return short, long
    end, short, long = BATCHING_H[0] if room_c <= BATCHING_H[0][0] else BATCHING_H[-1]
    slower = figure("faster_per_10_c") ** ((end - room_c) / 10.0)
    return short * slower, long * slower


def wax_tool(step: Wax, reach: StepArea) -> str:
    """The design's tool, else one by the mean width of the lines."""
    if step.tool is not None:
        return step.tool
    width_mm = 2.0 * reach.mm2 / reach.edge_mm if reach.edge_mm > 0 else math.inf
    return "canting" if width_mm <= CANTING_MM else "brush"


def wax_line_mm(tool: str, reach: StepArea) -> float:
    """How far the tool goes: along the middle of lines, and to and fro over what is wider than its stroke."""
    return max(reach.edge_mm / 2.0, reach.mm2 / TOOL_STROKES[tool][0])


def tasks_before(design: Design, *, presoak: bool) -> list[Task]:
    """What has to be done before the day: cloth washed, soaked if so wished, dyes dissolved."""
    made = [_fixed("prepare", figure("wash_cloth_min"))]
    if presoak:
        made.append(_fixed("soak", figure("soak_min")))
    paints = [paint for step in design.steps if isinstance(step, DyeBath) for paint in step.paints]
    dyes = {dye for paint in paints for dye in design.pot(paint.pot).dyes}
    if dyes:
        made.append(_fixed("powders", figure("mix_min") * (1 + len(dyes))))
    return made


def task_of(work: Work, minutes: float, *, title: Message | None = None, **more: Any) -> Task:
    """A task by the usual name of such work, unless it has a title of its own; `more` are its other fields."""
    return Task(work=work, title=title or say(f"workshop.task.{work}"), minutes=minutes, **more)


def _fixed(work: Work, minutes: float, *, step: int = 0) -> Task:
    """A task whose title and detail are the same for every design."""
    return task_of(work, minutes, step=step, detail=say(f"workshop.task.{work}.detail"))


def tasks_of(design: Design, areas: StepAreas, *, room_c: float, pace: float = 1.0) -> list[Task]:
    """Everything that is done to one cloth, in order, from framing to wash-off, in whole minutes, rounded up.

    pace : how much longer hands take than practised ones
    """
    return [replace(task, minutes=round_minutes(task.minutes)) for task in _tasks(design, areas, room_c, pace)]


def round_minutes(minutes: float) -> float:
    """Whole minutes, from twenty on whole fives, at or above what is needed."""
    step = 1 if minutes <= 20 else 5
    return float(step * math.ceil(minutes / step - 1e-9))


def _tasks(design: Design, areas: StepAreas, room_c: float, pace: float) -> list[Task]:
    made = [task_of("trace", figure("trace_min") * pace, splits=True)]
    wet = unfixed = False
    for number, step in enumerate(design.steps, start=1):
        if isinstance(step, RemoveWax):
            made += _removal(areas.of_step(number)[0].mm2, room_c, pace, step=number, unfixed=unfixed)
            wet, unfixed = unfixed, False
            continue
        if wet:
            before = say("workshop.task.dry.before_wax" if isinstance(step, Wax) else "workshop.task.dry.before_brush")
            made.append(task_of("dry", figure("dryer_min"), step=number - 1, detail=before, waits=True))
        made.append(_working(design, number, step, areas, pace))
        wet = isinstance(step, DyeBath | Discharge)
        unfixed = unfixed or isinstance(step, DyeBath)
    if areas.waxed_mm2 > 1.0 or unfixed:
        made += _removal(areas.waxed_mm2, room_c, pace, unfixed=unfixed)
    return made


def _working(design: Design, number: int, step: Wax | DyeBath | Discharge, areas: StepAreas, pace: float) -> Task:
    reaches = areas.of_step(number)
    if isinstance(step, Wax):
        tool = wax_tool(step, reaches[0])
        minutes = wax_line_mm(tool, reaches[0]) / TOOL_STROKES[tool][1] / 60.0 * pace
        metres = round(wax_line_mm(tool, reaches[0]) / 1000)
        detail = say(f"workshop.task.wax.{tool}", area=area_words(reaches[0].mm2), metres=metres)
        title = wax_name(design, number)
        return task_of("wax", max(2, minutes), step=number, title=title, detail=detail, splits=True)
    if isinstance(step, Discharge):
        minutes = _brushing(reaches[0], step.where is not None) * pace + figure("bleach_min")
        detail = say("workshop.task.discharge.detail", area=area_words(reaches[0].mm2))
        return task_of("discharge", minutes, step=number, detail=detail)
    pots = tuple(dict.fromkeys(paint.pot for paint in step.paints))
    mixing = figure("mix_min") * (1 + len(pots))
    whole = zip(step.paints, reaches, strict=True)
    brushing = sum(_brushing(reach, paint.where is not None) for paint, reach in whole) * pace
    minutes = mixing + max(2.0, brushing)
    area = area_words(sum(reach.mm2 for reach in reaches))
    detail = say("workshop.task.dye.detail", area=area, how=bath_words(step))
    return task_of("dye", minutes, step=number, title=bath_name(step), detail=detail, mixing=mixing, pots=pots)


def _brushing(reach: StepArea, masked: bool) -> float:
    """Minutes to brush on what a mask marks, or the whole cloth; over wax the brush goes on as quickly."""
    return reach.marked_mm2 / figure("brush_mm2_s" if masked else "wide_mm2_s") / 60.0


def _removal(mm2: float, room_c: float, pace: float, *, step: int = 0, unfixed: bool) -> list[Task]:
    """Batch, take the wax out, wash off; what isn't needed left out."""
    made = []
    if unfixed:
        short, long = batching_hours(room_c)
        detail = say("workshop.task.batch.detail", hours=hours_words(short, long), room=room_c)
        made.append(task_of("batch", short * 60, step=step, detail=detail, waits=True, longest=long * 60))
    if mm2 > 1.0:
        minutes = figure("wax_out_min") + mm2 / figure("wax_out_mm2_s") / 60.0 * pace
        made.append(_fixed("remove_wax", minutes, step=step))
    if unfixed:
        made.append(_fixed("wash", figure("wash_off_min"), step=step))
    return made


def area_words(mm2: float) -> Message:
    """An area, in whole square centimetres unless it is small."""
    return say("workshop.amount.cm2", area=round(mm2 / 100) if mm2 >= 950 else round(mm2 / 100, 1))
