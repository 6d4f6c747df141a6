"""Dye books: what is written reads back, a surer dye is never lost unasked, and the book before is kept."""

from __future__ import annotations

import contextlib
import datetime
import os
import shutil
import tempfile
import threading
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from batiksim.errors import BatikError
from batiksim.files.toml.dyebooks import DEMO, backup_of, read_book, save_dyes, write_book
from batiksim.values import CALIBRATED, BookDye, BuildUp, Dye, DyeBook, Undyed

FLAT = tuple((float(nm), 0.25) for nm in range(400, 701, 20))
BOOK = """\
# my own strip, March
format = 1
title = "Mine"
currency = "EUR"

[[dye]]
name = "straw"  # the pale one
colour = "#F4E48E"
build_up = { law = "power", bend = 0.8 }
cloth = { colour = "#f4efe2", surface = 0.02, note = "lawn, scoured" }
provenance = "strip photo"
date = 2026-03-01
expected_error = 1.5
grams_per_litre = 20
price_per_100_g = 7.5

[[dye]]
name = "grey"
reflectance = [[400, 0.25], [420, 0.25], [440, 0.25], [460, 0.25], [480, 0.25], [500, 0.25], [520, 0.25], [540, 0.25],
               [560, 0.25], [580, 0.25], [600, 0.25], [620, 0.25], [640, 0.25], [660, 0.25], [680, 0.25], [700, 0.25]]
"""
STRAW = BookDye(
    name="straw",
    colour="#f4e48e",
    build_up=BuildUp(law="power", bend=0.8),
    seen_on=Undyed(colour="#f4efe2", surface=0.02, note="lawn, scoured"),
    provenance="strip photo",
    date=datetime.date(2026, 3, 1),
    expected_error=1.5,
    grams_per_litre=20,
    price_per_100_g=7.5,
)


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(BOOK, encoding="utf-8")
    return path


def test_every_key_arrives(file):
    book = read_book(file)
    assert book == DyeBook(
        name="mine.toml", title="Mine", currency="EUR", entries=(STRAW, BookDye(name="grey", samples=FLAT))
    )
    assert book.dyes[1] == Dye(name="grey", book="mine.toml", samples=FLAT)
    assert book.entry("straw") == STRAW
    with pytest.raises(BatikError, match="did you mean 'straw'"):
        book.entry("strow")


def test_a_dye_from_a_reflectance_file(tmp_path):
    (tmp_path / "m").mkdir()
    (tmp_path / "m" / "grey.csv").write_text("".join(f"{nm},25%\n" for nm, _ in FLAT))
    (tmp_path / "b.toml").write_text('format = 1\n[[dye]]\nname = "grey"\nspectrum = "m/grey.csv"\n')
    book = read_book(tmp_path / "b.toml")
    assert book.title == "b"
    assert book.entries == (BookDye(name="grey", spectrum="m/grey.csv", samples=FLAT),)


def test_the_demo_book():
    book = read_book(DEMO)
    assert book.name == "demo"
    assert len(book.dyes) == 14
    assert "invented" in book.title
    assert all("invented" in entry.provenance and entry.expected_error is None for entry in book.entries)
    assert any(dye.samples for dye in book.dyes)
    assert any(dye.build_up.law != "linear" for dye in book.dyes)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("format = 1", "format = 3", "format: isn't a format that this batiksim reads (found 3)"),
        ("format = 1", "", "format: is missing"),
        ("[[dye]]", "[[dyes]]", "'dyes' isn't a setting of a dye book; did you mean 'dye'?"),
        ('name = "straw"', 'name = "grey"', "name: two dyes are called 'grey'"),
        ('colour = "#F4E48E"', "", "dye 'straw': needs exactly one of colour, spectrum or reflectance"),
        ('colour = "#F4E48E"', 'colour = "straw"', "dye 'straw': colour: needs a colour (found 'straw')"),
        ('colour = "#F4E48E"', 'spectrum = "no.csv"', "dye 'straw': spectrum: there is no such reflectance file"),
        ("bend = 0.8", "bent = 0.8", "dye 'straw': build_up: 'bent' isn't a setting of build_up; did you mean 'bend'?"),
        ("surface = 0.02", "surface = 2", "dye 'straw': cloth: surface: out of range (found 2"),
        ("date = 2026-03-01", 'date = "March"', "dye 'straw': date: needs a date (found 'March')"),
        ("expected_error = 1.5", "expected_error = -1", "dye 'straw': expected_error: out of range"),
        ("grams_per_litre = 20", "grams_per_litre = 0", "dye 'straw': grams_per_litre: out of range"),
        ("[400, 0.25], ", "", "dye 'grey': reflectance: must cover 400 to 700 nm"),
        ("[400, 0.25]", "[400, 25]", "dye 'grey': reflectance: is not a reflectance (found 25"),
        ("[400, 0.25]", '[400, "0.25"]', "dye 'grey': reflectance: needs pairs of wavelength and reflectance"),
    ],
)
def test_slips(file, old, new, told):
    file.write_text(BOOK.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BatikError) as caught:
        read_book(file)
    assert str(caught.value).startswith(f"{file}: ")
    assert told in str(caught.value)


def test_a_book_that_is_not_there(file):
    with pytest.raises(BatikError, match=r"no such dye book.*did you mean 'mine\.toml'"):
        read_book(file.with_name("mein.toml"))
    with pytest.raises(BatikError, match="no such dye book"):
        read_book("a\0b")


def test_a_surer_dye_stays_unless_asked(file):
    worse = BookDye(name="straw", colour="#ffee99", expected_error=2.5)
    unknown = BookDye(name="straw", colour="#ffee99")
    for dye in (worse, unknown):
        changes = save_dyes(file, [dye])
        assert (changes.added, changes.replaced, changes.kept, changes.backup) == ((), (), ("straw",), None)
        assert file.read_text() == BOOK
    assert not backup_of(file).exists()
    changes = save_dyes(file, [worse], overwrite=True)
    assert changes.replaced == ("straw",)
    assert changes.book.entry("straw").expected_error == 2.5
    assert backup_of(file).read_text() == BOOK


def test_a_surer_dye_takes_the_place_and_the_powder_stays(file):
    better = BookDye(name="straw", samples=FLAT, expected_error=0.7)
    changes = save_dyes(file, [better, BookDye(name="ink", colour="#20284a")])
    assert (changes.added, changes.replaced, changes.kept) == (("ink",), ("straw",), ())
    straw = changes.book.entry("straw")
    assert (straw.samples, straw.expected_error) == (FLAT, 0.7)
    assert (straw.grams_per_litre, straw.price_per_100_g) == (20, 7.5)
    assert straw.build_up == BuildUp()
    assert [entry.name for entry in changes.book.entries] == ["straw", "grey", "ink"]
    assert "# my own strip, March" in file.read_text()
    assert "# the pale one" in file.read_text()
    assert changes.backup == backup_of(file)


def test_a_measured_dye_gives_way_only_when_asked(file):
    fitted = BookDye(name="grey", samples=FLAT, provenance=f"{CALIBRATED} photo.jpg", expected_error=0.4)
    for dye in (fitted, BookDye(name="grey", colour="#808080", expected_error=0.4)):
        assert save_dyes(file, [dye]).kept == ("grey",)
        assert file.read_text() == BOOK
    assert save_dyes(file, [fitted], overwrite=True).replaced == ("grey",)


def test_a_dye_of_unknown_error_gives_way_where_it_was_a_colour_or_a_fit_or_is_measured_anew(file):
    save_dyes(file, [BookDye(name="plain", colour="#808080")])
    save_dyes(file, [BookDye(name="fit", samples=FLAT, provenance=f"{CALIBRATED} photo.jpg")])
    new = [BookDye(name=name, colour="#808080", expected_error=9.0) for name in ("plain", "fit")]
    again = BookDye(name="grey", samples=tuple((nm, 0.26) for nm, _ in FLAT), provenance="the library's instrument")
    assert save_dyes(file, [*new, again]).replaced == ("plain", "fit", "grey")


def test_one_backup_is_kept_and_nothing_else(file):
    for number in range(3):
        before = file.read_text()
        save_dyes(file, [BookDye(name=f"new {number}", colour="#808080")])
        assert backup_of(file).read_text() == before
    assert sorted(os.listdir(file.parent)) == ["mine.toml", "mine.toml.bak"]
    again = save_dyes(file, [BookDye(name="new 2", colour="#808080")])
    assert (again.kept, again.backup) == (("new 2",), None)
    assert backup_of(file).read_text() == before


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_what_stands_in_a_book_stays_to_the_letter_when_a_dye_is_added(file, end):
    before, ink = BOOK.replace("\n", end).encode(), f'{end}[[dye]]{end}name = "ink"{end}colour = "#20284a"{end}'
    file.write_bytes(before)
    save_dyes(file, [BookDye(name="ink", colour="#20284a")])
    assert file.read_bytes() == before + ink.encode()


def test_comments_stay_where_the_names_of_tables_are_quoted(file):
    file.write_text(BOOK.replace("[[dye]]", '[["dye"]]'))
    save_dyes(file, [BookDye(name="ink", colour="#20284a")])
    assert "# my own strip, March" in file.read_text()
    assert "# the pale one" in file.read_text()


def test_a_new_book(tmp_path):
    changes = save_dyes(tmp_path / "a" / "new.toml", [STRAW])
    assert changes.book == DyeBook(name="new.toml", title="My dyes", entries=(STRAW,))
    assert changes.backup is None


def test_two_who_begin_a_book_in_a_new_folder_lose_none_of_each_others_dyes(tmp_path):
    path = tmp_path / "new" / "folder" / "dyes.toml"
    for round_ in range(3):
        began, names = threading.Barrier(6), [f"dye {round_} {number}" for number in range(6)]

        def save(name, began=began):
            began.wait()
            save_dyes(path, [BookDye(name=name, colour="#aa3355")])

        savers = [threading.Thread(target=save, args=(name,)) for name in names]
        for one in savers:
            one.start()
        for one in savers:
            one.join()
        assert sorted(entry.name for entry in read_book(path).entries) == names
        shutil.rmtree(tmp_path / "new")


def test_a_book_in_another_spelling(tmp_path):
    file = tmp_path / "b.toml"
    file.write_text('format = 1\ncurrency = "EUR"\ndye = [{ name = "a", colour = "#808080" }]\n')
    book = save_dyes(file, [BookDye(name="b", colour="#101010"), BookDye(name="a", colour="#707070")]).book
    assert {entry.name: entry.colour for entry in book.entries} == {"a": "#707070", "b": "#101010"}
    assert book.currency == "EUR"


def test_writing_is_whole_or_not_at_all(file, monkeypatch):
    def full_disk(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full_disk)
        with pytest.raises(BatikError, match="can't be written"):
            save_dyes(file, [BookDye(name="new", colour="#808080")])
    assert file.read_text() == BOOK
    assert os.listdir(file.parent) == ["mine.toml"]


def test_bad_calls_write_nothing(file):
    with pytest.raises(BatikError, match="two dyes are called"):
        save_dyes(file, [STRAW, STRAW])
    file.write_text("format = 2")
    with pytest.raises(BatikError, match="format"):
        save_dyes(file, [STRAW])
    assert file.read_text() == "format = 2"


words = st.text(
    st.characters(min_codepoint=32, exclude_categories=("Cs",), exclude_characters="\x7f"), min_size=1, max_size=12
).filter(str.strip)
colours = st.integers(0, 0xFFFFFF).map("#{:06x}".format)
flats = st.floats(0, 1).map(lambda value: tuple((float(nm), value) for nm in range(380, 721, 20)))


@st.composite
def book_dyes(draw):
    by_colour = draw(st.booleans())
    return BookDye(
        name=draw(words),
        colour=draw(colours) if by_colour else None,
        samples=() if by_colour else draw(flats),
        build_up=draw(st.builds(BuildUp, law=st.sampled_from(["saturating", "power"]), bend=st.floats(0.1, 9))),
        seen_on=draw(
            st.none()
            | st.builds(Undyed, colour=colours, surface=st.none() | st.floats(0, 0.1), note=st.just("") | words)
        ),
        provenance=draw(st.just("") | words),
        date=draw(st.none() | st.dates()),
        expected_error=draw(st.none() | st.floats(0, 100)),
        grams_per_litre=draw(st.none() | st.floats(0.1, 1000)),
        price_per_100_g=draw(st.none() | st.integers(0, 1000)),
    )


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(book_dyes(), max_size=4, unique_by=lambda dye: dye.name), st.lists(book_dyes(), max_size=2), words)
def test_what_is_written_reads_back_the_same(dyes, more, title):
    book = DyeBook(name="b.toml", title=title, entries=tuple(dyes))
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "b.toml"
        assert write_book(book, file) is None
        assert read_book(file) == book
        for dye in more:
            got = save_dyes(file, [dye], overwrite=True).book.entry(dye.name)
            assert (got.colour, got.samples, got.date) == (dye.colour, dye.samples, dye.date)


@settings(max_examples=100, deadline=None)
@given(
    st.binary(max_size=200) | st.text(max_size=200).map(lambda text: ("format = 1\n" + text).encode("utf-8", "replace"))
)
def test_garbage_gets_no_other_error(raw):
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "b.toml"
        file.write_bytes(raw)
        with contextlib.suppress(BatikError):
            read_book(file)
