"""What steps do, in the maker's words; and the figures of wax that cracks, by hand."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.cloth.effects.wax import brittleness, crack_spacing_mm, split_at_cracks, wax_seed
from batiksim.cloth.masks import less
from batiksim.cloth.stages import wax_left
from batiksim.texts.phrases import capital, listed
from batiksim.values import Discharge, RemoveWax
from batiksim.values.step_words import step_kind, step_words, wax_name


def test_words_in_a_row():
    assert [str(listed(list(words))) for words in ("a", "ab", "abc")] == ["a", "a and b", "a, b and c"]
    assert (capital("ab c"), capital("")) == ("Ab c", "")


def test_each_kind_of_step_in_words(build):
    planned = build.design(
        build.wax("lines", tool="canting", grey="thin"), build.dye("leaf"), build.dye(("leaf", "petals")),
        build.dye("sun", ("leaf", "petals")), Discharge(), Discharge(strength=0.5), RemoveWax(),
        build.dye(("leaf", "petals"), ("pink", "sky")),
    )  # fmt: skip
    words = [tuple(str(said or "") for said in step_words(planned, number)) for number in range(1, 9)]
    assert words[0][1] == "With the canting. Thin wax: it holds back only part of the dye."
    assert words[1] == ("Leaf", "Over the whole cloth.")
    assert words[2] == ("Leaf", "Brushed on. Shape: petals.")
    assert words[3] == ("Sun and leaf", "Sun over the whole cloth, leaf brushed on.")
    assert words[4] == ("Discharge", "Takes the dye out of open cloth.")
    assert words[5] == ("Discharge", "Takes 50% of the dye out of open cloth.")
    assert words[6] == ("Wax removed", "")
    assert words[7] == ("Leaf and pink", "Brushed on. Shapes: petals and sky.")
    kinds = [step_kind(step) for step in planned.steps]
    assert kinds == ["wax", "dye", "dye", "dye", "discharge", "discharge", "remove_wax", "dye"]


def test_waxings_are_named_by_their_place(build):
    one = build.design(build.wax("lines"))
    two = build.design(build.wax("lines"), build.dye("leaf"), build.wax("petals"))
    assert str(wax_name(one, 1)) == "Wax: lines"
    assert [str(wax_name(two, number)) for number in (1, 3)] == ["Wax 1: lines", "Wax 2: petals"]


def test_whether_wax_is_left(build):
    wax, dye, out = build.wax("a"), build.dye("leaf"), RemoveWax()
    cases = {
        (): False,
        (wax,): True,
        (wax, dye): True,
        (wax, out): False,
        (wax, out, dye): False,
        (wax, out, wax, dye): True,
    }
    assert {steps: wax_left(build.design(*steps)) for steps in cases} == cases


def test_brittle_wax_cracks_closer():
    """Equal parts crack as they are: 40 mm apart hardly bent, 2.5 mm crumpled hard, 10 mm halfway."""
    assert [brittleness(share) for share in (0, 0.5, 1)] == pytest.approx([0.1, 1.0, 1.9])
    assert [crack_spacing_mm(crackle, 0.5) for crackle in (0, 0.5, 1)] == pytest.approx([40, 10, 2.5])
    assert crack_spacing_mm(1, 1) == pytest.approx(2.5)
    assert crack_spacing_mm(1, 0) == pytest.approx(40 * 0.0625**0.1)


def test_seeds_come_from_title_and_step_or_are_given(build):
    plain, seeded = build.wax("a"), build.wax("a", seed=7)
    assert wax_seed("t", 1, plain) == wax_seed("t", 1, build.wax("b"))
    assert (
        len({wax_seed("t", 1, plain), wax_seed("t", 2, plain), wax_seed("u", 1, plain), wax_seed("t", 1, seeded)}) == 4
    )
    assert wax_seed("t", 1, seeded) == wax_seed("u", 9, seeded)
    assert 0 <= wax_seed("t", 1, plain) < 1 << 56


def test_cracks_take_from_the_wax():
    mask, opened = np.array([[255, 255, 255, 128, 0]], np.uint8), np.array([[0, 255, 51, 128, 9]], np.uint8)
    assert less(mask, opened).tolist() == [[255, 0, 204, 64, 0]]
    sound, cracked = np.full((1, 5), 9, np.uint8), np.full((1, 5), 9, np.uint8)
    split_at_cracks(mask, np.array([[0, 3, 0, 1, 0]], np.uint8), sound, cracked)
    assert (sound.tolist(), cracked.tolist()) == ([[255, 0, 255, 0, 0]], [[0, 255, 0, 128, 0]])
