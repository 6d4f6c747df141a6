"""How a mask that is out of place is put into words: how it is off is the opposite of how it must move."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from batiksim.checks import misfit as module
from batiksim.checks.scene.outlier_masks import Misfit
from batiksim.checks.shapes.edge_registration import Move
from batiksim.texts.phrases import listed
from batiksim.values import MaskUse

USE = MaskUse(picture="leaf.png", marks="dark")


def moved(right_mm=0.0, down_mm=0.0, turn_deg=0.0):
    return Misfit(use=USE, move=Move(right_mm=right_mm, down_mm=down_mm, turn_deg=turn_deg))


@pytest.mark.parametrize(
    ("misfit", "off", "remedy"),
    [
        (moved(2), "2.0 mm too far left", "move it 2.0 mm to the right"),
        (moved(-2), "2.0 mm too far right", "move it 2.0 mm to the left"),
        (moved(0.2, 1.25), "1.2 mm too high", "move it 1.2 mm down"),
        (moved(0.3, -4), "0.3 mm too far left and 4.0 mm too low", "move it 0.3 mm to the right and 4.0 mm up"),
        (moved(turn_deg=1.5), "turned 1.5° anticlockwise", "turn it 1.5° clockwise about the middle of the cloth"),
        (
            moved(0, 3, -0.2),
            "3.0 mm too high and turned 0.2° clockwise",
            "turn it 0.2° anticlockwise about the middle of the cloth, then move it 3.0 mm down",
        ),
        (moved(0.29, -0.29, 0.19), "slightly out of place", "move it a little"),
    ],
)
def test_how_it_is_off_and_how_it_must_move(misfit, off, remedy):
    assert str(listed(module._off(misfit))) == off
    assert str(module._move(misfit)) == remedy


def test_masks_are_called_by_name_and_first_step_each_once():
    other, third = (MaskUse(picture=name, marks="dark") for name in ("petal.png", "stem.png"))
    scene = SimpleNamespace(step_of={USE: 1, other: 3, third: 4}.__getitem__)
    several = tuple(Misfit(use=use, move=Move(right_mm=1, down_mm=0, turn_deg=0)) for use in (other, third, other))
    message, _ = module._one_of_two(scene, outvoted(instead=several))
    assert message.values["here"] == "“leaf” (step 1)"
    assert message.values["there"] == ["“petal” (step 3)", "“stem” (step 4)"]


@pytest.mark.parametrize(
    ("right", "turn", "severity"), [(4.9, 0, "warn"), (5, 0, "serious"), (0, 5.8, "serious"), (0, 5.6, "warn")]
)
def test_it_is_serious_by_how_far_the_edge_moves(monkeypatch, right, turn, severity):
    """On a cloth of 100 mm, a turn by 5.73 degrees moves its edge by 5 mm."""
    scene = SimpleNamespace(step_of=lambda use: 2, design=SimpleNamespace(cloth=SimpleNamespace(width_mm=100)))
    found = Misfit(
        use=USE, move=Move(right_mm=right, down_mm=0, turn_deg=turn), against=(MaskUse(picture="b.png", marks="dark"),)
    )
    monkeypatch.setattr(module, "misfits", lambda scene, settings: [found])
    monkeypatch.setattr(module, "_busiest", lambda scene, use: None)
    (told,) = module.fit(scene, SimpleNamespace(serious_mm=5))
    assert (told.code, told.step, told.severity) == ("fit", 2, severity)
    assert np.sign(right) == (0 if " mm " not in str(told.message) else 1)


@pytest.mark.parametrize(
    ("box", "cell"),
    [
        # squares of 5 by 5 pixels, 2 mm each: of a cloth of 60 pixels a twelfth
        (np.s_[11:14, 21:24], (4, 2)),
        (np.s_[1:4, 1:4], (0, 0)),
        (np.s_[36:39, 51:54], (10, 7)),
        (np.s_[26:29, 1:4], (0, 5)),
    ],
)
def test_the_square_where_a_mask_has_most_edge(box, cell):
    """A spot of 3 by 3 pixels in one square, a paler one elsewhere: ringed is the first."""
    rough = np.zeros((2, 40, 61), np.uint8)
    rough[1, 21:24, 31:34] = 90
    rough[1][box] = 255
    other = MaskUse(picture="other.png")
    scene = SimpleNamespace(
        rough=rough, uses=(other, USE), rough_factor=4, px_per_mm=2.0, at=lambda x, y, radius: (x, y, radius)
    )
    col, row = cell
    assert module._busiest(scene, USE) == ((col + 0.5) * 10, (row + 0.5) * 10, 5)


def test_edges_along_rows_and_columns_count_alike():
    """A picture of a few pixels has squares of one; most edge lies at a corner, where it steps right and down."""
    rough = np.zeros((1, 5, 6), np.uint8)
    rough[0, 1, 4:], rough[0, 3, :2] = 40, 30
    scene = SimpleNamespace(rough=rough, uses=(USE,), rough_factor=1, px_per_mm=1.0, at=lambda *place: place)
    assert module._busiest(scene, USE) == (1.5, 3.5, 0.5)  # 30 and 30; of the brighter one no corner lies within


def outvoted(**keys):
    return Misfit(use=USE, **({"move": Move(right_mm=3.0)} | keys))


def test_what_is_told_of_a_mask_that_the_others_outvote():
    petal, stem = (MaskUse(picture=name, marks="dark") for name in ("petal.png", "stem.png"))
    scene = SimpleNamespace(step_of=lambda use: 4)
    message, remedy = module._outvoted(scene, outvoted(against=(petal, stem)))
    off = "it is 3.0 mm too far left. Outlines and fills won't meet."
    assert str(message) == f"The mask “leaf” (step 4) doesn't line up with the others: {off}"
    assert str(remedy).startswith("Move it 3.0 mm to the right. The other masks line up with one another.")
    message, _ = module._outvoted(scene, outvoted(against=(petal,)))
    assert str(message) == f"The mask “leaf” (step 4) doesn't line up with “petal”: {off}"


def test_what_is_told_of_two_masks_that_do_not_fit():
    petal = MaskUse(picture="petal.png", marks="dark")
    scene = SimpleNamespace(step_of={USE: 2, petal: 1}.__getitem__)
    there = Misfit(use=petal, move=Move(right_mm=-3, down_mm=0, turn_deg=0))
    message, remedy = module._one_of_two(scene, outvoted(instead=(there, there)))
    assert str(message).startswith(
        "The masks “petal” (step 1) and “leaf” (step 2) don't line up: compared with “petal” (step 1), "
        "“leaf” (step 2) is 3.0 mm too far left. One of the two is off"
    )
    assert "correct “leaf” (step 2), move it 3.0 mm to the right; to correct “petal” (step 1), move it" in str(remedy)


def test_small_moves_are_told_from_a_third_of_a_millimetre_and_a_fifth_of_a_degree():
    assert [str(shift) for shift in module._shift(0.3, -0.3, "move")] == ["0.3 mm to the right", "0.3 mm up"]
    assert module._shift(0.29, 0, "move") == ()
    assert str(module._turn(0.2)) == "0.2° clockwise"
    assert str(module._turn(-0.2)) == "0.2° anticlockwise"
    assert module._turn(0.19) is None


@pytest.mark.parametrize("instead", [False, True])
def test_one_of_two_or_outvoted(monkeypatch, instead):
    petal = MaskUse(picture="petal.png", marks="dark")
    other = Misfit(use=petal, move=Move(right_mm=-3, down_mm=0, turn_deg=0))
    found = outvoted(against=(petal,), instead=(other,) if instead else ())
    scene = SimpleNamespace(step_of=lambda use: 2, design=SimpleNamespace(cloth=SimpleNamespace(width_mm=100)))
    monkeypatch.setattr(module, "misfits", lambda scene, settings: [found, found])
    monkeypatch.setattr(module, "_busiest", lambda scene, use: None)
    told = list(module.fit(scene, SimpleNamespace(serious_mm=5)))
    assert [one.message.key == "checks.fit.one_of_two" for one in told] == [instead] * 2
    assert all(one.message and str(one.remedy) for one in told)
