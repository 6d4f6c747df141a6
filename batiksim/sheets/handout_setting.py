"""Typesetting: a template, data and pictures become a tagged PDF (PDF/UA-1), the same bytes from the same input."""

from __future__ import annotations

import json
import re
import shutil
import string
import tempfile
from collections.abc import Mapping
from pathlib import Path

from batiksim.sheets.lettering import FONT_FOLDER

__all__ = ["typeset"]

_TEMPLATES = Path(__file__).parent / "templates"
_MISSING = re.compile(r'the text `"(.+?)"` could not be displayed', re.DOTALL)
_STAND_IN = "·"
_KEPT = string.ascii_letters + string.digits + string.punctuation + string.whitespace
_MOST_MISSING = 1000
_PIECES = "notebook.typ"  # what the templates share


def typeset(template: str, data: Mapping[str, object], pictures: Mapping[str, bytes]) -> bytes:
    """The PDF of a template in `templates/`.

    data : what the template reads as `data.json`; pictures : by the file name that the data gives them
    """
    text = json.dumps(data, ensure_ascii=False)
    with tempfile.TemporaryDirectory(prefix="batiksim-") as folder:
        for name in (template, _PIECES):
            shutil.copy(_TEMPLATES / name, folder)
        for name, content in pictures.items():
            Path(folder, name).write_bytes(content)
        return _compiled(Path(folder, template), text)


def _compiled(main: Path, text: str) -> bytes:
    """The PDF; letters that no typeface has, which a tagged PDF may not hold, become a stand-in."""
    import typst  # slow to import

    foreign = any(map(_is_foreign, text))
    for _ in range(_MOST_MISSING):
        main.with_name("data.json").write_text(text, encoding="utf-8")
        try:
            return typst.compile(
                str(main),
                root=str(main.parent),
                format="pdf",
                font_paths=[str(FONT_FOLDER)],
                ignore_system_fonts=not foreign,
                pdf_standards=["ua-1"],
            )
        except typst.TypstError as error:
            missing = _MISSING.search(str(error))
            if missing is None:
                raise
            if foreign:
                text = _without(text, missing[1])
            foreign = True
    raise AssertionError("more letters are missing than there are kinds of them")


def _without(text: str, missing: str) -> str:
    """The data with letters of a piece that can't be shown replaced: those of other scripts, else all but spaces."""
    letters = {letter for letter in missing if _is_foreign(letter)} or set(missing) - set(_KEPT)
    return text.translate(dict.fromkeys(map(ord, letters), _STAND_IN))


def _is_foreign(letter: str) -> bool:
    """Whether a letter may be beyond the project's typefaces: not Latin, nor a common sign."""
    return letter >= "\u0250" and not "\u2000" <= letter < "\u2200"
