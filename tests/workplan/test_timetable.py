"""Times: pot life and batching by the room's warmth, tasks laid into sessions, spent pots flagged, the chart drawn."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageColor

from batiksim.cloth.areas import survey_areas
from batiksim.errors import BatikError
from batiksim.sheets.charts.timetable import time_chart
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import clock, hours_words, minutes_words
from batiksim.workplan.tasks import Task, batching_hours, pot_minutes, round_minutes, tasks_of
from batiksim.workplan.timetable import timetable
from batiksim.workplan.timetable_values import FIRST_PART, THE_REST
from batiksim.workplan.values import read_sessions

ENDS = ("set_up", "melt", "clear_up")


def wax(minutes: float, step: int = 1) -> Task:
    return Task(work="wax", step=step, title=say("steps.wax", number=step), minutes=minutes, splits=True)


def dye(minutes: float, step: int = 2, *pots: str) -> Task:
    return Task(
        work="dye",
        step=step,
        title=say("steps.pots", pots=["blue"]),
        minutes=minutes,
        mixing=3.0,
        pots=pots or ("blue",),
    )


def dry(step: int = 2) -> Task:
    return Task(work="dry", step=step, title=say("workshop.task.dry"), minutes=30.0, waits=True)


def batch(step: int = 0, hours: float = 24.0) -> Task:
    return Task(
        work="batch",
        step=step,
        title=say("workshop.task.batch"),
        minutes=hours * 60,
        longest=2 * hours * 60,
        waits=True,
    )


def wash() -> Task:
    return Task(work="wash", title=say("workshop.task.wash"), minutes=45.0)


def laid(*tasks: Task, sessions: str = "", room_c: float = 21.0, **keys):
    return timetable(tasks, sessions=read_sessions(sessions) if sessions else (), room_c=room_c, **keys)


def warnings(table, key: str) -> list[Message]:
    return [warning for warning in table.warnings if warning.key == f"workshop.warning.{key}"]


def works(sitting) -> list[str]:
    return [slot.task.work for slot in sitting.slots]


# How long things keep


def test_pots_keep_by_the_room():
    """Half an hour and two hours at 21 degC; three times faster for each 10 degC."""
    assert pot_minutes(21) == pytest.approx((30, 120))
    assert pot_minutes(31) == pytest.approx((10, 40))
    assert pot_minutes(11) == pytest.approx((90, 360))
    assert pot_minutes(26)[1] == pytest.approx(120 / math.sqrt(3))


@pytest.mark.parametrize(("room_c", "hours"), [(21, (24, 48)), (27, (6, 8)), (32, (2, 2)), (11, (72, 144))])
def test_batching_is_as_published(room_c, hours):
    assert batching_hours(room_c) == pytest.approx(hours)


@given(st.floats(5, 39), st.floats(0.1, 5))
def test_warmer_is_never_slower(room_c, more):
    for slow, fast in zip(batching_hours(room_c), batching_hours(room_c + more), strict=True):
        assert fast <= slow
    assert pot_minutes(room_c + more)[0] < pot_minutes(room_c)[0]


# Words


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("2x2h", (120, 120)),
        ("two evenings of 2 hours", (120, 120)),
        ("3h + 90min", (180, 90)),
        ("3 hours and 90 minutes", (180, 90)),
        ("90 min, 2x2.5h", (90, 150, 150)),
        ("one day of 6 hours", (360,)),
        ("2 classes of 2,5 h", (150, 150)),
        ("3 × 1 h", (60, 60, 60)),
    ],
)
def test_sessions_are_read_from_words(text, minutes):
    assert read_sessions(text) == minutes


@pytest.mark.parametrize("text", ["", "soon", "2x", "0x2h", "2x10min", "2x20h", "61x2h", "-1h", "two hours and a bit"])
def test_what_is_no_row_of_sessions(text):
    with pytest.raises(BatikError) as caught:
        read_sessions(text)
    assert caught.value.field == "sessions"


def test_minutes_in_words():
    assert [str(minutes_words(m)) for m in (5, 59, 60, 90, 149)] == [
        "5 min",
        "59 min",
        "1 h",
        "1 h 30 min",
        "2 h 30 min",
    ]
    assert clock(65) == "1:05"
    assert [str(hours_words(*span)) for span in ((24, 48), (2, 2), (0.5, 0.75), (1.6, 2.2))] == [
        "24 to 48 h",
        "2 h",
        "30 to 45 min",
        "1.5 to 2 h",
    ]


@given(st.floats(0.1, 1000))
def test_whole_minutes_are_never_fewer_than_needed(minutes):
    assert minutes * (1 - 1e-9) <= round_minutes(minutes) < minutes + (1 if minutes <= 20 else 5) + 1e-6


# Laying


def test_two_evenings_by_hand():
    """20 min of setting up and 10 of clearing: 90 for work. Waxing 70 and dyeing 20 fill the first evening."""
    table = laid(wax(70), dye(20), dry(), wax(40, 3), dye(20, 4, "red"), batch(), wash(), sessions="2x2h")
    first, second = table.sittings
    assert works(first) == ["melt", "wax", "dye", "clear_up"]
    assert [(slot.start, slot.end) for slot in first.slots] == [(0, 20), (20, 90), (90, 110), (110, 120)]
    assert [task.work for task in first.after] == ["dry"]  # overnight
    assert works(second) == ["melt", "wax", "dye", "clear_up"]
    assert second.used == 90
    assert [task.work for task in table.home] == ["batch", "wash"]
    assert table.hands_min == pytest.approx(120 + 90)
    assert not table.warnings


def test_dried_by_air_where_the_next_task_still_fits():
    (sitting,) = laid(dye(20), dry(), wax(40, 3), sessions="2x2h").sittings
    assert works(sitting) == ["melt", "dye", "dry", "wax", "clear_up"]


def test_waxing_goes_on_in_the_next_session_but_dyeing_is_never_cut():
    first, second = laid(wax(100), dye(30), sessions="2x2h").sittings
    assert [slot.part for slot in first.slots] == [None, FIRST_PART, None]
    assert (first.slots[1].minutes, second.slots[1].minutes) == (90, 10)
    assert second.slots[1].part == THE_REST
    assert [slot.goes_on for slot in second.slots] == [False, True, False, False]
    assert works(second) == ["melt", "wax", "dye", "clear_up"]


def test_what_does_not_fit_is_warned_of():
    table = laid(wax(300), dye(30), sessions="2x2h")
    assert [sitting.extra for sitting in table.sittings] == [False, False, True, True]
    (warning,) = warnings(table, "no_fit")
    assert "doesn't fit into the 2 sessions you have" in str(warning)
    assert (str(warning.values["left"]), str(warning.values["extra"])) == ("2 h 30 min", "sessions 3 and 4")


def test_a_dyeing_longer_than_a_session_is_warned_of():
    table = laid(dye(100), sessions="2h")
    (warning,) = warnings(table, "runs_over")
    assert str(warning.values["over"]) == "10 min"


def test_cloth_that_must_batch_between_sessions_says_how_long():
    table = laid(dye(20), batch(2, hours=24), wash(), wax(20, 4), sessions="3x2h")
    assert [task.work for task in table.sittings[0].after] == ["batch"]
    (warning,) = warnings(table, "batch_between")
    assert "at least 24 h between sessions 1 and 2" in str(warning)


def test_a_cool_room_is_warned_of():
    assert warnings(laid(dye(20), batch(), room_c=15), "cool")
    assert not warnings(laid(dye(20), batch(), room_c=20), "cool")


TASKS = st.lists(
    st.one_of(
        st.builds(wax, st.integers(2, 200).map(float), st.integers(1, 9)),
        st.builds(dye, st.integers(2, 80).map(float), st.integers(1, 9), st.sampled_from(["blue", "red"])),
        st.builds(dry, st.integers(1, 9)),
        st.builds(batch, st.integers(1, 9)),
    ),
    max_size=9,
)


@given(TASKS, st.lists(st.integers(45, 400).map(float), max_size=4), st.floats(10, 35))
def test_every_minute_of_work_is_laid_once_in_order(tasks, sessions, room_c):
    table = timetable(tasks, sessions=sessions, room_c=room_c)
    done: dict[int, float] = {}
    order = []
    for sitting in table.sittings:
        for one, other in pairwise(sitting.slots):
            assert other.start == pytest.approx(one.end)  # nothing overlaps, no gap
        assert sitting.slots[0].task.work in ENDS
        assert sitting.slots[-1].task.work == "clear_up"
        for task in [slot.task for slot in sitting.slots] + list(sitting.after):
            if task.work not in ENDS and (not order or order[-1] is not task):
                order.append(task)
        for slot in sitting.slots:
            done[id(slot.task)] = done.get(id(slot.task), 0.0) + slot.minutes
            assert slot.task.splits or not slot.part
        waits = [task for task in sitting.after if task.work == "dry"]
        longest = max((slot.minutes for slot in sitting.slots if not slot.task.splits), default=0)
        if sitting.minutes is not None and sitting.used > sitting.minutes + 2:
            assert longest > sitting.minutes - 30 - 1e-9  # one dyeing that doesn't fit even alone
        assert not waits or sitting is not table.sittings[-1]
    assert [id(task) for task in (*order, *table.home)] == [id(task) for task in tasks]
    for task in order:
        if not task.waits:
            assert done[id(task)] == pytest.approx(task.minutes)


# Pots


def test_a_pot_used_again_while_it_is_good_is_mixed_once():
    table = laid(dye(20), wax(20, 3), dye(20, 4), room_c=21)
    (lot,) = table.lots
    assert (lot.steps, lot.pots, lot.mixes) == ((2, 4), ("blue",), 1)


def test_a_spent_pot_is_flagged_and_mixed_anew():
    table = laid(dye(20), wax(120, 3), dye(20, 4), room_c=21)  # needed again 160 minutes after mixing: 120 is its life
    assert [(lot.steps, lot.pots) for lot in table.lots] == [((2,), ("blue",)), ((4,), ("blue",))]
    (told,) = map(str, warnings(table, "spent"))
    assert told == (
        "Blue: what you mix for step 2 will be spent by step 4, so mix it fresh. At 21 °C a mixed pot is good for "
        "about 2 h."
    )


def test_a_pot_from_another_day_is_spent():
    table = laid(dye(20), dry(), wax(70, 3), dye(20, 4), sessions="2x2h", room_c=21)
    assert len(table.lots) == 2
    (warning,) = warnings(table, "spent")
    assert "for step 2 will be spent by step 4" in str(warning)


def test_a_long_dyeing_in_a_hot_room_is_mixed_in_lots():
    table = laid(dye(60), room_c=31)  # of use for 40 minutes
    assert table.lots[0].mixes == 2
    (warning,) = warnings(table, "mix_lots")
    assert "mix the dye in 2 lots. At 31 °C a mixed pot is good for about 40 min." in str(warning)


def test_past_full_strength_is_said_once():
    table = laid(dye(35), dry(), dye(35, 4), room_c=21, sessions="2x2h")
    assert list(map(str, warnings(table, "past_strength"))) == [
        "In this room, dye mixed for steps 2 and 4 is at full strength for only about 30 min, and you won't finish in "
        "that time: start with the dark colours, or mix it in two lots."
    ]


def test_each_pot_is_mixed_when_the_step_begins_that_needs_it():
    """Minutes: set up 20, dye 10, dry 30, dye 10: red is mixed fresh at 60, blue is 40 minutes old then."""
    table = laid(dye(10), dry(), dye(10, 4, "blue", "red"), dry(4), dye(10, 6, "red"), room_c=21)
    assert [(lot.pots, lot.steps, lot.start, lot.end) for lot in table.lots] == [
        (("blue",), (2, 4), 20, 70),
        (("red",), (4, 6), 60, 110),
    ]
    assert list(map(str, warnings(table, "past_strength_later"))) == [
        f"In this room, dye mixed for step {first} is at full strength for only about 30 min, so it will be weaker by "
        f"the end of step {last}: mix it in two lots where the colour must not come out paler."
        for first, last in ((2, 4), (4, 6))
    ]


def test_short_dyeings_of_different_pots_are_never_past_full_strength():
    table = laid(dye(10), dry(), dye(10, 4, "red"), dry(4), dye(10, 6, "green"), room_c=21)
    assert [lot.steps for lot in table.lots] == [(2,), (4,), (6,)]
    assert not table.warnings


def test_pots_without_fixative_keep_for_other_days():
    table = laid(dye(20), dry(), wax(70, 3), dye(20, 4), sessions="2x2h", room_c=21, fixative_in_pots=False)
    assert len(table.sittings) == 2
    assert [(lot.steps, lot.sitting) for lot in table.lots] == [((2, 4), 1)]


@pytest.mark.parametrize(
    ("sessions", "told"),
    [
        ("2x2h", ""),
        ("3x2h", "You don't need session 3."),
        ("4x2h", "You don't need sessions 3 and 4."),
        ("9x2h", "You don't need sessions 3 to 9."),
    ],
)
def test_sessions_that_are_left_over_are_named(sessions, told):
    table = laid(wax(70), dry(), wax(60, 2), sessions=sessions, room_c=21)
    assert str(table.unused_words or "") == told
    assert list(map(str, warnings(table, "unused"))) == [told] * bool(told)


def test_pots_without_fixative_keep():
    table = laid(dye(20), wax(500, 3), dye(20, 4), room_c=35, fixative_in_pots=False)
    assert len(table.lots) == 1
    assert not table.warnings


# From a design


def test_learners_take_longer_and_wider_areas_too(build):
    design = build.design(build.wax("a", tool="brush"), build.dye("sun"), build.wax("b", tool="canting"))
    small, large = np.zeros((2, 2, 100, 100), np.uint8)
    small[:, 20:30, 20:30], large[:, 10:90, 10:90] = 255, 255
    times = []
    for masks, pace in ((small, 1.0), (large, 1.0), (large, 1.5)):
        areas = survey_areas(build.program(design), masks, width_mm=400)
        times.append(sum(task.minutes for task in tasks_of(design, areas, room_c=20, pace=pace) if not task.waits))
    assert times == sorted(times)
    assert len(set(times)) == 3


def test_waxing_by_hand(build):
    """A filled block of 240 mm x 100 mm: 24000 mm2 in brush strokes of 10 mm at 12 mm/s are 200 s: 4 minutes."""
    design = build.design(build.wax("a", tool="brush"), build.dye("sun"))
    mask = np.zeros((1, 100, 200), np.uint8)
    mask[0, 10:60, 10:130] = 255
    areas = survey_areas(build.program(design), mask, width_mm=400)
    tasks = tasks_of(design, areas, room_c=20)
    assert [task.minutes for task in tasks if task.work == "wax"] == [4]
    assert [task.work for task in tasks] == ["trace", "wax", "dye", "batch", "remove_wax", "wash"]


# Drawn


def test_the_chart_shows_each_session_in_the_pots_colours():
    table = laid(wax(70), dye(20, 2, "blue", "red"), dry(), wax(40, 3), dye(20, 4), sessions="2x2h")
    colours = {"blue": "#20409a", "red": "#b02030"}
    one = time_chart("Test", table, colours=colours, makers=12)
    assert one.shape[1:] == (2400, 3)
    assert one.dtype == np.uint8
    counts = {name: int((one == ImageColor.getrgb(hex_)).all(axis=-1).sum()) for name, hex_ in colours.items()}
    assert counts["blue"] > 1.8 * counts["red"] > 1000  # blue is used twice, red once
    longer = time_chart("Test", laid(wax(300), dye(20), sessions="2x2h"), colours=colours)
    assert longer.shape[0] > one.shape[0]  # more sessions, more lines


def test_the_chart_flags_what_cannot_be():
    madder = np.array(ImageColor.getrgb("#a33b2e"))
    fine = time_chart("Test", laid(dye(20), room_c=21, sessions="2h"), colours={})
    spent = time_chart("Test", laid(dye(60), room_c=31, sessions="2h"), colours={})
    extra = time_chart("Test", laid(wax(300), sessions="2h"), colours={})
    flagged = [bool((one == madder).all(axis=-1).any()) for one in (fine, spent, extra)]
    assert flagged == [False, True, True]
