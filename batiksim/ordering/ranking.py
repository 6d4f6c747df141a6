"""Orders ranked: what to try, how, and what came of it as values that sheets and commands show."""

from dataclasses import dataclass, replace

import numpy as np

from batiksim.cloth.dyes_on_cloth import ClothDyes
from batiksim.cloth.effects.effective_masks import as_drawn
from batiksim.cloth.program import design_masks
from batiksim.colour.ciede2000 import delta_e_2000
from batiksim.errors import BatikError
from batiksim.ordering.areas import Partition, partition_of
from batiksim.ordering.course import Course, course_of
from batiksim.ordering.enumeration import count_choices, count_orders, list_choices, list_orders
from batiksim.ordering.rewax import can_derive
from batiksim.ordering.score import DEFAULT_WEIGHTS, AsItStands, Scorer, Weights
from batiksim.ordering.search import How, OrderCandidate, Search, candidates, climb, differ, try_every
from batiksim.ordering.shades import Choices, Palette
from batiksim.ordering.strengths import tuned
from batiksim.ordering.wishes import Target, targets_of
from batiksim.texts.catalogue import Message, say
from batiksim.texts.progress import Progress, silent
from batiksim.types import Bools, Bytes
from batiksim.values import Design, Dye, Pot

MOST_TRIED = 1_500_000  # orders, layouts counted, up to which every one is tried
MISSED = 12.0  # CIEDE2000, as in `words`
FAR_WORSE = 40.0  # points behind the best, from which an order is no longer worth showing; assumption
TUNED_FOR_EACH = 4  # orders that are tuned for each one asked for


@dataclass(frozen=True, kw_only=True)
class Question:
    """What to try.

    choose : how many different pots, from and to; None = the design's own pots in every order
    derive : make wax masks anew for each order
    tune : thin or strengthen pots too
    """

    choose: tuple[int, int] | None = None
    best: int = 5
    derive: bool = False
    tune: bool = False
    weights: Weights = DEFAULT_WEIGHTS


@dataclass(frozen=True, kw_only=True)
class Ranked:
    """One order with everything needed to show it.

    rank : from 1; 0 for the design as it stands
    scorer : that gave its points
    """

    rank: int
    found: OrderCandidate
    scorer: Scorer

    @property
    def slot_pots(self) -> tuple[Pot, ...]:
        """The pot of each slot of the course."""
        return tuple(self.scorer.palette.pots[number] for number in self.found.choice)


@dataclass(frozen=True, kw_only=True)
class Orders:
    """Ranked orders of one design.

    planned : the design as it stands; better : how many orders are better than it, where that is known
    dyes : those that the orders' pots are made of; offered : the pots to choose from, as they are without tuning
    how, tried, of : every order, or some found by a search; how many of how many
    """

    design: Design
    course: Course
    areas: Partition
    targets: tuple[Target, ...]
    question: Question
    ranked: tuple[Ranked, ...]
    planned: Ranked
    better: int | None
    how: How
    tried: int
    of: int
    dyes: tuple[Dye, ...]
    offered: tuple[Pot, ...]
    notes: tuple[Message, ...]


def rank_orders(
    design: Design,
    dyes: ClothDyes,
    masks: Bytes,
    question: Question,
    *,
    wanted: Bytes,
    book: tuple[ClothDyes, tuple[Dye, ...]] | None = None,
    progress: Progress = silent,
) -> Orders:
    """Try orders of a design's pots, or choices from them or from a book, and rank them.

    masks : uint8 (masks, rows, cols), as drawn, in `design_masks` order; some 500 to 1000 pixels wide is enough
    wanted : uint8 (pictures, rows, cols), of `want_pictures`
    book : other dyes to choose from, on the same cloth
    errors : BatikError for a design without dyeings, wants that can't be placed, more pots than places
    """
    drawn = as_drawn(design)
    course = course_of(drawn)
    if question.derive and not can_derive(course):
        raise BatikError("orders.error.cannot_redraw", field="derive")
    areas = partition_of(course, design_masks(drawn), masks, wanted=wanted)
    targets = targets_of(course, areas)
    own = Palette(dyes, [design.pot(name) for name in dict.fromkeys(course.pots)])
    as_is = _as_planned(course, areas, own, targets, question)
    if book is not None and question.choose is None:
        question = replace(question, choose=(len(own.pots), len(own.pots)))
    palette = own if question.choose is None else _palette(design, dyes, book)
    planned = AsItStands(
        labs=as_is.found.labs, muddy=as_is.scorer.mud(as_is.found.layout, np.array([as_is.found.choice]))
    )
    scorer = Scorer(course, areas, palette, targets, planned=planned, derive=question.derive, weights=question.weights)
    search = _search(scorer, question, progress)
    ranked = _tuned(scorer, search, question)
    ranked = [one for one in ranked if one.found.points <= ranked[0].found.points + FAR_WORSE]
    same = question.choose is None and not question.derive
    return Orders(
        design=design,
        course=course,
        areas=areas,
        targets=targets,
        question=question,
        ranked=tuple(replace(one, rank=rank) for rank, one in enumerate(ranked, start=1)),
        planned=as_is,
        better=search.better(as_is.found.points) if same else None,
        how=search.how,
        tried=search.tried,
        of=search.of,
        dyes=design.dyes if book is None else book[1],
        offered=palette.pots,
        notes=_notes(design, drawn, targets, question, ranked, of=search.of),
    )


def _as_planned(
    course: Course, areas: Partition, palette: Palette, targets: tuple[Target, ...], question: Question
) -> Ranked:
    """The design as it stands, in the points of kept masks."""
    scorer = Scorer(course, areas, palette, targets, weights=question.weights)
    names = [pot.name for pot in palette.pots]
    choice = np.array([[names.index(name) for name in course.pots]])
    layout = tuple(range(course.places))
    (found,) = candidates(scorer, layout, choice, None)
    return Ranked(rank=0, found=found, scorer=scorer)


def _palette(design: Design, dyes: ClothDyes, book: tuple[ClothDyes, tuple[Dye, ...]] | None) -> Palette:
    """The pots to choose from."""
    if book is not None:
        if not book[1]:
            raise BatikError("orders.error.no_dyes", field="book")
        return Palette(book[0], [Pot(name=dye.name, parts={dye.name: 1.0}) for dye in book[1]])
    mixed = {frozenset(pot.dyes): pot for pot in design.pots}
    alone = [design.pot(dye.name) for dye in design.dyes if frozenset([dye.name]) not in mixed]
    return Palette(dyes, [*design.pots, *alone])


def _search(scorer: Scorer, question: Question, progress: Progress) -> Search:
    """Every order where there is room for it, else a search."""
    course, pots, slots = scorer.course, len(scorer.palette.pots), len(scorer.course.slots)
    layouts = len(course.layouts)
    best = question.best * (TUNED_FOR_EACH if question.tune else 1)
    if question.choose is None:
        names = [pot.name for pot in scorer.palette.pots]
        own = tuple(names.index(name) for name in course.pots)
        of = count_orders(own) * layouts
        if of <= MOST_TRIED:
            return try_every(scorer, list_orders(own), best=best, progress=progress)
        return climb(
            scorer,
            lambda rng, n: np.stack([rng.permutation(np.array(own)) for _ in range(n)]),
            lambda choices: np.ones(len(choices), np.bool_),
            pots=0,
            of=of,
            best=best,
            progress=progress,
        )
    low, high = _range(question.choose, pots, slots)
    counts = range(low, high + 1)
    of = sum(count_choices(pots, slots, different) for different in counts) * layouts
    if of <= MOST_TRIED:
        every = [list_choices(pots, slots, different) for different in counts]
        return try_every(scorer, np.concatenate(every), best=best, progress=progress)

    def allowed(choices: Choices) -> Bools:
        different = 1 + (np.diff(np.sort(choices, axis=1), axis=1) > 0).sum(axis=1)
        return np.asarray((different >= low) & (different <= high))

    return climb(
        scorer,
        lambda rng, n: _random(rng, pots, slots, (low, high), n),
        allowed,
        pots=pots,
        of=of,
        best=best,
        progress=progress,
    )


def _random(rng: np.random.Generator, pots: int, slots: int, between: tuple[int, int], count: int) -> Choices:
    """Random choices of as many different pots as allowed."""
    found = np.empty((count, slots), np.int64)
    for row in found:
        different = int(rng.integers(between[0], between[1] + 1))
        picked = rng.permutation(pots)[:different]
        groups = rng.permutation([*range(different), *rng.integers(0, different, slots - different)])
        row[:] = picked[groups]
    return found


def _range(choose: tuple[int, int], pots: int, slots: int) -> tuple[int, int]:
    """How many different pots, as far as the design has places and the book has pots."""
    low, high = choose
    if not 1 <= low <= high:
        got = low if low == high else f"{low}-{high}"
        raise BatikError("orders.error.choose_range", field="choose", got=got)
    if low > slots:
        raise BatikError("orders.error.choose_more_than_places", field="choose", got=low, most=slots)
    if low > pots:
        raise BatikError("orders.error.choose_more_than_pots", field="choose", got=low, most=pots)
    return low, min(high, slots, pots)


def _tuned(scorer: Scorer, search: Search, question: Question) -> list[Ranked]:
    if not question.tune:
        return [Ranked(rank=0, found=one, scorer=scorer) for one in search.found]

    found: dict[int, Ranked] = {}
    for one in search.found:
        better, last = tuned(scorer, one)
        found[id(better)] = Ranked(rank=0, found=better, scorer=last)
    kept = differ([one.found for one in found.values()], scorer.areas.shares, best=question.best)
    return [found[id(one)] for one in kept]


def _notes(
    design: Design, drawn: Design, targets: tuple[Target, ...], question: Question, ranked: list[Ranked], *, of: int
) -> tuple[Message, ...]:
    notes = []
    if not targets:
        notes.append(say("orders.note.no_wants"))
    if drawn != design:
        notes.append(say("orders.note.as_drawn"))
    missed = [t for t in targets if t.part @ delta_e_2000(t.lab, ranked[0].found.labs) > MISSED]
    if missed and not question.derive and can_derive(ranked[0].scorer.course):
        notes.append(say("orders.note.redraw", wants=[target.want.called for target in missed]))
    if len(ranked) < min(question.best, of):
        notes.append(say("orders.note.rest", count=len(ranked)))
    return tuple(notes)
