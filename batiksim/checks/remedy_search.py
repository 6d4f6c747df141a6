"""Remedies as changes that can be applied: for each code the searches that look for them.

Each candidate is a list of changes as in `changes.verbs`, tried on the rough masks before it is offered. Steps that do
nothing are taken out, and masks beside their places moved, without a trial.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from itertools import chain, islice
from types import MappingProxyType
from typing import Any

from batiksim.changes.new_masks import mask_use
from batiksim.changes.remedy import DesignRemedy
from batiksim.changes.verbs import apply_changes, insert_own_dyes
from batiksim.checks.scene.scene import Scene
from batiksim.checks.trial import Trial, too_much
from batiksim.checks.wasted import DOES_NOTHING
from batiksim.files.toml import dyebooks
from batiksim.texts.catalogue import Message, say
from batiksim.types import Bytes
from batiksim.values import Design, Dye, DyeBath, Finding, MaskUse, Paint, Remedy, Wax
from batiksim.values.plain_data import plain_data

Candidate = tuple[Message, list[Any]]
Search = Callable[[Trial, int], Iterable[Candidate]]
OwnDyes = Mapping[str, Dye]
NO_DYES: OwnDyes = MappingProxyType({})
CURED = 0.35  # a remedy leaves at most this part of the trouble (assumption)
HIDDEN_LEFT = 0.7  # the same of what hides on the cloth by the order of its dyeings (assumption)
OVERFULL_LEFT = 0.7  # the same of the dye that fibre has no room for (assumption)
LEAST_SHOWN = 0.003  # of the cloth: by how much more brushed colour must show, or mud may grow (assumption)
MOST = 3
MOST_TRIED = 24  # candidates for one finding, the first; as many dyes of a book again
BY_STEP = ("mud", "lost", "order")  # what helps against these depends on the step alone


def with_remedies(findings: Iterable[Finding], scene: Scene, own: OwnDyes = NO_DYES) -> tuple[Finding, ...]:
    """Findings on a scene, the worst first, with the remedies that were found for them. own : as of `remedies_for`."""
    trial = Trial.of(scene)
    known: dict[Finding | tuple[str, ...], tuple[Remedy, ...]] = {}

    def remedies(finding: Finding) -> tuple[Remedy, ...]:
        asked = (finding.message.key, str(finding.step)) if finding.code in BY_STEP else finding
        if asked not in known:
            known[asked] = remedies_for(trial, finding, own)
        return known[asked]

    return tuple(replace(finding, remedies=remedies(finding)) for finding in findings)


def remedies_for(trial: Trial, finding: Finding, own: OwnDyes = NO_DYES) -> tuple[Remedy, ...]:
    """At most three remedies for a finding that were seen to work, the least change first.

    own : the dyes of the maker's own book by name, offered before those of the built-in one
    """
    search = _SEARCHES.get(finding.code)
    return () if search is None else tuple(islice(search(trial, finding, own), MOST))


def _helpful(
    trial: Trial, candidates: Iterable[Candidate], helps: Callable[[Trial], bool], own: OwnDyes = NO_DYES
) -> Iterator[Remedy]:
    """Those candidates that were tried and seen to help."""
    for words, changes in islice(candidates, MOST_TRIED):
        remedy = _remedy(words, changes, own)
        after = trial.with_design(remedy.apply)
        if after is not None and helps(after):
            yield remedy


def _remedy(words: Message, changes: list[Any], own: OwnDyes = NO_DYES) -> Remedy:
    brought = tuple(own[change["name"]] for change in changes if change.get("own"))
    return DesignRemedy(words=words, changes=tuple(changes), own=brought)


def _for_mud(trial: Trial, finding: Finding, own: OwnDyes) -> Iterator[Remedy]:
    """Of the pots on the shelf first; a dye of a book only where none of them helps."""
    before = trial.mud()

    def helps(after: Trial) -> bool:
        return after.mud() <= CURED * before

    at_hand = _helpful(
        trial, _found(trial, finding, _wax_earlier, _wax_first, _swap_dyeings, _thin_pots, _unused_pots), helps
    )
    first = next(at_hand, None)
    if first is not None:
        yield from chain([first], at_hand)
    else:
        yield from _helpful(trial, _book_dyes(trial, finding.step, own), helps, own)


def _for_lost(trial: Trial, finding: Finding, _: OwnDyes) -> Iterator[Remedy]:
    """A brushed colour that a bath takes: waxed in time, or dyed the other way round. No picture shows lines alone."""
    if finding.message.key == "checks.lost.lines":
        return iter(())
    shown, mud = trial.shown(), trial.mud()

    def helps(after: Trial) -> bool:
        return after.shown() > shown + LEAST_SHOWN and after.mud() <= mud + LEAST_SHOWN

    return _helpful(trial, _found(trial, finding, _wax_earlier, _wax_first, _swap_dyeings), helps)


def _for_order(trial: Trial, finding: Finding, _: OwnDyes) -> Iterator[Remedy]:
    before = trial.hidden()
    candidates = _found(trial, finding, _wax_earlier, _swap_dyeings)
    return _helpful(trial, candidates, lambda after: after.hidden() < HIDDEN_LEFT * before)


def _for_depth(trial: Trial, finding: Finding, _: OwnDyes) -> Iterator[Remedy]:
    """The pot that finds no room thinned, or the one before it."""
    before = too_much(finding)
    candidates = chain.from_iterable(_thinned(trial, pot) for pot in finding.pots[:2])
    return _helpful(trial, candidates, lambda after: after.overfull(finding) <= OVERFULL_LEFT * before)


def _for_wasted(trial: Trial, finding: Finding, _: OwnDyes) -> Iterator[Remedy]:
    """What does nothing is taken out; of a bath of several pots, those that do nothing.

    Of a mask that only looks odd nothing is: the cloth would be another without it.
    """
    step, steps = finding.step, trial.design.steps
    bath = steps[step - 1] if 1 <= step <= len(steps) else None
    paints = bath.paints if isinstance(bath, DyeBath) else ()
    idle = [(place, paint) for place, paint in enumerate(paints, start=1) if _is_about(finding, paint)]
    pots = tuple(paint.pot for _, paint in idle)
    if idle and finding.message.key == "checks.wasted.mask_full":
        whole = [{"do": "set_paint", "step": step, "paint": place, "everywhere": True} for place, _ in idle]
        yield _remedy(say("remedy.dye_everywhere", step=step, pots=pots), whole)
    elif finding.message.key not in DOES_NOTHING:
        return
    elif 0 < len(idle) < len(paints):
        out = [{"do": "remove_paint", "step": step, "paint": place} for place, _ in reversed(idle)]
        yield _remedy(say("remedy.remove_pots", step=step, pots=pots), out)
    elif bath is not None:
        yield _remedy(say("remedy.remove_step", step=step), [{"do": "remove_step", "step": step}])


def _is_about(finding: Finding, paint: Paint) -> bool:
    """Whether a finding is about one pot of a bath: by its name, by its picture, or by both."""
    picture = None if paint.where is None else paint.where.picture
    return (not finding.pots or paint.pot in finding.pots) and picture in (finding.masks or (None,))


def _for_fit(trial: Trial, finding: Finding, _: OwnDyes) -> Iterator[Remedy]:
    return (_moved(trial.design, moved) for moved in trial.moved(finding))


def _moved(design: Design, moved: Mapping[MaskUse, Bytes]) -> Remedy:
    """Misplaced masks, moved to where they fit, wherever they are used."""
    new = {use: mask_use(use.picture, mask) for use, mask in moved.items()}
    changes = [
        {"do": "set_mask", "step": step, **({} if paint is None else {"paint": paint}), "where": plain_data(new[use])}
        for step, paint, use in design.mask_places()
        if use in moved
    ]
    shapes = tuple(say("remedy.shape", name=name) for name in dict.fromkeys(use.called for use in moved))
    words = say("remedy.move_shapes", shapes=shapes, count=len(moved))
    masks = {new[use].picture: mask for use, mask in moved.items()}
    return DesignRemedy(words=words, changes=tuple(changes), masks=masks)


# The searches


def _found(trial: Trial, finding: Finding, *searches: Search) -> Iterator[Candidate]:
    return chain.from_iterable(search(trial, finding.step) for search in searches)


def _wax_earlier(trial: Trial, step: int) -> Iterator[Candidate]:
    """Later waxings brought forward."""
    for number, later in enumerate(trial.design.steps, start=1):
        if number > step and isinstance(later, Wax):
            words = say("remedy.wax_earlier", shape=later.mask.called, step=step)
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
                words = say("remedy.wax_first", shape=paint.where.called, brushed=number, step=step)
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
            yield say("remedy.swap_dyeings", step=step, other=number), back


def _pots_of(trial: Trial, step: int) -> list[str]:
    bath = trial.design.steps[step - 1] if 1 <= step <= len(trial.design.steps) else None
    return [paint.pot for paint in bath.paints] if isinstance(bath, DyeBath) else []


def _thin_pots(trial: Trial, step: int) -> Iterator[Candidate]:
    return chain.from_iterable(_thinned(trial, name) for name in _pots_of(trial, step))


def _thinned(trial: Trial, name: str) -> Iterator[Candidate]:
    strength = trial.design.pot(name).strength
    for part, key in ((0.75, "thin_to_three_quarters"), (0.5, "thin_to_half")):
        change = {"do": "set_strength", "pot": name, "strength": round(strength * part, 3)}
        yield say(f"remedy.{key}", pot=name), [change]


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
                yield say("remedy.use_instead", other=other, pot=name), [change]


def _book_dyes(trial: Trial, step: int, own: OwnDyes) -> Iterator[Candidate]:
    """A clear dye of a book in the place of a pot of the bath: the maker's own first, then the nearest in colour."""
    there = {dye.name for dye in trial.design.dyes} | {pot.name for pot in trial.design.pots}
    books = {dye.name: False for dye in dyebooks.read_book(dyebooks.DEMO).dyes} | dict.fromkeys(own, True)
    brought: dict[str, dict[str, Any]] = {
        name: {"do": "add_dye", "name": name} | ({"own": True} if mine else {})
        for name, mine in books.items()
        if name not in there
    }
    wider = trial.with_design(partial(apply_changes, changes=insert_own_dyes(list(brought.values()), own)))
    if wider is None:
        return
    for place, name in enumerate(_pots_of(trial, step), start=1):
        likely = [dye for dye in brought if wider.is_clear(dye) and wider.stands_in(dye, name)]
        for dye in sorted(likely, key=lambda dye: (not books[dye], wider.apart(dye, name))):
            use = {"do": "set_paint", "step": step, "paint": place, "pot": dye}
            key = "use_own_dye" if books[dye] else "use_example_dye"
            yield say(f"remedy.{key}", dye=dye, pot=name), [brought[dye], use]


_SEARCHES: dict[str, Callable[[Trial, Finding, OwnDyes], Iterator[Remedy]]] = {
    "mud": _for_mud,
    "lost": _for_lost,
    "order": _for_order,
    "wasted": _for_wasted,
    "depth": _for_depth,
    "fit": _for_fit,
}
