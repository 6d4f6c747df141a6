"""The engine is made ready while pictures are read, and one that can't be loaded is told."""

from __future__ import annotations

from threading import Event

import pytest

from batiksim.cloth import render
from batiksim.jobs import previews
from batiksim.texts.catalogue import say


def test_the_engine_is_made_ready_while_pictures_are_read(monkeypatch):
    read, ready = Event(), []

    def warm_up():
        read.wait()
        ready.append(True)

    monkeypatch.setattr(render, "warm_up", warm_up)
    with previews.engine_ready():
        read.set()
    assert ready == [True]


def test_a_fault_while_compiling_comes_through(monkeypatch):
    def warm_up():
        raise RuntimeError("no room on the disk")

    monkeypatch.setattr(render, "warm_up", warm_up)
    with pytest.raises(RuntimeError, match="no room"), previews.engine_ready():
        pass


def test_one_line_says_that_the_engine_cannot_be_loaded(plain_design, on_disk, tmp_path, monkeypatch):
    monkeypatch.setattr(render, "_kernel", lambda: say("cloth.engine.not_loaded", reason="No module named 'numba'"))
    saved = previews.save_preview(on_disk(plain_design), tmp_path / "out")
    (line,) = [note for note in saved.report["assumed"] if "engine" in note]
    assert "No module named 'numba'" in line


def test_nothing_is_said_of_an_engine_that_works(plain_design, on_disk, tmp_path):
    saved = previews.save_preview(on_disk(plain_design), tmp_path / "out")
    assert not [note for note in saved.report["assumed"] if "engine" in note]
