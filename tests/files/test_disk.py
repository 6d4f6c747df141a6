"""Names that stay in their folder, files that are there whole or not at all, locks."""

from __future__ import annotations

import os
import stat
import threading
import unicodedata

import pytest

from batiksim.errors import BatikError
from batiksim.files.disk.locking import Hold, alone
from batiksim.files.disk.replacing import replacing, sync
from batiksim.files.disk.resolve import SHARED, file_beside, nearest_file

PICTURES = (".png", ".tif")


def beside(folder, name):
    return file_beside(folder, name, kind="picture", endings=PICTURES)


def _fail(out):
    out.write(b"ne")
    raise RuntimeError


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / "cloth"
    (folder / "masks").mkdir(parents=True)
    (folder / "masks" / "lines.png").write_bytes(b"")
    (folder / "leaves.tif").write_bytes(b"")
    (folder / "notes.txt").write_bytes(b"")
    (folder / ".hidden.png").write_bytes(b"")
    (tmp_path / "outside.png").write_bytes(b"")
    return folder


def test_a_file_inside_the_folder(folder):
    assert beside(folder, "masks/lines.png") == folder / "masks" / "lines.png"
    assert beside(folder, "leaves.tif") == folder / "leaves.tif"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("", "needs the name of a picture"),
        ("  ", "needs the name of a picture"),
        ("a\nb.png", "needs the name of a picture"),
        ("a\x1fb.png", "needs the name of a picture"),
        ("a\x7fb.png", "needs the name of a picture"),
        ("masks\\lines.png", 'write "/" between'),
        ("/outside.png", "must be in the design's folder"),
        ("~/outside.png", "must be in the design's folder"),
        ("C:outside.png", "must be in the design's folder"),
        ("../outside.png", "points outside the design's folder"),
        ("masks/../leaves.tif", "points outside the design's folder"),
        ("leavs.tif", "there is no such picture.*did you mean 'leaves.tif'"),
        ("Leaves.TIF", "there is no such picture.*did you mean 'leaves.tif'"),
        ("lines.png", "did you mean 'masks/lines.png'"),
        ("masks", "is not a picture"),
    ],
)
def test_names_that_lead_nowhere_are_told(folder, name, said):
    with pytest.raises(BatikError, match=said):
        beside(folder, name)


def test_a_space_in_a_name_is_no_control_character(folder):
    (folder / "my lines.png").write_bytes(b"")
    assert beside(folder, "my lines.png").exists()


def test_both_spellings_of_an_accent(folder):
    there = unicodedata.normalize("NFD", "blüte.png")
    (folder / there).write_bytes(b"")
    assert beside(folder, unicodedata.normalize("NFC", "blüte.png")).exists()
    there = unicodedata.normalize("NFC", "grün.png")
    (folder / there).write_bytes(b"")
    assert beside(folder, unicodedata.normalize("NFD", "grün.png")).exists()


def test_a_link_must_stay_inside_or_lead_to_a_shared_folder(folder, tmp_path, monkeypatch):
    (folder / "link.png").symlink_to(tmp_path / "outside.png")
    (folder / "inner.png").symlink_to(folder / "masks" / "lines.png")
    assert beside(folder, "inner.png").exists()
    with pytest.raises(BatikError, match="is a link that points outside"):
        beside(folder, "link.png")
    monkeypatch.setenv(SHARED, os.pathsep.join(["", "not/whole", str(tmp_path)]))
    assert beside(folder, "link.png").exists()
    assert beside(folder, str(tmp_path / "outside.png")) == tmp_path / "outside.png"
    monkeypatch.setenv(SHARED, str(tmp_path / "masks"))
    with pytest.raises(BatikError, match="must be in the design's folder"):
        beside(folder, str(tmp_path / "outside.png"))


def test_advice_names_what_is_there(folder, tmp_path):
    assert str(nearest_file(folder, "x", "picture", PICTURES)) == "use one of 'leaves.tif', 'masks/lines.png'"
    (tmp_path / "empty").mkdir()
    assert (
        str(nearest_file(tmp_path / "empty", "x", "picture", PICTURES))
        == "there is no picture in the folder 'empty' yet"
    )
    (tmp_path / "empty" / ".hidden").mkdir()
    (tmp_path / "empty" / ".hidden" / "a.png").write_bytes(b"")
    assert "there is no picture" in str(nearest_file(tmp_path / "empty", "a.png", "picture", PICTURES))


def test_a_long_listing_ends(folder):
    """Of thousands of files the first two thousand are looked at, in their order."""
    for number in range(2_000):
        (folder / f"a{number:04}.txt").write_bytes(b"")
    assert "there is no picture" in str(nearest_file(folder, "leaves.tif", "picture", (".tif",)))
    (folder / "a0000.txt").unlink()
    assert (
        str(nearest_file(folder, "leaves.tif", "picture", (".tif",))) == "there is no picture in the folder 'cloth' yet"
    )
    (folder / "a0001.txt").unlink()
    assert str(nearest_file(folder, "x", "picture", (".tif",))) == "use one of 'leaves.tif'"


def test_a_file_is_replaced_whole(tmp_path):
    file = tmp_path / "a.txt"
    file.write_bytes(b"old")
    file.chmod(0o640)
    with replacing(file) as out:
        out.write(b"new")
        assert file.read_bytes() == b"old"
    assert file.read_bytes() == b"new"
    assert stat.S_IMODE(file.stat().st_mode) == 0o640
    assert os.listdir(tmp_path) == ["a.txt"]


def test_a_failing_block_or_check_keeps_the_old_file(tmp_path):
    file = tmp_path / "a.txt"
    file.write_bytes(b"old")
    seen = []

    def refuse(place, new):
        seen.append((place.read_bytes(), new.read_bytes()))
        raise BatikError("error.no_choices")

    with pytest.raises(BatikError, match="none"), replacing(file, check=refuse) as out:
        out.write(b"new")
    assert seen == [(b"old", b"new")]
    with pytest.raises(RuntimeError), replacing(file) as out:
        _fail(out)
    assert file.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["a.txt"]


def test_a_link_is_followed(tmp_path):
    (tmp_path / "real.txt").write_bytes(b"old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    with replacing(tmp_path / "link.txt") as out:
        out.write(b"new")
    assert (tmp_path / "real.txt").read_bytes() == b"new"
    assert (tmp_path / "link.txt").is_symlink()


def test_a_long_name_still_has_room_for_the_part_beside_it(tmp_path):
    file = tmp_path / ("n" * 250 + ".txt")
    with replacing(file) as out:
        out.write(b"x")
        (part,) = tmp_path.iterdir()
        assert part.name.startswith("." + "n" * 40 + ".")
        assert part.suffix == ".part"
    assert file.read_bytes() == b"x"


def test_where_nothing_can_be_written(tmp_path):
    with pytest.raises(BatikError, match="can't be written"), replacing(tmp_path / "no" / "a.txt"):
        pass


def test_one_hold_at_a_time(tmp_path):
    file = tmp_path / "a.toml"
    first = Hold.take(file)
    assert first is not None
    assert Hold.take(file) is None
    other = Hold.take(tmp_path / "b.toml")
    assert other is not None
    first.let_go()
    first.let_go()  # once more does no harm
    again = Hold.take(tmp_path / "." / "a.toml")
    assert again is not None
    assert Hold.take(file) is None
    again.let_go()
    other.let_go()
    assert os.listdir(tmp_path) == []


def test_a_folder_is_for_one_at_a_time(tmp_path):
    order = []
    inside, waiting = threading.Event(), threading.Event()

    def second():
        inside.wait()
        waiting.set()
        with alone(tmp_path):
            order.append("second")

    thread = threading.Thread(target=second)
    thread.start()
    with alone(tmp_path):
        inside.set()
        waiting.wait()
        order.append("first")
    thread.join()
    assert order == ["first", "second"]
    assert os.listdir(tmp_path) == []
    with alone(tmp_path / "nowhere"):  # what can't be locked is no reason to stop
        pass


def test_what_waits_for_the_disk_leaves_no_file_open(tmp_path, monkeypatch):
    handles, opened = [], os.open
    monkeypatch.setattr(os, "open", lambda *given: handles.append(opened(*given)) or handles[-1])
    sync(tmp_path)
    with pytest.raises(OSError, match="Bad file descriptor"):
        os.fstat(handles[0])
