"""Typesetting: a template, data and pictures become a tagged PDF (PDF/UA-1), the same bytes from the same input."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from batiksim.sheets.lettering import FONT_FOLDER

__all__ = ["typeset"]

_TEMPLATES = Path(__file__).parent / "templates"
_PIECES = "notebook.typ"  # what the templates share


def typeset(template: str, data: Mapping[str, object], pictures: Mapping[str, bytes]) -> bytes:
    """The PDF of a template in `templates/`.

    data : what the template reads as `data.json`; pictures : by the file name that the data gives them
    """
    import typst  # slow to import

    text = json.dumps(data, ensure_ascii=False)
    with tempfile.TemporaryDirectory(prefix="batiksim-") as folder:
        for name in (template, _PIECES):
            shutil.copy(_TEMPLATES / name, folder)
        Path(folder, "data.json").write_text(text, encoding="utf-8")
        for name, content in pictures.items():
            Path(folder, name).write_bytes(content)
        return typst.compile(
            str(Path(folder, template)),
            root=folder,
            format="pdf",
            font_paths=[str(FONT_FOLDER)],
            ignore_system_fonts=not any(map(_is_foreign, text)),
            pdf_standards=["ua-1"],
        )


def _is_foreign(letter: str) -> bool:
    """Whether a letter may be beyond the project's typefaces: not Latin, nor a common sign."""
    return letter >= "\u0250" and not "\u2000" <= letter < "\u2200"
