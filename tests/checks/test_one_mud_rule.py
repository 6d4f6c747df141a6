"""Mud is decided in one place: a chart, a check, an order and a spot never say two things of one overlay."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest

from batiksim import checks
from batiksim.cloth.dyes_on_cloth import ClothDyes, dyes_on_cloth
from batiksim.dyes.overdye import overdye
from batiksim.files.toml.dyebooks import read_book
from batiksim.jobs.spot import levels_at, spot_data
from batiksim.ordering import Question, rank_orders
from batiksim.ordering.reasons import reasons
from batiksim.values import Cloth, Design, Dye, DyeBath, Paint, Pot

MASKS = np.zeros((0, 8, 10), np.uint8)


def _shelf(dyes: tuple[Dye, ...], pots: tuple[Pot, ...]) -> Design:
    return Design(title="Shelf", cloth=Cloth(width_mm=100.0), dyes=dyes, pots=pots)


def _answers(shelf: Design, dyes: ClothDyes, first: str, second: str) -> dict[str, bool]:
    """Whether the second pot over the first goes muddy, as check, order and spot have it."""
    steps = tuple(DyeBath(paints=(Paint(pot=name),)) for name in (first, second))
    design = replace(shelf, steps=steps)
    ranked = rank_orders(design, dyes, MASKS, Question(), wanted=MASKS)
    story = spot_data(design, dyes, levels_at(MASKS, 0.5, 0.5), step=1)
    return {
        "check": bool(checks.check(checks.Scene(design=design, dyes=dyes, masks=MASKS), only=("mud",))),
        "order": any(".mud" in reason.key for reason in reasons(ranked, ranked.planned)),
        "spot": next(told["muddy"] for told in story["next"] if told["pot"] == second),
    }


def _parted(shelf: Design, names: tuple[str, ...]) -> tuple[list[str], int]:
    """Overlays of which the four say different things, and how many go muddy in the chart."""
    dyes = dyes_on_cloth(shelf)
    chart = overdye(dyes, [shelf.pot(name) for name in names], title="")
    place = {name: at for at, name in enumerate(chart.dyes)}
    parted, muddy = [], 0
    for first, second in permutations(names, 2):
        charted = chart.cells[place[first]][place[second]].mud
        muddy += charted
        answers = _answers(shelf, dyes, first, second)
        if set(answers.values()) != {charted}:
            parted.append(f"{second} over {first}: chart {charted}, {answers}")
    return parted, muddy


def test_all_readers_agree_on_the_demo_book():
    dyes = read_book("demo").dyes
    parted, muddy = _parted(_shelf(dyes, ()), tuple(dye.name for dye in dyes))
    assert not parted
    assert 20 < muddy < 60


@pytest.mark.full
@pytest.mark.parametrize("seed", range(3))
def test_all_readers_agree_on_random_dyes_and_pots(seed):
    random = np.random.default_rng(seed)
    colours = random.integers((10, 10, 10), (240, 225, 200), (5, 3))
    dyes = tuple(Dye(name=f"dye {n}", colour="#" + bytes(rgb.tolist()).hex()) for n, rgb in enumerate(colours))
    pots = tuple(
        Pot(
            name=f"pot {n}",
            parts={dye.name: int(random.integers(1, 6)) for dye in random.choice(np.array(dyes), 2, replace=False)},
            strength=round(float(random.uniform(0.2, 2.0)), 2),
        )
        for n in range(4)
    )
    parted, _ = _parted(_shelf(dyes, pots), tuple(pot.name for pot in (*dyes, *pots)))
    assert not parted
