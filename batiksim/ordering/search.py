"""The best orders that truly differ: by trying every one where that fits, else by climbing from many starts.

Every order gets a quick sum first, which never exceeds its whole one. Whole sums are then taken in order of the quick
ones, until no order left could beat those that are kept: the answer is that of trying all.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.ordering.course import Layout
from batiksim.ordering.score import Picks, Scorer
from batiksim.ordering.shades import Choices, Pattern, ShadeLookup
from batiksim.texts.catalogue import say
from batiksim.texts.progress import Progress
from batiksim.types import Bools, Floats, Ints

How = Literal["every", "search"]

MOST_WHOLE = 20_000  # orders whose whole sum is taken, the best by their quick sums
FIRST_WHOLE = 512
# Two finished cloths differ when they are so far apart on average over the cloth and in at least one area of some size,
# CIEDE2000. Assumptions: below the first a glance takes them for one plan, below the second nothing stands out.
MEAN_APART, ONE_APART, LEAST_AREA = 3.0, 12.0, 0.02


@dataclass(frozen=True, eq=False, kw_only=True)
class OrderCandidate:
    """One order.

    choice : the pot, by number, of each slot; picks : (areas,) where masks are re-derived
    points : less is better; parts : what they are for; labs : (areas, 3) of the finished cloth
    """

    layout: Layout
    choice: tuple[int, ...]
    picks: tuple[int, ...] | None
    points: float
    parts: dict[str, float]
    labs: Floats


def candidates(scorer: Scorer, layout: Layout, choices: Choices, picks: Picks | None) -> list[OrderCandidate]:
    """Orders of one layout in full. picks : as `Scorer.quick` found them."""
    whole = scorer.whole(layout, choices, picks)
    return [
        OrderCandidate(
            layout=layout,
            choice=tuple(choice.tolist()),
            picks=None if picks is None else tuple(picks[n].tolist()),
            points=float(whole.points[n]),
            parts={name: float(part[n]) for name, part in whole.parts.items()},
            labs=whole.labs[n],
        )
        for n, choice in enumerate(choices)
    ]


@dataclass(frozen=True, eq=False, kw_only=True)
class Search:
    """What a search gave.

    found : the best that differ, the best first
    how : whether every order was tried, or only some by a search; tried, of : how many of how many
    points : of every order, the fewest first, where all were looked at in full
    """

    found: tuple[OrderCandidate, ...]
    how: How
    tried: int
    of: int
    points: Floats | None

    def better(self, than: float) -> int | None:
        """How many have fewer points, where that is known."""
        return None if self.points is None else int(np.searchsorted(self.points, than - 1e-9))


class _Pool:
    """Orders with their quick sums, and the whole sums of the best."""

    def __init__(self, scorer: Scorer) -> None:
        self.scorer = scorer
        self.groups: list[tuple[Layout, Choices, Picks | None]] = []
        self.points: list[Floats] = []

    def add(self, layout: Layout, choices: Choices, known: dict[Pattern, ShadeLookup]) -> None:
        points, picks = self.scorer.quick(layout, choices, known)
        self.groups.append((layout, choices, picks))
        self.points.append(points)

    def whole(self, places: NDArray[np.intp]) -> list[OrderCandidate]:
        """The orders at these places (of all that were added) in full."""
        ends = np.cumsum([len(points) for points in self.points])
        group = np.searchsorted(ends, places, side="right")
        found: dict[int, OrderCandidate] = {}
        for at in np.unique(group).tolist():
            mine = np.flatnonzero(group == at)
            rows = places[mine] - (ends[at] - len(self.points[at]))
            layout, choices, picks = self.groups[at]
            some = candidates(self.scorer, layout, choices[rows], None if picks is None else picks[rows])
            found.update(zip(mine.tolist(), some, strict=True))
        return [found[place] for place in range(len(places))]


def try_every(scorer: Scorer, choices: Choices, *, best: int, progress: Progress) -> Search:
    """Try every choice in every layout. choices : (orders, slots), pots by number."""
    pool = _Pool(scorer)
    known: dict[Pattern, ShadeLookup] = {}
    layouts = scorer.course.layouts
    for number, layout in enumerate(layouts):
        progress(number, len(layouts), say("orders.progress.trying"))
        pool.add(layout, choices, known)
    known.clear()
    quick = np.concatenate(pool.points)
    found, looked = _best_differing(pool, quick, best=best)
    whole = np.sort([one.points for one in looked]) if len(looked) == len(quick) else None
    return Search(found=found, how="every", tried=len(quick), of=len(quick), points=whole)


def _best_differing(
    pool: _Pool, quick: Floats, *, best: int
) -> tuple[tuple[OrderCandidate, ...], list[OrderCandidate]]:
    """The best that differ, and all that were looked at in full."""
    order = np.argsort(quick, kind="stable")[:MOST_WHOLE]
    everything = len(quick) <= MOST_WHOLE
    looked: list[OrderCandidate] = []
    kept: tuple[OrderCandidate, ...] = ()
    first, size = 0, MOST_WHOLE if everything and len(quick) <= 4 * FIRST_WHOLE else FIRST_WHOLE
    while first < len(order):
        looked += pool.whole(order[first : first + size])
        first, size = first + size, 2 * size
        # an order not looked at yet has at least the points of its quick sum
        bound = quick[order[first]] if first < len(order) else np.inf
        settled = [one for one in looked if one.points <= bound]
        kept = differ(settled, pool.scorer.areas.shares, best=best)
        if len(kept) >= best:
            break
    return kept, looked


def differ(found: Sequence[OrderCandidate], shares: Floats, *, best: int) -> tuple[OrderCandidate, ...]:
    """The best orders, each clearly different on the finished cloth from every better one. At most `best` of them."""
    # between equals the design's own layout and dealing comes first; the last digits are noise
    ranked = sorted(found, key=lambda one: (round(one.points, 9), one.layout, one.choice))
    labs = np.stack([one.labs for one in ranked]) if ranked else np.zeros((0, len(shares), 3))
    kept: list[int] = []
    block = 1024
    for start in range(0, len(ranked), block):
        some = labs[start : start + block]
        left = np.ones(len(some), np.bool_)
        for place in kept:
            left &= _apart(some, labs[place], shares)
        while left.any():
            at = int(np.argmax(left))
            kept.append(start + at)
            if len(kept) >= best:
                return tuple(ranked[place] for place in kept)
            left[: at + 1] = False
            left[at + 1 :] &= _apart(some[at + 1 :], some[at], shares)
    return tuple(ranked[place] for place in kept)


def _apart(labs: Floats, other: Floats, shares: Floats) -> Bools:
    """Which cloths (n, areas, 3) differ from another (areas, 3)."""
    off = delta_e_2000(labs, other[None])
    large = off[:, shares >= min(LEAST_AREA, shares.max())]
    return np.asarray((off @ shares >= MEAN_APART) & (large.max(axis=1) >= ONE_APART))


# Where there are too many to try

STARTS = 48
MOST_ROUNDS = 40


def climb(
    scorer: Scorer,
    starts: Callable[[np.random.Generator, int], Choices],
    allowed: Callable[[Choices], Bools],
    *,
    pots: int,
    of: int,
    best: int,
    progress: Progress,
) -> Search:
    """Climb from many random orders to ones that no single change betters.

    starts : so many random orders; allowed : which of some orders count
    pots : how many there are to choose from, 0 where slots may only trade theirs; of : how many orders there are in all
    A change gives one slot another pot, lets two slots trade, or moves the dyeings to another layout.
    """
    rng = np.random.default_rng(0)
    sums = _Sums(scorer)
    layouts = len(scorer.course.layouts)
    at = np.column_stack([rng.integers(0, layouts, STARTS), starts(rng, STARTS)])
    points = sums.of(at)
    for climbed in range(MOST_ROUNDS):
        progress(climbed, MOST_ROUNDS, say("orders.progress.trying"))
        near, owner = _neighbours(at, layouts, pots)
        good = allowed(near[:, 1:])
        near, owner = near[good], owner[good]
        around = sums.of(near)
        moved = False
        for start in range(STARTS):
            mine = np.flatnonzero(owner == start)
            if len(mine) and around[mine].min() < points[start] - 1e-9:
                top = mine[around[mine].argmin()]
                at[start], points[start], moved = near[top], around[top], True
        if not moved:
            break
    whole = np.concatenate(sums.pool.points)
    found, _ = _best_differing(sums.pool, whole, best=best)
    return Search(found=found, how="search", tried=len(whole), of=of, points=None)


class _Sums:
    """Whole sums of orders (layout first, then pots), each taken once."""

    def __init__(self, scorer: Scorer) -> None:
        self.pool = _Pool(scorer)
        self.scorer = scorer
        self.known: dict[bytes, float] = {}

    def of(self, rows: Choices) -> Floats:
        keys = [row.tobytes() for row in rows]
        fresh = {key: place for place, key in enumerate(keys) if key not in self.known}
        new = rows[list(fresh.values())]
        for number in np.unique(new[:, 0]).tolist():
            mine = new[new[:, 0] == number]
            layout, choices = self.scorer.course.layouts[number], np.ascontiguousarray(mine[:, 1:])
            self.pool.add(layout, choices, {})
            whole = self.scorer.whole(layout, choices, self.pool.groups[-1][2]).points
            self.pool.points[-1] = whole
            self.known |= dict(zip((row.tobytes() for row in mine), whole.tolist(), strict=True))
        return np.array([self.known[key] for key in keys])


def _neighbours(at: Choices, layouts: int, pots: int) -> tuple[Choices, Ints]:
    """Every order one change away, with the start it belongs to. at : (starts, 1 + slots), the layout first."""

    def with_columns(columns: int | list[int], values: int | Choices) -> Choices:
        changed = at.copy()
        changed[:, columns] = values
        return changed

    near, columns = [], at.shape[1]
    for slot in range(1, columns):
        near += [with_columns(slot, pot) for pot in range(pots)]
        near += [with_columns([slot, other], at[:, [other, slot]]) for other in range(slot + 1, columns)]
    near += [with_columns(0, layout) for layout in range(layouts) if layouts > 1]
    return np.concatenate(near), np.tile(np.arange(len(at)), len(near))
