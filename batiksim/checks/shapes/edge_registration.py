"""Masks laid over one another: how the edges of two agree best, as drawn or turned a little.

Edges are compared by phase and size of their spectra (cross-correlation of edge pictures, as old as image
registration). What looks likely at a third of the size is looked at again at half of it before it counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from batiksim.cloth.masks import area_mean
from batiksim.types import Bools, Bytes, Singles

Edges = Singles
# Edges are found on pictures about so long, then averaged over squares: masks are laid over one another as drawn at
# half that size, turned at a third of it first.
FINE_PX = 1152
MIDDLE, COARSE = 2, 3
LINE_PX = 3  # both sides of a drawn line lie within so many pixels of half size
SMOOTH_PX = 13  # edges denser than their surroundings of this size count
LINE_MM = 6.0  # a mark no wider is a line; one drawn with a brush can be wider than the shift between its two edges
BENEATH = 0.8  # share of a fill's edge beneath lines from which it fits them


@dataclass(frozen=True, kw_only=True)
class MisfitSettings:
    """When a mask counts as misplaced. Assumptions, set on the sample designs, on copies of them moved on purpose, and
    on masks that have nothing to do with one another.

    least_mm : a smaller shift is within what tracing and cloth allow; most_mm : a larger one is not looked for
    turns_deg : turns that are tried; paper laid askew by more is seen by eye
    alike, clear : correlation of two masks' edges, and its height above the mean in standard deviations, from which
        they are taken to have edges in common where they lie or beside
    faint, plain : the same for masks that share few of their edges: less correlation will do where it stands out more
    seconded : height that will do where two masks ask a third for the same move
    hint : height from which a turn tried at small size is worth a closer look
    better : how many times better two masks agree elsewhere than where they lie
    serious_mm : from here on outlines and fills part visibly
    """

    least_mm: float = 1.0
    most_mm: float = 15.0
    turns_deg: tuple[float, ...] = tuple(half / 2 for half in range(-7, 8) if half)
    alike: float = 0.08
    clear: float = 4.3
    faint: float = 0.045
    plain: float = 6.2
    seconded: float = 5.0
    hint: float = 3.5
    better: float = 1.3
    serious_mm: float = 2.0


@dataclass(frozen=True, kw_only=True)
class Move:
    """A turn clockwise about the cloth's middle, then a move right and down."""

    turn_deg: float = 0.0
    right_mm: float = 0.0
    down_mm: float = 0.0

    @property
    def back(self) -> Move:
        """The move that undoes it."""
        turn = np.radians(self.turn_deg)
        right = -(self.right_mm * np.cos(turn) + self.down_mm * np.sin(turn))
        down = -(-self.right_mm * np.sin(turn) + self.down_mm * np.cos(turn))
        return Move(turn_deg=-self.turn_deg, right_mm=float(right), down_mm=float(down))


@dataclass(frozen=True, kw_only=True)
class Link:
    """Two masks with edges in common.

    clear : how far the agreement stands out, in standard deviations
    move : what brings the first onto the second; off : whether that is better than leaving it where it is
    """

    first: int
    second: int
    peak: float
    clear: float
    move: Move
    off: bool

    def move_of(self, mask: int) -> Move:
        """What brings one of the two onto the other."""
        return self.move if mask == self.first else self.move.back


@dataclass(frozen=True, eq=False, kw_only=True)
class EdgeMaps:
    """The edges of every mask at half size and at a third, and at half size with both sides of a line run into one:
    a fill that ends beneath a line fits its middle. marks : what is marked, at half size. px_mm : millimetres to a
    pixel of the fine edges.
    """

    middle: Sequence[Edges]
    coarse: Sequence[Edges]
    lines: Sequence[Edges]
    marks: Sequence[Bools]
    px_mm: float


def laid(masks: Bytes, *, px_per_mm: float) -> EdgeMaps:
    """Masks (masks, rows, cols) made ready to be laid over one another."""
    from scipy import ndimage

    factor = max(1, round(max(masks.shape[1:]) / FINE_PX))
    fine = [edge_density(area_mean(mask, factor)) for mask in masks]
    middle, coarse = ([ready(block_mean(one, blocks)) for one in fine] for blocks in (MIDDLE, COARSE))
    marks = [area_mean(mask, factor * MIDDLE) > 127 for mask in masks]
    px_mm = factor / px_per_mm
    lines = [np.asarray(ndimage.uniform_filter(edge, LINE_PX), np.float32) for edge in middle]
    for number, one in enumerate(marks):
        if (width := round(_line_px(one, px_mm * MIDDLE))) >= LINE_PX:
            lines[number] = ready(ndimage.uniform_filter(one.astype(np.float32), width), 4 * width + 1)
    return EdgeMaps(middle=middle, coarse=coarse, lines=lines, marks=marks, px_mm=px_mm)


def edge_density(mask: Bytes) -> Edges:
    """How much edge lies at each pixel."""
    smooth = mask.astype(np.int16)
    edge = np.zeros(mask.shape, np.int16)
    edge[:-1] += np.abs(np.diff(smooth, axis=0))
    edge[:, :-1] += np.abs(np.diff(smooth, axis=1))
    return np.minimum(edge, 255).astype(np.float32)


def block_mean(edge: Edges, side: int) -> Edges:
    """Edges averaged over squares of pixels; a last row or column that isn't whole is left out."""
    rows, cols = (size // side for size in edge.shape)
    blocks = edge[: rows * side, : cols * side].reshape(rows, side, cols, side)
    return np.asarray(blocks.mean(axis=(1, 3)), np.float32)


def ready(edge: Edges, smooth_px: int = SMOOTH_PX) -> Edges:
    """Edges less the density around them, faded out towards the cloth's edges, of unit energy."""
    from scipy import ndimage

    edge = edge - ndimage.uniform_filter(edge, smooth_px)
    fade = [np.hanning(size + 2)[1:-1] ** 0.25 for size in edge.shape]
    edge = edge * np.outer(*fade).astype(np.float32)
    energy = float(np.sqrt((edge * edge).sum()))
    return np.asarray(edge / energy if energy > 0 else edge, np.float32)


def links(sheets: EdgeMaps, settings: MisfitSettings) -> list[Link]:
    """How every two masks with edges in common agree best; where they agree unturned, a turn must be better by half."""
    pairs = list(combinations(range(len(sheets.middle)), 2))
    best = _still(sheets, pairs, settings)
    for pair, hint in _hints(sheets, pairs, settings).items():
        if pair in best and hint.peak <= 1.5 * best[pair].peak:
            continue
        closer = _closer(sheets, hint, settings)
        if closer is not None:
            best[pair] = closer
    found = [replace(one, off=False) if one.off and _beneath(sheets, one) else one for one in best.values()]
    return [one for one in found if _common(one, settings) or any(_seconds(one, other) for other in found)]


def _beneath(sheets: EdgeMaps, link: Link) -> bool:
    """Whether nearly all of one mask's edge lies beneath lines of the other: then it fits.

    A brush's line is millimetres wide. A fill that ends in its middle would agree better with either side.
    """
    for fill, line in ((link.first, link.second), (link.second, link.first)):
        edge, thin = _rim(sheets.marks[fill]), _thin(sheets.marks[line], sheets.px_mm * MIDDLE)
        if edge.any() and thin[edge].mean() >= BENEATH:
            return True
    return False


def _rim(marks: Bools) -> Bools:
    """The outermost pixels of marks."""
    from scipy import ndimage

    return np.asarray(marks & ~ndimage.binary_erosion(marks))


def _thin(marks: Bools, px_mm: float) -> Bools:
    """The part of marks that is lines."""
    from scipy import ndimage

    reach = LINE_MM / 2 / px_mm
    broad = ndimage.distance_transform_edt(marks) > reach
    return np.asarray(marks & (ndimage.distance_transform_edt(~broad) > reach)) if broad.any() else marks


def _line_px(marks: Bools, px_mm: float) -> float:
    """How wide the lines of a mask are, in pixels; 0 where it is mostly shapes."""
    thin = _thin(marks, px_mm)
    if thin.sum() <= marks.sum() / 2:
        return 0.0
    return 2 * float(thin.sum()) / max(1, int(_rim(thin).sum()))


def _common(link: Link, settings: MisfitSettings) -> bool:
    """Whether two masks have edges in common by their own agreement alone."""
    alike = link.peak >= settings.alike and link.clear >= settings.clear and link.move.turn_deg == 0
    return alike or (link.peak >= settings.faint and link.clear >= settings.plain)


def _seconds(one: Link, other: Link) -> bool:
    """Whether another link asks one of the two masks for the same move, within what a coarse look can tell."""
    shared = {one.first, one.second} & {other.first, other.second}
    return len(shared) == 1 and all(_near_to(one.move_of(mask), other.move_of(mask)) for mask in shared)


def _near_to(one: Move, other: Move) -> bool:
    apart = np.hypot(one.right_mm - other.right_mm, one.down_mm - other.down_mm)
    return bool(abs(one.turn_deg - other.turn_deg) <= 0.5 and apart <= 1.5)


def _still(sheets: EdgeMaps, pairs: Sequence[tuple[int, int]], settings: MisfitSettings) -> dict[tuple[int, int], Link]:
    """Two masks each as drawn, at half size, where their agreement may mean something."""
    from scipy import fft

    spectra = [fft.rfft2(edge) for edge in sheets.middle]
    found = {}
    for pair in pairs:
        agreement = fft.irfft2(np.conj(spectra[pair[0]]) * spectra[pair[1]], sheets.middle[pair[0]].shape)
        one = _peak(agreement, pair, 0.0, settings, sheets.px_mm * MIDDLE)
        if _common(one, settings) or _stands_out(one, settings):
            found[pair] = one
    return found


def _stands_out(found: Link, settings: MisfitSettings) -> bool:
    return found.peak >= settings.faint and found.clear >= settings.seconded


def _hints(sheets: EdgeMaps, pairs: Sequence[tuple[int, int]], settings: MisfitSettings) -> dict[tuple[int, int], Link]:
    """The turn of the first mask of each two that looks likeliest at small size."""
    from scipy import fft

    shape = sheets.coarse[0].shape
    spectra = [fft.rfft2(edge) for edge in sheets.coarse]
    likeliest: dict[tuple[int, int], Link] = {}
    for first in dict.fromkeys(first for first, _ in pairs):
        for turn in settings.turns_deg:
            turned = np.conj(fft.rfft2(_turned(sheets.coarse[first], turn)))
            for pair in (one for one in pairs if one[0] == first):
                found = _peak(fft.irfft2(turned * spectra[pair[1]], shape), pair, turn, settings, sheets.px_mm * COARSE)
                worth = found.peak >= settings.faint and found.clear >= settings.hint
                if worth and (pair not in likeliest or found.peak > likeliest[pair].peak):
                    likeliest[pair] = found
    return likeliest


def _closer(sheets: EdgeMaps, hint: Link, settings: MisfitSettings) -> Link | None:
    """A likely turn looked at again at half size, a little less and a little more too; None unless it stands out."""
    from scipy import fft

    second = fft.rfft2(sheets.middle[hint.second])
    tried = []
    for turn in (hint.move.turn_deg + step for step in (-0.25, 0.0, 0.25)):
        turned = np.conj(fft.rfft2(_turned(sheets.middle[hint.first], turn)))
        agreement = fft.irfft2(turned * second, sheets.middle[hint.first].shape)
        tried.append(_peak(agreement, (hint.first, hint.second), turn, settings, sheets.px_mm * MIDDLE))
    best = max(tried, key=lambda one: one.peak)
    return best if _stands_out(best, settings) else None


def _turned(edge: Edges, turn_deg: float) -> Edges:
    """Edges turned clockwise as seen (rows run down) about the middle."""
    from scipy import ndimage

    turned: Edges = ndimage.rotate(edge, -turn_deg, reshape=False, order=1)
    return turned


def _peak(agreement: Edges, pair: tuple[int, int], turn: float, settings: MisfitSettings, px_mm: float) -> Link:
    """The best shift within the settings; what agrees best at their very edge or beyond stands out by nothing."""
    near = _near(agreement, settings.most_mm / px_mm)
    reach = near.shape[0] // 2
    row, col = (int(at) for at in np.unravel_index(int(np.argmax(near)), near.shape))
    peak = float(near[row, col])
    still = max(1, int(settings.least_mm / px_mm))
    here = float(near[reach - still : reach + still + 1, reach - still : reach + still + 1].max())
    down, right = (row - reach + _between(near[:, col], row)) * px_mm, (col - reach + _between(near[row], col)) * px_mm
    far = np.hypot(down, right) >= settings.least_mm and peak >= settings.better * max(here, 1e-9)
    spread = float(near.std())
    inside = 0 < row < 2 * reach and 0 < col < 2 * reach and np.hypot(down, right) <= settings.most_mm
    clear = (peak - float(near.mean())) / spread if spread > 0 and inside else 0.0
    move = Move(turn_deg=turn, right_mm=right, down_mm=down)
    return Link(first=pair[0], second=pair[1], peak=peak, clear=clear, move=move, off=bool(far or turn != 0))


def _near(agreement: Edges, most_px: float) -> Edges:
    """Agreement at shifts up to a distance, no shift in the middle."""
    reach = min(int(most_px) + 1, min(agreement.shape) // 2 - 2)
    return np.roll(agreement, (reach, reach), (0, 1))[: 2 * reach + 1, : 2 * reach + 1]


def _between(values: Singles, at: int) -> float:
    """How far beside a pixel the top lies, by a parabola through its neighbours."""
    if not 0 < at < len(values) - 1:
        return 0.0
    before, top, after = (float(value) for value in values[at - 1 : at + 2])
    bend = before - 2 * top + after
    return 0.5 * (before - after) / bend if bend < 0 else 0.0


def lay(
    sheets: EdgeMaps, mask: int, others: Sequence[Edges], turns_deg: Sequence[float], settings: MisfitSettings
) -> Move:
    """The move that brings a mask onto others best, all of them together; others : edges as in `EdgeMaps.lines`."""
    from scipy import fft

    px_mm = sheets.px_mm * MIDDLE
    together = fft.rfft2(np.sum(others, axis=0, dtype=np.float32))
    tried = []
    for turn in turns_deg:
        spectrum = fft.rfft2(_turned(sheets.lines[mask], turn) if turn else sheets.lines[mask])
        agreement = fft.irfft2(np.conj(spectrum) * together, sheets.lines[mask].shape)
        tried.append(_peak(agreement, (mask, mask), turn, settings, px_mm))
    return max(tried, key=lambda one: one.peak).move
