"""Why an order stands where it does, in the maker's words."""

import numpy as np

from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.colour.differences import difference_words
from batiksim.colour.names import colour_name
from batiksim.dyes.mud import DEFAULT_RULE
from batiksim.orders.contrast import gone
from batiksim.orders.design_of_order import area_pattern, idle_slots, is_planned, pot_named
from batiksim.orders.ranking import Orders, Ranked
from batiksim.orders.report import NEAR, dyeing_words, met_wants
from batiksim.texts.phrases import capital, listed, percent

# CIEDE2000. Assumptions, as are the shares below.
HARDLY = 6.0  # below it, areas side by side are hard to tell apart; up to `Weights.apart` they part softly
SAME = 1.5  # side by side they pass for one colour
MOST_MISSES = 3
MOST_LOST = 2
TOLD_DULL = 0.05  # of the cloth, from which it is worth a word what is brown, olive or grey but no mud
TOLD_CHANGED = 0.03  # from which a part of the cloth that gets another colour is worth a word
MOST_CHANGED = 2
TOLD_EDGE = 0.03  # of all touching edges, from which it is worth a word that they don't read


def reasons(orders: Orders, ranked: Ranked) -> tuple[str, ...]:
    """Sentences on everything that counted, what the maker asked for first."""
    said = [
        *_wants(orders, ranked),
        *_mud(orders, ranked),
        *(_vanished(orders, ranked) or _reads(orders, ranked)),
        *_sequence(orders, ranked),
        *_full(ranked),
        *_idle(ranked),
        *_strengths(orders, ranked),
        *_new_wax(orders, ranked),
        *_changed(orders, ranked),
    ]
    return tuple(said)


def _wants(orders: Orders, ranked: Ranked) -> list[str]:
    met = met_wants(orders, ranked)
    kept = [one for one in met if one.kept]
    missed = sorted((one for one in met if not one.kept), key=lambda one: -one.delta_e)
    said = []
    if kept:
        most = max(one.delta_e for one in kept)
        what = listed([f"{one.called} {colour_name(one.lab).plain}" for one in kept])
        off = f"{most:.1f} from" if len(kept) == 1 else f"at most {most:.1f} from"
        said.append(f"Keeps {what}: {off} what you asked (1 is just seen).")
    for one in missed[:MOST_MISSES]:
        now, asked = colour_name(one.lab).name, colour_name(one.wanted_lab).name
        if one.delta_e <= NEAR or now == asked:
            turned = difference_words(one.wanted_lab, one.lab)
            said.append(f"{capital(one.called)}: {turned} than asked ({one.delta_e:.0f}).")
        else:
            said.append(f"Turns {one.called} {now} where you asked for {asked} ({one.delta_e:.0f} off).")
    if len(missed) > MOST_MISSES:
        said.append(f"Misses {len(missed) - MOST_MISSES} more.")
    return said


def _mud(orders: Orders, ranked: Ranked) -> list[str]:
    weights, parts = ranked.scorer.weights, ranked.found.parts
    share = parts["mud"] / weights.mud if weights.mud else 0.0
    dull = parts["dull"] / weights.dull if weights.dull else 0.0
    if share < DEFAULT_RULE.least_share:
        said = ["Nothing muddy."] if dull < TOLD_DULL else [f"{percent(dull)} of the cloth is brown, olive or grey."]
    else:
        said = [f"{percent(share)} of the cloth goes muddy: {_muddiest(orders, ranked)}."]
    return said


def _muddiest(orders: Orders, ranked: Ranked) -> str:
    """The largest muddy area, by what lies over what there and what it turns to."""
    shares = orders.areas.shares
    best, told = 0.0, ""
    for area in range(orders.areas.count):
        pattern = area_pattern(ranked, area)
        slots = [slot for slot, _ in pattern if slot >= 0]
        picks = np.array([[ranked.found.choice[slot] for slot in slots]], np.int64).reshape(1, -1)
        if shares[area] <= best or len(slots) < 2 or _pardoned(orders, ranked, area):
            continue
        if ranked.scorer.palette.shades(pattern, picks).mud[0]:
            pots = [pot_named(ranked.slot_pots[slot]) for slot in slots]
            best = float(shares[area])
            told = f"{' over '.join(reversed(pots))} is {colour_name(ranked.found.labs[area]).name}"
    return told


def _pardoned(orders: Orders, ranked: Ranked, area: int) -> bool:
    """Whether an area has the colour wanted there, so that it counts neither as mud nor as dull."""
    lab = ranked.found.labs[area]
    near = [target for target in orders.targets if delta_e_2000(target.lab, lab) <= DEFAULT_RULE.pardon]
    return any(target.part[area] > 0 for target in near)


def _vanished(orders: Orders, ranked: Ranked) -> list[str]:
    """Shapes of the design as it stands that nothing tells from their neighbours any more, the worst two."""
    before, labs = orders.planned.found.labs, ranked.found.labs
    said: dict[tuple[str, ...], str] = {}
    for border, off in gone(ranked.scorer.borders, labs):
        areas = border.one, border.other
        were = [colour_name(before[area]).name for area in areas]
        now = dict.fromkeys(colour_name(labs[area]).name for area in areas)
        both = f"both turn {next(iter(now))}" if len(now) == 1 else f"turn {' and '.join(now)}"
        told = f"A shape is lost: {listed(were)} of your own order {both}, hard to tell apart ({off:.1f})."
        said.setdefault(tuple(sorted(were)), told)
    return list(said.values())[:MOST_LOST]


def _reads(orders: Orders, ranked: Ranked) -> list[str]:
    pairs = ranked.scorer.neighbours(ranked.found.layout)
    if not pairs:
        return []
    weights, labs, edges = ranked.scorer.weights, ranked.found.labs, orders.areas.edges
    short = {}
    for one, other in pairs:
        off = float(delta_e_2000(labs[one], labs[other]))
        short[one, other, off] = edges[one, other] * max(0.0, 1 - off / weights.apart)
    if sum(short.values()) < TOLD_EDGE:
        return ["Neighbours read against each other."]
    one, other, off = max(short, key=lambda pair: short[pair])
    names = [colour_name(labs[area]).name for area in (one, other)]
    part = "hardly part" if off < HARDLY else "part only softly"
    if names[0] == names[1] or off < SAME:
        return [f"Areas side by side both turn {names[0]} and {part} ({off:.1f})."]
    return [f"{capital(names[0])} and {names[1]} lie side by side and {part} ({off:.1f})."]


def _sequence(orders: Orders, ranked: Ranked) -> list[str]:
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
        return ["The dyeings are about equally strong."]
    if rises[worst] <= 0:
        return ["Pale to strong."]
    pale, strong = ([pot_named(pot) for pot, _ in baths[place]] for place in (worst + 1, worst))
    verb = "goes" if len(pale) == 1 else "go"
    return [f"{capital(listed(pale))} {verb} on after the stronger {listed(strong)}."]


def _full(ranked: Ranked) -> list[str]:
    weights = ranked.scorer.weights
    lost = ranked.found.parts["lost"] / weights.lost if weights.lost else 0.0
    return ["Late dye barely takes: the fibre is nearly full by then."] if lost >= 0.1 else []


def _idle(ranked: Ranked) -> list[str]:
    idle = [pot_named(ranked.slot_pots[slot]) for slot in sorted(idle_slots(ranked))]
    if not idle:
        return []
    return [
        f"Does without {listed(idle)}."
        if ranked.found.picks is not None
        else f"{capital(listed(idle))}: reaches nothing."
    ]


def _strengths(orders: Orders, ranked: Ranked) -> list[str]:
    planned = {pot.name: pot.strength for pot in orders.offered}
    changes = [
        (pot.name, planned[pot.name], pot.strength)
        for pot in dict.fromkeys(ranked.slot_pots)
        if pot.strength != planned.get(pot.name, pot.strength) and pot_named(pot) == pot.name
    ]
    if not changes:
        return []
    told = [f"{name} {strength:g} strong instead of {before:g}" for name, before, strength in changes]
    return [f"Mix {listed(told)}."]


def _new_wax(orders: Orders, ranked: Ranked) -> list[str]:
    """What is to be waxed earlier or later than planned, the largest areas first."""
    picks = ranked.found.picks
    if picks is None:
        return []
    baths = [listed([pot_named(pot) for pot, _ in bath]) for bath in dyeing_words(orders, ranked)]
    moved: dict[str, float] = {}
    for area in range(orders.areas.count):
        planned, now = ranked.scorer.stages[area], picks[area]
        if planned == now:
            continue
        name = _area_name(orders, ranked, area)
        when = f"Wax {name} before {baths[now]}" if now < planned else f"Leave {name} open until after {baths[now - 1]}"
        moved[when] = moved.get(when, 0.0) + float(orders.areas.shares[area])
    told = sorted((when for when in moved if moved[when] >= 0.01), key=lambda when: -moved[when])
    return [f"{when}." for when in told[:3]] or ["Wax as planned."]


def _changed(orders: Orders, ranked: Ranked) -> list[str]:
    """What gets another colour than in the order as it stands, where no wants tell of it; the largest parts first."""
    if orders.targets or is_planned(orders, ranked):
        return []
    before, labs = orders.planned.found.labs, ranked.found.labs
    changed: dict[tuple[str, str], float] = {}
    for area in np.flatnonzero(delta_e_2000(before, labs) > NEAR):
        names = colour_name(before[area]).name, colour_name(labs[area]).name
        changed[names] = changed.get(names, 0.0) + float(orders.areas.shares[area])
    most = sorted((names for names in changed if changed[names] >= TOLD_CHANGED), key=lambda names: -changed[names])
    told = [
        f"{percent(changed[names])} of the cloth is {names[1]} instead of {names[0]}" for names in most[:MOST_CHANGED]
    ]
    return [f"Against your own order, {listed(told)}."] if told else []


def _area_name(orders: Orders, ranked: Ranked, area: int) -> str:
    """What the maker calls an area, else its colour."""
    named = [target.want.called for target in orders.targets if target.part[area] > 0]
    return named[0] if named else f"what stays {colour_name(ranked.found.labs[area]).name}"
