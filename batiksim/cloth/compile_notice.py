"""Who hears when a loop is compiled, which takes seconds and happens once on a machine. Costs nothing to import."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

_hearing: list[Callable[[], None]] = []


@contextmanager
def on_compiling(tell: Callable[[], None]) -> Iterator[None]:
    """Call `tell` each time that a loop is really compiled within the block, in whichever thread, not loaded."""
    _hearing.append(tell)
    try:
        yield
    finally:
        _hearing.remove(tell)


def compiling_begins() -> None:
    """Tell those who want to hear."""
    for tell in tuple(_hearing):
        tell()
