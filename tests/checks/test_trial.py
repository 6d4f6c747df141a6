"""A changed design tried out on fewer pixels."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from batiksim.checks import remedy_search
from batiksim.checks.trial import Trial
from batiksim.errors import BatikError
from batiksim.texts.catalogue import say
from batiksim.values import Dye, Finding


def test_a_trial_has_every_other_rough_pixel_of_the_masks_it_uses(draw):
    """Masks of 400 by 600: rough size is the same, so 200 by 300."""
    left, top = draw.box(0, 0, 60, 80), draw.box(0, 0, 120, 20)
    left[:, 1::2] = 7  # columns that are left out
    scene = draw.case(("wax", left), ("dye", "sun", None), ("wax", top), ("dye", "sea", None)).scene
    first, sun, second, sea = scene.design.steps
    made = scene.trial(replace(scene.design, steps=(second, sun, first, sea)))
    assert made.masks.shape == (2, 200, 300)
    assert (made.masks[0] == top[::2, ::2]).all()
    assert (made.masks[1] == left[::2, ::2]).all()
    assert made.dyes is scene.dyes
    fewer = scene.trial(replace(scene.design, steps=(sun, second)))
    assert (fewer.masks == top[::2, ::2]).all()


def test_a_trial_of_other_dyes_works_them_out(draw):
    scene = draw.case(("dye", "sun", None)).scene
    dyes = (Dye(name="sun", colour="#3050c0"),)
    made = scene.trial(replace(scene.design, dyes=dyes, pots=()))
    assert made.dyes is not scene.dyes
    assert made.lab(made.histories[0])[2] < 0 < scene.lab(scene.histories[0])[2]  # blue, not yellow


@pytest.mark.parametrize(("histories", "trials"), [(0, 96), (62, 96), (100, 60), (500, 12), (9_000, 12)])
def test_trials_are_as_many_as_a_cloth_with_so_many_histories_affords(histories, trials):
    scene = SimpleNamespace(histories=range(histories), design="design", trial=lambda design: f"scene of {design}")
    trial = Trial.of(scene)
    made = [trial.with_design(lambda design: f"changed {design}") for _ in range(trials + 1)]
    assert [one and one.scene for one in made] == [*["scene of changed design"] * trials, None]
    assert Trial(scene).with_design(str) == Trial("scene of design")


def test_what_can_not_be_made_is_no_trial(draw):
    def refused(design):
        raise BatikError("document.error.no_steps")

    assert Trial(draw.case(("dye", "sun", None)).scene).with_design(refused) is None


def test_findings_of_one_step_that_the_same_changes_help_are_searched_once(monkeypatch):
    def told(code, step, share):
        words = say(f"checks.{code}.what", share=share)
        return Finding(code=code, severity="warn", step=step, message=words, remedy=words)

    searched = []
    monkeypatch.setattr(remedy_search, "remedies_for", lambda trial, one, own: searched.append(one) or (own, one.step))
    found = [told(code, step, share) for code in ("mud", "depth") for step in (2, 3) for share in (0.1, 0.2)]
    mended = remedy_search.with_remedies(found, SimpleNamespace(histories=()), "own")
    assert [one.remedies for one in mended] == [("own", one.step) for one in found]
    assert searched == [found[0], found[2], *found[4:]]
