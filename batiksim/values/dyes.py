"""Dyes, and the book that keeps them."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any, ClassVar, Literal, Protocol, Self, TypeGuard

from batiksim.errors import BatikError, nearest
from batiksim.values.cloth import Undyed
from batiksim.values.documented import documented
from batiksim.values.rules import (
    Date,
    Entries,
    Pairs,
    choice,
    colour,
    keys_found,
    listed,
    number,
    placed,
    real,
    setting,
    text,
)
from batiksim.values.settings import Value, table, tables, type_name
from batiksim.values.showing import ShownInNotebooks, short_repr

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from batiksim.types import StrPath

CALIBRATED = "calibrated from"  # so begins the provenance of a dye that a calibration has written

BuildUpLaw = Literal["linear", "saturating", "power"]
BUILD_UPS: tuple[BuildUpLaw, ...] = ("linear", "saturating", "power")
Samples = tuple[tuple[float, float], ...]


LEAST_TO_NM, LEAST_FROM_NM, LEAST_WAVELENGTHS = 680, 420, 4
MOST_REFLECTANCE = 1.05
"""Assumption: a white calibrated a little off may read slightly above 1; anything more is not reflectance."""


def check_spectrum(nm: Sequence[float], values: Sequence[float]) -> None:
    """Raise BatikError for a spectrum that can't be brought to the grid of bands: too short, unsorted and the like."""
    if len(nm) != len(values):
        raise BatikError("values.error.unlike_lengths", wavelengths=len(nm), values=len(values))
    if len(nm) < LEAST_WAVELENGTHS:
        raise BatikError("colour.error.few_wavelengths", number=len(nm))
    if not all(map(math.isfinite, (*nm, *values))):
        raise BatikError("colour.error.spectrum_not_numbers")
    if any(right <= left for left, right in pairwise(nm)):
        raise BatikError("colour.error.wavelengths_unsorted")
    if nm[0] > LEAST_FROM_NM or nm[-1] < LEAST_TO_NM:
        raise BatikError("colour.error.spectrum_short", first=nm[0], last=nm[-1])


def reflectance_samples(samples: Samples) -> Samples:
    """Samples of which none is above 1; of none, none. Raises BatikError for what is no measured reflectance."""
    if not samples:
        return ()
    nm, values = zip(*samples, strict=True)
    with placed("reflectance"):
        check_spectrum(nm, values)
    off = [value for value in values if not 0 <= value <= MOST_REFLECTANCE]
    if off:
        percent = sum(value > 1 for value in values) > len(values) / 2
        fix = "values.error.not_a_reflectance.percent" if percent else None
        raise BatikError("values.error.not_a_reflectance", field="reflectance", got=max(off, key=abs), fix=fix)
    return tuple((nm, min(value, 1.0)) for nm, value in samples)


class Spectrum(Protocol):
    """A spectrum as other libraries hold it, such as colour-science's `SpectralDistribution`."""

    @property
    def wavelengths(self) -> ArrayLike:
        """In nm, (n,)."""

    @property
    def values(self) -> ArrayLike:
        """At each wavelength, (n,)."""


def is_spectrum(given: Any) -> TypeGuard[Spectrum]:
    """Whether something is a spectrum; a mapping or a table, whose `values` are asked for, is none."""
    return hasattr(given, "wavelengths") and hasattr(given, "values") and not callable(given.values)


@documented
@dataclass(frozen=True, kw_only=True)
class BuildUp(Value):
    """How the load that fibre takes grows with the strength it is offered; a strength of 1 always gives a load of 1.

    Notes
    -----
    With strength s, the load is s ("linear"), (1 - exp(-bend s)) / (1 - exp(-bend)) ("saturating") or s ** bend
    ("power").

    Examples
    --------
    >>> from batiksim import BuildUp
    >>> BuildUp(law="power", bend=0.5).load(0.25)
    0.5
    """

    KIND = "build_up"

    law: BuildUpLaw = field(
        default="linear",
        metadata=choice(
            "linear: twice as strong, twice the load; saturating: each step up adds less; power: strength to the bend.",
            BUILD_UPS,
            "power",
            stated=True,
        ),
    )
    bend: float = field(default=1.0, metadata=number("How far it bends; not used by linear.", 0.8, 0, 10, above=True))

    @classmethod
    def together(cls, entries: Entries) -> None:
        if entries.get("law", "linear") != "linear" and entries["law"] in BUILD_UPS and "bend" not in entries:
            raise BatikError("values.error.no_bend", field="bend")

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        bent = {"properties": {"law": {"enum": [law for law in BUILD_UPS if law != "linear"]}}, "required": ["law"]}
        return {"if": bent, "then": {"required": ["bend"]}}

    def written(self) -> dict[str, Any]:
        """Both settings, also where one is at its default."""
        return {"law": self.law, "bend": self.bend}

    def load(self, strength: float) -> float:
        """The load at a strength, both in full strengths.

        Parameters
        ----------
        strength : float
            What fibre is offered, 0 or more; 1 is the dye at full strength.

        Returns
        -------
        float
            What it takes, 0 or more.

        Examples
        --------
        >>> from batiksim import BuildUp
        >>> round(BuildUp(law="saturating", bend=2).load(0.5), 3)
        0.731
        """
        if self.law == "saturating":
            return math.expm1(-self.bend * strength) / math.expm1(-self.bend)
        return strength**self.bend if self.law == "power" else strength


_NAME = text("What you call it; pots and steps use this name.", "sun yellow")
_SPECTRUM = text("File with its measured reflectance, instead of a colour.", "blue.csv", longest=400, file=True)
_SAMPLE = text("Which measurement in that file, where it holds several.", "A3")
_BUILD_UP = table(
    BuildUp,
    "How its colour grows with strength; linear where left out.",
    inline=True,
    example={"law": "power", "bend": 0.8},
)
_SEEN_ON = table(
    Undyed,
    "The undyed cloth it was seen on; taken as the cloth to be dyed where left out.",
    key="cloth",
    inline=True,
    example={"colour": "#f1ede2", "note": "poplin"},
)
_SAMPLES = setting(
    Pairs(
        key="reflectance",
        problem="values.error.needs_reflectance",
        example=[[400, 0.052], [410, 0.055]],
        help="Its measured reflectance, pairs of wavelength in nm and reflectance 0 to 1.",
    )
)
_LINEAR = BuildUp()


class _Sourced(Value):
    """A dye known by exactly one of some sources."""

    SOURCES: ClassVar[tuple[str, ...]]
    PROBLEM: ClassVar[str]

    @classmethod
    def together(cls, entries: Entries) -> None:
        given = [key for key in cls.SOURCES if key in entries]
        if len(given) != 1:
            raise BatikError(cls.PROBLEM, got=keys_found(given))
        if "sample" in entries and "spectrum" not in entries:
            raise BatikError("values.error.sample_of_what", got="sample")

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        one = [{"required": [key]} for key in cls.SOURCES]
        return {"oneOf": one, "dependentRequired": {"sample": ["spectrum"]}}

    def written(self) -> dict[str, Any]:
        """The dye as a file holds it; a file that its reflectance stands in is named, not copied."""
        entries = super().written()
        if "spectrum" in entries:
            entries.pop("reflectance", None)
        return entries


@documented
@dataclass(frozen=True, kw_only=True)
class Dye(_Sourced, ShownInNotebooks):
    """One dyestuff, known by exactly one of: its colour on the cloth, a reflectance file, a dye book, its reflectance.

    Notes
    -----
    A dye that is read from a file or a book has their reflectance, or the book's colour, beside the name of its source.

    Examples
    --------
    >>> from batiksim import Dye
    >>> Dye(name="navy", colour="#1D2B53").colour
    '#1d2b53'
    >>> Dye.from_reflectance("grey", [400, 500, 600, 700], [0.31, 0.3, 0.3, 0.32]).samples[0]
    (400.0, 0.31)
    """

    KIND = "dye"
    SOURCES, PROBLEM = ("colour", "spectrum", "book", "reflectance"), "values.error.one_source_of_dye"
    OF_BOOK = ("build_up", "cloth")  # what a book says itself

    name: str = field(metadata=_NAME)
    colour: str | None = field(default=None, metadata=colour("Its colour as it dries on this cloth at full strength."))
    spectrum: str | None = field(default=None, metadata=_SPECTRUM)
    book: str | None = field(
        default=None,
        metadata=text(
            'The dye book that knows it under this name, instead of a colour; "demo" is built in.',
            "my-dyes.toml",
            longest=400,
            file=True,
        ),
    )
    sample: str | None = field(default=None, metadata=_SAMPLE)
    build_up: BuildUp = field(default=_LINEAR, metadata=_BUILD_UP)
    samples: Samples = field(default=(), metadata=_SAMPLES)
    seen_on: Undyed | None = field(default=None, metadata=_SEEN_ON)

    __repr__ = short_repr

    def __init__(
        self,
        *,
        name: str,
        colour: str | None = None,
        spectrum: StrPath | None = None,
        book: StrPath | None = None,
        sample: str | None = None,
        build_up: BuildUp = _LINEAR,
        samples: Iterable[Iterable[float]] = (),
        seen_on: Undyed | None = None,
    ) -> None:
        self._keep(locals())

    @classmethod
    def from_reflectance(
        cls,
        name: str,
        nm: Iterable[float] | Spectrum,
        reflectance: Iterable[float] | None = None,
        *,
        build_up: BuildUp = _LINEAR,
        seen_on: Undyed | None = None,
    ) -> Self:
        """A dye of a measured reflectance, from arrays.

        Parameters
        ----------
        name : str
            What you call it; pots and steps use this name.
        nm : array-like (n,), or spectrum
            Wavelengths in nm, rising, at least four, from 420 to 680 or further; or one object that has these as
            `wavelengths` and the reflectance as `values`, such as colour-science's `SpectralDistribution`.
        reflectance : array-like (n,), optional
            Reflectance of the dyed cloth at each of them, 0 to 1.
        build_up : BuildUp, optional
            How its colour grows with strength; linear where left out.
        seen_on : Undyed, optional
            The undyed cloth it was measured on; taken as the cloth to be dyed where left out.

        Returns
        -------
        Dye
            A dye that a design file holds with its reflectance.

        Raises
        ------
        BatikError
            For arrays of unlike lengths, too few wavelengths or too short a range, wavelengths that don't rise, and
            values that are no share of light, such as percent.

        Examples
        --------
        >>> import numpy as np
        >>> from batiksim import Dye
        >>> nm = np.arange(400, 701, 10)
        >>> rust = Dye.from_reflectance("rust", nm, 0.05 + 0.5 / (1 + np.exp((590 - nm) / 15)))
        >>> len(rust.samples)
        31
        """
        held: dict[str, Any] = {"nm": nm, "reflectance": reflectance}
        if reflectance is None:
            if not is_spectrum(nm):
                raise TypeError("from_reflectance() needs reflectance, or a spectrum that has wavelengths and values")
            held = {"nm": nm.wavelengths, "reflectance": nm.values}
        rows = {argument: listed(given) for argument, given in held.items()}
        for argument, row in rows.items():
            if row is None:
                given = type_name(held[argument])
                raise TypeError(f"from_reflectance() needs an array of numbers for {argument}, not {given}")
        numbers = [[math.nan if (one := real(each)) is None else one for each in row or ()] for row in rows.values()]
        with placed(f"dye {name!r}"):
            with placed("reflectance"):
                check_spectrum(*numbers)
            return cls(name=name, samples=zip(*numbers, strict=True), build_up=build_up, seen_on=seen_on)

    @classmethod
    def together(cls, entries: Entries) -> None:
        super().together(entries)
        stray = next((key for key in cls.OF_BOOK if key in entries), None)
        if stray is not None and "book" in entries:
            raise BatikError("values.error.build_up_of_book", got=stray)

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        stray = [{"required": [key]} for key in cls.OF_BOOK]
        return super().schema_more() | {"not": {"required": ["book"], "anyOf": stray}}

    def agree(self) -> None:
        held = {
            "colour": self.colour,
            "spectrum": self.spectrum,
            "book": self.book,
            "reflectance": self.samples or None,
        }
        filled = (
            ("colour", "reflectance")
            if self.book is not None
            else ("reflectance",)
            if self.spectrum is not None
            else ()
        )
        given = [key for key, one in held.items() if one is not None and key not in filled]
        if len(given) != 1:
            raise BatikError(self.PROBLEM, field="dye", got=keys_found(given))
        object.__setattr__(self, "samples", reflectance_samples(self.samples))

    def written(self) -> dict[str, Any]:
        """The dye as a file holds it; what a book or a file says of it is not copied."""
        return {"name": self.name, "book": self.book} if self.book is not None else super().written()


@documented
@dataclass(frozen=True, kw_only=True)
class BookDye(_Sourced):
    """One dye as a dye book keeps it: its colour or its measured reflectance, and where that comes from.

    Notes
    -----
    Where `spectrum` names a file, `samples` are read from that.

    Examples
    --------
    >>> from batiksim import BookDye
    >>> entry = BookDye(name="navy", colour="#1d2b53", provenance="my strip", grams_per_litre=30)
    >>> entry.dye("my-dyes.toml").book
    'my-dyes.toml'
    """

    KIND = "book_dye"
    SOURCES, PROBLEM = ("colour", "spectrum", "reflectance"), "values.error.one_source_in_book"

    name: str = field(metadata=_NAME)
    colour: str | None = field(default=None, metadata=colour("Its colour as it dried at full strength."))
    spectrum: str | None = field(default=None, metadata=_SPECTRUM)
    sample: str | None = field(default=None, metadata=_SAMPLE)
    build_up: BuildUp = field(default=_LINEAR, metadata=_BUILD_UP)
    seen_on: Undyed | None = field(default=None, metadata=_SEEN_ON)
    provenance: str = field(default="", metadata=text("Where the colour comes from.", "my strip", longest=1000))
    date: datetime.date | None = field(
        default=None, metadata=setting(Date(help="When it was dyed or measured.", example=datetime.date(2026, 11, 25)))
    )
    expected_error: float | None = field(
        default=None,
        metadata=number("By how much overdyes predicted with it missed, measured.", 2.5, 0, 100, "CIEDE2000"),
    )
    grams_per_litre: float | None = field(
        default=None, metadata=number("Dye powder in the full-strength solution.", 30, 0, 1000, "g/l", above=True)
    )
    price_per_100_g: float | None = field(
        default=None, metadata=number("Its price for 100 g, in the book's currency.", 8.5, 0, 1e6)
    )
    samples: Samples = field(default=(), metadata=_SAMPLES)

    def __init__(
        self,
        *,
        name: str,
        colour: str | None = None,
        spectrum: StrPath | None = None,
        sample: str | None = None,
        build_up: BuildUp = _LINEAR,
        seen_on: Undyed | None = None,
        provenance: str = "",
        date: datetime.date | None = None,
        expected_error: float | None = None,
        grams_per_litre: float | None = None,
        price_per_100_g: float | None = None,
        samples: Iterable[Iterable[float]] = (),
    ) -> None:
        self._keep(locals())

    def agree(self) -> None:
        there = {"colour": self.colour is not None, "reflectance": bool(self.samples) or self.spectrum is not None}
        given = [key for key, has in there.items() if has]
        if len(given) != 1:
            raise BatikError(self.PROBLEM, got=keys_found(given))
        object.__setattr__(self, "samples", reflectance_samples(self.samples))

    @property
    def measured(self) -> bool:
        """Whether its reflectance comes from an instrument, as far as can be told: no calibration has fitted it."""
        return bool(self.samples) and not self.provenance.startswith(CALIBRATED)

    def dye(self, book: str) -> Dye:
        """The dye as a design has it.

        Parameters
        ----------
        book : str
            The name by which the design knows the book.

        Returns
        -------
        Dye
            With what the book says of it.

        Examples
        --------
        >>> from batiksim import BookDye
        >>> BookDye(name="navy", colour="#1d2b53").dye("my-dyes.toml").colour
        '#1d2b53'
        """
        return Dye(
            name=self.name,
            book=book,
            colour=self.colour,
            samples=self.samples,
            build_up=self.build_up,
            seen_on=self.seen_on,
        )


@documented
@dataclass(frozen=True, kw_only=True)
class DyeBook(Value):
    """A maker's dyes.

    Parameters
    ----------
    name : str
        The book's file, as a design names it.

    Examples
    --------
    >>> from batiksim import BookDye, DyeBook
    >>> book = DyeBook(name="my-dyes.toml", title="My dyes", entries=[BookDye(name="navy", colour="#1d2b53")])
    >>> [dye.name for dye in book.dyes]
    ['navy']
    """

    KIND = "dye_book"

    name: str
    title: str = field(metadata=text("What the book is called.", "My dyes"))
    currency: str = field(default="", metadata=text("The currency of its prices.", "EUR", longest=20))
    entries: tuple[BookDye, ...] = field(default=(), metadata=tables(BookDye, "dye", "Its dyes"))

    def __init__(self, *, name: str, title: str, currency: str = "", entries: Iterable[BookDye] = ()) -> None:
        self._keep(locals())

    def agree(self) -> None:
        names = [entry.name for entry in self.entries]
        for name in names:
            if names.count(name) > 1:
                raise BatikError("values.error.two_dyes_of_a_name", field="name", got=name)

    @property
    def dyes(self) -> tuple[Dye, ...]:
        """All dyes of the book, in its order, as a design has them."""
        return tuple(entry.dye(self.name) for entry in self.entries)

    def entry(self, name: str) -> BookDye:
        """The dye of a name.

        Parameters
        ----------
        name : str
            Of a dye in the book.

        Returns
        -------
        BookDye
            As the book keeps it.

        Raises
        ------
        BatikError
            For a name that isn't in the book, with the nearest.

        Examples
        --------
        >>> from batiksim import BookDye, DyeBook
        >>> book = DyeBook(name="my-dyes.toml", title="My dyes", entries=[BookDye(name="navy", colour="#1d2b53")])
        >>> book.entry("navy").colour
        '#1d2b53'
        """
        known = {entry.name: entry for entry in self.entries}
        if name not in known:
            raise BatikError("values.error.not_in_book", got=name, fix=nearest(name, known))
        return known[name]
