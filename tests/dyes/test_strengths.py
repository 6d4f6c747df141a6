"""The weakest and the strongest pot of use: from what shows on cloth and from what fibre takes, the same everywhere."""

from dataclasses import replace

import pytest

from batiksim.checks.depth import Depth
from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.cloth.loads import STRONGEST_POT, WEAKEST_POT, load_held
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import xyz_to_lab
from batiksim.colour.spectra import reflectance_to_xyz
from batiksim.dyes.match import find_pots
from batiksim.dyes.match_colours import STRENGTHS
from batiksim.files.toml.dyebooks import read_book
from batiksim.ordering.strengths import strengths_to_try
from batiksim.picture_plan.plan_moves import stronger
from batiksim.picture_plan.search import FINE_LADDER
from batiksim.values import Cloth, Pot

SHOWS = 8.0  # CIEDE2000 from bare cloth
BOOK = cloth_dyes(Cloth(width_mm=100.0), read_book("demo").dyes)
PINK = Pot(name="pink", parts={"magenta": 1})


def lab(pot: Pot):
    return xyz_to_lab(reflectance_to_xyz(BOOK.reflectance(BOOK.taken_ks([pot]))))


def change_of_bare_cloth(name: str, strength: float) -> float:
    bare = xyz_to_lab(reflectance_to_xyz(BOOK.reflectance(0 * BOOK.cloth_ks)))
    return float(delta_e_2000(bare, lab(Pot(name=name, parts={name: 1}, strength=strength))))


def test_the_weakest_pot_of_every_dye_shows_and_half_of_it_not_always():
    assert all(change_of_bare_cloth(name, WEAKEST_POT) >= SHOWS for name in BOOK.dyes)
    assert not all(change_of_bare_cloth(name, WEAKEST_POT / 2) >= SHOWS for name in BOOK.dyes)


def test_fibre_takes_the_strongest_pot_in_full_and_nothing_beyond_it():
    assert load_held(STRONGEST_POT) == pytest.approx(STRONGEST_POT)
    assert load_held(1.1 * STRONGEST_POT) < 1.1 * STRONGEST_POT


def test_match_orders_pictures_and_checks_use_the_same_pair():
    pair = (WEAKEST_POT, STRONGEST_POT)
    assert (STRENGTHS[0], STRENGTHS[-1]) == pair
    assert (FINE_LADDER[0], FINE_LADDER[-1]) == pair
    assert tuple(stronger((("magenta", 1.0),), 0, factor)[0][1] for factor in (0.0001, 1000)) == pair
    assert min(strengths_to_try(replace(PINK, strength=0.03))) == WEAKEST_POT
    assert max(strengths_to_try(replace(PINK, strength=2.0))) <= STRONGEST_POT < 1.3 * 2.0
    assert Depth().most_strength == STRONGEST_POT


@pytest.mark.parametrize("strength", [0.01, 0.02, 2.0, 2.5])
def test_a_very_pale_and_a_very_strong_pot_are_matched(strength):
    pot = replace(PINK, strength=strength)
    best = find_pots(BOOK, lab(pot), most_dyes=1)[0]
    assert (dict(best.pot.parts), best.pot.strength) == ({"magenta": 1.0}, strength)
