"""Sets of outputs: all new or all old, and nothing left over."""

from __future__ import annotations

import json
import os

import pytest

from batiksim.errors import BatikError
from batiksim.files.outputs import READY, finish_outputs, output_file, output_set
from batiksim.values import MADE_BY

DAY_S = 86_400


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def fail(file):
    file.write_text(made())
    raise RuntimeError


def made(text=""):
    return f"{MADE_BY} {text}"


def test_new_files_take_their_places_and_nothing_else_is_left(tmp_path):
    out = tmp_path / "a" / "b"
    with output_set(out) as stage:
        assert stage.parent == out
        (stage / "one.txt").write_text(made("1"))
        (stage / "more").mkdir()
        (stage / "more" / "two.txt").write_text(made("2"))
        assert not (out / "one.txt").exists()
    assert names(out) == ["more", "one.txt"]
    assert (out / "more" / "two.txt").read_text() == made("2")


def test_what_was_made_before_goes_unless_made_again(tmp_path):
    for name in ("plate-01.png", "plate-02.png", "own.png"):
        (tmp_path / name).write_text(made("old"))
    with output_set(tmp_path, replaces=("plate-01.png", "plate-02.png", "plate-03.png")) as stage:
        (stage / "plate-01.png").write_text(made("new"))
    assert names(tmp_path) == ["own.png", "plate-01.png"]
    assert (tmp_path / "plate-01.png").read_text() == made("new")


def test_names_that_lead_elsewhere_are_never_removed(tmp_path):
    out = tmp_path / "out"
    out.mkdir()
    (tmp_path / "mine.txt").write_text("mine")
    with output_set(out, replaces=("../mine.txt",)):
        pass
    assert (tmp_path / "mine.txt").exists()


def test_a_failing_block_leaves_all_as_it_was(tmp_path):
    (tmp_path / "old.txt").write_text(made("old"))
    with pytest.raises(RuntimeError), output_set(tmp_path, replaces=("old.txt",)) as stage:
        fail(stage / "new.txt")
    assert names(tmp_path) == ["old.txt"]


def test_folders_made_for_nothing_go_again(tmp_path):
    with pytest.raises(RuntimeError), output_set(tmp_path / "a" / "b"):
        raise RuntimeError
    assert names(tmp_path) == []


def test_a_full_place_is_refused_before_and_after_the_work(tmp_path):
    (tmp_path / "mine.png").write_text("mine")
    with pytest.raises(BatikError, match=r"mine\.png.*another folder$"), output_set(tmp_path, makes=("mine.png",)):
        pytest.fail("no work is begun")
    with pytest.raises(BatikError, match=r"mine\.png.*another folder$"), output_set(tmp_path) as stage:
        (stage / "mine.png").write_text(made())
    assert (tmp_path / "mine.png").read_text() == "mine"
    assert names(tmp_path) == ["mine.png"]


@pytest.mark.parametrize("how", ["makes", "replaces", "written"])
def test_the_designs_own_files_are_spared(tmp_path, how):
    own = tmp_path / "own.txt"
    own.write_text(made("own"))
    keys = {} if how == "written" else {how: ("own.txt",)}
    with pytest.raises(BatikError, match="is part of the design"), output_set(tmp_path, spares=[own], **keys) as stage:
        (stage / ("own.txt" if how == "written" else "other.txt")).write_text(made("new"))
    assert own.read_text() == made("own")


def test_a_file_and_a_folder_never_take_each_others_place(tmp_path):
    (tmp_path / "one").mkdir()
    (tmp_path / "two").write_text(made())
    with pytest.raises(BatikError, match="one: is a folder, but"), output_set(tmp_path) as stage:
        (stage / "one").write_text(made())
    with pytest.raises(BatikError, match="two: is a file, but"), output_set(tmp_path) as stage:
        (stage / "two").mkdir()


def test_a_folder_that_is_a_file(tmp_path):
    (tmp_path / "out").write_text("x")
    with pytest.raises(BatikError, match="is a file, not a folder"), output_set(tmp_path / "out"):
        pass
    with pytest.raises(BatikError, match="can't be written to"), output_set(tmp_path / "out" / "deeper"):
        pass


def test_an_error_names_the_file_where_the_maker_will_look(tmp_path):
    with pytest.raises(BatikError) as told, output_set(tmp_path) as stage:
        raise BatikError(
            "error.no_choices", file=stage / "one.png", field="f", got=3, fix="worktable.error.no_dyes.fix"
        )
    error = told.value
    told_of = (error.file, error.field, error.got, str(error.fix))
    assert told_of == (str(tmp_path / "one.png"), "f", 3, "add a dye first")
    with pytest.raises(BatikError) as told, output_set(tmp_path):
        raise BatikError("worktable.error.not_ranked", file="elsewhere.png")
    assert told.value.file == "elsewhere.png"


def test_a_finished_set_that_was_cut_short_is_finished_first(tmp_path):
    ready = tmp_path / READY
    (ready / "inner").mkdir(parents=True)
    (ready / "new.txt").write_text("new")
    (ready / "inner" / "deep.txt").write_text("deep")
    (ready / ".gone.json").write_text(json.dumps(["old.txt", "../far.txt", "never.txt"]))
    (tmp_path / "old.txt").write_text("old")
    (tmp_path / "new.txt").write_text("before")
    finish_outputs(tmp_path)
    assert names(tmp_path) == ["inner", "new.txt"]
    assert (tmp_path / "new.txt").read_text() == "new"
    assert (tmp_path / "inner" / "deep.txt").read_text() == "deep"
    finish_outputs(tmp_path)  # and there is no more to do
    with output_set(tmp_path / "fresh") as stage:
        (stage / "a.txt").write_text(made())
    assert names(tmp_path / "fresh") == ["a.txt"]


def test_a_set_left_ready_comes_before_the_next(tmp_path):
    (tmp_path / READY).mkdir()
    (tmp_path / READY / "left.txt").write_text(made("left"))
    with output_set(tmp_path):
        assert (tmp_path / "left.txt").exists()


@pytest.mark.parametrize(("age_s", "stays"), [(DAY_S - 60, True), (DAY_S + 60, False)])
def test_half_made_sets_go_after_a_day(tmp_path, age_s, stays, monkeypatch):
    half = tmp_path / ".batiksim-new-abc"
    half.mkdir()
    monkeypatch.setattr("batiksim.files.outputs.time.time", lambda: half.stat().st_mtime + age_s)
    with output_set(tmp_path):
        pass
    assert half.exists() is stays


def test_one_file(tmp_path):
    file = tmp_path / "page.pdf"
    for text in ("first", "second"):
        with output_file(file) as out:
            out.write(made(text).encode())
    assert file.read_text() == made("second")
    file.write_text("mine")
    with pytest.raises(BatikError, match="wasn't made by batiksim or has been changed"), output_file(file) as out:
        pytest.fail("no work is begun")
    assert names(tmp_path) == ["page.pdf"]
    data = tmp_path / "data.json"
    data.write_text('{"mine": 1}')
    with pytest.raises(BatikError, match="wasn't made by batiksim or has been changed"), output_file(data) as out:
        out.write(b'{"other": 1}')
    assert data.read_text() == '{"mine": 1}'
    assert os.listdir(tmp_path).count("data.json") == 1
