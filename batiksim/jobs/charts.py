"""Charts of a book or design: strength ladders, dye spectra, the colours of a cloth in their plane."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.journeys import journeys
from batiksim.colour.gamut import lab_to_hex, xyz_to_hex
from batiksim.colour.spectra import BANDS_NM, reflectance_to_xyz, resample
from batiksim.colour.viewing import DAY
from batiksim.dyes.ladders import ladder, spectra
from batiksim.errors import BatikError, nearest
from batiksim.files.measurements.swatches import read_swatches
from batiksim.files.reports import report_text
from batiksim.files.toml import dyebooks
from batiksim.jobs.dyes import DyeSource, chosen_pots, dyes_of
from batiksim.jobs.envelope import Origin
from batiksim.jobs.projects import open_design, write_as
from batiksim.jobs.results import ShownResult
from batiksim.sheets.charts.curves import ladder_chart, spectra_chart
from batiksim.sheets.charts.figures import figure_bytes
from batiksim.sheets.charts.figures import use_chart_style as use_chart_style
from batiksim.sheets.charts.lab_plane import plane_chart
from batiksim.texts.catalogue import Message, say
from batiksim.types import StrPath
from batiksim.values import DyeBook, Layers, Pot, Swatch
from batiksim.values.light_words import seen_as
from batiksim.values.plain_data import plain
from batiksim.values.rules import Number

if TYPE_CHECKING:
    from matplotlib.figure import Figure

CHARTS = ("ladders", "spectra", "colours")
_STRENGTH = Number(low=0, high=10, above=True, share=True, help="The strongest on the ladder.")
NOTEBOOK_DPI = 110

PLANE_PX = 800  # width at which a cloth is looked over for its colours
STRENGTHS = tuple(2.0 ** (half / 2) for half in range(-8, 3))  # a sixteenth to double, two to each doubling
Measured = Sequence[tuple[Layers, str]]
_Drawn = tuple["Figure", dict[str, Any]]  # a chart and what it shows


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Chart(ShownResult):
    """A chart as drawn, and as data; a notebook shows it as it is.

    Attributes
    ----------
    kind : str
        One of `CHARTS`.
    figure : matplotlib.figure.Figure
        The drawing.
    shown : dict
        What it shows.

    See Also
    --------
    chart : Makes one.
    """

    kind: str
    figure: Figure
    shown: dict[str, Any]
    of: Origin
    own: tuple[Path, ...] = ()

    def __repr__(self) -> str:
        return f"<Chart of {self.kind}: {self.of.title!r}>"

    @property
    def origin(self) -> Origin:
        """The design or dye book that is charted."""
        return self.of

    @property
    def light(self) -> str:
        """By which its colours are seen."""
        return str(self.shown["light"])

    def save(self, out: StrPath) -> None:
        """Write the chart as what the ending says: .png, .pdf, .svg, or .json for its data.

        Parameters
        ----------
        out : str or path-like
            The file to write.

        Raises
        ------
        BatikError
            For other endings, and for a file that the chart is made from.
        """
        makers: dict[str, Callable[[BinaryIO], object]] = {
            ".png": lambda file: file.write(figure_bytes(self.figure, "png")),
            ".pdf": lambda file: file.write(figure_bytes(self.figure, "pdf")),
            ".svg": lambda file: file.write(figure_bytes(self.figure, "svg")),
            ".json": lambda file: file.write(report_text(self.data(), marked=True).encode()),
        }
        write_as(out, makers, own=self.own)

    def words(self) -> str:
        """The chart in a sentence.

        Returns
        -------
        str
            In the language that is spoken.
        """
        return str(say(f"notebook.chart.{self.kind}", title=self.of.title))

    def _data(self) -> dict[str, Any]:
        return {"kind": self.kind} | self.shown

    def _repr_png_(self) -> bytes:
        return figure_bytes(self.figure, "png", dpi=NOTEBOOK_DPI)


def chart(
    kind: str,
    source: DyeSource = dyebooks.DEMO,
    *,
    folder: StrPath | None = None,
    masks: Mapping[str, Any] | None = None,
    only: str | Iterable[str] = (),
    use_pots: bool = False,
    cloth: str | None = None,
    strength: float = 1.0,
    light: str = DAY,
    measured: Measured | StrPath = (),
) -> Chart:
    """Draw a chart for a lesson.

    Parameters
    ----------
    kind : {"ladders", "spectra", "colours"}
        Each dye from weak to strong; what each throws back of daylight; where the colours of a design lie in the
        CIELAB plane, and how each came there.
    source : str, path-like, Design or DyeBook, default: "demo"
        A dye book's .toml file, "demo" for the built-in book, or a design; "colours" needs a design.
    folder, masks : optional
        Where the pictures of a design in memory are: see `preview`.
    only : str or iterable of str, optional
        Names of the dyes and pots to chart.
    use_pots : bool, default: False
        Chart a design's pots, not its dyes.
    cloth : str, optional
        Colour of the undyed cloth, "#rrggbb"; the source's own when left out.
    strength : float, default: 1
        Full strengths of each dye, for "spectra".
    light : {"D65", "D50", "A", "LED"}
        By which it is seen.
    measured : str, path-like or sequence, optional
        Swatches to lay on the ladders: a table's file, or what each was dyed with and its "#rrggbb".

    Returns
    -------
    Chart
        The drawing and its data.

    Raises
    ------
    BatikError
        For what can't be drawn, and for names or options that there are not.

    Examples
    --------
    >>> batiksim.chart("spectra", "demo", only=["lemon", "turquoise"])
    <Chart of spectra: 'Demo dyes (invented)'>
    """
    if kind not in CHARTS:
        raise BatikError("jobs.error.no_such_chart", field="kind", got=kind, fix=nearest(kind, CHARTS))
    strength = _STRENGTH.check(strength, "strength")
    if kind == "colours":
        return _colours(source, folder, masks, light)
    there = dyes_of(source, folder=folder, cloth=cloth)
    request = _Request(
        pots=chosen_pots(there, only=only, use_pots=use_pots),
        what="pot" if use_pots else "dye",
        strength=strength,
        light=light,
    )
    own = list(there.own)
    if kind == "spectra":
        figure, data = _spectra(there.dyes, request)
    else:
        own += [Path(measured)] if isinstance(measured, str | os.PathLike) else []
        figure, data = _ladders(there.dyes, request, measured)
    return Chart(kind=kind, figure=figure, shown=data, of=there.origin, own=tuple(own))


@dataclass(frozen=True, kw_only=True)
class _Request:
    pots: list[Pot]
    what: str
    strength: float
    light: str


def _titled(title: Message, light: str) -> str:
    """A chart's title, with the light where it isn't daylight."""
    return str(title if light == DAY else say("jobs.chart.seen", title=title, seen=seen_as(light, "dry")))


def _ladders(dyes: ClothDyes, request: _Request, measured: Measured | StrPath) -> _Drawn:
    if isinstance(measured, str | os.PathLike):
        measured = [(swatch.layers, _swatch_hex(swatch)) for swatch in read_swatches(measured, known=dyes.dyes)]
    if measured and request.light != DAY:
        raise BatikError("jobs.error.swatches_by_day", field="light", got=request.light)
    low, high = STRENGTHS[0], STRENGTHS[-1]
    alone = [(layers[0], shown) for layers, shown in measured if len(layers) == 1]
    ladders = [
        ladder(
            dyes,
            replace(pot, strength=1.0),
            STRENGTHS,
            measured=[(at, shown) for (name, at), shown in alone if name == pot.name and low <= at <= high],
            light=request.light,
        )
        for pot in request.pots
    ]
    figure = ladder_chart(ladders, title=_titled(say(f"jobs.chart.ladders.{request.what}"), request.light))
    return figure, {"light": request.light, "strengths": list(STRENGTHS), f"{request.what}s": plain(ladders)}


def _swatch_hex(swatch: Swatch) -> str:
    if swatch.samples:
        nm, values = np.array(swatch.samples, dtype=np.float64).T
        return xyz_to_hex(reflectance_to_xyz(resample(nm, values)))
    return lab_to_hex(np.array(swatch.lab)) if swatch.lab is not None else str(swatch.colour)


def _spectra(dyes: ClothDyes, request: _Request) -> _Drawn:
    light, strength = request.light, request.strength
    curves = spectra(dyes, request.pots, strength=strength, light=light)
    title = say(f"jobs.chart.spectra.{request.what}")
    if strength != 1:
        title = say("jobs.chart.at_strength", title=title, strength=strength)
    nm = [int(nm) for nm in BANDS_NM]
    figure = spectra_chart(curves, title=_titled(title, light))
    return figure, {"nm": nm, "light": light, "strength": strength, f"{request.what}s": plain(curves)}


def _colours(source: DyeSource, folder: StrPath | None, masks: Mapping[str, Any] | None, light: str) -> Chart:
    if isinstance(source, DyeBook):
        raise BatikError("jobs.error.book_without_cloth", field="source", got=source.title)
    if isinstance(source, str | os.PathLike):
        there = os.path.exists(source)
        if os.fspath(source) == dyebooks.DEMO or (there and not dyebooks.is_design(source)):
            raise BatikError("jobs.error.book_without_cloth", field="source", got=os.fspath(source))
    project = open_design(source, folder=folder, masks=masks, width_px=PLANE_PX)
    title = project.design.title
    ways = journeys(project.outcome, light=light)
    figure = plane_chart(ways, title=_titled(say("jobs.chart.colours", title=title), light), light=light)
    shown = {"light": light, "colours": plain(ways)}
    return Chart(kind="colours", figure=figure, shown=shown, of=project.origin, own=tuple(project.source.own))
