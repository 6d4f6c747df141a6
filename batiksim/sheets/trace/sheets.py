"""Tracing sheets: what to wax at true size, over sheets of paper or on one large page, as PDF and SVG."""

from dataclasses import dataclass
from typing import Any

from batiksim.cloth.outlines import cut
from batiksim.sheets.trace.layout import EDGE, MOST_SHEETS, Sheet, Sheets, share_out, whole_page
from batiksim.sheets.trace.lines import Tracing, WaxLines
from batiksim.sheets.trace.places import map_axes, place_lines, place_words
from batiksim.sheets.trace.svg import map_svg, sheet_svg, whole_svg
from batiksim.sheets.typesetting import typeset
from batiksim.texts.catalogue import Message, say, texts
from batiksim.texts.phrases import capital

LARGEST_MM = 14_400 / 72 * 25.4  # the longest side of a PDF page without a unit of its own (ISO 32000, annex C)
_MAP, _MAP_OF_MANY = (174.0, 135.0), (146.0, 126.0)  # room for the page map, and with words beside it


@dataclass(frozen=True, kw_only=True)
class Traced:
    """A PDF of tracing sheets, empty where no waxing fits; its sheets, its pages with maps, and what to know of it."""

    pdf: bytes
    sheets: int
    pages: int
    notes: tuple[Message, ...]


def sheets_pdf(tracing: Tracing, *, paper: str) -> Traced:
    """For each waxing a page map, then its sheets at true size, as a tagged PDF; the same bytes for the same design.

    paper : "a4" or "letter"
    A waxing that would take more than `MOST_SHEETS` sheets is left out, and a note says so.
    """
    shared = share_out(tracing.width_mm, tracing.height_mm, paper=paper)
    pictures: dict[str, bytes] = {}
    notes: list[Message] = []
    waxings = []
    for lines in tracing.waxings:
        used = [sheet for sheet in shared.sheets if cut(lines.now, sheet.core) or cut(lines.hatch, sheet.core)]
        if len(used) > MOST_SHEETS:
            notes.append(say("trace.too_many", step=lines.step, count=len(used)))
            continue
        waxings.append(_waxing(tracing, lines, shared, used, pictures))
    data = _document(tracing, shared) | {"paper": sorted((shared.page.wide, shared.page.high)), "waxings": waxings}
    count = sum(len(waxing["sheets"]) for waxing in waxings)
    pdf = typeset("trace.typ", data, pictures) if waxings else b""
    return Traced(pdf=pdf, sheets=count, pages=count + len(waxings), notes=tuple(notes))


def large_pdf(tracing: Tracing) -> bytes:
    """Each waxing on one page as large as the cloth, as a tagged PDF. Sides over `LARGEST_MM` can't be printed."""
    shared = whole_page(tracing.width_mm, tracing.height_mm)
    (sheet,) = shared.sheets
    pictures: dict[str, bytes] = {}
    waxings = []
    for lines in tracing.waxings:
        alt = texts()("trace.whole_alt", step=lines.step)
        page = _sheet(tracing, lines, sheet, shared, pictures) | {"alt": alt}
        waxings.append(_titles(lines) | {"map": None, "sheets": [page], "whole": True})
    data = _document(tracing, shared) | {"paper": [shared.page.wide, shared.page.high], "waxings": waxings}
    return typeset("trace.typ", data, pictures)


def large_svg(tracing: Tracing, lines: WaxLines) -> str:
    """One waxing of the whole cloth at true size, as an SVG file."""
    (sheet,) = whole_page(tracing.width_mm, tracing.height_mm).sheets
    tell = texts()
    key = "trace.svg_mirrored" if tracing.mirrored else "trace.svg"
    title = tell(key, design=tracing.title, step=_titles(lines)["title"])
    about = tell("trace.whole_alt", step=lines.step)
    return whole_svg(tracing, lines, sheet.box, title=title, about=about, check=tell("trace.check_svg"))


def _document(tracing: Tracing, shared: Sheets) -> dict[str, Any]:
    width, height, tell = tracing.width_mm / 10, tracing.height_mm / 10, texts()
    return {
        "title": tell("trace.title", design=tracing.title),
        "subject": tell("trace.subject", design=tracing.title, width=width, height=height),
        "design": tracing.title,
        "author": tracing.maker,
        "page": [shared.page.wide, shared.page.high],
        "window": list(shared.page.window),
        "grid": [shared.columns, shared.rows],
        "words": tell.under("trace"),
        "mirrored": tracing.mirrored,
    }


def _titles(lines: WaxLines) -> dict[str, Any]:
    tool = texts()(f"steps.tool.{lines.tool}") if lines.tool else ""
    thin = texts()("trace.thin") if lines.thin else ""
    return {"step": lines.step, "title": texts().step(lines.step, lines.name), "tool": tool, "thin": thin}


def _waxing(
    tracing: Tracing, lines: WaxLines, shared: Sheets, used: list[Sheet], pictures: dict[str, bytes]
) -> dict[str, Any]:
    """One waxing as the template reads it; its pictures are added to `pictures`."""
    several = len(shared.sheets) > 1
    how = [*texts().lines("trace.how" if several else "trace.how_one")]
    how += [texts()("trace.how_earlier")] if lines.earlier else []
    return _titles(lines) | {
        "whole": False,
        "map": _map(tracing, lines, shared, used, pictures),
        "sheets": [_sheet(tracing, lines, sheet, shared, pictures) for sheet in used],
        "counted": _counted(shared, used),
        "how": how,
        "earlier": len(lines.earlier) > 0,
        "hatch": len(lines.hatch) > 0,
        "seams": several,
        "note": lines.note,
    }


def _counted(shared: Sheets, used: list[Sheet]) -> str:
    if not used:
        return texts()("trace.nothing")
    told = texts()("trace.sheets", count=len(used), columns=shared.columns, rows=shared.rows)
    bare = len(shared.sheets) - len(used)
    return f"{told} {texts()('trace.left_out', count=bare)}" if bare else told


def _sheet(
    tracing: Tracing, lines: WaxLines, sheet: Sheet, shared: Sheets, pictures: dict[str, bytes]
) -> dict[str, Any]:
    picture = f"step-{lines.step}-row-{sheet.row + 1}-sheet-{sheet.column + 1}.svg"
    pictures[picture] = sheet_svg(tracing, lines, sheet).encode()
    left, top, right, bottom = (round(side / 10) for side in sheet.core)
    place = place_words(sheet.row, sheet.column, shared)
    alt = say("trace.sheet_alt", step=lines.step, left=left, right=right, top=top, bottom=bottom)
    beside = [{"side": side, "place": str(place_words(row, column, shared))} for side, row, column in sheet.beside]
    return {
        "place": [capital(line) for line in place_lines(sheet.row, sheet.column, shared)],
        "picture": picture,
        "alt": str(say("trace.placed_alt", place=place, alt=alt) if place else capital(alt)),
        "row": sheet.row,
        "column": sheet.column,
        "beside": beside,
    }


def _map(
    tracing: Tracing, lines: WaxLines, shared: Sheets, used: list[Sheet], pictures: dict[str, bytes]
) -> dict[str, Any]:
    """The page map: the whole cloth, small, and where each sheet lies on it, in mm of the map."""
    box = (-EDGE, -EDGE, tracing.width_mm + EDGE, tracing.height_mm + EDGE)
    wide, high = box[2] - box[0], box[3] - box[1]
    many = len(shared.sheets) > 1
    room = _MAP_OF_MANY if many else _MAP
    scale = min(room[0] / wide, room[1] / high)
    picture = f"step-{lines.step}-map.svg"
    pictures[picture] = map_svg(tracing, lines, box, scale=scale).encode()
    cells = []
    for sheet in shared.sheets:
        left, top = max(sheet.core[0], box[0]), max(sheet.core[1], box[1])
        right, bottom = min(sheet.core[2], box[2]), min(sheet.core[3], box[3])
        place = [(left - box[0]) * scale, (top - box[1]) * scale, (right - left) * scale, (bottom - top) * scale]
        cells.append({"at": place, "row": sheet.row, "column": sheet.column, "printed": sheet in used})
    return {
        "picture": picture,
        "alt": texts()("trace.map_alt", step=lines.step),
        "size": [wide * scale, high * scale],
        "cells": cells if many else [],
        "axes": map_axes(cells, shared),
    }
