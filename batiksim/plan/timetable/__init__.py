"""When: tasks laid into sittings of given length, what runs overnight, how long each mixed pot keeps.

`sheets.workshop.timetable_blocks` writes a timetable as blocks for a page, `sheets.timechart.time_chart` draws it.
"""

from batiksim.plan.timetable.laying import timetable
from batiksim.plan.timetable.values import Lot, Sitting, Slot, Timetable
from batiksim.plan.timetable.words import clock, minutes_words, read_sessions

__all__ = ["Lot", "Sitting", "Slot", "Timetable", "clock", "minutes_words", "read_sessions", "timetable"]
