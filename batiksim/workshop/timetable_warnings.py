"""What a timetable warns of: pots that are spent, work that doesn't fit, cloth that must batch, a cool room."""

import math
from collections.abc import Sequence

from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import minutes_words
from batiksim.workshop.figures import figure
from batiksim.workshop.tasks import Task
from batiksim.workshop.timetable_values import Timetable, sessions_words, steps_words


def warnings_of(table: Timetable, tasks: Sequence[Task]) -> list[Message]:
    """All warnings, those about pots first."""
    unused = [] if table.unused_words is None else [table.unused_words]
    return [*_pot_warnings(table), *_fit_warnings(table), *unused, *_room_warnings(table, tasks)]


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
