"""Differences in words: each direction by a pair made for it, and what holds for all pairs."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.differences import NO_DIFFERENCE, difference_words
from batiksim.colour.spaces import hex_to_lab, oklab_to_xyz, xyz_to_lab


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        ("#c02040", "#c02040", "the same"),
        ("#808080", "#818181", "the same"),
        ("#808080", "#868686", "a touch paler"),
        ("#808080", "#404040", "much darker"),
        ("#c02040", "#c03020", "yellower"),
        ("#c02040", "#c02058", "more purple"),
        ("#f0e060", "#e0e060", "a little greener"),
        ("#f0e060", "#f0cc50", "yellower and darker"),
        ("#f0cc50", "#f0b040", "redder and darker"),
        ("#2040a0", "#4030a0", "more purple"),
        ("#1391b2", "#13a192", "much greener"),
        ("#4030a0", "#2040a0", "bluer"),
        ("#aa3355", "#777777", "much greyer"),
        ("#777777", "#aa3355", "much redder"),
        ("#a07070", "#b06060", "more vivid"),
    ],
)
def test_pairs(start, end, words):
    assert str(difference_words(hex_to_lab(start), hex_to_lab(end))) == words


labs = st.tuples(st.floats(0.2, 0.95), st.floats(-0.12, 0.12), st.floats(-0.12, 0.12)).map(
    lambda lab: xyz_to_lab(oklab_to_xyz(np.array(lab)))
)


@given(labs, labs)
def test_the_words_follow_the_difference(start, end):
    words = difference_words(start, end)
    size = float(delta_e_2000(start, end))
    assert (words == NO_DIFFERENCE) == (size < 0.5)
    assert (words.key == "colour.difference.much") == (size >= 12)
    back = difference_words(end, start)
    for word in ("paler", "darker", "more vivid", "duller"):
        assert word not in str(words).split() or word not in str(back).split()


def ways(start, end):
    """The ways in which a colour differs, the largest first."""
    return difference_words(start, end).values["ways"]


@pytest.mark.parametrize(
    ("degrees", "word"),
    [
        (24, "redder"), (57, "redder"), (58, "yellower"), (124, "yellower"), (126, "greener"), (214, "greener"),
        (216, "bluer"), (294, "bluer"), (296, "more purple"), (352.4, "more purple"), (352.6, "redder"),
    ],
)  # fmt: skip
def test_grey_that_takes_on_a_hue_takes_the_nearest_of_the_pure_ones(degrees, word):
    """Red 25, yellow 90, green 160, blue 270, purple 320 degrees: the bounds lie half way between."""
    angle = np.radians(degrees)
    assert ways([50, 0, 0], [50, 30 * np.cos(angle), 30 * np.sin(angle)])[-1] == word


@pytest.mark.parametrize(
    ("lighter", "words"),
    [(0.4, "the same"), (0.7, "barely paler"), (1.2, "a touch paler"), (3.5, "a little paler"), (8, "paler")],
)
def test_how_much_follows_the_size_of_the_difference(lighter, words):
    """About L* 50, CIEDE2000 of a difference in lightness alone is that difference."""
    assert str(difference_words([50 - lighter / 2, 20, 20], [50 + lighter / 2, 20, 20])) == words


def test_a_colour_is_greyer_only_where_it_ends_without_a_hue():
    assert ways([50, 30, 0], [50, 5.9, 0])[-1] == "greyer"
    assert ways([50, 30, 0], [50, 6.1, 0])[-1] == "duller"
    assert ways([50, 5.9, 0], [50, 30, 0])[-1] == "redder"
    assert ways([50, 6, 0], [50, 30, 0])[-1] == "more vivid"  # it has a hue, and keeps it


def test_what_counts_for_little_beside_the_rest_is_left_out():
    """A second part is told from two fifths of the largest on."""
    assert ways([50, 0, 0], [60, 0, 0]) == ["paler"]
    both = ways([45, 40, 0], [55, 48, 0])
    assert (both[0], "more vivid" in both) == ("paler", False)
    assert "more vivid" in ways([48, 30, 0], [52, 45, 0])
