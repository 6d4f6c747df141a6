"""The sheet of a calibration strip: what to dye where at true size, and the way from there to a dye book."""

from collections.abc import Mapping
from typing import Any

from batiksim.calibration.strip_plan import COLUMNS, StripPlan
from batiksim.sheets.typesetting import typeset
from batiksim.texts.catalogue import say, texts
from batiksim.texts.phrases import capital, percent
from batiksim.values import Layers
from batiksim.values.papers import PAPER, PAPERS
from batiksim.workplan.cautions import CAUTIONS, DEFER

_HALF = {1.0: "full", 0.5: "half", 0.25: "quarter"}
_CAUTIONS = ("powder", "soda")


def strip_pdf(plans: tuple[StripPlan, ...], files: tuple[str, ...], *, hexes: Mapping[str, str], paper: str) -> bytes:
    """For each strip a page that tells how, and a page with its squares at true size; the same bytes each time.

    files : name of each strip's file; hexes : "#rrggbb" of each dye at full strength, so far as it is known
    paper : "a4" or "letter"
    """
    PAPER.check(paper, "paper")
    tell = texts()
    check = {key: tell(f"trace.{key}") for key in ("check", "check_say")}
    data: dict[str, Any] = {
        "title": tell("strip.title", title=plans[0].title),
        "subject": tell("strip.subject", dyes=[dye for plan in plans for dye in plan.dyes]),
        "page": list(PAPERS[paper]),
        "words": tell.under("strip") | check,
        "strips": [_strip(plan, file, hexes) for plan, file in zip(plans, files, strict=True)],
        "cautions": [{"title": capital(CAUTIONS[key].title), "text": str(CAUTIONS[key].text)} for key in _CAUTIONS],
        "defer": str(DEFER),
    }
    return typeset("strip.typ", data, {})


def _strip(plan: StripPlan, file: str, hexes: Mapping[str, str]) -> dict[str, Any]:
    tell = texts()
    photo = "strip.photo_plain" if plan.card is None else "strip.photo_card"
    return {
        "title": tell.shown(plan.heading),
        "size": list(plan.size),
        "cells": [{"at": list(plan.patch(place)), "lines": _words(cell)} for place, cell in enumerate(plan.cells)],
        "columns": COLUMNS,
        "card": None if plan.card is None else list(plan.card_box),
        "card_say": "" if plan.card is None else tell("strip.card", share=percent(plan.card)),
        "dyes": [{"name": dye, "hex": hexes.get(dye, "")} for dye in plan.dyes],
        "steps": [*tell.lines("strip.steps"), tell(photo), *tell.lines("strip.after", file=file)],
        "command": tell("strip.command", file=file),
    }


def _words(layers: Layers) -> list[str]:
    """What stands in a cell: a line for each dye with its strength."""
    if not layers:
        return [texts()("strip.bare")]
    lines = [say("strip.layer", dye=dye, strength=say(f"strip.{_HALF[strength]}")) for dye, strength in layers]
    return [str(lines[0]), *(texts()("strip.over", layer=line) for line in lines[1:])]
