"""While the engine is made ready: the wait is explained when it has to be compiled, and only then."""

from __future__ import annotations

from threading import Event

import pytest

from batiksim.cloth import render
from batiksim.jobs import previews


@pytest.fixture
def told():
    return []


def say(told):
    return lambda done, whole, what: told.append(what)


def test_an_engine_that_is_only_loaded_is_not_spoken_of(told, monkeypatch):
    """However long it takes: here until the pictures have long been read."""
    read = Event()
    monkeypatch.setattr(render, "warm_up", lambda compiling: read.wait())
    with previews.engine_ready(say(told)):
        read.set()
    assert told == []


def test_compiling_is_said_once(told, monkeypatch):
    said = Event()

    def warm_up(compiling):
        for _ in range(11):
            compiling()
        said.wait()

    def progress(done, whole, what):
        told.append(what)
        said.set()

    monkeypatch.setattr(render, "warm_up", warm_up)
    with previews.engine_ready(progress):
        pass
    assert told == [previews.PREPARING]


def test_a_fault_while_compiling_comes_through(told, monkeypatch):
    def warm_up(compiling):
        raise RuntimeError("no room on the disk")

    monkeypatch.setattr(render, "warm_up", warm_up)
    with pytest.raises(RuntimeError, match="no room"), previews.engine_ready(say(told)):
        pass


def test_one_line_says_that_the_engine_cannot_be_loaded(plain_design, on_disk, tmp_path, monkeypatch):
    monkeypatch.setattr(render, "_kernel", lambda: "No module named 'numba'")
    saved = previews.save_preview(on_disk(plain_design), tmp_path / "out")
    (line,) = [note for note in saved.report["assumed"] if "engine" in note]
    assert "No module named 'numba'" in line


def test_nothing_is_said_of_an_engine_that_works(plain_design, on_disk, tmp_path):
    saved = previews.save_preview(on_disk(plain_design), tmp_path / "out")
    assert not [note for note in saved.report["assumed"] if "engine" in note]
