"""A timetable drawn: each session on a line of its own, its work hung up in time, below it how long each pot keeps."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

import numpy as np
from PIL import Image, ImageDraw

from batiksim.sheets.colours import AMBER, GROUND, INK, MADDER, PAPER, QUIET, mixed
from batiksim.sheets.drawing import put, stamp, step_mark, string_line
from batiksim.sheets.lettering import Lettering, write_head
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import clock, minutes_words
from batiksim.types import Bytes
from batiksim.workplan.tasks import Task
from batiksim.workplan.timetable_values import Lot, Sitting, Slot, Timetable

WIDE = 2400
_LEFT, _RIGHT = 470, 2270  # where the time axis begins and ends
_SIDE = 130
_INNER = WIDE - 2 * _SIDE
_TITLE, _ABOUT, _HOME = Lettering("serif-bold", 76), Lettering("italic", 36, QUIET), Lettering("sans", 32)
_NAME, _TIME = Lettering("serif-bold", 46), Lettering("italic", 34, QUIET)
_WARNING, _REST = Lettering("sans-medium", 30, MADDER, lead=38), Lettering("italic", 30)
_HOUR = Lettering("sans", 26, QUIET, align="middle")
_WORK, _WORK_TIME = Lettering("sans-medium", 30, lead=36), Lettering("sans", 26, QUIET)
_POTS, _SPENT = Lettering("sans", 26, QUIET), Lettering("sans", 26, MADDER)
_PIECE_HIGH = 92
_STRING = 96  # from a row's top to its string
_PIECES = 34  # from the string to the tops of the pieces
_LEAST_LABEL = 128  # a label is no narrower, however short its piece
_LONGEST_WORD = 300  # no word is broken up to this width
_BAR = 18  # height of a pot's bar
_BAR_PITCH = 58
_MARKED = ("wax", "dye", "discharge", "remove_wax")


@dataclass(frozen=True, kw_only=True)
class _Label:
    """What stands below a piece: left edge, lane and lines, the last one paler."""

    x: float
    lane: int
    lines: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class _Row:
    """One sitting, measured. scale : pixels a minute."""

    times: Timetable
    sitting: Sitting
    colours: Mapping[str, str]
    scale: float

    def x(self, minutes: float) -> float:
        """Where a time of the sitting stands."""
        return _LEFT + minutes * self.scale

    @cached_property
    def labels(self) -> tuple[_Label, ...]:
        """Labels in lanes, each in the first where it has room."""
        ends: list[float] = []
        found = []
        for slot in self.sitting.slots:
            lines = _slot_lines(slot, max(_LEAST_LABEL, slot.minutes * self.scale - 16))
            wide = max(map(_WORK.width, lines))
            left = min(max(self.x(slot.start), _LEFT), _RIGHT + 90 - wide)
            lane = next((place for place, end in enumerate(ends) if end + 12 <= left), len(ends))
            ends[lane : lane + 1] = [left + wide]
            found.append(_Label(x=left, lane=lane, lines=lines))
        return tuple(found)

    @cached_property
    def lane_tops(self) -> tuple[int, ...]:
        """Where each lane begins below the pieces, and where the last one ends."""
        lanes = range(max(label.lane for label in self.labels) + 1)
        longest = [max(len(label.lines) for label in self.labels if label.lane == lane) for lane in lanes]
        return tuple(accumulate((most * _WORK.high + 10 for most in longest), initial=26))

    @property
    def bars(self) -> tuple[Lot, ...]:
        """Lots whose pots keep for a limited time."""
        lots = () if math.isinf(self.times.useful_min) else self.times.lots
        return tuple(lot for lot in lots if lot.sitting == self.sitting.number)

    @property
    def bars_top(self) -> int:
        return _STRING + _PIECES + _PIECE_HIGH + self.lane_tops[-1] + 10

    @property
    def high(self) -> int:
        """Of the whole row."""
        return self.bars_top + len(self.bars) * _BAR_PITCH + 50

    def draw_on(self, sheet: Image.Image, top: int) -> None:
        """Draw it with its top at `top`."""
        draw = ImageDraw.Draw(sheet)
        string = top + _STRING
        self._draw_name(draw, string)
        self._draw_hours(draw, string)
        string_line(sheet, [(_LEFT - 40.0, string), (_RIGHT + 90.0, string)], thick=3)
        for slot in self.sitting.slots:
            self._draw_piece(sheet, slot, string)
        self._draw_labels(draw, string + _PIECES + _PIECE_HIGH)
        for place, lot in enumerate(self.bars):
            self._draw_bar(sheet, lot, top + self.bars_top + place * _BAR_PITCH)
        self._draw_rest(sheet, string)

    def _draw_name(self, draw: ImageDraw.ImageDraw, string: float) -> None:
        sitting = self.sitting
        alone = len(self.times.sittings) == 1 and sitting.minutes is None
        title = say("charts.timetable.in_one_go") if alone else say("charts.timetable.session", number=sitting.number)
        time = minutes_words(sitting.used if sitting.minutes is None else sitting.minutes)
        room = _LEFT - _SIDE - 60
        _NAME.write(draw, (_SIDE, string + 20), title, room)
        _TIME.write(draw, (_SIDE, string + 66), time)
        lines = [say("charts.timetable.extra")] if sitting.extra else []
        if sitting.minutes is not None and sitting.used > sitting.minutes + 0.5:
            lines.append(say("charts.timetable.too_long", time=minutes_words(sitting.used - sitting.minutes)))
        _WARNING.write_lines(draw, (_SIDE, string + 108), _WARNING.all_wrapped(lines, room, lines=1))

    def _draw_hours(self, draw: ImageDraw.ImageDraw, string: float) -> None:
        """Ticks above the string, each with its time."""
        last = max(self.sitting.used, self.sitting.minutes or 0.0)
        step = next(step for step in (15, 30, 60, 120) if step * self.scale >= 96)
        for minutes in range(0, int(last) + 1, step):
            x = self.x(minutes)
            draw.line((x, string - 16, x, string), fill=INK, width=2)
            _HOUR.write(draw, (x, string - 26), clock(minutes))
        if self.sitting.minutes is not None:
            end = self.x(self.sitting.minutes)
            draw.line((end, string - 16, end, string + _PIECES + _PIECE_HIGH + 10), fill=INK, width=4)

    def _draw_piece(self, sheet: Image.Image, slot: Slot, string: float) -> None:
        task = slot.task
        left, right = self.x(slot.start) + 2, self.x(slot.end) - 2
        box = (round(left), round(string + _PIECES), max(round(left) + 6, round(right)), round(string + _PIECES) + 92)
        piece = _piece(task, box[2] - box[0], box[3] - box[1], self.colours, self.scale)
        sheet.paste(piece, box[:2])
        ImageDraw.Draw(sheet).rectangle(box, outline=mixed(INK, GROUND, 0.35), width=2)
        if task.work in _MARKED and right - left >= 30:
            colour = self.colours.get(task.pots[0], INK) if task.pots else AMBER
            put(sheet, step_mark(task.work, 44, colour), ((left + right) / 2, string + 6))

    def _draw_labels(self, draw: ImageDraw.ImageDraw, foot: float) -> None:
        for label in self.labels:
            if label.lane:
                tip = foot + self.lane_tops[label.lane] + 2
                draw.line((label.x + 3, foot + 4, label.x + 3, tip), fill=mixed(INK, GROUND, 0.55), width=2)
        for label in self.labels:
            base = foot + self.lane_tops[label.lane] + _WORK.size
            *lines, last = label.lines
            for line in lines:
                _write_clear(draw, (label.x, base), line, _WORK)
                base += _WORK.high
            _write_clear(draw, (label.x, base - 4), last, _WORK_TIME)

    def _draw_bar(self, sheet: Image.Image, lot: Lot, y: float) -> None:
        """From mixing to the end of full strength solid, from there on ever thinner to where the pot is spent."""
        draw, times = ImageDraw.Draw(sheet), self.times
        left = self.x(lot.start)
        strong, end = self.x(lot.start + times.strong_min), self.x(lot.start + times.useful_min)
        edge = _RIGHT + 90.0
        fill = mixed(INK, GROUND, 0.25)
        draw.rectangle((left, y, min(strong, edge), y + _BAR), fill=fill)
        if strong < edge:
            fall = (_BAR - 3) * (edge - strong) / (end - strong) if end > edge else _BAR - 3
            tip = min(end, edge)
            corners = [(strong, y), (tip, y + fall), (tip, y + _BAR), (strong, y + _BAR)]
            draw.polygon(corners, fill=mixed(fill, GROUND, 0.45))
        spent = lot.end - lot.start > times.useful_min
        words, look = str(self._bar_words(lot)), _SPENT if spent or lot.mixes > 1 else _POTS
        look.write(draw, (min(left, _RIGHT + 90 - look.width(words)), y + _BAR + 28), words)

    def _bar_words(self, lot: Lot) -> Message:
        times = self.times
        if lot.mixes > 1:
            time = minutes_words(times.useful_min)
            return say("charts.timetable.pots_in_lots", pots=lot.pots, count=lot.mixes, time=time)
        strong, end = clock(lot.start + times.strong_min), clock(lot.start + times.useful_min)
        return say("charts.timetable.pots", pots=lot.pots, mixed=clock(lot.start), strong=strong, spent=end)

    def _draw_rest(self, sheet: Image.Image, string: float) -> None:
        """What runs by itself after the sitting, at its right end where there is room, else below its name."""
        if not self.sitting.after:
            return
        draw = ImageDraw.Draw(sheet)
        y = string + 108 + 38 * (self.sitting.extra + 1)
        put(sheet, _moon(40), (_SIDE + 20, y - 10))
        lines = _REST.all_wrapped(map(_rest_words, self.sitting.after), _LEFT - _SIDE - 90)
        _REST.write_lines(draw, (_SIDE + 52, y), lines)


def _write_clear(draw: ImageDraw.ImageDraw, at: tuple[float, float], text: str, look: Lettering) -> None:
    """Write on bare ground: a line to another label that passes here is broken."""
    x, base = at
    box = (x - 5, base - look.size * 0.9, x + look.width(text) + 5, base + look.size * 0.3)
    draw.rectangle(box, fill=GROUND)
    look.write(draw, at, text)


def _slot_lines(slot: Slot, wide: float) -> tuple[str, ...]:
    """What it is, in up to three lines, then its step and how long it takes."""
    task, time = slot.task, minutes_words(slot.minutes)
    words = str(say("charts.timetable.part", task=task.title, part=slot.part) if slot.part else task.title)
    numbered = task.step and not task.waits
    foot = say("charts.timetable.step_time", step=task.step, time=time) if numbered else time
    longest = max(map(_WORK.width, words.split()))
    return (*_WORK.wrapped(words, max(wide, min(longest, _LONGEST_WORD)), lines=3), str(foot))


def _rest_words(task: Task) -> Message:
    if task.work == "dry":
        return say("charts.timetable.dry_overnight")
    return say("charts.timetable.after", task=task.title, time=task.time_words)


def _piece(task: Task, wide: int, high: int, colours: Mapping[str, str], scale: float) -> Image.Image:
    """A piece of the line: wax amber, pots in their colours after a hatched stretch of mixing, all else plain."""
    plain = mixed(GROUND, INK, 0.10)
    piece = Image.new("RGB", (max(1, wide), high), {"wax": AMBER, "remove_wax": "#dfe3e4"}.get(task.work, plain))
    draw = ImageDraw.Draw(piece)
    if task.waits:
        for x in range(-high, wide, 18):
            draw.line((x, high, x + high, 0), fill=mixed(plain, INK, 0.16), width=3)
    if task.pots:
        mixing = min(round(task.mixing * scale), wide)
        draw.rectangle((0, 0, mixing, high), fill=PAPER)
        for x in range(-high, mixing, 12):
            draw.line((x, high, x + high, 0), fill=mixed(PAPER, INK, 0.3), width=2)
        edges = np.linspace(0, high, len(task.pots) + 1).round().astype(int).tolist()
        for pot, top, foot in zip(task.pots, edges[:-1], edges[1:], strict=True):
            draw.rectangle((mixing, top, wide, foot), fill=colours.get(pot, INK))
    return piece


def _moon(size: int) -> Image.Image:
    """A crescent: it runs overnight."""

    def pen(draw: ImageDraw.ImageDraw, k: float) -> None:
        side = size * k
        draw.ellipse((side * 0.08, side * 0.08, side * 0.92, side * 0.92), fill=INK)
        draw.ellipse((side * 0.30, side * 0.0, side * 1.04, side * 0.74), fill=(0, 0, 0, 0))

    return stamp(size, size, pen)


def _home_lines(key: str, tasks: Sequence[Task]) -> list[str]:
    if not tasks:
        return []
    task_key = f"charts.timetable.{'one_task' if len(tasks) == 1 else 'numbered_task'}"
    numbered = enumerate(tasks, start=1)
    sentences = [say(task_key, number=number, task=task.title, time=task.time_words) for number, task in numbered]
    return _HOME.wrapped(" ".join(map(str, (say(key), *sentences))), _INNER, lines=4)


def time_chart(title: str, times: Timetable, *, colours: Mapping[str, str], makers: int = 1) -> Bytes:
    """Draw a timetable.

    colours : "#rrggbb" of each pot as it dries on the cloth
    Returns uint8 (rows, 2400, 3), sRGB.
    """
    longest = max(max(one.used, one.minutes or 0.0) for one in times.sittings)
    scale = (_RIGHT - _LEFT) / max(60.0, longest)
    rows = [_Row(times=times, sitting=one, colours=colours, scale=scale) for one in times.sittings]
    before = _home_lines("charts.timetable.days_before", times.before)
    after = _home_lines("charts.timetable.afterwards", times.home)
    after = [*([str(times.unused_words)] if times.unused else []), *after]
    head = _TITLE.wrapped(say("charts.timetable.title", title=title), _INNER, lines=2)
    top = 100 + len(head) * _TITLE.high + 60 + len(before) * _HOME.high + 40
    foot = top + sum(row.high for row in rows)
    sheet = Image.new("RGB", (WIDE, foot + 40 + len(after) * _HOME.high + 90), GROUND)
    draw = ImageDraw.Draw(sheet)
    y = write_head(draw, (_SIDE, 100.0), [(line, _TITLE) for line in head])
    about = say("charts.timetable.about", count=makers, room=times.room_c)
    _ABOUT.write(draw, (_SIDE, y + 30), f"{about} {say('charts.timetable.key')}", _INNER)
    _HOME.write_lines(draw, (_SIDE, y + 84), before)
    for row in rows:
        row.draw_on(sheet, top)
        top += row.high
    _HOME.write_lines(draw, (_SIDE, foot + 50), after)
    return np.asarray(sheet)
