"""Results as plain data by their fields, and what a field can say of its own."""

from __future__ import annotations

import datetime
import json
import math
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from batiksim.texts.catalogue import say
from batiksim.values import Paint
from batiksim.values.plain_data import LEFT_OUT, as_data, plain, plain_data

OUT = say("checks.wasted.leave_out")
OUT_SAYS = {"key": "checks.wasted.leave_out", "values": {}}


@dataclass(frozen=True, kw_only=True)
class Spot:
    x: float = field(default=1.23456, metadata=as_data(places=2))
    secret: str = field(default="s", metadata=LEFT_OUT)

    DATA = ("twice",)

    @property
    def twice(self) -> float:
        return 2 * self.x


@dataclass(frozen=True, kw_only=True)
class Holder:
    held: Any


@dataclass(frozen=True, kw_only=True)
class Turned:
    name: str = "of the outer"
    spot: Spot = field(default=Spot(x=0.5), metadata=as_data(spread=True))
    layers: Any = field(default=(("sun", 0.123456),), metadata=as_data("dyes", places=3, make=dict))
    x: int = 7


def test_a_field_says_how_it_wants_to_be_given():
    assert plain_data(Spot()) == {"x": 1.23, "twice": 2 * 1.23456}
    assert plain_data(Spot(), without=("x",)) == {"twice": 2 * 1.23456}
    assert plain_data(Turned()) == {"name": "of the outer", "x": 7, "twice": 1.0, "dyes": {"sun": 0.123}}
    assert plain_data(Turned(layers=None))["dyes"] is None


@pytest.mark.parametrize(
    ("held", "given"),
    [
        (None, None),
        (True, True),
        ("word", "word"),
        (math.inf, None),
        (math.nan, None),
        (np.float64(0.5), 0.5),
        (np.int32(3), 3),
        (np.bool_(True), True),
        (np.array([[1.0, math.inf]]), [[1.0, None]]),
        (Path("cloths/tide"), str(Path("cloths/tide"))),
        (datetime.date(2026, 3, 1), "2026-03-01"),
        ({"a": (Spot(x=1.0),)}, {"a": [{"x": 1.0, "twice": 2.0}]}),
        (Paint(pot="sun"), {"pot": "sun", "where": None, "spread": False, "reach_mm": None}),
    ],
)
def test_anything_that_is_held_is_given_as_json_can_hold_it(held, given):
    found = plain_data(Holder(held=held))
    assert found == {"held": given}
    assert json.loads(json.dumps(found)) == found
    assert type(found["held"]) is type(given)


def test_figures_are_rounded_wherever_they_lie_and_whole_numbers_stay():
    assert plain({"a": (1.2345, 2), "b": np.array([0.999])}, places=1) == {"a": [1.2, 2], "b": [1.0]}


def test_beside_a_sentence_stands_what_it_says():
    assert plain_data(Holder(held=OUT)) == {"held": "Leave this step out.", "held_says": OUT_SAYS}
    assert plain_data(Holder(held=(OUT,))) == {"held": ["Leave this step out."], "held_says": [OUT_SAYS]}
    assert plain_data(Holder(held=(OUT, "word"))) == {"held": ["Leave this step out.", "word"]}
    assert plain_data(Holder(held=())) == {"held": []}


def test_what_cannot_be_given_is_a_mistake():
    with pytest.raises(TypeError):
        plain_data(Holder(held=object()))
