"""The overdye chart as values: held against the engine, and its order, mud and notes."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from batiksim.cloth.dyes_on_cloth import cloth_dyes, dyes_on_cloth
from batiksim.cloth.program import compile_design
from batiksim.cloth.render import render
from batiksim.colour.spaces import hex_to_lab
from batiksim.colour.spectra import BANDS_NM, LIGHTS, light_weights
from batiksim.dyes.mud import is_mud
from batiksim.dyes.overdye import MOST, family_order, overdye
from batiksim.errors import BatikError
from batiksim.values import BuildUp, Cloth, Design, Dye, DyeBath, Paint, Pot
from batiksim.values.colour_words import PLAIN

COLOURS = {
    "night": "#20284a",
    "sea": "#1aa7b8",
    "sun": "#f0d92e",
    "bark": "#6f4023",
    "pink": "#d6246e",
    "moss": "#76903a",
    "coal": "#26262a",
}
DYES = [Dye(name=name, colour=shown) for name, shown in COLOURS.items()]
DYES[1] = replace(DYES[1], build_up=BuildUp(law="power", bend=0.7))
CLOTH = Cloth(width_mm=100)
ON_CLOTH = cloth_dyes(CLOTH, DYES)
ALONE = [Pot(name=name, parts={name: 1}) for name in COLOURS]


def chart(pots=ALONE, **keys):
    return overdye(ON_CLOTH, pots, title="Test", **keys)


def by_engine(first, second, under, strength, light, look):
    """The same overdye as the engine dyes it, in 8 bits."""
    pots = (Pot(name="a", parts={first: 1}, strength=under), Pot(name="b", parts={second: 1}, strength=strength))
    baths = tuple(DyeBath(paints=(Paint(pot=name),)) for name in ("a", "b"))
    design = Design(title="Test", cloth=CLOTH, dyes=tuple(DYES), pots=pots, steps=baths)
    program = compile_design(design, dyes_on_cloth(design), light=light, look=look)
    return render(program, np.zeros((0, 1, 1), np.uint8))[-1][0, 0].astype(int)


@given(
    pair=st.tuples(*[st.sampled_from(sorted(COLOURS))] * 2),
    strengths=st.tuples(*[st.sampled_from([0.25, 0.5, 1.0, 2.0, 4.0])] * 2),
    light=st.sampled_from(LIGHTS),
    look=st.sampled_from(["dry", "wet"]),
)
@settings(max_examples=25, deadline=None)
def test_every_cell_is_what_the_engine_dyes(pair, strengths, light, look):
    under, strength = strengths
    made = chart(under=under, strength=strength, light=light, look=look)
    cell = made.cells[made.dyes.index(pair[0])][made.dyes.index(pair[1])]
    shown = np.array(list(bytes.fromhex(cell.hex[1:])))
    assert np.abs(shown - by_engine(*pair, under, strength, light, look)).max() <= 1


def test_order_of_two_dyes_matters_only_where_strengths_differ():
    same, other = chart(), chart(under=0.5)
    assert all(same.cells[i][j].hex == same.cells[j][i].hex for i in range(7) for j in range(7))
    assert other.cells[0][1].hex != other.cells[1][0].hex
    assert other.firsts[0].hex != other.seconds[0].hex == same.firsts[0].hex


def test_families_sit_together_and_neutrals_come_last():
    assert chart().dyes == ("sun", "pink", "night", "sea", "moss", "bark", "coal")
    assert family_order(np.array([hex_to_lab(colour) for colour in ("#808080", "#d6246e", "#f4f2ea")])) == [1, 2, 0]


def test_mud_is_judged_dry_by_daylight_by_the_one_rule():
    day, lamp = chart(), chart(light="A", look="wet")
    for i, (row, lit) in enumerate(zip(day.cells, lamp.cells, strict=True)):
        for j, (shade, other) in enumerate(zip(row, lit, strict=True)):
            assert shade.mud == other.mud == is_mud(shade.lab, [day.firsts[i].lab, day.seconds[j].lab])
            assert shade.plain in PLAIN
    assert day.cells[day.dyes.index("pink")][day.dyes.index("moss")].mud
    assert not day.cells[day.dyes.index("sun")][day.dyes.index("sea")].mud


def test_pots_are_charted_as_mixed():
    pots = [Pot(name="leaf", parts={"sun": 5, "sea": 1}, strength=0.8), Pot(name="plum", parts={"pink": 1, "night": 1})]
    made = chart(pots)
    assert (made.what, chart().what) == ("pot", "dye")
    assert set(made.dyes) == {"leaf", "plum"}
    assert chart([*pots, ALONE[0]]).what == "pot"


def test_dyes_that_part_by_lamp_are_told():
    seen = light_weights("D65")
    hidden = light_weights("A")[:, 0]
    hidden = hidden - seen @ np.linalg.lstsq(seen, hidden, rcond=None)[0]
    base = 0.3 + 0.1 * np.sin(BANDS_NM / 60)
    twins = [base, base + 0.1 * hidden / np.abs(hidden).max()]
    dyes = [
        Dye(name=name, spectrum="x.csv", samples=tuple(zip(BANDS_NM.tolist(), twin.tolist(), strict=True)))
        for name, twin in zip(("reed", "rush"), twins, strict=True)
    ]
    made = overdye(cloth_dyes(CLOTH, dyes), [Pot(name=dye.name, parts={dye.name: 1}) for dye in dyes], title="Twins")
    assert any(str(note).startswith(("Reed and rush", "Rush and reed")) for note in made.notes)
    assert len(set(made.notes)) == len(made.notes) <= 4
    assert chart().notes == ()


@pytest.mark.parametrize("keys", [{"strength": 0}, {"under": 5.0}, {"strength": float("nan")}])
def test_strengths_out_of_range_are_refused(keys):
    with pytest.raises(BatikError, match="above 0"):
        chart(**keys)


def test_no_dyes_and_too_many_are_refused():
    with pytest.raises(BatikError, match="no dye"):
        chart([])
    with pytest.raises(BatikError, match="choose at most .* with only="):
        chart([replace(ALONE[0], name=str(at)) for at in range(MOST + 1)])


def test_an_unknown_light_names_the_nearest():
    with pytest.raises(BatikError, match="did you mean 'LED'"):
        chart(light="LEDs")
