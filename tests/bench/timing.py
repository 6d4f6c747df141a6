"""Fair timing: the work and its yardstick in turn, and the median of their ratios."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Row:
    """One line of the table: what is measured, what was asked, and the function that measures it."""

    what: str
    reach: str
    measure: Callable[[], str]


def seconds(work: Callable[[], object]) -> float:
    """How long one call takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def ratio(work: Callable[[], object], yardstick: Callable[[], object], *, rounds: int = 5) -> float:
    """Median over rounds of work / yardstick, after one unmeasured call of each."""
    work()
    yardstick()
    return statistics.median(seconds(work) / seconds(yardstick) for _ in range(rounds))
