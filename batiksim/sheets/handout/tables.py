"""The tables of a handout: amounts, timetable, words, and the overdye chart's cells."""

from collections.abc import Sequence
from typing import Any

from batiksim.sheets.charts.overdye import reading_ink
from batiksim.sheets.handout.lesson import Lesson
from batiksim.sheets.handout.words import listed, plain
from batiksim.texts.catalogue import Texts
from batiksim.texts.phrases import capital
from batiksim.texts.times import clock, minutes_words
from batiksim.values import Discharge, Wax
from batiksim.workshop.figures import figure
from batiksim.workshop.measures import amount_words, together_words
from batiksim.workshop.tasks import Task, hours_words
from batiksim.workshop.timetable_values import Sitting

FULL_NAMES = 7  # up to so many dyes the chart's cells carry whole colour names
Table = dict[str, Any]


def _table(title: str, heads: Sequence[str], rows: Sequence[Sequence[str]], *, say: str = "") -> Table | None:
    """A table with columns that hold nothing left out; None without any row."""
    if not rows:
        return None
    kept = [place for place in range(len(heads)) if place == 0 or any(row[place] for row in rows)]
    return {
        "title": title,
        "say": say,
        "heads": [heads[place] for place in kept],
        "rows": [[plain(row[place]) for place in kept] for row in rows],
    }


def amounts_data(lesson: Lesson, texts: Texts) -> Table:
    """What to buy, have ready and mix."""
    request = lesson.workshop.request
    key = "handout.amounts.one" if request.makers == 1 else "handout.amounts.many"
    parts = (_buy, _stocks, _waters, _pots, _waxes, _bleaches)
    return {
        "title": texts("handout.amounts.title"),
        "say": texts(key, makers=request.makers, waste=f"{100 * request.waste:.0f}"),
        "notes": [texts.shown(note) for note in (*lesson.workshop.notes, *lesson.shopping.notes)],
        "ready": {
            "title": texts("handout.amounts.ready"),
            "points": [texts.shown(thing) for thing in lesson.shopping.ready],
        },
        "presoak": _presoak(lesson, texts),
        "tables": [table for part in parts if (table := part(lesson, texts)) is not None],
    }


def _buy(lesson: Lesson, texts: Texts) -> Table | None:
    rows = [
        (capital(texts.shown(item.name)), amount_words(item.need, item.kind), texts.shown(item.note))
        for item in lesson.shopping.items
    ]
    heads = texts.lines("handout.amounts.buy")
    return _table("", heads, rows)


def _powder(grams: float, what: str) -> str:
    return amount_words(grams, "powder", grams_per_tsp=figure(f"{what}_g_per_tsp")) if grams > 0 else ""


def _stocks(lesson: Lesson, texts: Texts) -> Table | None:
    rows = [
        (stock.dye, _powder(stock.powder_g, "powder"), amount_words(stock.water_ml, "volume"))
        for stock in lesson.workshop.mixes[0].stocks
    ]
    heads = texts.lines("handout.amounts.stock_head")
    return _table(texts("handout.amounts.stocks"), heads, rows, say=texts("handout.amounts.stocks_say"))


def _steps(steps: Sequence[int], texts: Texts) -> str:
    return texts("handout.amounts.step", count=len(steps), steps=listed([str(step) for step in steps], texts))


def _waters(lesson: Lesson, texts: Texts) -> Table | None:
    rows = [
        (
            _steps(water.steps, texts),
            amount_words(water.ml, "volume"),
            _powder(water.urea_g, "urea"),
            _powder(water.soda_g, "soda"),
            _powder(water.softener_g, "softener"),
        )
        for water in lesson.workshop.mixes[0].waters
    ]
    say = texts("handout.amounts.waters_presoaked" if lesson.workshop.presoak else "handout.amounts.waters_say")
    if not lesson.workshop.presoak:
        say += " " + texts("handout.dye.keeps", useful=minutes_words(lesson.workshop.times.useful_min))
    return _table(texts("handout.amounts.waters"), texts.lines("handout.amounts.water_head"), rows, say=say)


def _pots(lesson: Lesson, texts: Texts) -> Table | None:
    rows = []
    for pot in lesson.workshop.pots:
        parts = [f"{amount_words(ml, 'volume')} {dye}" for dye, ml in pot.stocks if ml > 0]
        if pot.chemical_ml > 0:
            parts.append(texts("handout.dye.chemical", ml=amount_words(pot.chemical_ml, "volume")))
        poured = together_words([*(ml for _, ml in pot.stocks), pot.chemical_ml])
        rows.append((pot.pot, _steps(pot.steps, texts), poured, " + ".join(parts)))
    return _table(texts("handout.amounts.pots"), texts.lines("handout.amounts.pot_head"), rows)


def _waxes(lesson: Lesson, texts: Texts) -> Table | None:
    rows = [
        (
            f"{_steps([use.step], texts)}, {texts(f'handout.wax.{use.tool}').lower()}",
            *(amount_words(grams, "weight") if grams > 0 else "" for grams in (use.beeswax_g, use.paraffin_g)),
        )
        for use in lesson.workshop.waxes
    ]
    say = texts("handout.amounts.wax_say", grams=f"{figure('wax_pot_g'):.0f}")
    return _table(texts("handout.amounts.waxes"), texts.lines("handout.amounts.wax_head"), rows, say=say)


def _bleaches(lesson: Lesson, texts: Texts) -> Table | None:
    rows = [(_steps([bleach.step], texts), amount_words(bleach.ml, "volume")) for bleach in lesson.workshop.bleaches]
    return _table(texts("handout.amounts.bleaches"), texts.lines("handout.amounts.bleach_head"), rows)


def _presoak(lesson: Lesson, texts: Texts) -> str:
    soak = lesson.workshop.presoak
    if soak is None:
        return ""
    return plain(
        texts(
            "handout.amounts.presoak",
            minutes=f"{figure('soak_min'):.0f}",
            water=amount_words(soak.ml, "volume"),
            soda=_powder(soak.soda_g, "soda"),
        )
    )


def timetable_data(lesson: Lesson, texts: Texts) -> Table:
    """Before, each sitting, between, afterwards."""
    times = lesson.workshop.times
    free, timed = texts.lines("handout.timetable.head_free"), texts.lines("handout.timetable.head")
    parts = [_table(texts("handout.timetable.before"), free, [_free(task, texts) for task in times.before])]
    single = len(times.sittings) == 1
    for sitting in times.sittings:
        parts.append(_table(_sitting_title(sitting, single, texts), timed, _slots(sitting, texts)))
        if sitting.after:
            rows = [_free(task, texts) for task in sitting.after]
            parts.append(_table(texts("handout.timetable.after"), free, rows))
    if times.home:
        parts.append(_table(texts("handout.timetable.home"), free, [_free(task, texts) for task in times.home]))
    key = "handout.timetable.say_learners" if lesson.workshop.request.makers > 1 else "handout.timetable.say"
    return {
        "title": texts("handout.timetable.title"),
        "say": texts(key),
        "notes": [texts.shown(warning) for warning in times.warnings],
        "brief": _brief(lesson, texts),
        "tables": [part for part in parts if part is not None],
    }


def _brief(lesson: Lesson, texts: Texts) -> list[str]:
    """The timetable in a line or two: each sitting's length, and what is left for afterwards."""
    times = lesson.workshop.times
    single = len(times.sittings) == 1
    lines = ["; ".join(_sitting_title(sitting, single, texts) for sitting in times.sittings) + "."]
    if times.home:
        works = [" ".join(_free(task, texts)) for task in times.home]
        lines.append(f"{texts('handout.timetable.home')}: {', '.join(works)}.")
    return lines


def _sitting_title(sitting: Sitting, single: bool, texts: Texts) -> str:
    key = "one_go" if single and sitting.minutes is None else "session"
    return texts(f"handout.timetable.{key}", number=sitting.number, minutes=minutes_words(sitting.used))


def _slots(sitting: Sitting, texts: Texts) -> list[tuple[str, str, str]]:
    rows = []
    for slot in sitting.slots:
        title = _titled(slot.task, texts)
        if slot.part:
            title = texts("handout.timetable.part", title=title, part=texts.shown(slot.part))
        rows.append((clock(slot.start), title, minutes_words(slot.minutes)))
    return rows


def _titled(task: Task, texts: Texts) -> str:
    title = texts.shown(task.title)
    return texts.step(task.step, title) if task.step else title


def _free(task: Task, texts: Texts) -> tuple[str, str]:
    if task.waits and task.longest:
        return _titled(task, texts), hours_words(task.minutes / 60, task.longest / 60)
    return _titled(task, texts), minutes_words(task.minutes)


def glossary_data(lesson: Lesson, texts: Texts) -> Table:
    """The words used, those of work that this design doesn't do left out."""
    steps = lesson.design.steps
    needless = set()
    if not any(isinstance(step, Discharge) for step in steps):
        needless.add("discharge")
    if not any(isinstance(step, Wax) and step.crackle > 0 for step in steps):
        needless.add("crackle")
    if not any(isinstance(step, Wax) for step in steps):
        needless |= {"wax", "closed"}
    if lesson.chart is not None and len(lesson.chart.dyes) < 2:
        needless |= {"mud", "overdye"}
    if not any(use.tool == "canting" for use in lesson.workshop.waxes):
        needless.add("canting")
    if lesson.chart is None:
        needless |= {"mud", "overdye", "stock", "urea", "fixative", "chemical_water", "batch", "wash_off", "load"}
    start = "handout.glossary."
    keys = [key for key in texts.under("handout.glossary") if key != "title"]
    terms = [texts.lines(start + key) for key in keys if key not in needless]
    return {
        "title": texts("handout.glossary.title"),
        "terms": sorted(map(list, terms), key=lambda term: term[0].lower()),
    }


def chart_data(lesson: Lesson, texts: Texts) -> Table | None:
    """The overdye chart of the dyes used: heads, then a row for each dye that goes over the others."""
    chart = lesson.chart
    if chart is None or len(chart.dyes) < 2:  # a dye over itself teaches nothing
        return None
    whole = len(chart.dyes) <= FULL_NAMES

    def cell(shade: Any) -> Table:
        return {
            "text": texts.shown(shade.name if whole else shade.plain),
            "ink": reading_ink(shade.hex),
            "mud": shade.mud,
        }

    says = [texts("handout.chart.how"), texts("handout.chart.mud" if chart.muddy else "handout.chart.no_mud")]
    if chart.same_either_way:
        says.append(texts("handout.chart.same"))
    return {
        "title": texts("handout.chart.title"),
        "says": says,
        "notes": [texts.shown(note) for note in chart.notes],
        "alt": texts("handout.chart.alt"),
        "corner": [texts("handout.chart.first"), texts("handout.chart.over")],
        "mud": texts("handout.chart.mud_word"),
        "dyes": list(chart.dyes),
        "rows": [[cell(chart.cells[i][j]) for i in range(len(chart.dyes))] for j in range(len(chart.dyes))],
    }
