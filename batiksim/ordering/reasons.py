"""Why an order ranks where it does, in the maker's words."""

import numpy as np

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.differences import difference_words
from batiksim.colour.names import colour_name, layered
from batiksim.dyes.mud import DEFAULT_RULE
from batiksim.ordering.contrast import gone
from batiksim.ordering.design_of_order import area_pattern, idle_slots, is_planned, pot_named
from batiksim.ordering.ranking import Orders, Ranked
from batiksim.ordering.report import NEAR, dyeing_words, met_wants
from batiksim.texts.catalogue import Message, say
from batiksim.texts.phrases import percent
from batiksim.types import Floats
from batiksim.values.colour_words import name_message

# CIEDE2000. Assumptions, as are the shares below.
HARDLY = 6.0  # below it, areas side by side are hard to tell apart; up to `Weights.apart` they part softly
SAME = 1.5  # side by side they pass for one colour
MOST_MISSES = 3
MOST_LOST = 2
LEAST_DULL = 0.05  # share of the cloth that is brown, olive or grey but not muddy, from which it is mentioned
LEAST_CHANGED = 0.03  # share of the cloth that gets another colour, from which it is mentioned
MOST_CHANGED = 2
LEAST_EDGE = 0.03  # share of all touching edges that don't read, from which it is mentioned


def reasons(orders: Orders, ranked: Ranked) -> tuple[Message, ...]:
    """Sentences on everything that counted, what the maker asked for first."""
    return (
        *_wants(orders, ranked),
        *_mud(orders, ranked),
        *(_vanished(orders, ranked) or _reads(ranked)),
        *_sequence(orders, ranked),
        *_full(ranked),
        *_idle(ranked),
        *_strengths(orders, ranked),
        *_new_wax(orders, ranked),
        *_changed(orders, ranked),
    )


def _colour(lab: Floats | tuple[float, float, float]) -> Message:
    return name_message(colour_name(lab).name)


def _wants(orders: Orders, ranked: Ranked) -> list[Message]:
    met = met_wants(orders, ranked)
    kept = [one for one in met if one.kept]
    missed = sorted((one for one in met if not one.kept), key=lambda one: -one.delta_e)
    said = []
    if kept:
        areas = [
            say("orders.reason.kept_area", area=one.called, colour=name_message(colour_name(one.lab).plain))
            for one in kept
        ]
        said.append(say("orders.reason.kept", areas=areas, off=round(max(one.delta_e for one in kept), 1)))
    for one in missed[:MOST_MISSES]:
        now, wanted = _colour(one.lab), _colour(one.wanted_lab)
        off = round(one.delta_e)
        if one.delta_e <= NEAR or now == wanted:
            difference = difference_words(one.wanted_lab, one.lab)
            said.append(say("orders.reason.near_miss", area=one.called, difference=difference, off=off))
        else:
            said.append(say("orders.reason.miss", area=one.called, now=now, wanted=wanted, off=off))
    if len(missed) > MOST_MISSES:
        said.append(say("orders.reason.more_misses", count=len(missed) - MOST_MISSES))
    return said


def _mud(orders: Orders, ranked: Ranked) -> list[Message]:
    weights, parts = ranked.scorer.weights, ranked.found.parts
    share = parts["mud"] / weights.mud if weights.mud else 0.0
    dull = parts["dull"] / weights.dull if weights.dull else 0.0
    if share >= DEFAULT_RULE.least_share:
        worst = _muddiest(orders, ranked)
        return [say(f"orders.reason.{'mud' if worst else 'mud_here_and_there'}", share=percent(share), **worst)]
    return [say("orders.reason.dull", share=percent(dull)) if dull >= LEAST_DULL else say("orders.reason.no_mud")]


def _muddiest(orders: Orders, ranked: Ranked) -> dict[str, Message | str]:
    """The largest muddy area, by what lies over what there and what it turns to."""
    shares = orders.areas.shares
    best, found = 0.0, dict[str, Message | str]()
    for area in range(orders.areas.count):
        pattern = area_pattern(ranked, area)
        slots = [slot for slot, _ in pattern if slot >= 0]
        picks = np.array([[ranked.found.choice[slot] for slot in slots]], np.int64).reshape(1, -1)
        if shares[area] <= best or len(slots) < 2 or _pardoned(orders, ranked, area):
            continue
        if ranked.scorer.palette.shades(pattern, picks).mud[0]:
            best = float(shares[area])
            layers = layered(pot_named(ranked.slot_pots[slot]) for slot in slots)
            found = {"layers": layers, "colour": _colour(ranked.found.labs[area])}
    return found


def _pardoned(orders: Orders, ranked: Ranked, area: int) -> bool:
    """Whether an area has the colour wanted there, so that it counts neither as mud nor as dull."""
    lab = ranked.found.labs[area]
    near = [target for target in orders.targets if delta_e_2000(target.lab, lab) <= DEFAULT_RULE.pardon]
    return any(target.part[area] > 0 for target in near)


def _vanished(orders: Orders, ranked: Ranked) -> list[Message]:
    """Shapes of the design as it stands that can't be told from their neighbours any more, the worst two."""
    before, labs = orders.planned.found.labs, ranked.found.labs
    said: dict[tuple[str, ...], Message] = {}
    for border, off in gone(ranked.scorer.borders, labs):
        areas = border.one, border.other
        were = [colour_name(before[area]).name for area in areas]
        now = tuple(dict.fromkeys(_colour(labs[area]) for area in areas))
        key = "orders.reason.lost_in_one_colour" if len(now) == 1 else "orders.reason.lost"
        message = say(key, were=[name_message(name) for name in were], now=now, off=round(float(off), 1))
        said.setdefault(tuple(sorted(were)), message)
    return list(said.values())[:MOST_LOST]


def _reads(ranked: Ranked) -> list[Message]:
    borders = ranked.scorer.neighbours(ranked.found.layout)
    if not borders:
        return []
    apart, labs = ranked.scorer.weights.apart, ranked.found.labs
    short = {}
    for one, other, edge in borders:
        off = float(delta_e_2000(labs[one], labs[other]))
        short[one, other, off] = edge * max(0.0, 1 - off / apart)
    if sum(short.values()) < LEAST_EDGE:
        return [say("orders.reason.distinct")]
    one, other, off = max(short, key=lambda pair: short[pair])
    first, second = _colour(labs[one]), _colour(labs[other])
    how = "hardly" if off < HARDLY else "softly"
    if first == second or off < SAME:
        return [say(f"orders.reason.one_colour_{how}", colour=first, off=round(off, 1))]
    return [say(f"orders.reason.neighbours_{how}", one=first, other=second, off=round(off, 1))]


def _sequence(orders: Orders, ranked: Ranked) -> list[Message]:
    baths = dyeing_words(orders, ranked)
    if len(baths) < 2:
        return []
    palette, choice = ranked.scorer.palette, ranked.found.choice
    light = [
        float(np.mean([palette.alone[choice[slot], 0] for slot in orders.course.baths[bath]]))
        for bath in ranked.found.layout
    ]
    rises = np.diff(light) - ranked.scorer.weights.steady
    worst = int(np.argmax(rises))
    if np.ptp(light) <= ranked.scorer.weights.steady:
        return [say("orders.reason.equally_strong")]
    if rises[worst] <= 0:
        return [say("orders.reason.pale_to_strong")]
    pale, strong = ([pot_named(pot) for pot, _ in baths[place]] for place in (worst + 1, worst))
    return [say("orders.reason.strong_first", count=len(pale), pale=pale, strong=strong)]


def _full(ranked: Ranked) -> list[Message]:
    weights = ranked.scorer.weights
    lost = ranked.found.parts["lost"] / weights.lost if weights.lost else 0.0
    return [say("orders.reason.fibre_full")] if lost >= 0.1 else []


def _idle(ranked: Ranked) -> list[Message]:
    idle = [pot_named(ranked.slot_pots[slot]) for slot in sorted(idle_slots(ranked))]
    if not idle:
        return []
    return [
        say("orders.reason.does_without", pots=idle)
        if ranked.found.picks is not None
        else say("orders.reason.idle", count=len(idle), pots=idle)
    ]


def _strengths(orders: Orders, ranked: Ranked) -> list[Message]:
    planned = {pot.name: pot.strength for pot in orders.offered}
    changes = [
        (pot.name, planned[pot.name], pot.strength)
        for pot in dict.fromkeys(ranked.slot_pots)
        if pot.strength != planned.get(pot.name, pot.strength) and pot_named(pot) == pot.name
    ]
    if not changes:
        return []
    pots = [
        say("orders.reason.strength", pot=name, strength=strength, before=before) for name, before, strength in changes
    ]
    return [say("orders.reason.mix", pots=pots)]


def _new_wax(orders: Orders, ranked: Ranked) -> list[Message]:
    """What is to be waxed earlier or later than planned, the largest areas first."""
    picks = ranked.found.picks
    if picks is None:
        return []
    baths = [[pot_named(pot) for pot, _ in bath] for bath in dyeing_words(orders, ranked)]
    moved: dict[Message, float] = {}
    for area in range(orders.areas.count):
        planned, now = ranked.scorer.stages[area], picks[area]
        if planned == now:
            continue
        named = [target.want.called for target in orders.targets if target.part[area] > 0]
        name = named[0] if named else say("orders.reason.area_by_colour", colour=_colour(ranked.found.labs[area]))
        when = (
            say("orders.reason.wax_before", area=name, pots=baths[now])
            if now < planned
            else say("orders.reason.open_until", area=name, pots=baths[now - 1])
        )
        moved[when] = moved.get(when, 0.0) + float(orders.areas.shares[area])
    largest = sorted((when for when in moved if moved[when] >= 0.01), key=lambda when: -moved[when])
    return largest[:3] or [say("orders.reason.wax_as_planned")]


def _changed(orders: Orders, ranked: Ranked) -> list[Message]:
    """What gets another colour than in the order as it stands, the largest parts first; not where there are wants."""
    if orders.targets or is_planned(orders, ranked):
        return []
    before, labs = orders.planned.found.labs, ranked.found.labs
    changed: dict[tuple[Message, Message], float] = {}
    for area in np.flatnonzero(delta_e_2000(before, labs) > NEAR):
        names = _colour(before[area]), _colour(labs[area])
        changed[names] = changed.get(names, 0.0) + float(orders.areas.shares[area])
    most = sorted((names for names in changed if changed[names] >= LEAST_CHANGED), key=lambda names: -changed[names])
    changes = [
        say("orders.reason.change", share=percent(changed[names]), now=names[1], before=names[0])
        for names in most[:MOST_CHANGED]
    ]
    return [say("orders.reason.changed", changes=changes)] if changes else []
