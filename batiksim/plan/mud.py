"""Mud: what clear dyes become when they swallow each other's light. One rule, for the chart and for the checks.

The rule is written in CIELAB (D65): a limit on chroma that depends on hue and lightness says where brown, olive and
grey begin. All figures are assumptions, set by eye so that what dyers call muddy falls inside ("pink over green goes
brown", common practice, no source) and what they call deep or soft (dark blue-green, wine red, a pale tint) stays out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike

__all__ = ["DEFAULT_RULE", "MudRule", "is_clear", "is_dull", "is_mud"]


@dataclass(frozen=True, kw_only=True)
class MudRule:
    """The figures of the rule; lightness L*, chroma C*, hue in degrees.

    dull_chroma : (hue, most chroma that is dull there), by rising hue from 0 to 360, straight lines between: browns
        and olives (hue 30 to 120) are dull at a chroma that would still be a fair green, blue or purple
    full_light : below this lightness the limit shrinks in proportion: a dark colour is dull only when nearly neutral
    brown_light, beige_light : above the first, warm colours turn from brown into ochre and beige, and at the second
        only what is dull at any hue still counts; that limit is `grey_chroma`
    black_light, white_light : darker results are black, paler ones nearly white, not mud
    clear_chroma, clear_light : a clear dye has at least these
    parent_share : a parent is dull itself when below this share of the limit: mossy greens still count as clear
    apart : hues of clear parents are at least so far apart; nearer ones deepen each other and never make mud
    tint_light : a paler parent with too little chroma to be clear is a tint and has no part in the mud
    loss : mud has at most this share of its clear parents' mean chroma
    """

    dull_chroma: tuple[tuple[float, float], ...] = (
        (0, 24),
        (20, 34),
        (45, 46),
        (60, 54),
        (95, 50),
        (110, 40),
        (130, 22),
        (150, 16),
        (270, 12),
        (330, 16),
        (345, 21),
        (360, 24),
    )
    full_light: float = 29.0
    brown_light: float = 56.0
    beige_light: float = 68.0
    grey_chroma: float = 12.0
    black_light: float = 12.0
    white_light: float = 88.0
    clear_chroma: float = 24.0
    clear_light: float = 25.0
    parent_share: float = 0.8
    apart: float = 40.0
    tint_light: float = 75.0
    loss: float = 0.85


DEFAULT_RULE = MudRule()


def is_mud(
    result_lab: ArrayLike,
    parent_labs: ArrayLike,
    *,
    rule: MudRule = DEFAULT_RULE,
) -> bool:
    """Whether an overdyed colour is mud: brown, olive or grey although the dyes that made it are clear.

    result_lab : (3,) CIELAB of the overdyed cloth
    parent_labs : (n, 3) CIELAB of each dye alone on the bare cloth, at the strength used
    A dull or dark parent explains a dull result, so that isn't mud; pale tints don't count as parents. At least two
    clear parents of differing hue are needed.
    """
    result = _triple(result_lab)
    parents = [lab for lab in _rows(parent_labs) if is_clear(lab, rule=rule) or lab[0] < rule.tint_light]
    if len(parents) < 2 or not all(is_clear(lab, rule=rule) for lab in parents):
        return False
    if max(_hues_apart(one, other) for one, other in combinations(parents, 2)) < rule.apart:
        return False
    mean = sum(_chroma(lab) for lab in parents) / len(parents)
    return is_dull(result, rule=rule) and _chroma(result) <= rule.loss * mean


def is_clear(lab: ArrayLike, *, rule: MudRule = DEFAULT_RULE) -> bool:
    """Whether a colour (3,) has a hue that is plain to see: neither dull, nor dark, nor a pale tint."""
    triple = _triple(lab)
    limit = rule.parent_share * _limit(triple, rule)
    return triple[0] >= rule.clear_light and _chroma(triple) >= max(rule.clear_chroma, limit)


def is_dull(lab: ArrayLike, *, rule: MudRule = DEFAULT_RULE) -> bool:
    """Whether a colour (3,) is brown, olive or grey, whatever made it. Black and white are not dull."""
    triple = _triple(lab)
    return rule.black_light <= triple[0] <= rule.white_light and _chroma(triple) < _limit(triple, rule)


def _limit(lab: tuple[float, float, float], rule: MudRule) -> float:
    """The chroma below which a colour of this lightness and hue is dull."""
    light, hue = lab[0], _hue(lab)
    at = next(place for place, (end, _) in enumerate(rule.dull_chroma[1:], start=1) if hue <= end)
    (low, first), (high, last) = rule.dull_chroma[at - 1], rule.dull_chroma[at]
    limit = first + (last - first) * (hue - low) / (high - low)
    limit *= min(1.0, light / rule.full_light)
    paled = min(1.0, max(0.0, (light - rule.brown_light) / (rule.beige_light - rule.brown_light)))
    return limit - paled * max(0.0, limit - rule.grey_chroma)


def _chroma(lab: tuple[float, float, float]) -> float:
    return math.hypot(lab[1], lab[2])


def _hue(lab: tuple[float, float, float]) -> float:
    return math.degrees(math.atan2(lab[2], lab[1])) % 360


def _hues_apart(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    turn = abs(_hue(one) - _hue(other))
    return min(turn, 360 - turn)


def _rows(labs: ArrayLike) -> list[tuple[float, float, float]]:
    table = np.asarray(labs, dtype=np.float64)
    if table.ndim != 2 or table.shape[1] != 3:
        raise ValueError(f"parent_labs needs shape (n, 3), got {table.shape}")
    return [(light, a, b) for light, a, b in table.tolist()]


def _triple(lab: ArrayLike) -> tuple[float, float, float]:
    light, a, b = np.asarray(lab, dtype=np.float64).tolist()
    return light, a, b
