"""The document without a browser: what is saved and told, what comes back, where new cloths lie."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PIL import Image

from batiksim.document import autosave
from batiksim.document.document import Document, free_folder
from batiksim.document.frames import mask_cache
from batiksim.errors import BatikError
from batiksim.files.starter import STARTER
from batiksim.files.toml.designs import read_design
from batiksim.texts.catalogue import say
from batiksim.values import Cloth, Design, Dye


@pytest.fixture
def home(tmp_path):
    (tmp_path / "home").mkdir()
    return tmp_path / "home"


@pytest.fixture
def cloth(home, on_disk, build):
    def make(name, **keys):
        return on_disk(build.design(build.wax("lines"), build.dye("sun"), title=name, **keys), name=f"home/{name}")

    return make


@pytest.mark.parametrize(
    ("title", "name"),
    [("Tide pools", "tide-pools"), ("  ÄÖ & x! ", "äö-x"), ("***", "my-cloth"), ("x" * 60, "x" * 50), ("_a_", "a")],
)
def test_a_folder_is_named_after_its_title(tmp_path, title, name):
    assert free_folder(tmp_path, title) == tmp_path / name
    (tmp_path / name).mkdir()
    assert free_folder(tmp_path, title) == tmp_path / f"{name}-2"
    (tmp_path / f"{name}-2").mkdir()
    assert free_folder(tmp_path, title) == tmp_path / f"{name}-3"


@pytest.fixture
def document(cloth):
    events = []
    made = Document.open(cloth("one"), notify=events.append)
    made.events = events
    yield made
    made.close()


def test_a_change_is_saved_and_told(document):
    number = document.stack.number
    document.change([{"do": "set_title", "title": "Two"}])
    assert (document.revision, document.stack.undo_words, document.stack.redo_words) == (
        1,
        say("document.change.set_title"),
        None,
    )
    assert document.stack.number != number
    file = document.file()
    assert read_design(file).title == "Two"
    assert document.saved == 1
    assert document.events[0] == {"kind": "changed", "document": document.number, "revision": 1}
    assert {"kind": "saved", "document": document.number, "revision": 1, "problem": None} in document.events
    document.undo()
    assert (document.design.title, document.stack.number, document.stack.redo_words) == (
        "one",
        number,
        say("document.change.set_title"),
    )
    document.undo()
    assert document.revision == 2  # there was nothing to take back
    document.redo()
    assert read_design(document.file()).title == "Two"
    assert document.versions()[0].what == say("document.change.set_title")


def test_a_change_that_changes_nothing_is_none(document):
    document.change([{"do": "set_title", "title": "one"}])
    assert (document.revision, document.stack.undo_words, document.events) == (0, None, [])
    with pytest.raises(BatikError, match="changes: needs at least one change"):
        document.change([])
    with pytest.raises(BatikError):
        document.change([{"do": "set_title", "title": "x"}, {"do": "remove_step", "step": 9}])
    assert document.design.title == "one"


def test_a_stroke_makes_a_new_mask(document):
    before = document.design.steps[0].mask
    document.touch_up(1, None, [(50.0, 37.0)], 10.0, False)
    after = document.design.steps[0].mask
    assert after.picture.startswith("touched/lines-")
    assert document.stack.undo_words == say("document.change.stroke")
    assert document.masks.full(after)[14, 20] == 255
    document.touch_up(1, None, [(50.0, 37.0)], 10.0, True)
    assert document.stack.undo_words == say("document.change.scraped")
    assert document.masks.full(document.design.steps[0].mask)[14, 20] == 0
    document.undo()
    document.undo()
    assert document.design.steps[0].mask == before
    with pytest.raises(BatikError, match="step 2: has no picture to touch up"):
        document.touch_up(2, None, [(5.0, 5.0)], 10.0, False)


def test_an_earlier_version_comes_back(document):
    document.change([{"do": "set_title", "title": "Two"}])
    document.file()
    oldest = document.versions()[-1]
    document.restore(oldest.key)
    assert (document.design.title, document.stack.undo_words) == ("one", say("document.change.restored"))


def test_it_knows_its_own_file(document, cloth):
    assert document.is_of(document.autosave.folder)
    assert document.is_of(document.autosave.file)
    assert not document.is_of(cloth("two"))


# What is kept on disk


def test_a_cloth_that_can_not_be_saved_has_no_file_to_go_on_with(document, monkeypatch):
    file = document.autosave.file

    def failing(*given, **keys):
        raise BatikError("worktable.error.not_ranked")

    with monkeypatch.context() as patched:
        patched.setattr(autosave.designs, "write_design", failing)
        document.change([{"do": "set_title", "title": "Lost"}])
        with pytest.raises(BatikError, match="couldn't be saved: these orders aren't ranked yet"):
            document.file()
    assert (document.saved, document.revision) == (0, 1)
    assert document.events[-1] == {
        "kind": "unsaved", "document": document.number, "revision": 1, "problem": "these orders aren't ranked yet"
    }  # fmt: skip
    document.change([{"do": "set_title", "title": "Kept"}])
    assert document.file() == file
    assert (document.saved, document.problem) == (2, None)


def test_a_sample_becomes_a_cloth_with_its_pictures_when_it_is_changed(home):
    sample = Document.open_sample(home)
    assert (sample.sample, sample.is_of(sample.autosave.file), list(home.iterdir())) == (True, False, [])
    assert sample.file() == STARTER / "design.toml"
    sample.change([{"do": "set_title", "title": "Mine"}])
    assert sample.file() == home / "my-cloth" / "design.toml"
    assert not sample.sample
    assert sample.is_of(home / "my-cloth")
    assert {use.picture for _, use in sample.design.mask_uses()} <= {
        path.name for path in sample.file().parent.iterdir()
    }
    sample.close()
    assert read_design(home / "my-cloth") == sample.design


def test_each_redo_is_a_version_of_its_own(document):
    for title in ("Two", "Three"):
        document.change([{"do": "set_title", "title": title}])
        document.file()
    for back in (document.undo, document.undo, document.redo, document.redo):
        back()
        document.file()
    title = say("document.change.set_title")
    undone = say("document.change.undone", change=title)
    assert [version.what for version in document.versions()] == [
        title, title, undone, undone, title, title, say("document.change.opened")
    ]  # fmt: skip
    assert str(undone) == "Undid: Changed the title"


def test_presses_of_one_slider_are_one_version(document, monkeypatch):
    for strength in (0.9, 0.8):
        document.change([{"do": "set_strength", "pot": "leaf", "strength": strength}])
        document.file()
    assert [version.what for version in document.versions()] == [
        say("document.change.set_strength", pot="leaf"), say("document.change.opened")
    ]  # fmt: skip
    assert document.undo().pot("leaf").strength == pytest.approx(0.8), "as it was planned"


def test_a_new_cloth_is_begun_at_what_was_laid_on_the_table(home):
    bare = Design(title="Bare", cloth=Cloth(width_mm=200))
    document = Document.create(home, bare)
    assert (document.design, document.revision, document.file().parent.name) == (bare, 0, "bare")
    document.close()
    filled = Document.create(home, replace(bare, dyes=(Dye(name="rust", colour="#aa5533"),)))
    assert (filled.revision, filled.stack.undo_words, filled.file().parent.name) == (1, None, "bare-2")
    assert [version.what for version in filled.versions()] == [
        say("document.change.created"),
        say("document.change.opened"),
    ]
    filled.close()


def test_touched_up_masks_that_nothing_names_go_when_a_cloth_is_opened(document):
    touched = document.autosave.folder / "touched"
    touched.mkdir()
    (touched / "nobody.png").write_bytes(b"")
    Document.open(document.autosave.folder).close()  # open here already, so they are another's to sweep
    assert (touched / "nobody.png").exists()
    document.close()
    Document.open(document.autosave.folder).close()
    assert not (touched / "nobody.png").exists()


# Masks


def test_a_change_to_a_picture_that_is_missing_or_of_another_size_is_none(document):
    Image.new("L", (10, 10), 255).save(document.autosave.folder / "small.png")
    before = document.design
    for picture in ("none.png", "small.png"):
        wax = {"kind": "wax", "where": {"picture": picture}}
        with pytest.raises(BatikError, match=picture):
            document.change([{"do": "add_step", "at": 1, "step": wax}])
    assert (document.design, document.revision, document.stack.undo_words) == (before, 0, None)


def test_masks_of_the_cloth_and_of_the_one_set_aside_are_held(document, monkeypatch):
    monkeypatch.setattr(mask_cache, "KEPT_BYTES", 0)
    first = document.design.steps[0].mask
    document.set_aside = document.design
    document.touch_up(1, None, [(50.0, 37.0)], 10.0, False)
    second = document.design.steps[0].mask
    document.file()
    document.touch_up(1, None, [(60.0, 37.0)], 10.0, False)
    third = document.design.steps[0].mask
    document.file()
    document.change([{"do": "set_title", "title": "Two"}])
    held = [document.masks.held(use) is not None for use in (first, second, third)]
    assert held == [True, False, True]
    document.set_aside = None
    document.change([{"do": "set_title", "title": "Three"}])
    assert document.masks.held(first) is None
    assert document.masks.full(second)[14, 20] == 255, "it is read from disk again"


def test_a_stroke_lies_where_it_is_drawn_in_millimetres(document):
    """The cloth is 100 mm wide and 40 pixels; 50, 37 mm lie in column 20 and row 14 of 30."""
    document.touch_up(1, None, [(0.0, 0.0), (100.0, 75.0)], 200.0, True)
    document.touch_up(1, None, [(51.25, 36.25)], 2.5, False)
    mask = document.masks.full(document.design.steps[0].mask)
    assert [(int(row), int(col)) for row, col in zip(*(mask > 200).nonzero(), strict=True)] == [(14, 20)]
    assert document.design.steps[0].mask.picture.startswith("touched/lines-")


# Dyes of the maker's own book


def own(name, colour, book="my-dyes.toml"):
    return Dye(name=name, book=book, colour=colour)


def test_dyes_learnt_anew_are_in_every_design(document):
    """Of two dyes of the book one is learnt; a dye of the same name that isn't of the book stays as it is."""
    for dye in (own("rust", "#aa5533"), own("moss", "#557733")):
        document.change([{"do": "add_dye", "name": dye.name, "made": dye}])
    document.replace_own_dyes({})
    document.replace_own_dyes({"sun": own("sun", "#000000"), "rust": own("rust", "#000000", book="demo")})
    assert (document.revision, document.set_aside) == (2, None)
    document.set_aside = document.design
    document.replace_own_dyes({"rust": own("rust", "#bb6644"), "sun": own("sun", "#000000")})
    colours = {dye.name: dye.colour for dye in document.design.dyes}
    assert (colours["rust"], colours["moss"], colours["sun"]) == ("#bb6644", "#557733", "#f0d92e")
    assert document.set_aside.dyes == document.design.dyes
    assert document.revision == 3
    assert [dye.colour for dye in document.undo().dyes if dye.name == "rust"] == ["#bb6644"]
