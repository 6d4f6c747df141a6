"""Charts of a book or design: strength ladders, dye spectra, the colours of a cloth in their plane."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from batiksim.cloth.journeys import journeys
from batiksim.colour.spaces import lab_to_hex, xyz_to_hex
from batiksim.colour.spectra import BANDS_NM, reflectance_to_xyz, resample
from batiksim.colour.viewing import DAY, seen_as
from batiksim.dyes.ladders import ladder, spectra
from batiksim.errors import BatikError, nearest
from batiksim.files.measurements.swatches import read_swatches
from batiksim.files.outputs import output_file
from batiksim.files.reports import report_text
from batiksim.files.sources import keep_apart, source_files
from batiksim.files.toml import designs, dyebooks
from batiksim.jobs.dyes import DyesOnCloth, chosen_pots, dyes_of, dyes_of_design
from batiksim.jobs.projects import Project, open_design, own_files
from batiksim.sheets.charts.curves import ladder_chart, spectra_chart
from batiksim.sheets.charts.figures import FigureKind, figure_bytes
from batiksim.sheets.charts.lab_plane import plane_chart
from batiksim.values import Layers, Pot, Swatch
from batiksim.values.fields import as_share

if TYPE_CHECKING:
    from matplotlib.figure import Figure

CHARTS = ("ladders", "spectra", "colours")
MOST_STRENGTH = 10.0
NOTEBOOK_DPI = 110
__all__ = ["CHARTS", "Chart", "draw_chart", "save_chart"]

PLANE_PX = 800  # width at which a cloth is looked over for its colours
STRENGTHS = tuple(2.0 ** (half / 2) for half in range(-8, 3))  # a sixteenth to double, two to each doubling
Source = str | os.PathLike[str] | Project
Measured = Sequence[tuple[Layers, str]]


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


def draw_chart(
    kind: str,
    source: Source = dyebooks.DEMO,
    *,
    only: Sequence[str] = (),
    use_pots: bool = False,
    strength: float = 1.0,
    cloth: str | None = None,
    measured: Measured | str | os.PathLike[str] = (),
    light: str = "D65",
) -> Chart:
    """Draw one of `CHARTS`: "ladders" or "spectra" of a dye book, "demo" or a design, "colours" of a design.

    only, use_pots, cloth : as for `overdye_chart`; strength : of the dyes whose spectra are drawn
    measured : swatches to lay on the ladders: a table's file, or what each was dyed with and its "#rrggbb"
    light : by which the colours are seen, one of `spectra.LIGHTS`
    errors : BatikError for what can't be drawn
    """
    if kind not in CHARTS:
        raise BatikError("is no chart I draw", field="chart", got=kind, fix=nearest(kind, CHARTS))
    if not 0 < strength <= MOST_STRENGTH:
        fix = f"use a number above 0, up to {MOST_STRENGTH:g}{as_share(strength, MOST_STRENGTH)}"
        raise BatikError("can't be", field="--strength", got=strength, fix=fix)
    as_seen = "" if light == DAY else f", {seen_as(light, 'dry')}"
    if kind == "colours":
        return _colours(source, light, as_seen)
    there = dyes_of_design(source.design, cloth=cloth) if isinstance(source, Project) else dyes_of(source, cloth=cloth)
    where = source.folder if isinstance(source, Project) else source
    pots = chosen_pots(there, where, only=only, use_pots=use_pots)
    own = () if os.fspath(where) == dyebooks.DEMO else tuple(source_files(where))
    asked = _Asked(there=there, pots=pots, what="pot" if use_pots else "dye", own=own, light=light, as_seen=as_seen)
    return _spectra(asked, strength) if kind == "spectra" else _ladders(asked, measured)


@dataclass(frozen=True, kw_only=True)
class _Asked:
    there: DyesOnCloth
    pots: list[Pot]
    what: str
    own: tuple[Path, ...]
    light: str
    as_seen: str


def _ladders(asked: _Asked, measured: Measured | str | os.PathLike[str]) -> Chart:
    own = asked.own
    if isinstance(measured, str | os.PathLike):
        own = (*own, Path(measured))
        measured = [(one.layers, _swatch_hex(one)) for one in read_swatches(measured, known=asked.there.dyes.dyes)]
    if measured and asked.light != DAY:
        fix = "leave out --light, or the swatches"
        raise BatikError("swatches are measured by daylight", field="--light", got=asked.light, fix=fix)
    low, high = STRENGTHS[0], STRENGTHS[-1]
    alone = [(layers[0], shown) for layers, shown in measured if len(layers) == 1]
    ladders = [
        ladder(
            asked.there.dyes,
            replace(pot, strength=1.0),
            STRENGTHS,
            measured=[(at, shown) for (name, at), shown in alone if name == pot.name and low <= at <= high],
            light=asked.light,
        )
        for pot in asked.pots
    ]
    data = {
        "light": asked.light,
        "strengths": list(STRENGTHS),
        f"{asked.what}s": [
            {"name": one.name, "colours": list(one.colours), "measured": [list(pair) for pair in one.measured]}
            for one in ladders
        ],
    }
    figure = ladder_chart(ladders, title=f"How each {asked.what} grows with its strength{asked.as_seen}")
    return Chart(figure=figure, data={"title": asked.there.title, **data}, own=own)


def _swatch_hex(one: Swatch) -> str:
    if one.samples:
        nm, values = np.array(one.samples, dtype=np.float64).T
        return xyz_to_hex(reflectance_to_xyz(resample(nm, values)))
    return lab_to_hex(np.array(one.lab)) if one.lab is not None else str(one.colour)


def _spectra(asked: _Asked, strength: float) -> Chart:
    found = spectra(asked.there.dyes, asked.pots, strength=strength, light=asked.light)
    words = "" if strength == 1 else f", at {strength:g} of its strength"
    of_light = "of daylight" if asked.light == DAY else f"of light{asked.as_seen}"
    figure = spectra_chart(found, title=f"What each {asked.what} throws back {of_light}{words}")
    data = {
        "nm": [int(nm) for nm in BANDS_NM],
        "light": asked.light,
        "strength": strength,
        f"{asked.what}s": [
            {"name": one.name, "hex": one.colour, "reflectance": one.reflectance.round(5).tolist()} for one in found
        ],
    }
    return Chart(figure=figure, data={"title": asked.there.title, **data}, own=asked.own)


def _colours(source: Source, light: str, as_seen: str) -> Chart:
    file: tuple[Path, ...] = ()
    if not isinstance(source, Project):
        there = os.path.exists(source)
        if os.fspath(source) == dyebooks.DEMO or (there and not dyebooks.is_design(source)):
            fix = "give a design's folder or .toml file; ladders and spectra take a dye book"
            raise BatikError("is a dye book, which has no cloth", field="chart colours", got=os.fspath(source), fix=fix)
        file = (designs.design_file(source),)
        source = open_design(source, width_px=PLANE_PX)
    design = source.design
    ways = journeys(source.outcome, light=light)
    found = [
        {
            "share": round(one.share, 4),
            "history": list(one.history),
            "hex": one.hex,
            "name": one.name,
            "labs": [[round(value, 2) for value in lab] for lab in one.labs],
        }
        for one in ways
    ]
    figure = plane_chart(ways, title=f"{design.title}: where its colours lie{as_seen}", light=light)
    own = (*own_files(source), *file)
    return Chart(figure=figure, data={"title": design.title, "light": light, "colours": found}, own=own)


def save_chart(chart: Chart, out: str | os.PathLike[str]) -> None:
    """Write a chart as what the ending of `out` says: .png, .pdf, .svg, or .json for its data.

    errors : BatikError for other endings, and for a file that the chart is made from
    """
    ending = Path(out).suffix.lower()
    kinds: dict[str, FigureKind] = {".png": "png", ".pdf": "pdf", ".svg": "svg"}
    if ending not in (*kinds, ".json"):
        fix = f"end its name in {', '.join(kinds)} or .json"
        raise BatikError("is not a kind of file that a chart can be", field="--out", got=Path(out).name, fix=fix)
    keep_apart(out, chart.own)
    told = ending == ".json"
    made = report_text(chart.data, marked=True).encode() if told else figure_bytes(chart.figure, kinds[ending])
    with output_file(out) as file:
        file.write(made)
