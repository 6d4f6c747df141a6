"""The design file: what a maker writes comes out as values, what comes out goes back, and every slip is placed."""

from __future__ import annotations

import math
import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from batiksim.errors import BatikError
from batiksim.files.toml.designs import design_file, picture_path, read_design, write_design
from batiksim.values import BuildUp, Cloth, Design, Discharge, Dye, DyeBath, MaskUse, Paint, Pot, RemoveWax, Undyed, Wax

SAMPLE = """\
format = 1
title = "Tide pools"
[cloth]
width_mm = 450
colour = "#F1EDE2"
grams_per_m2 = 130.5
[[dye]]
name = "sun yellow"
colour = "#f0d92e"
[[dye]]
name = "sea blue"
spectrum = "measured/blue.csv"
[[pot]]
name = "leaf green"
parts = { "sun yellow" = 5, "sea blue" = 1 }
strength = 0.8
[[step]]
wax = "outline.png"
grey = "thin"
marks = "light"
clean = true
crackle = 0.25
tool = "canting"
[[step]]
dye = [ { pot = "leaf green", where = "leaves.png", spread = true, marks = "alpha" }, "sea blue" ]
[[step]]
dye = { pot = "sea blue", where = "ground.png", clean = true }
[[step]]
dye = "leaf green"
[[step]]
discharge = "bleach.png"
strength = 0.5
[[step]]
discharge = true
[[step]]
remove_wax = true
"""
PICTURES = ("outline.png", "leaves.png", "ground.png", "bleach.png")


@pytest.fixture
def folder(tmp_path):
    for name in PICTURES:
        (tmp_path / name).write_bytes(b"")
    (tmp_path / "measured").mkdir()
    (tmp_path / "measured" / "blue.csv").write_text("nm,R\n" + "".join(f"{nm},0.25\n" for nm in range(400, 701, 20)))
    (tmp_path / "design.toml").write_text(SAMPLE, encoding="utf-8")
    return tmp_path


def slip(folder: Path, old: str, new: str) -> BatikError:
    """The error of the sample with one thing changed."""
    assert old in SAMPLE
    (folder / "design.toml").write_text(SAMPLE.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BatikError) as caught:
        read_design(folder)
    return caught.value


def test_every_key_arrives(folder):
    assert read_design(folder) == Design(
        title="Tide pools",
        cloth=Cloth(width_mm=450, colour="#f1ede2", grams_per_m2=130.5),
        dyes=(
            Dye(name="sun yellow", colour="#f0d92e"),
            Dye(
                name="sea blue",
                spectrum="measured/blue.csv",
                samples=tuple((float(nm), 0.25) for nm in range(400, 701, 20)),
            ),
        ),
        pots=(Pot(name="leaf green", parts={"sun yellow": 5, "sea blue": 1}, strength=0.8),),
        steps=(
            Wax(
                mask=MaskUse(picture="outline.png", marks="light", clean=True),
                grey="thin",
                crackle=0.25,
                tool="canting",
            ),
            DyeBath(
                paints=(
                    Paint(pot="leaf green", where=MaskUse(picture="leaves.png", marks="alpha"), spread=True),
                    Paint(pot="sea blue"),
                )
            ),
            DyeBath(paints=(Paint(pot="sea blue", where=MaskUse(picture="ground.png", clean=True)),)),
            DyeBath(paints=(Paint(pot="leaf green"),)),
            Discharge(where=MaskUse(picture="bleach.png"), strength=0.5),
            Discharge(),
            RemoveWax(),
        ),
    )


def test_folder_and_file_are_the_same_design(folder):
    assert read_design(folder) == read_design(folder / "design.toml") == read_design(str(folder))


def test_a_byte_order_mark_does_no_harm(folder):
    (folder / "design.toml").write_bytes(b"\xef\xbb\xbf" + SAMPLE.encode())
    assert read_design(folder).title == "Tide pools"


SLIPS = [
    ("title =", "titel =", None, "titel", "'title'"),
    ('title = "Tide pools"', "", "title", None, 'title = "Tide pools"'),
    ('"Tide pools"', "7", "title", "7", "title"),
    ('"Tide pools"', '""', "title", "", "quotes"),
    ("format = 1", "", "format", None, "format = 1"),
    ("format = 1", "format = 2", "format", "2", "format = 1"),
    ("format = 1", "format = true", "format", "True", "format = 1"),
    ("[cloth]", "[[cloth]]", "cloth", "a list", "[cloth]"),
    ("width_mm = 450", "width = 450", "cloth", "width", "'width_mm'"),
    ("width_mm = 450", "", "cloth: width_mm", None, "width_mm = 450"),
    ("width_mm = 450", 'width_mm = "450"', "cloth: width_mm", "450", "without quotes"),
    ("width_mm = 450", "width_mm = 2", "cloth: width_mm", "2", "from 10"),
    ("width_mm = 450", "width_mm = nan", "cloth: width_mm", "nan", "use a number from 10 to 20000"),
    ("width_mm = 450", "width_mm = 1" + "0" * 400, "cloth: width_mm", "1000", "use a number from 10 to 20000"),
    ('"#F1EDE2"', '"cream"', "cloth: colour", "cream", "#f1ede2"),
    ("[[dye]]", "[[dyes]]", None, "dyes", "'dye'"),
    ('name = "sun yellow"\n', "", "dye 1: name", None, "name ="),
    ('colour = "#f0d92e"', 'colour = "#f0d92"', "dye 'sun yellow': colour", "#f0d92", "#f0d92e"),
    ('colour = "#f0d92e"', 'color = "#f0d92e"', "dye 'sun yellow'", "color", "'colour'"),
    ('colour = "#f0d92e"', "", "dye 'sun yellow'", "none of them", "colour ="),
    (
        'colour = "#f0d92e"',
        'colour = "#f0d92e"\nspectrum = "a.csv"',
        "dye 'sun yellow'",
        "colour and spectrum",
        "colour",
    ),
    (
        '"measured/blue.csv"',
        '"measured/bleu.csv"',
        "dye 'sea blue': spectrum",
        "measured/bleu.csv",
        "'measured/blue.csv'",
    ),
    (
        'parts = { "sun yellow" = 5,',
        'parts = { "sun yelow" = 5,',
        "pot 'leaf green': parts",
        "sun yelow",
        "'sun yellow'",
    ),
    ('"sea blue" = 1 }', '"sea blue" = "1" }', "pot 'leaf green': parts: sea blue", "1", "without quotes"),
    ("strength = 0.8", "strength = 9", "pot 'leaf green': strength", "9", "0 to 4"),
    ("strength = 0.8", "strenght = 0.8", "pot 'leaf green'", "strenght", "'strength'"),
    ('name = "leaf green"', 'name = "sea blue"', "name", "sea blue", "rename"),
    ('wax = "outline.png"', 'wax = "outlin.png"', "step 1: wax", "outlin.png", "'outline.png'"),
    ('wax = "outline.png"', 'wax = "Outline.PNG"', "step 1: wax", "Outline.PNG", "'outline.png'"),
    ('wax = "outline.png"', "wax = true", "step 1: wax", "true", "wax ="),
    ('wax = "outline.png"', 'wacks = "outline.png"', "step 1", "wacks", "'wax'"),
    ('wax = "outline.png"', 'wax = "outline.png"\ndye = "navy"', "step 1", "wax and dye", "[[step]]"),
    ('wax = "outline.png"', 'wax = "../outline.png"', "step 1: wax", "../outline.png", "into the folder"),
    ('wax = "outline.png"', 'wax = "/masks/outline.png"', "step 1: wax", "/masks/outline.png", "into the folder"),
    ('wax = "outline.png"', 'wax = "C:/outline.png"', "step 1: wax", "C:/outline.png", "into the folder"),
    ('wax = "outline.png"', 'wax = "a\\\\outline.png"', "step 1: wax", "outline.png", '"/"'),
    ('wax = "outline.png"', 'wax = "measured"', "step 1: wax", "measured", "outline.png"),
    ('wax = "outline.png"', 'wax = ""', "step 1: wax", "", "quotes"),
    ('grey = "thin"', 'grey = "thick"', "step 1: grey", "thick", "'thin'"),
    ('marks = "light"', 'marks = "lihgt"', "step 1: marks", "lihgt", "'light'"),
    ("clean = true", 'clean = "yes"', "step 1: clean", "yes", "without quotes"),
    ("crackle = 0.25", "crackle = 2", "step 1: crackle", "2", "0 to 1"),
    ('tool = "canting"', 'tool = "tjanting"', "step 1: tool", "tjanting", "'canting'"),
    ('pot = "leaf green", where', 'pots = "leaf green", where', "step 2: dye 1", "pots", "'pot'"),
    ('pot = "leaf green", where', "where", "step 2: dye 1: pot", None, "pot ="),
    ('where = "leaves.png"', 'where = "leafs.png"', "step 2: dye 1: where", "leafs.png", "'leaves.png'"),
    ('where = "leaves.png", spread = true', "spread = true", "step 2: dye 1", "marks", "where ="),
    ("spread = true", "spread = 'far'", "step 2: dye 1: spread", "far", "without quotes"),
    ("spread = true", "spread = -1", "step 2: dye 1: spread", "-1", "above 0"),
    ("crackle = 0.25", "crackle = 0.25\nparaffin = 70", "step 1: paraffin", "70", "0 to 1"),
    ("crackle = 0.25", "crackle = 0.25\nseed = 1.5", "step 1: seed", "1.5", "seed = 7"),
    ("crackle = 0.25", "cool = true", "step 1: cool", "true", "cool = 0.4"),
    ('tool = "canting"', "edges = 0.3", "step 1: edges", "0.3", "canting"),
    (', "sea blue" ]', ', "see blue" ]', "step 2: dye", "see blue", "'sea blue'"),
    (', "sea blue" ]', ", 3 ]", "step 2: dye 2", "3", "dye ="),
    ('dye = "leaf green"', "dye = []", "step 4: dye", "an empty list", "dye ="),
    ('dye = "leaf green"', 'dye = "leaf green"\nwhere = "leaves.png"', "step 4", "where", "pot ="),
    ("strength = 0.5", "strength = 1.5", "step 5: strength", "1.5", "0 to 1"),
    ("discharge = true", "discharge = false", "step 6: discharge", "false", "true"),
    ("discharge = true", "discharge = true\nmarks = 'dark'", "step 6", "marks", "bleach.png"),
    ("remove_wax = true", "remove_wax = false", "step 7: remove_wax", "false", "true"),
    ("remove_wax = true", "remove_wax = true\ntool = 'brush'", "step 7", "tool", "'remove_wax'"),
    ("[[step]]\nremove_wax", "[[step]]\n[[step]]\nremove_wax", "step 7", "none of them", "[[step]]"),
]


@pytest.mark.parametrize(("old", "new", "field", "got", "fix"), SLIPS)
def test_a_slip_is_placed_and_mended(folder, old, new, field, got, fix):
    error = slip(folder, old, new)
    assert error.file == str(folder / "design.toml")
    assert error.field == field
    assert (error.got is None) if got is None else (got in str(error.got))
    assert fix in (str(error.fix) or "")


def test_one_step_table_instead_of_a_list(folder):
    (folder / "design.toml").write_text('format = 1\ntitle = "t"\n[cloth]\nwidth_mm = 300\n[step]\nremove_wax = true\n')
    with pytest.raises(BatikError, match=r"design\.toml: step: needs double brackets.*\[\[step\]\]"):
        read_design(folder)


BOOK = """\
format = 1
[[dye]]
name = "sun yellow"
colour = "#ffee33"
build_up = { law = "saturating", bend = 1.5 }
cloth = { colour = "#ffffff", note = "sheeting" }
"""


def test_a_dye_comes_from_a_book(folder):
    (folder / "mine.toml").write_text(BOOK)
    text = SAMPLE.replace('colour = "#f0d92e"', 'book = "mine.toml"')
    (folder / "design.toml").write_text(text)
    design = read_design(folder)
    assert design.dyes[0] == Dye(
        name="sun yellow",
        book="mine.toml",
        colour="#ffee33",
        build_up=BuildUp(law="saturating", bend=1.5),
        seen_on=Undyed(colour="#ffffff", note="sheeting"),
    )
    write_design(design, folder)
    assert read_design(folder) == design
    assert (folder / "design.toml").read_text().count("sun yellow") == 2
    assert "#ffee33" not in (folder / "design.toml").read_text()


def test_the_built_in_book(folder):
    (folder / "design.toml").write_text(
        'format = 1\ntitle = "t"\n[cloth]\nwidth_mm = 300\n[[dye]]\nname = "lemon"\nbook = "demo"\n'
    )
    (dye,) = read_design(folder).dyes
    assert (dye.book, dye.name) == ("demo", "lemon")
    assert dye.colour is not None


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('book = "mine.toml"\nbuild_up = { law = "linear" }', "dye 'sun yellow': 'build_up' comes from the dye book"),
        ('book = "demo"', "dye 'sun yellow': book: dyes of demo: 'sun yellow' isn't a dye of this book"),
        ('book = "mein.toml"', "dye 'sun yellow': book: there is no such dye book (found 'mein.toml'); did you mean"),
        ('colour = "#ffee33"\nsample = "A1"', "dye 'sun yellow': 'sample' only goes with a spectrum"),
        ('colour = "#ffee33"\nbuild_up = { law = "cubic" }', "build_up: law: isn't one of the choices"),
        ('colour = "#ffee33"\nbuild_up = { bend = 2 }', "dye 'sun yellow': build_up: law: is missing"),
        ('colour = "#ffee33"\nbuild_up = { law = "power" }', "dye 'sun yellow': build_up: bend: is missing"),
        (
            'colour = "#ffee33"\nbuild_up = { law = "power", bend = 0 }',
            "dye 'sun yellow': build_up: bend: out of range",
        ),
        ('colour = "#ffee33"\nbuild_up = "power"', "dye 'sun yellow': build_up: needs a group of settings"),
    ],
)
def test_slips_around_books_and_build_up(folder, line, told):
    (folder / "mine.toml").write_text(BOOK)
    assert told in str(slip(folder, 'colour = "#f0d92e"', line))


def test_slips_in_a_book_name_the_book(folder):
    (folder / "mine.toml").write_text(BOOK.replace("#ffee33", "yellow"))
    error = slip(folder, 'colour = "#f0d92e"', 'book = "mine.toml"')
    assert error.file == str(folder / "mine.toml")
    assert error.field == "dye 'sun yellow': colour"


def test_drops_and_build_up_go_there_and_back(folder):
    text = SAMPLE.replace('colour = "#f0d92e"', 'colour = "#f0d92e"\nbuild_up = { law = "power", bend = 0.8 }')
    text = text.replace("strength = 0.8", 'strength = 0.8\nml = 100\ndrops = { "sea blue" = 6 }')
    text += '[[pot]]\nname = "mist"\nml = 50\ndrops = { "sea blue" = 3 }\n'
    (folder / "design.toml").write_text(text)
    design = read_design(folder)
    assert design.dyes[0].build_up == BuildUp(law="power", bend=0.8)
    assert design.pots == (
        Pot(name="leaf green", parts={"sun yellow": 5, "sea blue": 1}, strength=0.8, ml=100, drops={"sea blue": 6}),
        Pot(name="mist", parts={}, ml=50, drops={"sea blue": 3}),
    )
    write_design(design, folder)
    assert read_design(folder) == design


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('drops = { "sea blue" = 6 }', "pot 'leaf green': ml: is needed with drops"),
        ('ml = 100\ndrops = { "see blue" = 6 }', "pot 'leaf green': drops: 'see blue' isn't a dye of this design"),
        ('ml = 100\ndrops = { "sea blue" = "six" }', "pot 'leaf green': drops: sea blue: needs a number"),
        ("ml = 0", "pot 'leaf green': ml: out of range"),
    ],
)
def test_slips_with_drops(folder, line, told):
    assert told in str(slip(folder, "strength = 0.8", line))


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (b'format = 1\ntitle = "Tide\n', "line 2: can't be read"),
        (b"format = 1\nformat = 1\n", "line 2: can't be read"),
        (b'format = 1\ntitle = "a\\masks"\n', 'write "/" instead of'),
        (b'format = 1\ntitle = "Tide\nx = 1', "a quote is not closed"),
        (b"format = 1\nformat = 1\n", "that setting is there twice (found 'format = 1'); keep one of them"),
        ("format = 1\ntitle = “Tide”\n".encode(), "write straight quotes"),
        (b"format = 1\ntitle = Tide\n", "put words in quotes"),
        (b"format = 1\n[cloth]\ncolour = #f4efe2\n", "put the colour in quotes"),
        (b"format = 1\n[cloth]\nwidth_mm = 400,5\n", "write a point, not a comma"),
        (b"format = 1\n[cloth]\nwidth_mm = 40 cm\n", "without a unit"),
        (b"[[pot]]\nstrength = 80%\n", "write 0.8 for 80%"),
        (b"[[step]]\nclean = yes\n", "write true or false"),
        (b"[[step]]\nclean = true, cool = 1\n", "write one setting on a line"),
        (b"[[step]]\nclean true\n", "the = is missing"),
        (b'[[dye]]\nname = "a"\n[dye]\nname = "b"\n', "in double brackets"),
        (b"format =", "line 1"),
        (b"format = 1\ntitle = \xff\n", "line 2: is not UTF-8 text"),
        (b"x = " + b"[" * 5000, "design.toml"),
        (b"x = " + b"9" * 5000, "design.toml"),
        (b"\0\0\0", "line 1"),
        (b"# " + b"x" * 1_000_001, "far too large"),
        (b"", "format: is missing"),
    ],
)
def test_a_file_that_is_no_design(tmp_path, raw, told):
    (tmp_path / "design.toml").write_bytes(raw)
    with pytest.raises(BatikError) as caught:
        read_design(tmp_path)
    assert told in str(caught.value)
    assert "design.toml" in str(caught.value)


def test_what_is_not_there_is_told_with_what_is(tmp_path):
    with pytest.raises(BatikError, match=r"has no design\.toml"):
        read_design(tmp_path)
    (tmp_path / "tide").mkdir()
    (tmp_path / "tide" / "design.toml").write_text("")
    with pytest.raises(BatikError, match="did you mean 'tide'"):
        read_design(tmp_path / "tied")
    with pytest.raises(BatikError, match="no such design"):
        read_design("a\0b")
    (tmp_path / "notes.txt").write_text("")
    with pytest.raises(BatikError, match="is not a design"):
        read_design(tmp_path / "notes.txt")
    assert design_file(tmp_path / "tide") == tmp_path / "tide" / "design.toml"


def test_links_must_stay_inside(folder, tmp_path_factory):
    outside = tmp_path_factory.mktemp("elsewhere") / "far.png"
    outside.write_bytes(b"")
    os.symlink(outside, folder / "link.png")
    os.symlink(folder / "outline.png", folder / "fine.png")
    assert "link" in str(slip(folder, '"outline.png"', '"link.png"').problem)
    (folder / "design.toml").write_text(SAMPLE.replace('"outline.png"', '"fine.png"'))
    assert read_design(folder).steps[0].mask.picture == "fine.png"


def test_accents_are_found_in_either_spelling(folder):
    (folder / "e\u0301toile.png").write_bytes(b"")
    (folder / "design.toml").write_text(SAMPLE.replace("outline.png", "\u00e9toile.png"), encoding="utf-8")
    assert read_design(folder).steps[0].mask.picture == "\u00e9toile.png"
    assert picture_path(folder / "design.toml", "\u00e9toile.png").name == "e\u0301toile.png"


def test_written_files_are_short_and_plain(folder):
    written = write_design(
        Design(
            title="Two",
            cloth=Cloth(width_mm=300),
            dyes=(Dye(name="navy", colour="#101840"),),
            steps=(Wax(mask=MaskUse(picture="outline.png")), DyeBath(paints=(Paint(pot="navy"),)), RemoveWax()),
        ),
        folder / "two.toml",
    )
    assert written.read_text() == (
        'format = 1\ntitle = "Two"\n\n[cloth]\nwidth_mm = 300\n\n[[dye]]\nname = "navy"\ncolour = "#101840"\n\n'
        '[[step]]\nwax = "outline.png"\n\n[[step]]\ndye = "navy"\n\n[[step]]\nremove_wax = true\n'
    )


def test_writing_replaces_whole_or_not_at_all(folder, monkeypatch):
    design = read_design(folder)
    before = (folder / "design.toml").read_bytes()

    def full_disk(*_):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full_disk)
        with pytest.raises(BatikError, match="can't be written"):
            write_design(design, folder)
    assert (folder / "design.toml").read_bytes() == before
    assert sorted(os.listdir(folder)) == sorted([*PICTURES, "measured", "design.toml"])
    write_design(design, folder)
    assert read_design(folder) == design


def test_a_folder_is_made_for_a_new_design(tmp_path):
    design = Design(title="New", cloth=Cloth(width_mm=300))
    assert write_design(design, tmp_path / "a" / "b") == tmp_path / "a" / "b" / "design.toml"
    assert read_design(tmp_path / "a" / "b") == design


def test_letters_no_file_can_hold(tmp_path):
    with pytest.raises(BatikError, match="letter"):
        write_design(Design(title="\ud800", cloth=Cloth(width_mm=300)), tmp_path)
    assert not os.listdir(tmp_path)


words = st.text(
    st.characters(min_codepoint=32, exclude_categories=("Cs",), exclude_characters="\x7f"), min_size=1, max_size=12
)
words = words.filter(str.strip)
stems = st.text(st.characters(categories=("L", "N", "P", "Zs"), exclude_characters="/\\~:"), min_size=1, max_size=8)
names = stems.filter(lambda stem: stem.strip() and len(stem.encode()) < 60).map(lambda stem: f"m{stem}.png")
masks = st.builds(MaskUse, picture=names, marks=st.sampled_from([None, "dark", "light", "alpha"]), clean=st.booleans())
colours = st.integers(0, 0xFFFFFF).map("#{:06x}".format)


def amounts(least, most):
    return st.one_of(st.integers(math.ceil(least), int(most)), st.floats(least, most, allow_nan=False))


build_ups = st.just(BuildUp()) | st.builds(BuildUp, law=st.sampled_from(["saturating", "power"]), bend=amounts(0.1, 10))


@st.composite
def designs(draw):
    every = draw(st.lists(words, min_size=1, max_size=6, unique=True))
    many = draw(st.integers(1, len(every)))
    dyes = tuple(Dye(name=name, colour=draw(colours), build_up=draw(build_ups)) for name in every[:many])
    parts = st.dictionaries(st.sampled_from(every[:many]), amounts(0.01, 100), min_size=1)
    drops = st.dictionaries(st.sampled_from(every[:many]), amounts(1, 40), max_size=2)
    pots = tuple(
        Pot(name=name, parts=draw(parts), strength=draw(amounts(0, 4)), ml=draw(amounts(1, 900)), drops=draw(drops))
        for name in every[many:]
    )
    spreads = st.sampled_from([{}, {"spread": True}]) | amounts(0.1, 30).map(
        lambda mm: {"spread": True, "reach_mm": mm}
    )
    paints = st.builds(
        lambda pot, where, keys: Paint(pot=pot, where=where, **keys), st.sampled_from(every), st.none() | masks, spreads
    )
    steps = st.one_of(
        st.builds(
            lambda tool, edges, **keys: Wax(tool=tool, edges=edges if tool else 0.0, **keys),
            tool=st.sampled_from([None, "canting", "brush", "stamp"]),
            edges=amounts(0, 1),
            mask=masks,
            grey=st.sampled_from(["cover", "thin"]),
            crackle=amounts(0, 1),
            paraffin=amounts(0, 1),
            cool=amounts(0, 1),
            seed=st.none() | st.integers(0, 1_000_000_000),
        ),
        st.lists(paints, min_size=1, max_size=3).map(lambda some: DyeBath(paints=tuple(some))),
        st.builds(Discharge, where=st.none() | masks, strength=amounts(0, 1)),
        st.just(RemoveWax()),
    )
    cloth = st.builds(
        Cloth,
        width_mm=amounts(10, 20_000),
        colour=st.none() | colours,
        grams_per_m2=amounts(10, 2_000),
        surface=st.none() | st.floats(0, 0.1),
    )
    some = draw(st.lists(steps, max_size=5))
    return Design(title=draw(words), cloth=draw(cloth), dyes=dyes, pots=pots, steps=tuple(some))


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(designs())
def test_what_is_written_reads_back_the_same(design):
    with tempfile.TemporaryDirectory() as folder:
        for _, use in design.mask_uses():
            (Path(folder) / use.picture).write_bytes(b"")
        write_design(design, folder)
        assert read_design(folder) == design
