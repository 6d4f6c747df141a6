"""Dyes, and the book that keeps them."""

import datetime
import math
from dataclasses import dataclass, field
from typing import Literal

from batiksim.errors import BatikError, nearest
from batiksim.values.cloth import Undyed
from batiksim.values.fields import between, choice, colour, text

CALIBRATED = "calibrated from"  # so begins the provenance of a dye that a calibration has written

BuildUpLaw = Literal["linear", "saturating", "power"]
BUILD_UPS: tuple[BuildUpLaw, ...] = ("linear", "saturating", "power")


@dataclass(frozen=True, kw_only=True)
class BuildUp:
    """How the load that fibre takes grows with the strength it is offered; a strength of 1 always gives a load of 1.

    law : "linear" load = s; "saturating" load = (1 - exp(-bend s)) / (1 - exp(-bend)); "power" load = s ** bend
    bend : above 0; not used by "linear"
    """

    law: BuildUpLaw = "linear"
    bend: float = 1.0

    def __post_init__(self) -> None:
        choice("law", self.law, BUILD_UPS)
        between("bend", self.bend, 0, 10, above=True)

    def load(self, strength: float) -> float:
        """The load at a strength, both in full strengths, >= 0."""
        if self.law == "saturating":
            return math.expm1(-self.bend * strength) / math.expm1(-self.bend)
        return strength**self.bend if self.law == "power" else strength


@dataclass(frozen=True, kw_only=True)
class Dye:
    """One dyestuff, known by exactly one of: its colour on the cloth, a reflectance file, a dye book.

    colour : as it dries on the cloth at full strength, "#rrggbb"; beside `book`, the colour that the book gives
    spectrum : the reflectance file's name, as the design gives it; sample : which one in it, where it holds several
    book : the dye book's name, as the design gives it
    samples : ((nm, reflectance 0..1), ...) read from `spectrum` or `book`; empty for a colour
    build_up : how colour grows with strength
    seen_on : the undyed cloth that the colour or samples were seen on; None = the design's own
    """

    name: str
    colour: str | None = None
    spectrum: str | None = None
    book: str | None = None
    sample: str | None = None
    samples: tuple[tuple[float, float], ...] = ()
    build_up: BuildUp = field(default_factory=BuildUp)
    seen_on: Undyed | None = None

    def __post_init__(self) -> None:
        text("name", self.name)
        sources = ("colour", "spectrum", "book") if self.book is None else ("spectrum", "book")
        given = [key for key in sources if getattr(self, key) is not None]
        if len(given) != 1:
            raise BatikError(
                "needs exactly one of colour, spectrum or book",
                field="dye",
                got=" and ".join(given) or "none",
                fix='a colour is the simplest: colour = "#f0d92e"',
            )
        if self.colour is not None:
            object.__setattr__(self, "colour", colour("colour", self.colour))


@dataclass(frozen=True, kw_only=True)
class BookDye:
    """One dye as a dye book keeps it: either its colour or its measured reflectance, and where that comes from.

    colour : as it dried at full strength, "#rrggbb"
    samples : ((nm, reflectance 0..1), ...), the same measured
    seen_on : the undyed cloth it was seen on; None = unknown, taken as the cloth to be dyed
    provenance : where the colour comes from, in words; date : when
    expected_error : CIEDE2000 by which overdyes foretold with it missed, measured; None = never measured
    grams_per_litre : dye powder in the full-strength solution; price_per_100_g : in the book's currency
    """

    name: str
    colour: str | None = None
    samples: tuple[tuple[float, float], ...] = ()
    build_up: BuildUp = field(default_factory=BuildUp)
    seen_on: Undyed | None = None
    provenance: str = ""
    date: datetime.date | None = None
    expected_error: float | None = None
    grams_per_litre: float | None = None
    price_per_100_g: float | None = None

    def __post_init__(self) -> None:
        text("name", self.name)
        if (self.colour is None) == (not self.samples):
            got = "neither" if self.colour is None else "both"
            fix = 'a colour is simplest: "#f0d92e"'
            raise BatikError("needs either a colour or a measured reflectance", got=got, fix=fix)
        if self.colour is not None:
            object.__setattr__(self, "colour", colour("colour", self.colour))
        if self.provenance:
            text("provenance", self.provenance, longest=1000)
        for key, most in (("expected_error", 100), ("grams_per_litre", 1000), ("price_per_100_g", 1e6)):
            if getattr(self, key) is not None:
                between(key, getattr(self, key), 0, most, above=key == "grams_per_litre")

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
class DyeBook:
    """A maker's dyes. name : as a design names the book; currency : of its prices, in words ("EUR")."""

    name: str
    title: str
    entries: tuple[BookDye, ...] = ()
    currency: str = ""

    def __post_init__(self) -> None:
        text("title", self.title)
        if self.currency:
            text("currency", self.currency, longest=20)
        names = [entry.name for entry in self.entries]
        for name in names:
            if names.count(name) > 1:
                raise BatikError("two dyes share a name", field="name", got=name, fix="rename one of them")

    @property
    def dyes(self) -> tuple[Dye, ...]:
        """All dyes of the book, in its order, as a design has them."""
        return tuple(entry.dye(self.name) for entry in self.entries)

    def entry(self, name: str) -> BookDye:
        """The dye of that name. Raises BatikError naming the nearest."""
        for entry in self.entries:
            if entry.name == name:
                return entry
        known = [entry.name for entry in self.entries]
        raise BatikError("is not a dye of this book", got=name, fix=nearest(name, known))
