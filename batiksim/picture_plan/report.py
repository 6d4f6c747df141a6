"""What came of a picture: each colour that it has, what the cloth gives instead, and why not the colour itself."""

from dataclasses import dataclass, field

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.differences import difference_words
from batiksim.colour.gamut import lab_to_hex
from batiksim.colour.names import colour_name
from batiksim.picture_plan.palette import all_ways, offered
from batiksim.picture_plan.plan import MOST_STEPS, PicturePlan
from batiksim.picture_plan.search import LADDER, mixed_baths, single_baths
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Bools, Floats, Ints
from batiksim.values.colour_words import name_message
from batiksim.values.plain_data import as_data

ALIKE = 9.0  # CIEDE2000 up to which colours of a picture are reported as one (set by eye)
MOST_REPORTED = 12
LEAST_SHARE = 0.005  # of the picture; smaller colours are only mentioned where they are lost
LEAST_LOST = 0.0003  # of the picture; what is smaller still is a speck
LOST_BY = 12.0  # CIEDE2000 of most of it, from which a small colour counts as lost: another colour has taken its place
MOST_LOST = 3
# CIEDE2000: up to the first a colour counts as given, from the second as not to be had. Common practice, no source.
GIVEN, FAR = 3.0, 6.0
BETTER = 2.0  # CIEDE2000 that a pot alone has to gain for the order to be to blame
LOST = 0.3  # share of a colour that the hand's line may take away before it is mentioned
PLACE_PX = 200  # width at which a place for a colour is looked for


@dataclass(frozen=True, kw_only=True)
class RegionReport:
    """One colour of the picture.

    share : of the picture; at_mm : a spot of it on the cloth
    target, reachable, comes_out : "#rrggbb" in the picture, as near as this plan can, and as most of it comes
    difference : CIEDE2000 between target and reachable; miss : mean between picture and cloth, spot by spot
    pots : numbers of the pots it takes, by dyeing, from 0; words : what came of it; impossible : why not, if so
    """

    name: str
    share: float = field(metadata=as_data(places=4))
    at_mm: tuple[float, float]
    target: str = field(metadata=as_data("wanted"))
    reachable: str
    comes_out: str = field(metadata=as_data("given"))
    difference: float = field(metadata=as_data(places=2))
    miss: float = field(metadata=as_data("mean_difference", places=2))
    pots: tuple[int, ...]
    words: Message
    impossible: tuple[Message, ...] = field(metadata=as_data(make=lambda reasons: " ".join(map(str, reasons))))


@dataclass(frozen=True, kw_only=True)
class PictureReport:
    """A picture's plan in words and numbers. miss : mean CIEDE2000 of cloth and picture; notes : what else to know."""

    regions: tuple[RegionReport, ...]
    miss: float = field(metadata=as_data("mean_difference", places=2))
    notes: tuple[Message, ...]


def picture_report(plan: PicturePlan, dyes: ClothDyes, names: list[list[str]]) -> PictureReport:
    """What came of a picture's colours. names : what the pots are called, by dyeing."""
    joined = _joined(plan)
    region_of = _regions(*joined)
    regions = len(np.unique(region_of[region_of >= 0]))
    ways = len(plan.palette)
    here = np.append(region_of, -1)[plan.colours.group[plan.colours.number]]
    inside = here >= 0
    key = (here[inside] * ways + plan.best_way[inside]) * ways + plan.drawn_way[inside]
    counts = np.bincount(key, minlength=regions * ways * ways).reshape(regions, ways, ways)
    misses = delta_e_2000(plan.colours.lab[:, None], plan.palette)[plan.colours.number, plan.drawn_way]
    alone = dyes.labs(offered(dyes, [*single_baths(dyes, LADDER), *mixed_baths(dyes)])[0])  # on the bare cloth
    reports = [
        _region(plan, counts[one], here == one, region_of == one, float(misses[here == one].mean()), alone, names)
        for one in range(regions)
    ]
    lost = _lost_notes(plan, *joined, region_of)
    missed = bool(lost) or any(region.difference > FAR for region in reports)
    return PictureReport(
        regions=tuple(sorted(reports, key=lambda region: -region.share)),
        miss=float(misses.mean()),
        notes=(*lost, *_notes(plan, lost=missed)),
    )


def _joined(plan: PicturePlan) -> tuple[Ints, Floats]:
    """For each gathered colour (n,) which of them it is reported with, and the share of the picture each then has."""
    lab, share, edge = plan.colours.clusters.lab.copy(), _areas(plan), plan.colours.rim
    number = np.arange(len(lab))
    apart = delta_e_2000(lab[:, None], lab)
    np.fill_diagonal(apart, np.inf)
    apart[edge], apart[:, edge] = np.inf, np.inf
    share[edge] = 0
    while np.isfinite(apart).any():
        first, second = (int(place) for place in np.unravel_index(apart.argmin(), apart.shape))
        if apart[first, second] > ALIKE:
            break
        lab[first] = (share[first] * lab[first] + share[second] * lab[second]) / (share[first] + share[second])
        share[first] += share[second]
        share[second] = 0
        number[number == second] = first
        apart[second], apart[:, second] = np.inf, np.inf
        others = share > 0
        others[first] = False
        apart[first, others] = apart[others, first] = delta_e_2000(lab[first], lab[others])
    return number, share


def _regions(number: Ints, share: Floats) -> Ints:
    """For each of the gathered colours the number of the colour it is reported with, from 0; -1 = too little."""
    largest = [
        colour for colour in np.argsort(-share, kind="stable")[:MOST_REPORTED].tolist() if share[colour] >= LEAST_SHARE
    ]
    out = np.full(len(number), -1, np.int64)
    for place, colour in enumerate(largest):
        out[number == colour] = place
    return out


def _lost_notes(plan: PicturePlan, number: Ints, share: Floats, region_of: Ints) -> list[Message]:
    """Colours too small for the list that another colour has swallowed, the worst loss first."""
    group = plan.colours.group[plan.colours.number]
    lost = []
    for colour in np.flatnonzero((share >= LEAST_LOST) & (region_of < 0)).tolist():
        area = np.where(number == colour, _areas(plan), 0)
        target = area @ plan.colours.clusters.lab / area.sum()
        here = np.isin(group, np.flatnonzero(number == colour))
        outcome = plan.palette[int(np.bincount(plan.drawn_way[here]).argmax())]
        off = float(delta_e_2000(target, outcome))
        if off >= LOST_BY:
            words = _lost_words(target, outcome, share[colour], _place(here, plan), spare=_spare(plan))
            lost.append((share[colour] * off, words))
    return [words for _, words in sorted(lost, key=lambda loss: -loss[0])[:MOST_LOST]]


def _spare(plan: PicturePlan) -> bool:
    """Whether fewer dyeings are used than were allowed."""
    return len(plan.dyeings) < plan.options.steps


def _lost_words(target: Floats, outcome: Floats, share: float, at_mm: tuple[float, float], *, spare: bool) -> Message:
    was, becomes = colour_name(target).name, colour_name(outcome).name
    return say(
        f"from_picture.lost.{'too_little' if spare else 'allow_more'}",
        colour=name_message(was),
        share=percent(share),
        across=at_mm[0],
        down=at_mm[1],
        becomes=name_message(becomes) if was != becomes else difference_words(target, outcome),
    )


def _areas(plan: PicturePlan) -> Floats:
    """The share of the picture (n,) that each gathered colour has."""
    colours = plan.colours
    counts: Floats = np.bincount(colours.group, colours.count, len(colours.clusters.lab)).astype(np.float64)
    return np.asarray(counts / counts.sum())


def _region(
    plan: PicturePlan, counts: Ints, here: Bools, groups: Bools, miss: float, alone: Floats, names: list[list[str]]
) -> RegionReport:
    """Counts : pixels (best way, way as drawn); here : its pixels; groups : its gathered colours."""
    clusters = plan.colours.clusters
    area = _areas(plan)[groups]
    share = float(area.sum())
    target = area @ clusters.lab[groups] / share
    apart = delta_e_2000(target, plan.palette)
    best, most = int(apart.argmin()), int(counts.sum(axis=0).argmax())
    lost = 1 - float(np.trace(counts)) / max(float(counts.sum()), 1.0)
    way = all_ways(plan.shape)[best]
    reach = plan.palette[best]
    pots = [names[at][pot] for at, pot in enumerate(way)]
    return RegionReport(
        name=colour_name(target).name,
        share=share,
        at_mm=_place(here, plan),
        target=lab_to_hex(target),
        reachable=lab_to_hex(reach),
        comes_out=lab_to_hex(plan.palette[most]),
        difference=float(apart[best]),
        miss=miss,
        pots=way,
        words=_words(target, reach, float(apart[best]), pots),
        impossible=(*_hue_words(plan, target, float(apart[best]), alone, pots), *_line_words(plan, counts, lost)),
    )


def _words(target: Floats, reach: Floats, miss: float, pots: list[str]) -> Message:
    took: str | Message = pots[0] if pots else say("from_picture.region.bare")
    for pot in pots[1:]:
        took = say("from_picture.region.then", first=took, pot=pot)
    if miss <= GIVEN:
        return say("from_picture.region.as_wanted", took=took)
    return say("from_picture.region.than_wanted", difference=difference_words(target, reach), took=took)


def _hue_words(plan: PicturePlan, target: Floats, miss: float, alone: Floats, pots: list[str]) -> list[Message]:
    """Why the plan can't give a colour, if it can't."""
    if miss <= FAR:
        return []
    if target[0] > plan.palette[0, 0] + 1 and not pots:
        return [say("from_picture.region.paler_than_cloth")]
    best = float(delta_e_2000(target, alone).min())
    if best > min(FAR, miss - BETTER):
        return [say("from_picture.region.needs_another_dye", off=round(min(best, miss)))]
    if _spare(plan):
        return [say("from_picture.region.too_little", off=round(best))]
    why = (
        say("from_picture.region.dyed_over", pot=pots[0])
        if len(pots) > 1
        else say("from_picture.region.no_dyeing_left")
    )
    more = "dyeing" if len(plan.dyeings) < MOST_STEPS else "pot"
    return [why, say(f"from_picture.region.allow_one_more_{more}", off=round(best))]


def _line_words(plan: PicturePlan, counts: Ints, lost: float) -> list[Message]:
    """What the hand's line took away of it, if much."""
    if lost < LOST:
        return []
    stages = np.array([len(way) for way in all_ways(plan.shape)])
    moved = counts * (1 - np.eye(len(counts), dtype=np.int64))
    later = float(moved[stages[:, None] < stages[None]].sum())
    earlier = float(moved[stages[:, None] > stages[None]].sum())
    line, wide = plan.options.line_mm, plan.options.width_mm
    what = "dyed_over" if later >= max(earlier, 1.0) else "waxed_over" if earlier > 0 else "brushed_over"
    finer = float(f"{line / 2:.2g}")
    return [
        say(f"from_picture.fine.{what}", share=percent(lost), line=line),
        say("from_picture.fine.what_to_do", line=finer, width=wide * 2),
    ]


def _place(here: Bools, plan: PicturePlan) -> tuple[float, float]:
    """A spot (x, y in mm) well inside: where most about it is of the same colour."""
    from scipy import ndimage

    by = max(1, here.shape[1] // PLACE_PX)
    few = here[by // 2 :: by, by // 2 :: by]
    if not few.any():
        few, by = here, 1
    inside = ndimage.distance_transform_edt(np.pad(few, 1))[1:-1, 1:-1]
    row, col = (int(place) for place in np.unravel_index(inside.argmax(), few.shape))
    offset = by // 2 + 0.5
    return round((col * by + offset) / plan.px_per_mm, 1), round((row * by + offset) / plan.px_per_mm, 1)


def _notes(plan: PicturePlan, *, lost: bool) -> tuple[Message, ...]:
    drawn, line = plan.drawn, plan.options.line_mm
    notes = []
    if _spare(plan):
        notes.append(say(f"from_picture.note.{'enough_for_the_rest' if lost else 'enough'}", count=len(plan.dyeings)))
    if drawn.thickened >= 0.001:
        notes.append(say("from_picture.note.thickened", line=line, share=percent(drawn.thickened)))
    if drawn.dropped_wax >= 0.001:
        notes.append(say("from_picture.note.dropped_wax", share=percent(drawn.dropped_wax)))
    if drawn.dropped_gaps >= 0.001:
        notes.append(say("from_picture.note.dropped_gaps", share=percent(drawn.dropped_gaps)))
    if drawn.parted >= 0.0005:
        notes.append(say("from_picture.note.parted", share=percent(drawn.parted)))
    return tuple(notes)
