"""Typesetting: a template, data and pictures become a tagged PDF (PDF/UA-1), the same bytes from the same input."""

import json
import re
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from batiksim.sheets.typefaces import FONT_FOLDER, not_shown, settable_data
from batiksim.texts.catalogue import texts
from batiksim.values import MADE_BY

_TEMPLATES = Path(__file__).parent / "templates"
_MISSING = re.compile(r'the text `"(.+?)"` could not be displayed', re.DOTALL)
_ESCAPED = re.compile(r"\\u\{([0-9a-f]+)\}")  # how the typesetter writes some letters of such a text
_PIECES = "notebook.typ"  # what the templates share


def typeset(
    template: str, data: Mapping[str, object], pictures: Mapping[str, bytes], *, accessible: bool = True
) -> bytes:
    """The PDF of a template in `templates/`.

    data : what the template reads as `data.json`, above what all have; pictures : by the file name that the data gives
    accessible : whether it keeps to PDF/UA-1
    """
    tell = texts()
    usual = {"language": tell.language, "author": "", "by": "", "words": {"page": tell.under("handout")["page"]}}
    data = {**usual, **data, "made_by": MADE_BY}
    with tempfile.TemporaryDirectory(prefix="batiksim-") as folder:
        for name in (template, _PIECES):
            shutil.copy(_TEMPLATES / name, folder)
        for name, content in pictures.items():
            Path(folder, name).write_bytes(content)
        text = json.dumps(settable_data(data, Path(folder)), ensure_ascii=False)
        return _compiled(Path(folder, template), text, accessible)


def _compiled(main: Path, text: str, accessible: bool) -> bytes:
    """The PDF; letters that the typesetter can't show though a face has them are left out and told."""
    import typst  # slow to import

    while True:
        main.with_name("data.json").write_text(text, encoding="utf-8")
        try:
            return typst.compile(
                str(main),
                root=str(main.parent),
                format="pdf",
                font_paths=[str(FONT_FOLDER), str(main.parent)],
                ignore_system_fonts=True,
                pdf_standards=["ua-1"] if accessible else [],
            )
        except typst.TypstError as error:
            told = _MISSING.findall(error.diagnostic or str(error))
            pieces = [_ESCAPED.sub(lambda found: chr(int(found[1], 16)), piece) for piece in told]
            missing = {letter: piece for piece in pieces for letter in piece if not letter.isascii()}
            if not missing.keys() & set(text):
                raise
        for letter, piece in missing.items():
            not_shown(letter, piece)
        text = text.translate(dict.fromkeys(map(ord, missing)))
