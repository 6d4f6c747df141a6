"""Frozen values that every part of batiksim speaks in. A value that exists is valid.

Nothing here reads a file or computes a colour. Lengths carry their unit in the name; loads are in full strengths
(1 = the dye as at full strength on open cloth); shares and greys run from 0 to 1.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from batiksim.errors import BatikError, nearest

__all__ = [
    "BUILD_UPS",
    "DROP_ML",
    "FORMAT",
    "GREYS",
    "MARKS",
    "SEVERITIES",
    "TOOLS",
    "BookDye",
    "BuildUp",
    "Cloth",
    "Design",
    "Discharge",
    "Dye",
    "DyeBath",
    "DyeBook",
    "Finding",
    "MaskUse",
    "Paint",
    "Patch",
    "Place",
    "Pot",
    "Region",
    "RemoveWax",
    "Step",
    "Strip",
    "Swatch",
    "Want",
    "Wax",
]

FORMAT = 1
Grey = Literal["cover", "thin"]
Marks = Literal["dark", "light", "alpha"]
Tool = Literal["canting", "brush", "stamp"]
Severity = Literal["note", "warn", "serious"]
BuildUpLaw = Literal["linear", "saturating", "power"]
GREYS: tuple[Grey, ...] = ("cover", "thin")
MARKS: tuple[Marks, ...] = ("dark", "light", "alpha")
TOOLS: tuple[Tool, ...] = ("canting", "brush", "stamp")
BUILD_UPS: tuple[BuildUpLaw, ...] = ("linear", "saturating", "power")
SEVERITIES: tuple[Severity, ...] = ("note", "warn", "serious")

_HEX = re.compile(r"#[0-9a-fA-F]{6}")


def _between(name: str, value: object, low: float, high: float, *, above: bool = False) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise BatikError("needs a number", field=name, got=value, fix=f"use a number from {low:g} to {high:g}")
    if value > high or value < low or (above and value == low):
        least = f"above {low:g}" if above else f"from {low:g}"
        raise BatikError("out of range", field=name, got=value, fix=f"use a number {least} to {high:g}")
    return float(value)


def _text(name: str, value: object, *, longest: int = 200) -> str:
    if not isinstance(value, str) or not value.strip():
        raise BatikError("needs a text", field=name, got=value, fix="write a name between quotes")
    if len(value) > longest:
        raise BatikError("text is too long", field=name, got=value, fix=f"use at most {longest} characters")
    if any(ord(letter) < 32 or ord(letter) == 127 for letter in value):
        raise BatikError("text has a control character in it", field=name, got=value, fix="retype it on one line")
    return value


def _note(name: str, value: object, *, longest: int = 2000) -> None:
    """A text of any number of lines, or none."""
    if value == "":
        return
    if not isinstance(value, str):
        raise BatikError("needs a text", field=name, got=value, fix="write it between quotes")
    for line in value.split("\n"):
        if line.strip():
            _text(name, line, longest=longest)
    if len(value) > longest:
        raise BatikError("text is too long", field=name, got=value, fix=f"use at most {longest} characters")


def _choice(name: str, value: object, choices: tuple[str, ...]) -> None:
    if value not in choices:
        raise BatikError("is not a known choice", field=name, got=value, fix=nearest(value, choices))


def _flag(name: str, value: object) -> None:
    if not isinstance(value, bool):
        raise BatikError("needs true or false", field=name, got=value, fix="write true or false, without quotes")


def _colour(name: str, value: object) -> str:
    if not isinstance(value, str) or not _HEX.fullmatch(value):
        raise BatikError("needs a colour", field=name, got=value, fix='write it like "#f0d92e"')
    return value.lower()


@dataclass(frozen=True, kw_only=True)
class Cloth:
    """The fabric before anything is done to it.

    width_mm : real width of the pictures
    colour : undyed, by daylight, "#rrggbb"
    grams_per_m2 : fabric weight
    surface : reflection no dye can go below (Kubelka-Munk surface floor), 0..0.1
    """

    width_mm: float
    colour: str = "#f1ede2"
    grams_per_m2: float = 120.0
    surface: float = 0.015

    def __post_init__(self) -> None:
        _between("width_mm", self.width_mm, 10, 20_000)
        object.__setattr__(self, "colour", _colour("colour", self.colour))
        _between("grams_per_m2", self.grams_per_m2, 10, 2_000)
        _between("surface", self.surface, 0, 0.1)


@dataclass(frozen=True, kw_only=True)
class BuildUp:
    """How the load that fibre takes grows with the strength it is offered; a strength of 1 always gives a load of 1.

    law : "linear" load = s; "saturating" load = (1 - exp(-bend s)) / (1 - exp(-bend)); "power" load = s ** bend
    bend : above 0; not used by "linear"
    """

    law: BuildUpLaw = "linear"
    bend: float = 1.0

    def __post_init__(self) -> None:
        _choice("law", self.law, BUILD_UPS)
        _between("bend", self.bend, 0, 10, above=True)

    def load(self, strength: float) -> float:
        """The load at a strength, both in full strengths, >= 0."""
        if self.law == "saturating":
            return math.expm1(-self.bend * strength) / math.expm1(-self.bend)
        return strength**self.bend if self.law == "power" else strength


@dataclass(frozen=True, kw_only=True)
class Undyed:
    """The undyed cloth that a dye was seen on, where it may differ from the cloth to be dyed.

    colour : "#rrggbb", by daylight
    surface : Kubelka-Munk surface floor, as in `Cloth`
    note : what cloth it was, in the maker's words
    """

    colour: str = Cloth.colour
    surface: float = Cloth.surface
    note: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "colour", _colour("colour", self.colour))
        _between("surface", self.surface, 0, 0.1)
        if self.note:
            _text("note", self.note)


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
        _text("name", self.name)
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
            object.__setattr__(self, "colour", _colour("colour", self.colour))


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
        _text("name", self.name)
        if (self.colour is None) == (not self.samples):
            got = "neither" if self.colour is None else "both"
            raise BatikError(
                "needs either a colour or a measured reflectance", got=got, fix='a colour is simplest: "#f0d92e"'
            )
        if self.colour is not None:
            object.__setattr__(self, "colour", _colour("colour", self.colour))
        if self.provenance:
            _text("provenance", self.provenance, longest=1000)
        for key, most in (("expected_error", 100), ("grams_per_litre", 1000), ("price_per_100_g", 1e6)):
            if getattr(self, key) is not None:
                _between(key, getattr(self, key), 0, most, above=key == "grams_per_litre")

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
        _text("title", self.title)
        if self.currency:
            _text("currency", self.currency, longest=20)
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


DROP_ML = 0.05  # common practice, no source: 20 drops to a millilitre


@dataclass(frozen=True, kw_only=True)
class Pot:
    """A mixed dye solution: parts of full-strength solutions, thinned with chemical water, then drops on top.

    parts : dye name -> parts by volume of its full-strength solution; may be empty where there are drops
    strength : 1 = the mixture as it is, 0.5 = as much chemical water again, 0..4
    ml : what the pot holds before the drops; needed for drops
    drops : dye name -> drops (`DROP_ML` each) of its full-strength solution, added last
    """

    name: str
    parts: Mapping[str, float]
    strength: float = 1.0
    ml: float | None = None
    drops: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        _text("name", self.name)
        _between("strength", self.strength, 0, 4)
        if not self.parts and not self.drops:
            raise BatikError("needs at least one dye", field="parts", fix="write parts = { dye = 1 }")
        for key, amounts in (("parts", self.parts), ("drops", self.drops)):
            for dye, amount in amounts.items():
                _between(f"{key}: {dye}", amount, 0, 10_000)
        if sum((self.parts or self.drops).values()) <= 0:
            raise BatikError("parts add up to nothing", field="parts", fix="give one dye a part above 0")
        if self.ml is not None:
            _between("ml", self.ml, 0, 1_000_000, above=True)
        if self.drops and self.ml is None:
            raise BatikError("drops need to know how much the pot holds", field="ml", fix="write ml = 100")
        object.__setattr__(self, "parts", MappingProxyType(dict(self.parts)))
        object.__setattr__(self, "drops", MappingProxyType(dict(self.drops)))

    def __hash__(self) -> int:
        return hash((self.name, tuple(self.parts.items()), self.strength, self.ml, tuple(self.drops.items())))

    @property
    def dyes(self) -> tuple[str, ...]:
        """Every dye in the pot once: those with parts, then those by the drop."""
        return tuple(dict.fromkeys([*self.parts, *self.drops]))

    def loads(self) -> dict[str, float]:
        """Full strengths of each dye that the pot gives to open cloth, before build-up."""
        whole = sum(self.parts.values())
        loads = {dye: part / whole * self.strength for dye, part in self.parts.items()}
        if self.ml is None or not self.drops:
            return loads
        filled = self.ml + DROP_ML * sum(self.drops.values())
        loads = {dye: load * self.ml / filled for dye, load in loads.items()}
        for dye, drops in self.drops.items():
            loads[dye] = loads.get(dye, 0.0) + DROP_ML * drops / filled
        return loads


@dataclass(frozen=True, kw_only=True)
class MaskUse:
    """A mask picture and how to read it.

    picture : file name, as the design gives it
    marks : what is marked; None = work it out and tell
    clean : take it as a photo or scan of a drawing and clean it
    """

    picture: str
    marks: Marks | None = None
    clean: bool = False

    def __post_init__(self) -> None:
        _text("picture", self.picture)
        if self.marks is not None:
            _choice("marks", self.marks, MARKS)
        _flag("clean", self.clean)


@dataclass(frozen=True, kw_only=True)
class Wax:
    """Hot wax where the mask says.

    grey : "cover" = that share of a pixel is under wax; "thin" = wax too thin to seal
    crackle : 0..1, how hard the waxed cloth is crumpled afterwards; this waxing's wax cracks
    paraffin : 0..1, share of paraffin in the blend, the rest beeswax; the more, the finer it cracks
    edges : 0..1, how much the tool shows: creeping lines and drops of a canting, dry brush, patchy stamp
    cool : 0..1, how much too cool the wax was; cool wax sits on top and seals less
    seed : for cracks and edges of its own choice; None = by the design's title and the step
    note : what the maker tells learners of this step
    """

    mask: MaskUse
    grey: Grey = "cover"
    crackle: float = 0.0
    tool: Tool | None = None
    paraffin: float = 0.5
    edges: float = 0.0
    cool: float = 0.0
    seed: int | None = None
    note: str = ""

    def __post_init__(self) -> None:
        _note("note", self.note)
        _choice("grey", self.grey, GREYS)
        for key in ("crackle", "paraffin", "edges", "cool"):
            _between(key, getattr(self, key), 0, 1)
        if self.tool is not None:
            _choice("tool", self.tool, TOOLS)
        if self.edges > 0 and self.tool is None:
            raise BatikError("needs to know the tool", field="edges", got=self.edges, fix='add tool = "canting"')
        if self.seed is not None and _between("seed", self.seed, 0, 1_000_000_000) != int(self.seed):
            raise BatikError("needs a whole number", field="seed", got=self.seed, fix="write seed = 7")

    @property
    def seals(self) -> bool:
        """Whether the wax seals what it covers; thin or cool wax only holds back part of the dye."""
        return self.grey == "cover" and self.cool == 0

    @property
    def shaped(self) -> bool:
        """Whether the wax lies other than drawn: cracked, with the tool's edges, or too cool."""
        return self.crackle > 0 or self.edges > 0 or self.cool > 0


@dataclass(frozen=True, kw_only=True)
class Paint:
    """One pot brushed on: where a paint mask says, or over the whole cloth without one. Grey scales the load.

    spread : whether it creeps through open fibre to the wax edge
    reach_mm : how far it creeps; None = as thin dye does on dry cloth
    """

    pot: str
    where: MaskUse | None = None
    spread: bool = False
    reach_mm: float | None = None

    def __post_init__(self) -> None:
        _text("pot", self.pot)
        _flag("spread", self.spread)
        if self.reach_mm is not None:
            _between("spread", self.reach_mm, 0, 30, above=True)
            if not self.spread:
                raise BatikError("is for dye that spreads", field="reach_mm", got=self.reach_mm, fix="let it spread")

    @property
    def creeps(self) -> bool:
        """Whether it comes to lie wider than brushed on."""
        return self.spread and self.where is not None


@dataclass(frozen=True, kw_only=True)
class DyeBath:
    """One dyeing: any number of pots, all onto the cloth as the step before left it. note : as of `Wax`."""

    paints: tuple[Paint, ...]
    note: str = ""

    def __post_init__(self) -> None:
        _note("note", self.note)
        if not self.paints:
            raise BatikError("needs at least one pot", field="dye", fix='write dye = "name of a pot"')


@dataclass(frozen=True, kw_only=True)
class Discharge:
    """Bleaching: open fibre loses `strength` (0..1) of the dye it holds, where the mask says or everywhere.

    note : as of `Wax`
    """

    where: MaskUse | None = None
    strength: float = 1.0
    note: str = ""

    def __post_init__(self) -> None:
        _note("note", self.note)
        _between("strength", self.strength, 0, 1)


@dataclass(frozen=True, kw_only=True)
class RemoveWax:
    """All wax comes out. note : as of `Wax`."""

    note: str = ""

    def __post_init__(self) -> None:
        _note("note", self.note)


Step = Wax | DyeBath | Discharge | RemoveWax


@dataclass(frozen=True, kw_only=True)
class Want:
    """A colour wished for on the finished cloth, at a spot or in an area.

    colour : "#rrggbb", or an ISCC-NBS name ("strong yellow green")
    at_mm : the spot, x and y from the top left corner; where : or a picture of the area; exactly one of the two
    name : what the maker calls it ("leaves")
    weight : beside the other wants; 2 counts twice
    """

    colour: str
    at_mm: tuple[float, float] | None = None
    where: MaskUse | None = None
    name: str | None = None
    weight: float = 1.0

    def __post_init__(self) -> None:
        _text("colour", self.colour)
        if self.colour.startswith("#"):
            object.__setattr__(self, "colour", _colour("colour", self.colour))
        if self.name is not None:
            _text("name", self.name)
        _between("weight", self.weight, 0, 1_000, above=True)
        if (self.at_mm is None) == (self.where is None):
            fix = 'write at = [120, 80] in mm, or where = "leaves.png"'
            raise BatikError("needs either a spot or a picture of its area", fix=fix)
        for key, value in zip(("at: x", "at: y"), self.at_mm or (), strict=False):
            _between(key, value, 0, 100_000)

    @property
    def called(self) -> str:
        """What to call its place in a sentence."""
        if self.name is not None:
            return self.name
        if self.where is not None:
            return self.where.picture.rpartition("/")[2].rpartition(".")[0] or self.where.picture
        x, y = self.at_mm or (0.0, 0.0)
        return f"the spot at {x:g}, {y:g} mm"


@dataclass(frozen=True, kw_only=True)
class Design:
    """One planned cloth.

    skip_checks : codes of the checks that this design leaves out
    wants : colours wished for; they ask, and change nothing on the cloth
    maker : whose design it is, as sheets say; note : what the maker tells learners of the whole cloth
    """

    title: str
    cloth: Cloth
    dyes: tuple[Dye, ...] = ()
    pots: tuple[Pot, ...] = ()
    steps: tuple[Step, ...] = ()
    skip_checks: tuple[str, ...] = ()
    wants: tuple[Want, ...] = ()
    maker: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        _text("title", self.title)
        _note("note", self.note)
        if self.maker:
            _text("maker", self.maker)
        names = [dye.name for dye in self.dyes] + [pot.name for pot in self.pots]
        for name in names:
            if names.count(name) > 1:
                raise BatikError("two dyes or pots share a name", field="name", got=name, fix="rename one of them")
        dyes = [dye.name for dye in self.dyes]
        for pot in self.pots:
            for dye in pot.dyes:
                if dye not in dyes:
                    where = f"pot {pot.name!r}: {'parts' if dye in pot.parts else 'drops'}"
                    raise BatikError("is not a dye of this design", field=where, got=dye, fix=nearest(dye, dyes))
        for number, step in enumerate(self.steps, start=1):
            for paint in step.paints if isinstance(step, DyeBath) else ():
                if paint.pot not in names:
                    raise BatikError(
                        "is not a pot or dye of this design",
                        field=f"step {number}: dye",
                        got=paint.pot,
                        fix=nearest(paint.pot, names),
                    )

    def pot(self, name: str) -> Pot:
        """The pot of that name; a dye's name gives that dye alone at full strength."""
        for pot in self.pots:
            if pot.name == name:
                return pot
        for dye in self.dyes:
            if dye.name == name:
                return Pot(name=name, parts={name: 1.0})
        choices = [pot.name for pot in self.pots] + [dye.name for dye in self.dyes]
        raise BatikError("is not a pot or dye of this design", got=name, fix=nearest(name, choices))

    def mask_uses(self) -> Iterator[tuple[int, MaskUse]]:
        """Every mask the steps use, in order, with its step's number (from 1)."""
        for number, step in enumerate(self.steps, start=1):
            if isinstance(step, Wax):
                yield number, step.mask
            elif isinstance(step, DyeBath):
                yield from ((number, paint.where) for paint in step.paints if paint.where is not None)
            elif isinstance(step, Discharge) and step.where is not None:
                yield number, step.where


@dataclass(frozen=True, kw_only=True)
class Place:
    """A spot on the cloth, in mm from the top left corner; radius_mm is how far it reaches."""

    x_mm: float
    y_mm: float
    radius_mm: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One thing that a check noticed. step 0 = the design as a whole."""

    code: str
    severity: Severity
    message: str
    remedy: str
    step: int = 0
    place: Place | None = None

    def __post_init__(self) -> None:
        _choice("severity", self.severity, SEVERITIES)


@dataclass(frozen=True, kw_only=True)
class Region:
    """All spots of the finished cloth with one history.

    share : of the cloth's area, 0..1
    history : names of the pots and other steps that reached it, in order
    loads : dye name -> load held at the end, full strengths
    lab : CIELAB of the finished cloth, D65
    """

    share: float
    history: tuple[str, ...]
    loads: Mapping[str, float] = field(default_factory=dict)
    hex: str
    lab: tuple[float, float, float]
    name: str
    plain: str


Layers = tuple[tuple[str, float], ...]
"""What a piece of cloth was dyed with: (dye, strength), one over another; nothing for undyed cloth."""


def _layers(layers: Layers) -> None:
    for dye, strength in layers:
        _text("dye", dye)
        _between(f"strength of {dye}", strength, 0, 4, above=True)


@dataclass(frozen=True, kw_only=True)
class Patch:
    """One patch of a strip in a photo.

    at : left, top, width, height as shares of the strip; a card may lie beyond the strip
    card : reflectance 0..1 of a white or grey card; None for cloth
    """

    name: str
    layers: Layers = ()
    at: tuple[float, float, float, float]
    card: float | None = None

    def __post_init__(self) -> None:
        _text("name", self.name)
        _layers(self.layers)
        for value in self.at[:2]:
            _between("at: left, top", value, -3, 4)
        for value in self.at[2:]:
            _between("at: width, height", value, 0, 4, above=True)
        if self.card is not None:
            _between("reflectance", self.card, 0.01, 1)
        elif not all(low >= -0.02 and low + size <= 1.02 for low, size in zip(self.at[:2], self.at[2:], strict=True)):
            raise BatikError("lies outside the strip", field="at", got=self.at, fix="keep cloth patches on the strip")


@dataclass(frozen=True, kw_only=True)
class Strip:
    """A dyed strip in a photo.

    cloth_colour : of the undyed cloth by daylight, where it is known
    corners : x, y in pixels of the upright photo: the strip's top left, top right, bottom right, bottom left
    ground : whether all between the patches is undyed cloth
    """

    title: str
    corners: tuple[tuple[float, float], ...]
    patches: tuple[Patch, ...]
    cloth_colour: str | None = None
    ground: bool = False

    def __post_init__(self) -> None:
        _text("title", self.title)
        if self.cloth_colour is not None:
            object.__setattr__(self, "cloth_colour", _colour("colour", self.cloth_colour))
        if not any(patch.layers for patch in self.patches):
            raise BatikError("has no dyed patch", field="patch", fix='write [[patch]] and under it dye = "sun yellow"')


@dataclass(frozen=True, kw_only=True)
class Swatch:
    """One measured piece of cloth, known by exactly one of: CIELAB (D65), colour, reflectance.

    samples : ((nm, reflectance 0..1), ...)
    """

    name: str
    layers: Layers = ()
    lab: tuple[float, float, float] | None = None
    colour: str | None = None
    samples: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        _text("name", self.name)
        _layers(self.layers)
        if (self.lab is not None) + (self.colour is not None) + bool(self.samples) != 1:
            raise BatikError("needs CIELAB, a colour or a reflectance", field=self.name, fix="fill in one of them")
        if self.colour is not None:
            object.__setattr__(self, "colour", _colour("colour", self.colour))
        if self.lab is not None:
            _between("L", self.lab[0], 0, 100)
            for letter, value in zip("ab", self.lab[1:], strict=True):
                _between(letter, value, -160, 160)
