"""A document without a browser: revisions, events, and what is on disk."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from batiksim.changes.verbs import apply_changes, change_words, insert_own_dyes
from batiksim.document.document import Document
from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design, write_design
from batiksim.texts.catalogue import say
from batiksim.values import Dye, DyeBath


def rename(old: str, new: str) -> dict[str, str]:
    return {"do": "rename_pot", "pot": old, "to": new}


def test_each_change_and_each_step_back_is_a_revision_that_is_told_and_saved(folder) -> None:
    events: list[dict] = []
    document = Document.open(folder, notify=events.append)
    document.change([{"do": "set_title", "title": "First"}])
    document.change([{"do": "move_step", "step": 3, "to": 2}])
    document.undo()
    document.redo()
    document.close()
    assert document.revision == document.saved == 4
    assert [event["revision"] for event in events if event["kind"] == "changed"] == [1, 2, 3, 4]
    assert {event["document"] for event in events} == {document.number}
    assert read_design(folder) == document.design
    assert [type(step).__name__ for step in document.design.steps] == ["Wax", "DyeBath", "DyeBath"]
    assert document.design.steps[1].paints[0].pot == "pale ink"


def test_what_changes_nothing_is_no_revision(document) -> None:
    document.undo()
    document.redo()
    document.change([{"do": "set_title", "title": "Leaves"}])
    document.change([{"do": "move_step", "step": 2, "to": 2}])
    with pytest.raises(BatikError, match="there is no such step|out of range"):
        document.change([{"do": "move_step", "step": 2, "to": 9}])
    with pytest.raises(BatikError, match="at least one"):
        document.change([])
    assert (document.revision, document.stack.undo_words) == (0, None)


def test_a_change_after_undo_takes_the_place_of_what_was_undone(document) -> None:
    document.change([{"do": "set_title", "title": "Wrong"}])
    document.undo()
    document.change([{"do": "remove_step", "step": 3}])
    assert document.redo() == document.design
    assert document.design.title == "Leaves"
    assert len(document.undo().steps) == 3


def test_two_documents_are_told_apart(folder, document) -> None:
    again = Document.open(folder)
    assert again.number != document.number
    assert again.autosave.elsewhere, "the first one has it open"
    with pytest.raises(BatikError, match="another worktable"):
        again.change([{"do": "set_title", "title": "Two"}])
    assert document.is_of(folder)
    assert document.is_of(folder / "design.toml")
    assert not again.is_of(folder)
    assert not again.autosave.is_free_again()
    document.close()
    assert again.autosave.is_free_again()
    again.close()


def test_a_stroke_is_a_new_picture_and_undo_has_the_old_one(document, folder, leaves) -> None:
    document.touch_up(1, None, [(60, 30), (70, 30)], 6, erase=False)
    touched = document.design.steps[0].mask
    assert touched.picture.startswith("touched/leaves-")
    assert document.masks.full(touched)[30, 65] == 255
    document.undo()
    np.testing.assert_array_equal(document.masks.full(document.design.steps[0].mask), leaves)
    document.close()
    assert (folder / touched.picture).is_file(), "redo after the next start finds it"
    with pytest.raises(BatikError, match="no picture to touch up"):
        document.touch_up(2, 1, [(1, 1)], 6, erase=False)


def test_an_earlier_version_comes_back_as_a_change(document) -> None:
    document.change([{"do": "set_title", "title": "Later"}])
    document.autosave.flush()
    opened = document.versions()[-1]
    assert opened.what == say("document.change.opened")
    assert document.restore(opened.key).title == "Leaves"
    assert document.undo().title == "Later"
    with pytest.raises(BatikError, match="no such version"):
        document.restore("../../design")


def test_a_change_from_outside_is_kept_in_the_history(document, folder) -> None:
    events: list[dict] = []
    document._notify = events.append
    write_design(replace(read_design(folder), title="By hand"), folder, in_place=True)
    document.change([{"do": "set_title", "title": "Here"}])
    document.autosave.flush()
    assert [version.what for version in document.versions()] == [
        say("document.change.set_title"), say("document.change.outside")
    ]  # fmt: skip
    assert document.autosave.history.design(document.versions()[1].key).title == "By hand"
    assert [event["kind"] for event in events] == ["changed", "outside", "saved"]


def test_words_of_changes_are_of_the_first(document) -> None:
    move = {"do": "move_step", "step": 1, "to": 2}
    assert change_words(document.design, [rename("pale ink", "x"), move]) == say(
        "document.change.rename_pot", pot="pale ink"
    )
    assert str(change_words(document.design, [move])).startswith("Moved “")


def test_a_dye_of_her_own_stands_in_a_change_as_that_dye(document) -> None:
    mine = Dye(name="sea", book="my-dyes.toml", colour="#1aa7b8")
    changes = [{"do": "add_dye", "name": "sea", "own": True}, {"do": "add_dye", "name": "moss", "own": False}]
    with_own = insert_own_dyes(changes, {"sea": mine, "moss": mine})
    assert with_own == [changes[0] | {"made": mine}, changes[1]]
    assert apply_changes(document.design, with_own).dyes[2] == mine


def test_a_swapped_dye_is_swapped_in_pots_and_baths(document) -> None:
    after = document.change([{"do": "swap_dye", "dye": "pink", "name": "sea", "colour": "#1aa7b8"}])
    assert [dye.name for dye in after.dyes] == ["sea", "ink"]
    assert [step.paints[0].pot for step in after.steps if isinstance(step, DyeBath)] == ["sea", "pale ink"]
