"""Strip files and tables of swatches: what they mean, and what is said of mistakes in them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from batiksim.errors import BatikError
from batiksim.files.measurements.layers import layers_text, read_layers
from batiksim.files.measurements.swatches import read_swatches, swatch_rows
from batiksim.files.toml.strips import read_strip
from batiksim.photo.patches import strip_homography
from batiksim.values import Swatch

CORNERS = "[[0, 0], [100, 0], [100, 50], [0, 50]]"
HEAD = f"format = 1\n[photo]\ncorners = {CORNERS}\n"


@pytest.fixture
def strip(tmp_path):
    def read(text, head=HEAD, **keys):
        file = tmp_path / "strip.toml"
        file.write_text(head + text, encoding="utf-8")
        return read_strip(file, **keys)

    return read


@pytest.mark.parametrize("table", ["cloth", "photo", "strip"])
def test_a_number_where_a_group_of_settings_belongs(strip, table):
    with pytest.raises(
        BatikError, match=rf"{table}: needs a group of settings \(found 3\); write \[{table}\] and under it "
    ):
        strip("", head=f"format = 1\n{table} = 3\n")


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        ("[[0, 0], [1e200, 0], [1e200, 1e200], [0, 1e200]]", "make a four-sided strip"),
        ("[[0, 0], [0, 1e200], [1e200, 1e200], [1e200, 0]]", "wrong way round"),
        ("[[0, 0], [1e160, 0], [5, 5], [0, 9]]", "make a four-sided strip"),
        ("[[0, 0], [1e160, 0], [1e160, 1e200], [0, 1e200]]", "make a four-sided strip"),
    ],
)
def test_corners_beyond_all_pictures_make_no_strip(strip, corners, words):
    told = strip('[strip]\nrows = 1\ncolumns = 1\n[[patch]]\ndye = "a"\n', head=HEAD.replace(CORNERS, corners))
    with pytest.raises(BatikError, match=words):
        strip_homography(told.corners)


def test_cells_are_taken_in_reading_order(strip):
    told = strip(
        '[strip]\nrows = 2\ncolumns = 2\n[[patch]]\ndye = "a"\n[[patch]]\ndye = "a"\nstrength = 0.5\n'
        '[[patch]]\nundyed = true\n[[patch]]\ndyes = { "a" = 1, "b" = 0.25 }\n'
    )
    assert [one.at for one in told.patches] == [
        (0, 0, 0.5, 0.5), (0.5, 0, 0.5, 0.5), (0, 0.5, 0.5, 0.5), (0.5, 0.5, 0.5, 0.5)
    ]  # fmt: skip
    assert [one.layers for one in told.patches] == [(("a", 1.0),), (("a", 0.5),), (), (("a", 1.0), ("b", 0.25))]
    assert [one.name for one in told.patches] == ["a 1", "a 0.5", "undyed", "a 1 + b 0.25"]
    assert told.cloth_colour is None
    assert not told.ground


def test_a_gap_shrinks_each_cell_about_its_middle(strip):
    told = strip('[strip]\nrows = 1\ncolumns = 2\ngap = 0.2\nground = "undyed"\n[[patch]]\ndye = "a"\n')
    assert told.patches[0].at == pytest.approx((0.05, 0.1, 0.4, 0.8))
    assert told.ground


def test_places_in_mm(strip):
    told = strip('[strip]\nwidth_mm = 300\nheight_mm = 100\n[[patch]]\ndye = "a"\nat = [30, 10, 60, 50]\n')
    assert told.patches[0].at == pytest.approx((0.1, 0.1, 0.2, 0.5))


def test_a_card_may_lie_beside_the_strip_and_takes_no_cell(strip):
    text = (
        '[[card]]\nreflectance = 0.18\nat = [1.1, 0, 0.2, 0.5]\n[strip]\nrows = 1\ncolumns = 1\n[[patch]]\ndye = "a"\n'
    )
    told = strip(text)
    assert [one.card for one in told.patches] == [None, 0.18]


def test_corners_of_another_photo(strip):
    corners = ((1.0, 2.0), (30.0, 2.0), (30.0, 20.0), (1.0, 20.0))
    text = '[[patch]]\ndye = "a"\nat = [0, 0, 1, 1]\n'
    assert strip(text, corners=corners).corners == corners
    assert strip(text, head="format = 1\n", corners=corners).corners == corners


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "has no dyed patch"),
        ('[[patch]]\ndye = "a"\n', "rows and columns"),
        ("[[patch]]\nat = [0, 0, 1, 1]\n", "one of dye, dyes or undyed"),
        ('[[patch]]\ndye = "a"\nundyed = true\nat = [0, 0, 1, 1]\n', "one of dye, dyes or undyed"),
        ('[[patch]]\ndyes = { "a" = 1 }\nstrength = 1\nat = [0, 0, 1, 1]\n', "belongs to a single dye"),
        ('[[patch]]\ndye = "a"\nstrenght = 1\nat = [0, 0, 1, 1]\n', "strength"),
        ('[[patch]]\ndye = "a"\nstrength = 0\nat = [0, 0, 1, 1]\n', "out of range"),
        ('[[patch]]\ndye = "a"\nat = [0, 0, 1]\n', "needs left, top, width and height"),
        ('[[patch]]\ndye = "a"\nat = [10, 10, 60, 50]\n', "looks like mm"),
        ('[[patch]]\ndye = "a"\nat = [0.7, 0, 0.5, 1]\n', "outside the strip"),
        ('[strip]\nrows = 1\ncolumns = 1\n[[patch]]\ndye = "a"\n[[patch]]\ndye = "b"\n', "more patches than"),
        ('[[card]]\nreflectance = 18\nat = [0, 0, 1, 1]\n[[patch]]\ndye = "a"\nat = [0, 0, 1, 1]\n', "out of range"),
        ('[[card]]\nreflectance = 0.18\n[[patch]]\ndye = "a"\nat = [0, 0, 1, 1]\n', "card 1: at: is missing"),
        ('[cloth]\ncolour = "cream"\n[[patch]]\ndye = "a"\nat = [0, 0, 1, 1]\n', "needs a colour"),
    ],
)
def test_mistakes_in_a_strip_file_are_named(strip, text, words):
    with pytest.raises(BatikError, match=words) as told:
        strip(text)
    assert told.value.file.endswith("strip.toml")


@pytest.mark.parametrize("corners", ["[[0, 0], [1, 0], [1, 1]]", '[["a", 0], [1, 0], [1, 1], [0, 1]]', "4"])
def test_corners_must_be_four_pairs_of_numbers(strip, corners):
    with pytest.raises(BatikError, match="corners"):
        strip('[[patch]]\ndye = "a"\nat = [0, 0, 1, 1]\n', head=f"format = 1\n[photo]\ncorners = {corners}\n")


NAMES = st.from_regex(r"[a-z]([a-z ]{0,8}[a-z])?", fullmatch=True).filter(lambda name: name != "undyed")


@given(st.lists(st.tuples(NAMES, st.integers(1, 400).map(lambda percent: percent / 100)), max_size=4))
def test_layers_in_words_read_back(layers):
    assert read_layers(layers_text(tuple(layers))) == tuple(layers)


def test_layers_a_maker_would_write():
    assert read_layers("sun yellow + sea blue 0.5") == (("sun yellow", 1.0), ("sea blue", 0.5))
    assert read_layers(" Undyed ") == read_layers("") == ()
    with pytest.raises(BatikError, match="doesn't name a dye"):
        read_layers("0.5")


NUMBERED = st.builds("{} {}".format, NAMES, st.integers(0, 99)) | NAMES


@given(st.lists(st.tuples(NUMBERED, st.integers(1, 400).map(lambda percent: percent / 100)), max_size=4))
def test_a_number_at_the_end_of_a_name_survives_words(layers):
    assert read_layers(layers_text(tuple(layers))) == tuple(layers)


def dyes_in(table, *texts, **keys):
    rows = "".join(f"{text},#808080\n" for text in texts)
    return [one.layers for one in table(f"dyes,hex\nundyed,#f0eadb\n{rows}", **keys)[1:]]


def test_a_name_that_ends_in_a_number_is_known_by_its_other_rows(table):
    assert dyes_in(table, "navy 21", "navy 21 0.5", "primrose + navy 21") == [
        (("navy 21", 1.0),),
        (("navy 21", 0.5),),
        (("primrose", 1.0), ("navy 21", 1.0)),
    ]


def test_a_name_that_ends_in_a_number_is_known_by_the_book(table):
    assert dyes_in(table, "red 2", "red 3", known=["red 2", "red 3"]) == [(("red 2", 1.0),), (("red 3", 1.0),)]


def test_numbered_dyes_alone_are_not_taken_for_strengths_of_one_dye(table):
    for texts in (["red 1", "red 2"], ["red 2 0.5", "red 1"], ["red 1 + navy", "red 2 + navy"]):
        with pytest.raises(BatikError, match="a dye's name, or a dye and its strength") as told:
            dyes_in(table, *texts)
        assert "line 4" in str(told.value)
    assert 'write "red 2 1" for the dye of that name, or "red 2.0" for red at 2 times full strength' in str(
        pytest.raises(BatikError, dyes_in, table, "red 1", "red 2").value
    )
    assert dyes_in(table, "red 1 1", "red 2 1") == [(("red 1", 1.0),), (("red 2", 1.0),)]
    assert dyes_in(table, "red 1", "red 2.0") == [(("red", 1.0),), (("red", 2.0),)]
    assert dyes_in(table, "red 1", "red 2", known=["red"]) == [(("red", 1.0),), (("red", 2.0),)]


@pytest.mark.parametrize("missing", ["nan", "NaN", "inf", "#N/A", "-"])
def test_a_missing_strength_is_no_name(table, missing):
    with pytest.raises(BatikError, match="has no number for its strength") as told:
        dyes_in(table, "navy 1", f"moss {missing} + navy 0.5")
    assert "line 4" in str(told.value)
    assert 'write "moss 1" for full strength' in str(told.value)


def test_a_strength_of_two_stays_a_strength_where_the_dye_is_known(table):
    assert dyes_in(table, "primrose 0.5", "primrose 2") == [(("primrose", 0.5),), (("primrose", 2.0),)]
    assert dyes_in(table, "primrose", "primrose 2") == [(("primrose", 1.0),), (("primrose", 2.0),)]


@pytest.mark.parametrize("text", ["red 2", "navy 21", "primrose 1 + red 3"])
def test_a_name_or_a_strength_is_asked_for(table, text):
    with pytest.raises(BatikError, match="a dye's name, or a dye and its strength") as told:
        dyes_in(table, "primrose 1", text)
    assert "line 4" in str(told.value)
    assert text.split(" + ")[-1] + ' 1" for the dye' in str(told.value)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("primrose=1", "primrose 1"),
        ("sea blue 1 + primrose = 0.5", "primrose 0.5"),
        ("red 2=.5", "red 2 0.5"),
        ('"moss 0,5"', "moss 0.5"),
        ("sea blue 50 %", "sea blue 0.5"),
        ("moss 7.5%", "moss 0.075"),
    ],
)
def test_a_strength_written_in_another_way_is_no_name(table, text, told):
    with pytest.raises(BatikError, match="strength that can't be read") as caught:
        dyes_in(table, "primrose 1", text)
    assert "line 4" in str(caught.value)
    assert f'write "{told}"' in str(caught.value)
    named = "moss 50% 1"
    assert dyes_in(table, named) == [(("moss 50%", 1.0),)]


def test_numbers_with_a_comma_are_told_how_to_be_written(table):
    with pytest.raises(BatikError, match="write 92.1") as told:
        table("dyes;L;a;b\nundyed;92,1;0,2;4\n")
    assert "line 2: L" in str(told.value)


@pytest.fixture
def table(tmp_path):
    def read(text, **keys):
        file = tmp_path / "swatches.csv"
        file.write_text(text, encoding="utf-8")
        return read_swatches(file, **keys)

    return read


def test_a_table_of_any_kind_of_measurement(table):
    bands = range(400, 701, 20)
    head = "name,dyes,L,a,b,hex," + ",".join(f"{nm} nm" for nm in bands)
    percent = ",".join("50" for _ in bands)
    told = table(f"# my swatches\n{head}\none,sun 1,88,-3,70\n\n,sun 0.5 + sea 1,,,,#40a080\n,undyed,,,,,{percent}\n")
    assert told[0].lab == (88.0, -3.0, 70.0)
    assert (told[1].colour, told[1].name) == ("#40a080", "sun 0.5 + sea 1")
    assert told[2].layers == ()
    assert {value for _, value in told[2].samples} == {0.5}


def test_semicolons_and_what_was_written_reads_back(table):
    assert table("dyes;hex\nsun 1;#f0d92e\n")[0].colour == "#f0d92e"
    assert table("hex,dyes\n#f0d92e,sun 1\n#not a colour\n")[0].layers == (("sun", 1.0),)
    swatches = (
        Swatch(name="region 2", layers=(("sun", 1.0), ("sea", 0.5)), lab=(50.0, -20.25, 3.0)),
        Swatch(name="bare", layers=(), lab=(94.0, 0.0, 6.5)),
    )
    assert table(swatch_rows(swatches)) == swatches


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "line of headings"),
        ("dyes,hex\n", "line of headings"),
        ("dye,hex\nsun,#ffffff\n", "did you mean 'dyes'"),
        ("hex\n#ffffff\n", "no column for dyes"),
        ("dyes,hex\nundyed,#ffffff\n", "no dyed swatch"),
        ("dyes,hex\nsun,yellow\n", "line 2.*needs a colour"),
        ("dyes,L,a,b\nsun,50,x,1\n", "line 2: a: needs a number"),
        ("dyes,L,a,b\nsun,150,1,1\n", "line 2: L: out of range"),
        ("dyes,hex\nsun,\n", "no measured colour"),
        ("dyes,500,600\nsun,0.2,0.3\n", "reach from 420 to 680"),
    ],
)
def test_mistakes_in_a_table_are_named(table, text, words):
    with pytest.raises(BatikError, match=words) as told:
        table(text)
    assert told.value.file.endswith("swatches.csv")
