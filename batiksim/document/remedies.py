"""Remedies that can be tried out with one press: for a finding, the changes that were seen to help.

Each proposal is a list of changes as in `changes.py`, tried on the rough masks before it is offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import chain, islice
from types import MappingProxyType
from typing import Any

from batiksim.document.frames.mask_cache import MaskShelf
from batiksim.document.uploads.pictures import MASKS
from batiksim.document.verbs import changed, made_own
from batiksim.files.toml import dyebooks
from batiksim.jobs import TriedOut
from batiksim.values import Design, Discharge, Dye, DyeBath, Finding, MaskUse, Wax

__all__ = ["Proposal", "proposals"]

Proposal = dict[str, Any]  # words, changes
Way = tuple[str, list[Any]]
CURED = 0.35  # a proposal leaves at most this part of the trouble (assumption)
LEAST_SHOWN = 0.003  # of the cloth: by how much more brushed colour must show, or mud may grow (assumption)
MOST = 3


def proposals(
    tried: TriedOut, finding: Finding, shelf: MaskShelf, own: Mapping[str, Dye] = MappingProxyType({})
) -> list[Proposal]:
    """At most three remedies for a finding that were seen to work, the least change first.

    shelf : where masks that a remedy needs are laid, to be looked at and perhaps kept
    own : the dyes of the maker's own book by name, offered before those of the built-in one
    """
    if finding.code == "fit":
        ways = tried.moved_at(finding.step)
        moved = [{use: shelf.put_new(use.picture, mask, folder=MASKS) for use, mask in way.items()} for way in ways]
        return [_fit(tried.design, way) for way in moved]
    if finding.code == "mud":
        return list(islice(_mud(tried, finding, own), MOST))
    maker = _MAKERS.get(finding.code)
    return [] if maker is None else list(islice(maker(tried, finding), MOST))


def _mud(tried: TriedOut, finding: Finding, own: Mapping[str, Dye]) -> Iterator[Proposal]:
    before = tried.mud()
    ways: tuple[Callable[[TriedOut, int], Iterable[Way]], ...]
    ways = (_forward, _wax_first, _exchanged, _weaker, _others)
    found = 0
    for words, changes in chain.from_iterable(way(tried, finding.step) for way in ways):
        after = _after(tried, changes)
        if after is not None and after.mud() <= CURED * before:
            found += 1
            yield {"words": words, "changes": changes}
    if not found:  # nothing that lies on the table helps
        for words, changes in _out_of_book(tried, finding.step, own):
            after = _after(tried, changes, own)
            if after is not None and after.mud() <= CURED * before:
                yield {"words": words, "changes": changes}


def _lost(tried: TriedOut, finding: Finding) -> Iterator[Proposal]:
    """A brushed colour that a bath takes: waxed in time, or dyed the other way round."""
    shown, mud = tried.shown(), tried.mud()
    for way in (_forward, _wax_first, _exchanged):
        for words, changes in way(tried, finding.step):
            after = _after(tried, changes)
            if after is not None and after.shown() > shown + LEAST_SHOWN and after.mud() <= mud + LEAST_SHOWN:
                yield {"words": words, "changes": changes}


def _order(tried: TriedOut, finding: Finding) -> Iterator[Proposal]:
    before = tried.hidden()
    for words, changes in [*_forward(tried, finding.step), *_exchanged(tried, finding.step)]:
        after = _after(tried, changes)
        if after is not None and after.hidden() < 0.7 * before:
            yield {"words": words, "changes": changes}


def _after(tried: TriedOut, changes: list[Any], own: Mapping[str, Dye] = MappingProxyType({})) -> TriedOut | None:
    return tried.with_design(lambda design: changed(design, made_own(changes, own)))


def _wasted(tried: TriedOut, finding: Finding) -> Iterator[Proposal]:
    if 1 <= finding.step <= len(tried.design.steps):
        yield {"words": f"Take step {finding.step} out", "changes": [{"do": "remove", "step": finding.step}]}


def _depth(tried: TriedOut, finding: Finding) -> Iterator[Proposal]:
    for words, changes in _weaker(tried, finding.step):
        yield {"words": words, "changes": changes}


def _forward(tried: TriedOut, step: int) -> list[Way]:
    """Later waxings brought forward."""
    found: list[Way] = []
    for number, later in enumerate(tried.design.steps, start=1):
        if number > step and isinstance(later, Wax):
            words = f"Wax “{later.mask.called}” before step {step}"
            found.append((words, [{"do": "move", "step": number, "to": step}]))
    return found


def _wax_first(tried: TriedOut, step: int) -> list[Way]:
    """A new waxing of what was brushed before, by the picture of that brushing; unless it is waxed later anyway."""
    steps = tried.design.steps
    known = {one.mask.picture for one in steps if isinstance(one, Wax)}
    found: list[Way] = []
    for number in range(step - 1, 0, -1):
        bath = steps[number - 1]
        for paint in bath.paints if isinstance(bath, DyeBath) else ():
            if paint.where is not None and paint.where.picture not in known:
                known.add(paint.where.picture)
                words = f"Wax “{paint.where.called}”, brushed in step {number}, before step {step}"
                new = {"kind": "wax", "where": _where(paint.where)}
                found.append((words, [{"do": "add", "at": step, "step": new}]))
    return found


def _where(use: MaskUse) -> dict[str, Any]:
    return {"picture": use.picture, "marks": use.marks, "clean": use.clean}


def _exchanged(tried: TriedOut, step: int) -> list[Way]:
    """Dyeings in each other's place."""
    steps = tried.design.steps
    found: list[Way] = []
    for number in range(step - 1, 0, -1):
        if isinstance(steps[number - 1], DyeBath):
            back = [{"do": "move", "step": step, "to": number}, {"do": "move", "step": number + 1, "to": step}]
            found.append((f"Dye step {step} before step {number}", back))
    return found


def _pots_of(tried: TriedOut, step: int) -> list[str]:
    one = tried.design.steps[step - 1] if 1 <= step <= len(tried.design.steps) else None
    return [paint.pot for paint in one.paints] if isinstance(one, DyeBath) else []


def _weaker(tried: TriedOut, step: int) -> list[Way]:
    found: list[Way] = []
    for name in _pots_of(tried, step):
        strength = tried.design.pot(name).strength
        for part, words in ((0.75, "three quarters"), (0.5, "half")):
            change = {"do": "strength", "pot": name, "strength": round(strength * part, 3)}
            found.append((f"Thin {name} to {words}", [change]))
    return found


def _others(tried: TriedOut, step: int) -> list[Way]:
    """A pot or dye of the design that no bath uses yet, in this one: of other dyes than what it would replace."""
    own = _pots_of(tried, step)
    used = {name for number in range(1, len(tried.design.steps) + 1) for name in _pots_of(tried, number)}
    design = tried.design
    names = [pot.name for pot in design.pots] + [dye.name for dye in design.dyes]
    return [
        (f"Use {other} instead of {name}", [{"do": "paint", "step": step, "paint": place, "pot": other}])
        for place, name in enumerate(own, start=1)
        for other in names
        if other not in used and tried.stands_in(other, name)
    ]


def _out_of_book(tried: TriedOut, step: int, own: Mapping[str, Dye]) -> Iterator[Way]:
    """A clear dye of a book in the place of a pot of the bath: the maker's own first, then the nearest in colour."""
    there = {dye.name for dye in tried.design.dyes} | {pot.name for pot in tried.design.pots}
    books = {dye.name: False for dye in dyebooks.read_book(dyebooks.DEMO).dyes} | dict.fromkeys(own, True)
    brought: dict[str, dict[str, Any]] = {
        name: {"do": "new_dye", "name": name} | ({"own": True} if mine else {})
        for name, mine in books.items()
        if name not in there
    }
    wider = _after(tried, list(brought.values()), own)
    if wider is None:
        return
    for place, name in enumerate(_pots_of(tried, step), start=1):
        likely = [other for other in brought if wider.is_clear(other) and wider.stands_in(other, name)]
        for other in sorted(likely, key=lambda one: (not books[one], wider.apart(one, name))):
            use = {"do": "paint", "step": step, "paint": place, "pot": other}
            book = "your own book" if books[other] else "the book"
            yield f"Use {other} from {book} instead of {name}", [brought[other], use]


def _fit(design: Design, moved: Mapping[MaskUse, MaskUse]) -> Proposal:
    """Masks that lie beside their places, moved to where they fit, wherever they are used."""
    places = [(place, moved[use]) for place, use in _places(design) if use in moved]
    names = " and ".join(dict.fromkeys(f"“{use.called}”" for use in moved))
    return {
        "words": f"Move {names} to where {'they fit' if len(moved) > 1 else 'it fits'}",
        "changes": [{"do": "mask", **place, "where": _where(new)} for place, new in places],
    }


def _places(design: Design) -> Iterator[tuple[dict[str, int], MaskUse]]:
    """Every place of the design that has a mask, as a change names it."""
    for number, step in enumerate(design.steps, start=1):
        if isinstance(step, Wax):
            yield {"step": number}, step.mask
        elif isinstance(step, Discharge) and step.where is not None:
            yield {"step": number}, step.where
        elif isinstance(step, DyeBath):
            for place, paint in enumerate(step.paints, start=1):
                if paint.where is not None:
                    yield {"step": number, "paint": place}, paint.where


_MAKERS: dict[str, Callable[[TriedOut, Finding], Iterator[Proposal]]] = {
    "lost": _lost,
    "order": _order,
    "wasted": _wasted,
    "depth": _depth,
}
