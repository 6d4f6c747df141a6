"""The one exception family: every mistake a maker can make ends here.

A message says which file, which field, what was found there and what to do. Inner layers raise with what they
know; `files` and `jobs` add the file with `in_file`. Only the command line and the worktable print it.
"""

import contextlib
import difflib
from collections.abc import Callable, Collection, Iterable, Iterator
from typing import Any, Self

from batiksim.texts.catalogue import Message, say, texts

_LONGEST = 250  # letters of a name that others are compared with: no file or dye is called anything longer


class BatikError(ValueError):
    """Something in the maker's input that batiksim can't go on with.

    `str` gives all of it as one sentence, in the language that is spoken by then.

    Parameters
    ----------
    problem : str or Message
        Key of one short clause in the catalogue: what is wrong. A clause that has {got} in it shows itself what was
        found; under any other, "(found ...)" is added.
    file : object, optional
        The file that it stands in.
    field : str or Message, optional
        Where it stands, as the maker would find it: "step 2: dye", or the name of an argument.
    got : object, optional
        What was found there.
    fix : str or Message, optional
        What to do about it, as one clause; the catalogue's text under `problem` + ".fix" where left out.
    **parts : object
        What is put into problem and fix.

    Examples
    --------
    >>> from batiksim import BatikError, Cloth
    >>> try:
    ...     Cloth(width_mm=5)
    ... except BatikError as error:
    ...     print(error)
    ...     print(error.field, error.got)
    width_mm: out of range (found 5); use a number from 10 to 20000
    width_mm 5
    """

    def __init__(
        self,
        problem: str | Message,
        *,
        file: object | None = None,
        field: str | Message | None = None,
        got: object | None = None,
        fix: str | Message | None = None,
        **parts: Any,
    ) -> None:
        super().__init__(problem)
        wanted = got is not None or (isinstance(problem, str) and texts().shows(problem, "got"))
        found = {"got": _shown(got)} if wanted else {}
        self.problem = say(problem, **found, **parts) if isinstance(problem, str) else problem
        if fix is None and texts().has(f"{self.problem.key}.fix"):
            fix = f"{self.problem.key}.fix"
        self.fix = say(fix, **found, **parts) if isinstance(fix, str) else fix
        self.file = None if file is None else str(file)
        self.fields: tuple[str | Message, ...] = () if field is None else (field,)
        self.got = got

    def __reduce__(self) -> tuple[Any, ...]:
        plain = self.got is None or isinstance(self.got, str | int | float | Message)
        got = self.got if plain else say("phrase.listed", words=(_shown(self.got),))  # for not everything is pickled
        return type(self), (self.problem,), {**vars(self), "got": got}

    @property
    def field(self) -> str | None:
        """The field, from the outermost inwards: "step 2: dye"."""
        return ": ".join(str(field) for field in self.fields) or None

    @property
    def clause(self) -> Message:
        """What is wrong and what was found, without place and advice."""
        if self.got is None or texts().shows(self.problem.key, "got"):
            return self.problem
        return say("error.found", problem=self.problem, got=_shown(self.got))

    def __str__(self) -> str:
        sentence = self.clause
        if self.fix:
            sentence = say("error.todo", problem=sentence, fix=self.fix)
        where = ": ".join(part for part in (self.file, self.field) if part)
        return str(say("error.where", where=where, problem=sentence) if where else sentence)

    def in_file(self, file: object) -> Self:
        """The same error, placed in a file unless it already names one."""
        return self if self.file is not None else self._placed(str(file), self.fields)

    def at_argument(self, name: str) -> Self:
        """The same error as one of a caller's argument, wherever it was found."""
        return self._placed(None, (name,))

    def spelt(self, spelled: Callable[[str], str | Message]) -> Self:
        """The same error, its field as whoever gave the argument knows it ("--width" for `width_px`)."""
        fields = self.fields
        if self.file is None and fields and isinstance(fields[0], str):
            fields = (spelled(fields[0]), *fields[1:])
        return self._placed(self.file, fields)

    def in_field(self, field: str | Message) -> Self:
        """The same error, its field set behind an outer one ("step 2" and "wax" give "step 2: wax")."""
        return self._placed(self.file, (field, *self.fields))

    def advised(self, fix: Message | None) -> Self:
        """The same error with other advice, or with none."""
        error = self._placed(self.file, self.fields)
        error.fix = fix
        return error

    def _placed(self, file: str | None, fields: tuple[str | Message, ...]) -> Self:
        error = type(self)(self.problem, file=file, got=self.got)
        error.fix, error.fields = self.fix, fields
        return error


@contextlib.contextmanager
def in_file(file: object, *, but: Collection[str | None] = ()) -> Iterator[None]:
    """Place the BatikErrors of a block in a file, unless they name one already.

    but : fields that are arguments of the caller, and stand in no file
    """
    try:
        yield
    except BatikError as error:
        raise (error if error.field in but else error.in_file(file)) from None


@contextlib.contextmanager
def at_argument(name: str) -> Iterator[None]:
    """Tell the BatikErrors of a block as those of a caller's argument."""
    try:
        yield
    except BatikError as error:
        raise error.at_argument(name) from None


def _shown(got: object) -> str:
    if isinstance(got, Message):
        return str(got)
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
        return str(say("error.too_long"))


def nearest(word: object, choices: Iterable[str], *, most: int = 6) -> Message:
    """Advice naming the valid choice nearest to `word`, else all of them: "did you mean 'navy'?"."""
    known = sorted(choice for choice in set(choices) if len(choice) <= _LONGEST)
    if not known:
        return say("error.no_choices")
    close = difflib.get_close_matches(_plain(word)[:_LONGEST], known, n=1, cutoff=0.55)
    if close:
        return say("error.did_you_mean", choice=repr(close[0]))
    more = "_these_and_more" if len(known) > most else ""
    return say(f"error.use_one_of{more}", choices=", ".join(repr(choice) for choice in known[:most]))
