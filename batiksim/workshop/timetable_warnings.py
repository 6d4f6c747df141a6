"""What a timetable warns of: pots that are spent, work that doesn't fit, cloth that must batch, a cool room."""

import math
from collections.abc import Sequence

from batiksim.texts.phrases import listed
from batiksim.texts.times import minutes_words
from batiksim.workshop.figures import figure
from batiksim.workshop.tasks import Task
from batiksim.workshop.timetable_values import Timetable


def troubles(table: Timetable, tasks: Sequence[Task]) -> list[str]:
    """All warnings, in sentences, those about pots first."""
    unused = [table.unused_words] if table.unused else []
    return [*_pot_warnings(table), *_fit_warnings(table), *unused, *_room_warnings(table, tasks)]


def _pot_warnings(table: Timetable) -> list[str]:
    if math.isinf(table.useful_min):
        return []
    told = []
    keeps = f"at {table.room_c:g} °C a pot is of use for about {minutes_words(table.useful_min)} once mixed"
    late = [lot for lot in table.lots if lot.mixes == 1 and lot.end - lot.start > table.strong_min]
    lasts = f"that lasts about {minutes_words(table.strong_min)} here"
    alone = [lot.steps[0] for lot in late if len(lot.steps) == 1]
    if alone:
        told.append(
            f"Pots mixed for {_steps_words(alone)} are past full strength when you finish ({lasts}): begin with the "
            "dark colours, or mix in two lots."
        )
    for lot in (lot for lot in late if len(lot.steps) > 1):
        mixed, later = _steps_words(lot.steps[:1]), _steps_words(lot.steps[1:])
        told.append(
            f"What was mixed for {mixed} is past full strength by the end of {later} ({lasts}): mix it in two lots "
            "where the colour must not come out paler."
        )
    for lot in table.lots:
        where = f"step {lot.steps[0]}"
        if lot.mixes > 1:
            told.append(f"The dyeing of {where} takes longer than a pot keeps: mix it in {lot.mixes} lots ({keeps}).")
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
            slot.minutes
            for sitting in extra
            for slot in sitting.slots
            if slot.task.work not in ("set_up", "melt", "clear_up")
        )
        sittings = f"the {given} sessions" if given > 1 else "the one session"
        told.append(
            f"This does not fit into {sittings}: {minutes_words(missing)} of work are left over, shown as "
            f"{_sessions_words(extra[0].number, extra[-1].number)}. "
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


def _steps_words(steps: Sequence[int]) -> str:
    return ("step " if len(steps) == 1 else "steps ") + str(listed([str(step) for step in steps]))


def _sessions_words(first: int, last: int) -> str:
    if first == last:
        return f"session {first}"
    return f"sessions {first} {'and' if last == first + 1 else 'to'} {last}"
