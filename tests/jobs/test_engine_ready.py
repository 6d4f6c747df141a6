"""While the engine is made ready: the wait is explained when anything has to be compiled, and only then."""

from __future__ import annotations

from threading import Event, Thread

import pytest

from batiksim.cli.report.report import progress_line
from batiksim.cloth import render
from batiksim.cloth.compile_notice import compiling_begins, on_compiling
from batiksim.jobs import previews


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


def lines(capsys):
    return capsys.readouterr().err.splitlines()


@pytest.mark.parametrize("shown", [True, False])
def test_compiling_is_said_once_a_command_and_only_while_it_runs(capsys, shown):
    with progress_line(shown) as progress:
        progress(0, 1, "reading")
        assert lines(capsys) == []
        for _ in range(11):
            compiling_begins()
        (line,) = lines(capsys)
        assert line.startswith("batiksim: preparing the engine for this machine, only this once")
    compiling_begins()
    assert lines(capsys) == []


def test_any_loop_that_is_compiled_is_told_and_none_that_is_there():
    """Those of cracks, edges and spread too, whichever thread needs them, and not the one that was compiled before."""
    pytest.importorskip("batiksim.cloth.compiling")
    import numba

    told = []
    loop = numba.njit(lambda number: number + 1)  # which is not kept on disk from an earlier run of the tests
    with on_compiling(lambda: told.append(1)):
        assert loop(2) == 3
        assert told
        told.clear()
        assert loop(3) == 4
        assert told == []
        thread = Thread(target=loop, args=(0.5,))  # of another type: compiled for it
        thread.start()
        thread.join()
        assert told


def test_one_line_says_that_the_engine_cannot_be_loaded(plain_design, on_disk, tmp_path, monkeypatch):
    monkeypatch.setattr(render, "_kernel", lambda: "No module named 'numba'")
    saved = previews.save_preview(on_disk(plain_design), tmp_path / "out")
    (line,) = [note for note in saved.report["assumed"] if "engine" in note]
    assert "No module named 'numba'" in line


def test_nothing_is_said_of_an_engine_that_works(plain_design, on_disk, tmp_path):
    saved = previews.save_preview(on_disk(plain_design), tmp_path / "out")
    assert not [note for note in saved.report["assumed"] if "engine" in note]
