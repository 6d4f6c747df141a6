"""A timetable's values. Times are minutes into a sitting."""

from dataclasses import dataclass

from batiksim.workshop.tasks import Task


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
    strong_min: float
    useful_min: float
    unused: tuple[float, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def unused_words(self) -> str:
        """That some of the sessions given aren't needed; "" where all are."""
        if not self.unused:
            return ""
        first = len(self.sittings) + 1
        last = first + len(self.unused) - 1
        if first == last:
            return f"Session {first} is not needed."
        return f"Sessions {first} {'and' if last == first + 1 else 'to'} {last} are not needed."

    @property
    def hands_min(self) -> float:
        """Minutes of work in the sittings, without waits."""
        return sum(slot.minutes for sitting in self.sittings for slot in sitting.slots if not slot.task.waits)
