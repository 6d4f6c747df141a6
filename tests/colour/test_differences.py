"""Differences in words: each direction by a pair made for it, and what holds for all pairs."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.differences import difference_words
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
        ("#a07070", "#b06060", "clearer"),
    ],
)
def test_pairs(start, end, words):
    assert difference_words(hex_to_lab(start), hex_to_lab(end)) == words


labs = st.tuples(st.floats(0.2, 0.95), st.floats(-0.12, 0.12), st.floats(-0.12, 0.12)).map(
    lambda lab: xyz_to_lab(oklab_to_xyz(np.array(lab)))
)


@given(labs, labs)
def test_the_words_follow_the_difference(start, end):
    words = difference_words(start, end)
    size = float(delta_e_2000(start, end))
    assert (words == "the same") == (size < 0.5)
    assert words.startswith("much ") == (size >= 12)
    back = difference_words(end, start)
    for word in ("paler", "darker", "clearer", "duller"):
        assert word not in words.split() or word not in back.split()
