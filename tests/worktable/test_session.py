"""The session without a server: which cloth is opened, what pages hear, what is cleared up."""

from __future__ import annotations

import asyncio
import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from batiksim.changes.new_masks import mask_use
from batiksim.document.document import Document
from batiksim.errors import BatikError
from batiksim.files.toml.designs import read_design
from batiksim.files.toml.dyebooks import write_book
from batiksim.values import BookDye, Cloth, Design, Dye, DyeBook, Wax
from batiksim.worktable.session import Session


@pytest.fixture
def home(tmp_path):
    (tmp_path / "home").mkdir()
    return tmp_path / "home"


@pytest.fixture
def opened(home):
    """A session of that home; it is closed at the end."""
    made = []

    def start(design=None):
        made.append(Session(home, design))
        made[-1].heard = []
        made[-1].notify = made[-1].heard.append
        return made[-1]

    yield start
    for session in made:
        session.close()


@pytest.fixture
def cloth(home, on_disk, build):
    def make(name, **keys):
        return on_disk(build.design(build.wax("lines"), build.dye("sun"), title=name, **keys), name=f"home/{name}")

    return make


def test_the_cloth_saved_last_is_opened_or_a_sample(opened, cloth):
    session = opened()
    assert session.document.sample
    for place, name in enumerate(("one", "two", "broken")):
        os.utime(cloth(name) / "design.toml", (1000 + place, 1000 + place))
    (session.home / "broken" / "design.toml").write_text("nonsense")
    assert opened().document.design.title == "two"
    assert opened(session.home / "one").document.design.title == "one"
    with pytest.raises(BatikError, match="there is no such design"):
        opened(session.home / "three")


def test_other_cloths_are_opened_and_made(opened, cloth):
    session = opened(cloth("one"))
    first = session.document
    session.open(session.home / "one")
    assert session.document is first
    session.open(cloth("two"))
    second = session.document
    assert second.design.title == "two"
    assert session.heard == [{"kind": "changed", "document": second.number, "revision": 0}]
    session.open_sample()
    assert session.document.sample
    sample = session.document
    session.open_sample()
    assert session.document is sample
    session.create(Design(title="Third cloth", cloth=Cloth(width_mm=200)))
    assert session.document.autosave.folder == session.home / "third-cloth"
    assert not session.document.sample
    session.document.autosave.flush()
    assert read_design(session.home / "third-cloth").title == "Third cloth"


def test_what_is_open_elsewhere_is_taken_over_when_it_is_free(opened, cloth):
    folder = cloth("one")
    first, second = opened(folder), opened(folder)
    assert (first.document.autosave.elsewhere, second.document.autosave.elsewhere) == (False, True)
    with pytest.raises(BatikError, match="is already open in another worktable"):
        second.document.change([{"do": "set_title", "title": "x"}])
    second.take_over()
    assert second.document.autosave.elsewhere
    first.document.change([{"do": "set_title", "title": "Changed"}])
    first.close()
    second.take_over()
    assert not second.document.autosave.elsewhere
    assert second.document.design.title == "Changed"


def test_a_book_changed_elsewhere_is_told(opened, cloth, home):
    entry = BookDye(name="rust", colour="#aa5533")
    rust = Dye(name="rust", colour="#aa5533")
    folder = cloth("one")
    write_book(DyeBook(name="mine.toml", title="Mine", entries=(entry,)), folder / "mine.toml")
    text = (folder / "design.toml").read_text()
    (folder / "design.toml").write_text(text + '\n[[dye]]\nname = "rust"\nbook = "mine.toml"\n')
    session = opened(folder)
    session.reread_books()
    assert session.heard == []
    changed = replace(entry, colour="#bb6644")
    write_book(DyeBook(name="mine.toml", title="Mine", entries=(changed,)), folder / "mine.toml")
    session.reread_books()
    assert {"kind": "learnt", "document": session.document.number, "dyes": ["rust"]} in session.heard
    colours = [dye.colour for dye in session.document.design.dyes if dye.name == rust.name]
    assert colours == ["#bb6644"]


async def all_told():
    """Whatever the loop was told to do before this has been done: it keeps to the order."""
    done = asyncio.get_running_loop().create_future()
    asyncio.get_running_loop().call_soon(done.set_result, None)
    await done


def test_pages_hear_of_each_other_and_of_all_else(home):
    async def talk():
        session = Session(home, None)
        session.notify({"kind": "x"})  # nobody listens yet
        session.loop = asyncio.get_running_loop()
        first = session.enter("a")
        second = session.enter("b")
        assert session.pages == 2
        session.notify({"kind": "x"})
        await all_told()
        counts = [first.get_nowait() for _ in range(3)]
        assert counts == [{"kind": "pages", "count": 1}, {"kind": "pages", "count": 2}, {"kind": "x"}]
        session.leave("a", second)  # not the one that is there
        assert session.pages == 2
        again = session.enter("a")  # loaded anew before the old one has gone
        session.leave("a", first)
        assert session.pages == 2
        session.leave("a", again)
        assert session.pages == 1
        for _ in range(209):
            session.notify({"kind": "x"})
        await all_told()
        assert second.qsize() == 200  # one that doesn't listen has to ask anew
        scratch = session.scratch
        assert scratch.is_dir()
        session.close()
        assert not scratch.exists()
        return session

    with ThreadPoolExecutor(1) as pool:
        ended = pool.submit(asyncio.run, talk()).result(60)
    ended.notify({"kind": "x"})  # nobody listens any more


def test_the_old_cloth_is_saved_before_another_is_shown(opened, cloth):
    session = opened(cloth("one"))
    session.document.change([{"do": "set_title", "title": "Kept"}])
    session.open(cloth("two"))
    assert read_design(session.home / "one").title == "Kept"
    with pytest.raises(BatikError):
        session.open(session.home / "nowhere")
    assert session.document.design.title == "two"


def test_all_that_waits_is_saved_and_stopped_at_the_end(home, cloth):
    session = Session(home, cloth("one"))
    stopped = []
    session.tasks.close = lambda: stopped.append(True)
    session.document.change([{"do": "set_title", "title": "Kept"}])
    session.close()
    assert (stopped, read_design(home / "one").title) == ([True], "Kept")
    assert not session.scratch.exists()


def test_a_new_cloth_has_the_masks_that_it_names(opened):
    session = opened()
    mask = np.zeros((30, 40), np.uint8)
    mask[:10] = 255
    design = Design(title="New", cloth=Cloth(width_mm=200), steps=(Wax(mask=mask_use("a", mask)),))
    session.create(design, [("a", mask)])
    assert session.heard[0]["document"] == session.document.number
    assert session.heard[-1]["kind"] in ("changed", "saved")
    session.document.file()
    assert (Document.open(session.home / "new").masks.full(design.steps[0].mask) == mask).all()


def test_what_was_sent_lies_in_a_folder_of_its_own(opened):
    first, second = opened(), opened()
    assert first.scratch != second.scratch
    assert first.scratch.is_dir()
    assert first.tasks._scratch == first.photos._folder == first.scratch
