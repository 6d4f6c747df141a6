"""How far long work has come, told to whoever watches."""

from collections.abc import Callable

from batiksim.texts.catalogue import Message

Progress = Callable[[int, int, str | Message], None]  # how far of how much, and what is being done


def silent(done: int, whole: int, what: str | Message) -> None:
    """Progress that nobody watches."""
