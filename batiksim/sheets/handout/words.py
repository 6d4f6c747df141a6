"""What a handout says of each step: what to do, with what, what it becomes, what to look for, how long."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from batiksim.dyes.recipes import recipe_words
from batiksim.sheets.handout.lesson import Lesson
from batiksim.sheets.workshop.mixing import pot_parts
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import hours_words, minutes_words, percent
from batiksim.values import Design, Discharge, DyeBath, RemoveWax, Step, Wax
from batiksim.values.plain_data import LEFT_OUT, as_data
from batiksim.values.step_words import bath_name, wax_name
from batiksim.workplan.cautions import Caution, cautions_for
from batiksim.workplan.tasks import Task, area_words

FINISHING = ("batch", "remove_wax", "wash")
_UNIT = re.compile(r"(?<=[\d⅛¼⅜½⅝¾⅞]) (?=(?:[^\W\d]{1,5}²?|°C|%)(?![\w²]))")


def together(sentences: Iterable[str | Message]) -> str:
    """Sentences in a row, their numbers held to the short words after them: units."""
    return _UNIT.sub("\u00a0", " ".join(map(str, sentences)))


@dataclass(frozen=True, kw_only=True)
class Fact:
    """Sentences under a small label. pot : "#rrggbb" of a pot that they are about, "" for none."""

    label: Message
    sentences: tuple[Message, ...] = field(metadata=as_data("text", make=together))
    pot: str = ""


@dataclass(frozen=True, kw_only=True)
class StepWords:
    """A step in words, in sentences. cautions : of its kinds of work; brief : the same in short, for a single page."""

    title: Message
    do: tuple[Message, ...] = field(metadata=as_data(make=together))
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...] = field(metadata=LEFT_OUT)
    brief: tuple[Message, ...] = field(metadata=as_data(make=together))
    note: str = ""


def step_sayings(lesson: Lesson) -> tuple[StepWords, ...]:
    """Every step of the design in words."""
    return tuple(_step(lesson, number, step) for number, step in enumerate(lesson.design.steps, start=1))


def _step(lesson: Lesson, number: int, step: Step) -> StepWords:
    if isinstance(step, Wax):
        return _wax(lesson, number, step)
    if isinstance(step, DyeBath):
        return _dye(lesson, number, step)
    return _discharge(lesson, number, step) if isinstance(step, Discharge) else _removal(lesson, number, step)


def _time(lesson: Lesson, number: int, work: str) -> list[Fact]:
    """How long one kind of work for a step takes, mixing too if it is a dyeing."""
    every = [slot for sitting in lesson.workshop.times.sittings for slot in sitting.slots]
    minutes = sum(slot.minutes for slot in every if slot.task.step == number and slot.task.work == work)
    if not minutes:
        return []
    key = "handout.step.minutes" + ("_mixing" if work == "dye" else "")
    key += "_learners" if lesson.workshop.request.makers > 1 else ""
    return [_fact("time", say(key, minutes=minutes_words(minutes)))]


def _fact(label: str, *sentences: Message) -> Fact:
    return Fact(label=say(f"handout.step.{label}"), sentences=sentences)


def _wax(lesson: Lesson, number: int, step: Wax) -> StepWords:
    use = next(use for use in lesson.workshop.waxes if use.step == number)
    earlier = any(isinstance(before, Wax) for before in lesson.design.steps[: number - 1])
    do = [say("handout.wax.later" if earlier and lesson.maps[number].closed.any() else "handout.wax.first")]
    do += [say("handout.wax.thin")] if step.grey == "thin" else []
    do += [say("handout.wax.crackle")] if step.crackle > 0 else []
    kept = tuple(dict.fromkeys(_colour(lesson, number - 1, before) for before, _, _ in lesson.maps[number].turns))
    facts = (
        _fact("with", _tool(lesson, number, step, use.tool)),
        *([_fact("keeps", say("handout.wax.colours", colours=kept))] if kept else []),
        _fact("look", say("handout.wax.look")),
        *_time(lesson, number, "wax"),
    )
    title = wax_name(lesson.design, number)
    brief = (say("handout.wax.keeps", colours=kept) if kept else do[0],)
    cautions = cautions_for("wax")
    return StepWords(title=title, do=tuple(do), facts=facts, cautions=cautions, brief=brief, note=step.note)


def _tool(lesson: Lesson, number: int, step: Wax, tool: str) -> Message:
    (reach,) = lesson.workshop.areas.of_step(number)
    paraffin = round(step.paraffin, 2)
    blend = say("handout.wax.blend", beeswax=percent(1 - paraffin, whole=True), paraffin=percent(paraffin, whole=True))
    if paraffin == 0.5:
        blend = say("handout.wax.half")
    wide = 2 * reach.mm2 / reach.edge_mm if reach.edge_mm > 0 else 1.0
    mm, metres = max(0.5, round(2 * wide) / 2), round(reach.edge_mm / 2000)
    return say(f"handout.wax.with_{tool}", mm=mm, blend=blend, area=area_words(reach.mm2), metres=metres)


def _colour(lesson: Lesson, stage: int, place: int) -> str | Message:
    """A colour of a stage in words; the bare cloth by that name."""
    name, hexed, _ = lesson.stages[stage].colours[place]
    bare = lesson.stages[0].colours[0][1]
    return say("handout.step.bare") if hexed == bare else name


def _turned(lesson: Lesson, number: int) -> list[Fact]:
    """What becomes of the colours that a step works on."""
    turns = []
    for before, after, _ in lesson.maps[number].turns:
        first, then = _colour(lesson, number - 1, before), _colour(lesson, number, after)
        same = lesson.stages[number - 1].colours[before][1] == lesson.stages[number].colours[after][1]
        key = "stays" if same else "deeper" if first == then else "turns"
        turns.append(say(f"handout.step.{key}", before=first, after=then))
    return [_fact("becomes", *dict.fromkeys(turns))] if turns else []


def _dye(lesson: Lesson, number: int, step: DyeBath) -> StepWords:
    brushed = tuple(paint.pot for paint in step.paints if paint.where is not None)
    over = tuple(paint.pot for paint in step.paints if paint.where is None)
    waxed = "_waxed" if lesson.maps[number].closed.any() else ""
    key = "both" if brushed and over else f"painted{waxed}" if brushed else f"whole{waxed}"
    painting = say(f"handout.dye.{key}", pots=tuple(dict.fromkeys([*over, *brushed])), whole=over, painted=brushed)
    look = [say(f"handout.dye.look{waxed}")]
    if any(task.work == "dry" and task.step == number for task in _tasks(lesson)):
        before_wax = isinstance(lesson.design.steps[number], Wax)
        look.append(say("handout.dye.dry" if before_wax else "handout.dye.dry_brush"))
    pots = tuple(dict.fromkeys(paint.pot for paint in step.paints))
    facts = (
        *(_pot(lesson, number, pot) for pot in pots),
        *_turned(lesson, number),
        _fact("look", *look),
        *_time(lesson, number, "dye"),
    )
    title, do, cautions = bath_name(step), (painting, *_creeping(step)), cautions_for("dye")
    brief = tuple(_recipe(lesson.design, pot) for pot in pots)
    return StepWords(title=title, do=do, facts=facts, cautions=cautions, brief=brief, note=step.note)


def _creeping(step: DyeBath) -> list[Message]:
    """Which pots creep on from where they are brushed, and how far."""
    from batiksim.cloth.effects.spread import REACH_MM  # its compiled loops are slow to import

    creeping = [paint for paint in step.paints if paint.creeps]
    if not creeping:
        return []
    pots = tuple(dict.fromkeys(paint.pot for paint in creeping))
    reach = max(REACH_MM if paint.reach_mm is None else paint.reach_mm for paint in creeping)
    meet = [say("handout.dye.spread_meet")] if len(step.paints) > 1 else []
    return [say("handout.dye.spread", pots=pots, mm=reach), *meet]


def _recipe(design: Design, name: str) -> Message:
    """A pot in words: its name, parts and strength."""
    pot = design.pot(name)
    key = {1.0: "full", 0.5: "half", 2.0: "double"}.get(pot.strength, "times")
    strength = say(f"handout.dye.{key}", share=percent(pot.strength))
    if pot.dyes == (name,):
        return say("handout.dye.alone", pot=name, strength=strength)
    return say("handout.dye.recipe", pot=name, recipe=recipe_words(pot), strength=strength)


def _pot(lesson: Lesson, number: int, name: str) -> Fact:
    """A pot with its recipe, and how it is mixed from stocks."""
    hexed = dict(lesson.stages[number].pots).get(name, "")
    key = "mix_all" if lesson.workshop.request.makers > 1 else "mix"
    mixes = [mix for mix in lesson.workshop.pots if mix.pot == name and number in mix.steps]
    how = [say(f"handout.dye.{key}", ml=mix.poured_words, parts=pot_parts(mix)) for mix in mixes[:1]]
    return Fact(label=say("handout.step.pot"), sentences=(_recipe(lesson.design, name), *how), pot=hexed)


def _discharge(lesson: Lesson, number: int, step: Discharge) -> StepWords:
    do = say("handout.discharge.part" if step.where is not None else "handout.discharge.whole")
    facts = (
        *_turned(lesson, number),
        _fact("look", say("handout.discharge.look")),
        *_time(lesson, number, "discharge"),
    )
    cautions = cautions_for("discharge")
    return StepWords(
        title=say("steps.discharge"), do=(do,), facts=facts, cautions=cautions, brief=(do,), note=step.note
    )


def _removal(lesson: Lesson, number: int, step: RemoveWax) -> StepWords:
    title, do = say("workshop.task.remove_wax"), (say("handout.remove.do"),)
    look = say("handout.remove.look")
    return _finishing(_finish_tasks(lesson, number), look, title=title, do=do, brief=do, note=step.note)


def finish_words(lesson: Lesson) -> StepWords | None:
    """What is still to do after the last step; None where that's nothing."""
    tasks = _finish_tasks(lesson, 0)
    if not tasks:
        return None
    waxed = any(task.work == "remove_wax" for task in tasks)
    look = say("handout.finish.look_waxed" if waxed else "handout.finish.look")
    brief = tuple(say("handout.finish.task", title=task.title) for task in tasks)
    return _finishing(tasks, look, title=say("handout.finish.title"), do=(), brief=brief)


def _finish_tasks(lesson: Lesson, number: int) -> list[Task]:
    """Batching, taking the wax out and washing off: of a step, or with 0 of what comes after the last."""
    return [task for task in _tasks(lesson) if task.step == number and task.work in FINISHING]


def _finishing(tasks: Sequence[Task], look: Message, **words: Any) -> StepWords:
    """Tasks in words, with their facts and cautions; words : the other fields."""
    facts = [Fact(label=task.title, sentences=tuple(filter(None, (task.detail, _long(task))))) for task in tasks]
    cautions = cautions_for(*(task.work for task in tasks))
    return StepWords(facts=(*facts, _fact("look", look)), cautions=cautions, **words)


def _tasks(lesson: Lesson) -> list[Task]:
    """Every task, in order, each once."""
    times = lesson.workshop.times
    found: list[Task] = []
    for sitting in times.sittings:
        found += [slot.task for slot in sitting.slots] + list(sitting.after)
    return list(dict.fromkeys([*found, *times.home]))


def _long(task: Task) -> Message | None:
    if task.waits and task.longest:
        return None
    words = hours_words(task.minutes / 60, task.longest / 60) if task.waits else minutes_words(task.minutes)
    return say("handout.step.minutes", minutes=words)
