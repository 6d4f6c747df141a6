"""What goes along when a design moves to another folder, and which files are the maker's own."""

from __future__ import annotations

from dataclasses import replace

import pytest

from batiksim.errors import BatikError
from batiksim.files.disk.resolve import SHARED
from batiksim.files.sources import bring_along, check_free, keep_apart, named_files
from batiksim.files.starter import STARTER, new_design
from batiksim.files.toml.designs import read_design, write_design
from batiksim.files.toml.dyebooks import read_book, write_book
from batiksim.values import MADE_BY, BookDye, Dye, DyeBook, MaskUse, Want

SAMPLES = tuple((nm, 0.5) for nm in range(400, 701, 10))


@pytest.fixture
def packed(build, tmp_path):
    """A design with a picture in a folder, a wanted picture, a spectrum, two book dyes and one from the demo book."""
    source = tmp_path / "source"
    (source / "masks").mkdir(parents=True)
    for name in ("masks/lines.png", "want.png", "blue.csv"):
        (source / name).write_bytes(name.encode())
    entries = tuple(BookDye(name=name, colour=colour) for name, colour in (("rust", "#aa5533"), ("moss", "#557733")))
    write_book(DyeBook(name="mine.toml", title="Mine", entries=entries), source / "mine.toml")
    dyes = (
        Dye(name="sun", colour="#f0d92e"),
        Dye(name="blue", spectrum="blue.csv", samples=SAMPLES),
        replace(entries[0].dye("mine.toml")),
        replace(Dye(name="lemon", colour="#ffee00"), book="demo"),
    )
    want = Want(colour="#aa5533", where=MaskUse(picture="want.png"), name="leaves")
    design = build.design(
        build.wax("masks/lines"), build.dye("sun"), build.wax("masks/lines"), dyes=dyes, pots=(), wants=(want,)
    )
    return design, source


def test_all_that_a_design_names_goes_along_once(packed, tmp_path):
    design, source = packed
    target = tmp_path / "target"
    assert bring_along(design, source, target) == ("masks/lines.png", "want.png", "blue.csv", "mine.toml")
    for name in ("masks/lines.png", "want.png", "blue.csv"):
        assert (target / name).read_bytes() == name.encode()
    assert [dye.name for dye in read_book(target / "mine.toml").entries] == ["rust"]  # moss is not used
    assert sorted(path.name for path in target.iterdir()) == ["blue.csv", "masks", "mine.toml", "want.png"]


def test_what_is_new_is_not_there_to_be_copied(packed, tmp_path):
    design, source = packed
    (source / "want.png").unlink()
    assert "want.png" not in bring_along(design, source, tmp_path / "target", made=["want.png"])
    with pytest.raises(BatikError, match="there is no such picture"):
        bring_along(design, source, tmp_path / "other")


def test_a_book_may_lie_elsewhere(packed, tmp_path):
    design, source = packed
    elsewhere = (source / "mine.toml").rename(tmp_path / "book.toml")
    bring_along(design, source, tmp_path / "target", books={"mine.toml": elsewhere})
    assert [dye.name for dye in read_book(tmp_path / "target" / "mine.toml").entries] == ["rust"]


def test_what_lies_in_a_shared_folder_stays_there(packed, build, tmp_path, monkeypatch):
    _, source = packed
    monkeypatch.setenv(SHARED, str(source))
    shared = build.design(build.wax(source / "want"), dyes=(), pots=())
    assert bring_along(shared, tmp_path, tmp_path / "target") == ()
    assert not (tmp_path / "target").exists()


def test_a_free_folder(tmp_path):
    check_free(tmp_path / "new", ["a.png"])
    (tmp_path / "a.png").write_bytes(b"")
    check_free(tmp_path, ["b.png"])
    with pytest.raises(BatikError, match=r"a\.png: already exists"):
        check_free(tmp_path, ["b.png", "a.png"])
    with pytest.raises(BatikError, match="is a file, not a folder"):
        check_free(tmp_path / "a.png", [])


def test_named_files_are_pictures_wanted_ones_spectra_and_books(packed):
    design, source = packed
    names = ["masks/lines.png", "want.png", "blue.csv", "mine.toml", "demo"]
    assert named_files(design, source) == [source / name for name in names]


def test_own_files_are_kept_apart_from_outputs(tmp_path):
    own = tmp_path / "own.toml"
    own.write_text(MADE_BY)
    with pytest.raises(BatikError, match="^out: is part of the design or dye book"):
        keep_apart(tmp_path / "x" / ".." / "own.toml", [own])
    keep_apart(tmp_path / "new.toml", [own])
    (tmp_path / "other.png").write_text("mine")
    with pytest.raises(BatikError, match="wasn't made by batiksim or has been changed"):
        keep_apart(tmp_path / "other.png", [own])


def test_the_starter_is_written_once(tmp_path):
    names = new_design(tmp_path / "first")
    schema = STARTER.parent / "schemas" / "design.schema.json"
    files = {path.name: path for path in (*STARTER.iterdir(), schema)}
    assert names == tuple(sorted(files))
    for name in names:
        assert (tmp_path / "first" / name).read_bytes() == files[name].read_bytes()
    assert (tmp_path / "first" / "design.toml").read_text().startswith(f"#:schema {schema.name}\n")
    design = read_design(tmp_path / "first")
    with pytest.raises(BatikError, match="already exists"):
        new_design(tmp_path / "first")
    write_design(design, tmp_path / "second")
    with pytest.raises(BatikError, match=r"design\.toml: already exists"):
        new_design(tmp_path / "second")
