"""Separation of flat pictures by other hands, against a plain nearest-colour split without the physics."""

from __future__ import annotations

import numpy as np
import pytest

from batiksim.from_picture.design import pot_names, separated_design
from batiksim.from_picture.report import tell_separation
from batiksim.from_picture.separate import Asked, separate
from tests.from_picture.separating import BOOK, CLOTH, DYES, finished, known_design, mean_difference
from tests.outside.fetching import OutOfReachError
from tests.outside.flat_pictures import flat_pictures
from tests.outside.plain_split import plain_split

pytestmark = pytest.mark.full  # what it reads is fetched

STEPS = 4


@pytest.fixture(scope="module")
def pictures():
    try:
        return flat_pictures()
    except OutOfReachError as why:
        pytest.skip(f"the flat pictures are fetched when tested: {why}")


def separated(picture, *, pots):
    found = separate(picture, DYES, Asked(steps=STEPS, pots=pots, line_mm=1.0))
    names = pot_names(found, list(DYES.dyes))
    told = tell_separation(found, DYES, names)
    made = separated_design(found, told, title="flat", cloth=CLOTH, dyes=BOOK.dyes, names=names)
    by = found.wax.shape[1] // picture.shape[0]
    return finished(made.design, {name: mask[::by, ::by] for name, mask in made.masks.items()})


def differences(pictures):
    """Mean CIEDE2000 of each picture: (plain split, separated with one pot a dyeing, with two)."""
    found = {}
    for name, picture in pictures.items():
        plan, wax = plain_split(picture, DYES, STEPS)
        plain = finished(known_design(plan), {f"wax-{at}.png": mask for at, mask in enumerate(wax)})
        ours = [mean_difference(picture, separated(picture, pots=pots)) for pots in (1, 2)]
        found[name] = (mean_difference(picture, plain), *ours)
    return found


def test_separation_beats_a_plain_split(pictures):
    found = differences(pictures)
    plain, one, two = np.array(list(found.values())).T
    told = {name: [round(value, 1) for value in values] for name, values in found.items()}
    assert (one < plain).all(), told
    assert one.mean() < 0.7 * plain.mean(), told
    assert two.mean() < one.mean() + 0.5, told  # lines of wax between pots cost a little
