"""Work counted, where a clock would say how busy the machine is; a clock only ends what hangs."""

from __future__ import annotations

import cProfile
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

HANG_S = 60.0  # nothing here takes a hundredth of it, however busy the machine


class HangError(Exception):
    """Something took far too long."""


@contextmanager
def no_hang() -> Iterator[None]:
    """End what the block does after HANG_S (where the system has such an alarm)."""
    if not hasattr(signal, "setitimer"):
        yield
        return

    def give_up(number: int, frame: FrameType | None) -> None:
        raise HangError

    before = signal.signal(signal.SIGALRM, give_up)
    signal.setitimer(signal.ITIMER_REAL, HANG_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


class Calls:
    """Calls made within the block, of Python's functions and of built-in ones. by_name : how often each was called."""

    def __enter__(self) -> Calls:
        self._profile = cProfile.Profile()
        self._profile.enable()
        return self

    def __exit__(self, *error: object) -> None:
        self._profile.disable()
        self.by_name = {str(entry.code): entry.callcount for entry in self._profile.getstats()}
        self.count = sum(self.by_name.values())
