"""The sheet of a calibration strip: what to dye where at true size, and the way from there to a dye book."""

from collections.abc import Mapping
from typing import Any

from batiksim.calibration.strip_plan import COLUMNS, StripPlan
from batiksim.errors import BatikError, nearest
from batiksim.sheets.trace.layout import PAPERS
from batiksim.sheets.typesetting import typeset
from batiksim.texts.catalogue import Texts
from batiksim.values import Layers
from batiksim.workshop.cautions import CAUTIONS, DEFER

_HALF = {1.0: "full", 0.5: "half", 0.25: "quarter"}
_CAUTIONS = ("powder", "soda")


def strip_pdf(
    plans: tuple[StripPlan, ...], files: tuple[str, ...], *, hexes: Mapping[str, str], texts: Texts, paper: str
) -> bytes:
    """For each strip a page that tells how, and a page with its squares at true size; the same bytes each time.

    files : name of each strip's file; hexes : "#rrggbb" of each dye at full strength, so far as it is known
    paper : "a4" or "letter"
    """
    if paper not in PAPERS:
        raise BatikError("is not a paper that I know", field="--paper", got=paper, fix=nearest(paper, PAPERS))
    words = texts.under("strip")
    data: dict[str, Any] = {
        "title": texts("strip.title", title=plans[0].title),
        "subject": texts("strip.subject", dyes=", ".join(dye for plan in plans for dye in plan.dyes)),
        "author": "",
        "language": texts.language,
        "page": list(PAPERS[paper]),
        "words": words,
        "strips": [_strip(plan, file, hexes, texts) for plan, file in zip(plans, files, strict=True)],
        "cautions": [
            *({"title": texts.shown(CAUTIONS[key].title), "text": texts.shown(CAUTIONS[key].text)} for key in _CAUTIONS)
        ],
        "defer": texts.shown(DEFER),
    }
    return typeset("strip.typ", data, {})


def _strip(plan: StripPlan, file: str, hexes: Mapping[str, str], texts: Texts) -> dict[str, Any]:
    carded = plan.card is not None
    steps = [*texts.lines("strip.steps"), texts("strip.photo_card" if carded else "strip.photo_plain")]
    steps += list(texts.lines("strip.after", file=file))
    return {
        "title": texts.shown(plan.heading),
        "size": list(plan.size),
        "cells": [
            {"at": list(plan.patch(place)), "lines": list(_words(cell, texts))} for place, cell in enumerate(plan.cells)
        ],
        "columns": COLUMNS,
        "card": list(plan.card_box) if carded else None,
        "card_say": texts("strip.card", percent=f"{(plan.card or 0) * 100:g}"),
        "dyes": [{"name": dye, "hex": hexes.get(dye, "")} for dye in plan.dyes],
        "steps": steps,
        "command": texts("strip.command", file=file),
    }


def _words(layers: Layers, texts: Texts) -> tuple[str, ...]:
    """What stands in a cell: a line for each dye with its strength."""
    if not layers:
        return (texts("strip.bare"),)
    lines = [f"{dye}, {texts(f'strip.{_HALF[strength]}')}" for dye, strength in layers]
    return (lines[0], *(texts("strip.over", dye=line) for line in lines[1:]))
