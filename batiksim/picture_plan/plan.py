"""A picture becomes a plan for a cloth: dyes in their order, what to wax before each of them, and where to brush.

The picture's colours are gathered, dyeings are sought that serve them (`search`), each pixel takes the way through
them that suits it best, and the shapes that come of it are made such that a hand can wax them (`drawable_stages`).
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.masks import area_mean
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.spaces import decode_srgb
from batiksim.errors import BatikError
from batiksim.picture_plan.drawable import WORK_PX, DrawableStages, drawable_stages, wax_to_lay, with_lines
from batiksim.picture_plan.labels import reassign_edge_labels, smooth_labels
from batiksim.picture_plan.paint_masks import NONE, brushed_over, masks_to_paint, parting_lines, pots_to_brush
from batiksim.picture_plan.palette import Plan, all_ways, palette
from batiksim.picture_plan.quantise import Colours, picture_colours
from batiksim.picture_plan.search import search_plan
from batiksim.texts.catalogue import say
from batiksim.texts.progress import Progress, silent
from batiksim.types import Bytes, Floats, Singles
from batiksim.values.rules import number
from batiksim.values.settings import Value

MOST_STEPS, MOST_POTS = 6, 3
OVERLAP = 1.5  # of the line: how far new wax runs onto old
RIM = 0.5  # of the line: bands up to this wide may be the rim of a soft edge
LEAST_PX = 1.5  # pixels to the least line in finished masks, where the picture is coarser
MOST_SCALED = 4_000_000  # pixels up to which a coarse picture's masks are enlarged
EDGE_WINDOW = 9  # pixels about an edge in which its softness is looked at
EDGE_LOOKS = 200_000
SOFTEST_PX = 3.0  # wider edges are no edges of wax
LEAST_WAX = 2e-5  # share of the cloth; a waxing of less is left out
LEAST_BRUSHED = 1e-3  # share of the cloth; a pot brushed on less beside another is left out
LEAST_GAIN = 1.5  # CIEDE2000 that a colour must gain where it lies, to be worth its wax (common practice: hardly seen)
UNKNOWN = 255


@dataclass(frozen=True, kw_only=True)
class FromPictureOptions(Value):
    """What a maker asks of a cloth made from a picture."""

    KIND = "from_picture"

    steps: int = field(default=4, metadata=number("Most dyeings.", 4, 1, MOST_STEPS, whole=True))
    pots: int = field(default=2, metadata=number("Most pots side by side in one dyeing.", 2, 1, MOST_POTS, whole=True))
    width_mm: float = field(default=450.0, metadata=number("Width of the cloth.", 450, 10, 20_000, "mm"))
    line_mm: float = field(default=1.5, metadata=number("The finest line that you will wax.", 1.5, 0.1, 2_000, "mm"))

    def agree(self) -> None:
        """Raise BatikError for a line that is too thick for the cloth."""
        number("The finest line.", 1.5, 0.1, self.width_mm / 10)["rule"].check(self.line_mm, "line_mm")


@dataclass(frozen=True, kw_only=True, eq=False)
class PicturePlan:
    """A plan for a cloth.

    dyeings : in order, each of one pot or several; palette : CIELAB (ways, 3), in the order of `all_ways`
    wax : uint8 (dyeings, rows, cols), 255 = wax here before that dyeing; waxed : whether there is anything to wax
    paint : for each dyeing a mask (rows, cols) for each of its pots; none where one pot goes over the whole cloth
    best_way, drawn_way : uint8 (rows, cols) as worked on, the way that suits each spot, and the one it takes as drawn
    drawn : what the hand's line did; colours : of the picture as worked on; px_per_mm : of `drawn_way`
    """

    options: FromPictureOptions
    dyeings: Plan
    palette: Floats
    wax: Bytes
    waxed: tuple[bool, ...]
    paint: tuple[tuple[Bytes, ...], ...]
    best_way: Bytes
    drawn_way: Bytes
    drawn: DrawableStages
    colours: Colours
    px_per_mm: float

    @property
    def shape(self) -> tuple[int, ...]:
        """How many pots each dyeing has."""
        return tuple(map(len, self.dyeings))


def plan_picture(
    rgb: Bytes, dyes: ClothDyes, options: FromPictureOptions, *, given: Plan | None = None, progress: Progress = silent
) -> PicturePlan:
    """Plan a cloth that looks like a picture.

    rgb : uint8 (rows, cols, 3) sRGB
    dyes : those to choose from; given : the dyeings in order, where only the wax and the brushing are to be found
    errors : BatikError for a book without dyes
    """
    if not dyes.dyes:
        raise BatikError("dyes.error.empty_book", field="dyes")
    line_px = options.line_mm * rgb.shape[1] / options.width_mm
    coarser = max(1, round(line_px / WORK_PX))
    small = area_mean(rgb, coarser, rounded=True)
    line_px /= coarser
    progress(0, 10, say("from_picture.progress.colours"))
    colours = picture_colours(small, line_px=line_px)

    def searching(done: int, whole: int) -> None:
        progress(1 + 4 * done // whole, 10, say("from_picture.progress.search"))

    plan = given or search_plan(dyes, colours.clusters, steps=options.steps, pots=options.pots, tell=searching)
    progress(5, 10, say("from_picture.progress.steps"))
    plan, colours_given, best_way = _sorted_pixels(dyes, plan, colours, line_px, keep=given is not None)
    progress(6, 10, say("from_picture.progress.shapes"))
    shape = tuple(map(len, plan))
    stages = np.array([len(way) for way in all_ways(shape)], np.uint8)[best_way]  # how many dyeings each way takes
    brushed = [_brushed(best_way, shape, at, line_px) for at in range(len(shape))]
    drawn = drawable_stages(stages, dyeings=len(plan), line_px=line_px)
    softness = min(_softness(small, (drawn.closed <= 0.5).sum(axis=0).astype(np.uint8)), SOFTEST_PX)
    drawn, brushed = _parted(drawn, brushed, line_px)
    progress(9, 10, say("from_picture.progress.shapes"))
    most = 1 if coarser > 1 else int(np.sqrt(MOST_SCALED / (rgb.shape[0] * rgb.shape[1])))
    finer = max(1, min(most, int(np.ceil(LEAST_PX / line_px))))  # so that edges of a coarse picture can be smooth
    size, scale = (rgb.shape[0] * finer, rgb.shape[1] * finer), coarser * finer
    done = (drawn.closed <= 0.5).sum(axis=0).astype(np.uint8)
    wax = wax_to_lay(
        drawn, size, scale=scale, line_px=line_px, overlap_px=max(2.0, OVERLAP * line_px), soft_px=softness * scale
    )
    return PicturePlan(
        options=options,
        dyeings=plan,
        palette=colours_given,
        wax=wax,
        waxed=tuple(float(mask.mean()) > 255 * LEAST_WAX for mask in wax),
        paint=tuple(masks_to_paint(pots, size, scale=scale, line_px=line_px) if len(pots) else () for pots in brushed),
        best_way=best_way,
        drawn_way=_ways_taken(done, brushed, shape),
        drawn=drawn,
        colours=colours,
        px_per_mm=line_px / options.line_mm,
    )


def _parted(drawn: DrawableStages, brushed: list[Singles], line_px: float) -> tuple[DrawableStages, list[Singles]]:
    """The same with wax lines wherever pots would meet, each pot brushed to the middle of them.

    Moving the pots' borders may let them meet beyond the lines' ends; those spots are closed by a second round.
    """
    for _ in range(2):
        lines = [parting_lines(pots, drawn.closed[at] > 0.5, line_px=line_px) for at, pots in enumerate(brushed)]
        drawn = with_lines(drawn, lines, line_px=line_px)
        brushed = [
            brushed_over(shares, parting, line_px=line_px) for shares, parting in zip(brushed, lines, strict=True)
        ]
    return drawn, brushed


def _sorted_pixels(
    dyes: ClothDyes, plan: Plan, colours: Colours, line_px: float, *, keep: bool
) -> tuple[Plan, Floats, Bytes]:
    """The plan, less pots that almost nothing takes unless `keep`; its palette; the way that suits each pixel."""
    shown = palette(dyes, plan)
    loss = delta_e_2000(colours.lab[:, None], shown).astype(np.float32)
    if not keep:
        loss = _worthwhile(loss, colours)
    best = loss.argmin(axis=1)
    idle = None if keep else _idle_pot(best, colours, tuple(map(len, plan)))
    if idle is not None:
        at, pot = idle
        fewer = (*plan[:at], (*plan[at][:pot], *plan[at][pot + 1 :]), *plan[at + 1 :])
        return _sorted_pixels(dyes, fewer, colours, line_px, keep=keep)
    best_way = smooth_labels(best.astype(np.uint8)[colours.number], colours, loss)
    return plan, shown, reassign_edge_labels(best_way, colours, loss, narrow_px=2 * max(1, round(RIM * line_px / 2)))


def _worthwhile(loss: Singles, colours: Colours) -> Singles:
    """Losses (colours, ways) with those ways shut (infinite) that gain next to nothing where they are taken."""
    loss = loss.copy()
    rows = np.arange(len(loss))
    while True:
        best = loss.argmin(axis=1)
        own_loss, taken = loss[rows, best], np.bincount(best, colours.count, loss.shape[1])
        without = loss.copy()
        without[rows, best] = np.inf
        gain = np.bincount(best, colours.count * (without.min(axis=1) - own_loss), loss.shape[1]) / np.maximum(taken, 1)
        gain[taken == 0] = np.inf
        least = int(gain.argmin())
        if not gain[least] < LEAST_GAIN:
            return loss
        loss[:, least] = np.inf


def _idle_pot(best: NDArray[np.intp], colours: Colours, shape: tuple[int, ...]) -> tuple[int, int] | None:
    """The pot beside others that least takes, if that is next to nothing: its dyeing, and place in it."""
    share = np.bincount(best, colours.count, len(all_ways(shape))) / colours.count.sum()
    taken = [
        (sum(share[place] for place, way in enumerate(all_ways(shape)) if way[at : at + 1] == (pot,)), (at, pot))
        for at, pots in enumerate(shape)
        if pots > 1
        for pot in range(pots)
    ]
    much, where = min(taken, default=(1.0, None))
    return where if much < LEAST_BRUSHED else None


def _brushed(best_way: Bytes, shape: tuple[int, ...], at: int, line_px: float) -> Singles:
    """Shares of each pot (pots, rows, cols) of one dyeing; of none where it has one pot."""
    if shape[at] == 1:
        return np.zeros((0, *best_way.shape), np.float32)
    pot = np.array([way[at] if len(way) > at else NONE for way in all_ways(shape)], np.uint8)
    return pots_to_brush(pot[best_way], shape[at], line_px=line_px)


def _ways_taken(done: Bytes, brushed: list[Singles], shape: tuple[int, ...]) -> Bytes:
    """The way (rows, cols) each spot takes through the dyeings as drawn. done : how many it takes."""
    place = {way: number for number, way in enumerate(all_ways(shape))}
    taken = np.zeros(done.shape, np.intp)
    within = np.zeros(done.shape, np.intp)
    for at, pots in enumerate(shape):
        pot = brushed[at].argmax(axis=0) if pots > 1 else 0
        within = within * pots + pot
        first = place[(0,) * (at + 1)]
        taken = np.where(done == at + 1, first + within, taken)
    return taken.astype(np.uint8)


def _softness(rgb: Bytes, stages: Bytes) -> float:
    """How many pixels wide the edges between stages are in a picture.

    A share that runs evenly from 0 to 1 over w pixels has a sum of 4 a (1 - a) of 2 w / 3 across the edge.
    """
    from scipy import ndimage

    length = np.pi / 4 * sum(int((np.diff(stages, axis=axis) != 0).sum()) for axis in (0, 1))
    low, high = ndimage.minimum_filter(stages, EDGE_WINDOW), ndimage.maximum_filter(stages, EDGE_WINDOW)
    near = np.flatnonzero(low < high)
    if not length:
        return 0.0
    near = near[:: max(1, len(near) // EDGE_LOOKS)]
    mean = _stage_means(rgb, np.where(low == high, stages, UNKNOWN))
    start, way = mean[low.ravel()[near]], (mean[high.ravel()[near]] - mean[low.ravel()[near]])
    seen = decode_srgb(rgb.reshape(-1, 3)[near] / 255.0) - start
    size = (way**2).sum(axis=1)
    share = np.clip(np.divide((seen * way).sum(axis=1), size, out=np.zeros(len(near)), where=size > 1e-4), 0, 1)
    return 1.5 * float((4 * share * (1 - share)).mean()) * int((low < high).sum()) / length


def _stage_means(rgb: Bytes, stages: Bytes) -> Floats:
    """Mean linear sRGB (7, 3) of each stage."""
    some = (slice(None, None, 2), slice(None, None, 2)) if stages.size > 10_000 else (slice(None), slice(None))
    flat, linear = stages[some].ravel(), decode_srgb(np.arange(256) / 255.0)
    count = np.maximum(np.bincount(flat, minlength=256), 1)
    sums = [np.bincount(flat, linear[rgb[some][..., band].ravel()], 256) for band in range(3)]
    return (np.stack(sums, axis=1) / count[:, None])[: MOST_STEPS + 1]
