"""Latest request wins: of the frames that a page asks for in one place, only the newest is worth making."""

from threading import Lock

MOST_PLACES = 500


class Superseded(Exception):
    """A newer frame was asked for in the same place, or the design has changed since it was asked for."""


class LatestOnly:
    """The newest number asked for in each place of each page."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._numbers: dict[tuple[str, str], int] = {}

    def ask(self, page: str, place: str, number: int) -> None:
        """A frame is asked for."""
        with self._lock:
            while len(self._numbers) >= MOST_PLACES:
                self._numbers.pop(next(iter(self._numbers)))
            newest = self._numbers.pop((page, place), number)
            self._numbers[page, place] = max(newest, number)

    def check(self, page: str, place: str, number: int) -> None:
        """Raise Superseded when a newer one was asked for since."""
        with self._lock:
            if self._numbers.get((page, place), number) > number:
                raise Superseded
