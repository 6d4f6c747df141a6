"""Remedies that can be tried out with one press: for a finding, the changes that were seen to help.

Each proposal is a list of changes as in `verbs.py`, tried on the rough masks before it is offered.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from itertools import chain, islice, starmap
from types import MappingProxyType
from typing import Any

from batiksim.document.frames.mask_cache import MaskCache
from batiksim.document.uploads.pictures import MASKS
from batiksim.document.verbs import apply_changes, insert_own_dyes
from batiksim.files.toml import dyebooks
from batiksim.jobs import Trial
from batiksim.texts.catalogue import Message, message_data, say
from batiksim.values import Design, Dye, DyeBath, Finding, MaskUse, Wax
from batiksim.values.plain_data import plain_data

Proposal = dict[str, Any]  # words, words_says, changes
Candidate = tuple[Message, list[Any]]
Search = Callable[[Trial, int], Iterable[Candidate]]
OwnDyes = Mapping[str, Dye]
NO_DYES: OwnDyes = MappingProxyType({})
CURED = 0.35  # a proposal leaves at most this part of the trouble (assumption)
HIDDEN_LEFT = 0.7  # the same of what hides on the cloth by the order of its dyeings (assumption)
LEAST_SHOWN = 0.003  # of the cloth: by how much more brushed colour must show, or mud may grow (assumption)
MOST = 3


def proposals(trial: Trial, finding: Finding, masks: MaskCache, own: OwnDyes = NO_DYES) -> list[Proposal]:
    """At most three remedies for a finding that were seen to work, the least change first.

    masks : takes the masks that a remedy needs, to be looked at and perhaps kept
    own : the dyes of the maker's own book by name, offered before those of the built-in one
    """
    if finding.code == "fit":
        return [
            _for_fit(trial.design, {use: masks.put_new(use.picture, mask, folder=MASKS) for use, mask in moved.items()})
            for moved in trial.moved_at(finding.step)
        ]
    if finding.code == "mud":
        return list(islice(_for_mud(trial, finding, own), MOST))
    remedies = _REMEDIES.get(finding.code)
    return [] if remedies is None else list(islice(remedies(trial, finding), MOST))


def _helpful(
    trial: Trial, finding: Finding, searches: Iterable[Search], helps: Callable[[Trial], bool], own: OwnDyes = NO_DYES
) -> Iterator[Proposal]:
    """Those candidates of some searches that were tried and seen to help."""
    for words, changes in chain.from_iterable(search(trial, finding.step) for search in searches):
        after = _after(trial, changes, own)
        if after is not None and helps(after):
            yield _proposal(words, changes)


def _proposal(words: Message, changes: list[Any]) -> Proposal:
    return {"words": str(words), "words_says": message_data(words), "changes": changes}


def _after(trial: Trial, changes: list[Any], own: OwnDyes = NO_DYES) -> Trial | None:
    return trial.with_design(lambda design: apply_changes(design, insert_own_dyes(changes, own)))


def _for_mud(trial: Trial, finding: Finding, own: OwnDyes) -> Iterator[Proposal]:
    """Of the pots on the shelf first; a dye of a book only where none of them helps."""
    before = trial.mud()

    def helps(after: Trial) -> bool:
        return after.mud() <= CURED * before

    searches = (_wax_earlier, _wax_first, _swap_dyeings, _thin_pots, _unused_pots)
    at_hand = _helpful(trial, finding, searches, helps)
    first = next(at_hand, None)
    if first is not None:
        yield from chain([first], at_hand)
    else:
        yield from _helpful(trial, finding, [partial(_book_dyes, own=own)], helps, own)


def _for_lost(trial: Trial, finding: Finding) -> Iterator[Proposal]:
    """A brushed colour that a bath takes: waxed in time, or dyed the other way round."""
    shown, mud = trial.shown(), trial.mud()

    def helps(after: Trial) -> bool:
        return after.shown() > shown + LEAST_SHOWN and after.mud() <= mud + LEAST_SHOWN

    return _helpful(trial, finding, (_wax_earlier, _wax_first, _swap_dyeings), helps)


def _for_order(trial: Trial, finding: Finding) -> Iterator[Proposal]:
    before = trial.hidden()
    return _helpful(trial, finding, (_wax_earlier, _swap_dyeings), lambda after: after.hidden() < HIDDEN_LEFT * before)


def _for_wasted(trial: Trial, finding: Finding) -> Iterator[Proposal]:
    if 1 <= finding.step <= len(trial.design.steps):
        remove = {"do": "remove_step", "step": finding.step}
        yield _proposal(say("document.remedy.remove_step", step=finding.step), [remove])


def _for_depth(trial: Trial, finding: Finding) -> Iterator[Proposal]:
    return starmap(_proposal, _thin_pots(trial, finding.step))


def _wax_earlier(trial: Trial, step: int) -> Iterator[Candidate]:
    """Later waxings brought forward."""
    for number, later in enumerate(trial.design.steps, start=1):
        if number > step and isinstance(later, Wax):
            words = say("document.remedy.wax_earlier", shape=later.mask.called, step=step)
            yield words, [{"do": "move_step", "step": number, "to": step}]


def _wax_first(trial: Trial, step: int) -> Iterator[Candidate]:
    """A new waxing of what was brushed before, by the picture of that brushing; unless it is waxed later anyway."""
    steps = trial.design.steps
    known = {later.mask.picture for later in steps if isinstance(later, Wax)}
    for number in range(step - 1, 0, -1):
        bath = steps[number - 1]
        for paint in bath.paints if isinstance(bath, DyeBath) else ():
            if paint.where is not None and paint.where.picture not in known:
                known.add(paint.where.picture)
                words = say("document.remedy.wax_first", shape=paint.where.called, brushed=number, step=step)
                new = {"kind": "wax", "where": plain_data(paint.where)}
                yield words, [{"do": "add_step", "at": step, "step": new}]


def _swap_dyeings(trial: Trial, step: int) -> Iterator[Candidate]:
    """Dyeings in each other's place."""
    steps = trial.design.steps
    for number in range(step - 1, 0, -1):
        if isinstance(steps[number - 1], DyeBath):
            back = [
                {"do": "move_step", "step": step, "to": number},
                {"do": "move_step", "step": number + 1, "to": step},
            ]
            yield say("document.remedy.swap_dyeings", step=step, other=number), back


def _pots_of(trial: Trial, step: int) -> list[str]:
    bath = trial.design.steps[step - 1] if 1 <= step <= len(trial.design.steps) else None
    return [paint.pot for paint in bath.paints] if isinstance(bath, DyeBath) else []


def _thin_pots(trial: Trial, step: int) -> Iterator[Candidate]:
    for name in _pots_of(trial, step):
        strength = trial.design.pot(name).strength
        for part, key in ((0.75, "thin_to_three_quarters"), (0.5, "thin_to_half")):
            change = {"do": "set_strength", "pot": name, "strength": round(strength * part, 3)}
            yield say(f"document.remedy.{key}", pot=name), [change]


def _unused_pots(trial: Trial, step: int) -> Iterator[Candidate]:
    """A pot or dye of the design that no bath uses yet, in this one: of other dyes than what it would replace."""
    own = _pots_of(trial, step)
    design = trial.design
    used = {paint.pot for bath in design.steps if isinstance(bath, DyeBath) for paint in bath.paints}
    names = [pot.name for pot in design.pots] + [dye.name for dye in design.dyes]
    for place, name in enumerate(own, start=1):
        for other in names:
            if other not in used and trial.stands_in(other, name):
                change = {"do": "set_paint", "step": step, "paint": place, "pot": other}
                yield say("document.remedy.use_instead", other=other, pot=name), [change]


def _book_dyes(trial: Trial, step: int, own: OwnDyes) -> Iterator[Candidate]:
    """A clear dye of a book in the place of a pot of the bath: the maker's own first, then the nearest in colour."""
    there = {dye.name for dye in trial.design.dyes} | {pot.name for pot in trial.design.pots}
    books = {dye.name: False for dye in dyebooks.read_book(dyebooks.DEMO).dyes} | dict.fromkeys(own, True)
    brought: dict[str, dict[str, Any]] = {
        name: {"do": "add_dye", "name": name} | ({"own": True} if mine else {})
        for name, mine in books.items()
        if name not in there
    }
    wider = _after(trial, list(brought.values()), own)
    if wider is None:
        return
    for place, name in enumerate(_pots_of(trial, step), start=1):
        likely = [dye for dye in brought if wider.is_clear(dye) and wider.stands_in(dye, name)]
        for dye in sorted(likely, key=lambda dye: (not books[dye], wider.apart(dye, name))):
            use = {"do": "set_paint", "step": step, "paint": place, "pot": dye}
            key = "use_own_dye" if books[dye] else "use_example_dye"
            yield say(f"document.remedy.{key}", dye=dye, pot=name), [brought[dye], use]


def _for_fit(design: Design, moved: Mapping[MaskUse, MaskUse]) -> Proposal:
    """Misplaced masks, moved to where they fit, wherever they are used."""
    places = [
        ({"step": step} if paint is None else {"step": step, "paint": paint}, moved[use])
        for step, paint, use in design.mask_places()
        if use in moved
    ]
    shapes = tuple(say("document.shape", name=name) for name in dict.fromkeys(use.called for use in moved))
    return _proposal(
        say("document.remedy.move_shapes", shapes=shapes, count=len(moved)),
        [{"do": "set_mask", **place, "where": plain_data(new)} for place, new in places],
    )


_REMEDIES: dict[str, Callable[[Trial, Finding], Iterator[Proposal]]] = {
    "lost": _for_lost,
    "order": _for_order,
    "wasted": _for_wasted,
    "depth": _for_depth,
}
