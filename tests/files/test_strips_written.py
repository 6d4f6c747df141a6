"""A strip file as it is written for a maker: every line, and what `read_strip` makes of it."""

from __future__ import annotations

import pytest

from batiksim.files.toml.strips import read_strip, strip_text

CELLS = ((("sun", 1.0),), (("sun", 2.0),), (), (("sun", 1.0), ("sea", 0.5)))
CORNERS = ((0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0))


@pytest.fixture
def back(tmp_path):
    """Write a strip file and read it; the text and the strip."""

    def written(cells=CELLS, **keys):
        given = {"columns": 2, "gap": 0.2, "cloth": "#f1ede2", "cloth_assumed": False, "card": None}
        text = strip_text('My "strip"', cells, **(given | keys))
        (tmp_path / "strip.toml").write_text(text, encoding="utf-8")
        return text, read_strip(tmp_path / "strip.toml", corners=CORNERS)

    return written


def test_what_is_written_reads_back(back):
    _, strip = back()
    assert strip.title == 'My "strip"'
    assert strip.cloth_colour == "#f1ede2"
    assert not strip.cloth_assumed
    assert strip.ground
    assert [patch.layers for patch in strip.patches] == list(CELLS)


def test_each_cell_lies_in_reading_order_less_its_gap(back):
    """Two rows of two: a cell is half as wide and high as the strip, and a tenth of it is bare on each side."""
    _, strip = back()
    left, top = (0.05, 0.55), (0.05, 0.55)
    wanted = [(x, y, 0.4, 0.4) for y in top for x in left]
    assert [patch.at for patch in strip.patches] == [pytest.approx(at) for at in wanted]


def test_a_strength_of_one_goes_without_saying_and_no_other(back):
    text, _ = back()
    patches = [part.strip().splitlines() for part in text.split("[[patch]]")[1:]]
    assert patches == [
        ['dye = "sun"'],
        ['dye = "sun"', "strength = 2"],
        ["undyed = true"],
        ['dyes = { "sun" = 1, "sea" = 0.5 }  # one over the other'],
    ]


@pytest.mark.parametrize("assumed", [True, False])
def test_an_assumed_cloth_is_said_to_be_assumed(back, assumed):
    text, strip = back(cloth_assumed=assumed)
    assert strip.cloth_assumed is assumed
    assert ("assumed = true" in text) is assumed


def test_a_card_stands_where_it_is_told(back):
    text, strip = back(card=(0.18, (1.05, 0.0, 0.2, 1 / 3)))
    card = strip.patches[-1]
    assert (card.card, card.layers) == (0.18, ())
    assert card.at == pytest.approx((1.05, 0, 0.2, 1 / 3), abs=1e-6)
    assert text.index("[[card]]") < text.index("[[patch]]")
    assert "[[card]]" not in back()[0]


def test_rows_follow_from_the_columns(back):
    text, _ = back(CELLS + CELLS, columns=4)
    assert "rows = 2\ncolumns = 4\ngap = 0.2\n" in text
    assert text.endswith("\n")
    assert not text.endswith("\n\n")
