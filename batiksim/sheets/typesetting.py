"""Typesetting: a template, data and pictures become a tagged PDF (PDF/UA-1), the same bytes from the same input."""

import json
import re
import shutil
import string
import tempfile
import unicodedata
from collections.abc import Collection, Mapping
from pathlib import Path

from batiksim.sheets.lettering import FONT_FOLDER, STAND_IN
from batiksim.values import MADE_BY

_TEMPLATES = Path(__file__).parent / "templates"
_MISSING = re.compile(r'the text `"(.+?)"` could not be displayed', re.DOTALL)
_ESCAPED = re.compile(r"\\u\{([0-9a-f]+)\}")
_KEPT = string.ascii_letters + string.digits + string.punctuation + string.whitespace + STAND_IN
_ROUNDS = 20  # each names every letter that is missing by then; two are usual
_PIECES = "notebook.typ"  # what the templates share


def typeset(template: str, data: Mapping[str, object], pictures: Mapping[str, bytes]) -> bytes:
    """The PDF of a template in `templates/`.

    data : what the template reads as `data.json`; pictures : by the file name that the data gives them
    """
    text = _with_eighths(json.dumps({**data, "made_by": MADE_BY}, ensure_ascii=False))
    with tempfile.TemporaryDirectory(prefix="batiksim-") as folder:
        for name in (template, _PIECES):
            shutil.copy(_TEMPLATES / name, folder)
        for name, content in pictures.items():
            Path(folder, name).write_bytes(content)
        return _compiled(Path(folder, template), text)


def _with_eighths(text: str) -> str:
    """Eighths as figures over figures, which the templates set as a fraction: the typefaces have no letter for them."""
    for sign, top in zip("⅛⅜⅝⅞", "1357", strict=True):
        text = re.sub(f"(?<=\\d){sign}", f"\u00a0{top}/8", text).replace(sign, f"{top}/8")
    return text


def _compiled(main: Path, text: str) -> bytes:
    """The PDF; letters that no typeface has, which a tagged PDF may not hold, become a stand-in."""
    import typst  # slow to import

    foreign = any(map(_is_foreign, text))
    for _ in range(_ROUNDS):
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
            missing = {_unescaped(piece) for piece in _MISSING.findall(error.diagnostic or str(error))}
            if not missing:
                raise
            if foreign:
                text = _without(text, missing)
            foreign = True
    raise AssertionError("letters are still missing where a stand-in is written for each")


def _unescaped(piece: str) -> str:
    """A piece of text as it was before the typesetter wrote its marks as numbers."""
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), piece)


def _without(text: str, missing: Collection[str]) -> str:
    """The data with letters of pieces that can't be shown replaced: those of other scripts, else all but spaces.

    Marks that would stand on a stand-in go with their letter. Where that changes nothing, all marks go, then all
    letters of other scripts: a page comes about whatever the typefaces lack.
    """
    letters = {letter for piece in missing for letter in piece if _is_foreign(letter)}
    letters = letters or {letter for piece in missing for letter in piece} - set(_KEPT)
    shown = _clear_of_marks(text.translate(dict.fromkeys(map(ord, letters), STAND_IN)))
    bare = "".join(letter for letter in text if not _is_mark(letter))
    plain = "".join(STAND_IN if _is_foreign(letter) else letter for letter in bare)
    return next((one for one in (shown, bare) if one != text), plain)


def _clear_of_marks(text: str) -> str:
    """The text without marks on stand-ins."""
    kept: list[str] = []
    for letter in text:
        if not (_is_mark(letter) and kept and kept[-1] == STAND_IN):
            kept.append(letter)
    return "".join(kept)


def _is_mark(letter: str) -> bool:
    """Whether it is drawn onto the letter before it, or joins letters."""
    return unicodedata.category(letter) in {"Mn", "Me", "Mc", "Cf"}


def _is_foreign(letter: str) -> bool:
    """Whether a letter may be beyond the project's typefaces: not Latin, nor a common sign."""
    return letter >= "\u0250" and not "\u2000" <= letter < "\u2200"
