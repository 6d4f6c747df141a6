"""The workshop sheet in words: what to buy and have ready, what to mix, when, and what to look out for."""

from collections.abc import Sequence

from batiksim.sheets.documents import Block, Heading, Listing, Paragraph, Rows
from batiksim.sheets.workshop.mixing import SYSTEM_NAMES, Writer, caution_blocks, mixing_blocks, small
from batiksim.texts.phrases import capital, listed, percent
from batiksim.texts.times import clock, minutes_words
from batiksim.workshop.cautions import DEFER, cautions_for
from batiksim.workshop.figures import FIGURES, GRADES, figure
from batiksim.workshop.measures import amount_words
from batiksim.workshop.shopping import Shopping
from batiksim.workshop.tasks import Task, hours_words
from batiksim.workshop.timetable_values import Sitting
from batiksim.workshop.values import Workshop


def workshop_blocks(workshop: Workshop, shopping: Shopping) -> tuple[Block, ...]:
    """The whole sheet, in the measures that the workshop was planned in, side by side."""
    writer = Writer(workshop=workshop, shopping=shopping)
    parts = (_head, _shopping, mixing_blocks, _times, _figures)
    return tuple(block for part in parts for block in part(writer))


def _head(writer: Writer) -> list[Block]:
    workshop, request = writer.workshop, writer.workshop.request
    makers = "One maker" if request.makers == 1 else f"{request.makers} makers, each"
    size = f"{workshop.areas.width_mm / 10:.3g} × {workshop.areas.height_mm / 10:.3g} cm"
    sessions = _sessions_words(request.session_minutes)
    told = f"{makers} with a cloth of {size}. Room at {request.room_c:g} °C. {sessions} "
    told += f"{percent(request.waste)} to spare in all amounts."
    pace = (
        "" if request.makers == 1 else f" Times are for learners, {figure('learners_pace'):g} times a practised hand."
    )
    blocks: list[Block] = [Heading(text=f"{workshop.title}: workshop sheet", level=1), Paragraph(text=told + pace)]
    notices = [*workshop.times.warnings, *workshop.notes, *writer.shopping.notes]
    if notices:
        blocks += [Heading(text="First of all"), Listing(points=tuple(("", text) for text in notices))]
    return blocks


def _sessions_words(sessions: Sequence[float]) -> str:
    if not sessions:
        return "All in one go."
    if len(set(sessions)) == 1:
        each = minutes_words(sessions[0])
        return f"One session of {each}." if len(sessions) == 1 else f"{len(sessions)} sessions of {each}."
    return f"Sessions of {listed([minutes_words(one) for one in sessions])}."


def _shopping(writer: Writer) -> list[Block]:
    priced, packed = writer.shopping.priced, any(item.packs for item in writer.shopping.items)
    rows = []
    for item in writer.shopping.items:
        row = [item.name, *(amount_words(item.need, item.kind, system) for system in writer.systems)]
        if priced:
            row += [str(item.packs or "")] if packed else []
            row += ["" if item.pay is None else f"{item.pay:.2f}"]
        rows.append((*row, item.note))
    titles = [
        "Buy",
        "Amount",
        *(capital(SYSTEM_NAMES[one]) for one in writer.systems[1:]),
        *(["Packs"] if priced and packed else []),
        *(["To pay"] if priced else []),
        "What for",
    ]
    numbers = tuple(place for place, title in enumerate(titles) if title in ("Packs", "To pay"))
    blocks: list[Block] = [Heading(text="Shopping list")]
    blocks.append(Rows(titles=tuple(titles), rows=tuple(rows), right=numbers))
    if priced:
        blocks.append(Paragraph(text=_cost_words(writer)))
    ready = tuple(("", text) for text in writer.shopping.ready)
    return [*blocks, Heading(text="Have ready", level=3), Listing(points=ready)]


def _cost_words(writer: Writer) -> str:
    shopping, makers = writer.shopping, writer.workshop.request.makers
    unit = f" {shopping.currency}" if shopping.currency else ""
    known = [item.name for item in shopping.items if item.pay is not None]
    whole = len(known) == len(shopping.items)
    told = f"To pay{'' if whole else f' for {listed(known)} alone'}: {shopping.pay:.2f}{unit}."
    told += f" What this workshop uses of it: {shopping.used:.2f}{unit}"
    told += f", {shopping.used / makers:.2f}{unit} for each maker." if makers > 1 else "."
    return told if whole else f"{told} The rest of the list has no price here and comes on top."


def _times(writer: Writer) -> list[Block]:
    return list(timetable_blocks(writer.workshop))


def timetable_blocks(workshop: Workshop) -> tuple[Block, ...]:
    """The timetable alone: days before, each session, afterwards, with the cautions of each step."""
    times = workshop.times
    told: set[str] = set()
    blocks: list[Block] = [Heading(text="Timetable")]
    blocks += _at_home("Days before, at home", times.before, told)
    for sitting in times.sittings:
        blocks += _sitting(sitting, len(times.sittings), told)
    if times.unused:
        blocks.append(Paragraph(text=times.unused_words))
    if times.home:
        blocks += _at_home("Afterwards, at home", times.home, told)
    if workshop.request.makers > 1:
        blocks.append(Paragraph(text=_shared_words(workshop)))
    return tuple(blocks)


def _at_home(title: str, tasks: Sequence[Task], told: set[str]) -> list[Block]:
    rows = tuple((task.title, _wait_words(task), _detail(task)) for task in tasks)
    table = Rows(titles=("Do", "Takes", ""), rows=rows, right=(1,))
    return [Heading(text=title, level=3), table, *caution_blocks([task.work for task in tasks], told, again=False)]


def _detail(task: Task, *, again: bool = False) -> str:
    """What a task's line says beside its title: how, and what to take care of. again : it has been said before."""
    cautions = [small(one.title) for one in cautions_for(task.work)]
    care = f"Take care: {listed(cautions)}." if cautions else ""
    how = "" if again else task.detail
    if how and care and not how.endswith("."):
        how += "."
    return f"{how} {care}".strip()


def _sitting(sitting: Sitting, count: int, told: set[str]) -> list[Block]:
    name = "In one go" if count == 1 and sitting.minutes is None else f"Session {sitting.number}"
    length = "" if sitting.minutes is None else f", {minutes_words(sitting.minutes)}"
    extra = ", more than you have" if sitting.extra else ""
    rows = [
        (
            clock(slot.start),
            f"step {slot.task.step}" if slot.task.step else "",
            f"{slot.task.title}, {slot.part}" if slot.part else slot.task.title,
            minutes_words(slot.minutes),
            _detail(slot.task, again=slot.part in ("more of it", "the rest")),
        )
        for slot in sitting.slots
    ]
    rows += [("then", "", task.title, _wait_words(task), _detail(task)) for task in sitting.after]
    table = Rows(titles=("At", "", "Do", "Takes", ""), rows=tuple(rows), right=(0, 3))
    kinds = list(dict.fromkeys(slot.task.work for slot in sitting.slots))
    left = (sitting.minutes or 0) - sitting.used
    spare = [Paragraph(text=f"Leaves {minutes_words(left)} to spare.")] if left >= 5 else []
    return [Heading(text=f"{name}{length}{extra}", level=3), table, *spare, *caution_blocks(kinds, told, again=False)]


def _wait_words(task: Task) -> str:
    if task.work == "dry":
        return "overnight"
    if task.longest:
        return hours_words(task.minutes / 60, task.longest / 60)
    return minutes_words(task.minutes)


def _shared_words(workshop: Workshop) -> str:
    shared = f"{workshop.wax_pots} wax pots" if workshop.wax_pots > 1 else "one wax pot"
    return (
        f"Shared by all {workshop.request.makers}: {shared}, the pots of dye, the drying line. Everyone waxes at the "
        "same time; mix each pot once for all, and fill it into small ones at the tables."
    )


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
    skipped = tuple(word for word, skip in unused.items() if skip)
    rows = []
    for key, one in FIGURES.items():
        if key.startswith(skipped) or key == "waste":
            continue
        reach = f" ({one.low:g} to {one.high:g})" if one.low != one.high else ""
        source = f"; {one.source}" if one.source else ""
        rows.append((one.what, f"{one.value:g} {one.unit}{reach}", f"{GRADES[one.grade]}{source}"))
    note = f"None of these replaces what the label says. {DEFER}"
    return [
        Heading(text="Where the figures come from"),
        Paragraph(text=note),
        Rows(titles=("Figure", "Value", "Known from"), rows=tuple(rows)),
    ]
