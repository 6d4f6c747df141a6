"""Every remedy of every finding, applied: what it is against is gone, or clearly less.

mud : at most CURED of the mud is left on the cloth, a twentieth more for what small masks don't show
order : less than HIDDEN_LEFT of what hid is hidden, and as much more
depth : at most OVERFULL_LEFT of what the dyeing brought too much, and as much more
lost, wasted, fit : no such finding about that pot or that picture any more
"""

from __future__ import annotations

import json
import pickle
from dataclasses import replace

import numpy as np
import pytest
from scipy import ndimage

from batiksim import checks
from batiksim.changes.verbs import apply_changes
from batiksim.checks.remedy_search import CURED, HIDDEN_LEFT, OVERFULL_LEFT
from batiksim.checks.trial import Trial, too_much
from batiksim.cloth.dyes_on_cloth import dyes_on_cloth
from batiksim.cloth.effects.effective_masks import as_drawn
from batiksim.cloth.program import design_masks
from batiksim.errors import BatikError
from batiksim.files.toml.dyebooks import DEMO, read_book
from batiksim.values import Design, Dye, Pot, RemoveWax, Wax

MORE = 0.05
SAMPLES = (
    "hedge_parsley", "hedge_parsley/crackled.toml", "garden_poppies", "garden_poppies/remedy.toml", "estuary_geese",
    "estuary_geese/wet_edges.toml",
)  # fmt: skip


def searched(case):
    """A case as a check of its files sees it: its scene, and its findings with remedies."""
    scene = replace(case, design=as_drawn(case.design)).scene
    return scene, checks.with_remedies(checks.check(scene), scene)


def applied(case, remedy):
    """The scene of the case with a remedy applied, its new masks among the others."""
    design = as_drawn(remedy.apply(case.design))
    named = {use.picture: mask for use, mask in zip(design_masks(as_drawn(case.design)), case.masks, strict=True)}
    named |= remedy.masks
    masks = [named[use.picture] for use in design_masks(design)]
    stack = np.stack(masks) if masks else np.zeros((0, *case.masks.shape[1:]), np.uint8)
    return checks.Scene(design=design, dyes=dyes_on_cloth(design), masks=stack)


def is_cured(scene, after, told, remedy):
    """Whether a finding is gone, or clearly less, as this module says."""
    here, there = Trial(scene), Trial(after)
    if told.code == "mud":
        return there.mud() <= (CURED + MORE) * here.mud()
    if told.code == "order":
        return there.hidden() < (HIDDEN_LEFT + MORE) * here.hidden()
    if told.code == "depth":
        return there.overfull(told) <= (OVERFULL_LEFT + MORE) * too_much(told)
    left = [one for one in checks.check(after, only=[told.code]) if one.message.key == told.message.key]
    if told.code == "fit":
        return not any({*remedy.masks, *told.masks} & set(one.masks) for one in left)
    same = [one for one in checks.check(scene, only=[told.code]) if one.message.key == told.message.key]
    return sum(one.pots[:1] == told.pots[:1] for one in left) < sum(one.pots[:1] == told.pots[:1] for one in same)


def spoilt(draw):
    """Small cloths with each kind of trouble that a change can mend."""
    leaves, left, blank = draw.disc(60, 40, 20), draw.box(0, 0, 60, 80), draw.blank()
    full = draw.box(0, 0, 120, 80)
    strong = (Pot(name="tar", parts={"ink": 1}, strength=4), Pot(name="wine", parts={"pink": 1}, strength=2.4))
    moss = (Dye(name="moss", colour="#6b7330"), Dye(name="pink", colour="#d6246e"), Dye(name="ink", colour="#22243a"))
    book = tuple(dye for dye in read_book(DEMO).dyes if dye.name in ("emerald", "magenta"))
    steps = {
        "muddy leaves": [("dye", "coral", leaves), ("dye", "sea", None), ("wax", leaves), ("dye", "sun", None)],
        "black leaves": [("dye", "leaf", leaves), ("dye", "ink", None), ("wax", leaves), ("dye", "navy", None)],
        "pale after strong": [("dye", "night", None), ("wax", left), ("dye", "sun", None)],
        "idle steps": [RemoveWax(), ("dye", "sun", None), ("wax", leaves), ("dye", "sea", None), ("wax", left)],
        "idle pot": [("wax", left), ("dye", "sun", leaves, "sea", draw.box(5, 5, 40, 60))],
        "empty and full": [("wax", leaves), ("dye", "sun", blank, "coral", full), ("dye", "sea", None)],
    }
    moss_under_ink = [("dye", "moss", leaves), ("dye", "pink", None), ("dye", "ink", None)]
    return {name: draw.case(*some) for name, some in steps.items()} | {
        "mud all over": draw.case(("dye", "emerald", None), ("dye", "magenta", None), dyes=book, pots=()),
        "black moss": draw.case(*moss_under_ink, dyes=moss, pots=()),
        "too strong": draw.case(("dye", "tar", None), pots=strong),
        "no room": draw.case(("dye", "wine", leaves), ("dye", "tar", None), pots=strong),
    }


MENDED = {
    "mud all over": "mud", "muddy leaves": "mud", "black leaves": "lost", "black moss": "lost", "too strong": "depth",
    "pale after strong": "order", "no room": "depth", "idle steps": "wasted", "idle pot": "wasted",
    "empty and full": "wasted",
}  # fmt: skip


@pytest.fixture(scope="module")
def looked_at_once(draw):
    """Case, scene and findings with remedies of each small cloth."""
    return {name: (case, *searched(case)) for name, case in spoilt(draw).items()}


@pytest.mark.parametrize("name", MENDED)
def test_what_is_spoilt_on_purpose_is_mended_by_each_remedy(looked_at_once, name):
    case, scene, found = looked_at_once[name]
    told = [(one, remedy) for one in found for remedy in one.remedies]
    assert MENDED[name] in {one.code for one, _ in told}
    for one, remedy in told:
        assert is_cured(scene, applied(case, remedy), one, remedy), f"{one.message} {remedy}"


@pytest.mark.full
@pytest.mark.parametrize("name", SAMPLES)
def test_the_samples_are_mended_by_each_remedy(sample, name):
    case = sample(name)
    scene, found = searched(case)
    for one in found:
        assert bool(one.remedies) is (one.code == "mud")
        for remedy in one.remedies:
            assert is_cured(scene, applied(case, remedy), one, remedy), f"{one.message} {remedy}"


@pytest.mark.full
@pytest.mark.parametrize("first", [("estuary_geese", 7, 1), ("garden_poppies/remedy.toml", 5, 1)])
def test_samples_dyed_in_the_wrong_order_are_mended(sample, first):
    name, late, early = first
    case = sample(name)
    steps = list(case.design.steps)
    steps.insert(early, steps.pop(late))
    case = case.with_steps(*steps)
    scene, found = searched(case)
    told = [(one, remedy) for one in found for remedy in one.remedies]
    assert "order" in {one.code for one, _ in told}
    for one, remedy in told:
        assert is_cured(scene, applied(case, remedy), one, remedy), f"{one.message} {remedy}"


@pytest.mark.full
@pytest.mark.parametrize("pictures", [(), ("paint-leaves.png", "keep-leaves.png")])
def test_a_mask_beside_its_place_is_moved(sample, pictures):
    """Against all others; and of two alone either may be moved."""
    case = sample("garden_poppies/remedy.toml")
    if pictures:
        case = case.with_steps(*(Wax(mask=use) for use in design_masks(case.design) if use.picture in pictures))
    px = round(5 * case.px_per_mm)
    case = case.with_mask("keep-leaves.png", ndimage.shift(case.mask("keep-leaves.png"), (0, px), order=0))
    scene, found = searched(case)
    (told,) = [one for one in found if one.code == "fit"]
    assert len(told.remedies) == (2 if pictures else 1)
    for remedy in told.remedies:
        (name,) = remedy.masks
        assert all(change["where"]["picture"] == name for change in remedy.changes)
        assert is_cured(scene, applied(case, remedy), told, remedy)


# Remedies as values


@pytest.fixture
def told(looked_at_once):
    """Findings with remedies of each kind, by the design they are about."""
    return {case.design: found for case, _, found in looked_at_once.values()}


def test_findings_with_remedies_hash_compare_and_pickle(told):
    for design, found in told.items():
        again = pickle.loads(pickle.dumps(found))
        assert again == found
        assert hash(again) == hash(found)
        for one, other in zip(found, again, strict=True):
            assert [remedy.apply(design) for remedy in one.remedies] == [r.apply(design) for r in other.remedies]
            for remedy in one.remedies:
                assert replace(remedy, changes=({"do": "set_title", "title": "Other"},)) != remedy
                assert {remedy: 1}[replace(remedy)] == 1


def test_changes_read_back_from_json_apply_alike(told):
    for design, found in told.items():
        for remedy in (remedy for one in found for remedy in one.remedies):
            sent = json.loads(json.dumps(remedy.changes))
            assert apply_changes(design, sent) == remedy.apply(design) != design
            assert str(remedy) == str(remedy.words)


def test_a_remedy_for_another_design_is_refused_or_made(told, build):
    """Whatever has become of the design since, no other error comes of it."""
    fewer = [replace(design, steps=design.steps[:cut]) for design in told for cut in (0, 1, 2)]
    bare = [replace(design, pots=(), steps=()) for design in told]
    others = [build.design(), build.design(RemoveWax()), Design(title="Bare", cloth=next(iter(told)).cloth)]
    refused = 0
    for remedy in (remedy for found in told.values() for one in found for remedy in one.remedies):
        for design in (*told, *fewer, *bare, *others):
            try:
                assert isinstance(remedy.apply(design), Design)
            except BatikError:
                refused += 1
    assert refused > 100


def test_a_remedy_leaves_its_design_as_it_was(told):
    for design, found in told.items():
        before = hash(design), design.written()
        for remedy in (remedy for one in found for remedy in one.remedies):
            remedy.apply(design)
        assert (hash(design), design.written()) == before
