"""The gallery: each Python snippet of its page is run, and what a notebook would show of it stands below it."""

import ast
import contextlib
import io
import os
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from docutils import nodes
from matplotlib import pyplot, rc_context
from PIL import Image
from sphinx.application import Sphinx
from sphinx.transforms import SphinxTransform
from sphinx.util import logging
from sphinx.util.typing import ExtensionMetadata

log = logging.getLogger(__name__)
PAGE = "gallery"
MOST_LINES = 14
MOST_PX = 1600  # of a picture's width
SAMPLES = Path(__file__).resolve().parents[3] / "sample_designs"


@dataclass(frozen=True, kw_only=True)
class Shown:
    """What a snippet shows: what it printed, and the value of its last line as a picture or a table."""

    printed: str
    picture: Image.Image | None = None
    html: str = ""


def run(code: str) -> Shown:
    """Run a snippet in a folder of its own, where `sample_designs` lies as in the project."""
    with (
        rc_context({"backend": "agg"}),
        tempfile.TemporaryDirectory() as folder,
        contextlib.chdir(folder),
        io.StringIO() as out,
    ):
        Path("sample_designs").symlink_to(SAMPLES, target_is_directory=True)
        with contextlib.redirect_stdout(out):
            value = _last_value(code)
            return _shown(value, out.getvalue())


def _last_value(code: str) -> Any:
    """The value of the last line, as a notebook has it."""
    tree, space = ast.parse(code), {"__name__": "__main__"}
    last = tree.body.pop()
    if isinstance(last, ast.Expr):
        exec(compile(tree, "<gallery>", "exec"), space)
        return eval(compile(ast.Expression(last.value), "<gallery>", "eval"), space)
    tree.body.append(last)
    exec(compile(tree, "<gallery>", "exec"), space)
    return None


def _shown(value: Any, printed: str) -> Shown:
    drawn = None
    if pyplot.get_fignums():
        drawn = io.BytesIO()
        pyplot.savefig(drawn, dpi=160, bbox_inches="tight")
        pyplot.close("all")
    elif hasattr(value, "_repr_png_"):
        drawn = io.BytesIO(value._repr_png_())
    if drawn is not None or isinstance(value, np.ndarray):
        return Shown(printed=printed, picture=Image.fromarray(value) if drawn is None else Image.open(drawn))
    return Shown(printed=printed, html=value._repr_html_() if hasattr(value, "_repr_html_") else "")


class Gallery(SphinxTransform):
    """Behind each snippet, what it printed and what it shows."""

    default_priority = 210

    def apply(self) -> None:
        """Run the snippets."""
        if self.env.docname != PAGE:
            return
        for number, block in enumerate(list(self.document.findall(nodes.literal_block)), start=1):
            if block.get("language") != "python":
                continue
            try:
                shown = run(block.astext())
            except Exception as error:
                log.warning("this snippet fails: %r", error, location=block)
                continue
            if shown.picture is None and not shown.html:
                log.warning("this snippet shows nothing", location=block)
            block.parent.insert(block.parent.index(block) + 1, list(self._nodes(shown, number, block.parent)))

    def _nodes(self, shown: Shown, number: int, section: nodes.Element) -> Iterator[nodes.Node]:
        if shown.printed:
            yield nodes.literal_block(shown.printed, shown.printed, language="text", classes=["printed"])
        if shown.html:
            yield nodes.container("", nodes.raw("", shown.html, format="html"), classes=["shown"])
        if shown.picture is not None:
            file = Path(self.app.doctreedir) / PAGE / f"{number}.webp"
            file.parent.mkdir(exist_ok=True)
            picture = shown.picture.convert("RGB")
            picture.thumbnail((MOST_PX, 4 * MOST_PX))
            picture.save(file, quality=88)
            alt = section[0].astext()
            yield nodes.image(uri=os.path.relpath(file, self.env.srcdir), alt=alt, classes=["shown"])


def setup(app: Sphinx) -> ExtensionMetadata:
    """Read the gallery in this way."""
    app.add_transform(Gallery)
    return {"parallel_read_safe": True, "parallel_write_safe": True}
