"""The workshop sheet in words: what to buy and have ready, what to mix, when, and what to look out for."""

from collections.abc import Sequence

from batiksim.sheets.documents import Block, Heading, Listing, Paragraph, Rows
from batiksim.sheets.workshop.mixing import Writer, caution_blocks, mixing_blocks
from batiksim.texts.catalogue import Message, say, texts
from batiksim.texts.phrases import clock, minutes_words, percent
from batiksim.workplan.cautions import DEFER, cautions_for
from batiksim.workplan.figures import FIGURES, Figure, figure
from batiksim.workplan.measures import amount_words
from batiksim.workplan.shopping import Item, Shopping
from batiksim.workplan.tasks import Task
from batiksim.workplan.timetable_values import Sitting
from batiksim.workplan.values import Workshop


def workshop_blocks(workshop: Workshop, shopping: Shopping) -> tuple[Block, ...]:
    """The whole sheet, in the measures that the workshop was planned in, side by side."""
    writer = Writer(workshop=workshop, shopping=shopping)
    first = [*_head(writer), *_shopping(writer), *mixing_blocks(writer)]
    return (*first, *timetable_blocks(workshop), *_figures(writer))


def _head(writer: Writer) -> list[Block]:
    workshop, request = writer.workshop, writer.workshop.request
    width, height = workshop.areas.width_mm / 10, workshop.areas.height_mm / 10
    sentences = [
        say("workshop.sheet.makers", count=request.makers, width=width, height=height),
        say("workshop.sheet.room", room=request.room_c),
        _sessions_words(request.sessions_min),
        say("workshop.sheet.spare", waste=percent(request.waste)),
    ]
    if request.makers > 1:
        sentences.append(say("workshop.sheet.pace", pace=figure("learners_pace")))
    blocks: list[Block] = [
        Heading(text=texts()("workshop.sheet.title", title=workshop.title), level=1),
        Paragraph(text=" ".join(map(str, sentences))),
    ]
    notices = [*workshop.times.warnings, *workshop.notes, *writer.shopping.notes]
    if notices:
        points = tuple(("", str(notice)) for notice in notices)
        blocks += [Heading(text=texts()("workshop.sheet.first")), Listing(points=points)]
    return blocks


def _sessions_words(sessions: Sequence[float]) -> Message:
    if not sessions:
        return say("workshop.sheet.one_go")
    if len(set(sessions)) == 1:
        return say("workshop.sheet.sessions", count=len(sessions), each=minutes_words(sessions[0]))
    return say("workshop.sheet.sessions_of", lengths=tuple(map(minutes_words, sessions)))


def _shopping(writer: Writer) -> list[Block]:
    priced = writer.shopping.priced
    packed = priced and any(item.packs for item in writer.shopping.items)
    tell = texts()
    titles = [
        *tell.lines("workshop.sheet.buy_head"),
        *(tell(f"workshop.system.{system}.head") for system in writer.systems[1:]),
        *([tell("workshop.sheet.packs")] if packed else []),
        *([tell("workshop.sheet.pay")] if priced else []),
        tell("workshop.sheet.what_for"),
    ]
    rows = tuple(_item_row(writer, item, packed) for item in writer.shopping.items)
    right = tuple(range(len(titles) - 1 - priced - packed, len(titles) - 1))
    blocks: list[Block] = [
        Heading(text=tell("workshop.sheet.shopping")),
        Rows(titles=tuple(titles), rows=rows, right=right),
    ]
    if priced:
        blocks.append(Paragraph(text=_cost_words(writer)))
    ready = tuple(("", str(thing)) for thing in writer.shopping.ready)
    return [*blocks, Heading(text=tell("workshop.sheet.ready"), level=3), Listing(points=ready)]


def _item_row(writer: Writer, item: Item, packed: bool) -> tuple[str, ...]:
    row = [str(item.name), *(str(amount_words(item.need, item.kind, system)) for system in writer.systems)]
    row += [str(item.packs or "")] if packed else []
    if writer.shopping.priced:
        row.append("" if item.pay is None else texts().number(item.pay, "0.00"))
    return (*row, str(item.note))


def _cost_words(writer: Writer) -> str:
    shopping, makers = writer.shopping, writer.workshop.request.makers
    known = tuple(item.name for item in shopping.items if item.pay is not None)
    whole = len(known) == len(shopping.items)
    pay, used, each = (_money(cost, shopping) for cost in (shopping.pay, shopping.used, shopping.used / makers))
    sentences = [
        say("workshop.cost.pay", pay=pay) if whole else say("workshop.cost.pay_for", pay=pay, names=known),
        say("workshop.cost.used_each", used=used, each=each) if makers > 1 else say("workshop.cost.used", used=used),
        *([] if whole else [say("workshop.cost.rest")]),
    ]
    return " ".join(map(str, sentences))


def _money(cost: float, shopping: Shopping) -> Message:
    if shopping.currency:
        return say("workshop.cost.money", cost=cost, currency=shopping.currency)
    return say("workshop.cost.amount", cost=cost)


def timetable_blocks(workshop: Workshop) -> tuple[Block, ...]:
    """The timetable alone: days before, each session, afterwards, with the cautions of each step."""
    times = workshop.times
    told: set[str] = set()
    blocks: list[Block] = [Heading(text=texts()("workshop.timetable.title"))]
    blocks += _at_home("before", times.before, told)
    for sitting in times.sittings:
        blocks += _sitting(sitting, len(times.sittings), told)
    if times.unused_words is not None:
        blocks.append(Paragraph(text=str(times.unused_words)))
    if times.home:
        blocks += _at_home("afterwards", times.home, told)
    if workshop.request.makers > 1:
        pots = say("workshop.timetable.wax_pots", count=workshop.wax_pots)
        text = texts()("workshop.timetable.shared", makers=workshop.request.makers, pots=pots)
        blocks.append(Paragraph(text=text))
    return tuple(blocks)


def _at_home(when: str, tasks: Sequence[Task], told: set[str]) -> list[Block]:
    tell = texts()
    rows = tuple((str(task.title), str(_wait_words(task)), _detail(task)) for task in tasks)
    return [
        Heading(text=tell(f"workshop.timetable.{when}"), level=3),
        Rows(titles=(*tell.lines("workshop.timetable.head_free"), ""), rows=rows, right=(1,)),
        *caution_blocks([task.work for task in tasks], told, again=False),
    ]


def _detail(task: Task, *, again: bool = False) -> str:
    """What a task's line says beside its title: how, and what to take care of. again : it has been said before."""
    cautions = tuple(caution.title for caution in cautions_for(task.work))
    how = [] if again or task.detail is None else [task.detail]
    return " ".join(map(str, [*how, *([say("workshop.sheet.care", cautions=cautions)] if cautions else [])]))


def _sitting(sitting: Sitting, count: int, told: set[str]) -> list[Block]:
    tell = texts()
    rows = [
        (
            clock(slot.start),
            tell("error.step", number=slot.task.step) if slot.task.step else "",
            str(say("workshop.part", title=slot.task.title, part=slot.part) if slot.part else slot.task.title),
            str(minutes_words(slot.minutes)),
            _detail(slot.task, again=slot.goes_on),
        )
        for slot in sitting.slots
    ]
    then = tell("workshop.timetable.then")
    rows += [(then, "", str(task.title), str(_wait_words(task)), _detail(task)) for task in sitting.after]
    at, do, takes = tell.lines("workshop.timetable.head")
    left = (sitting.minutes or 0) - sitting.used
    spare = tell("workshop.timetable.spare", left=minutes_words(left)) if left >= 5 else ""
    return [
        Heading(text=str(_sitting_title(sitting, count)), level=3),
        Rows(titles=(at, "", do, takes, ""), rows=tuple(rows), right=(0, 3)),
        *([Paragraph(text=spare)] if spare else []),
        *caution_blocks([slot.task.work for slot in sitting.slots], told, again=False),
    ]


def _sitting_title(sitting: Sitting, count: int) -> Message:
    if sitting.minutes is None:
        return say("workshop.timetable.one_go") if count == 1 else say("workshop.sessions.title", number=sitting.number)
    key = "workshop.timetable.extra_session" if sitting.extra else "workshop.timetable.session"
    return say(key, number=sitting.number, minutes=minutes_words(sitting.minutes))


def _wait_words(task: Task) -> Message:
    return say("workshop.timetable.overnight") if task.work == "dry" else task.time_words


def _figures(writer: Writer) -> list[Block]:
    workshop = writer.workshop
    unused = {
        "presoak": workshop.presoak is None,
        "soak": workshop.presoak is None,
        "softener": not workshop.request.hard_water,
        "bleach": not workshop.bleaches,
        "wax": not workshop.waxes,
        "learners": workshop.request.makers == 1,
        "makers": workshop.request.makers == 1,
    }
    skipped = ("waste", *(start for start, skip in unused.items() if skip))
    rows = tuple(_figure_row(known) for name, known in FIGURES.items() if not name.startswith(skipped))
    return [
        Heading(text=texts()("workshop.sheet.figures")),
        Paragraph(text=f"{say('workshop.sheet.figures_say')} {DEFER}"),
        Rows(titles=texts().lines("workshop.sheet.figure_head"), rows=rows),
    ]


def _figure_row(known: Figure) -> tuple[str, ...]:
    key = "workshop.sheet.figure" if known.low == known.high else "workshop.sheet.figure_range"
    value = say(key, value=known.value, unit=known.unit, low=known.low, high=known.high)
    graded = say("workshop.sheet.graded", grade=known.grade, source=known.source) if known.source else known.grade
    return str(known.what), str(value), str(graded)
