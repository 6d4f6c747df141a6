"""Tasks laid into sittings of given length, in order, the lots in which their pots are mixed, and warnings."""

import math
from collections.abc import Sequence
from dataclasses import replace

from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import minutes_words
from batiksim.workplan.figures import figure
from batiksim.workplan.tasks import Task, pot_minutes, task_of
from batiksim.workplan.timetable_values import (
    FIRST_PART,
    MORE_OF_IT,
    THE_REST,
    Lot,
    Sitting,
    Slot,
    Timetable,
    sessions_words,
    steps_words,
)


def timetable(
    tasks: Sequence[Task],
    *,
    sessions: Sequence[float] = (),
    room_c: float,
    before: Sequence[Task] = (),
    fixative_in_pots: bool = True,
) -> Timetable:
    """Lay tasks into sittings, in order; without sessions into one that lasts as long as it takes.

    A waxing may go on in the next sitting; a dyeing is never cut. Drying runs overnight where a sitting ends with it,
    else under the dryer. What must batch, and all after the last step, waits until after a sitting or is done at home.
    """
    strong, useful = pot_minutes(room_c) if fixative_in_pots else (math.inf, math.inf)
    layer = _Layer(sessions)
    last = max((place for place, task in enumerate(tasks) if task.work in ("wax", "dye", "discharge")), default=-1)
    for place, task in enumerate(tasks[: last + 1]):
        layer.add(task, tasks[place + 1] if place < last else None)
    home = layer.tail(tasks[last + 1 :])
    layer.close()
    sittings = tuple(layer.sittings)
    table = Timetable(
        before=tuple(before),
        sittings=sittings,
        home=home,
        lots=_lots(sittings, useful),
        room_c=room_c,
        strong_min=strong,
        useful_min=useful,
        unused=tuple(sessions[len(sittings) :]),
    )
    unused = [] if table.unused_words is None else [table.unused_words]
    warnings = (*_pot_warnings(table), *_fit_warnings(table), *unused, *_room_warnings(table, tasks))
    return replace(table, warnings=warnings)


class _Layer:
    """Sittings as they fill."""

    def __init__(self, sessions: Sequence[float]) -> None:
        self.given = list(sessions)
        self.sittings: list[Sitting] = []
        self.open()

    def open(self) -> None:
        """Begin the next sitting: one of those given, or one more like the last of them."""
        number = len(self.sittings) + 1
        extra = bool(self.given) and number > len(self.given)
        minutes = self.given[min(number, len(self.given)) - 1] if self.given else None
        self.sitting = Sitting(number=number, minutes=minutes, slots=(), extra=extra)
        self.slots: list[Slot] = []
        self.after: list[Task] = []
        self.now = 0.0
        self.limit = math.inf if minutes is None else minutes - figure("clear_up_min")
        self.put(task_of("set_up", figure("set_up_min")))

    def close(self) -> None:
        """End this sitting with clearing up."""
        self.put(task_of("clear_up", figure("clear_up_min")))
        if any(slot.task.work == "wax" for slot in self.slots):
            self.slots[0] = replace(self.slots[0], task=task_of("melt", figure("set_up_min")))
        self.sittings.append(replace(self.sitting, slots=tuple(self.slots), after=tuple(self.after)))

    def put(self, task: Task, minutes: float | None = None, part: Message | None = None) -> None:
        """Lay a task, or so many minutes of it, at the present time."""
        minutes = task.minutes if minutes is None else minutes
        self.slots.append(Slot(task=task, start=self.now, minutes=minutes, part=part))
        self.now += minutes

    @property
    def left(self) -> float:
        """Minutes left before clearing up."""
        return self.limit - self.now

    @property
    def begun(self) -> bool:
        """Whether anything but setting up is in this sitting."""
        return len(self.slots) > 1

    def turn(self) -> None:
        """Close this sitting and open the next."""
        self.close()
        self.open()

    def add(self, task: Task, following: Task | None) -> None:
        """Put one task where it fits first."""
        if task.waits:
            self.wait(task, following)
        elif task.splits:
            self.split(task)
        else:
            if task.minutes > self.left and self.begun:
                self.turn()
            self.put(task)

    def wait(self, task: Task, following: Task | None) -> None:
        """Under the dryer where the next task still fits after it, else until the next sitting."""
        wanted = 0.0 if following is None else following.minutes
        if following is not None and following.splits:
            wanted = min(wanted, figure("least_wax_min"))
        if task.work == "dry" and task.minutes + wanted <= self.left:
            self.put(task)
            return
        self.after.append(task)
        self.turn()

    def split(self, task: Task) -> None:
        """As much as fits in this sitting, the rest in the next ones."""
        rest = task.minutes
        while rest > self.left:
            here = self.left
            if here >= figure("least_wax_min") and rest - here >= 2:
                self.put(task, here, FIRST_PART if rest == task.minutes else MORE_OF_IT)
                rest -= here
            elif rest - here < 2:  # two minutes are found somehow
                break
            self.turn()
        self.put(task, rest, None if rest == task.minutes else THE_REST)

    def tail(self, tasks: Sequence[Task]) -> tuple[Task, ...]:
        """What follows the last step: in sittings that are still to come, else at home."""
        rest = list(tasks)
        while rest and len(self.sittings) + 1 < len(self.given):
            if rest[0].waits:
                self.after.append(rest.pop(0))
                self.turn()
            elif rest[0].minutes <= self.left:
                self.put(rest.pop(0))
            elif self.begun:
                self.turn()
            else:
                break
        while rest and not rest[0].waits and self.given and rest[0].minutes <= self.left:
            self.put(rest.pop(0))
        return tuple(rest)


def _lots(sittings: Sequence[Sitting], useful: float) -> tuple[Lot, ...]:
    """Every pot mixed when the step begins that needs it, and shared with later steps while it is of use.

    Mixed pots don't outlast a sitting, unless they keep without end: without fixative.
    """
    lots: list[Lot] = []
    newest: dict[str, int] = {}  # the lot that last held each pot
    for sitting in sittings:
        for slot in (slot for slot in sitting.slots if slot.task.work == "dye"):
            here = [lot.sitting == sitting.number and slot.end - lot.start <= useful for lot in lots]
            kept = [math.isinf(useful) or still for still in here]
            good = {pot: newest[pot] for pot in slot.task.pots if pot in newest and kept[newest[pot]]}
            for at in sorted(set(good.values())):
                end = slot.end if lots[at].sitting == sitting.number else lots[at].end
                lots[at] = replace(lots[at], end=end, steps=(*lots[at].steps, slot.task.step))
            fresh = tuple(pot for pot in dict.fromkeys(slot.task.pots) if pot not in good)
            if fresh:
                newest |= dict.fromkeys(fresh, len(lots))
                lots.append(
                    Lot(
                        number=len(lots) + 1,
                        sitting=sitting.number,
                        start=slot.start,
                        end=slot.end,
                        steps=(slot.task.step,),
                        pots=fresh,
                        mixes=max(1, math.ceil(slot.minutes / useful)),
                    )
                )
    return tuple(lots)


def _pot_warnings(table: Timetable) -> list[Message]:
    if math.isinf(table.useful_min):
        return []
    warnings = []
    keeps = say("workshop.warning.pot_keeps", room=table.room_c, useful=minutes_words(table.useful_min))
    strong = minutes_words(table.strong_min)
    late = [lot for lot in table.lots if lot.mixes == 1 and lot.end - lot.start > table.strong_min]
    alone = [lot.steps[0] for lot in late if len(lot.steps) == 1]
    if alone:
        warnings.append(say("workshop.warning.past_strength", steps=steps_words(alone), strong=strong))
    for lot in (lot for lot in late if len(lot.steps) > 1):
        mixed, later = steps_words(lot.steps[:1]), steps_words(lot.steps[1:])
        warnings.append(say("workshop.warning.past_strength_later", mixed=mixed, later=later, strong=strong))
    for lot in table.lots:
        if lot.mixes > 1:
            warnings.append(say("workshop.warning.mix_lots", step=lot.steps[0], lots=lot.mixes, keeps=keeps))
        for pot in lot.pots:
            before = [other for other in table.lots if other.number < lot.number and pot in other.pots]
            if before:
                earlier, now = before[-1].steps[-1], lot.steps[0]
                warnings.append(say("workshop.warning.spent", pot=pot, earlier=earlier, now=now, keeps=keeps))
    return warnings


def _fit_warnings(table: Timetable) -> list[Message]:
    extra = [sitting for sitting in table.sittings if sitting.extra]
    given = len(table.sittings) - len(extra)
    warnings = []
    if extra:
        missing = sum(
            slot.minutes
            for sitting in extra
            for slot in sitting.slots
            if slot.task.work not in ("set_up", "melt", "clear_up")
        )
        shown = sessions_words(extra[0].number, extra[-1].number)
        warnings.append(say("workshop.warning.no_fit", count=given, left=minutes_words(missing), extra=shown))
    for sitting in table.sittings:
        if sitting.minutes is not None and sitting.used > sitting.minutes + 5:
            over = minutes_words(sitting.used - sitting.minutes)
            warnings.append(say("workshop.warning.runs_over", session=sitting.number, over=over))
    return warnings


def _room_warnings(table: Timetable, tasks: Sequence[Task]) -> list[Message]:
    warnings = []
    if table.room_c < figure("cool_c") and any(task.work == "batch" for task in tasks):
        warnings.append(say("workshop.warning.cool", room=table.room_c))
    for sitting in table.sittings[:-1]:
        for task in sitting.after:
            if task.work == "batch":
                between = sessions_words(sitting.number, sitting.number + 1)
                hours = math.ceil(task.minutes / 60)
                warnings.append(say("workshop.warning.batch_between", hours=hours, sessions=between))
    return warnings
