"""How a command can end."""

from enum import IntEnum

from batiksim.texts.catalogue import Message, say


class ExitCode(IntEnum):
    """What a command tells the shell at its end; each has its meaning in the catalogue."""

    DONE = 0
    SERIOUS = 1
    BAD_INPUT = 2
    STOPPED = 130

    @property
    def meaning(self) -> Message:
        """When a command ends so."""
        return say(f"cli.exit.{self.name.lower()}")
