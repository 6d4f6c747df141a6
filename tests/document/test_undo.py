"""Undo and redo: what they lead through, what is forgotten, and which changes count as one."""

from __future__ import annotations

import pytest

from batiksim.document import undo
from batiksim.document.undo import UndoStack, merge_key
from batiksim.values import Cloth, Design


def design(title: str) -> Design:
    return Design(title=title, cloth=Cloth(width_mm=100))


@pytest.fixture
def clock(monkeypatch) -> list[float]:
    """The time that presses of a slider are measured by: its last entry."""
    times = [100.0]
    monkeypatch.setattr(undo.time, "monotonic", lambda: times[-1])
    return times


@pytest.fixture
def stack() -> UndoStack:
    made = UndoStack(design("a"))
    made.push(design("b"), "to b")
    made.push(design("c"), "to c")
    return made


def test_undo_ends_at_the_first_design_and_redo_at_the_last(stack) -> None:
    assert (stack.undo_words, stack.redo_words) == ("to c", None)
    assert stack.step(-1)
    assert (stack.design.title, stack.undo_words, stack.redo_words) == ("b", "to b", "to c")
    assert stack.step(-1)
    assert not stack.step(-1)
    assert (stack.design.title, stack.undo_words, stack.redo_words) == ("a", None, "to b")
    assert stack.step(1)
    assert stack.step(1)
    assert not stack.step(1)
    assert stack.design.title == "c"


def test_a_change_after_undo_forgets_what_was_undone(stack) -> None:
    stack.step(-1)
    stack.push(design("d"), "to d")
    assert (stack.design.title, stack.undo_words, stack.redo_words) == ("d", "to d", None)
    stack.step(-1)
    assert stack.design.title == "b"


def test_a_design_gone_back_to_has_the_number_that_it_had(stack) -> None:
    last = stack.number
    stack.step(-1)
    assert stack.number != last
    stack.step(1)
    assert stack.number == last
    stack.replace_all(lambda each: each)
    assert stack.number != last, "what was made of it before is of another design"


def test_the_oldest_designs_are_forgotten(monkeypatch) -> None:
    monkeypatch.setattr(undo, "MOST_UNDO", 3)
    stack = UndoStack(design("0"))
    for number in range(1, 6):
        stack.push(design(str(number)), f"to {number}")
    while stack.step(-1):
        pass
    assert stack.design.title == "3"


def test_quick_steps_of_one_slider_are_one_entry_slow_ones_are_not(clock) -> None:
    stack = UndoStack(design("0"))
    assert not stack.push(design("1"), "slider", merge="s")
    clock.append(101.4)
    assert stack.push(design("2"), "slider", merge="s")
    clock.append(103.0)
    assert not stack.push(design("3"), "slider", merge="s")
    assert not stack.push(design("4"), "another", merge="t")
    assert not stack.push(design("5"), "alone")
    assert not stack.push(design("6"), "alone")
    titles = [stack.design.title]
    while stack.step(-1):
        titles.append(stack.design.title)
    assert titles == ["6", "5", "4", "3", "2", "0"]


def test_a_slider_moved_right_after_undo_is_a_change_of_its_own(clock) -> None:
    stack = UndoStack(design("0"))
    stack.push(design("1"), "slider", merge="s")
    stack.push(design("2"), "other", merge="t")
    stack.step(-1)
    assert not stack.push(design("3"), "slider", merge="s")
    stack.step(-1)
    assert stack.design.title == "1"


def test_the_slider_of_a_pot_that_is_renamed_under_the_hand_goes_on(clock) -> None:
    first, then = ({"do": "set_strength", "pot": pot, "strength": 1} for pot in ("ink 40%", "ink 50%"))
    stack = UndoStack(design("0"))
    stack.push(design("1"), "strength", merge=merge_key([first]))
    stack.pot_renamed("ink 40%", "ink 50%")
    assert stack.push(design("2"), "strength", merge=merge_key([then]))


def test_only_sliders_have_a_key_to_be_merged_by() -> None:
    strength = {"do": "set_strength", "pot": "ink", "strength": 1}
    assert merge_key([strength]) == merge_key([strength | {"strength": 2}])
    assert merge_key([strength]) != merge_key([strength | {"pot": "pink"}])
    assert merge_key([{"do": "set_wax", "step": 1, "cool": 1}]) != merge_key([{"do": "set_wax", "step": 1, "edges": 1}])
    assert merge_key([{"do": "set_wax", "step": 1, "cool": 1}]) != merge_key([{"do": "set_wax", "step": 2, "cool": 1}])
    assert merge_key([{"do": "move_step", "step": 1, "to": 2}]) == ""
    assert merge_key([strength, strength]) == ""
