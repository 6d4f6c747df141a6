"""Pots, matches and overdyes of a book or a design."""

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import BinaryIO

from batiksim.cloth.dyes_on_cloth import ClothDyes, cloth_dyes
from batiksim.dyes import match_report, pot_colour
from batiksim.dyes import overdye as overdyes
from batiksim.dyes.match_report import Matched as Matched
from batiksim.dyes.match_report import match_data as match_data
from batiksim.dyes.other_cloth import cloth_notes
from batiksim.dyes.overdye import overdye_data as overdye_data
from batiksim.dyes.pot_colour import PotColour as PotColour
from batiksim.dyes.pot_colour import PotLook as PotLook
from batiksim.dyes.recipes import amount_words as amount_words
from batiksim.dyes.recipes import pot_data as pot_data
from batiksim.dyes.target_colour import ground_of, wanted_dye_or_colour
from batiksim.errors import BatikError, argument, at_argument, nearest
from batiksim.files import reports
from batiksim.files.pictures import images
from batiksim.files.sources import source_files
from batiksim.files.toml import designs, dyebooks
from batiksim.jobs.projects import write_as
from batiksim.sheets.charts.overdye import overdye_page
from batiksim.sheets.match import match_sheet
from batiksim.sheets.pages import DOTS_PER_INCH, Page, page_pdf, page_picture
from batiksim.sheets.pot import pot_sheet
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import capital, listed
from batiksim.types import Look, StrPath
from batiksim.values import Cloth, Design, Pot

DEMO_NOTE = say("jobs.note.demo_dyes")


@dataclass(frozen=True, kw_only=True)
class DyesOnCloth:
    """The dyes of a book or design on a cloth, the pots that the design names.

    notes : what to know of the dyes; about_cloth : and of the cloth they are shown on
    """

    dyes: ClothDyes
    pots: tuple[Pot, ...]
    notes: tuple[Message, ...]
    about_cloth: tuple[Message, ...]
    title: str


def dyes_of(source: StrPath = dyebooks.DEMO, *, cloth: str | None = None) -> DyesOnCloth:
    """The dyes of a dye book's .toml file, of a design (its folder or file), or of "demo", the built-in book.

    cloth : colour of the undyed cloth; the design's own, or that of the cloth the dyes were seen on, when left out
    """
    if os.fspath(source) == dyebooks.DEMO or not dyebooks.is_design(source):
        book = dyebooks.read_book(source)
        there = dyes_of_design(Design(title="book", cloth=Cloth(width_mm=100), dyes=book.dyes), cloth=cloth)
        return replace(there, notes=(DEMO_NOTE,) if book.name == dyebooks.DEMO else (), title=book.title)
    return dyes_of_design(designs.read_design(source), cloth=cloth)


def dyes_of_design(design: Design, *, cloth: str | None = None) -> DyesOnCloth:
    """The same of a design that is read already."""
    with at_argument("cloth"):
        under = design.cloth if cloth is None else replace(design.cloth, colour=cloth)
    dyes = cloth_dyes(under, design.dyes)
    about = cloth_notes(under, dyes, design.dyes)
    return DyesOnCloth(dyes=dyes, pots=design.pots, notes=(), about_cloth=about, title=design.title)


def pot(
    recipe: str,
    *,
    source: StrPath = dyebooks.DEMO,
    cloth: str | None = None,
    strength: float | None = None,
    ml: float | None = None,
    light: str = "D65",
) -> pot_colour.PotLook:
    """One pot on cloth: dry, wet, the solution, what goes into it, what one part more of each dye does.

    Its notes also tell pots of other dyes that match it under this light and part from it under another.

    recipe : "lemon=5, turquoise=1, navy=3 drops", or the name of a pot where `source` is a design
    strength, ml : 1 and unknown when left out, or as the named pot says
    light : by which it is seen, one of `spectra.LIGHTS`
    """
    there = dyes_of(source, cloth=cloth)
    pot = next((one for one in there.pots if one.name == recipe), None)
    if pot is None:
        pot = pot_colour.read_pot(recipe, there.dyes.dyes, strength=1.0 if strength is None else strength, ml=ml)
    else:
        pot = replace(pot, strength=pot.strength if strength is None else strength, ml=pot.ml if ml is None else ml)
    look = pot_colour.pot_look(there.dyes, pot, light=light)
    return replace(look, notes=(*look.notes, *match_report.twins(there.dyes, look), *there.about_cloth, *there.notes))


@dataclass(frozen=True, kw_only=True)
class MatchRequest:
    """What pots to look for.

    most_dyes, most_parts : at most so many dyes in a pot, and parts of each; count : how many pots to name
    ground : what lies on the cloth already, as the pot that dyed it ("lemon=1, turquoise=1") or as a colour
    light : by which the cloth should look so, one of `spectra.LIGHTS`
    """

    most_dyes: int = 3
    most_parts: int = 8
    ground: str | None = None
    light: str = "D65"
    count: int = 5


USUAL_MATCH = MatchRequest()


def match(
    colour: str, request: MatchRequest = USUAL_MATCH, *, source: StrPath = dyebooks.DEMO, cloth: str | None = None
) -> match_report.Matched:
    """The pots nearest to a wanted colour.

    colour : "#c05f7a", a colour name ("deep yellowish pink"), or a dye, pot or recipe as it dries on bare cloth
    """
    there = dyes_of(source, cloth=cloth)
    wanted = wanted_dye_or_colour(colour, there.dyes, there.pots, light=request.light)
    ground = None if request.ground is None else ground_of(request.ground, there.dyes, there.pots)
    found = match_report.matched(there.dyes, wanted, **(vars(request) | {"ground": ground}))
    return replace(found, notes=(*found.notes, *there.about_cloth, *there.notes))


def save_pot(look: pot_colour.PotLook, out: StrPath, *, source: StrPath = dyebooks.DEMO) -> None:
    """Draw a pot as a picture of dyed cloth.

    source : where its dyes are from, whose own files are never written over
    errors : BatikError for another ending than .png, for a file of the source, or when it can't be written
    """
    look, title = replace(look, notes=_drawn_notes(look.notes)), capital(listed(look.pot.dyes))
    write_as(out, {".png": lambda file: images.write_png(file, pot_sheet(look, title=title))}, own=source_files(source))


def save_match(found: match_report.Matched, out: StrPath, *, source: StrPath = dyebooks.DEMO) -> None:
    """Draw found pots as dyed cloth beside the wanted colour. Arguments and errors as of `save_pot`."""
    found = replace(found, notes=_drawn_notes(found.notes))
    write_as(out, {".png": lambda file: images.write_png(file, match_sheet(found))}, own=source_files(source))


def _drawn_notes(notes: tuple[Message, ...]) -> tuple[Message, ...]:
    """Notes for a picture, which takes no options."""
    return tuple(say("jobs.note.demo_dyes_drawn") if note == DEMO_NOTE else note for note in notes)


@dataclass(frozen=True, kw_only=True)
class ChartRequest:
    """What of a dye book or a design is charted, and how it is seen.

    only : names of the dyes and pots to chart; use_pots : chart a design's pots, not its dyes
    cloth : colour of the undyed cloth, the source's own when left out
    strength : full strengths of each dye; light : by which it is seen, one of `spectra.LIGHTS`
    """

    only: Sequence[str] = ()
    use_pots: bool = False
    cloth: str | None = None
    strength: float = 1.0
    light: str = "D65"

    @property
    def what(self) -> str:
        """What is charted: "pot" or "dye"."""
        return "pot" if self.use_pots else "dye"


USUAL_CHART = ChartRequest()


def overdye(
    source: StrPath, request: ChartRequest = USUAL_CHART, *, under: float | None = None, look: Look = "dry"
) -> overdyes.Overdye:
    """Every dye over every dye of a book or design, as values.

    under : full strengths of the dye beneath, the same as of the one on top when left out
    """
    there = dyes_of(source, cloth=request.cloth)
    chart = overdyes.overdye(
        there.dyes,
        chosen_pots(there, source, only=request.only, use_pots=request.use_pots),
        title=there.title,
        strength=request.strength,
        under=under,
        light=request.light,
        look=look,
    )
    return replace(chart, notes=(*chart.notes, *there.about_cloth))


def chosen_pots(there: DyesOnCloth, source: StrPath, *, only: Sequence[str] = (), use_pots: bool = False) -> list[Pot]:
    """The dyes and pots named in `only`; else a design's pots, or every dye as a pot of its own."""
    known = {name: Pot(name=name, parts={name: 1.0}) for name in there.dyes.dyes}
    known |= {pot.name: pot for pot in there.pots}
    for name in only:
        if name not in known:
            fix = nearest(name, known)
            raise BatikError("jobs.error.no_such_dye_or_pot", field="only", got=name, fix=fix)
    if use_pots and not there.pots:
        raise BatikError("jobs.error.no_pots", field="use_pots", pots=argument("use_pots"))
    names = only or ([pot.name for pot in there.pots] if use_pots else list(there.dyes.dyes))
    return [known[name] for name in dict.fromkeys(names)]


def save_overdye(chart: overdyes.Overdye, out: StrPath, *, source: StrPath = dyebooks.DEMO) -> None:
    """Write an overdye chart as what the ending of `out` says: .png, .pdf, .csv or .json.

    source : what it was charted from, whose own files are never written over
    errors : BatikError for other endings, for a file of the source, or when it can't be written
    """
    makers: dict[str, Callable[[BinaryIO], object]] = {
        ".png": lambda file: _write_page_png(file, overdye_page(chart)),
        ".pdf": lambda file: file.write(page_pdf(overdye_page(chart))),
        ".csv": lambda file: file.write(reports.table_text(overdyes.overdye_rows(chart)).encode()),
        ".json": lambda file: file.write(reports.report_text(overdye_data(chart), marked=True).encode()),
    }
    write_as(out, makers, own=source_files(source))


def _write_page_png(file: BinaryIO, page: Page) -> None:
    picture = page_picture(page)
    images.write_png(file, picture, width_mm=picture.shape[1] / DOTS_PER_INCH * 25.4)
