"""Undo and redo by a clock of the test's own."""

from __future__ import annotations

from dataclasses import replace

import pytest

from batiksim.document import undo
from batiksim.document.undo import UndoStack, merge_key


@pytest.fixture
def clock(monkeypatch):
    now = [100.0]
    monkeypatch.setattr(undo.time, "monotonic", lambda: now[0])
    return now


@pytest.fixture
def titled(build):
    return lambda title: build.design(title=title)


def test_back_and_forth(titled):
    stack = UndoStack(titled("a"))
    assert (stack.undo_words, stack.redo_words, stack.step(-1), stack.step(1)) == (None, None, False, False)
    first = stack.number
    for title in "bc":
        assert stack.push(titled(title), f"to {title}") is False
    assert (stack.design.title, stack.undo_words, stack.redo_words) == ("c", "to c", None)
    third = stack.number
    assert stack.step(-1)
    assert (stack.design.title, stack.undo_words, stack.redo_words) == ("b", "to b", "to c")
    assert stack.step(-1)
    assert (stack.design.title, stack.number, stack.undo_words, stack.redo_words) == ("a", first, None, "to b")
    assert not stack.step(-1)
    assert [stack.step(1), stack.step(1), stack.step(1)] == [True, True, False]
    assert (stack.design.title, stack.number) == ("c", third)


def test_what_was_undone_is_forgotten_with_a_new_change(titled):
    stack = UndoStack(titled("a"))
    stack.push(titled("b"), "to b")
    stack.step(-1)
    stack.push(titled("c"), "to c")
    assert not stack.step(1)
    stack.step(-1)
    assert stack.design.title == "a"


@pytest.mark.parametrize(("after_s", "merged"), [(1.4, True), (1.5, False)])
def test_quick_steps_of_one_slider_are_undone_together(titled, clock, after_s, merged):
    stack = UndoStack(titled("a"))
    assert not stack.push(titled("b"), "to b", merge="slider")
    clock[0] += after_s
    assert stack.push(titled("c"), "to c", merge="slider") is merged
    stack.step(-1)
    assert stack.design.title == ("a" if merged else "b")


def test_other_sliders_and_a_step_back_stand_alone(titled, clock):
    stack = UndoStack(titled("a"))
    stack.push(titled("b"), "to b", merge="one")
    assert not stack.push(titled("c"), "to c", merge="other")
    assert not stack.push(titled("d"), "to d")
    assert not stack.push(titled("e"), "to e")
    stack.push(titled("f"), "to f", merge="one")
    stack.step(-1)
    stack.step(1)
    assert not stack.push(titled("g"), "to g", merge="one")
    assert not UndoStack(titled("a")).push(titled("b"), "to b", merge="")


def test_a_renamed_pot_is_still_the_same_slider(titled, clock):
    stack = UndoStack(titled("a"))
    key = "set_strength {} 1 []"
    stack.push(titled("b"), "to b", merge=key.format("sea"))
    stack.pot_renamed("sea", "sea pot")
    assert stack.push(titled("c"), "to c", merge=key.format("sea pot"))


def test_the_oldest_of_many_goes(titled):
    stack = UndoStack(titled("0"))
    for number in range(1, 502):
        stack.push(titled(str(number)), "")
    steps = 0
    while stack.step(-1):
        steps += 1
    assert (steps, stack.design.title) == (499, "2")


def test_every_design_is_changed_at_once(titled):
    stack = UndoStack(titled("a"))
    stack.push(titled("b"), "to b")
    stack.replace_all(lambda design: replace(design, title=design.title + "!"))
    assert (stack.design.title, stack.undo_words) == ("b!", "to b")
    stack.step(-1)
    assert stack.design.title == "a!"


def test_which_changes_come_from_one_slider():
    strength = {"do": "set_strength", "pot": "sea", "strength": 1}
    assert merge_key([strength]) == merge_key([strength | {"strength": 2}]) != ""
    assert merge_key([strength]) != merge_key([strength | {"pot": "sun"}])
    wax = {"do": "set_wax", "step": 1, "crackle": 0.1}
    assert merge_key([wax]) != merge_key([wax | {"step": 2}])
    assert merge_key([wax]) != merge_key([{"do": "set_wax", "step": 1, "edges": 0.1}])
    assert merge_key([strength, strength]) == ""
    assert merge_key([{"do": "set_title", "title": "x"}]) == ""
