"""Fit: a mask that lies shifted or turned against the others, found by laying their edges over one another.

The edges of every mask are laid over those of every other by phase and size of their spectra (cross-correlation of edge
pictures, as old as image registration), as drawn and turned a little. Masks that have edges in common agree best where
they lie; one that agrees better elsewhere, with most of the masks it belongs to, is out of place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.pots import ClothDyes
from batiksim.plan.checks.scene import Bytes, Scene, area_mean
from batiksim.values import Design, Finding, Marks, MaskUse, Place

__all__ = ["Fit", "Misfit", "corrected", "drawn_as", "fit", "misfits", "misplaced"]

Edges = NDArray[np.float32]
# Edges are found on pictures about so long, then averaged over squares: masks are laid over one another as drawn at
# half that size, turned at a third of it.
FINE_PX = 1152
MIDDLE, COARSE = 2, 3
LEAST_PX = 96  # smaller pictures have too few edges
LINE_PX = 3  # both sides of a drawn line lie within so many pixels of half size
SMOOTH_PX = 13  # edges denser than their surroundings of this size count


@dataclass(frozen=True, kw_only=True)
class Fit:
    """When a mask counts as misplaced. Assumptions, set on the sample designs and on shifted copies of them.

    least_mm : a smaller shift is within what tracing and cloth allow; most_mm : a larger one is not looked for
    turns_deg : turns that are tried; paper laid askew by more is seen by eye
    alike, clear : correlation of two masks' edges, and its height above the mean in standard deviations, from which
        they are taken to have edges in common
    better : how many times better two masks agree elsewhere than where they lie
    serious_mm : from here on outlines and fills part visibly
    """

    least_mm: float = 1.0
    most_mm: float = 15.0
    turns_deg: tuple[float, ...] = (-2.0, -1.5, -1.0, -0.5, 0.5, 1.0, 1.5, 2.0)
    alike: float = 0.08
    clear: float = 4.3
    better: float = 1.3
    serious_mm: float = 2.0


@dataclass(frozen=True, kw_only=True)
class Misfit:
    """How a mask must move to fit the others: turned clockwise about the cloth's middle, then moved right and down."""

    use: MaskUse
    right_mm: float
    down_mm: float
    turn_deg: float


@dataclass(frozen=True, kw_only=True)
class Match:
    """How one mask's edges agree best with another's.

    turn : what the first was turned by, degrees; row, col : what it must then move by, coarse pixels
    off : whether that is better than leaving it where it is
    """

    first: int
    second: int
    peak: float
    turn: float
    row: float
    col: float
    off: bool


def fit(scene: Scene, settings: Fit) -> Iterator[Finding]:
    """Masks that lie beside their places."""
    for misfit in misfits(scene, settings):
        move = np.hypot(misfit.right_mm, misfit.down_mm)
        width = scene.design.cloth.width_mm
        edge = move + np.radians(abs(misfit.turn_deg)) * width / 2
        step = scene.step_of(misfit.use)
        yield Finding(
            code="fit",
            severity="serious" if edge >= settings.serious_mm else "warn",
            step=step,
            place=_busiest(scene, misfit.use),
            message=f"The mask {misfit.use.picture} lies {_words(-misfit.right_mm, -misfit.down_mm, -misfit.turn_deg)} "
            "against the other masks: outlines and fills will not meet.",
            remedy=f"Move it {_words(misfit.right_mm, misfit.down_mm, misfit.turn_deg)}; check --corrected FOLDER "
            "writes it so. If that offset is meant: --skip fit.",
        )


def _words(right: float, down: float, turn: float) -> str:
    parts = [
        f"{abs(value):.1f} mm {names[value > 0]}"
        for value, names in ((right, ("to the left", "to the right")), (down, ("up", "down")))
        if abs(value) >= 0.3
    ]
    if abs(turn) >= 0.2:
        parts.append(f"{abs(turn):.1f} degrees {'clockwise' if turn > 0 else 'anticlockwise'}")
    return " and ".join(parts) or "a little"


def _busiest(scene: Scene, use: MaskUse) -> Place:
    """The square of cloth where a mask has most edge."""
    rough = scene.rough[scene.uses.index(use)].astype(np.int16)
    edge = np.abs(np.diff(rough, axis=0))[:, :-1] + np.abs(np.diff(rough, axis=1))[:-1]
    side = max(1, edge.shape[1] // 12)
    cells = np.add.reduceat(np.add.reduceat(edge, np.arange(0, edge.shape[0], side), axis=0, dtype=np.int64),
                            np.arange(0, edge.shape[1], side), axis=1)  # fmt: skip
    row, col = np.unravel_index(int(np.argmax(cells)), cells.shape)
    mm = side * scene.rough_factor / scene.px_per_mm
    return scene.at((col + 0.5) * mm, (row + 0.5) * mm, mm / 2)


def misfits(scene: Scene, settings: Fit) -> list[Misfit]:
    """Every mask that doesn't fit the others, and how it must move."""
    if len(scene.masks) < 2 or min(scene.masks.shape[1:]) < LEAST_PX:
        return []
    factor = max(1, round(max(scene.masks.shape[1:]) / FINE_PX))
    fine = [edge_density(area_mean(mask, factor)) for mask in scene.masks]
    middle, coarse = ([ready(block_mean(one, blocks)) for one in fine] for blocks in (MIDDLE, COARSE))
    px_mm = factor / scene.px_per_mm
    pairs = list(combinations(range(len(fine)), 2))
    still = _matches(middle, pairs, (0.0,), settings, px_mm * MIDDLE)
    matches = _best(still, _matches(coarse, pairs, settings.turns_deg, settings, px_mm * COARSE))
    found: list[Misfit] = []
    while True:
        bad = _worst(matches, [scene.step_of(use) for use in scene.uses])
        if bad is None:
            return found
        moves = [_seen_from(bad, one) for one in matches if _joins(bad, one)]
        found.append(_misfit(scene.uses[bad], _whole_lines(middle), moves, settings, px_mm * MIDDLE))
        matches = [one for one in matches if not _joins(bad, one)]


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


def ready(edge: Edges) -> Edges:
    """Edges less the density around them, faded out towards the cloth's edges, of unit energy."""
    from scipy import ndimage

    edge = edge - ndimage.uniform_filter(edge, SMOOTH_PX)
    fade = [np.hanning(size + 2)[1:-1] ** 0.25 for size in edge.shape]
    edge = edge * np.outer(*fade).astype(np.float32)
    energy = float(np.sqrt((edge * edge).sum()))
    return np.asarray(edge / energy if energy > 0 else edge, np.float32)


def _whole_lines(edges: Sequence[Edges]) -> list[Edges]:
    """Edges spread so that both sides of a drawn line run into one: a fill that ends beneath it fits its middle."""
    from scipy import ndimage

    return [np.asarray(ndimage.uniform_filter(edge, LINE_PX), np.float32) for edge in edges]


def _matches(
    edges: Sequence[Edges], pairs: Sequence[tuple[int, int]], turns: Sequence[float], settings: Fit, px_mm: float
) -> list[Match]:
    """How masks that have edges in common agree best, the first of each two turned by one of some turns."""
    from scipy import fft

    spectra = {mask: fft.rfft2(edges[mask]) for pair in pairs for mask in pair}
    found = []
    for first in dict.fromkeys(first for first, _ in pairs):
        seconds = [second for one, second in pairs if one == first]
        for turn in turns:
            turned = np.conj(spectra[first] if turn == 0 else fft.rfft2(_turned(edges[first], turn)))
            for second in seconds:
                agreement = fft.irfft2(turned * spectra[second], edges[first].shape)
                found.append(_peak(agreement, (first, second), turn, settings, px_mm))
    return [match for match in found if match is not None]


def _turned(edge: Edges, turn_deg: float) -> Edges:
    """Edges turned clockwise as seen (rows run down) about the middle."""
    from scipy import ndimage

    turned: Edges = ndimage.rotate(edge, -turn_deg, reshape=False, order=1)
    return turned


def _best(still: Sequence[Match], turned: Sequence[Match]) -> list[Match]:
    """The best match of every two masks: a turned one has to be better by half where they agree unturned."""
    best = {(one.first, one.second): one for one in still}
    for one in sorted(turned, key=lambda match: -match.peak):
        pair = (one.first, one.second)
        if pair not in best or (best[pair].turn == 0 and one.peak > 1.5 * best[pair].peak):
            best[pair] = one
    return list(best.values())


def _peak(agreement: Edges, pair: tuple[int, int], turn: float, settings: Fit, px_mm: float) -> Match | None:
    """The best shift within the settings, if it is plain to see."""
    near = _near(agreement, settings.most_mm / px_mm)
    reach = near.shape[0] // 2
    row, col = (int(at) for at in np.unravel_index(int(np.argmax(near)), near.shape))
    peak = float(near[row, col])
    if peak < settings.alike or peak < near.mean() + settings.clear * near.std():
        return None
    still = max(1, int(settings.least_mm / px_mm))
    here = float(near[reach - still : reach + still + 1, reach - still : reach + still + 1].max())
    down, right = row - reach + _between(near[:, col], row), col - reach + _between(near[row], col)
    far = np.hypot(down, right) * px_mm >= settings.least_mm and peak >= settings.better * max(here, 1e-9)
    return Match(first=pair[0], second=pair[1], peak=peak, turn=turn, row=down, col=right, off=bool(far or turn != 0))


def _near(agreement: Edges, most_px: float) -> Edges:
    """Agreement at shifts up to a distance, no shift in the middle."""
    reach = min(int(most_px) + 1, min(agreement.shape) // 2 - 2)
    return np.roll(agreement, (reach, reach), (0, 1))[: 2 * reach + 1, : 2 * reach + 1]


def _between(values: NDArray[np.float32], at: int) -> float:
    """How far beside a pixel the top lies, by a parabola through its neighbours."""
    if not 0 < at < len(values) - 1:
        return 0.0
    before, top, after = (float(value) for value in values[at - 1 : at + 2])
    bend = before - 2 * top + after
    return 0.5 * (before - after) / bend if bend < 0 else 0.0


def _joins(mask: int, match: Match) -> bool:
    return mask in (match.first, match.second)


def _worst(matches: Sequence[Match], steps: Sequence[int]) -> int | None:
    """The mask that is off against most of those it belongs to; of two alike, the later."""
    off = [[one.off for one in matches if _joins(mask, one)] for mask in range(len(steps))]
    rated = [(sum(one) / len(one), sum(one), steps[mask], mask) for mask, one in enumerate(off) if any(one)]
    share, _, _, mask = max(rated, default=(0.0, 0, 0, 0))
    return mask if share >= 0.5 else None


def _seen_from(mask: int, match: Match) -> Match:
    """A match as the move of one of its masks."""
    if match.first == mask:
        return match
    turn = np.radians(match.turn)
    # the first turns by t, then moves by m; so the second must move by -m, then turn by -t: turned -t, moved R(-t)(-m)
    col = -(match.col * np.cos(turn) + match.row * np.sin(turn))
    row = -(-match.col * np.sin(turn) + match.row * np.cos(turn))
    return Match(
        first=mask, second=match.first, peak=match.peak, turn=-match.turn, row=float(row), col=float(col), off=match.off
    )


def _misfit(use: MaskUse, edges: Sequence[Edges], moves: Sequence[Match], settings: Fit, px_mm: float) -> Misfit:
    """The move that most of a mask's matches ask for, found again between the turns tried, on all of them together."""
    from scipy import fft

    lead = max((one for one in moves if one.off), key=lambda one: one.peak)
    others = fft.rfft2(np.sum([edges[one.second] for one in moves], axis=0, dtype=np.float32))
    turns = [0.0] if lead.turn == 0 else [lead.turn + step / 10 for step in range(-4, 5)]
    tried = []
    for turn in turns:
        spectrum = fft.rfft2(_turned(edges[lead.first], turn) if turn else edges[lead.first])
        near = _near(fft.irfft2(np.conj(spectrum) * others, edges[0].shape), settings.most_mm / px_mm)
        row, col = (int(at) for at in np.unravel_index(int(np.argmax(near)), near.shape))
        tried.append((float(near[row, col]), turn, row + _between(near[:, col], row), col + _between(near[row], col)))
    _, turn, down, right = max(tried)
    reach = near.shape[0] // 2
    return Misfit(use=use, right_mm=(right - reach) * px_mm, down_mm=(down - reach) * px_mm, turn_deg=turn)


def misplaced(design: Design, dyes: ClothDyes, masks: Bytes) -> list[Misfit]:
    """Every mask of a design that doesn't fit the others, and how it must move; as the check finds them."""
    return misfits(Scene(design=design, dyes=dyes, masks=masks), Fit())


def corrected(mask: Bytes, misfit: Misfit, *, px_per_mm: float) -> Bytes:
    """The mask turned and moved so that it fits; what comes in from outside is not marked.

    mask : uint8 (rows, cols), 255 = fully marked
    """
    from scipy import ndimage

    turn = np.radians(misfit.turn_deg)
    # from a pixel (row, col) of the result back to the mask: take the move off, then turn back about the middle
    back = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    middle = (np.array(mask.shape) - 1) / 2
    move = np.array([misfit.down_mm, misfit.right_mm]) * px_per_mm
    moved: Bytes = ndimage.affine_transform(mask, back, offset=middle - back @ (middle + move), order=1, cval=0)
    return moved


def drawn_as(mask: Bytes, marks: Marks | None) -> Bytes:
    """A mask as a picture whose marks are read the same way: grey (rows, cols), or grey and alpha (rows, cols, 2)."""
    if marks == "alpha":
        return np.stack([np.zeros_like(mask), mask], axis=-1)
    return mask.copy() if marks == "light" else 255 - mask
