"""The search for a pot, held against trying every pot there is."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import numpy as np
import pytest

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.cloth.loads import load_held
from batiksim.colour import kubelka_munk, spaces, spectra
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.dyes.match import PotSearch, find_pots
from batiksim.dyes.match_candidates import part_ratios
from batiksim.dyes.match_colours import STRENGTHS, Ground
from batiksim.errors import BatikError
from batiksim.values import BuildUp, Cloth, Dye, Pot

CLOTH = Cloth(width_mm=400)
COLOURS = {
    "lemon": ("#f3de3c", BuildUp(law="saturating", bend=0.6)),
    "scarlet": ("#c92c2a", BuildUp()),
    "magenta": ("#c4266f", BuildUp(law="power", bend=0.9)),
    "turquoise": ("#1391b2", BuildUp(law="power", bend=0.8)),
    "navy": ("#1f294d", BuildUp()),
    "moss": ("#6b732f", BuildUp(law="power", bend=1.2)),
    "chestnut": ("#713d27", BuildUp()),
}
WANTED = ["#4d7358", "#c05f7a", "#f0c9b0", "#00ff40", "#808080", "#101010", "#7a9fd0", "#ffffff"]


@cache
def book(count=7):
    names = list(COLOURS)[:count]
    return cloth_dyes(CLOTH, [Dye(name=one, colour=COLOURS[one][0], build_up=COLOURS[one][1]) for one in names])


def shown(dyes, pot, ground=None):
    """A pot's CIELAB, by the plain rules."""
    loads = dyes.pot_loads(pot)
    base = dyes.cloth_ks + (0 if ground is None else ground.ks)
    before = 0.0 if ground is None else ground.load
    total = sum(loads.values())
    taken = (load_held(np.array(before + total)) - load_held(np.array(before))) / total
    ks = base + taken * sum(load * dyes.dyes[name].ks for name, load in loads.items())
    return spaces.xyz_to_lab(spectra.reflectance_to_xyz(kubelka_munk.reflectance_from_ks(ks, surface=dyes.surface)))


def nearest_of_all(dyes, lab, most_dyes, most_parts, ground=None):
    """The smallest CIEDE2000 for each choice of dyes, every pot tried."""
    base = dyes.cloth_ks + (0 if ground is None else ground.ks)
    before = 0.0 if ground is None else ground.load
    best = {}
    for k in range(1, most_dyes + 1):
        ratios = np.array(part_ratios(k, most_parts))
        strengths = np.array(STRENGTHS)[:, None, None] * (ratios / ratios.sum(axis=1, keepdims=True))
        for names in combinations(dyes.dyes, k):
            loads = [np.vectorize(dyes.dyes[one].build_up.load)(strengths[..., at]) for at, one in enumerate(names)]
            total = sum(loads)
            taken = (load_held(before + total) - load_held(np.full_like(total, before))) / total
            ks = base + sum(
                (taken * load)[..., None] * dyes.dyes[one].ks for one, load in zip(names, loads, strict=True)
            )
            xyz = spectra.reflectance_to_xyz(kubelka_munk.reflectance_from_ks(ks, surface=dyes.surface))
            best[names] = float(delta_e_2000(spaces.xyz_to_lab(xyz), lab).min())
    return best


@pytest.mark.some(3)
@pytest.mark.parametrize("wanted", WANTED)
def test_three_dyes_against_every_pot(wanted):
    """The nearest pot is found, and of the ten best choices of dyes nearly all, each within a hair of its best."""
    lab = spaces.hex_to_lab(wanted)
    best = nearest_of_all(book(), lab, 3, 6)
    search = PotSearch(book(), lab, most_parts=6)
    found = search.best_of_each_set(3)
    mine = {tuple(one.pot.parts): one.delta_e for one in search.matches(found)}
    mine = {tuple(sorted(names)): delta_e for names, delta_e in mine.items()}
    ranked = sorted(best, key=best.get)
    assert found.delta_e[0] == pytest.approx(best[ranked[0]], abs=1e-9)
    worse = [mine.get(tuple(sorted(names)), np.inf) - best[names] for names in ranked[:10]]
    assert min(worse) > -1e-9
    assert sum(one > 0.05 for one in worse) <= 1


@pytest.mark.some(2)
@pytest.mark.parametrize("wanted", WANTED[:4])
def test_four_dyes_against_every_pot(wanted):
    """A sound search, not a full one: never more than .05 from the nearest of all."""
    lab = spaces.hex_to_lab(wanted)
    best = min(nearest_of_all(book(6), lab, 4, 4).values())
    assert find_pots(book(6), lab, most_dyes=4, most_parts=4)[0].delta_e == pytest.approx(best, abs=0.05)


@pytest.mark.parametrize("load", [0.3, 2.4])
@pytest.mark.parametrize("wanted", WANTED[:3])
def test_on_a_dyed_ground_against_every_pot(wanted, load):
    ground = Ground(ks=load * book().dyes["lemon"].ks, load=load)
    lab = spaces.hex_to_lab(wanted)
    best = min(nearest_of_all(book(5), lab, 2, 8, ground).values())
    (first, *_) = find_pots(book(5), lab, most_dyes=2, ground=ground)
    assert first.delta_e == pytest.approx(best, abs=1e-9)
    assert delta_e_2000(shown(book(5), first.pot, ground), lab) == pytest.approx(first.delta_e, abs=1e-9)


def test_a_pot_is_found_again():
    for pot in (
        Pot(name="a", parts={"lemon": 5, "turquoise": 1}, strength=0.6),
        Pot(name="b", parts={"moss": 3, "scarlet": 2, "navy": 1}, strength=1.25),
        Pot(name="c", parts={"magenta": 1}, strength=0.05),
    ):
        (first, *_) = find_pots(book(), shown(book(), pot))
        assert first.delta_e == pytest.approx(0, abs=1e-6)
        assert dict(first.pot.parts) == dict(pot.parts)
        assert first.pot.strength == pot.strength


@pytest.mark.parametrize("wanted", WANTED)
def test_what_is_shown_is_true_and_varied(wanted):
    lab = spaces.hex_to_lab(wanted)
    found = find_pots(book(), lab)
    assert 2 <= len(found) <= 5
    assert [one.delta_e for one in found] == sorted(one.delta_e for one in found)
    for one in found:
        assert delta_e_2000(shown(book(), one.pot), lab) == pytest.approx(one.delta_e, abs=1e-9)
        assert delta_e_2000(np.array(one.lab), lab) == pytest.approx(one.delta_e, abs=1e-9)
        assert one.pot.strength in STRENGTHS
        assert len(one.pot.parts) <= 3
        assert all(part in range(1, 9) for part in one.pot.parts.values())
    sets = [frozenset(one.pot.parts) for one in found]
    assert len(set(sets)) == len(sets)


def test_a_simpler_pot_is_among_them_where_it_comes_close():
    lab = shown(book(), Pot(name="x", parts={"lemon": 8, "turquoise": 7, "navy": 1}, strength=0.6))
    found = find_pots(book(), lab)
    assert len(found[0].pot.parts) == 3
    assert any(len(one.pot.parts) == 2 for one in found)


def test_small_books():
    one = cloth_dyes(CLOTH, [Dye(name="ink", colour="#20284a")])
    (only,) = find_pots(one, spaces.hex_to_lab("#20284a"), most_dyes=4)
    assert dict(only.pot.parts) == {"ink": 1}
    assert only.pot.strength == 1.0
    assert only.pot.name == "ink"


@pytest.mark.filterwarnings("error")
def test_a_dye_that_adds_nothing_does_no_harm():
    """Measured paler than the cloth it is to dye."""
    whiter = Dye(name="chalk", spectrum="chalk.csv", samples=tuple((nm, 0.95) for nm in range(400, 701, 10)))
    dyes = cloth_dyes(CLOTH, [whiter, Dye(name="scarlet", colour="#c92c2a")])
    assert not dyes.dyes["chalk"].ks.any()
    best = find_pots(dyes, spaces.hex_to_lab("#c92c2a"))[0]
    assert (dict(best.pot.parts), best.pot.strength) == ({"scarlet": 1.0}, 1.0)
    find_pots(dyes, spaces.hex_to_lab("#f1ede2"))


def test_numbers_out_of_range():
    lab = spaces.hex_to_lab("#808080")
    with pytest.raises(BatikError, match="most_dyes: out of range"):
        find_pots(book(), lab, most_dyes=5)
    with pytest.raises(BatikError, match="most_parts: out of range"):
        find_pots(book(), lab, most_parts=0)
    with pytest.raises(BatikError, match="no dyes"):
        find_pots(cloth_dyes(CLOTH, []), lab)


def test_the_work_for_many_dyes_stays_small(monkeypatch):
    """Of 14 million pots of 24 dyes, 3 at a time in parts to 8, at most one in 500 is worked out exactly.

    How long that takes is measured in `tests/bench` (row `match`).
    """
    worked = []
    exactly = PotSearch.labs

    def counting(self, sets, parts, strength):
        worked.append(len(sets))
        return exactly(self, sets, parts, strength)

    monkeypatch.setattr(PotSearch, "labs", counting)
    rng = np.random.default_rng(4)
    dyes = [Dye(name=f"d{n}", colour="#{:02x}{:02x}{:02x}".format(*rng.integers(20, 220, 3))) for n in range(24)]
    fitted = cloth_dyes(CLOTH, dyes)
    pots = sum(len(list(combinations(dyes, k))) * len(part_ratios(k, 8)) for k in (1, 2, 3)) * len(STRENGTHS)
    for wanted in ("#c05f7a", "#4d7358"):
        worked.clear()
        find_pots(fitted, spaces.hex_to_lab(wanted), most_dyes=3, most_parts=8)
        assert 0 < sum(worked) < pots / 500
