"""How a mask that lies beside its place is put into words: how it lies is the opposite of how it must move."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from batiksim.checks import misfit as module
from batiksim.checks.scene.outlier_masks import Misfit
from batiksim.values import MaskUse

USE = MaskUse(picture="leaf.png", marks="dark")


def moved(right_mm=0.0, down_mm=0.0, turn_deg=0.0):
    return Misfit(use=USE, right_mm=right_mm, down_mm=down_mm, turn_deg=turn_deg)


@pytest.mark.parametrize(
    ("misfit", "lies", "remedy", "way"),
    [
        (moved(2), "lies 2.0 mm too far left", "Move it 2.0 mm to the right", "it 2.0 mm to the right"),
        (moved(-2), "lies 2.0 mm too far right", "Move it 2.0 mm to the left", "it 2.0 mm to the left"),
        (moved(0.2, 1.25), "lies 1.2 mm too high", "Move it 1.2 mm down", "it 1.2 mm down"),
        (
            moved(0.3, -4),
            "lies 0.3 mm too far left and 4.0 mm too low",
            "Move it 0.3 mm to the right and 4.0 mm up",
            None,
        ),
        (
            moved(turn_deg=1.5),
            "is turned 1.5 degrees anticlockwise",
            "Turn it 1.5 degrees clockwise about the middle of the cloth",
            "it turned 1.5 degrees clockwise about the middle of the cloth",
        ),
        (
            moved(0, 3, -0.2),
            "lies 3.0 mm too high and is turned 0.2 degrees clockwise",
            "Turn it 0.2 degrees anticlockwise about the middle of the cloth, then move it 3.0 mm down",
            "it turned 0.2 degrees anticlockwise about the middle of the cloth, then 3.0 mm down",
        ),
        (moved(0.29, -0.29, 0.19), "lies a little beside its place", "Move it a little", "it a little"),
    ],
)
def test_how_it_lies_and_how_it_must_move(misfit, lies, remedy, way):
    assert module._lies(misfit) == lies
    assert module._moved(misfit) == remedy
    assert way is None or module._way("it", misfit) == way


def test_masks_are_called_by_name_and_first_step_each_once():
    other = MaskUse(picture="petal.png", marks="dark")
    third = MaskUse(picture="stem.png", marks="dark")
    scene = SimpleNamespace(step_of={USE: 1, other: 3, third: 4}.__getitem__)
    several = [Misfit(use=use, right_mm=1, down_mm=0, turn_deg=0) for use in (USE, other, USE, third)]
    names = [f"“{use.called}” (step {step})" for use, step in ((USE, 1), (other, 3), (third, 4))]
    assert module._called(scene, several[:1]) == names[0]
    assert module._called(scene, several[:3]) == f"{names[0]} and {names[1]}"
    assert module._called(scene, several) == f"{names[0]}, {names[1]} and {names[2]}"


@pytest.mark.parametrize(
    ("right", "turn", "severity"), [(4.9, 0, "warn"), (5, 0, "serious"), (0, 5.8, "serious"), (0, 5.6, "warn")]
)
def test_it_is_serious_by_how_far_the_edge_moves(monkeypatch, right, turn, severity):
    """On a cloth of 100 mm, a turn by 5.73 degrees moves its edge by 5 mm."""
    scene = SimpleNamespace(step_of=lambda use: 2, design=SimpleNamespace(cloth=SimpleNamespace(width_mm=100)))
    found = Misfit(use=USE, right_mm=right, down_mm=0, turn_deg=turn, against=(MaskUse(picture="b.png", marks="dark"),))
    monkeypatch.setattr(module, "misfits", lambda scene, settings: [found])
    monkeypatch.setattr(module, "_busiest", lambda scene, use: None)
    (told,) = module.fit(scene, SimpleNamespace(serious_mm=5))
    assert (told.code, told.step, told.severity) == ("fit", 2, severity)
    assert np.sign(right) == (0 if "mm" not in told.message else 1)
