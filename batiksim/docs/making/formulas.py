"""Formulas drawn as SVG within the page; for readers by ear, the same as MathML beside it.

Few machines have a face for formulas, and without one a browser leaves out roots and tall brackets. matplotlib sets TeX
with the face that it brings, docutils makes MathML of it, and nothing has to be fetched.
"""

from collections.abc import Iterable
from functools import cache

from docutils import nodes
from docutils.utils.math.latex2mathml import tex2mathml
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath
from sphinx.application import Sphinx
from sphinx.util.typing import ExtensionMetadata
from sphinx.writers.html5 import HTML5Translator

SIZE = 100.0  # units of the drawing to an em
MARGIN = 4.0
FACE = FontProperties(math_fontfamily="stix", size=SIZE)
LETTERS = "MLQC"  # of SVG paths, by matplotlib's codes 1 to 4; any other closes


@cache
def svg(tex: str) -> str:
    """A formula as SVG that stands on the line, as large and dark as the words around it."""
    path = TextPath((0, 0), f"${tex}$", size=SIZE, prop=FACE)
    drawn = "".join(_segment(int(code), points) for points, code in path.iter_segments(simplify=False))
    left, low, width, height = path.get_extents().padded(MARGIN).bounds
    box = f"{left:.1f} {-low - height:.1f} {width:.1f} {height:.1f}"
    ems = f"width:{width / SIZE:.3f}em;height:{height / SIZE:.3f}em;vertical-align:{low / SIZE:.3f}em"
    return f'<svg aria-hidden="true" viewBox="{box}" style="{ems}"><path d="{drawn}"/></svg>'


def _segment(code: int, points: Iterable[float]) -> str:
    if code > len(LETTERS):
        return "Z"
    flipped = (f"{value if place % 2 == 0 else -value:.1f}" for place, value in enumerate(points))
    return LETTERS[code - 1] + " ".join(flipped)


def _inline(self: HTML5Translator, node: nodes.math) -> None:
    self.body.append(f'<span class="formula">{svg(node.astext())}{tex2mathml(node.astext())}</span>')
    raise nodes.SkipNode


def _block(self: HTML5Translator, node: nodes.math_block) -> None:
    # One drawing for each part between wide gaps, so that a small screen can put them below each other
    parts = "".join(map(svg, node.astext().replace(r"\frac", r"\dfrac").split(r"\qquad")))
    self.body.append(f'<div class="formula">{parts}{tex2mathml(node.astext(), as_block=True)}</div>')
    raise nodes.SkipNode


def setup(app: Sphinx) -> ExtensionMetadata:
    """Offer the renderer."""
    app.add_html_math_renderer("drawn", (_inline, None), (_block, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
