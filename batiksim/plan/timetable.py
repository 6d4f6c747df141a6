"""When: tasks laid into sittings of given length, what runs overnight, how long each mixed pot keeps."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from batiksim.errors import BatikError
from batiksim.plan.practice import figure
from batiksim.plan.tasks import Task, pot_minutes

__all__ = ["Lot", "Sitting", "Slot", "Timetable", "clock", "minutes_words", "read_sessions", "timetable"]

_TERM = re.compile(r"(?:(\d+)\s*[x×*]\s*)?(\d+(?:[.,]\d+)?)\s*(hours?|h|minutes?|min)")
MOST_SITTINGS = 60
SHORTEST_MIN = 45.0  # setting up and clearing away leave nothing of less


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A task, or a part of it, at its time. start : minutes into the sitting; part : "" or "first part", "the rest"."""

    task: Task
    start: float
    minutes: float
    part: str = ""

    @property
    def end(self) -> float:
        """Minutes into the sitting."""
        return self.start + self.minutes


@dataclass(frozen=True, kw_only=True)
class Sitting:
    """One session. minutes : as given, None = as long as it takes; extra : needed beyond those given.

    after : what runs from its end on, by itself, until the next
    """

    number: int
    minutes: float | None
    slots: tuple[Slot, ...]
    after: tuple[Task, ...] = ()
    extra: bool = False

    @property
    def used(self) -> float:
        """Minutes until its last task is done."""
        return max((slot.end for slot in self.slots), default=0.0)


@dataclass(frozen=True, kw_only=True)
class Lot:
    """Pots that are mixed together. sitting, start, end : when it is mixed and last used, minutes into the sitting.

    mixes : how often in that time, where it takes longer than a pot is of use
    """

    number: int
    sitting: int
    start: float
    end: float
    steps: tuple[int, ...]
    pots: tuple[str, ...]
    mixes: int = 1


@dataclass(frozen=True, kw_only=True)
class Timetable:
    """The sittings, what to do before and after them at home, the lots in which pots are mixed, and warnings.

    strong_min, useful_min : how long a mixed pot keeps at this room temperature; without end where it has no fixative
    """

    before: tuple[Task, ...]
    sittings: tuple[Sitting, ...]
    home: tuple[Task, ...]
    lots: tuple[Lot, ...]
    room_c: float
    strong_min: float
    useful_min: float
    warnings: tuple[str, ...]

    @property
    def hands_min(self) -> float:
        """Minutes of work in the sittings, without waits."""
        return sum(slot.minutes for sitting in self.sittings for slot in sitting.slots if not slot.task.waits)


def read_sessions(text: str) -> tuple[float, ...]:
    """Minutes of each sitting from words: "2x2h", "1 x 3 h + 2 h", "90 min, 2x2.5h".

    errors : BatikError for anything else, for none and for more than 60
    """
    found: list[float] = []
    for term in re.split(r"[+;]|,(?!\d)", text):
        match = _TERM.fullmatch(term.strip().lower())
        if match is None:
            raise BatikError(
                "is not a row of sessions", field="sessions", got=text, fix='write it like "2x2h" or "3h + 90min"'
            )
        many, length, unit = match.groups()
        minutes = float(length.replace(",", ".")) * (60 if unit.startswith("h") else 1)
        if not SHORTEST_MIN <= minutes <= 16 * 60:
            raise BatikError(
                "is no length for a session", field="sessions", got=term.strip(), fix="use 45 minutes to 16 hours"
            )
        found += [minutes] * min(int(many or 1), MOST_SITTINGS + 1)
    if not 1 <= len(found) <= MOST_SITTINGS:
        raise BatikError("is too many or none", field="sessions", got=text, fix=f"use 1 to {MOST_SITTINGS} sessions")
    return tuple(found)


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
    sittings = layer.finished()
    lots = _lots(sittings, useful)
    table = Timetable(
        before=tuple(before),
        sittings=sittings,
        home=home,
        lots=lots,
        room_c=room_c,
        strong_min=strong,
        useful_min=useful,
        warnings=(),
    )
    return replace(table, warnings=tuple(_warnings(table, tasks)))


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
        self.slots: list[Slot] = []
        self.after: list[Task] = []
        self.now = 0.0
        self.number, self.minutes, self.extra = number, minutes, extra
        self.limit = math.inf if minutes is None else minutes - figure("clear_up_min")
        self.put(Task(work="set_up", title="Set up", minutes=figure("set_up_min")), figure("set_up_min"))

    def close(self) -> None:
        """End this sitting with clearing up."""
        minutes = figure("clear_up_min")
        self.put(Task(work="clear_up", title="Clear up", minutes=minutes), minutes)
        if any(slot.task.work == "wax" for slot in self.slots):
            first = self.slots[0]
            self.slots[0] = replace(first, task=replace(first.task, title="Set up, melt the wax"))
        self.sittings.append(
            Sitting(
                number=self.number,
                minutes=self.minutes,
                slots=tuple(self.slots),
                after=tuple(self.after),
                extra=self.extra,
            )
        )

    def put(self, task: Task, minutes: float, part: str = "") -> None:
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
            self.put(task, task.minutes)

    def wait(self, task: Task, following: Task | None) -> None:
        """Under the dryer where the next task still fits after it, else until the next sitting."""
        wanted = 0.0 if following is None else following.minutes
        if following is not None and following.splits:
            wanted = min(wanted, figure("least_wax_min"))
        if task.work == "dry" and task.minutes + wanted <= self.left:
            self.put(task, task.minutes)
            return
        self.after.append(task)
        self.turn()

    def split(self, task: Task) -> None:
        """As much as fits in this sitting, the rest in the next ones."""
        rest = task.minutes
        while rest > self.left:
            here = self.left
            if here >= figure("least_wax_min") and rest - here >= 2:
                self.put(task, here, "first part" if rest == task.minutes else "more of it")
                rest -= here
            elif rest - here < 2:  # two minutes are found somehow
                break
            self.turn()
        self.put(task, rest, "" if rest == task.minutes else "the rest")

    def tail(self, tasks: Sequence[Task]) -> tuple[Task, ...]:
        """What follows the last step: in sittings that are still to come, else at home."""
        rest = list(tasks)
        while rest and len(self.sittings) + 1 < len(self.given):
            if rest[0].waits:
                self.after.append(rest.pop(0))
                self.turn()
            elif rest[0].minutes <= self.left:
                task = rest.pop(0)
                self.put(task, task.minutes)
            elif self.begun:
                self.turn()
            else:
                break
        while rest and not rest[0].waits and self.given and rest[0].minutes <= self.left:
            task = rest.pop(0)
            self.put(task, task.minutes)
        return tuple(rest)

    def finished(self) -> tuple[Sitting, ...]:
        self.close()
        return tuple(self.sittings)


def _lots(sittings: Sequence[Sitting], useful: float) -> tuple[Lot, ...]:
    """Dyeings of one sitting share a mixing while it is of use."""
    lots: list[Lot] = []
    for sitting in sittings:
        for slot in (slot for slot in sitting.slots if slot.task.work == "dye"):
            last = lots[-1] if lots else None
            if last is not None and last.sitting == sitting.number and slot.end - last.start <= useful:
                pots = tuple(dict.fromkeys([*last.pots, *slot.task.pots]))
                lots[-1] = replace(last, end=slot.end, steps=(*last.steps, slot.task.step), pots=pots)
                continue
            lots.append(
                Lot(
                    number=len(lots) + 1,
                    sitting=sitting.number,
                    start=slot.start,
                    end=slot.end,
                    steps=(slot.task.step,),
                    pots=slot.task.pots,
                    mixes=max(1, math.ceil(slot.minutes / useful)),
                )
            )
    return tuple(lots)


def _warnings(table: Timetable, tasks: Sequence[Task]) -> list[str]:
    return [*_pot_warnings(table), *_fit_warnings(table), *_room_warnings(table, tasks)]


def _pot_warnings(table: Timetable) -> list[str]:
    if math.isinf(table.useful_min):
        return []
    told = []
    keeps = f"at {table.room_c:g} °C a pot is of use for about {minutes_words(table.useful_min)} once mixed"
    for lot in table.lots:
        where = f"step {lot.steps[0]}"
        if lot.mixes > 1:
            told.append(f"The dyeing of {where} takes longer than a pot keeps: mix it in {lot.mixes} lots ({keeps}).")
        elif lot.end - lot.start > table.strong_min:
            told.append(
                f"Pots mixed for {where} are past full strength when you finish "
                f"(that lasts about {minutes_words(table.strong_min)} here): begin with the dark colours, or mix "
                "in two lots."
            )
        for pot in lot.pots:
            before = [one for one in table.lots if one.number < lot.number and pot in one.pots]
            if before:
                told.append(
                    f"{pot}: what was mixed for step {before[-1].steps[-1]} is spent by {where}. Mix it anew; {keeps}."
                )
    return told


def _fit_warnings(table: Timetable) -> list[str]:
    extra = [sitting for sitting in table.sittings if sitting.extra]
    given = len(table.sittings) - len(extra)
    told = []
    if extra:
        missing = sum(
            slot.minutes for sitting in extra for slot in sitting.slots if slot.task.work not in ("set_up", "clear_up")
        )
        sittings = f"the {given} sessions" if given > 1 else "the one session"
        told.append(
            f"This does not fit into {sittings}: {minutes_words(missing)} of work are left over, shown as "
            f"{'session' if len(extra) == 1 else 'sessions'} {', '.join(str(one.number) for one in extra)}. "
            "Trace and wax the first lines at home, or choose a smaller cloth."
        )
    for sitting in table.sittings:
        if sitting.minutes is not None and sitting.used > sitting.minutes + 5:
            over = minutes_words(sitting.used - sitting.minutes)
            told.append(f"Session {sitting.number} runs over by {over}: a dyeing can't be cut in two.")
    return told


def _room_warnings(table: Timetable, tasks: Sequence[Task]) -> list[str]:
    told = []
    if table.room_c < figure("cool_c") and any(task.work == "batch" for task in tasks):
        told.append(f"At {table.room_c:g} °C dye takes slowly and unevenly: batch in a warmer place.")
    for sitting in table.sittings[:-1]:
        for task in sitting.after:
            if task.work == "batch":
                hours = math.ceil(task.minutes / 60)
                told.append(
                    f"Leave at least {hours} h between sessions {sitting.number} and {sitting.number + 1}: the "
                    "cloth must batch."
                )
    return told


def minutes_words(minutes: float) -> str:
    """A length of time: "45 min", "2 h", "1 h 40 min"."""
    whole = round(minutes) if minutes < 60 else 5 * round(minutes / 5)
    hours, rest = divmod(whole, 60)
    return " ".join(
        part for part in (f"{hours} h" if hours else "", f"{rest} min" if rest or not hours else "") if part
    )


def clock(minutes: float) -> str:
    """Minutes into a sitting as a clock shows them: "1:05"."""
    whole = round(minutes)
    return f"{whole // 60}:{whole % 60:02d}"
