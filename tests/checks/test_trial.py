"""A changed design tried out on fewer pixels."""

from __future__ import annotations

from dataclasses import replace

from batiksim.values import Dye


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
