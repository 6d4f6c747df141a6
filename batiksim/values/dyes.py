"""Dyes, and the book that keeps them."""

import datetime
import math
from dataclasses import dataclass, field
from typing import Any, ClassVar, Literal

from batiksim.errors import BatikError, nearest
from batiksim.values.cloth import Undyed
from batiksim.values.rules import Date, Entries, Pairs, choice, colour, keys_found, number, setting, text
from batiksim.values.settings import Value, table, tables

CALIBRATED = "calibrated from"  # so begins the provenance of a dye that a calibration has written

BuildUpLaw = Literal["linear", "saturating", "power"]
BUILD_UPS: tuple[BuildUpLaw, ...] = ("linear", "saturating", "power")
Samples = tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True)
class BuildUp(Value):
    """How the load that fibre takes grows with the strength it is offered; a strength of 1 always gives a load of 1.

    law : "linear" load = s; "saturating" load = (1 - exp(-bend s)) / (1 - exp(-bend)); "power" load = s ** bend
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
        """The load at a strength, both in full strengths, >= 0."""
        if self.law == "saturating":
            return math.expm1(-self.bend * strength) / math.expm1(-self.bend)
        return strength**self.bend if self.law == "power" else strength


_NAME = text("What you call it; pots and steps use this name.", "sun yellow")
_SPECTRUM = text("File with its measured reflectance, instead of a colour.", "blue.csv", longest=400)
_SAMPLE = text("Which measurement in that file, where it holds several.", "A3")
_BUILD_UP = table(
    BuildUp,
    "How its colour grows with strength; linear where left out.",
    inline=True,
    example={"law": "power", "bend": 0.8},
)


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


@dataclass(frozen=True, kw_only=True)
class Dye(_Sourced):
    """One dyestuff, known by exactly one of: its colour on the cloth, a reflectance file, a dye book.

    colour : beside `book`, the colour that the book gives
    samples : ((nm, reflectance 0..1), ...) read from `spectrum` or `book`; empty for a colour
    seen_on : the undyed cloth that the colour or samples were seen on; None = the design's own
    """

    KIND = "dye"
    SOURCES, PROBLEM = ("colour", "spectrum", "book"), "values.error.one_source_of_dye"

    name: str = field(metadata=_NAME)
    colour: str | None = field(default=None, metadata=colour("Its colour as it dries on this cloth at full strength."))
    spectrum: str | None = field(default=None, metadata=_SPECTRUM)
    book: str | None = field(
        default=None,
        metadata=text(
            'The dye book that knows it under this name, instead of a colour; "demo" is built in.',
            "my-dyes.toml",
            longest=400,
        ),
    )
    sample: str | None = field(default=None, metadata=_SAMPLE)
    build_up: BuildUp = field(default_factory=BuildUp, metadata=_BUILD_UP)
    samples: Samples = ()
    seen_on: Undyed | None = None

    @classmethod
    def together(cls, entries: Entries) -> None:
        super().together(entries)
        if "build_up" in entries and "book" in entries:
            raise BatikError("values.error.build_up_of_book", got="build_up")

    @classmethod
    def schema_more(cls) -> dict[str, Any]:
        return super().schema_more() | {"not": {"required": ["book", "build_up"]}}

    def agree(self) -> None:
        sources = self.SOURCES if self.book is None else ("spectrum", "book")
        given = [key for key in sources if getattr(self, key) is not None]
        if len(given) != 1:
            raise BatikError(self.PROBLEM, field="dye", got=keys_found(given))

    def written(self) -> dict[str, Any]:
        """The dye as a file holds it; a book says all but name and book itself."""
        return super().written() if self.book is None else {"name": self.name, "book": self.book}


@dataclass(frozen=True, kw_only=True)
class BookDye(_Sourced):
    """One dye as a dye book keeps it: its colour or its measured reflectance, and where that comes from.

    spectrum, sample : where `samples` are read from, if not from the book itself
    expected_error : CIEDE2000 by which overdyes foretold with it missed, measured; None = never measured
    """

    KIND = "book_dye"
    SOURCES, PROBLEM = ("colour", "spectrum", "reflectance"), "values.error.one_source_in_book"

    name: str = field(metadata=_NAME)
    colour: str | None = field(default=None, metadata=colour("Its colour as it dried at full strength."))
    spectrum: str | None = field(default=None, metadata=_SPECTRUM)
    sample: str | None = field(default=None, metadata=_SAMPLE)
    build_up: BuildUp = field(default_factory=BuildUp, metadata=_BUILD_UP)
    seen_on: Undyed | None = field(
        default=None,
        metadata=table(
            Undyed,
            "The undyed cloth it was seen on; taken as the cloth to be dyed where left out.",
            key="cloth",
            inline=True,
            example={"colour": "#f1ede2", "note": "poplin"},
        ),
    )
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
    samples: Samples = field(
        default=(),
        metadata=setting(
            Pairs(
                key="reflectance",
                problem="values.error.needs_reflectance",
                example=[[400, 0.052], [410, 0.055]],
                help="Its measured reflectance, pairs of wavelength in nm and reflectance 0 to 1.",
            )
        ),
    )

    def agree(self) -> None:
        there = {"colour": self.colour is not None, "reflectance": bool(self.samples) or self.spectrum is not None}
        given = [key for key, has in there.items() if has]
        if len(given) != 1:
            raise BatikError(self.PROBLEM, got=keys_found(given))

    def written(self) -> dict[str, Any]:
        """The dye as a book holds it; a file that its reflectance stands in is named, not copied."""
        entries = super().written()
        if self.spectrum is not None:
            entries.pop("reflectance", None)
        return entries

    @property
    def measured(self) -> bool:
        """Whether its reflectance comes from an instrument, as far as can be told: no calibration has fitted it."""
        return bool(self.samples) and not self.provenance.startswith(CALIBRATED)

    def dye(self, book: str) -> Dye:
        """The dye as a design has it; `book` is the name by which the design knows the book."""
        return Dye(
            name=self.name,
            book=book,
            colour=self.colour,
            samples=self.samples,
            build_up=self.build_up,
            seen_on=self.seen_on,
        )


@dataclass(frozen=True, kw_only=True)
class DyeBook(Value):
    """A maker's dyes.

    name : as a design names the book
    """

    KIND = "dye_book"

    name: str
    title: str = field(metadata=text("What the book is called.", "My dyes"))
    currency: str = field(default="", metadata=text("The currency of its prices.", "EUR", longest=20))
    entries: tuple[BookDye, ...] = field(default=(), metadata=tables(BookDye, "dye", "Its dyes"))

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
        """The dye of that name. Raises BatikError naming the nearest."""
        known = {entry.name: entry for entry in self.entries}
        if name not in known:
            raise BatikError("values.error.not_in_book", got=name, fix=nearest(name, known))
        return known[name]
