"""Charts of a book or design: strength ladders, dye spectra, the colours of a cloth in their plane."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
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
from batiksim.errors import BatikError, argument, nearest
from batiksim.files.measurements.swatches import read_swatches
from batiksim.files.reports import report_text
from batiksim.files.sources import source_files
from batiksim.files.toml import designs, dyebooks
from batiksim.jobs.dyes import USUAL_CHART, ChartRequest, chosen_pots, dyes_of, dyes_of_design
from batiksim.jobs.projects import Project, open_design, own_files, write_as
from batiksim.sheets.charts.curves import ladder_chart, spectra_chart
from batiksim.sheets.charts.figures import figure_bytes
from batiksim.sheets.charts.lab_plane import plane_chart
from batiksim.texts.catalogue import Message, say
from batiksim.types import StrPath
from batiksim.values import Layers, Pot, Swatch
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
Source = StrPath | Project
Measured = Sequence[tuple[Layers, str]]
_Drawn = tuple["Figure", dict[str, Any]]  # a chart and what it shows


@dataclass(frozen=True, kw_only=True)
class Chart:
    """A chart as drawn, and as data; a notebook shows it as it is.

    own : files that it was made from
    """

    figure: Figure
    data: dict[str, Any]
    own: tuple[Path, ...] = ()

    def _repr_png_(self) -> bytes:
        return figure_bytes(self.figure, "png", dpi=NOTEBOOK_DPI)


def chart(
    kind: str, source: Source = dyebooks.DEMO, request: ChartRequest = USUAL_CHART, *, measured: Measured | StrPath = ()
) -> Chart:
    """Draw one of `CHARTS`: "ladders" or "spectra" of a dye book, "demo" or a design, "colours" of a design.

    measured : swatches to lay on the ladders: a table's file, or what each was dyed with and its "#rrggbb"
    errors : BatikError for what can't be drawn
    """
    if kind not in CHARTS:
        raise BatikError("jobs.error.no_such_chart", field="kind", got=kind, fix=nearest(kind, CHARTS))
    _STRENGTH.check(request.strength, "strength")
    if kind == "colours":
        return _colours(source, request.light)
    if isinstance(source, Project):
        there, where = dyes_of_design(source.design, cloth=request.cloth), source.folder
    else:
        there, where = dyes_of(source, cloth=request.cloth), Path(source)
    pots = chosen_pots(there, where, only=request.only, use_pots=request.use_pots)
    own = [] if os.fspath(where) == dyebooks.DEMO else source_files(where)
    if kind == "spectra":
        figure, data = _spectra(there.dyes, pots, request)
    else:
        own += [Path(measured)] if isinstance(measured, str | os.PathLike) else []
        figure, data = _ladders(there.dyes, pots, request, measured)
    return Chart(figure=figure, data={"title": there.title, **data}, own=tuple(own))


def _titled(title: Message, light: str) -> str:
    """A chart's title, with the light where it isn't daylight."""
    return str(title if light == DAY else say("jobs.chart.seen", title=title, seen=seen_as(light, "dry")))


def _ladders(dyes: ClothDyes, pots: list[Pot], request: ChartRequest, measured: Measured | StrPath) -> _Drawn:
    if isinstance(measured, str | os.PathLike):
        measured = [(swatch.layers, _swatch_hex(swatch)) for swatch in read_swatches(measured, known=dyes.dyes)]
    if measured and request.light != DAY:
        raise BatikError("jobs.error.swatches_by_day", field="light", got=request.light, light=argument("light"))
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
        for pot in pots
    ]
    figure = ladder_chart(ladders, title=_titled(say(f"jobs.chart.ladders.{request.what}"), request.light))
    return figure, {"light": request.light, "strengths": list(STRENGTHS), f"{request.what}s": plain(ladders)}


def _swatch_hex(swatch: Swatch) -> str:
    if swatch.samples:
        nm, values = np.array(swatch.samples, dtype=np.float64).T
        return xyz_to_hex(reflectance_to_xyz(resample(nm, values)))
    return lab_to_hex(np.array(swatch.lab)) if swatch.lab is not None else str(swatch.colour)


def _spectra(dyes: ClothDyes, pots: list[Pot], request: ChartRequest) -> _Drawn:
    light, strength = request.light, request.strength
    curves = spectra(dyes, pots, strength=strength, light=light)
    title = say(f"jobs.chart.spectra.{request.what}")
    if strength != 1:
        title = say("jobs.chart.at_strength", title=title, strength=strength)
    nm = [int(nm) for nm in BANDS_NM]
    figure = spectra_chart(curves, title=_titled(title, light))
    return figure, {"nm": nm, "light": light, "strength": strength, f"{request.what}s": plain(curves)}


def _colours(source: Source, light: str) -> Chart:
    file: tuple[Path, ...] = ()
    if not isinstance(source, Project):
        there = os.path.exists(source)
        if os.fspath(source) == dyebooks.DEMO or (there and not dyebooks.is_design(source)):
            raise BatikError("jobs.error.book_without_cloth", field="source", got=os.fspath(source))
        file = (designs.design_file(source),)
        source = open_design(source, width_px=PLANE_PX)
    design = source.design
    ways = journeys(source.outcome, light=light)
    title = _titled(say("jobs.chart.colours", title=design.title), light)
    figure = plane_chart(ways, title=title, light=light)
    own = (*own_files(source), *file)
    return Chart(figure=figure, data={"title": design.title, "light": light, "colours": plain(ways)}, own=own)


def save_chart(chart: Chart, out: StrPath) -> None:
    """Write a chart as what the ending of `out` says: .png, .pdf, .svg, or .json for its data.

    errors : BatikError for other endings, and for a file that the chart is made from
    """
    makers: dict[str, Callable[[BinaryIO], object]] = {
        ".png": lambda file: file.write(figure_bytes(chart.figure, "png")),
        ".pdf": lambda file: file.write(figure_bytes(chart.figure, "pdf")),
        ".svg": lambda file: file.write(figure_bytes(chart.figure, "svg")),
        ".json": lambda file: file.write(report_text(chart.data, marked=True).encode()),
    }
    write_as(out, makers, own=chart.own)
