"""Values and pictures as a notebook shows them: small pieces of HTML that need nothing from elsewhere.

Colours are shown beside their names, pictures have a text in their stead, and all text keeps the notebook's own colour,
so that it can be read on a light ground and on a dark one.
"""

import base64
from collections.abc import Iterable, Sequence
from functools import singledispatch
from html import escape
from typing import Any

import numpy as np

from batiksim.cloth.dyes_on_cloth import cloth_dyes
from batiksim.colour.gamut import xyz_to_hex
from batiksim.colour.spectra import BANDS_NM, reflectance_to_xyz
from batiksim.dyes.recipes import dilution_words, recipe_words
from batiksim.errors import BatikError
from batiksim.files.toml.designs import with_dyes_read
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Floats
from batiksim.values import Cloth, Design, Dye, Finding, Pot, Region
from batiksim.values.colour_words import history_words
from batiksim.values.step_words import step_words

WIDE, HIGH = 186, 64  # of a curve, in pixels
_FIRST, _LAST = float(BANDS_NM[0]), float(BANDS_NM[-1])
_SWATCH = "display:inline-block;width:{wide}em;height:{high}em;border-radius:3px;vertical-align:middle"
_QUIET = "opacity:.75"
_SEVERITIES = {"serious": "#a33b2e", "warn": "#c8892b", "note": "#4d7358"}


@singledispatch
def html_of(value: Any) -> str:
    """A value as HTML. Raises TypeError for one that a notebook shows by its fields alone."""
    raise TypeError(f"{type(value).__name__} has no picture of its own")


def picture_html(png: bytes, *, alt: str) -> str:
    """A picture, as a PNG file's bytes, with what it shows in words."""
    data = base64.b64encode(png).decode()
    style = "max-width:min(100%,60em);height:auto"
    return f'<img src="data:image/png;base64,{data}" alt="{escape(alt)}" title="{escape(alt)}" style="{style}">'


def swatch(hexed: str, *, wide: float = 2.2, high: float = 1.3) -> str:
    """A piece of dyed cloth; its colour is named beside it."""
    return f'<span style="{_SWATCH.format(wide=wide, high=high)};background:{escape(hexed)}" aria-hidden="true"></span>'


def curve(reflectance: Sequence[float] | Floats, hexed: str, *, alt: str) -> str:
    """Reflectance at `BANDS_NM` as a line over the colours of light, 400 to 700 nm."""
    x = (BANDS_NM - _FIRST) / (_LAST - _FIRST) * WIDE
    y = HIGH * (1 - np.clip(np.asarray(reflectance, dtype=np.float64), 0, 1))
    points = " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(x.tolist(), y.tolist(), strict=True))
    ends = f"{int(_FIRST)} nm", f"{int(_LAST)} nm"
    return (
        f'<svg role="img" aria-label="{escape(alt)}" viewBox="-1 -2 {WIDE + 2} {HIGH + 18}" width="{WIDE + 2}"'
        f' height="{HIGH + 20}" style="vertical-align:middle"><polygon points="0,{HIGH} {points} {WIDE},{HIGH}"'
        f' fill="{escape(hexed)}" fill-opacity=".35"/><polyline points="{points}" fill="none" stroke="{escape(hexed)}"'
        f' stroke-width="2.5"/><path d="M0,{HIGH}H{WIDE}" stroke="currentColor" stroke-opacity=".4"/>'
        f'<text x="0" y="{HIGH + 13}" font-size="10" fill="currentColor" opacity=".75">{ends[0]}</text><text x="{WIDE}"'
        f' y="{HIGH + 13}" font-size="10" fill="currentColor" opacity=".75" text-anchor="end">{ends[1]}</text></svg>'
    )


def listed_html(parts: Iterable[str], *, ordered: bool = False) -> str:
    """Pieces of HTML as a list."""
    tag = "ol" if ordered else "ul"
    items = "".join(f"<li>{part}</li>" for part in parts)
    return f'<{tag} style="margin:.3em 0">{items}</{tag}>'


def table_html(head: Sequence[Message | str], rows: Iterable[Sequence[str]]) -> str:
    """A table of pieces of HTML."""
    titles = "".join(f'<th scope="col" style="text-align:left">{escape(str(title))}</th>' for title in head)
    lines = ["".join(f'<td style="text-align:left">{cell}</td>' for cell in row) for row in rows]
    body = "".join(f"<tr>{cells}</tr>" for cells in lines)
    return f"<table><thead><tr>{titles}</tr></thead><tbody>{body}</tbody></table>"


@html_of.register
def _(region: Region) -> str:
    words = f"{region.shown}, {history_words(region.history)}, {percent(region.share)}"
    name, hexed = escape(str(region.shown)), escape(region.hex)
    line = f"{swatch(region.hex)} <b>{name}</b> <code>{hexed}</code> {percent(region.share)}"
    history = f'<br><span style="{_QUIET}">{escape(history_words(region.history))}</span>'
    drawn = curve(region.reflectance, region.hex, alt=words) if region.reflectance else ""
    return f"<div>{line}{history}<br>{drawn}</div>" if drawn else f"<div>{line}{history}</div>"


@html_of.register
def _(finding: Finding) -> str:
    severity = say(f"cli.finding.{finding.severity}")
    badge = f'<b style="color:{_SEVERITIES[finding.severity]}">{escape(str(severity))}</b>'
    where = say("cli.finding.at_step", step=finding.step, code=finding.code) if finding.step else finding.code
    text = f"{badge} ({escape(str(where))}): {escape(str(finding.message))} {escape(str(finding.remedy))}"
    return f"<div>{text}{listed_html(escape(str(remedy)) for remedy in finding.remedies)}</div>"


@html_of.register
def _(pot: Pot) -> str:
    return f"<div><b>{escape(pot.name)}</b>: {escape(str(recipe_words(pot)))}; {escape(str(dilution_words(pot)))}</div>"


@html_of.register
def _(dye: Dye) -> str:
    shown = _curve_of(dye)
    if shown is None:
        return f"<div><b>{escape(dye.name)}</b></div>"
    hexed, reflectance = shown
    words = say("notebook.dye.measured" if dye.samples else "notebook.dye.estimated")
    alt = say("notebook.dye.curve", dye=dye.name)
    return (
        f"<div>{swatch(hexed)} <b>{escape(dye.name)}</b> <code>{hexed}</code><br>"
        f'{curve(reflectance, hexed, alt=str(alt))}<br><span style="{_QUIET}">{escape(str(words))}</span></div>'
    )


def _curve_of(dye: Dye) -> tuple[str, Floats] | None:
    """Colour and reflectance of a dye at full strength on cotton; None where it is still to be read from a file."""
    try:
        (known,) = with_dyes_read(Design(title="dye", cloth=Cloth(width_mm=100), dyes=(dye,)), None).dyes
    except BatikError:
        return None
    dyes = cloth_dyes(Cloth(width_mm=100), (known,))
    reflectance = dyes.reflectance(dyes.dyes[dye.name].ks)
    return xyz_to_hex(reflectance_to_xyz(reflectance)), reflectance


@html_of.register
def _(design: Design) -> str:
    wide = say("notebook.design.wide", width=design.cloth.width_mm)
    dyes = "".join(f"{_small(dye)} {escape(dye.name)} &ensp;" for dye in design.dyes)
    pots = listed_html(f"<b>{escape(pot.name)}</b>: {escape(str(recipe_words(pot)))}" for pot in design.pots)
    steps = listed_html(
        (
            ": ".join(escape(str(words)) for words in step_words(design, number) if words)
            for number in range(1, len(design.steps) + 1)
        ),
        ordered=True,
    )
    mixed = pots if design.pots else ""
    return f"<div><b>{escape(design.title)}</b>, {escape(str(wide))}<br>{dyes}{mixed}{steps}</div>"


def _small(dye: Dye) -> str:
    shown = _curve_of(dye)
    return "" if shown is None else swatch(shown[0], wide=1.1, high=1.1)


def regions_html(regions: Sequence[Region], findings: Sequence[Finding]) -> str:
    """The colours that a cloth ends with, and what was noticed."""
    head = [say(f"cli.column.{name}") for name in ("colour", "name", "share", "dyed")]
    rows = [
        (
            f"{swatch(region.hex)} <code>{escape(region.hex)}</code>",
            escape(str(region.shown)),
            str(percent(region.share)),
            escape(history_words(region.history)),
        )
        for region in regions
    ]
    return table_html(head, rows) + "".join(map(html_of, findings))
