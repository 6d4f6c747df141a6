"""What a handout says of each step: what to do, with what, what it becomes, what to look for, how long."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from batiksim.dyes.recipes import recipe_words
from batiksim.sheets.handout.lesson import Lesson
from batiksim.texts.catalogue import Texts
from batiksim.texts.phrases import capital
from batiksim.texts.times import minutes_words
from batiksim.values import Design, Discharge, DyeBath, RemoveWax, Step, Wax
from batiksim.values.step_words import step_words, wax_name
from batiksim.workshop.cautions import Caution, cautions_for
from batiksim.workshop.measures import amount_words, together_words
from batiksim.workshop.tasks import Task, hours_words
from batiksim.workshop.values import PotMix

FINISHING = ("batch", "remove_wax", "wash")


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One thing told under a small label. pot : "#rrggbb" of a pot that it is about, "" for none."""

    label: str
    text: str
    pot: str = ""


@dataclass(frozen=True, kw_only=True)
class StepWords:
    """A step in words. cautions : of its kinds of work; brief : the same in a line or two, for a single page."""

    title: str
    do: str
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    brief: str
    note: str = ""


def listed(words: Sequence[str], texts: Texts) -> str:
    """Words in a row: "a", "a and b", "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {texts('handout.and')} {words[-1]}"


_UNIT = re.compile(r"(?<=[\d⅛¼⅜½⅝¾⅞]) (?=(?:ml|l|g|kg|tsp|tbsp|drops?|min|h|mm|cm|m|cm²|°C|%)(?![\w²]))")


def plain(text: str) -> str:
    """A text with its numbers held to their units."""
    return _UNIT.sub("\u00a0", text)


def colour_words(lesson: Lesson, stage: int, texts: Texts, *, most: int = 9) -> str:
    """The colours of a plate in a row."""
    names = dict.fromkeys(texts.shown(name) for name, _, _ in lesson.stages[stage].colours[:most])
    return listed(list(names), texts)


def step_sayings(lesson: Lesson, texts: Texts) -> tuple[StepWords, ...]:
    """Every step of the design in words."""
    return tuple(_step(lesson, number, texts) for number in range(1, len(lesson.design.steps) + 1))


def _step(lesson: Lesson, number: int, texts: Texts) -> StepWords:
    step = lesson.design.steps[number - 1]
    if isinstance(step, Wax):
        return _wax(lesson, number, step, texts)
    if isinstance(step, DyeBath):
        return _dye(lesson, number, step, texts)
    return _discharge(lesson, number, step, texts) if isinstance(step, Discharge) else _removal(lesson, number, texts)


def _slots(lesson: Lesson, number: int, work: str) -> float:
    """Minutes of one kind of work for a step."""
    every = [slot for sitting in lesson.workshop.times.sittings for slot in sitting.slots]
    return sum(slot.minutes for slot in every if slot.task.step == number and slot.task.work == work)


def _time(lesson: Lesson, number: int, work: str, texts: Texts, *, mixing: bool = False) -> list[Fact]:
    minutes = _slots(lesson, number, work)
    if not minutes:
        return []
    key = "handout.step.minutes" + ("_mixing" if mixing else "")
    key += "_learners" if lesson.workshop.request.makers > 1 else ""
    return [Fact(label=texts("handout.step.time"), text=texts(key, minutes=minutes_words(minutes)))]


def _wax(lesson: Lesson, number: int, step: Wax, texts: Texts) -> StepWords:
    use = next(one for one in lesson.workshop.waxes if one.step == number)
    earlier = any(isinstance(one, Wax) for one in lesson.design.steps[: number - 1])
    do = [texts("handout.wax.later" if earlier and lesson.maps[number].closed.any() else "handout.wax.first")]
    do += [texts("handout.wax.thin")] if step.grey == "thin" else []
    do += [texts("handout.wax.crackle")] if step.crackle > 0 else []
    title = texts.shown(wax_name(lesson.design, number))
    facts = [
        Fact(label=texts("handout.step.with"), text=_tool(lesson, number, step, use.tool, texts)),
        *_kept(lesson, number, texts),
        Fact(label=texts("handout.step.look"), text=texts("handout.wax.look")),
        *_time(lesson, number, "wax", texts),
    ]
    kept = next((fact.text for fact in facts if fact.label == texts("handout.step.keeps")), "")
    brief = f"{texts('handout.step.keeps')} {kept[:1].lower()}{kept[1:]}" if kept else do[0]
    return StepWords(
        title=title, do=" ".join(do), facts=tuple(facts), cautions=cautions_for("wax"), brief=brief, note=step.note
    )


def _tool(lesson: Lesson, number: int, step: Wax, tool: str, texts: Texts) -> str:
    (reach,) = lesson.workshop.areas.of_step(number)
    share = round(100 * step.paraffin)
    blend = (
        texts("handout.wax.half") if share == 50 else texts("handout.wax.blend", beeswax=100 - share, paraffin=share)
    )
    wide = 2 * reach.mm2 / reach.edge_mm if reach.edge_mm > 0 else 1.0
    mm = f"{max(0.5, round(2 * wide) / 2):g}"
    area = f"{reach.mm2 / 100:.0f} cm²"
    return texts(f"handout.wax.with_{tool}", mm=mm, blend=blend, area=area, metres=f"{reach.edge_mm / 2000:.0f}")


def _kept(lesson: Lesson, number: int, texts: Texts) -> list[Fact]:
    """The colours that a waxing keeps."""
    names = [_colour(lesson, number - 1, before, texts) for before, _, _ in lesson.maps[number].turns]
    kept = list(dict.fromkeys(names))
    if not kept:
        return []
    return [Fact(label=texts("handout.step.keeps"), text=capital(listed(kept, texts)) + ".")]


def _colour(lesson: Lesson, stage: int, place: int, texts: Texts) -> str:
    """A colour of a stage in words; the bare cloth by that name."""
    name, hexed, _ = lesson.stages[stage].colours[place]
    bare = lesson.stages[0].colours[0][1]
    return texts("handout.step.bare") if hexed == bare else texts.shown(name)


def _turned(lesson: Lesson, number: int, texts: Texts) -> str:
    """What becomes of the colours that a step works on."""
    told = []
    for before, after, _ in lesson.maps[number].turns:
        first, then = _colour(lesson, number - 1, before, texts), _colour(lesson, number, after, texts)
        same = lesson.stages[number - 1].colours[before][1] == lesson.stages[number].colours[after][1]
        key = "stays" if same else "deeper" if first == then else "turns"
        told.append(texts(f"handout.step.{key}", before=first, after=then))
    return capital("; ".join(dict.fromkeys(told))) + "." if told else ""


def _dye(lesson: Lesson, number: int, step: DyeBath, texts: Texts) -> StepWords:
    brushed = [paint.pot for paint in step.paints if paint.where is not None]
    over = [paint.pot for paint in step.paints if paint.where is None]
    waxed = "_waxed" if lesson.maps[number].closed.any() else ""
    key = "both" if brushed and over else f"painted{waxed}" if brushed else f"whole{waxed}"
    do = texts(
        f"handout.dye.{key}",
        pots=listed(list(dict.fromkeys([*over, *brushed])), texts),
        whole=listed(over, texts),
        painted=listed(brushed, texts),
    )
    dries = _slots(lesson, number, "dry") or any(
        task.work == "dry" and task.step == number
        for sitting in lesson.workshop.times.sittings
        for task in sitting.after
    )
    do = " ".join(filter(None, (do, _creeping(step, texts))))
    pots = tuple(dict.fromkeys(paint.pot for paint in step.paints))
    turned = _turned(lesson, number, texts)
    look = texts(f"handout.dye.look{waxed}") + (f" {texts(_drying(lesson.design, number))}" if dries else "")
    facts = [
        *(fact for pot in pots for fact in _pot(lesson, number, pot, texts)),
        *([Fact(label=texts("handout.step.becomes"), text=turned)] if turned else []),
        Fact(label=texts("handout.step.look"), text=look),
        *_time(lesson, number, "dye", texts, mixing=True),
    ]
    return StepWords(
        title=capital(listed(list(pots), texts)),
        do=do,
        facts=tuple(facts),
        cautions=cautions_for("dye"),
        brief=capital("; ".join(_recipe(lesson.design, pot, texts) for pot in pots)) + ".",
        note=step.note,
    )


def _creeping(step: DyeBath, texts: Texts) -> str:
    """Which pots creep on from where they are brushed, and how far; "" where none does."""
    from batiksim.cloth.effects.spread import REACH_MM  # its compiled loops are slow to import

    creeping = [paint for paint in step.paints if paint.creeps]
    if not creeping:
        return ""
    pots = listed(list(dict.fromkeys(paint.pot for paint in creeping)), texts)
    reaches = [REACH_MM if paint.reach_mm is None else paint.reach_mm for paint in creeping]
    words = texts("handout.dye.spread", pots=pots, mm=f"{max(reaches):g}")
    return f"{words} {texts('handout.dye.spread_meet')}" if len(step.paints) > 1 else words


def _drying(design: Design, number: int) -> str:
    """The text that says to let a dyeing dry: before the next wax, or before the brush comes again."""
    waxed = isinstance(design.steps[number], Wax) if number < len(design.steps) else True
    return "handout.dye.dry" if waxed else "handout.dye.dry_brush"


def _recipe(design: Design, name: str, texts: Texts) -> str:
    """A pot in words: its name, parts and strength."""
    pot = design.pot(name)
    key = {1.0: "full", 0.5: "half", 2.0: "double"}.get(pot.strength, "times")
    strength = texts(f"handout.dye.{key}", times=f"{pot.strength:g}")
    mix = texts.of(recipe_words(pot))
    return (
        f"{name} {strength}" if mix == name else texts("handout.dye.recipe", recipe=f"{name}: {mix}", strength=strength)
    )


def _pot(lesson: Lesson, number: int, name: str, texts: Texts) -> list[Fact]:
    """A pot with its recipe, and how it is mixed from stocks."""
    hexed = dict(lesson.stages[number].pots).get(name, "")
    text = f"{capital(_recipe(lesson.design, name, texts))}."
    mixed = [one for one in lesson.workshop.pots if one.pot == name and number in one.steps]
    if mixed:
        text += f" {_mix(lesson, mixed[0], texts)}."
    return [Fact(label=texts("handout.step.pot"), text=plain(text), pot=hexed)]


def _mix(lesson: Lesson, mix: PotMix, texts: Texts) -> str:
    parts = [texts("handout.dye.stock", ml=amount_words(ml, "volume"), dye=dye) for dye, ml in mix.stocks if ml > 0]
    parts += [texts("handout.dye.chemical", ml=amount_words(mix.chemical_ml, "volume"))] if mix.chemical_ml > 0 else []
    key = "mix_all" if lesson.workshop.request.makers > 1 else "mix"
    return texts(
        f"handout.dye.{key}",
        ml=together_words([*(ml for _, ml in mix.stocks), mix.chemical_ml]),
        parts=" + ".join(parts),
    )


def _discharge(lesson: Lesson, number: int, step: Discharge, texts: Texts) -> StepWords:
    do = texts("handout.discharge.part" if step.where is not None else "handout.discharge.whole")
    turned = _turned(lesson, number, texts)
    facts = [
        *([Fact(label=texts("handout.step.becomes"), text=turned)] if turned else []),
        Fact(label=texts("handout.step.look"), text=texts("handout.discharge.look")),
        *_time(lesson, number, "discharge", texts),
    ]
    return StepWords(
        title=texts("handout.discharge.title"),
        do=do,
        facts=tuple(facts),
        cautions=cautions_for("discharge"),
        brief=step_words(lesson.design, number)[1] and do,
        note=step.note,
    )


def _removal(lesson: Lesson, number: int, texts: Texts) -> StepWords:
    step: Step = lesson.design.steps[number - 1]
    tasks = [task for task in _tasks(lesson) if task.step == number and task.work in FINISHING]
    return StepWords(
        title=texts("handout.remove.title"),
        do=texts("handout.remove.do"),
        facts=(*_task_facts(tasks, texts), Fact(label=texts("handout.step.look"), text=texts("handout.remove.look"))),
        cautions=_finish_cautions(tasks),
        brief=texts("handout.remove.do"),
        note=step.note if isinstance(step, RemoveWax) else "",
    )


def finish_words(lesson: Lesson, texts: Texts) -> StepWords | None:
    """What is still to do after the last step; None where that's nothing."""
    tasks = [task for task in _tasks(lesson) if task.step == 0 and task.work in FINISHING]
    if not tasks:
        return None
    waxed = "_waxed" if any(task.work == "remove_wax" for task in tasks) else ""
    look = texts(f"handout.finish.look{waxed}")
    return StepWords(
        title=texts("handout.finish.title"),
        do="",
        facts=(*_task_facts(tasks, texts), Fact(label=texts("handout.step.look"), text=look)),
        cautions=_finish_cautions(tasks),
        brief=capital("; ".join(texts.shown(task.title).lower() for task in tasks)) + ".",
    )


def _tasks(lesson: Lesson) -> list[Task]:
    """Every task, in order, each once."""
    times = lesson.workshop.times
    found: list[Task] = []
    for sitting in times.sittings:
        found += [slot.task for slot in sitting.slots] + list(sitting.after)
    return list(dict.fromkeys([*found, *times.home]))


def _task_facts(tasks: Sequence[Task], texts: Texts) -> list[Fact]:
    return [
        Fact(label=texts.shown(task.title), text=f"{texts.shown(task.detail)} {_long(task, texts)}") for task in tasks
    ]


def _long(task: Task, texts: Texts) -> str:
    if task.waits and task.longest:
        return ""
    words = hours_words(task.minutes / 60, task.longest / 60) if task.waits else minutes_words(task.minutes)
    return texts("handout.step.minutes", minutes=words)


def _finish_cautions(tasks: Sequence[Task]) -> tuple[Caution, ...]:
    return tuple(dict.fromkeys(caution for task in tasks for caution in cautions_for(task.work)))
