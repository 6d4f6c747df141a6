"""Data as JSON and tables as CSV, and what a later command reads back of report.json."""

import csv
import io
import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from batiksim.files.made_by import MARK_KEY, is_marked
from batiksim.values import MADE_BY

REPORT_NAME = "report.json"
_PLATE = re.compile(r"plate-\d{2,}\.png")


def report_text(data: Mapping[str, Any], *, marked: bool = False) -> str:
    """JSON as people can read it, ending in a new line.

    marked : with batiksim's mark in it, so that data built otherwise may take its place
    """
    whole = {**data, MARK_KEY: MADE_BY} if marked else data
    return json.dumps(whole, ensure_ascii=False, indent=2) + "\n"


def table_text(rows: Sequence[Sequence[str]]) -> str:
    """Lines of a table as CSV, the heading first."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()


def made_before(folder: Path) -> tuple[str, ...]:
    """The plates of an earlier preview, as listed in a folder's report.json; none when there is no such report."""
    try:
        data = json.loads((folder / REPORT_NAME).read_text(encoding="utf-8"))
        named = [plate["file"] for plate in data["plates"]]
    except (OSError, ValueError, KeyError, TypeError):
        return ()
    plates = [name for name in named if isinstance(name, str) and _PLATE.fullmatch(name)]
    return tuple(name for name in plates if is_marked(folder / name))
