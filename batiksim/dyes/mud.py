"""Mud: what clear dyes become when they swallow each other's light. One rule for chart, checks, orders and page.

The rule is written in CIELAB (D65): a limit on chroma that depends on hue and lightness says where brown, olive and
grey begin. All figures are assumptions, set by eye so that what dyers call muddy falls inside ("pink over green goes
brown", common practice, no source) and what they call deep or soft (dark blue-green or purple, wine red, a pale tint)
stays out. Of 7840 overlays of demo and random dyes, five in six that it calls mud are brown, olive or grey by their
ISCC-NBS names; of those in the next eighth of chroma it is one in three, so the limit lies no farther out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from batiksim.types import Bools, Floats

DULL_WORDS = ("brown", "olive", "grey")  # plain names of dull colours


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
    leeway : limits are so much wider for what is offered instead of mud: washes are uneven, so it keeps its distance
    pardon : CIEDE2000 from a colour that the design asks for in a place, within which that place is no mud
    least_share : of the cloth, from which mud is worth a word; anything smaller is an edge
    """

    dull_chroma: tuple[tuple[float, float], ...] = (
        (0, 26),
        (20, 37.5),
        (45, 46),
        (60, 54),
        (95, 50),
        (110, 40),
        (130, 22),
        (150, 16),
        (270, 12),
        (330, 16),
        (345, 21),
        (360, 26),
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
    leeway: float = 1.12
    pardon: float = 10.0
    least_share: float = 0.003

    @property
    def with_leeway(self) -> MudRule:
        """The rule for what is offered instead of mud. Parents count as clear as before."""
        wider = tuple((hue, chroma * self.leeway) for hue, chroma in self.dull_chroma)
        return replace(self, dull_chroma=wider, parent_share=self.parent_share / self.leeway, leeway=1.0)


DEFAULT_RULE = MudRule()
REMEDY_RULE = DEFAULT_RULE.with_leeway


def is_mud(result_lab: ArrayLike, parent_labs: ArrayLike, *, rule: MudRule = DEFAULT_RULE) -> bool:
    """Whether an overdyed colour is mud: brown, olive or grey although the dyes that made it are clear.

    result_lab : (3,) CIELAB of the overdyed cloth
    parent_labs : (n, 3) CIELAB of each dye alone on the bare cloth, at the strength used
    A dull or dark parent explains a dull result, so that isn't mud; pale tints don't count as parents. At least two
    clear parents of differing hue are needed.
    """
    result, parents = np.asarray(result_lab, dtype=np.float64), np.asarray(parent_labs, dtype=np.float64)
    return bool(mud_flags(result[None], parents[None], rule=rule)[0])


def is_clear(lab: ArrayLike) -> bool:
    """Whether a colour (3,) has a hue that is plain to see: neither dull, nor dark, nor a pale tint."""
    return bool(clear_flags(np.asarray(lab, dtype=np.float64)))


def is_dull(lab: ArrayLike, *, rule: MudRule = DEFAULT_RULE) -> bool:
    """Whether a colour (3,) is brown, olive or grey, whatever made it. Black and white are not dull."""
    return bool(dull_flags(np.asarray(lab, dtype=np.float64), rule=rule))


def mud_flags(results: Floats, parents: Floats, *, rule: MudRule = DEFAULT_RULE) -> Bools:
    """`is_mud` for many colours at once: results (n, 3), each of its own parents (n, k, 3); returns (n,)."""
    clear = clear_flags(parents, rule=rule)
    counts = clear | (parents[..., 0] < rule.tint_light)
    worth = (counts.sum(axis=-1) >= 2) & ~(counts & ~clear).any(axis=-1) & dull_flags(results, rule=rule)
    mud = np.zeros(len(results), np.bool_)
    if not worth.any():
        return mud
    labs, clear = parents[worth], clear[worth]
    apart = np.where(clear[:, :, None] & clear[:, None, :], _turns(labs), 0.0).max(axis=(1, 2))
    mean = (_chroma(labs) * clear).sum(axis=-1) / clear.sum(axis=-1)
    mud[worth] = (apart >= rule.apart) & (_chroma(results[worth]) <= rule.loss * mean)
    return mud


def first_mud(results: Floats, parents: Floats, *, rule: MudRule = DEFAULT_RULE) -> int | None:
    """With which of some dyeings in a row a colour first is mud; None if it never is.

    results : (n, 3) just after each dyeing; parents : (n, 3) each dyeing alone on bare cloth
    """
    clear = clear_flags(parents, rule=rule)
    explained = np.logical_or.accumulate(~clear & (parents[:, 0] < rule.tint_light))  # by a dull or dark parent
    far = clear[:, None] & clear & (_turns(parents) >= rule.apart)
    apart = np.logical_or.accumulate(np.tril(far).any(axis=1))
    mean = np.cumsum(_chroma(parents) * clear) / np.maximum(np.cumsum(clear), 1)
    mud = dull_flags(results, rule=rule) & ~explained & apart & (_chroma(results) <= rule.loss * mean)
    return int(np.argmax(mud)) if mud.any() else None


def clear_flags(labs: Floats, *, rule: MudRule = DEFAULT_RULE) -> Bools:
    """`is_clear` for many colours (..., 3) at once."""
    least = np.maximum(rule.clear_chroma, rule.parent_share * _limits(labs, rule))
    return np.asarray((labs[..., 0] >= rule.clear_light) & (_chroma(labs) >= least))


def dull_flags(labs: Floats, *, rule: MudRule = DEFAULT_RULE) -> Bools:
    """`is_dull` for many colours (..., 3) at once."""
    light = labs[..., 0]
    return np.asarray((light >= rule.black_light) & (light <= rule.white_light) & (_chroma(labs) < _limits(labs, rule)))


def _limits(labs: Floats, rule: MudRule) -> Floats:
    """The chroma below which colours (..., 3) of their lightness and hue are dull."""
    light, ends, chromas = labs[..., 0], *np.array(rule.dull_chroma).T
    limit = np.interp(_hues(labs) % 360, ends, chromas) * np.clip(light / rule.full_light, None, 1.0)
    paled = np.clip((light - rule.brown_light) / (rule.beige_light - rule.brown_light), 0.0, 1.0)
    return np.asarray(limit - paled * np.maximum(0.0, limit - rule.grey_chroma))


def _chroma(labs: Floats) -> Floats:
    return np.asarray(np.hypot(labs[..., 1], labs[..., 2]))


def _hues(labs: Floats) -> Floats:
    """Degrees."""
    return np.asarray(np.degrees(np.arctan2(labs[..., 2], labs[..., 1])))


def _turns(labs: Floats) -> Floats:
    """Degrees between the hues of each two of some colours (..., k, 3): (..., k, k)."""
    hues = _hues(labs)
    turn = np.abs(hues[..., :, None] - hues[..., None, :])
    return np.asarray(np.minimum(turn, 360 - turn))
