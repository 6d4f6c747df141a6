"""Which cloth a design is taken to be dyed on."""

from __future__ import annotations

import itertools

import pytest

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.cloth.undyed import BareCloth, bare_cloth, reckoned_cloth
from batiksim.values import COTTON, FLOOR, Cloth, Dye, Undyed


def seen(name, colour="#efe9dd", surface=None):
    return Dye(name=name, colour="#c0507a", seen_on=Undyed(colour=colour, surface=surface))


OPEN = Cloth(width_mm=100)
PLAIN = Dye(name="plain", colour="#1aa7b8")


def test_without_a_word_from_the_dyes_it_is_a_common_cotton():
    assert bare_cloth(OPEN, [PLAIN]) == BareCloth(colour=COTTON, surface=FLOOR)
    assert bare_cloth(OPEN, []) == BareCloth(colour=COTTON, surface=FLOOR)


def test_what_the_dyes_were_seen_on_is_taken_where_the_design_is_silent():
    assert bare_cloth(OPEN, [PLAIN, seen("a", surface=0.03)]) == BareCloth(colour="#efe9dd", surface=0.03)


def test_what_the_design_states_counts():
    stated = Cloth(width_mm=100, colour="#ffffff", surface=0.0)
    assert bare_cloth(stated, [seen("a", surface=0.03)]) == BareCloth(colour="#ffffff", surface=0.0)
    half = Cloth(width_mm=100, surface=0.05)
    assert bare_cloth(half, [seen("a", surface=0.03)]) == BareCloth(colour="#efe9dd", surface=0.05)


def test_the_floor_that_most_agree_on_whatever_their_order():
    dyes = [seen("a", surface=0.02), seen("b", surface=0.04), seen("c", surface=0.021), seen("d", surface=0.018)]
    assert {bare_cloth(OPEN, order).surface for order in itertools.permutations(dyes)} == {0.02}


def test_a_tie_is_broken_alike_whatever_their_order():
    pair = [seen("a", surface=0.02), seen("b", surface=0.04)]
    assert bare_cloth(OPEN, pair) == bare_cloth(OPEN, pair[::-1])


def test_measured_cloth_speaks_before_the_cloth_of_invented_dyes():
    dyes = [seen("a", colour="#f1ede2"), seen("b", colour="#f1ede2"), seen("own", colour="#dcd2bb", surface=0.02)]
    assert bare_cloth(OPEN, dyes) == BareCloth(colour="#dcd2bb", surface=0.02)


def test_a_dye_of_unknown_floor_is_seen_through_the_floor_of_the_cloth():
    there = cloth_dyes(Cloth(width_mm=100, colour="#efe9dd", surface=0.04), [Dye(name="a", colour="#c0507a")])
    here = cloth_dyes(Cloth(width_mm=100, colour="#efe9dd", surface=0.04), [seen("a")])
    assert here.dyes["a"].ks == pytest.approx(there.dyes["a"].ks)


def test_a_design_of_some_of_the_dyes_keeps_the_cloth_that_all_were_tried_on():
    many = [seen("a", surface=0.02), seen("b", surface=0.02), seen("c", colour="#c9b183", surface=0.05)]
    tried = bare_cloth(OPEN, many)
    kept = reckoned_cloth(OPEN, many[2:], tried)
    assert bare_cloth(kept, many[2:]) == tried
    assert reckoned_cloth(OPEN, many[:2], tried) == OPEN
