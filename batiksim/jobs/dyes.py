"""Pots, matches and overdyes of a book or a design."""

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import ArrayLike

from batiksim.cloth.dyes_on_cloth import ClothDyes, cloth_dyes
from batiksim.colour.kubelka_munk import reflectance_from_ks
from batiksim.colour.spectra import BANDS_NM
from batiksim.dyes import match_report, pot_colour
from batiksim.dyes import overdye as overdyes
from batiksim.dyes.match_report import match_data
from batiksim.dyes.other_cloth import cloth_notes
from batiksim.dyes.pot_colour import PotColour as PotColour
from batiksim.dyes.recipes import amount_words as amount_words
from batiksim.dyes.recipes import pot_data, recipe_words
from batiksim.dyes.target_colour import ground_of, wanted_dye_or_colour
from batiksim.errors import BatikError, at_argument, nearest
from batiksim.files import reports
from batiksim.files.pictures import images
from batiksim.files.toml import dyebooks
from batiksim.jobs.envelope import Origin
from batiksim.jobs.projects import write_as
from batiksim.jobs.results import PictureResult
from batiksim.jobs.sources import codes, source_of
from batiksim.sheets.charts.overdye import overdye_page
from batiksim.sheets.match import match_sheet
from batiksim.sheets.pages import DOTS_PER_INCH, Page, page_pdf, page_picture
from batiksim.sheets.pot import pot_sheet
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import capital, listed
from batiksim.types import Bools, Bytes, Floats, Look, StrPath
from batiksim.values import Cloth, Design, DyeBook, Pot
from batiksim.values.plain_data import LEFT_OUT

DEMO_NOTE = say("jobs.note.demo_dyes")


@dataclass(frozen=True, kw_only=True, eq=False)
class DyesOnCloth:
    """The dyes of a book or design on a cloth, the pots that the design names.

    notes : what to know of the dyes; about_cloth : and of the cloth they are shown on
    own : the files that they come from
    """

    dyes: ClothDyes
    pots: tuple[Pot, ...]
    notes: tuple[Message, ...]
    about_cloth: tuple[Message, ...]
    origin: Origin
    own: tuple[Path, ...] = ()

    @property
    def title(self) -> str:
        """What the book or design is called."""
        return str(self.origin.title)

    @property
    def known(self) -> dict[str, Pot]:
        """Every pot by its name; a dye is a pot of it alone."""
        return {name: Pot(name=name, parts={name: 1.0}) for name in self.dyes.dyes} | {p.name: p for p in self.pots}


DyeSource = StrPath | Design | DyeBook


def dyes_of(dyes: DyeSource = dyebooks.DEMO, *, folder: StrPath | None = None, cloth: str | None = None) -> DyesOnCloth:
    """The dyes of a dye book (its .toml file, or "demo", the built-in one) or of a design (its folder or file).

    folder : where the files of a design in memory lie
    cloth : colour of the undyed cloth; the design's own, or that of the cloth the dyes were seen on, when left out
    """
    if not isinstance(dyes, str | os.PathLike | Design | DyeBook):
        raise TypeError(f"dyes needs a path, a Design or a DyeBook, not {type(dyes).__name__}")
    if folder is not None and not isinstance(dyes, Design):
        raise TypeError("folder goes with a Design; a path says itself where its files lie")
    if isinstance(dyes, Design) or (not isinstance(dyes, DyeBook) and dyebooks.is_design(dyes)):
        source = source_of(dyes, folder=folder)
        return replace(dyes_of_design(source.design, cloth=cloth), own=tuple(source.own), origin=source.origin)
    if isinstance(dyes, DyeBook):
        return _dyes_of_book(dyes, None, cloth=cloth)
    book = dyebooks.read_book(dyes)
    return _dyes_of_book(book, None if book.name == dyebooks.DEMO else Path(dyes), cloth=cloth)


def _dyes_of_book(book: DyeBook, file: Path | None, *, cloth: str | None) -> DyesOnCloth:
    there = dyes_of_design(Design(title="book", cloth=Cloth(width_mm=100), dyes=book.dyes), cloth=cloth)
    notes = (DEMO_NOTE,) if book.name == dyebooks.DEMO else ()
    origin = Origin(kind="source", title=book.title, file=file)
    return replace(there, notes=notes, own=() if file is None else (file,), origin=origin)


def dyes_of_design(design: Design, *, cloth: str | None = None) -> DyesOnCloth:
    """The same of a design that is read already."""
    with at_argument("cloth"):
        under = design.cloth if cloth is None else replace(design.cloth, colour=cloth)
    dyes = cloth_dyes(under, design.dyes)
    about = cloth_notes(under, dyes, design.dyes)
    return DyesOnCloth(dyes=dyes, pots=design.pots, notes=(), about_cloth=about, origin=Origin(title=design.title))


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Spectra:
    """What each dye of a book or a design adds to a cloth, wavelength by wavelength.

    Attributes
    ----------
    names : tuple of str
        Of the dyes.
    wavelengths : ndarray
        In nm, (31,).
    ks : ndarray
        K/S of each dye at full strength, (dyes, 31); it adds up.
    cloth_ks : ndarray
        K/S of the undyed cloth, (31,).
    surface : float
        Reflectance that no dye can go below.

    See Also
    --------
    spectra : Makes one.
    """

    names: tuple[str, ...]
    wavelengths: Floats
    ks: Floats
    cloth_ks: Floats
    surface: float

    def __repr__(self) -> str:
        return f"<Spectra of {', '.join(self.names)}>"

    def reflectance(self, loads: Mapping[str, float] | ArrayLike | None = None) -> Floats:
        """Reflectance of the cloth that holds some dyes.

        Parameters
        ----------
        loads : mapping of str to float, or array_like (..., dyes), optional
            Full strengths of each dye that the fibre holds; the bare cloth when left out.

        Returns
        -------
        ndarray
            Reflectance 0..1, (..., 31).

        Raises
        ------
        BatikError
            For a name that isn't among `names`.
        ValueError
            For an array whose last axis isn't as long as `names`.

        Examples
        --------
        >>> dyes = batiksim.spectra("demo")
        >>> batiksim.colour.xyz_to_hex(batiksim.colour.reflectance_to_xyz(dyes.reflectance({"lemon": 1.0})))
        '#f3de3c'
        """
        if isinstance(loads, Mapping):
            for name in loads:
                if name not in self.names:
                    fix = nearest(name, self.names)
                    raise BatikError("dyes.error.unknown_dye", field="loads", got=name, fix=fix)
            loads = [loads.get(name, 0.0) for name in self.names]
        held = np.zeros(len(self.names)) if loads is None else np.asarray(loads, dtype=np.float64)
        if held.ndim == 0 or held.shape[-1] != len(self.names):
            raise ValueError(f"loads needs a last axis of {len(self.names)}, got shape {held.shape}")
        return reflectance_from_ks(self.cloth_ks + held @ self.ks, surface=self.surface)


def spectra(dyes: DyeSource = dyebooks.DEMO, *, folder: StrPath | None = None, cloth: str | None = None) -> Spectra:
    """What each dye of a book or a design adds to a cloth, wavelength by wavelength.

    Parameters
    ----------
    dyes : str, path-like, Design or DyeBook, default: "demo"
        A dye book's .toml file, "demo" for the built-in book, or a design.
    folder : str or path-like, optional
        Where the files of a design in memory lie.
    cloth : str, optional
        Colour of the undyed cloth, "#rrggbb"; the design's own when left out.

    Returns
    -------
    Spectra
        K/S of each dye and of the cloth.

    Raises
    ------
    BatikError
        For a book or a design that can't be read.

    Examples
    --------
    >>> dyes = batiksim.spectra("demo")
    >>> dyes.ks.shape == (len(dyes.names), 31)
    True
    """
    there = dyes_of(dyes, folder=folder, cloth=cloth).dyes
    ks = np.stack([dye.ks for dye in there.dyes.values()]) if there.dyes else np.zeros((0, len(BANDS_NM)))
    names = tuple(there.dyes)
    return Spectra(names=names, wavelengths=BANDS_NM, ks=ks, cloth_ks=there.cloth_ks, surface=there.surface)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class OfDyes(PictureResult):
    """What is told of the dyes of a design or a dye book. own : the files that they come from."""

    of: Origin = field(metadata=LEFT_OUT)
    own: tuple[Path, ...] = field(default=(), metadata=LEFT_OUT)

    @property
    def origin(self) -> Origin:
        """The design or dye book of its dyes."""
        return self.of

    def save(self, out: StrPath) -> None:
        """Write `picture` as a .png file.

        Parameters
        ----------
        out : str or path-like
            The file to write.

        Raises
        ------
        BatikError
            For another ending, a file that its dyes come from, or when it can't be written.
        """
        write_as(out, {".png": lambda file: images.write_png(file, self.picture())}, own=self.own)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class PotOnCloth(pot_colour.PotLook, OfDyes):
    """A pot looked at on one cloth.

    Attributes
    ----------
    pot : Pot
        What it is mixed of.
    dry, wet, solution : PotColour
        Its colour on the cloth, dry and wet, and in the bowl; the last two are about right.
    cloth : PotColour
        The undyed cloth.
    reflectance : ndarray
        Of the dry dyed cloth, 0..1, (31,).
    loads : mapping of str to float
        Full strengths of each dye that it gives to open cloth.
    amounts : tuple of (str, float)
        What makes it up, in ml.
    shifts : tuple of Shift
        What one part or drop more of each dye does.
    lit : tuple of Lit
        The dry cloth under every light.
    notes : tuple of Message
        What else to know.

    See Also
    --------
    pot : Makes one.
    """

    def __repr__(self) -> str:
        return f"<Pot of {recipe_words(self.pot)}: {self.dry.hex}, {self.dry.name}>"

    def words(self) -> str:
        """The pot in a sentence.

        Returns
        -------
        str
            In the language that is spoken.
        """
        return str(say("notebook.pot", recipe=recipe_words(self.pot), name=self.dry.shown))

    def picture(self) -> Bytes:
        """The pot as a piece of dyed cloth with its recipe.

        Returns
        -------
        ndarray
            The picture, sRGB uint8 (rows, cols, 3).
        """
        return pot_sheet(replace(self, notes=_drawn_notes(self.notes)), title=capital(listed(self.pot.dyes)))

    def _data(self) -> dict[str, Any]:
        return pot_data(self)


def pot(
    recipe: str | Pot,
    *,
    dyes: DyeSource = dyebooks.DEMO,
    folder: StrPath | None = None,
    cloth: str | None = None,
    strength: float | None = None,
    ml: float | None = None,
    light: str = "D65",
) -> PotOnCloth:
    """One pot on cloth: dry, wet, the solution, what goes into it, what one part more of each dye does.

    Its notes also tell pots of other dyes that match it under this light and part from it under another.

    Parameters
    ----------
    recipe : str or Pot
        Such as "lemon=5, turquoise=1, navy=3 drops", or the name of a pot where `dyes` is a design.
    dyes, folder, cloth : optional
        The dyes to mix, and on which cloth: see `spectra`.
    strength : float, optional
        1 is the mix as it is; as the named pot says when left out.
    ml : float, optional
        What the pot holds before drops.
    light : {"D65", "D50", "A", "LED"}
        By which it is seen.

    Returns
    -------
    PotOnCloth
        Its colours, spectrum and amounts.

    Raises
    ------
    BatikError
        For a recipe that can't be read, and for dyes or options that there are not.

    Examples
    --------
    >>> looked = batiksim.pot("lemon=5, turquoise=1", strength=0.5)
    >>> looked.dry.plain
    'green'
    """
    there = dyes_of(dyes, folder=folder, cloth=cloth)
    found = recipe if isinstance(recipe, Pot) else next((p for p in there.pots if p.name == recipe), None)
    if found is None:
        if not isinstance(recipe, str):
            raise TypeError(f"recipe needs a text or a Pot, not {type(recipe).__name__}")
        found = pot_colour.read_pot(recipe, there.dyes.dyes, strength=1.0 if strength is None else strength, ml=ml)
    else:
        found = found if strength is None else replace(found, strength=strength)
        found = found if ml is None else replace(found, ml=ml)
    look = pot_colour.pot_look(there.dyes, found, light=light)
    notes = (*look.notes, *match_report.twins(there.dyes, look), *there.about_cloth, *there.notes)
    return PotOnCloth(**vars(look) | {"notes": notes}, of=there.origin, own=there.own)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Matches(match_report.Matched, OfDyes):
    """The pots nearest to a wanted colour.

    Attributes
    ----------
    wanted, ground : PotColour
        The colour wanted, and what the pots go on.
    recipes : tuple of Recipe
        The pots found, the nearest first: `pot`, `colour`, `delta_e` (CIEDE2000 from what is wanted), `words`.
    light : str
        By which all of it is seen.
    notes : tuple of Message
        What else to know.

    See Also
    --------
    match : Makes one.
    """

    def __repr__(self) -> str:
        best = self.recipes[0]
        return (
            f"<Matches of {self.wanted.hex}: {recipe_words(best.pot)} gives {best.colour.hex}, {best.delta_e:.1f} off>"
        )

    def records(self) -> list[dict[str, Any]]:
        """A record for each pot, as a table takes them.

        Returns
        -------
        list of dict
            Each with recipe, strength, hex, L, a, b (CIELAB, D65), name, delta_e (CIEDE2000), and
            "parts: ..." of each dye.
        """
        dyes = sorted({dye for one in self.recipes for dye in one.pot.parts})
        return [
            {
                "recipe": str(recipe_words(one.pot)),
                "strength": one.pot.strength,
                "hex": one.colour.hex,
                **dict(zip("Lab", one.colour.lab, strict=True)),
                "name": one.colour.name,
                "delta_e": one.delta_e,
                **{f"parts: {dye}": one.pot.parts.get(dye, 0.0) for dye in dyes},
            }
            for one in self.recipes
        ]

    def words(self) -> str:
        """The nearest pot in a sentence.

        Returns
        -------
        str
            In the language that is spoken.
        """
        return str(say("notebook.match", wanted=self.wanted.shown, recipe=recipe_words(self.recipes[0].pot)))

    def picture(self) -> Bytes:
        """The pots found as dyed cloth beside the colour wanted.

        Returns
        -------
        ndarray
            The picture, sRGB uint8 (rows, cols, 3).
        """
        return match_sheet(replace(self, notes=_drawn_notes(self.notes)))

    def _data(self) -> dict[str, Any]:
        return match_data(self)


def match(
    colour: str,
    *,
    dyes: DyeSource = dyebooks.DEMO,
    folder: StrPath | None = None,
    cloth: str | None = None,
    ground: str | None = None,
    light: str = "D65",
    most_dyes: int = 3,
    most_parts: int = 8,
    count: int = 5,
) -> Matches:
    """The pots nearest to a wanted colour.

    Parameters
    ----------
    colour : str
        "#c05f7a", a colour name ("deep yellowish pink"), or a dye, pot or recipe as it dries on bare cloth.
    dyes, folder, cloth : optional
        The dyes to mix, and on which cloth: see `spectra`.
    ground : str, optional
        What lies on the cloth already: the pot that dyed it ("lemon=1, turquoise=1"), or a colour.
    light : {"D65", "D50", "A", "LED"}
        By which the cloth should look so.
    most_dyes, most_parts : int
        At most so many dyes in a pot, and parts of each.
    count : int, default: 5
        How many pots to name.

    Returns
    -------
    Matches
        The pots, the nearest first.

    Raises
    ------
    BatikError
        For a colour that isn't known, and for dyes or options that there are not.

    Examples
    --------
    >>> found = batiksim.match("#7a9a3a", most_dyes=2)
    >>> found.recipes[0].delta_e < 5
    True
    """
    if not isinstance(colour, str):
        raise TypeError(f"colour needs a text, not {type(colour).__name__}")
    there = dyes_of(dyes, folder=folder, cloth=cloth)
    wanted = wanted_dye_or_colour(colour, there.dyes, there.pots, light=light)
    found = match_report.matched(
        there.dyes,
        wanted,
        most_dyes=most_dyes,
        most_parts=most_parts,
        ground=None if ground is None else ground_of(ground, there.dyes, there.pots),
        light=light,
        count=count,
    )
    return Matches(
        **vars(found) | {"notes": (*found.notes, *there.about_cloth, *there.notes)}, of=there.origin, own=there.own
    )


def _drawn_notes(notes: tuple[Message, ...]) -> tuple[Message, ...]:
    """Notes for a picture, which takes no options."""
    return tuple(say("jobs.note.demo_dyes_drawn") if note == DEMO_NOTE else note for note in notes)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class OverdyeChart(overdyes.Overdye, OfDyes):
    """Every dye over every dye.

    Attributes
    ----------
    dyes : tuple of str
        Their names, families together.
    cells : tuple of tuple of Shade
        `cells[i][j]` is dye j over dye i: `hex`, `lab`, `name`, `plain`, and whether it is mud.
    bare, firsts, seconds : Shade, tuple of Shade, tuple of Shade
        The undyed cloth; each dye alone as the first, and as the one over it.
    under, strength : float
        Full strengths of the first dye, and of the one over it.
    light, look : str
        How it is seen.

    See Also
    --------
    overdye : Makes one.
    """

    def __repr__(self) -> str:
        return f"<Overdye chart of {self.title!r}: {len(self.dyes)} dyes, {self.muddy} overdyes are mud>"

    @property
    def lab(self) -> Floats:
        """CIELAB (D65) of every overdye, (first dye, dye over it, 3)."""
        return np.array([[shade.lab for shade in row] for row in self.cells])

    @property
    def mud(self) -> Bools:
        """Whether an overdye is mud, (first dye, dye over it)."""
        return np.array([[shade.mud for shade in row] for row in self.cells])

    def records(self) -> list[dict[str, Any]]:
        """A record for each overdye, as a table takes them.

        Returns
        -------
        list of dict
            Each with first, over, hex, L, a, b (CIELAB, D65), name, plain, mud.
        """
        return [
            {
                "first": first,
                "over": over,
                "hex": shade.hex,
                **dict(zip("Lab", shade.lab, strict=True)),
                "name": shade.name,
                "plain": shade.plain,
                "mud": shade.mud,
            }
            for first, row in zip(self.dyes, self.cells, strict=True)
            for over, shade in zip(self.dyes, row, strict=True)
        ]

    def picture(self) -> Bytes:
        """The chart as a page.

        Returns
        -------
        ndarray
            The picture, sRGB uint8 (rows, cols, 3).
        """
        return page_picture(overdye_page(self))

    def save(self, out: StrPath) -> None:
        """Write the chart as what the ending says: .png, .pdf, .csv or .json.

        Parameters
        ----------
        out : str or path-like
            The file to write.

        Raises
        ------
        BatikError
            For other endings, a file that the dyes come from, or when it can't be written.
        """
        makers: dict[str, Callable[[BinaryIO], object]] = {
            ".png": lambda file: _write_page_png(file, overdye_page(self)),
            ".pdf": lambda file: file.write(page_pdf(overdye_page(self))),
            ".csv": lambda file: file.write(reports.table_text(overdyes.overdye_rows(self)).encode()),
            ".json": lambda file: file.write(reports.report_text(self.data(), marked=True).encode()),
        }
        write_as(out, makers, own=self.own)

    def _data(self) -> dict[str, Any]:
        return overdyes.overdye_data(self)

    def words(self) -> str:
        """The chart in a sentence.

        Returns
        -------
        str
            In the language that is spoken.
        """
        return str(say("notebook.overdye", title=self.title, dyes=self.dyes))


def overdye(
    dyes: DyeSource = dyebooks.DEMO,
    *,
    folder: StrPath | None = None,
    only: str | Iterable[str] = (),
    use_pots: bool = False,
    cloth: str | None = None,
    strength: float = 1.0,
    under: float | None = None,
    light: str = "D65",
    look: Look = "dry",
) -> OverdyeChart:
    """Every dye over every dye of a book or design, as values.

    Parameters
    ----------
    dyes, folder : optional
        The dyes: see `spectra`.
    only : str or iterable of str, optional
        Names of the dyes and pots to chart.
    use_pots : bool, default: False
        Chart a design's pots, not its dyes.
    cloth : str, optional
        Colour of the undyed cloth, "#rrggbb"; the source's own when left out.
    strength : float, default: 1
        Full strengths of the dye that goes on last.
    under : float, optional
        Full strengths of the dye beneath, the same when left out.
    light : {"D65", "D50", "A", "LED"}
        By which it is seen.
    look : {"dry", "wet"}
        Whether the cloth is dry or wet.

    Returns
    -------
    OverdyeChart
        Colours, names, and what turns to mud.

    Raises
    ------
    BatikError
        For a book or a design that can't be read, and for names or options that there are not.

    Examples
    --------
    >>> chart = batiksim.overdye("demo", only=["lemon", "turquoise", "magenta"])
    >>> chart.lab.shape
    (3, 3, 3)
    """
    there = dyes_of(dyes, folder=folder, cloth=cloth)
    chosen = chosen_pots(there, only=only, use_pots=use_pots)
    chart = overdyes.overdye(
        there.dyes, chosen, title=there.title, strength=strength, under=under, light=light, look=look
    )
    return OverdyeChart(**vars(chart) | {"notes": (*chart.notes, *there.about_cloth)}, of=there.origin, own=there.own)


def chosen_pots(there: DyesOnCloth, *, only: str | Iterable[str] = (), use_pots: bool = False) -> list[Pot]:
    """The dyes and pots named in `only`; else a design's pots, or every dye as a pot of its own."""
    known, only = there.known, codes(only, "only")
    for name in only:
        if name not in known:
            fix = nearest(name, known)
            raise BatikError("jobs.error.no_such_dye_or_pot", field="only", got=name, fix=fix)
    if use_pots and not there.pots:
        raise BatikError("jobs.error.no_pots", field="use_pots")
    names = only or ([pot.name for pot in there.pots] if use_pots else list(there.dyes.dyes))
    return [known[name] for name in dict.fromkeys(names)]


def _write_page_png(file: BinaryIO, page: Page) -> None:
    picture = page_picture(page)
    images.write_png(file, picture, width_mm=picture.shape[1] / DOTS_PER_INCH * 25.4)
