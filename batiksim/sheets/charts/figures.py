"""What the matplotlib charts share: one quiet style, a titled figure, axes by margins, a figure as a file."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING, Any, Literal

from batiksim.sheets.colours import GROUND, INK, QUIET, mixed
from batiksim.sheets.lettering import Lettering
from batiksim.sheets.typefaces import FONT_FOLDER, others, settable
from batiksim.texts.catalogue import Message
from batiksim.values import MADE_BY

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FigureKind = Literal["png", "pdf", "svg"]
_METADATA: dict[str, dict[str, Any]] = {  # undated, so that the same figure gives the same bytes
    "png": {"Comment": MADE_BY},
    "pdf": {"CreationDate": None, "Keywords": MADE_BY},
    "svg": {"Date": None, "Keywords": [MADE_BY]},
}
_TITLE, _LONG_TITLE = Lettering("serif-bold", 17), Lettering("serif-bold", 13)  # sizes in points
_STYLE = {
    "font.family": ["Alegreya Sans", "DejaVu Sans"],
    "font.size": 10.5,
    "text.color": INK,
    "figure.facecolor": GROUND,
    "axes.facecolor": GROUND,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.labelcolor": QUIET,
    "axes.edgecolor": mixed(INK, GROUND, 0.55),
    "axes.linewidth": 0.7,
    "axes.unicode_minus": False,
    "xtick.color": mixed(INK, GROUND, 0.55),
    "ytick.color": mixed(INK, GROUND, 0.55),
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "text.parse_math": False,
    "pdf.fonttype": 42,
    "svg.fonttype": "none",
    "svg.hashsalt": "cloth",
}


@contextmanager
def quiet_style() -> Iterator[None]:
    """Draw inside this block with the project's own typefaces and colours."""
    from matplotlib import rc_context

    with rc_context():
        use_chart_style()
        yield


def use_chart_style() -> None:
    """Draw every figure from now on in the typefaces and colours of the charts, as in a notebook.

    Examples
    --------
    >>> batiksim.use_chart_style()
    """
    from matplotlib import font_manager, rcParams

    known = {entry.fname for entry in font_manager.fontManager.ttflist}
    for file in sorted(FONT_FOLDER.glob("*.ttf")):
        if str(file) not in known:
            font_manager.fontManager.addfont(file)
    rcParams.update(_STYLE)  # type: ignore[arg-type]


def titled_figure(wide: float, high: float, title: str | Message) -> Figure:
    """A figure of so many inches with its title in the upper left, on unbleached cotton; a long one in two lines."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(wide, high), dpi=200, facecolor=GROUND)
    room = (wide - 0.7) * 72
    written, lines = _TITLE, [str(title)]
    if _TITLE.width(lines[0]) > room:
        written, lines = _LONG_TITLE, _LONG_TITLE.balanced(title, room, lines=2)
    first = 0.42 - 0.1 * (len(lines) - 1)
    for row, line in enumerate(lines):
        look: dict[str, Any] = {"family": ["Alegreya", "DejaVu Serif"], "weight": "bold", "size": written.size}
        figure.text(0.35 / wide, 1 - (first + row * 1.2 * written.size / 72) / high, line, **look)
    return figure


def axes_inside(figure: Figure, left: float, bottom: float, right: float, top: float) -> Axes:
    """Axes without edges inside margins given in inches."""
    wide, high = figure.get_size_inches()
    box = (left / wide, bottom / high, 1 - (left + right) / wide, 1 - (bottom + top) / high)
    axes = figure.add_axes(box, facecolor="none")
    axes.spines[:].set_visible(False)
    return axes


def _choose_typefaces(figure: Figure) -> None:
    """Every text with the faces that it needs; letters that none has are left out."""
    from matplotlib.axes import Axes
    from matplotlib.text import Text

    for axes in figure.findobj(Axes):
        assert isinstance(axes, Axes)
        for axis in (axes.xaxis, axes.yaxis):  # what is written at ticks is written anew at every drawing
            words = [one.get_text() for one in axis.get_ticklabels()]
            if (shown := list(map(settable, words))) != words:
                axis.set_ticks(axis.get_ticklocs(), shown)
    for text in figure.findobj(Text):
        assert isinstance(text, Text)
        first, *rest = text.get_fontfamily()
        if more := [_known(file) for file in others(text.get_text())]:
            text.set_fontfamily([first, *more, *rest])
        text.set_text(settable(text.get_text()))


@cache
def _known(file: str) -> str:
    """The family of a face, which charts can use from now on; it stands for its bold one too."""
    from matplotlib.font_manager import fontManager

    before = len(fontManager.ttflist)
    fontManager.addfont(file)
    added = fontManager.ttflist[before:]
    fontManager.ttflist += [replace(entry, weight=700) for entry in added]
    return added[0].name


def figure_bytes(figure: Figure, kind: FigureKind, *, dpi: int = 200) -> bytes:
    """A figure as a file: PNG at so many dots to the inch, or PDF or SVG with selectable text; same bytes again."""
    out = io.BytesIO()
    with quiet_style():
        _choose_typefaces(figure)
        figure.savefig(out, format=kind, dpi=dpi, metadata=_METADATA[kind])
    return out.getvalue()
