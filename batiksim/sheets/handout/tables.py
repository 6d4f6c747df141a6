"""The tables of a handout: amounts, timetable, words, and the overdye chart's cells."""

from collections.abc import Sequence
from typing import Any

from batiksim.sheets.charts.overdye import reading_ink
from batiksim.sheets.handout.lesson import Lesson
from batiksim.sheets.handout.words import together
from batiksim.sheets.workshop.mixing import pot_cells, powder_words, volume_words, water_cells
from batiksim.texts.catalogue import Message, say, texts
from batiksim.texts.phrases import capital, clock, minutes_words, percent
from batiksim.values import Discharge, Wax
from batiksim.values.colour_words import name_message
from batiksim.workplan.figures import figure
from batiksim.workplan.measures import amount_words
from batiksim.workplan.tasks import Task
from batiksim.workplan.timetable_values import Sitting, Slot, steps_words

FULL_NAMES = 7  # up to so many dyes the chart's cells carry whole colour names
Table = dict[str, Any]


def _table(
    title: Message | None, heads: str, rows: Sequence[Sequence[str | Message]], *sentences: Message
) -> Table | None:
    """A table with columns that hold nothing left out; None without any row.

    heads : key of the columns' heads; sentences : said above it
    """
    if not rows:
        return None
    titles = texts().lines(heads)
    kept = [place for place in range(len(titles)) if place == 0 or any(row[place] for row in rows)]
    return {
        "title": str(title or ""),
        "say": together(sentences),
        "heads": [titles[place] for place in kept],
        "rows": [[together([row[place]]) for place in kept] for row in rows],
    }


def amounts_data(lesson: Lesson) -> Table:
    """What to buy, have ready and mix."""
    request, tell = lesson.workshop.request, texts()
    parts = (_buy, _stocks, _waters, _pots, _waxes, _bleaches)
    return {
        "title": tell("handout.amounts.title"),
        "say": tell("handout.amounts.for", count=request.makers, waste=percent(request.waste)),
        "notes": [str(note) for note in (*lesson.workshop.notes, *lesson.shopping.notes)],
        "ready": {"title": tell("workshop.sheet.ready"), "points": [str(thing) for thing in lesson.shopping.ready]},
        "presoak": _presoak(lesson),
        "tables": [table for part in parts if (table := part(lesson)) is not None],
    }


def _buy(lesson: Lesson) -> Table | None:
    rows = [(capital(item.name), amount_words(item.need, item.kind), item.note) for item in lesson.shopping.items]
    return _table(None, "handout.amounts.buy", rows)


def _stocks(lesson: Lesson) -> Table | None:
    rows = [
        (stock.dye, powder_words(stock.powder_g, "powder"), volume_words(stock.water_ml))
        for stock in lesson.workshop.mixes[0].stocks
    ]
    return _table(say("handout.amounts.stocks"), "handout.amounts.stock_head", rows, say("handout.amounts.stocks_say"))


def _waters(lesson: Lesson) -> Table | None:
    rows = [(str(steps_words(water.steps)), *water_cells(water)) for water in lesson.workshop.mixes[0].waters]
    if lesson.workshop.presoak:
        sentences = [say("handout.amounts.waters_presoaked")]
    else:
        useful = minutes_words(lesson.workshop.times.useful_min)
        sentences = [say("handout.amounts.waters_say"), say("handout.dye.keeps", useful=useful)]
    return _table(say("workshop.mixing.waters"), "workshop.mixing.waters_head", rows, *sentences)


def _pots(lesson: Lesson) -> Table | None:
    rows = [(pot.pot, str(steps_words(pot.steps)), *pot_cells(pot)) for pot in lesson.workshop.pots]
    return _table(say("handout.amounts.pots"), "workshop.mixing.pots_head", rows)


def _waxes(lesson: Lesson) -> Table | None:
    rows = [
        (
            say(f"handout.amounts.wax.{use.tool}", step=use.step),
            *(amount_words(grams, "weight") if grams > 0 else "" for grams in (use.beeswax_g, use.paraffin_g)),
        )
        for use in lesson.workshop.waxes
    ]
    fill = say("workshop.mixing.wax_fill", grams=round(figure("wax_pot_g")))
    return _table(say("workshop.mixing.waxes"), "handout.amounts.wax_head", rows, say("handout.amounts.wax_say"), fill)


def _bleaches(lesson: Lesson) -> Table | None:
    rows = [(steps_words([bleach.step]), volume_words(bleach.ml)) for bleach in lesson.workshop.bleaches]
    return _table(say("workshop.mixing.bleaches"), "handout.amounts.bleach_head", rows)


def _presoak(lesson: Lesson) -> str:
    soak = lesson.workshop.presoak
    if soak is None:
        return ""
    water, soda = volume_words(soak.ml), powder_words(soak.soda_g, "soda")
    return together([say("handout.amounts.presoak", minutes=round(figure("soak_min")), water=water, soda=soda)])


def timetable_data(lesson: Lesson) -> Table:
    """Before, each sitting, between, afterwards."""
    times = lesson.workshop.times
    parts = [_free_table(say("handout.timetable.before"), times.before)]
    single = len(times.sittings) == 1
    for sitting in times.sittings:
        parts += [
            _table(_sitting_title(sitting, single), "workshop.timetable.head", list(map(_slot_row, sitting.slots)))
        ]
        parts += [_free_table(say("handout.timetable.after"), sitting.after)]
    parts += [_free_table(say("workshop.timetable.afterwards"), times.home)]
    key = "handout.timetable.say_learners" if lesson.workshop.request.makers > 1 else "handout.timetable.say"
    return {
        "title": texts()("workshop.timetable.title"),
        "say": texts()(key),
        "notes": [str(warning) for warning in times.warnings],
        "brief": _brief(lesson),
        "tables": [part for part in parts if part is not None],
    }


def _brief(lesson: Lesson) -> list[str]:
    """The timetable in a line or two: each sitting's length, and what is left for afterwards."""
    times = lesson.workshop.times
    single = len(times.sittings) == 1
    titles = [say("handout.timetable.brief", title=_sitting_title(sitting, single)) for sitting in times.sittings]
    lines = [" ".join(map(str, titles))]
    if times.home:
        works = [say("handout.timetable.long", title=_titled(task), time=task.time_words) for task in times.home]
        lines.append(texts()("handout.timetable.brief_home", parts=works))
    return lines


def _free_table(title: Message, tasks: Sequence[Task]) -> Table | None:
    return _table(title, "workshop.timetable.head_free", [(_titled(task), task.time_words) for task in tasks])


def _sitting_title(sitting: Sitting, single: bool) -> Message:
    key = "handout.timetable.one_go" if single and sitting.minutes is None else "workshop.timetable.session"
    return say(key, number=sitting.number, minutes=minutes_words(sitting.used))


def _slot_row(slot: Slot) -> tuple[str | Message, ...]:
    title = _titled(slot.task)
    whole = say("workshop.part", title=title, part=slot.part) if slot.part else title
    return clock(slot.start), whole, minutes_words(slot.minutes)


def _titled(task: Task) -> Message:
    return say("handout.step.titled", number=task.step, title=task.title) if task.step else task.title


def glossary_data(lesson: Lesson) -> Table:
    """The words used, those of work that this design doesn't do left out."""
    steps, tell = lesson.design.steps, texts()
    waxes = [step for step in steps if isinstance(step, Wax)]
    dyes = lesson.chart.dyes if lesson.chart else ()
    there = [
        (any(isinstance(step, Discharge) for step in steps), {"discharge"}),
        (any(step.crackle > 0 for step in waxes), {"crackle"}),
        (any(use.tool == "canting" for use in lesson.workshop.waxes), {"canting"}),
        (len(waxes) > 0, {"wax", "closed"}),
        (len(dyes) > 1, {"mud", "overdye"}),
        (len(dyes) > 0, {"stock", "urea", "fixative", "chemical_water", "batch", "wash_off", "load"}),
    ]
    needless = {"title"}.union(*(words for used, words in there if not used))
    keys = [key for key in tell.under("handout.glossary") if key not in needless]
    terms = [tell.lines(f"handout.glossary.{key}") for key in keys]
    return {
        "title": tell("handout.glossary.title"),
        "terms": sorted(map(list, terms), key=lambda term: term[0].lower()),
    }


def chart_data(lesson: Lesson) -> Table | None:
    """The overdye chart of the dyes used: heads, then a row for each dye that goes over the others."""
    chart, tell = lesson.chart, texts()
    if chart is None or len(chart.dyes) < 2:  # a dye over itself teaches nothing
        return None
    whole = len(chart.dyes) <= FULL_NAMES

    def cell(shade: Any) -> Table:
        return {
            "text": str(name_message(shade.name if whole else shade.plain)),
            "ink": reading_ink(shade.hex),
            "mud": shade.mud,
        }

    says = [tell("handout.chart.how"), tell("handout.chart.mud" if chart.muddy else "handout.chart.no_mud")]
    if chart.same_either_way:
        says.append(tell("handout.chart.same"))
    return {
        "title": tell("handout.chart.title"),
        "says": says,
        "notes": [str(note) for note in chart.notes],
        "alt": tell("handout.chart.alt"),
        "corner": [tell("handout.chart.first"), tell("handout.chart.over")],
        "mud": tell("handout.chart.mud_word"),
        "dyes": list(chart.dyes),
        "rows": [[cell(chart.cells[i][j]) for i in range(len(chart.dyes))] for j in range(len(chart.dyes))],
    }
