"""Saving in the background: the newest design, whole, with its masks, its history and its troubles in words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from batiksim.document import autosave as module
from batiksim.document.autosave import Autosave
from batiksim.document.frames.mask_cache import MaskCache
from batiksim.errors import BatikError
from batiksim.files.disk.locking import Hold
from batiksim.files.toml.designs import read_design, write_design
from batiksim.texts.catalogue import say
from batiksim.values import Wax


def named(words):
    """A message with these words in it."""
    return say("document.change.rename_pot", pot=words)


class Saver:
    """An autosave that keeps what it says, as (revision, problem)."""

    def __init__(self, file, **keys):
        self.heard = []
        self.masks = MaskCache(lambda use: None)
        self.auto = Autosave(file, self.masks, on_saved=self.hear, **keys)

    def hear(self, revision, problem):
        self.heard.append((revision, None if problem is None else str(problem)))

    def save(self, revision, design, words="words", **keys):
        self.auto.save_soon(revision, design, named(words), **keys)
        self.auto.flush()

    @property
    def history(self):
        """The names that its versions were saved under; of those of its own making, their keys."""
        return [version.what.values.get("pot", version.what.key) for version in self.auto.history.versions()]


@pytest.fixture
def start():
    """start(file) : a saver of that file; it is closed at the end."""
    started = []

    def begin(file, **keys):
        started.append(Saver(file, **keys))
        return started[-1]

    yield begin
    for saver in started:
        saver.auto.close()


@pytest.fixture
def saver(start, folder):
    return start(folder / "design.toml")


@pytest.fixture
def design(folder):
    return read_design(folder)


def titled(design, title):
    return replace(design, title=title)


def test_a_design_is_on_disk_after_a_flush_and_that_is_told(saver, design, folder):
    saver.save(7, titled(design, "Two"), "the title")
    assert read_design(folder).title == "Two"
    assert saver.heard == [(7, None)]
    assert saver.history == ["the title", "document.change.opened"]
    saver.save(8, titled(design, "Three"), "again")
    assert saver.history == ["again", "the title", "document.change.opened"]
    assert [saver.auto.history.design(each.key).title for each in saver.auto.history.versions()] == [
        "Three", "Two", "Leaves"
    ]  # fmt: skip
    assert not saver.auto.outside
    assert saver.auto.folder == folder


def test_of_several_waiting_the_newest_is_saved(saver, design, folder):
    with saver.auto._wake:  # the thread can't begin before all are there
        for revision, title in enumerate("abc", start=1):
            saver.auto.save_soon(revision, titled(design, title), named(title))
    saver.auto.flush()
    assert (read_design(folder).title, saver.heard, saver.history) == (
        "c",
        [(3, None)],
        ["c", "document.change.opened"],
    )


def test_what_waits_is_saved_at_the_end_and_the_cloth_let_go_of(saver, design, folder):
    with saver.auto._wake:
        saver.auto.save_soon(1, titled(design, "Last"), named("last"))
    assert Hold.take(folder / "design.toml") is None
    saver.auto.close()
    assert read_design(folder).title == "Last"
    assert not saver.auto._thread.is_alive()
    hold = Hold.take(folder / "design.toml")
    assert hold is not None
    hold.let_go()


@pytest.mark.parametrize(
    ("words", "merged", "kept"),
    [("wider", True, ["wider"]), ("wider", False, ["wider", "wider"]), ("other", True, ["other", "wider"])],
)
def test_one_slider_that_moves_on_is_one_version(saver, design, words, merged, kept):
    saver.save(1, titled(design, "a"), "wider")
    saver.save(2, titled(design, "b"), words, merged=merged)
    assert saver.history == [*kept, "document.change.opened"]
    assert saver.auto.history.design(saver.auto.history.versions()[0].key).title == "b"


@pytest.mark.parametrize(("first", "second", "count"), [(True, True, 1), (False, True, 2), (True, False, 2)])
def test_changes_saved_together_are_merged_only_if_all_of_them_are(saver, design, first, second, count):
    saver.save(1, titled(design, "a"), "wider")
    with saver.auto._wake:
        saver.auto.save_soon(2, titled(design, "b"), named("wider"), merged=first)
        saver.auto.save_soon(3, titled(design, "c"), named("wider"), merged=second)
    saver.auto.flush()
    assert saver.history == [*["wider"] * count, "document.change.opened"]


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (
            BatikError("worktable.error.not_ranked", fix="worktable.error.no_dyes.fix"),
            "these orders aren't ranked yet; add a dye first",
        ),
        (OSError(28, "No space left"), "{file}: can't be written (No space left)"),
        (OSError("odd"), "{file}: can't be written (odd)"),
        (ValueError("odd"), "{file}: couldn't be saved (ValueError('odd'))"),
    ],
)
def test_what_can_not_be_saved_is_told_and_the_next_change_is_saved_again(
    saver, design, folder, monkeypatch, error, said
):
    def failing(*given, **keys):
        raise error

    with monkeypatch.context() as patched:
        patched.setattr(module.designs, "write_design", failing)
        saver.save(1, titled(design, "Lost"))
    assert saver.heard == [(1, said.format(file=folder / "design.toml"))]
    assert read_design(folder).title == "Leaves"
    saver.save(2, titled(design, "Kept"))
    assert saver.heard[1:] == [(2, None)]
    assert read_design(folder).title == "Kept"


def test_another_hands_change_is_kept_once_and_told(saver, design, folder):
    saver.save(1, titled(design, "Mine"), "mine")
    assert not saver.auto.outside
    write_design(titled(design, "By hand"), folder, in_place=True)
    saver.save(2, titled(design, "Mine again"), "again")
    assert saver.auto.outside
    assert saver.history == ["again", "document.change.outside", "mine", "document.change.opened"]
    assert read_design(folder).title == "Mine again"
    saver.auto.outside = False
    saver.save(3, titled(design, "On"), "on")
    assert (saver.auto.outside, saver.history[0]) == (False, "on")


def test_a_file_that_is_gone_is_written_again_and_no_change_from_outside(saver, design, folder):
    (folder / "design.toml").unlink()
    saver.save(1, titled(design, "Here"), "here")
    assert (saver.auto.outside, saver.history, read_design(folder).title) == (False, ["here"], "Here")


def test_a_cloth_is_open_in_one_worktable_at_a_time(start, folder):
    first, second = start(folder / "design.toml"), start(folder / "design.toml")
    assert (first.auto.elsewhere, second.auto.elsewhere) == (False, True)
    assert not first.auto.is_free_again(), "it was never another's"
    assert not second.auto.is_free_again()
    first.auto.close()
    assert second.auto.is_free_again()
    assert second.auto.is_free_again(), "asking takes nothing"


def test_a_folder_is_made_with_the_first_save_and_held_from_then_on(start, design, folder, leaves, tmp_path):
    made = []

    def prepare():
        made.append(tmp_path / "new" / "design.toml")
        write_design(design, tmp_path / "new")
        Image.fromarray(255 - leaves).save(tmp_path / "new" / "leaves.png")
        return made[-1]

    saver = start(folder / "design.toml", prepare=prepare)
    assert (made, saver.auto.elsewhere, saver.auto.is_free_again()) == ([], False, False)
    saver.save(1, titled(design, "New"), "new")
    saver.save(2, titled(design, "Newer"), "newer")
    assert made == [tmp_path / "new" / "design.toml"]
    assert saver.auto.file == made[0]
    assert (read_design(tmp_path / "new").title, read_design(folder).title) == ("Newer", "Leaves")
    assert (saver.history, saver.auto.outside) == (["newer", "new", "document.change.opened"], False)
    assert start(made[0]).auto.elsewhere


# Masks


def test_new_masks_are_written_dark_on_white_at_the_cloths_width(saver, design, folder, leaves):
    use = saver.masks.put_new("lines.png", leaves)
    other = saver.masks.put_new("sky", leaves[:, ::-1], folder="masks")
    saver.save(1, replace(design, steps=(Wax(mask=use), *design.steps)))
    with Image.open(folder / use.picture) as picture:
        assert (np.asarray(picture.convert("L")) == 255 - leaves).all()
        assert picture.info["dpi"][0] == pytest.approx(25.4, abs=0.02)  # a pixel a millimetre
    assert saver.heard == [(1, None)]
    assert not (folder / other.picture).exists(), "nothing names it yet"
    assert set(saver.masks.unsaved([use, other])) == {other}
    saver.save(2, replace(design, steps=(Wax(mask=other), *design.steps)))
    assert (folder / other.picture).exists()
    assert saver.masks.unsaved([use, other]) == {}


def test_masks_that_went_are_written_again_and_books_that_went_are_told(saver, design, folder, leaves):
    saver.masks.put(design.steps[0].mask, leaves)
    (folder / "leaves.png").unlink()
    saver.save(1, titled(design, "Again"))
    assert (folder / "leaves.png").exists()
    rust = replace(design.dyes[0], name="rust", book="mine.toml")
    saver.save(2, replace(design, dyes=(*design.dyes, rust)))
    assert "mine.toml" in saver.heard[1][1]
    assert read_design(folder).title == "Again"


def test_touched_up_masks_that_nothing_names_are_swept_away(saver, design, folder, leaves):
    saver.auto.sweep()  # there is no such folder yet
    in_history, in_design = (saver.masks.put_new(name, leaves) for name in ("first", "second"))
    saver.save(1, replace(design, steps=(Wax(mask=in_history),)), "first")
    saver.save(2, replace(design, steps=(Wax(mask=in_design),)), "second")
    touched = folder / "touched"
    for name in ("nobody.png", "in-another.png"):
        Image.new("L", (8, 6)).save(touched / name)
    (touched / "notes.txt").write_text("mine")
    (folder / "other.toml").write_text('picture = "touched/in-another.png"')
    saver.auto.sweep()
    names = {path.name for path in touched.iterdir()}
    assert names == {in_history.picture[8:], in_design.picture[8:], "in-another.png", "notes.txt"}
