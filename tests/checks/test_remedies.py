"""What may be offered where a dyeing spoils a colour: which changes are tried, in which order, and how they read."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from batiksim.checks import remedies as module
from batiksim.checks.remedies import SpoiltRegion, colours, remedies, stands_in, wax_first
from batiksim.values import Dye, Pot, Wax


class Search(module._RemedySearch):
    """Changed designs are shown to `cured` as they are, not tried out."""

    def helps(self, design):
        return self.cured(design)


def case_of(scene, step, *, cured=lambda design: False):
    """The largest region of a scene, spoilt by the last dyeing of a step."""
    history = max(scene.histories, key=lambda one: len(one.reached))
    o = [one for one in history.reached if scene.op_step(one) == step][-1]
    spoilt = SpoiltRegion(history=history, o=o, before=scene.lab(history, before=o), after=scene.lab(history))
    return Search(scene=scene, spoilt=spoilt, cured=cured)


def tried(way, scene, step, *, works=None):
    """The steps of every design that a way tries out, as letters of the first design's; what it says."""
    first = scene.design.steps
    seen = []

    def cured(design):
        seen.append("".join("abcdefghijklmnop"[first.index(one)] for one in design.steps))
        return seen[-1] == works

    remedy = way(case_of(scene, step, cured=cured))
    return seen, remedy and str(remedy)


@pytest.fixture
def waxed_later(draw):
    """Wax, sun, sea, wax, coral, wax: the sea of step 3 spoils."""
    boxes = [draw.box(0, 0, 10 * n, 10) for n in (1, 2, 3)]
    return draw.case(
        ("wax", boxes[0]), ("dye", "sun", None), ("dye", "sea", None), ("wax", boxes[1]), ("dye", "coral", None),
        ("wax", boxes[2]),
    ).scene  # fmt: skip


def test_waxings_that_come_later_are_tried_before_the_bath(waxed_later):
    assert tried(Search.earlier_wax, waxed_later, 3) == (["abdcef", "abfcde"], None)
    seen, said = tried(Search.earlier_wax, waxed_later, 3, works="abfcde")
    assert seen == ["abdcef", "abfcde"]
    assert said.startswith("wax “2” (now step 6) before step 3, so that these places stay ")
    assert said.endswith("yellow")
    assert tried(Search.earlier_wax, waxed_later, 5)[0] == ["abcdfe"]


def test_no_more_than_six_waxings_are_tried(draw):
    waxings = [("wax", draw.box(0, 0, 5 * n, 5)) for n in range(1, 9)]
    scene = draw.case(("dye", "sun", None), ("dye", "sea", None), *waxings).scene
    assert tried(Search.earlier_wax, scene, 2)[0] == [
        "acbdefghij", "adbcefghij", "aebcdfghij", "afbcdeghij", "agbcdefhij", "ahbcdefgij",
    ]  # fmt: skip


def test_dyeings_are_swapped_with_the_nearest_first(draw):
    scene = draw.case(*(("dye", pot, None) for pot in ("sun", "coral", "sea"))).scene
    assert tried(Search.swap, scene, 3) == (["acb", "cba"], None)
    assert tried(Search.swap, scene, 3, works="acb") == (["acb"], "dye sea before coral (swap steps 2 and 3)")
    assert tried(Search.swap, scene, 3, works="cba")[1] == "dye sea before sun (swap steps 1 and 3)"
    assert tried(Search.swap, scene, 1) == ([], None)


def test_pots_of_one_dyeing_are_not_swapped(draw):
    scene = draw.case(("dye", "sun", None), ("dye", "coral", None, "sea", None)).scene
    assert tried(Search.swap, scene, 2)[0] == ["ba"]


def test_no_more_than_six_swaps_are_tried(draw):
    scene = draw.case(*(("dye", "mist" if n else "sun", None) for n in range(8)), ("dye", "sea", None)).scene
    assert len(tried(Search.swap, scene, 9)[0]) == 6


@pytest.mark.parametrize(
    ("ways", "text"),
    [
        (("wax a", "dye b", "wax c", "weaken d", "use e"), "Wax a; or dye b; or weaken d."),
        ((None, "dye b", "wax c", "weaken d", "use e"), "Dye b; or wax c; or weaken d."),
        ((None, None, "wax c", None, "use e"), "Wax c; or use e."),
        (("wax a", None, "wax c", None, None), "Wax a."),
        ((None, None, None, None, None), "Wax these places before step 2."),
    ],
)
def test_at_most_three_remedies_are_offered(draw, monkeypatch, ways, text):
    """Waxing first says no more than what an earlier waxing says already."""
    for name, words in zip(("earlier_wax", "swap", "wax_first", "weaker", "other_pot"), ways, strict=True):
        monkeypatch.setattr(module._RemedySearch, name, lambda case, words=words: words)
    scene = draw.case(("dye", "sun", None), ("dye", "sea", None)).scene
    spoilt = case_of(scene, 2).spoilt
    assert str(remedies(scene, spoilt, cured=lambda design: True)) == text
    assert str(wax_first(scene, spoilt.o)) == "Wax these places before step 2."


def test_colours_that_can_be_told_apart_are_counted(draw):
    """A hundredth of the cloth is 12 by 8 mm."""
    spot, speck = draw.box(100, 60, 112, 68), draw.box(100, 60, 112, 67.8)
    half = draw.box(0, 0, 60, 80)
    assert colours(draw.case(("dye", "sun", None)).scene) == 1
    assert colours(draw.case(("dye", "sun", half)).scene) == 2
    assert colours(draw.case(("dye", "sun", half, "navy", spot)).scene) == 3
    assert colours(draw.case(("dye", "sun", half, "navy", speck)).scene) == 2
    alike = (Pot(name="one", parts={"sun": 1}), Pot(name="two", parts={"sun": 1}, strength=1.05))
    assert colours(draw.case(("dye", "one", half, "two", draw.box(60, 0, 120, 80)), pots=alike).scene) == 1
    three = (("dye", "sun", half, "navy", draw.box(60, 0, 90, 80), "coral", draw.box(90, 0, 120, 80)),)
    assert colours(draw.case(*three).scene) == 3


@pytest.mark.parametrize(
    ("lab", "clear"),
    [
        ((50, 65, 45), True),  # red
        ((85, 0, 80), True),  # yellow
        ((50, 0, 0), False),  # grey
        ((10, 0, 0), False),  # black
        ((40, 15, 20), False),  # brown
        ((45, -5, 35), False),  # olive
        ((30, 20, -50), True),  # blue
    ],
)
def test_a_colour_that_can_be_offered(lab, clear):
    assert module._clear(np.array(lab, float)) is clear


@pytest.mark.parametrize(
    ("pots", "step", "alone"),
    [
        (("coral", "sea"), 2, True),
        (("sun", "coral", "sea"), 3, False),
        (("ink", "sea"), 2, False),
        (("sea",), 1, False),
    ],
)
def test_one_clear_pot_beneath(draw, pots, step, alone):
    scene = draw.case(*(("dye", pot, None) for pot in pots)).scene
    assert Search.one_pot(case_of(scene, step)) is alone


def test_waxing_first_keeps_what_is_clear_or_was_one_pot(draw, monkeypatch):
    scene = draw.case(("dye", "sun", None), ("dye", "sea", None)).scene
    for clear, single, offered in ((True, False, True), (False, True, True), (False, False, False)):
        monkeypatch.setattr(module, "_clear", lambda lab, clear=clear: clear)
        monkeypatch.setattr(Search, "one_pot", lambda case, single=single: single)
        remedy = str(Search.wax_first(case_of(scene, 2)))
        assert remedy.startswith("wax these places before sea (step 2), so that they stay ") is offered
        assert (remedy != "None") is offered


@pytest.mark.parametrize(("clear_at", "words"), [(1, "three quarters"), (2, "half"), (3, "a third"), (4, None)])
def test_a_bath_is_weakened_as_little_as_it_takes(draw, monkeypatch, clear_at, words):
    scene = draw.case(("dye", "sun", None), ("dye", "sea", None)).scene
    looked_at = []
    monkeypatch.setattr(module, "_clear", lambda lab: looked_at.append(lab) or len(looked_at) == clear_at)
    remedy = Search.weaker(case_of(scene, 2))
    assert len(looked_at) == min(clear_at, 3)
    for lab, part in zip(looked_at, (0.75, 0.5, 0.35), strict=False):
        assert lab == pytest.approx(scene.lab_of_ks(scene.pot_ks("sun") + scene.pot_ks("sea", part)))
    said = f"weaken sea to {words} of its strength to get "
    assert remedy is None if words is None else str(remedy).startswith(said)


def test_another_pot_in_the_bath(draw):
    """Sea over sun, with a little mist after it: coral in its place."""
    scene = draw.case(("dye", "sun", None), ("dye", "sea", None), ("dye", "mist", None)).scene
    parts = [scene.pot_ks(pot) for pot in ("sun", "coral", "mist")]
    assert Search.with_pot(case_of(scene, 2), parts[1]) == pytest.approx(scene.lab_of_ks(sum(parts)))


def test_another_pot_at_the_level_of_the_mask(draw):
    """A mask of 128 lets half of the pot on."""
    half = np.full_like(draw.blank(), 128)
    scene = draw.case(("dye", "sun", None), ("dye", "sea", half)).scene
    case = case_of(scene, 2)
    own = scene.outcome.ks(case.spoilt.history) - scene.pot_ks("sun")
    level = own.sum() / scene.pot_ks("sea").sum()
    assert level == pytest.approx(0.5, abs=0.1)
    made = Search.with_pot(case, scene.pot_ks("coral"))
    assert made == pytest.approx(scene.lab_of_ks(scene.pot_ks("sun") + level * scene.pot_ks("coral")))


def test_another_pot_in_a_bath_of_nothing(draw):
    pots = (Pot(name="water", parts={"sea": 1}, strength=0),)
    scene = draw.case(("dye", "sun", None), ("dye", "water", None), pots=pots).scene
    made = Search.with_pot(case_of(scene, 2), scene.pot_ks("coral"))
    assert made == pytest.approx(scene.lab_of_ks(scene.pot_ks("sun") + scene.pot_ks("coral")))


@pytest.mark.parametrize(
    ("lab", "stands"),
    [
        ((50, 40, 0), False),  # the same
        ((50, 46, 0), False),  # not told apart by much
        ((50, 40, 30), True),
        ((50, -40, 0), False),  # green for red
        ((69, 40, 30), True),
        ((71, 40, 30), False),  # 21 lighter
        ((31, 40, 30), True),
        ((29, 40, 30), False),
    ],
)
def test_what_may_stand_in_for_a_pot(lab, stands):
    labs = {"own": np.array((50.0, 40, 0)), "new": np.array(lab, float)}
    pots = {"own": Pot(name="own", parts={"pink": 1}), "new": Pot(name="new", parts={"rose": 1})}
    scene = SimpleNamespace(
        design=SimpleNamespace(pot=pots.__getitem__), pot_ks=lambda name: name, lab_of_ks=labs.__getitem__
    )
    assert stands_in(scene, "new", "own") is stands
    pots["new"] = Pot(name="new", parts={"pink": 3})
    assert not stands_in(scene, "new", "own")  # the same dye, mixed otherwise


def test_of_the_pots_that_stay_clear_the_nearest_is_offered(draw, monkeypatch):
    dyes = tuple(
        Dye(name=name, colour=colour)
        for name, colour in (("sun", "#f0d92e"), ("coral", "#e2603a"), ("rose", "#e06a7a"), ("pink", "#d6246e"))
    )
    scene = draw.case(("dye", "sun", None), ("dye", "coral", None), dyes=dyes, pots=()).scene
    monkeypatch.setattr(module, "stands_in", lambda scene, other, name: other not in (name, "sun"))
    monkeypatch.setattr(module, "_clear", lambda lab: True)
    own = scene.lab_of_ks(scene.pot_ks("coral"))
    from batiksim.colour.ciede2000 import delta_e_2000

    away = {name: float(delta_e_2000(own, scene.lab_of_ks(scene.pot_ks(name)))) for name in ("rose", "pink")}
    nearest = min(away, key=away.__getitem__)
    assert str(Search.other_pot(case_of(scene, 2))).startswith(f"use {nearest} instead of coral to get ")
    monkeypatch.setattr(module, "_clear", lambda lab: False)
    assert Search.other_pot(case_of(scene, 2)) is None
    monkeypatch.setattr(module, "_clear", lambda lab: True)
    monkeypatch.setattr(Search, "with_pot", lambda case, ks: case.spoilt.before)
    assert Search.other_pot(case_of(scene, 2)) is None  # nothing would be seen of it


def test_a_waxing_moved_is_that_very_step(draw):
    """The same mask waxed twice: the later one moves, the earlier stays."""
    box = draw.box(0, 0, 30, 30)
    scene = draw.case(
        ("wax", box), ("dye", "sun", None), ("dye", "sea", None), ("wax", box), ("dye", "ink", None)
    ).scene
    designs = []
    Search.earlier_wax(case_of(scene, 3, cured=lambda design: designs.append(design)))
    (design,) = designs
    assert [isinstance(step, Wax) for step in design.steps] == [True, False, True, False, False]
