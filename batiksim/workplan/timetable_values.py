"""A timetable's values. Times are minutes into a sitting."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from batiksim.texts.catalogue import Message, say
from batiksim.values.plain_data import as_data
from batiksim.workplan.tasks import Task

FIRST_PART, MORE_OF_IT, THE_REST = (say(f"workshop.part.{part}") for part in ("first", "more", "rest"))


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A task, or a part of it, at its time. start : minutes into the sitting; part : None where it is whole."""

    task: Task = field(metadata=as_data(spread=True))
    start: float
    minutes: float
    part: Message | None = None

    @property
    def end(self) -> float:
        """Minutes into the sitting."""
        return self.start + self.minutes

    @property
    def goes_on(self) -> bool:
        """Whether it was begun in an earlier sitting."""
        return self.part in (MORE_OF_IT, THE_REST)


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

    DATA = ("used",)

    @property
    def used(self) -> float:
        """Minutes until its last task is done."""
        return max((slot.end for slot in self.slots), default=0.0)


@dataclass(frozen=True, kw_only=True)
class Lot:
    """Pots that are mixed together. sitting, start, end : when they are mixed and last used, minutes into the sitting.

    steps : those that they serve, the one before which they are mixed first
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

    unused : minutes of each session given that isn't needed
    strong_min, useful_min : how long a mixed pot keeps at this room temperature; without end where it has no fixative
    """

    before: tuple[Task, ...]
    sittings: tuple[Sitting, ...]
    home: tuple[Task, ...]
    lots: tuple[Lot, ...]
    room_c: float
    strong_min: float = field(metadata=as_data("pot_strong_min"))
    useful_min: float = field(metadata=as_data("pot_useful_min"))
    unused: tuple[float, ...] = ()
    warnings: tuple[Message, ...] = ()

    DATA = ("hands_min",)

    @property
    def unused_words(self) -> Message | None:
        """That some of the sessions given aren't needed; None where all are."""
        if not self.unused:
            return None
        first = len(self.sittings) + 1
        return say("workshop.warning.unused", sessions=sessions_words(first, first + len(self.unused) - 1))

    @property
    def hands_min(self) -> float:
        """Minutes of work in the sittings, without waits."""
        return sum(slot.minutes for sitting in self.sittings for slot in sitting.slots if not slot.task.waits)


def steps_words(steps: Sequence[int]) -> Message:
    """Steps by their numbers: "step 2", "steps 2 and 4"."""
    return say("workshop.steps", count=len(steps), steps=tuple(steps))


def sessions_words(first: int, last: int) -> Message:
    """Sessions in a row: "session 3", "sessions 3 and 4", "sessions 3 to 9"."""
    key = "one" if first == last else "two" if last == first + 1 else "many"
    return say(f"workshop.sessions.{key}", first=first, last=last)
