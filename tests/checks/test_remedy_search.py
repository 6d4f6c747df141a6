"""Remedies as changes, tried on a stand-in whose troubles are numbers of the test's own."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from batiksim.changes.verbs import apply_changes
from batiksim.checks.remedy_search import remedies_for
from batiksim.texts.catalogue import say
from batiksim.values import Discharge, Finding, MaskUse, Pot, RemoveWax


@dataclass
class Trial:
    """A design with measures by what has become of it. score(name, design) : what `name` measures there."""

    design: object
    score: object
    ways: list = field(default_factory=list)
    away: tuple = ()

    def with_design(self, change):
        try:
            return Trial(change(self.design), self.score, away=self.away)
        except Exception:
            return None

    def mud(self):
        return self.score("mud", self.design)

    def shown(self):
        return self.score("shown", self.design)

    def hidden(self):
        return self.score("hidden", self.design)

    def overfull(self, finding):
        return self.score("overfull", self.design)

    def stands_in(self, other, name):
        return other not in self.away

    def is_clear(self, dye):
        return dye == "rust"

    def apart(self, dye, name):
        return len(dye)

    def moved(self, finding):
        return self.ways


@pytest.fixture
def planned(build):
    """1 wax, 2 leaf brushed by petals, 3 pink brushed by petals, 4 night over all, 5 wax, 6 wax out."""
    return build.design(
        build.wax("lines"), build.dye(("leaf", "petals")), build.dye(("pink", "petals"), ("sea", "sky")),
        build.dye("night"), build.wax("late"), RemoveWax(),
    )  # fmt: skip


IDLE = "checks.wasted.under_wax"


def finding_of(code, step, *, key="checks.nothing", **about):
    return Finding(
        code=code, severity="warn", message=say(key), remedy=say("checks.wasted.leave_out"), step=step, **about
    )


def told(planned, code, step, score, *, own=None, about=None, **keys):
    found = remedies_for(Trial(planned, score, **keys), finding_of(code, step, **(about or {})), own or {})
    return [str(one) for one in found], [list(one.changes) for one in found]


def always(value):
    return lambda name, design: value


def after(planned, **values):
    """Measures that are 1 as planned and others on a changed design."""
    return lambda name, design: 1.0 if design == planned else values[name]


def test_at_most_three_in_their_order(planned):
    words, changes = told(planned, "mud", 4, after(planned, mud=0.0))
    assert words[0] == "Wax “late” before step 4"
    assert words[1:] == [f"Wax “{name}” (brushed in step 3) before step 4" for name in ("petals", "sky")]
    assert changes[0] == [{"do": "move_step", "step": 5, "to": 4}]
    assert changes[1][0]["do"] == "add_step"
    assert changes[1][0]["at"] == 4
    assert changes[1][0]["step"] == {"kind": "wax", "where": {"picture": "petals.png", "marks": None, "clean": False}}


@pytest.mark.parametrize(("left", "found"), [(0.35, True), (0.36, False)])
def test_a_remedy_leaves_at_most_a_third_of_the_mud(planned, left, found):
    words, _ = told(planned, "mud", 4, after(planned, mud=left))
    assert bool(words) is found


def test_what_was_brushed_in_any_earlier_step_can_be_waxed(build):
    """The last first; a dye over the whole cloth has no picture to wax by."""
    brushed = build.dye("leaf", ("pink", "petals"))
    planned = build.design(build.dye(("sea", "sky")), brushed, build.dye("night"))
    words, _ = told(planned, "mud", 3, after(planned, mud=0.0))
    assert words[:2] == [
        "Wax “petals” (brushed in step 2) before step 3", "Wax “sky” (brushed in step 1) before step 3"
    ]  # fmt: skip


def test_strengths_are_rounded_to_a_thousandth(build):
    """Three quarters of .337 are .25275."""
    planned = build.design(build.dye("x"), pots=(Pot(name="x", parts={"sun": 1}, strength=0.337),))
    assert told(planned, "mud", 1, always(0))[1][0][0]["strength"] == 0.253


def test_ways_are_tried_one_after_another(planned):
    """Only a design whose fourth and third step changed places is clear."""
    swapped = apply_changes(planned, [{"do": "move_step", "step": 4, "to": 3}])
    words, changes = told(planned, "mud", 4, lambda name, design: 0.0 if design == swapped else 1.0)
    assert words == ["Swap the dyeings in steps 3 and 4"]
    assert changes == [[{"do": "move_step", "step": 4, "to": 3}, {"do": "move_step", "step": 4, "to": 4}]]
    further = apply_changes(planned, [{"do": "move_step", "step": 4, "to": 2}, {"do": "move_step", "step": 3, "to": 4}])
    words, _ = told(planned, "mud", 4, lambda name, design: 0.0 if design == further else 1.0)
    assert words == ["Swap the dyeings in steps 2 and 4"]
    assert [type(step).__name__ for step in further.steps] == [type(step).__name__ for step in planned.steps]


def test_pots_are_thinned_or_others_taken(planned):
    def clear(design):
        return lambda name, tried: 0.0 if tried == design else 1.0

    thin = apply_changes(planned, [{"do": "set_strength", "pot": "night", "strength": 0.75}])
    assert told(planned, "mud", 4, clear(thin))[0] == ["Thin night to three quarters of its strength"]
    thin = apply_changes(planned, [{"do": "set_strength", "pot": "night", "strength": 0.5}])
    words, changes = told(planned, "mud", 4, clear(thin))
    assert words == ["Thin night to half its strength"]
    assert changes == [[{"do": "set_strength", "pot": "night", "strength": 0.5}]]
    other = apply_changes(planned, [{"do": "set_paint", "step": 4, "paint": 1, "pot": "plum"}])
    assert told(planned, "mud", 4, clear(other))[0] == ["Use plum instead of night"]
    assert told(planned, "mud", 4, clear(other), away=("plum",))[0] == []
    second = apply_changes(planned, [{"do": "set_paint", "step": 3, "paint": 2, "pot": "sun"}])
    assert told(planned, "mud", 3, clear(second))[0] == ["Use sun instead of sea"]


def test_a_dye_of_the_makers_book_comes_where_no_pot_helps(planned):
    from batiksim.values import Dye

    rust = Dye(name="rust", colour="#aa5533")
    own = {"rust": rust}
    words, changes = told(
        planned, "mud", 4, lambda name, design: 0.0 if any(dye.name == "rust" for dye in design.dyes) else 1.0, own=own
    )
    assert words == ["Use rust (from your own dyes) instead of night"]
    assert changes == [
        [{"do": "add_dye", "name": "rust", "own": True}, {"do": "set_paint", "step": 4, "paint": 1, "pot": "rust"}]
    ]


@pytest.mark.parametrize(
    ("shown", "mud", "found"), [(1.004, 1.0, True), (1.003, 1.0, False), (1.004, 1.003, True), (1.004, 1.0031, False)]
)
def test_a_lost_colour_must_show_again_with_no_more_mud(planned, shown, mud, found):
    words, _ = told(planned, "lost", 4, after(planned, shown=shown, mud=mud))
    assert bool(words) is found
    assert not found or words[0] == "Wax “late” before step 4"


@pytest.mark.parametrize(("hidden", "found"), [(0.69, True), (0.7, False)])
def test_an_order_must_hide_less(planned, hidden, found):
    words, _ = told(planned, "order", 4, after(planned, hidden=hidden))
    assert bool(words) is found
    assert not found or words == [
        "Wax “late” before step 4",
        "Swap the dyeings in steps 3 and 4",
        "Swap the dyeings in steps 2 and 4",
    ]


@pytest.mark.parametrize(("step", "found"), [(0, False), (1, True), (6, True), (7, False)])
def test_a_step_that_does_nothing_is_taken_out(planned, step, found):
    words, changes = told(planned, "wasted", step, always(0), about={"key": IDLE})
    assert words == ([f"Remove step {step}"] if found else [])
    assert changes == ([[{"do": "remove_step", "step": step}]] if found else [])


@pytest.mark.parametrize(
    ("about", "words", "changes"),
    [
        ({"pots": ("sea",), "masks": ("sky.png",)}, "Leave sea out of step 3", [("remove_paint", 2)]),
        ({"masks": ("petals.png",)}, "Leave pink out of step 3", [("remove_paint", 1)]),
        ({"pots": ("sea",)}, "Remove step 3", [("remove_step", None)]),  # all over the cloth: none is so here
        ({"masks": ("sky.png", "petals.png")}, "Remove step 3", [("remove_step", None)]),
        (
            {"masks": ("sky.png",), "key": "checks.wasted.mask_full"},
            "Dye the whole cloth with sea in step 3, without a picture",
            [("set_paint", 2)],
        ),
    ],
)
def test_a_pot_that_does_nothing_goes_without_those_beside_it(planned, about, words, changes):
    said, (made,) = told(planned, "wasted", 3, always(0), about={"key": IDLE} | about)
    assert said == [words]
    assert [(one["do"], one.get("paint")) for one in made] == changes
    assert apply_changes(planned, made) != planned


@pytest.mark.parametrize(
    ("what", "step", "mask"),
    [
        ("too_full_for_lines", 1, "lines.png"), ("mask_full", 1, "lines.png"), ("mask_nearly_empty", 1, "lines.png"),
        ("mask_nearly_empty", 2, "petals.png"), ("mask_nearly_empty", 3, "sky.png"),
    ],
)  # fmt: skip
def test_what_only_looks_odd_is_not_taken_out(planned, what, step, mask):
    """A wax mask read the wrong way still keeps dye away: without it the cloth is another."""
    about = {"key": f"checks.wasted.{what}", "masks": (mask,)}
    assert told(planned, "wasted", step, always(0), about=about) == ([], [])


def test_pots_of_a_bath_go_from_the_last_to_the_first(build):
    planned = build.design(build.dye(("leaf", "petals"), ("sea", "sky"), ("pink", "petals")))
    words, (made,) = told(planned, "wasted", 1, always(0), about={"masks": ("petals.png",), "key": IDLE})
    assert words == ["Leave leaf and pink out of step 1"]
    assert [paint.pot for paint in apply_changes(planned, made).steps[0].paints] == ["sea"]


@pytest.mark.parametrize(("left", "found"), [(0.7, True), (0.71, False)])
def test_a_full_fibre_asks_for_thinner_pots(planned, left, found):
    """The pot that finds no room first, then the last one before it."""
    about = {"pots": ("leaf", "pink", "night"), "numbers": {"refused_share": 1.0}}
    words, changes = told(planned, "depth", 4, after(planned, overfull=left), about=about)
    expected = [
        "Thin leaf to three quarters of its strength",
        "Thin leaf to half its strength",
        "Thin pink to three quarters of its strength",
    ]
    assert words == (expected if found else [])
    assert not found or [change[0]["strength"] for change in changes] == [0.6, 0.4, 0.75]  # of .8 and 1


def test_what_no_change_mends_has_no_remedy(planned):
    about = {"numbers": {"refused_share": 1.0}, "pots": ("night",)}
    assert told(planned, "depth", 4, always(1.0), about=about) == ([], [])
    assert told(planned, "leak", 2, always(0)) == ([], [])
    assert told(planned, "lost", 4, after(planned, shown=2.0, mud=0.0), about={"key": "checks.lost.lines"}) == ([], [])


def test_a_mask_that_lies_beside_its_place_is_moved_wherever_it_is_used(build):
    petals = MaskUse(picture="petals.png")
    planned = build.design(
        build.wax("petals"), build.dye(("leaf", "petals"), ("pink", "sky")), Discharge(where=petals), Discharge()
    )
    mask = build.soft(1)[0]
    (one,) = remedies_for(Trial(planned, always(0), ways=[{petals: mask}]), finding_of("fit", 1))
    assert str(one) == "Move “petals” to where it fits"
    assert [{key: value for key, value in change.items() if key != "where"} for change in one.changes] == [
        {"do": "set_mask", "step": 1}, {"do": "set_mask", "step": 2, "paint": 1}, {"do": "set_mask", "step": 3}
    ]  # fmt: skip
    (name,) = {change["where"]["picture"] for change in one.changes}
    assert name.startswith("masks/petals-")
    assert one.masks == {name: mask}
    assert {use.picture for _, use in one.apply(planned).mask_uses()} == {name, "sky.png"}
    sky = MaskUse(picture="sky.png")
    (one,) = remedies_for(Trial(planned, always(0), ways=[{petals: mask, sky: mask}]), finding_of("fit", 1))
    assert str(one) == "Move “petals” and “sky” to where they fit"
    assert len(one.changes) == 4
    assert len(one.masks) == 2
