"""The one exception family: every mistake a maker can make ends here.

A message says which file, which field, what was found there and what to do. Inner layers raise with what they
know; `files` and `jobs` add the file with `in_file`. Only the command line and the worktable print it.
"""

from __future__ import annotations

import contextlib
import difflib
from collections.abc import Iterable, Iterator
from typing import Self

__all__ = ["BatikError", "in_file", "nearest"]

_LONGEST = 250  # letters of a name that others are compared with: no file or dye is called anything longer


class BatikError(Exception):
    """Something in the maker's input that batiksim can't go on with.

    Parameters
    ----------
    problem : one short clause: what is wrong
    file, field : where it stands, as the maker would find it ("tide.toml", "step 2: dye")
    got : what was found there
    fix : what to do about it, as one clause
    """

    def __init__(
        self,
        problem: str,
        *,
        file: object | None = None,
        field: str | None = None,
        got: object | None = None,
        fix: str | None = None,
    ) -> None:
        self.problem = problem
        self.file = None if file is None else str(file)
        self.field = field
        self.got = got
        self.fix = fix
        super().__init__(str(self))

    def __str__(self) -> str:
        where = ": ".join(part for part in (self.file, self.field) if part)
        found = "" if self.got is None else f" (found {_shown(self.got)})"
        todo = "" if not self.fix else f"; {self.fix}"
        return f"{where}: {self.problem}{found}{todo}" if where else f"{self.problem}{found}{todo}"

    def in_file(self, file: object) -> Self:
        """The same error, placed in a file unless it already names one."""
        if self.file is not None:
            return self
        return type(self)(self.problem, file=file, field=self.field, got=self.got, fix=self.fix)

    def in_field(self, field: str) -> Self:
        """The same error, its field set behind an outer one ("step 2" and "wax" give "step 2: wax")."""
        inner = field if self.field is None else f"{field}: {self.field}"
        return type(self)(self.problem, file=self.file, field=inner, got=self.got, fix=self.fix)


@contextlib.contextmanager
def in_file(file: object) -> Iterator[None]:
    """Place the BatikErrors of a block in a file, unless they name one already."""
    try:
        yield
    except BatikError as error:
        raise error.in_file(file) from None


def _shown(got: object) -> str:
    text = repr(got[:100]) if isinstance(got, str) else _plain(got)
    return text if len(text) <= 80 else text[:77] + "..."


def _plain(got: object) -> str:
    """Anything as text, also what Python itself won't print: numbers of thousands of digits, lists nested deep.

    Numbers with a fraction go without an exponent where they can.
    """
    if isinstance(got, float):
        return f"{got:.12g}"
    try:
        return str(got)
    except (ValueError, RecursionError):
        return "something far too long"


def nearest(word: object, choices: Iterable[str], *, most: int = 6) -> str:
    """Advice naming the valid choice nearest to `word`, else all of them: "did you mean 'navy'?"."""
    known = sorted(choice for choice in set(choices) if len(choice) <= _LONGEST)
    if not known:
        return "there are none to choose from yet"
    close = difflib.get_close_matches(_plain(word)[:_LONGEST], known, n=1, cutoff=0.55)
    if close:
        return f"did you mean {close[0]!r}?"
    listed = ", ".join(repr(choice) for choice in known[:most])
    return f"use one of {listed}" + (" ..." if len(known) > most else "")
